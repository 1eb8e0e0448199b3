//! Just enough HTTP/1.1 on one kept connection, as a browser asks: gzip.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::time::Instant;

use super::Outcome;

/// What one request took.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Told {
    pub(crate) ms: f64,
    pub(crate) bytes: usize,
    pub(crate) is_write: bool,
}

/// One kept connection.
pub(crate) struct Client {
    host: String,
    stream: BufReader<TcpStream>,
}

impl Client {
    pub(crate) fn open(host: &str) -> Outcome<Self> {
        let stream = TcpStream::connect(host)?;
        stream.set_nodelay(true)?;
        Ok(Self {
            host: host.to_owned(),
            stream: BufReader::new(stream),
        })
    }

    pub(crate) fn get(&mut self, path: &str) -> Outcome<Told> {
        let head = format!(
            "GET {path} HTTP/1.1\r\nhost: {}\r\naccept-encoding: gzip\r\n\r\n",
            self.host
        );
        self.ask(&head, "").map(|(told, _)| told)
    }

    pub(crate) fn post(&mut self, path: &str, fields: &str) -> Outcome<Told> {
        let head = format!(
            "POST {path} HTTP/1.1\r\nhost: {}\r\naccept: application/json\r\ncookie: lapwing_device=load-device-1\r\ncontent-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n\r\n",
            self.host,
            fields.len()
        );
        let (told, _) = self.ask(&head, fields)?;
        Ok(Told {
            is_write: true,
            ..told
        })
    }

    /// The bytes of every style, module and font that a page names, gzip.
    pub(crate) fn assets(&mut self, path: &str) -> Outcome<Vec<usize>> {
        let head = format!("GET {path} HTTP/1.1\r\nhost: {}\r\n\r\n", self.host);
        let (_, body) = self.ask(&head, "")?;
        let page = String::from_utf8_lossy(&body).into_owned();
        let named = page.split('"').filter(|word| word.starts_with("/assets/"));
        let mut paths: Vec<String> = named.map(str::to_owned).collect();
        let root = paths
            .first()
            .and_then(|p| p.split('/').nth(2))
            .unwrap_or_default();
        let fonts = ["400", "600", "700"].map(|w| format!("/assets/{root}/fonts/ahn-{w}.woff2"));
        paths.extend(fonts);
        paths.sort();
        paths.dedup();
        paths
            .iter()
            .map(|p| self.get(p).map(|told| told.bytes))
            .collect()
    }

    fn ask(&mut self, head: &str, body: &str) -> Outcome<(Told, Vec<u8>)> {
        let began = Instant::now();
        self.stream
            .get_mut()
            .write_all(format!("{head}{body}").as_bytes())?;
        let body = self.answer()?;
        let told = Told {
            ms: began.elapsed().as_secs_f64() * 1e3,
            bytes: body.len(),
            is_write: false,
        };
        Ok((told, body))
    }

    fn answer(&mut self) -> Outcome<Vec<u8>> {
        let mut status = String::new();
        self.stream.read_line(&mut status)?;
        let mut length = None;
        loop {
            let mut line = String::new();
            self.stream.read_line(&mut line)?;
            if line.trim().is_empty() {
                break;
            }
            if let Some((name, value)) = line.split_once(':')
                && name.eq_ignore_ascii_case("content-length")
            {
                length = Some(value.trim().parse::<usize>()?);
            }
        }
        let body = match length {
            Some(length) => {
                let mut body = vec![0; length];
                self.stream.read_exact(&mut body)?;
                body
            }
            None => self.chunks()?,
        };
        if !status.contains(" 200 ") {
            return Err(format!("{} {}", status.trim(), String::from_utf8_lossy(&body)).into());
        }
        Ok(body)
    }

    fn chunks(&mut self) -> Outcome<Vec<u8>> {
        let mut body = Vec::new();
        loop {
            let mut line = String::new();
            self.stream.read_line(&mut line)?;
            let length = usize::from_str_radix(line.trim(), 16)?;
            let mut chunk = vec![0; length + 2];
            self.stream.read_exact(&mut chunk)?;
            if length == 0 {
                return Ok(body);
            }
            body.extend_from_slice(&chunk[..length]);
        }
    }
}

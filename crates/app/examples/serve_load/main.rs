//! Measures the bay's pages under load: start, pages with a thousand jobs,
//! a thousand requests a second mixed read and write, a hundred thousand jobs.
//!
//! Holds: for `serve_load PROGRAM`, on SQLite in a temporary folder beside it;
//! server and client share the machine's processors, which counts against us.
//! Left out: a network between the two; PostgreSQL.
//! Checked by: not validated: it prints what this machine needs.

#![allow(
    clippy::disallowed_methods,
    reason = "it measures time and starts a program"
)]

mod client;
mod seed;

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use client::{Client, Told};

/// Goals of the pages, as they are printed beside what was measured.
const FIRST_PAGE_MS: f64 = 150.0;
const PAGE_P99_MS: f64 = 50.0;
const RATE: f64 = 1000.0;
const MEMORY_MB: f64 = 150.0;
const PAGE_KB: f64 = 150.0;
const LIST_MS: f64 = 100.0;

const LANES: usize = 16;
const LOAD_S: u64 = 10;

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

/// The running program.
struct Server {
    child: Child,
    host: String,
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Server {
    fn start(program: &Path, data: &Path) -> Outcome<Self> {
        let mut child = Command::new(program)
            .args(["serve", "--listen", "127.0.0.1:0", "--data"])
            .arg(data)
            .stdout(Stdio::piped())
            .spawn()?;
        let output = child.stdout.take().ok_or("no output")?;
        let mut line = String::new();
        BufReader::new(output).read_line(&mut line)?;
        let (_, host) = line.trim().rsplit_once("http://").ok_or("no address")?;
        Ok(Self {
            host: host.to_owned(),
            child,
        })
    }

    /// Processor time it has had, ms.
    fn processor_ms(&self) -> Outcome<f64> {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.id()))?;
        let (_, after) = stat.rsplit_once(") ").ok_or("no times")?;
        let ticks = after.split(' ').skip(11).take(2).map(str::parse::<f64>);
        // Linux counts a hundred ticks a second (proc(5)).
        Ok(ticks.collect::<Result<Vec<_>, _>>()?.iter().sum::<f64>() * 10.0)
    }

    /// Most memory it has had, MB.
    fn memory_mb(&self) -> Outcome<f64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()))?;
        let line = status.lines().find(|l| l.starts_with("VmHWM:"));
        let kb = line
            .and_then(|l| l.split_whitespace().nth(1))
            .ok_or("no memory")?;
        Ok(kb.parse::<f64>()? / 1024.0)
    }
}

fn main() -> Outcome<()> {
    let program = std::env::args().nth(1).map(PathBuf::from);
    let program = program.ok_or("serve_load PROGRAM: name the program to measure")?;
    let data = std::env::temp_dir().join(format!("lapwing-load-{}", std::process::id()));
    let outcome = measured(&program, &data);
    std::fs::remove_dir_all(&data)?;
    outcome
}

fn measured(program: &Path, data: &Path) -> Outcome<()> {
    println!("| what | measured | goal | |");
    println!("|---|---:|---:|---|");
    seed::jobs(data, 0..1000, 100)?;
    let first = (0..5)
        .map(|_| first_page_ms(program, data))
        .collect::<Outcome<Vec<_>>>()?;
    row(
        "start to first page, median of 5",
        median(first),
        FIRST_PAGE_MS,
        "ms",
    );
    let server = Server::start(program, data)?;
    pages(&server)?;
    mixed(&server)?;
    row(
        "most memory under all of this",
        server.memory_mb()?,
        MEMORY_MB,
        "MB",
    );
    drop(server);
    seed::jobs(data, 1000..100_000, 0)?;
    let server = Server::start(program, data)?;
    let mut client = Client::open(&server.host)?;
    for (what, path) in [
        ("list of 100,000 jobs, slowest of 50", "/jobs"),
        (
            "search that finds one of them",
            "/jobs?search=car+number+77777",
        ),
        ("search that finds none", "/jobs?search=no+such+car"),
        (
            "search among those of one stage that finds none",
            "/jobs?stage=intake&search=no+such+car",
        ),
    ] {
        let told = (0..50)
            .map(|_| client.get(path))
            .collect::<Outcome<Vec<_>>>()?;
        row(what, share(&told, 1.0), LIST_MS, "ms");
    }
    row(
        "memory with 100,000 jobs",
        server.memory_mb()?,
        MEMORY_MB,
        "MB",
    );
    Ok(())
}

fn first_page_ms(program: &Path, data: &Path) -> Outcome<f64> {
    let began = Instant::now();
    let server = Server::start(program, data)?;
    Client::open(&server.host)?.get("/jobs")?;
    Ok(began.elapsed().as_secs_f64() * 1e3)
}

/// Every page of a job and the list, on jobs spread over all.
fn pages(server: &Server) -> Outcome<()> {
    let mut client = Client::open(&server.host)?;
    let mut heaviest: f64 = 0.0;
    for page in [
        "list",
        "",
        "/wash",
        "/readings",
        "/readings/panel?panel=bonnet",
        "/film",
        "/trial",
    ] {
        let path = |n: usize| match page {
            "list" => "/jobs".to_owned(),
            page => format!("/jobs/{}{page}", seed::id(n * 37 % 1000)),
        };
        let told = (0..200)
            .map(|n| client.get(&path(n)))
            .collect::<Outcome<Vec<_>>>()?;
        heaviest = heaviest.max(
            told.iter()
                .map(|t| t.bytes as f64 / 1e3)
                .fold(0.0, f64::max),
        );
        let name = if page.is_empty() { "walk-round" } else { page };
        row(
            &format!("page {name}, 99 of 100"),
            share(&told, 0.99),
            PAGE_P99_MS,
            "ms",
        );
    }
    let shell: f64 = client
        .assets("/jobs")?
        .iter()
        .map(|b| *b as f64 / 1e3)
        .sum();
    row(
        "heaviest page, gzip, with its styles, modules and fonts",
        heaviest + shell,
        PAGE_KB,
        "kB",
    );
    Ok(())
}

/// Four reads for each reading taken, at a set pace from 16 lanes.
fn mixed(server: &Server) -> Outcome<()> {
    let next = Arc::new(AtomicUsize::new(0));
    let before = server.processor_ms()?;
    let began = Instant::now();
    let lane = |_| {
        let (host, next) = (server.host.clone(), Arc::clone(&next));
        std::thread::spawn(move || work(&host, &next, began).map_err(|e| e.to_string()))
    };
    let lanes: Vec<_> = (0..LANES).map(lane).collect();
    let mut told = Vec::new();
    for lane in lanes {
        told.extend(lane.join().map_err(|_| "a lane broke")??);
    }
    let each = (server.processor_ms()? - before) / told.len() as f64;
    let rate = told.len() as f64 / began.elapsed().as_secs_f64();
    let kept = if rate >= 0.99 * RATE {
        "reached"
    } else {
        "MISSED"
    };
    println!(
        "| answered a second of {RATE:.0} offered for {LOAD_S} s, 4 reads to 1 write ({each:.2} ms of processor each) | {rate:.0} | all, the last within 1 % of the time | {kept} |"
    );
    for (what, is_write) in [
        ("read under that load, 99 of 100", false),
        ("write under that load, 99 of 100", true),
    ] {
        let of: Vec<Told> = told
            .iter()
            .filter(|t| t.is_write == is_write)
            .copied()
            .collect();
        row(what, share(&of, 0.99), PAGE_P99_MS, "ms");
    }
    Ok(())
}

fn work(host: &str, next: &AtomicUsize, began: Instant) -> Outcome<Vec<Told>> {
    let mut client = Client::open(host)?;
    let mut told = Vec::new();
    loop {
        let n = next.fetch_add(1, Ordering::Relaxed);
        let due = Duration::from_secs_f64(n as f64 / RATE);
        if due > Duration::from_secs(LOAD_S) {
            return Ok(told);
        }
        std::thread::sleep(due.saturating_sub(began.elapsed()));
        let job = seed::id(n * 131 % 1000);
        told.push(match n % 5 {
            0 => client.post(
                &format!("/jobs/{job}/readings"),
                &format!(
                    "edit=load-{n:08}&saw=1&panel=roof&thickness={}&u_mm=300&v_mm=200",
                    100 + n % 30
                ),
            )?,
            1 => client.get("/jobs")?,
            2 => client.get(&format!("/jobs/{job}"))?,
            3 => client.get(&format!("/jobs/{job}/wash"))?,
            _ => client.get(&format!("/jobs/{job}/film"))?,
        });
    }
}

/// The time that a share of the answers kept within, ms.
fn share(told: &[Told], share_frac: f64) -> f64 {
    let mut ms: Vec<f64> = told.iter().map(|t| t.ms).collect();
    ms.sort_by(f64::total_cmp);
    let at = (ms.len() as f64 * share_frac).ceil() as usize;
    ms.get(at.saturating_sub(1)).copied().unwrap_or(f64::NAN)
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn row(what: &str, measured: f64, goal: f64, unit: &str) {
    let kept = if measured < goal { "reached" } else { "MISSED" };
    println!("| {what} | {measured:.1} {unit} | under {goal:.0} {unit} | {kept} |");
}

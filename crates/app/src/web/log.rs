//! One line of JSON for each answer, on standard error, without anything that
//! tells about people: no address of a sender, no path, no name, no token.
//!
//! Law: at_ms (since 1970), method, route as in the table of addresses,
//! status, ms until the answer began, bytes of its body as sent.
//! Holds: a line is written when the body is through or the sender has hung
//! up, so a page that follows a job is logged at its end.
//! Left out: turning files over; the system's own log does that.
//! Checked by: `tests/web_operator.rs`.

use std::io::Write as _;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Instant;

use axum::body::{Body, Bytes};
use axum::extract::{Request, State};
use axum::http::Method;
use axum::middleware::Next;
use axum::response::Response;
use http_body::{Frame, SizeHint};

use super::jobs::now_ms;

/// Which answers are logged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum Lines {
    /// Every answer.
    All,
    /// Answers that are our fault.
    Faults,
    /// None.
    None,
}

/// The line of the table that answered, put into the answer by its gate.
#[derive(Clone, Copy)]
pub(crate) struct Template(pub(crate) &'static str);

/// Logs an answer once its body is through.
pub(crate) async fn written(State(lines): State<Lines>, request: Request, next: Next) -> Response {
    let begin = Instant::now();
    let method = known(request.method());
    let response = next.run(request).await;
    let is_fault = response.status().is_server_error();
    if lines == Lines::None || (lines == Lines::Faults && !is_fault) {
        return response;
    }
    let template = response.extensions().get::<Template>().copied();
    let line = Line {
        at_ms: now_ms(),
        method,
        route: template.map_or("none", |t| t.0),
        status: response.status().as_u16(),
        ms: begin.elapsed().as_secs_f64() * 1e3,
        bytes: 0,
    };
    response.map(|inner| Body::new(Counted { inner, line }))
}

/// Methods that do not exist may say anything.
fn known(method: &Method) -> &'static str {
    match *method {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::POST => "POST",
        Method::PUT => "PUT",
        Method::DELETE => "DELETE",
        Method::OPTIONS => "OPTIONS",
        _ => "other",
    }
}

struct Line {
    at_ms: i64,
    method: &'static str,
    route: &'static str,
    status: u16,
    ms: f64,
    bytes: u64,
}

/// A body that counts itself.
struct Counted {
    inner: Body,
    line: Line,
}

impl http_body::Body for Counted {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        let frame = Pin::new(&mut self.inner).poll_frame(context);
        if let Poll::Ready(Some(Ok(frame))) = &frame
            && let Some(bytes) = frame.data_ref()
        {
            self.line.bytes += bytes.len() as u64;
        }
        frame
    }

    fn is_end_stream(&self) -> bool {
        self.inner.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.inner.size_hint()
    }
}

impl Drop for Counted {
    fn drop(&mut self) {
        let line = &self.line;
        let text = serde_json::json!({
            "at_ms": line.at_ms,
            "method": line.method,
            "route": line.route,
            "status": line.status,
            "ms": (line.ms * 100.0).round() / 100.0,
            "bytes": line.bytes,
        });
        // Nobody reads it, or the disk is full: pages come first.
        let _ = writeln!(std::io::stderr().lock(), "{text}");
    }
}

//! The client: sends a request file to a service, or to one it starts itself, and prints the answer.
//!
//! The request goes out over real HTTP, byte for byte as it stands in the file. The answer is printed as it comes: as plain text as
//! wide as the terminal, as JSON or as CSV. Only the answer is written to standard output; everything else goes to standard error.

mod problem;
mod question;
mod send;

use std::io::{ErrorKind, Write};
use std::path::PathBuf;

pub use crate::http::resources::resource::Resource;
pub use send::healthcheck;

use crate::http::present::words::clean;
use send::{Accept, Reply};

/// Exit code: the answer was printed.
pub const ANSWERED: i32 = 0;
/// Exit code: the service looked at the request and refused it.
pub const REFUSED: i32 = 1;
/// Exit code: there was no answer, because the file could not be read or the service not reached.
pub const NO_ANSWER: i32 = 2;

/// What `barrowful ask` takes from the command line.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct AskArgs {
    /// The request file (JSON); "-" reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Where the service is, such as http://127.0.0.1:8080; without it one is started for this request
    #[arg(long, value_name = "URL")]
    pub to: Option<String>,
    /// Print the answer as it came, in JSON
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
    /// Ask for CSV and print it as it came
    #[arg(long)]
    pub csv: bool,
    /// Leave nothing out of the text
    #[arg(long, conflicts_with_all = ["json", "csv"])]
    pub all: bool,
    /// Which question the file asks; without it, found from the file's fields
    #[arg(long, value_enum, value_name = "RESOURCE")]
    pub resource: Option<Resource>,
}

/// A service that was started for one request. It stops when it is dropped.
pub trait Running {
    /// Where it can be reached, such as `http://127.0.0.1:49152`.
    fn url(&self) -> String;
}

/// Why there is nothing to print, and the exit code that says so.
#[derive(Debug)]
struct Failure {
    text: String,
    code: i32,
}

impl Failure {
    fn no_answer(text: String) -> Self {
        Self { text, code: NO_ANSWER }
    }
}

/// Reads the request, sends it, prints the answer to `out` or what went wrong to `err`; returns the exit code.
///
/// `start` is called only without `--to`, and only once the request has been read; what it returns is dropped as soon as
/// the answer is in. The exit code is [`ANSWERED`], [`REFUSED`] or [`NO_ANSWER`].
/// Blocks for up to 30 seconds, so it must not be called on a thread that drives asynchronous tasks.
pub fn run(
    args: &AskArgs,
    start: impl FnOnce() -> Result<Box<dyn Running>, String>,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> i32 {
    match answer(args, start).and_then(|bytes| print(&bytes, out)) {
        Ok(()) => ANSWERED,
        Err(failure) => {
            // When even standard error is closed, the exit code still tells.
            let _ = writeln!(err, "{}", failure.text.trim_end());
            failure.code
        }
    }
}

/// The bytes for standard output.
fn answer(args: &AskArgs, start: impl FnOnce() -> Result<Box<dyn Running>, String>) -> Result<Vec<u8>, Failure> {
    let request = question::read(&args.file, args.resource).map_err(Failure::no_answer)?;
    let accept = match (args.csv, args.json) {
        (true, _) => Accept::Csv,
        (false, true) => Accept::Json,
        (false, false) => Accept::Text { width: width(), all: args.all },
    };
    let reply = match &args.to {
        Some(url) => send::post(url, request.resource, accept, request.bytes),
        None => start()
            .map_err(|why| format!("The service could not be started: {}", clean(&why)))
            .and_then(|running| send::post(&running.url(), request.resource, accept, request.bytes)),
    }
    .map_err(Failure::no_answer)?;
    refusal(&reply, accept).map_or(Ok(reply.body), Err)
}

/// How wide a line may be where there is no terminal.
const WITHOUT_TERMINAL: u16 = 100;

/// How wide the terminal is, within what the service takes.
fn width() -> u16 {
    let (least, most) = crate::http::present::options::WIDTHS;
    terminal_size::terminal_size_of(std::io::stdout()).map_or(WITHOUT_TERMINAL, |(width, _)| width.0.clamp(least, most))
}

/// What is wrong with a reply that is not the answer asked for.
fn refusal(reply: &Reply, accept: Accept) -> Option<Failure> {
    if reply.is("application/problem+json") {
        return Some(Failure { text: problem::readable(reply.status, &reply.body), code: REFUSED });
    }
    if !(200..300).contains(&reply.status) {
        return Some(Failure::no_answer(reply.strange_status()));
    }
    if !reply.is(accept.media_type()) {
        let kind = if reply.kind.is_empty() { "no content type" } else { &reply.kind };
        let wanted = accept.media_type();
        return Some(Failure::no_answer(format!(
            "{} answered with {kind} where {wanted} was asked for. Is it this service that runs there?",
            reply.from
        )));
    }
    None
}

/// Writes the answer. A reader that has seen enough, as `head` does, is no error.
fn print(bytes: &[u8], out: &mut dyn Write) -> Result<(), Failure> {
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::no_answer(format!("The answer could not be written: {error}")))
        }
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests;

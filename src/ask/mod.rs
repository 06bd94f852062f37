//! The client: sends request files to a service, or to one it starts itself, and prints the answers.
//!
//! A request goes out over real HTTP, byte for byte as it is in the file. The answer is printed as it comes. Only answers are written
//! to standard output; everything else goes to standard error.

mod lines;
mod link;
mod output;
mod place;
mod problem;
mod question;
mod send;
mod token;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use std::io::Write;
use std::path::PathBuf;

pub use crate::http::resources::resource::Resource;
pub use send::{ANSWER_WITHIN, healthcheck};

use crate::http::negotiate::Media;
use crate::http::present::words::clean;
use link::open_to_all;
use output::Output;
use question::Request;
use send::{Reply, Service};

/// Exit code: every answer was printed.
pub const ANSWERED: i32 = 0;
/// Exit code: the service looked at a request and refused it.
pub const REFUSED: i32 = 1;
/// Exit code: there was no answer, because a file could not be read or the service not reached.
pub const NO_ANSWER: i32 = 2;

/// What `--help` ends with.
const EXIT_CODES: &str = "Exit codes: 0 if every request was answered, 1 if one was refused, 2 if one got no answer (a file cannot be \
                          read, the service cannot be reached, the command line is wrong). Answers go to standard output, all else to \
                          standard error.";

/// What `barrowful ask` takes from the command line.
#[derive(Debug, Clone, Default, clap::Args)]
#[command(after_help = EXIT_CODES)]
pub struct AskArgs {
    /// The request files (JSON); "-" reads standard input
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
    /// Where the service is, such as http://127.0.0.1:8080; without it one is started for these requests
    #[arg(long, value_name = "URL", env = "BARROWFUL_URL")]
    pub to: Option<String>,
    /// The format of the answer: text unless given
    #[arg(long = "as", value_name = "FORMAT", value_parser = form())]
    pub form: Option<Media>,
    /// The same as --as json; whatever goes wrong is reported in JSON too
    #[arg(long, conflicts_with_all = ["csv", "form"])]
    pub json: bool,
    /// The same as --as csv
    #[arg(long, conflicts_with = "form")]
    pub csv: bool,
    /// Which table, where an answer has several as CSV
    #[arg(long, value_name = "NAME")]
    pub table: Option<String>,
    /// Leave nothing out of the text
    #[arg(long)]
    pub all: bool,
    /// Which question the file asks; without it, found from the file's fields
    #[arg(long, value_enum, value_name = "RESOURCE")]
    pub resource: Option<Resource>,
    /// Write the answer into this file; with several requests, into this folder
    #[arg(short, long, value_name = "PATH")]
    pub output: Option<PathBuf>,
    /// Open the answer in the program for such files; a sheet (--as html) unless another format is asked for
    #[arg(long)]
    pub open: bool,
    /// Print the address that gives the answer by GET, for subscriptions and imports, without a password; a calendar unless another format
    /// is asked for
    #[arg(long, requires = "to", conflicts_with_all = ["open", "all"])]
    pub link: bool,
    /// The files hold one question on each line, as {"ask": "seasons", "body": {...}} or as the request alone; answers are lines too.
    /// Each has the number of its line; lines are numbered through all files, empty ones included
    #[arg(long, conflicts_with_all = ["form", "json", "csv", "table", "all", "open", "link"])]
    pub lines: bool,
    /// The token of the service; without it that of BARROWFUL_TOKEN
    #[arg(long, value_name = "TOKEN")]
    pub token: Option<String>,
    /// A file whose first line is the token; without it the file named by BARROWFUL_TOKEN_FILE
    #[arg(long, value_name = "FILE", conflicts_with = "token")]
    pub token_file: Option<PathBuf>,
}

/// The forms of an answer, by their words.
fn form() -> impl TypedValueParser<Value = Media> {
    const FORMS: [Media; 6] = [Media::Text, Media::Json, Media::Csv, Media::Html, Media::Svg, Media::Calendar];
    PossibleValuesParser::new(FORMS.map(Media::as_str))
        .map(|word| FORMS.into_iter().find(|form| form.as_str() == word).unwrap_or(Media::Text))
}

impl AskArgs {
    /// The form of the answers.
    fn form(&self) -> Media {
        match self.form {
            Some(form) => form,
            None if self.json => Media::Json,
            None if self.csv || self.table.is_some() => Media::Csv,
            None if self.link => Media::Calendar,
            None if self.open => Media::Html,
            None => Media::Text,
        }
    }
}

/// A service that was started for some requests. It stops when it is dropped.
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

    /// Writes it, and returns its code.
    fn report(self, args: &AskArgs, err: &mut dyn Write) -> i32 {
        let text = if args.json && self.code == NO_ANSWER {
            serde_json::json!({"title": "There is no answer", "detail": self.text}).to_string()
        } else {
            self.text
        };
        // When even standard error is closed, the exit code still says it.
        let _ = writeln!(err, "{}", text.trim_end());
        self.code
    }
}

/// Reads the requests, sends them, prints the answers to `out` or what went wrong to `err`; returns the exit code.
///
/// `start` is called only without `--to`, and only once a request has been read; what it returns is dropped as soon as
/// the answers are in. The exit code is [`ANSWERED`], [`REFUSED`] or [`NO_ANSWER`], the worst of all requests.
/// Blocks for up to 30 seconds a request, so it must not be called on a thread that drives asynchronous tasks.
pub fn run(
    args: &AskArgs,
    start: impl FnOnce() -> Result<Box<dyn Running>, String>,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> i32 {
    let mut tell = |failure: Failure| failure.report(args, err);
    if args.link && args.to.as_ref().is_none_or(String::is_empty) {
        return tell(Failure::no_answer(
            "A link needs the address of a service that stays: give it with --to.".to_owned(),
        ));
    }
    if args.lines {
        return lines::run(args, start, out).map_or_else(tell, |refused| if refused { REFUSED } else { ANSWERED });
    }
    let requests: Vec<_> = args.files.iter().map(|file| question::read(file, args.resource)).collect();
    // Nothing is started for requests that cannot be read.
    let reached = match requests.iter().any(Result::is_ok).then(|| service(args, start)).transpose() {
        Ok(reached) => reached,
        Err(failure) => return tell(failure),
    };
    let (mut code, mut output) = (ANSWERED, Output::new(args));
    for (file, request) in args.files.iter().zip(requests) {
        let answered = match (request, &reached) {
            (Ok(request), Some((service, _))) => {
                answer(args, &request, service).and_then(|bytes| output.print(file, &bytes, out))
            }
            (Err(why), _) => Err(Failure::no_answer(why)),
            (Ok(_), None) => Ok(()),
        };
        code = code.max(answered.map_or_else(&mut tell, |()| ANSWERED));
    }
    code
}

/// The service that is asked, and what keeps it running if it was started here.
type Reached = (Service, Option<Box<dyn Running>>);

/// Reaches the service, or starts one.
fn service(args: &AskArgs, start: impl FnOnce() -> Result<Box<dyn Running>, String>) -> Result<Reached, Failure> {
    let Some(url) = args.to.as_ref().filter(|url| !url.is_empty()) else {
        let running =
            start().map_err(|why| Failure::no_answer(format!("The service could not be started: {}", clean(&why))))?;
        let service = Service::new(&running.url(), None).map_err(Failure::no_answer)?;
        return Ok((service, Some(running)));
    };
    let token = token::read(args, |name| std::env::var_os(name)).map_err(Failure::no_answer)?;
    Ok((Service::new(url, token).map_err(Failure::no_answer)?, None))
}

/// The bytes that are printed for a request.
fn answer(args: &AskArgs, request: &Request, service: &Service) -> Result<Vec<u8>, Failure> {
    let form = args.form();
    if args.link {
        let address = link::address(args, request, service)?;
        let reply = service.get(&address).map_err(Failure::no_answer)?;
        return refusal(args, request, &reply)
            .map_or_else(|| Ok(format!("{}\n", open_to_all(address)).into_bytes()), Err);
    }
    let reply = service.post(request, form, &options(args)).map_err(Failure::no_answer)?;
    refusal(args, request, &reply).map_or(Ok(reply.body), Err)
}

/// What the address says of how the answer is written.
fn options(args: &AskArgs) -> Vec<(&'static str, String)> {
    let mut options = Vec::new();
    if args.form() == Media::Text {
        options.extend([("width", width().to_string()), ("all", args.all.to_string())]);
    }
    options.extend(args.table.clone().map(|table| ("table", table)));
    options
}

/// How wide a line may be where there is no terminal.
const WITHOUT_TERMINAL: u16 = 100;

/// How wide the terminal is, within what the service takes.
fn width() -> u16 {
    let (least, most) = crate::http::present::options::WIDTHS;
    terminal_size::terminal_size_of(std::io::stdout()).map_or(WITHOUT_TERMINAL, |(width, _)| width.0.clamp(least, most))
}

/// What is wrong with a reply that is not the answer asked for.
fn refusal(args: &AskArgs, request: &Request, reply: &Reply) -> Option<Failure> {
    if reply.is("application/problem+json") {
        let text = if args.json {
            String::from_utf8_lossy(&reply.body).into_owned()
        } else {
            problem::readable(reply.status, &reply.body, Some(request))
        };
        return Some(Failure { text, code: REFUSED });
    }
    if !(200..300).contains(&reply.status) {
        return Some(Failure::no_answer(reply.strange_status()));
    }
    let wanted = args.form().name();
    if !reply.is(wanted) {
        let kind = if reply.kind.is_empty() { "no content type" } else { &reply.kind };
        return Some(Failure::no_answer(format!(
            "{} answered with {kind} where {wanted} was asked for. Is this the service that runs there?",
            reply.from
        )));
    }
    None
}

#[cfg(test)]
mod tests;

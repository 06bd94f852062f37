//! Many questions in one stream: the lines of the files go to `/v1/batch`, and the answers are printed as they come.

use super::output::{is_input, print};
use super::question::{find, name_of, open};
use super::{AskArgs, Failure, Resource, Running, problem, service};
use crate::http::present::words::clean;
use futures_util::stream::unfold;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use serde::Deserialize;
use serde_json::Value;
use std::collections::HashSet;
use std::fs::File;
use std::io::{self, BufRead, BufReader, IsTerminal, Read, Write};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::mpsc;

/// Bytes of lines that are sent together, where so many are there at once.
const PIECE: usize = 64 * 1024;

/// The last line of a batch.
#[derive(Deserialize)]
struct End {
    end: bool,
    lines: u64,
    refused: u64,
    problem: Option<Value>,
}

/// Sends all lines and prints all answers. Tells whether one was refused.
pub(super) fn run(
    args: &AskArgs,
    start: impl FnOnce() -> Result<Box<dyn Running>, String>,
    out: &mut dyn Write,
) -> Result<bool, Failure> {
    if let Some(file) = args.files.iter().find(|file| is_input(args.output.as_deref(), file)) {
        let name = name_of(file);
        return Err(Failure::no_answer(format!("{name} holds the questions; write the answers into another file.")));
    }
    let (service, _running) = service(args, start)?;
    let wrapped = Wrapped::default();
    let (bar, sink) = (bar(args), sink(args, out)?);
    let mut answers = Answers { bar, sink, rest: Vec::new(), answered: 0, end: None, wrapped: wrapped.clone() };
    let (lines, unread) = lines(args, wrapped);
    // Reads answers while it sends: whoever first sends all would wait for a service that waits for its reader.
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime.map_err(|error| Failure::no_answer(format!("The program could not start: {error}.")))?;
    runtime.block_on(async {
        let lines = unfold(lines, async |mut lines| lines.recv().await.map(|piece| (Ok::<_, io::Error>(piece), lines)));
        let mut streamed = service.stream(lines).await.map_err(Failure::no_answer)?;
        if !streamed.is("application/x-ndjson") {
            let reply = streamed.read().await.map_err(Failure::no_answer)?;
            return Err(if reply.is("application/problem+json") {
                Failure { text: problem::readable(reply.status, &reply.body, None), code: super::REFUSED }
            } else {
                Failure::no_answer(reply.strange_status())
            });
        }
        while let Some(piece) = streamed.next().await.map_err(|why| Failure::no_answer(answers.cut(&why)))? {
            if !answers.take(&piece)? {
                return Ok(false);
            }
        }
        answers.outcome(unread)
    })
}

/// The numbers of the lines that were sent as the body of their question and are not answered yet.
#[derive(Clone, Default)]
struct Wrapped(Arc<Mutex<HashSet<u64>>>);

impl Wrapped {
    fn add(&self, number: u64) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).insert(number);
    }

    /// Whether this is the answer to one of them, which is then answered.
    fn is_answered_by(&self, line: &[u8]) -> bool {
        let digits = line.strip_prefix(b"{\"line\":").unwrap_or_default();
        let digits = digits.split(|byte| !byte.is_ascii_digit()).next().unwrap_or_default();
        let number = std::str::from_utf8(digits).ok().and_then(|digits| digits.parse::<u64>().ok());
        number.is_some_and(|number| self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&number))
    }
}

/// A refusal with pointers into the line of the file; `None` for any other answer.
fn with_own_pointers(line: &[u8]) -> Option<Vec<u8>> {
    /// All but the status is passed over, since answers are long.
    #[derive(Deserialize)]
    struct Answer {
        status: u16,
    }
    serde_json::from_slice::<Answer>(line).ok().filter(|answer| answer.status != 200)?;
    let mut answer: Value = serde_json::from_slice(line).ok()?;
    for error in answer.get_mut("problem")?.get_mut("errors")?.as_array_mut()? {
        let Some(pointer) = error.get_mut("pointer") else { continue };
        let own = pointer.as_str().and_then(|at| at.strip_prefix("/body")).map(Value::from);
        if let Some(own) = own {
            *pointer = own;
        }
    }
    let mut line = serde_json::to_vec(&answer).ok()?;
    line.push(b'\n');
    Some(line)
}

/// The answers so far.
struct Answers<'o> {
    bar: ProgressBar,
    sink: Box<dyn Write + 'o>,
    /// The beginning of a line.
    rest: Vec<u8>,
    answered: u64,
    end: Option<End>,
    wrapped: Wrapped,
}

impl Answers<'_> {
    /// Prints the whole lines of what came; false if nobody reads on.
    fn take(&mut self, piece: &[u8]) -> Result<bool, Failure> {
        self.rest.extend_from_slice(piece);
        let whole = self.rest.iter().rposition(|byte| *byte == b'\n').map_or(0, |end| end + 1);
        let rest = self.rest.split_off(whole);
        let lines = std::mem::replace(&mut self.rest, rest);
        let mut printed = Vec::with_capacity(lines.len());
        for line in lines.split_inclusive(|byte| *byte == b'\n') {
            match line.starts_with(b"{\"end\"").then(|| serde_json::from_slice::<End>(line).ok()).flatten() {
                Some(end) => self.end = Some(end),
                None => self.answered += 1,
            }
            match self.wrapped.is_answered_by(line).then(|| with_own_pointers(line)).flatten() {
                Some(line) => printed.extend(line),
                None => printed.extend_from_slice(line),
            }
        }
        self.bar.set_position(self.answered);
        print(&printed, &mut self.sink)
    }

    /// Whether a line was refused, once all answers came.
    fn outcome(&self, mut unread: mpsc::UnboundedReceiver<String>) -> Result<bool, Failure> {
        self.bar.finish_and_clear();
        let Some(end) = &self.end else { return Err(Failure::no_answer(self.cut("the last line is missing"))) };
        let why = end.problem.as_ref().and_then(|problem| problem.get("detail")).and_then(Value::as_str);
        if !end.end {
            return Err(Failure::no_answer(self.cut(&clean(why.unwrap_or("the service says no more")))));
        }
        match unread.try_recv() {
            // A file that could not be read ended the lines early.
            Ok(why) => Err(Failure::no_answer(format!("{why} {} lines before that were answered.", end.lines))),
            Err(_) => Ok(end.refused > 0),
        }
    }

    fn cut(&self, why: &str) -> String {
        format!("The stream ended after {} answers ({why}). Send the lines that have no answer again.", self.answered)
    }
}

/// Where the answers go.
fn sink<'o>(args: &AskArgs, out: &'o mut dyn Write) -> Result<Box<dyn Write + 'o>, Failure> {
    let Some(path) = &args.output else { return Ok(Box::new(out)) };
    let file = File::create(path);
    let file = file.map_err(|error| Failure::no_answer(format!("{} could not be written: {error}.", name_of(path))))?;
    Ok(Box::new(file))
}

/// A bar in a terminal where the number of lines is known, else a count; nothing where there is no terminal, or where the answers are printed
/// there.
fn bar(args: &AskArgs) -> ProgressBar {
    let style =
        |template: &str| ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar());
    let target = ProgressDrawTarget::stderr();
    if target.is_hidden() || (args.output.is_none() && io::stdout().is_terminal()) {
        return ProgressBar::hidden();
    }
    // What is no file can be read only once.
    let count = |file: &PathBuf| -> Option<u64> {
        let file =
            std::fs::metadata(file).ok().filter(std::fs::Metadata::is_file).and_then(|_| File::open(file).ok())?;
        let lines = BufReader::new(file).split(b'\n').map_while(Result::ok);
        u64::try_from(lines.filter(|line| !line.trim_ascii().is_empty()).count()).ok()
    };
    let counted: Option<u64> = args.files.iter().map(count).sum();
    let template =
        if counted.is_some() { "{bar:40} {pos} of {len} lines, {eta} left" } else { "{pos} lines in {elapsed}" };
    ProgressBar::with_draw_target(counted, target).with_style(style(template))
}

/// The lines of all files, one after the other, each with the name of its question; and what could not be read.
fn lines(args: &AskArgs, wrapped: Wrapped) -> (mpsc::Receiver<Vec<u8>>, mpsc::UnboundedReceiver<String>) {
    let ((send, lines), (tell, unread)) = (mpsc::channel(1), mpsc::unbounded_channel());
    let (files, resource) = (args.files.clone(), args.resource);
    // Waiting for a file or for standard input must not hold up the answers.
    std::thread::spawn(move || {
        let mut sender = Sender { resource, send, wrapped, sent: 0 };
        for file in &files {
            let read = open(file).and_then(|content| {
                let read = sender.send_lines(&mut BufReader::new(content));
                read.map_err(|error| format!("{} could not be read to the end: {error}.", name_of(file)))
            });
            match read {
                Ok(true) => {}
                Ok(false) => return,
                Err(why) => {
                    // Whoever listens no longer has another reason to end.
                    let _ = tell.send(why);
                    return;
                }
            }
        }
    });
    (lines, unread)
}

/// Sends lines, which count on from one file to the next.
struct Sender {
    resource: Option<Resource>,
    send: mpsc::Sender<Vec<u8>>,
    wrapped: Wrapped,
    sent: u64,
}

impl Sender {
    /// Sends the lines of a file, several together where they are there; false if nobody takes them any more.
    fn send_lines<R: Read>(&mut self, content: &mut BufReader<R>) -> io::Result<bool> {
        let mut piece = Vec::new();
        loop {
            let mut line = Vec::new();
            let is_over = content.read_until(b'\n', &mut line)? == 0;
            piece.extend(self.with_question(line));
            let is_more_there = !is_over && content.buffer().contains(&b'\n');
            if !piece.is_empty()
                && (piece.len() >= PIECE || !is_more_there)
                && self.send.blocking_send(std::mem::take(&mut piece)).is_err()
            {
                return Ok(false);
            }
            if is_over {
                return Ok(true);
            }
        }
    }

    /// The line unchanged if it says what it asks, or that is unknown; else the request with its question.
    fn with_question(&mut self, mut line: Vec<u8>) -> Vec<u8> {
        self.sent += u64::from(!line.is_empty());
        if !line.is_empty() && !line.ends_with(b"\n") {
            line.push(b'\n');
        }
        let Ok(content) = serde_json::from_slice::<Value>(&line) else { return line };
        if content.get("ask").is_some() {
            return line;
        }
        let Some(resource) = self.resource.or_else(|| find(&content).ok()) else { return line };
        self.wrapped.add(self.sent);
        let name = resource.name();
        [format!("{{\"ask\":\"{name}\",\"body\":").as_bytes(), line.trim_ascii(), b"}\n"].concat()
    }
}

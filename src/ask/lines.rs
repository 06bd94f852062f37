//! Many questions in one stream: the lines of the files go to `/v1/batch`, and the answers are printed as they come.

use super::output::print;
use super::question::{find, name_of, open};
use super::{AskArgs, Failure, Running, problem, service};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use serde::Deserialize;
use serde_json::Value;
use std::fs::File;
use std::io::{self, BufRead, BufReader, Cursor, Read, Write};
use std::path::PathBuf;
use std::sync::mpsc;

/// The last line of a batch.
#[derive(Deserialize)]
struct End {
    lines: u64,
    refused: u64,
}

/// Sends all lines and prints all answers. Tells whether one was refused.
pub(super) fn run(
    args: &AskArgs,
    start: impl FnOnce() -> Result<Box<dyn Running>, String>,
    out: &mut dyn Write,
) -> Result<bool, Failure> {
    let bar = bar(&args.files);
    let Some((service, _running)) = service(args, start)? else { return Ok(false) };
    let (tell, unread) = mpsc::channel();
    let lines =
        Lines { files: args.files.clone(), resource: args.resource, file: None, line: Cursor::default(), unread: tell };
    let response = service.stream(lines).map_err(Failure::no_answer)?;
    if !response.is("application/x-ndjson") {
        let reply = response.read().map_err(Failure::no_answer)?;
        if reply.is("application/problem+json") {
            return Err(Failure { text: problem::readable(reply.status, &reply.body, None), code: super::REFUSED });
        }
        return Err(Failure::no_answer(reply.strange_status()));
    }
    let mut sink = sink(args, out)?;
    let mut answered = 0;
    for line in BufReader::new(response.inner).split(b'\n') {
        let mut line = line.map_err(|error| Failure::no_answer(cut(answered, &error.to_string())))?;
        let end = line.starts_with(b"{\"end\"").then(|| serde_json::from_slice::<End>(&line).ok()).flatten();
        line.push(b'\n');
        print(&line, &mut sink)?;
        answered += 1;
        bar.inc(1);
        if let Some(end) = end {
            bar.finish_and_clear();
            // A file that could not be read ended the lines early.
            let early = |why| Err(Failure::no_answer(format!("{why} {} lines before that were answered.", end.lines)));
            return unread.try_recv().map_or(Ok(end.refused > 0), early);
        }
    }
    Err(Failure::no_answer(cut(answered, "the last line is missing")))
}

/// Where the answers go.
fn sink<'o>(args: &AskArgs, out: &'o mut dyn Write) -> Result<Box<dyn Write + 'o>, Failure> {
    let Some(path) = &args.output else { return Ok(Box::new(out)) };
    let file = File::create(path);
    let file = file.map_err(|error| Failure::no_answer(format!("{} could not be written: {error}.", name_of(path))))?;
    Ok(Box::new(file))
}

fn cut(answered: u64, why: &str) -> String {
    format!("The stream was cut after {answered} answers ({why}); send the lines after the last answer again.")
}

/// A bar in a terminal where the number of lines is known, else one that only counts; nothing where there is no terminal.
fn bar(files: &[PathBuf]) -> ProgressBar {
    let style =
        |template: &str| ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar());
    let count = |file: &PathBuf| -> Option<u64> {
        let file = BufReader::new(File::open(file).ok()?);
        u64::try_from(file.split(b'\n').map_while(Result::ok).filter(|line| !line.trim_ascii().is_empty()).count()).ok()
    };
    let target = ProgressDrawTarget::stderr();
    if target.is_hidden() {
        return ProgressBar::hidden();
    }
    let counted: Option<u64> = files.iter().map(count).sum();
    let template =
        if counted.is_some() { "{bar:40} {pos} of {len} lines, {eta} left" } else { "{pos} lines in {elapsed}" };
    ProgressBar::with_draw_target(counted, target).with_style(style(template))
}

/// The lines of all files, one after the other, each with the name of its question.
struct Lines {
    files: Vec<PathBuf>,
    resource: Option<super::Resource>,
    file: Option<Box<dyn BufRead + Send>>,
    line: Cursor<Vec<u8>>,
    /// Hears of a file that cannot be read.
    unread: mpsc::Sender<String>,
}

impl Lines {
    /// The next line of the files, with a line break.
    fn next(&mut self) -> Option<Vec<u8>> {
        loop {
            if self.file.is_none() {
                if self.files.is_empty() {
                    return None;
                }
                let name = self.files.remove(0);
                match open(&name) {
                    Ok(file) => self.file = Some(Box::new(BufReader::new(file))),
                    Err(why) => return self.stop(why),
                }
            }
            let mut line = Vec::new();
            match self.file.as_mut()?.read_until(b'\n', &mut line) {
                Ok(0) => self.file = None,
                Ok(_) => return Some(self.with_question(line)),
                Err(error) => return self.stop(format!("A file could not be read to its end: {error}.")),
            }
        }
    }

    fn stop(&mut self, why: String) -> Option<Vec<u8>> {
        let _ = self.unread.send(why);
        self.files.clear();
        None
    }

    /// The line as it stands if it says what it asks, or cannot be told; else the request with its question.
    fn with_question(&self, mut line: Vec<u8>) -> Vec<u8> {
        if !line.ends_with(b"\n") {
            line.push(b'\n');
        }
        let Ok(content) = serde_json::from_slice::<Value>(&line) else { return line };
        if content.get("ask").is_some() {
            return line;
        }
        let Some(resource) = self.resource.or_else(|| find(&content).ok()) else { return line };
        let name = resource.name();
        [format!("{{\"ask\":\"{name}\",\"body\":").as_bytes(), line.trim_ascii(), b"}\n"].concat()
    }
}

impl Read for Lines {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        loop {
            let read = self.line.read(into)?;
            if read > 0 {
                return Ok(read);
            }
            let Some(line) = self.next() else { return Ok(0) };
            self.line = Cursor::new(line);
        }
    }
}

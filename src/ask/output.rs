//! Where an answer goes: to standard output, into a file or a folder, and to the program for such files.

use super::{AskArgs, Failure};
use crate::http::negotiate::Media;
use crate::http::present::words::clean;
use std::collections::BTreeSet;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Where the answers go, and what was written so far.
pub(super) struct Output<'a> {
    args: &'a AskArgs,
    written: BTreeSet<PathBuf>,
}

impl<'a> Output<'a> {
    /// That of these arguments.
    pub(super) const fn new(args: &'a AskArgs) -> Self {
        Self { args, written: BTreeSet::new() }
    }

    /// Writes the answer to the request of a file, and opens it where that is asked for.
    pub(super) fn print(&mut self, file: &Path, bytes: &[u8], out: &mut dyn Write) -> Result<(), Failure> {
        let several = self.args.files.len() > 1;
        let Some(path) = self.path(file).map_err(Failure::no_answer)? else {
            let heading = several && self.args.form() == Media::Text && !self.args.link;
            let heading = heading.then(|| format!("== {}\n", clean(&file.display().to_string())));
            let line = if several && !bytes.ends_with(b"\n") { &b"\n"[..] } else { b"" };
            return print(&[heading.unwrap_or_default().as_bytes(), bytes, line].concat(), out).map(|_| ());
        };
        let name = clean(&path.display().to_string());
        if !self.written.insert(path.clone()) || self.args.files.iter().any(|input| is_input(Some(&path), input)) {
            let detail =
                format!("{name} would be written over; choose another --output, or ask for one file at a time.");
            return Err(Failure::no_answer(detail));
        }
        std::fs::write(&path, bytes)
            .map_err(|error| Failure::no_answer(format!("{name} could not be written: {error}.")))?;
        if self.args.open {
            open::that_detached(&path)
                .map_err(|error| Failure::no_answer(format!("No program opens {name}: {error}. It is written.")))?;
        }
        Ok(())
    }

    /// The file that the answer is written to, if any.
    fn path(&self, file: &Path) -> Result<Option<PathBuf>, String> {
        let stem = file.file_stem().filter(|stem| *stem != "-").map_or("answer".into(), |stem| stem.to_owned());
        let named = |folder: &Path| {
            let mut name = stem.clone();
            name.push(".");
            name.push(extension(self.args.form()));
            folder.join(name)
        };
        Ok(match &self.args.output {
            Some(folder) if self.args.files.len() > 1 || folder.is_dir() => Some(named(folder)),
            Some(file) => Some(file.clone()),
            None if self.args.open => Some(named(&own_folder()?)),
            None => None,
        })
    }
}

/// A new folder that only the caller can read: the folder for temporary files is everybody's.
fn own_folder() -> Result<PathBuf, String> {
    let folder = std::env::temp_dir().join(format!("barrowful-{}", uuid::Uuid::new_v4()));
    let mut builder = std::fs::DirBuilder::new();
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    let made = builder.create(&folder);
    made.map_err(|error| format!("{} could not be made: {error}.", clean(&folder.display().to_string())))?;
    Ok(folder)
}

/// Whether an answer would be written over a file with a request.
pub(super) fn is_input(output: Option<&Path>, input: &Path) -> bool {
    let real = |path: &Path| path.canonicalize().ok();
    output.and_then(real).is_some_and(|output| real(input) == Some(output))
}

/// What the name of a file in this form ends with.
const fn extension(form: Media) -> &'static str {
    match form {
        Media::Json => "json",
        Media::Csv => "csv",
        Media::Text => "txt",
        Media::Html => "html",
        Media::Svg => "svg",
        Media::Calendar => "ics",
        Media::Lines => "jsonl",
    }
}

/// Writes bytes; false if nobody reads on. A reader that has seen enough, as `head` does, is no error.
pub(super) fn print(bytes: &[u8], out: &mut dyn Write) -> Result<bool, Failure> {
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Ok(()) => Ok(true),
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(false),
        Err(error) => Err(Failure::no_answer(format!("The answer could not be written: {error}"))),
    }
}

//! Where an answer goes: to standard output, into a file or a folder, and to the program for such files.

use super::{AskArgs, Failure};
use crate::http::negotiate::Media;
use crate::http::present::words::clean;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Where the answer to a request goes.
pub(super) struct Output<'a> {
    args: &'a AskArgs,
    file: &'a Path,
}

impl<'a> Output<'a> {
    /// That of the request in this file.
    pub(super) const fn new(args: &'a AskArgs, file: &'a Path) -> Self {
        Self { args, file }
    }

    /// Writes the answer, and opens it where that is asked for.
    pub(super) fn print(&self, bytes: &[u8], out: &mut dyn Write) -> Result<(), Failure> {
        let Some(path) = self.path() else {
            let heading = (self.args.files.len() > 1 && self.args.form() == Media::Text && !self.args.link)
                .then(|| format!("== {}\n", clean(&self.file.display().to_string())));
            let line = if self.args.files.len() > 1 && !bytes.ends_with(b"\n") { &b"\n"[..] } else { b"" };
            return print(&[heading.unwrap_or_default().as_bytes(), bytes, line].concat(), out);
        };
        let name = clean(&path.display().to_string());
        std::fs::write(&path, bytes)
            .map_err(|error| Failure::no_answer(format!("{name} could not be written: {error}.")))?;
        if self.args.open {
            open::that_detached(&path)
                .map_err(|error| Failure::no_answer(format!("No program opens {name}: {error}. It is written.")))?;
        }
        Ok(())
    }

    /// The file that the answer is written to, if any.
    fn path(&self) -> Option<PathBuf> {
        let stem = self.file.file_stem().filter(|stem| *stem != "-").map_or("answer".into(), |stem| stem.to_owned());
        let named = |folder: &Path| {
            let mut name = stem.clone();
            name.push(".");
            name.push(extension(self.args.form()));
            folder.join(name)
        };
        match &self.args.output {
            Some(folder) if self.args.files.len() > 1 || folder.is_dir() => Some(named(folder)),
            Some(file) => Some(file.clone()),
            None if self.args.open => Some(named(&std::env::temp_dir())),
            None => None,
        }
    }
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

/// Writes bytes. A reader that has seen enough, as `head` does, is no error.
pub(super) fn print(bytes: &[u8], out: &mut dyn Write) -> Result<(), Failure> {
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::no_answer(format!("The answer could not be written: {error}")))
        }
        _ => Ok(()),
    }
}

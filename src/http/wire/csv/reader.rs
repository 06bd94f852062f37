//! Reads rows of CSV one after another, and counts lines and cells.

use super::{SheetRow, error};
use crate::http::wire::codes::ErrorCode;
use crate::http::wire::error::RequestError;
use crate::http::wire::sentences::quoted;
use std::borrow::Cow;
use std::iter::Peekable;
use std::str::CharIndices;

/// Reads one row after another.
pub(super) struct Reader<'t> {
    text: &'t str,
    letters: Peekable<CharIndices<'t>>,
    delimiter: char,
    /// So many cells of a row are kept; all are counted.
    most: usize,
    /// The cells of the row that was read last.
    pub(super) counted: usize,
    line: usize,
}

/// What a cell ends with.
#[derive(PartialEq, Eq)]
enum End {
    Cell,
    Row,
}

impl<'t> Reader<'t> {
    /// Reads a text that begins on this line of a file.
    pub(super) fn new((text, line): (&'t str, usize), (delimiter, most): (char, usize)) -> Self {
        Self { text, letters: text.char_indices().peekable(), delimiter, most, counted: 0, line }
    }

    /// The next row; `None` at the end of the text.
    pub(super) fn row(&mut self) -> Option<Result<SheetRow<'t>, RequestError>> {
        self.letters.peek()?;
        let (line, mut cells) = (self.line, Vec::new());
        self.counted = 0;
        loop {
            let is_quoted = self.letters.next_if(|(_, letter)| *letter == '"').is_some();
            self.counted += 1;
            let column = self.counted;
            let cell = if is_quoted { self.quoted(column) } else { self.plain(column) };
            match cell {
                Ok(cell) if column <= self.most => cells.push(cell),
                Ok(_) => {}
                Err(error) => return Some(Err(error)),
            }
            if self.end() == End::Row {
                return Some(Ok(SheetRow { line, cells }));
            }
        }
    }

    /// Where the next letter begins.
    fn offset(&mut self) -> usize {
        self.letters.peek().map_or(self.text.len(), |(at, _)| *at)
    }

    fn from(&self, start: usize, end: usize) -> &'t str {
        self.text.get(start..end).unwrap_or_default()
    }

    /// A cell without quotes around it.
    fn plain(&mut self, column: usize) -> Result<Cow<'t, str>, RequestError> {
        let start = self.offset();
        let delimiter = self.delimiter;
        let goes_on = |letter: char| letter != delimiter && letter != '\n' && letter != '\r';
        while let Some((_, letter)) = self.letters.next_if(|(_, letter)| goes_on(*letter)) {
            if letter == '"' {
                let end = self.offset();
                let cell = quoted(self.from(start, end));
                let line = self.line;
                let detail = format!(
                    "Line {line}, column {column}: there is a quote inside a cell that has no quotes around it: {cell}. Put the cell into double \
                     quotes and write the quote in it twice, as in \"6' 4\"\"\"."
                );
                return Err(error((line, Some(column)), ErrorCode::NotCsv, detail));
            }
        }
        let end = self.offset();
        Ok(Cow::Borrowed(self.from(start, end)))
    }

    /// A cell after its opening quote.
    fn quoted(&mut self, column: usize) -> Result<Cow<'t, str>, RequestError> {
        let (line, mut start) = (self.line, self.offset());
        let mut cell = Cow::Borrowed("");
        loop {
            let Some((at, letter)) = self.letters.next() else {
                let detail = format!("Line {line}, column {column}: the quote that opens this cell is never closed.");
                return Err(error((line, Some(column)), ErrorCode::NotCsv, detail));
            };
            match letter {
                '"' => {
                    let part = self.from(start, at);
                    if cell.is_empty() {
                        cell = Cow::Borrowed(part)
                    } else {
                        cell.to_mut().push_str(part)
                    }
                    if self.letters.next_if(|(_, letter)| *letter == '"').is_none() {
                        break;
                    }
                    cell.to_mut().push('"');
                    start = self.offset();
                }
                '\n' => self.line += 1,
                '\r' if self.letters.peek().is_none_or(|(_, next)| *next != '\n') => self.line += 1,
                _ => {}
            }
        }
        let delimiter = self.delimiter;
        if self.letters.peek().is_some_and(|(_, next)| *next != delimiter && *next != '\n' && *next != '\r') {
            let line = self.line;
            let detail = format!(
                "Line {line}, column {column}: text follows the quote that closes this cell. Write a quote that belongs to the cell twice."
            );
            return Err(error((line, Some(column)), ErrorCode::NotCsv, detail));
        }
        Ok(cell)
    }

    /// Passes over what ends a cell.
    fn end(&mut self) -> End {
        match self.letters.next() {
            Some((_, letter)) if letter == self.delimiter => End::Cell,
            Some((_, letter)) => {
                if letter == '\r' {
                    self.letters.next_if(|(_, next)| *next == '\n');
                }
                self.line += 1;
                End::Row
            }
            None => End::Row,
        }
    }
}

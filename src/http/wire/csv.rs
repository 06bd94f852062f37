//! Reading a table that came as CSV (RFC 4180), with the line of every row, so that every error can say where it is.
//!
//! Every cell is kept as it is written. What RFC 4180 does not allow is refused: a quote inside a cell that has none around it, text
//! after a closing quote, rows of different lengths. A line with nothing in it is a row of empty cells.

use super::codes::ErrorCode;
use super::error::{RequestError, Where};
use super::words::quoted;
use encoding_rs::{Encoding, UTF_8};
use std::borrow::Cow;
use std::iter::Peekable;
use std::str::CharIndices;

/// What may stand between two cells; of several that fit equally well the first counts.
const DELIMITERS: [char; 3] = [',', ';', '\t'];

/// A table: the names of its columns, and its rows.
#[must_use]
#[derive(Debug, PartialEq, Eq)]
pub struct Sheet<'t> {
    /// What stands between two cells.
    pub delimiter: char,
    /// The names of the columns.
    pub header: Vec<Cow<'t, str>>,
    /// The rows below them.
    pub rows: Vec<SheetRow<'t>>,
}

/// A row of a table: as many cells as there are columns.
#[must_use]
#[derive(Debug, PartialEq, Eq)]
pub struct SheetRow<'t> {
    /// The line of the file on which it begins, counted from 1.
    pub line: usize,
    /// Its cells.
    pub cells: Vec<Cow<'t, str>>,
}

/// How large a table may be.
#[derive(Debug, Clone, Copy)]
pub struct MostCells {
    /// Rows below the names of the columns.
    pub rows: usize,
    /// Columns.
    pub columns: usize,
}

/// Why a table was not read: all that is known to be wrong with it.
#[derive(Debug, PartialEq)]
pub struct CsvErrors {
    /// Every error, in the order of the lines; at least one.
    pub errors: Vec<RequestError>,
    /// Whether it is no CSV at all; otherwise it is too large.
    pub is_not_csv: bool,
}

impl CsvErrors {
    fn one(is_not_csv: bool, (line, column): (usize, Option<usize>), detail: String) -> Self {
        let code = if is_not_csv { ErrorCode::NotCsv } else { ErrorCode::TooLarge };
        Self { errors: vec![error((line, column), code, detail)], is_not_csv }
    }
}

/// An error at a line and a column of a table, both counted from 1; the sentence begins with the line.
#[must_use]
pub(crate) fn error((line, column): (usize, Option<usize>), code: ErrorCode, detail: String) -> RequestError {
    RequestError { at: Where::Csv { line, column }, ..RequestError::new(String::new(), code, detail) }
}

/// The text of the bytes, without a byte order mark.
///
/// # Errors
/// Bytes that are not of this encoding, or nothing at all.
pub fn text_of<'t>(bytes: &'t [u8], encoding: &'static Encoding) -> Result<Cow<'t, str>, CsvErrors> {
    let (bytes, encoding) = match bytes.strip_prefix(b"\xEF\xBB\xBF") {
        Some(rest) => (rest, UTF_8),
        None => (bytes, encoding),
    };
    let Some(text) = encoding.decode_without_bom_handling_and_without_replacement(bytes) else {
        let valid = std::str::from_utf8(bytes).err().map_or(0, |error| error.valid_up_to());
        let line = bytes.iter().take(valid).filter(|byte| **byte == b'\n').count() + 1;
        let detail = format!(
            "Line {line}: this is not UTF-8 text. Save the table as CSV in UTF-8, or declare it as \"Content-Type: text/csv; charset=windows-1252\"."
        );
        return Err(CsvErrors::one(true, (line, None), detail));
    };
    if text.trim().is_empty() {
        let detail = "The table is empty. Send the names of the columns, and below them a row for each item.";
        return Err(CsvErrors::one(true, (1, None), detail.to_owned()));
    }
    Ok(text)
}

/// Reads a table. Without a delimiter, the one that gives most columns a name that is known counts.
///
/// # Errors
/// Everything that keeps the text from being CSV, or that it is too large.
pub fn parse<'t>(
    text: &'t str,
    delimiter: Option<char>,
    is_known: impl Fn(&str) -> bool,
    most: MostCells,
) -> Result<Sheet<'t>, CsvErrors> {
    let delimiter = delimiter.unwrap_or_else(|| best_delimiter(text, is_known));
    let mut reader = Reader::new(text, (delimiter, most.columns));
    let mut wrong = Vec::new();
    let header = reader.row().transpose().map_err(not_csv)?.unwrap_or_default();
    if header.cells.iter().all(|name| name.trim().is_empty()) {
        let detail = "Line 1 is empty. The first line has the names of the columns, such as name,length,width,rate.";
        return Err(CsvErrors::one(true, (1, None), detail.to_owned()));
    }
    let (columns, mut rows) = (reader.counted, Vec::new());
    if columns > most.columns {
        let detail = format!("Line 1: the table has {columns} columns; it may have {}.", most.columns);
        return Err(CsvErrors::one(false, (1, None), detail));
    }
    while let Some(row) = reader.row() {
        crate::garden::interrupt::check();
        let mut row = match row {
            Ok(row) => row,
            // Where a quote is wrong, it is not known where the next row begins.
            Err(error) => {
                wrong.push(error);
                break;
            }
        };
        if rows.len() >= most.rows {
            let detail = format!("Line {}: the table may have {} rows; split it.", row.line, most.rows);
            return Err(CsvErrors::one(false, (row.line, None), detail));
        }
        if row.cells.len() == 1 && row.cells.iter().all(|cell| cell.is_empty()) {
            row.cells.resize(columns, Cow::Borrowed(""));
        } else if reader.counted != columns {
            if wrong.len() < MOST_RAGGED {
                wrong.push(ragged(row.line, reader.counted, columns));
            }
            row.cells.clear();
        }
        rows.push(row);
    }
    if wrong.is_empty() { Ok(Sheet { delimiter, header: header.cells, rows }) } else { Err(not_csv_all(wrong)) }
}

/// So many rows of another length are reported; there is usually one reason for all of them.
const MOST_RAGGED: usize = 100;

fn ragged(line: usize, cells: usize, columns: usize) -> RequestError {
    let more = cells > columns;
    let mend = if more {
        "Put a cell that holds what separates cells into double quotes."
    } else {
        "Leave cells empty rather than out."
    };
    let detail = format!("Line {line} has {}, and the first line {columns}. {mend}", count(cells, "cell"));
    error((line, None), ErrorCode::NotCsv, detail)
}

fn count(number: usize, what: &str) -> String {
    if number == 1 { format!("1 {what}") } else { format!("{number} {what}s") }
}

fn not_csv(error: RequestError) -> CsvErrors {
    not_csv_all(vec![error])
}

const fn not_csv_all(errors: Vec<RequestError>) -> CsvErrors {
    CsvErrors { errors, is_not_csv: true }
}

/// So many cells of the first line tell what separates them.
const MOST_LOOKED_AT: usize = 1_000;

/// The delimiter with which most names of the first line are known, then the one with which it has most cells.
fn best_delimiter(text: &str, is_known: impl Fn(&str) -> bool) -> char {
    let fit = |delimiter: char| match Reader::new(text, (delimiter, MOST_LOOKED_AT)).row() {
        Some(Ok(row)) => (row.cells.iter().filter(|name| is_known(name)).count(), row.cells.len()),
        _ => (0, 0),
    };
    let mut best = (DELIMITERS[0], (0, 0));
    for delimiter in DELIMITERS {
        let fits = fit(delimiter);
        if fits > best.1 {
            best = (delimiter, fits);
        }
    }
    best.0
}

/// Reads one row after another.
struct Reader<'t> {
    text: &'t str,
    letters: Peekable<CharIndices<'t>>,
    delimiter: char,
    /// So many cells of a row are kept; all are counted.
    most: usize,
    /// The cells of the row that was read last.
    counted: usize,
    line: usize,
}

/// What a cell ends with.
#[derive(PartialEq, Eq)]
enum End {
    Cell,
    Row,
}

impl<'t> Reader<'t> {
    fn new(text: &'t str, (delimiter, most): (char, usize)) -> Self {
        Self { text, letters: text.char_indices().peekable(), delimiter, most, counted: 0, line: 1 }
    }

    /// The next row; `None` at the end of the text.
    fn row(&mut self) -> Option<Result<SheetRow<'t>, RequestError>> {
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
                    "Line {line}, column {column}: a quote stands inside a cell that has no quotes around it: {cell}. Put the cell into double \
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

impl Default for SheetRow<'_> {
    fn default() -> Self {
        Self { line: 1, cells: Vec::new() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use encoding_rs::WINDOWS_1252;
    use proptest::prelude::*;

    const MOST: MostCells = MostCells { rows: 4, columns: 3 };

    fn read(text: &str) -> Result<Sheet<'_>, CsvErrors> {
        parse(text, None, |name| ["name", "length"].contains(&name), MOST)
    }

    fn rows<'t>(sheet: &'t Sheet<'_>) -> Vec<(usize, Vec<&'t str>)> {
        sheet.rows.iter().map(|row| (row.line, row.cells.iter().map(AsRef::as_ref).collect())).collect()
    }

    /// Line and column of the errors, and whether it is no CSV.
    fn wrong(text: &str) -> (Vec<(usize, Option<usize>)>, bool) {
        let CsvErrors { errors, is_not_csv } = read(text).unwrap_err();
        let at = |error: &RequestError| match error.at {
            Where::Csv { line, column } => (line, column),
            _ => panic!("{error:?}"),
        };
        (errors.iter().map(at).collect(), is_not_csv)
    }

    #[test]
    fn cells_are_kept_as_they_are_and_lines_are_counted_in_quotes_too() {
        let sheet = read("name,length\r\n 007 ,\"6 ft 4\"\"\nor so\"\rx,\n\n\"\",\"a\"").unwrap();
        assert_eq!(sheet.header, ["name", "length"]);
        let wanted = [(2, vec![" 007 ", "6 ft 4\"\nor so"]), (4, vec!["x", ""]), (5, vec!["", ""]), (6, vec!["", "a"])];
        assert_eq!(rows(&sheet), wanted);
    }

    #[test]
    fn the_delimiter_is_the_one_by_which_names_are_known() {
        for (text, delimiter) in [
            ("name,length\n", ','),
            ("name;length\n", ';'),
            ("name\tlength\n", '\t'),
            ("length\n", ','),
            ("name;a,b,c,d\n", ';'),
            ("\"name\";\"length\"", ';'),
            ("x;y\n", ';'),
            ("x,y;z\n", ','),
        ] {
            assert_eq!(read(text).unwrap().delimiter, delimiter, "{text}");
        }
        assert_eq!(parse("name;length", Some(','), |_| false, MOST).unwrap().header, ["name;length"]);
    }

    #[test]
    fn what_is_no_csv_is_refused_with_its_line_and_column() {
        assert_eq!(wrong("name,length\na,6\" 4\n"), (vec![(2, Some(2))], true));
        assert_eq!(wrong("name,length\na,b\n\"c,d\n"), (vec![(3, Some(1))], true));
        assert_eq!(wrong("name,length\n\"a\"b,c\n"), (vec![(2, Some(1))], true));
        assert_eq!(wrong("name,length\na\nb,c\nb,c,d\n"), (vec![(2, None), (4, None)], true));
        assert_eq!(wrong("\nname,length\n"), (vec![(1, None)], true));
        assert_eq!(wrong("a,b,c,d\n"), (vec![(1, None)], false));
        assert_eq!(wrong("a\n1\n2\n3\n4\n5\n"), (vec![(6, None)], false));
    }

    #[test]
    fn bytes_are_read_in_the_encoding_that_is_declared() {
        assert_eq!(text_of("\u{feff}Möhre".as_bytes(), UTF_8).unwrap(), "Möhre");
        assert_eq!(text_of("\u{feff}Möhre".as_bytes(), WINDOWS_1252).unwrap(), "Möhre");
        assert_eq!(text_of(b"M\xf6hre \x80", WINDOWS_1252).unwrap(), "Möhre €");
        let refused = text_of(b"a\nM\xf6hre", UTF_8).unwrap_err();
        assert_eq!(refused.errors[0].at, Where::Csv { line: 2, column: None });
        assert!(text_of(b" \r\n", UTF_8).unwrap_err().is_not_csv);
    }

    proptest! {
        /// The `csv` crate takes the same cells out of whatever is read here, and what it writes is read as it was.
        #[test]
        fn cells_are_those_that_another_reader_finds(text in "[ab,;\"\r\n]{0,24}") {
            let most = MostCells { rows: 100, columns: 100 };
            if let Ok(sheet) = parse(&text, Some(','), |_| false, most) {
                let mut builder = csv::ReaderBuilder::new();
                let mut reader = builder.has_headers(false).flexible(true).from_reader(text.as_bytes());
                let theirs: Vec<Vec<String>> =
                    reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect();
                let is_blank = |cells: &[Cow<'_, str>]| cells.iter().all(|cell| cell.is_empty());
                let ours = std::iter::once(&sheet.header).chain(sheet.rows.iter().map(|row| &row.cells));
                let ours: Vec<&Vec<Cow<'_, str>>> = ours.filter(|cells| !is_blank(cells)).collect();
                let theirs: Vec<Vec<String>> =
                    theirs.into_iter().filter(|row| row.iter().any(|cell| !cell.is_empty())).collect();
                prop_assert_eq!(ours.len(), theirs.len());
                for (one, other) in ours.iter().zip(&theirs) {
                    prop_assert_eq!(*one, other);
                }
            }
        }

        #[test]
        fn what_another_program_writes_is_read_as_it_was(cells in proptest::collection::vec("[aö,;\"\r\n ]{0,6}", 1..6)) {
            let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
            writer.write_record(cells.iter().map(|_| "x")).unwrap();
            writer.write_record(&cells).unwrap();
            let bytes = writer.into_inner().unwrap();
            let text = text_of(&bytes, UTF_8).unwrap();
            let sheet = parse(&text, Some(','), |_| false, MostCells { rows: 1, columns: 6 }).unwrap();
            prop_assert_eq!(&sheet.rows[0].cells, &cells);
        }
    }
}

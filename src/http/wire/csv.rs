//! Reading a table that came as CSV (RFC 4180), with the line of every row, so that every error can say where it is.
//!
//! Every cell is kept as it is written. What RFC 4180 does not allow is refused: a quote inside a cell that has none around it, text
//! after a closing quote, rows of different lengths. A line with nothing in it is a row without cells.

mod reader;

use super::codes::ErrorCode;
use super::error::{RequestError, Where};
use encoding_rs::{Encoding, UTF_8};
use reader::Reader;
use std::borrow::Cow;

/// What may separate two cells; of several that fit equally well the first counts.
const DELIMITERS: [char; 3] = [',', ';', '\t'];

/// A table: the names of its columns, and its rows.
#[must_use]
#[derive(Debug, PartialEq, Eq)]
pub struct Sheet<'t> {
    /// What separates two cells.
    pub delimiter: char,
    /// The line of the names of the columns, counted from 1.
    pub header_line: usize,
    /// The names of the columns.
    pub header: Vec<Cow<'t, str>>,
    /// The rows below them.
    pub rows: Vec<SheetRow<'t>>,
}

/// A row of a table: as many cells as there are columns, or none where all are empty.
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
    if is_utf_16(bytes) {
        let detail = "Line 1: this is UTF-16 text, which is not read here. Save the table as CSV in UTF-8, without \"Unicode\" as its encoding.";
        return Err(CsvErrors::one(true, (1, None), detail.to_owned()));
    }
    let Some(text) = encoding.decode_without_bom_handling_and_without_replacement(bytes) else {
        let valid = std::str::from_utf8(bytes).err().map_or(0, |error| error.valid_up_to());
        let line = bytes.iter().take(valid).filter(|byte| **byte == b'\n').count() + 1;
        let detail = format!(
            "Line {line}: this is not UTF-8 text. Save the table as CSV in UTF-8, or declare it as \"Content-Type: text/csv; charset=windows-1252\"."
        );
        return Err(CsvErrors::one(true, (line, None), detail));
    };
    if let Some(at) = text.find('\0') {
        let line = text.bytes().take(at).filter(|byte| *byte == b'\n').count() + 1;
        let detail = format!(
            "Line {line}: there is a zero byte here, which text cannot contain. Save the table as CSV in UTF-8."
        );
        return Err(CsvErrors::one(true, (line, None), detail));
    }
    if text.trim().is_empty() {
        let detail = "The table is empty. Send the names of the columns, and below them a row for each item.";
        return Err(CsvErrors::one(true, (1, None), detail.to_owned()));
    }
    Ok(text)
}

/// Whether the bytes begin as UTF-16 does: with its byte order mark, or with a letter of which one of two bytes is 0.
fn is_utf_16(bytes: &[u8]) -> bool {
    matches!(bytes, [0xff, 0xfe, ..] | [0xfe, 0xff, ..] | [0, 1..=255, ..] | [1..=255, 0, ..])
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
    let (separator, text, header_line) = without_separator(text);
    let text = (text, header_line);
    let delimiter = delimiter.or(separator).unwrap_or_else(|| best_delimiter(text, is_known));
    let mut reader = Reader::new(text, (delimiter, most.columns));
    let header = header(&mut reader, (header_line, most.columns))?;
    let rows = rows(&mut reader, most.rows)?;
    Ok(Sheet { delimiter, header_line, header, rows })
}

/// What separates the cells where a first line such as `sep=;` says it, the text below that, and the line on which it begins.
fn without_separator(text: &str) -> (Option<char>, &str, usize) {
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    let first = first.trim_end_matches('\r').trim_matches('"').to_ascii_lowercase();
    let separator =
        DELIMITERS.into_iter().find(|delimiter| first.strip_prefix("sep=") == Some(delimiter.encode_utf8(&mut [0; 4])));
    separator.map_or((None, text, 1), |separator| (Some(separator), rest, 2))
}

/// The names of the columns.
fn header<'t>(reader: &mut Reader<'t>, (line, most): (usize, usize)) -> Result<Vec<Cow<'t, str>>, CsvErrors> {
    let header = reader.row().transpose().map_err(not_csv)?.unwrap_or_default();
    if header.cells.iter().all(|name| name.trim().is_empty()) {
        let detail =
            format!("Line {line} is empty. It must have the names of the columns, such as name,length,width,rate.");
        return Err(CsvErrors::one(true, (line, None), detail));
    }
    let columns = reader.counted;
    if columns > most {
        let detail = format!("Line {line}: the table has {columns} columns; it may have at most {most}.");
        return Err(CsvErrors::one(false, (line, None), detail));
    }
    Ok(header.cells)
}

/// The rows below the names of the columns, which were read last.
fn rows<'t>(reader: &mut Reader<'t>, most: usize) -> Result<Vec<SheetRow<'t>>, CsvErrors> {
    let (columns, mut rows, mut wrong) = (reader.counted, Vec::new(), Vec::new());
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
        if rows.len() >= most {
            let detail = format!("Line {}: the table may have at most {most} rows; split it.", row.line);
            return Err(CsvErrors::one(false, (row.line, None), detail));
        }
        let is_one_blank = columns > 1 && row.cells.len() == 1 && row.cells.iter().all(|cell| cell.trim().is_empty());
        if !is_one_blank && reader.counted != columns {
            wrong.push(ragged(row.line, reader.counted, columns));
        }
        // Cells that hold nothing are not kept: there may be millions of them.
        if is_one_blank || reader.counted != columns || row.cells.iter().all(|cell| cell.is_empty()) {
            row.cells = Vec::new();
        }
        rows.push(row);
    }
    if wrong.is_empty() { Ok(rows) } else { Err(not_csv_all(wrong)) }
}

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
const MAX_LOOKED_AT: usize = 1_000;

/// The delimiter with which most names of the first line are known, then the one with which it has most cells.
fn best_delimiter(text: (&str, usize), is_known: impl Fn(&str) -> bool) -> char {
    let fit = |delimiter: char| {
        let mut reader = Reader::new(text, (delimiter, MAX_LOOKED_AT));
        match reader.row() {
            Some(Ok(row)) => (row.cells.iter().filter(|name| is_known(name)).count(), row.cells.len()),
            // The cells before a stray quote tell as well.
            Some(Err(_)) => (0, reader.counted),
            None => (0, 0),
        }
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

    const MAX_CELLS: MostCells = MostCells { rows: 4, columns: 3 };

    fn read(text: &str) -> Result<Sheet<'_>, CsvErrors> {
        parse(text, None, |name| ["name", "length"].contains(&name), MAX_CELLS)
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
        let wanted = [(2, vec![" 007 ", "6 ft 4\"\nor so"]), (4, vec!["x", ""]), (5, vec![]), (6, vec!["", "a"])];
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
        assert_eq!(parse("name;length", Some(','), |_| false, MAX_CELLS).unwrap().header, ["name;length"]);
    }

    #[test]
    fn a_first_line_may_say_what_separates_the_cells() {
        for text in ["sep=;\nname;a,b\n1;2\n", "SEP=;\r\nname;a,b\r\n1;2\r\n", "\"sep=;\"\nname;a,b\n1;2"] {
            let sheet = read(text).unwrap();
            assert_eq!((sheet.delimiter, sheet.header_line, sheet.header.len()), (';', 2, 2), "{text}");
            assert_eq!(rows(&sheet), [(3, vec!["1", "2"])]);
        }
        assert_eq!(parse("sep=;\na,b\n", Some(','), |_| false, MAX_CELLS).unwrap().header, ["a", "b"]);
    }

    #[test]
    fn rows_that_hold_nothing_keep_no_cells() {
        let sheet = read("name,length\n\n  \n,\na,\n").unwrap();
        assert_eq!(rows(&sheet), [(2, vec![]), (3, vec![]), (4, vec![]), (5, vec!["a", ""])]);
        assert_eq!(rows(&read("name\n  \n").unwrap()), [(2, vec!["  "])]);
    }

    #[test]
    fn what_is_no_csv_is_refused_with_its_line_and_column() {
        assert_eq!(wrong("name,length\na,6\" 4\n"), (vec![(2, Some(2))], true));
        assert_eq!(wrong("name,length\na,b\n\"c,d\n"), (vec![(3, Some(1))], true));
        assert_eq!(wrong("name,length\n\"a\"b,c\n"), (vec![(2, Some(1))], true));
        assert_eq!(wrong("name,length\na\nb,c\nb,c,d\n"), (vec![(2, None), (4, None)], true));
        assert_eq!(wrong("\nname,length\n"), (vec![(1, None)], true));
        assert_eq!(wrong("name;length;\"x\"y\n"), (vec![(1, Some(3))], true));
        assert_eq!(wrong("name;len\"gth\n"), (vec![(1, Some(2))], true));
        assert_eq!(wrong("sep=;\nname;length\na;b;c\n"), (vec![(3, None)], true));
        assert_eq!(wrong("sep=;\n"), (vec![(2, None)], true));
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
        let refused = text_of(b"name\r\na\0b", UTF_8).unwrap_err();
        assert_eq!(refused.errors[0].at, Where::Csv { line: 2, column: None });
        for bytes in [&b"\xff\xfen\0a\0"[..], b"\xfe\xff\0n\0a", b"n\0a\0", b"\0n\0a"] {
            let refused = text_of(bytes, UTF_8).unwrap_err();
            assert!(refused.is_not_csv && refused.errors[0].detail.contains("UTF-16"), "{refused:?}");
        }
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
                // Below several columns a row of one blank cell is an empty line here.
                let holds_some = |row: &Vec<String>| match row.as_slice() {
                    [only] if sheet.header.len() > 1 => !only.trim().is_empty(),
                    cells => cells.iter().any(|cell| !cell.is_empty()),
                };
                let theirs: Vec<Vec<String>> = theirs.into_iter().filter(holds_some).collect();
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
            let kept = if cells.iter().all(String::is_empty) { Vec::new() } else { cells };
            prop_assert_eq!(&sheet.rows[0].cells, &kept);
        }
    }
}

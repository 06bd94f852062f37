//! Rows written as CSV (RFC 4180), with cells of the caller's in double quotes wherever a program may split them.

/// A cell as it is written.
#[derive(Debug)]
pub enum Cell {
    /// Of the answer.
    Answer(String),
    /// Of the caller's. It is quoted if it holds any of the marks that may separate cells: a program that is set to another one would split
    /// it, and compute what follows.
    Own(String),
}

impl Default for Cell {
    fn default() -> Self {
        Self::Answer(String::new())
    }
}

/// The rows written so far.
#[must_use]
#[derive(Debug)]
pub struct Records {
    /// Them as text.
    pub text: String,
    delimiter: char,
}

impl Records {
    /// No rows yet.
    pub fn new(bom: bool, delimiter: char) -> Self {
        Self { text: if bom { "\u{feff}".to_owned() } else { String::new() }, delimiter }
    }

    /// Adds a row.
    pub fn push(&mut self, cells: impl IntoIterator<Item = Cell>) {
        for (index, cell) in cells.into_iter().enumerate() {
            if index > 0 {
                self.text.push(self.delimiter);
            }
            self.cell(&cell);
        }
        self.text.push_str("\r\n");
    }

    fn cell(&mut self, cell: &Cell) {
        let breaks = [self.delimiter, '"', '\r', '\n'];
        let (text, is_quoted) = match cell {
            Cell::Answer(text) => (text, text.contains(breaks)),
            Cell::Own(text) => (text, text.contains(breaks) || text.contains([',', ';', '\t'])),
        };
        if is_quoted {
            self.text.extend(["\"", &text.replace('"', "\"\""), "\""]);
        } else {
            self.text.push_str(text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_quoted_where_a_program_may_split_them() {
        let mut records = Records::new(true, ',');
        let cells = ["a", "a;b", "a\tb", "a,b", "a\"b", "a\nb"].map(str::to_owned);
        records.push(cells.clone().map(Cell::Own));
        records.push(cells.map(Cell::Answer));
        let wanted =
            "\u{feff}a,\"a;b\",\"a\tb\",\"a,b\",\"a\"\"b\",\"a\nb\"\r\na,a;b,a\tb,\"a,b\",\"a\"\"b\",\"a\nb\"\r\n";
        assert_eq!(records.text, wanted);
    }

    proptest::proptest! {
        #[test]
        fn another_reader_finds_what_was_written(cells in proptest::collection::vec("[a ö,;\t\"\r\n]{0,5}", 2..6), own: bool) {
            let mut records = Records::new(false, ';');
            let written = |text: &String| if own { Cell::Own(text.clone()) } else { Cell::Answer(text.clone()) };
            records.push(cells.iter().map(written));
            let mut reader = csv::ReaderBuilder::new().has_headers(false).delimiter(b';').from_reader(records.text.as_bytes());
            let found = reader.records().next().unwrap().unwrap();
            proptest::prop_assert_eq!(found.iter().collect::<Vec<_>>(), cells);
        }
    }
}

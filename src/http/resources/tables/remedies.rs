//! What is wrong with a row in the words of its table: its columns and lines in place of fields and positions of a JSON request.

use crate::http::resources::cells::address::{rates, with_container, with_pairs};
use crate::http::resources::cells::flat::field_of;
use crate::http::wire::{ErrorCode, RequestError};

/// What a request takes of a bed that a table does not.
const OTHER_WAYS: &str = ", or fed (what it was fed), or forecast";

/// What a request says of records and their feed, and what of it holds in a table.
const OF_RECORDS: [(&str, &str); 4] = [
    (
        ", weighed worms or a weighed container (harvested, layers_eaten, worms_weighed or containers_weighed)",
        " or weighed worms",
    ),
    (", as in \"harvested\": [{\"on\": \"2027-09-01\", \"amount\": \"60 L\"}]", ""),
    (", as in {\"material\": \"leaves_shredded\"}", ""),
    ("give ash, organic_matter or carbon, as shares of", "give ash, as a share of"),
];

/// The columns of a bed that are a part of a request.
const PARTS: [&str; 2] = ["material", "bed_temperature"];

/// Columns that only heaps have.
const OF_HEAPS: [&str; 5] = ["heap", "height", "mean_length", "section", "ends"];

/// What is known of the row that an error is about.
#[derive(Debug, Clone, Copy)]
pub struct OfRow<'a> {
    /// The names of all columns that tables of this question may have.
    pub known: &'a [&'static str],
    /// The list of the item.
    pub list: &'a str,
    /// Where in the item the error is.
    pub pointer: &'a str,
    /// Whether the table has a column for it.
    pub has_column: bool,
    /// The line of an earlier row with the same id.
    pub same_id: Option<usize>,
}

/// The error with what to do in a table.
pub fn in_table(mut error: RequestError, row: OfRow<'_>) -> RequestError {
    if matches!(error.code, ErrorCode::UnknownField | ErrorCode::ExactlyOneOf | ErrorCode::MissingField) {
        error.allowed.retain(|name| row.known.contains(&name.as_str()));
        error.nearest = error.nearest.filter(|name| row.known.contains(&name.as_str()));
    }
    let field = field_of(row.pointer, row.known);
    let in_words = match (error.code, row.same_id) {
        (ErrorCode::UnknownField, _) if row.list == "worm_beds" && OF_HEAPS.contains(&field) => {
            Some(of_a_heap(field, &error.allowed))
        }
        (ErrorCode::UnknownField, _) => Some(left_over(field, &error.allowed)),
        (ErrorCode::MissingField, _) if PARTS.contains(&field) || error.detail.starts_with("The field ") => {
            Some(missing(field, row.has_column))
        }
        (ErrorCode::ExactlyOneOf | ErrorCode::MissingField, _) if row.list == "stock" => {
            Some("Fill in the amount, such as 60 L.".to_owned())
        }
        (ErrorCode::ExactlyOneOf, _) if row.known.contains(&"amount") => {
            Some("Give either the amount, or a place with its rate; one of the two.".to_owned())
        }
        (ErrorCode::RateDoesNotFit, _) => Some(rates(&error.allowed, str::to_owned)),
        (ErrorCode::RepeatedId, Some(line)) => {
            Some(format!("The id is already that of line {line}; give each row its own."))
        }
        _ => None,
    };
    error.detail = in_words.unwrap_or_else(|| without_json(&error.detail));
    if !row.known.contains(&"castings") {
        error.detail = error.detail.replace("the castings for the whole place", "the amount for the whole place");
    }
    error
}

fn left_over(field: &str, takes: &[String]) -> String {
    let takes = if takes.is_empty() { String::new() } else { format!(" This row takes {}.", takes.join(", ")) };
    format!("A row like this one has no {field}. Leave the cell empty.{takes}")
}

/// What to do with a cell of a heap in the row of a bed.
fn of_a_heap(field: &str, takes: &[String]) -> String {
    let rest = left_over(field, takes);
    format!("{rest} If it is a heap, write heap in a column row, and cone, windrow, bay or bin in a column heap.")
}

fn missing(field: &str, has_column: bool) -> String {
    if has_column {
        "This cell is empty, and the row needs it. Fill it in.".to_owned()
    } else {
        format!("The table has no column {field}, and the row needs it. Add the column.")
    }
}

/// The text without what only a request in JSON can do.
fn without_json(detail: &str) -> String {
    let detail = detail.replace(OTHER_WAYS, "");
    let detail = OF_RECORDS.iter().fold(detail, |detail, (request, table)| detail.replace(request, table));
    with_pairs(&with_container(&detail), |name, value| format!("{name} {value}"))
}

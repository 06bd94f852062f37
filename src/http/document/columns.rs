//! The columns of tables as CSV, as the worked request of each question has them.

use super::shapes::operations_mut;
use crate::http::present::{Table, csv};
use crate::http::resources::Question;
use crate::http::wire::capitalised;
use std::fmt::Write as _;
use utoipa::openapi::schema::{ObjectBuilder, Type};
use utoipa::openapi::{Components, OpenApi, Ref, RefOr, Schema};

/// Tells the columns of the tables of a question, once for all its operations.
pub fn tell<Q: Question>(api: &mut OpenApi, answer: &Q::Answer) {
    let text = ObjectBuilder::new().schema_type(Type::String).description(Some(columns::<Q>(answer)));
    let name = format!("{}Table", type_name(Q::NAME));
    let reference = Ref::from_schema_name(&name);
    let components = api.components.get_or_insert_with(Components::new);
    components.schemas.insert(name, RefOr::T(Schema::Object(text.build())));
    let Some(item) = api.paths.paths.get_mut(&format!("/v1/{}", Q::NAME)) else { return };
    for response in operations_mut(item).filter_map(|operation| operation.responses.responses.get_mut("200")) {
        if let RefOr::T(response) = response
            && let Some(RefOr::T(table)) = response.content.get_mut("text/csv")
        {
            table.schema = Some(RefOr::Ref(reference.clone()));
        }
    }
}

/// Each table with its columns.
fn columns<Q: Question>(answer: &Q::Answer) -> String {
    let mut text = "CSV (RFC 4180) with a header, here in metric units.".to_owned();
    for table in Q::describe(answer).tables().filter(|table| !table.name.is_empty()) {
        let _ = write!(text, "\n\n`{}`: {}.", table.name, in_short(&header(table)));
    }
    text
}

/// The columns of a table but the last, which all have.
fn header(table: &Table) -> Vec<String> {
    let mut header = csv::header(table);
    header.retain(|name| name != csv::OF_REQUEST);
    header
}

/// The names of columns; `±` at the end of one means two more behind it, its bounds.
fn in_short(header: &[String]) -> String {
    let (mut text, mut main) = (String::new(), "");
    for name in header {
        match name.strip_prefix(main).filter(|_| !main.is_empty()) {
            Some("_low") => text.push('±'),
            Some("_high") => {}
            _ => {
                let separator = if text.is_empty() { "" } else { ", " };
                let _ = write!(text, "{separator}{name}");
                main = name;
            }
        }
    }
    text
}

/// The name of a question as that of a type: `WormBeds`.
fn type_name(name: &str) -> String {
    name.split('-').map(capitalised).collect()
}

#[cfg(test)]
mod tests {
    use super::in_short;

    #[test]
    fn bounds_are_reported_with_their_column() {
        let names =
            ["id", "castings_L", "castings_L_low", "castings_L_high", "depth_low", "mass_kg"].map(str::to_owned);
        assert_eq!(in_short(&names), "id, castings_L±, depth_low, mass_kg");
    }
}

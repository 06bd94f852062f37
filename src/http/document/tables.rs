//! What the document says of tables: their columns, and an example.

use super::parameters::change;
use crate::http::output::enums::word_schema;
use crate::http::output::quantity::System;
use crate::http::present::options;
use crate::http::resources::Question;
use crate::http::resources::applications::Applications;
use crate::http::resources::balances::Balances;
use crate::http::resources::calibrations::Calibrations;
use crate::http::resources::harvests::Harvests;
use crate::http::resources::tables::{ERRORS, MEDIA, Tabular, columns_in_words};
use utoipa::openapi::example::ExampleBuilder;
use utoipa::openapi::{Content, OpenApi, RefOr};

/// So many lines has an example of a table in an address.
const LINES_IN_ADDRESS: usize = 6;

/// What tables but the first say in place of what all have in common.
const AS_APPLICATIONS: &str = "A table as CSV, as for `POST /v1/applications/table`, with other columns.";

/// Completes the operations of all tables.
pub fn complete(api: &mut OpenApi) {
    table::<Applications>(api);
    table::<Balances>(api);
    table::<Harvests>(api);
    table::<Calibrations>(api);
}

/// Completes the operations of a table: the words of parameters, and of a table that is sent its columns and an example.
fn table<T: Tabular>(api: &mut OpenApi) {
    let Some(item) = api.paths.paths.get_mut(&format!("/v1/{}/table", T::NAME)) else { return };
    let both = [&mut item.get, &mut item.post].into_iter().flatten();
    for parameter in both.flat_map(|operation| operation.parameters.iter_mut().flatten()) {
        for (name, words) in options::closed() {
            change(parameter, name, |built| built.schema(Some(words)));
        }
        let forms = word_schema(MEDIA.iter().map(|media| media.as_str()));
        change(parameter, "as", |built| built.schema(Some(forms)));
        change(parameter, "units", |built| built.schema(Some(word_schema(System::words()))));
        let first: String = T::TABLE.split_inclusive('\n').take(LINES_IN_ADDRESS).collect();
        change(parameter, "csv", |built| built.example(Some(first.into())));
        change(parameter, "errors", |built| built.schema(Some(word_schema(ERRORS))));
    }
    let Some(operation) = item.post.as_mut() else { return };
    if T::NAME != Applications::NAME {
        operation.description = Some(AS_APPLICATIONS.to_owned());
    }
    if let Some(RefOr::T(body)) = operation.request_body.as_mut() {
        let about = "The table, a row for each item. Columns:";
        body.description = Some(format!("{about}\n\n{}", columns_in_words::<T>()));
        add(body.content.get_mut("text/csv"), T::TABLE);
    }
}

/// Adds the example to what a body or a response holds.
fn add(content: Option<&mut RefOr<Content>>, text: &str) {
    if let Some(RefOr::T(content)) = content {
        let built = ExampleBuilder::new().summary("A few rows").value(Some(text.into())).build();
        content.examples.insert("table".to_owned(), RefOr::T(built));
    }
}

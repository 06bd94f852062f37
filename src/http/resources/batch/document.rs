//! The lines of a batch in the document: a text, of which each line is JSON of a schema.

use super::line::{BatchLine, LineOut};
use super::stream::EndOut;
use crate::http::negotiate::Media;
use utoipa::openapi::schema::{ObjectBuilder, OneOfBuilder, Type};
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// The lines that are sent.
pub struct Questions;

/// The lines that are answered.
pub struct Answers;

impl PartialSchema for Questions {
    fn schema() -> RefOr<Schema> {
        lines(reference::<BatchLine>())
    }
}

impl ToSchema for Questions {
    fn schemas(all: &mut Vec<(String, RefOr<Schema>)>) {
        all.push(named::<BatchLine>());
    }
}

impl PartialSchema for Answers {
    fn schema() -> RefOr<Schema> {
        let either = OneOfBuilder::new().item(reference::<LineOut<'_, ()>>()).item(reference::<EndOut<'_>>());
        lines(Schema::OneOf(either.build()))
    }
}

impl ToSchema for Answers {
    fn schemas(all: &mut Vec<(String, RefOr<Schema>)>) {
        all.extend([named::<LineOut<'_, ()>>(), named::<EndOut<'_>>()]);
    }
}

/// A text with JSON of this schema on each of its lines.
fn lines(line: impl Into<RefOr<Schema>>) -> RefOr<Schema> {
    let text = ObjectBuilder::new().schema_type(Type::String).content_media_type(Media::Lines.header());
    let about = "`contentSchema` is that of each line.";
    RefOr::T(text.content_schema(Some(line)).description(Some(about)).build().into())
}

fn reference<T: ToSchema>() -> Ref {
    Ref::from_schema_name(T::name())
}

fn named<T: ToSchema>() -> (String, RefOr<Schema>) {
    (T::name().into_owned(), T::schema())
}

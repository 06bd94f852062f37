//! What the lines of a batch hold, in the document: which question, its request, and its answer.

use crate::http::output::enums::words;
use crate::http::resources::Question;
use crate::http::resources::resource::{Resource, with_question};
use clap::ValueEnum;
use utoipa::ToSchema;
use utoipa::openapi::schema::AnyOfBuilder;
use utoipa::openapi::{Ref, RefOr, Schema};

/// The names of all questions.
pub fn questions() -> RefOr<Schema> {
    let names = Resource::value_variants().iter().map(|resource| resource.name());
    words("Which question it asks: the last part of its address.", names)
}

/// The schemas of the request and of the answer of each question.
fn all() -> impl Iterator<Item = [Ref; 2]> {
    fn of<Q: Question<Request: ToSchema, Answer: ToSchema>>() -> [Ref; 2] {
        [Q::Request::name(), Q::Answer::name()].map(Ref::from_schema_name)
    }
    Resource::value_variants().iter().map(|resource| with_question!(resource, Q => of::<Q>()))
}

/// The request of any question.
pub fn requests() -> RefOr<Schema> {
    any_of("The request, as it would be sent to that question.", all().map(|[request, _]| request))
}

/// The answer to any question.
pub fn answers() -> RefOr<Schema> {
    any_of("The answer, as the question gives it by itself.", all().map(|[_, answer]| answer))
}

fn any_of(about: &str, all: impl Iterator<Item = Ref>) -> RefOr<Schema> {
    let any_of = all.fold(AnyOfBuilder::new(), AnyOfBuilder::item);
    RefOr::T(Schema::AnyOf(any_of.description(Some(about)).build()))
}

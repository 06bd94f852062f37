//! What the lines of a batch hold, in the document: which question, its request, and its answer.

use crate::http::output::words::words;
use crate::http::resources::Question;
use crate::http::resources::applications::Applications;
use crate::http::resources::balances::Balances;
use crate::http::resources::brews::Brews;
use crate::http::resources::calibrations::Calibrations;
use crate::http::resources::feeds::Feeds;
use crate::http::resources::harvests::Harvests;
use crate::http::resources::resource::Resource;
use crate::http::resources::seasons::Seasons;
use crate::http::resources::worm_beds::WormBeds;
use clap::ValueEnum;
use utoipa::ToSchema;
use utoipa::openapi::schema::AnyOfBuilder;
use utoipa::openapi::{Ref, RefOr, Schema};

/// The names of all questions.
pub fn questions() -> RefOr<Schema> {
    let names = Resource::value_variants().iter().map(|resource| resource.name());
    words("Which question it asks: the last part of its address.", names)
}

/// The request of any question.
pub fn requests() -> RefOr<Schema> {
    fn request<Q: Question<Request: ToSchema>>() -> Ref {
        Ref::from_schema_name(Q::Request::name())
    }
    let all = [
        request::<Applications>(),
        request::<Harvests>(),
        request::<Brews>(),
        request::<Balances>(),
        request::<Feeds>(),
        request::<WormBeds>(),
        request::<Calibrations>(),
        request::<Seasons>(),
    ];
    any_of("The request, as it would be sent to that question.", all)
}

/// The answer to any question.
pub fn answers() -> RefOr<Schema> {
    fn answer<Q: Question<Answer: ToSchema>>() -> Ref {
        Ref::from_schema_name(Q::Answer::name())
    }
    let all = [
        answer::<Applications>(),
        answer::<Harvests>(),
        answer::<Brews>(),
        answer::<Balances>(),
        answer::<Feeds>(),
        answer::<WormBeds>(),
        answer::<Calibrations>(),
        answer::<Seasons>(),
    ];
    any_of("The answer, as the question gives it by itself.", all)
}

fn any_of(about: &str, all: [Ref; 8]) -> RefOr<Schema> {
    let any_of = all.into_iter().fold(AnyOfBuilder::new(), AnyOfBuilder::item);
    RefOr::T(Schema::AnyOf(any_of.description(Some(about)).build()))
}

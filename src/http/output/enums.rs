//! The closed lists of words in answers, as the document shows them.

use crate::garden::applications::RateKind;
use crate::garden::assumptions::SetBy;
use crate::garden::balances::additional_production::LimitingFactor;
use crate::garden::balances::options::OptionKind;
use crate::garden::beds::{Closed, Phase};
use crate::garden::cautions::Severity;
use crate::garden::feeds::{Goal, Remedy, StepKind};
use crate::garden::seasons::reach::Way;
use crate::garden::seasons::work::TaskKind;
use utoipa::openapi::schema::{ObjectBuilder, Type};
use utoipa::openapi::{RefOr, Schema};

/// A closed list of words with what they mean.
pub fn words<T: Into<serde_json::Value>>(meaning: &str, words: impl IntoIterator<Item = T>) -> RefOr<Schema> {
    let values: Vec<serde_json::Value> = words.into_iter().map(Into::into).collect();
    let text = ObjectBuilder::new().schema_type(Type::String).description(Some(meaning)).enum_values(Some(values));
    RefOr::T(Schema::Object(text.build()))
}

/// One of some words, in a parameter, which says itself what they mean.
pub fn word_schema(words: impl IntoIterator<Item = &'static str>) -> RefOr<Schema> {
    RefOr::T(Schema::Object(ObjectBuilder::new().schema_type(Type::String).enum_values(Some(words)).build()))
}

/// How grave a caution is.
pub fn severities() -> RefOr<Schema> {
    words("How serious it is: a notice, a caution or a warning.", Severity::words())
}

/// Who gave an assumption.
pub fn givers() -> RefOr<Schema> {
    words(
        "Who gave the value. `default`: the table; `request`: the request as a whole; `item`: the item; `material`: it follows from the \
         material.",
        SetBy::words(),
    )
}

/// The kinds of rates, by what they are an amount of.
pub fn kinds_of_rates() -> impl Iterator<Item = &'static str> {
    RateKind::ALL.into_iter().map(RateKind::as_str)
}

/// The kind of a rate.
pub fn rate_kinds() -> RefOr<Schema> {
    words("The kind of rate.", kinds_of_rates())
}

/// The kinds of heaps.
pub fn heap_kinds() -> RefOr<Schema> {
    words("The kind of heap.", ["cone", "windrow", "bay", "bin", "counted"])
}

/// The goals of a mix.
pub fn goals() -> RefOr<Schema> {
    words("The goal that is missed.", Goal::words())
}

/// What would bring a goal within reach.
pub fn remedies() -> RefOr<Schema> {
    words(
        "What would help. `carbon_rich`, `nitrogen_rich`: material with more of it; `dry`: with less water; `coarse`: in larger pieces, for air.",
        Remedy::words(),
    )
}

/// The steps of making feed.
pub fn steps() -> RefOr<Schema> {
    words("What is done.", StepKind::words())
}

/// What can be done about a shortfall.
pub fn option_kinds() -> RefOr<Schema> {
    let ways = Way::words().filter(|way| *way != OptionKind::Sacks.as_str());
    words(
        "What is done. `pro_rata_share`: every demand gets the same share; `later_supply`: demands wait for later castings; `sacks`: buy; \
         `additional_production`: produce, by the likely values; `additional_production_at_90_percent`: the same for a chance of 90 %; \
         `more_ground`, `more_worms`, `earlier_start`: other ways to that.",
        OptionKind::words().chain(ways),
    )
}

/// What prevents an earlier start.
pub fn limiting_factors() -> RefOr<Schema> {
    words(
        "What prevents an earlier start. `today`: it would have passed; `materials`, `bed`: not there earlier; `frost`, `heat`: the worms die; \
         `ground`: too small for the feed; `warmth`: too little.",
        LimitingFactor::words(),
    )
}

/// Why no wait meets the rule for raw manure.
pub fn interval_not_met_because() -> RefOr<Schema> {
    words("Why the rule is not met.", [NOT_INCORPORATED])
}

/// It is left on top.
pub const NOT_INCORPORATED: &str = "not_incorporated";

/// The kinds of work in a season.
pub fn tasks() -> RefOr<Schema> {
    words("What is done.", TaskKind::words())
}

/// Why a cycle of a worm bed ends.
pub fn closings() -> RefOr<Schema> {
    words(
        "Why the cycle takes no more layers: `all_layers`: it has all; `depth`: the next would be too deep; `no_more_feed`: none comes.",
        Closed::words(),
    )
}

/// What a worm bed is doing.
pub fn phases() -> RefOr<Schema> {
    words(
        "What the bed does: `working`: worms eat; `waiting`: for feed; `finishing`, `drying`: castings do; `done`: no more comes.",
        Phase::words(),
    )
}

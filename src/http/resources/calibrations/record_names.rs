//! What kinds of records are called.

use crate::garden::beds::Observation;
use crate::garden::calibrations::Kind;
use crate::http::output::enums::words;
use utoipa::openapi::{RefOr, Schema};

/// A kind of observation: its word on the wire, and what it is called for readers.
pub(super) type Called = (&'static str, &'static str);

const HARVESTED: Called = ("harvested", "castings harvested");
const READY: Called = ("ready", "castings ready");
const EATEN: Called = ("eaten", "layer eaten");
const NOT_EATEN: Called = ("not_eaten", "layer not yet eaten");
const WORMS: Called = ("worms_weighed", "worms weighed");
const ASH: Called = ("ash", "ash of the castings");
const SIEVE: Called = ("sieve_yield", "share through the sieve");
const BULK: Called = ("bulk_density", "bulk density");
const DRY: Called = ("dry_bulk_density", "dry bulk density");

/// What an observation is called.
pub(super) const fn called(observation: &Observation) -> Called {
    match observation {
        Observation::Harvested { .. } | Observation::HarvestedMass { .. } => HARVESTED,
        Observation::Ready { .. } => READY,
        Observation::Eaten { .. } => EATEN,
        Observation::NotEaten { .. } => NOT_EATEN,
        Observation::WormsWeighed { .. } => WORMS,
        Observation::Ash(_) => ASH,
        Observation::SieveYield(_) => SIEVE,
        Observation::BulkDensity(_) => BULK,
        Observation::DryBulkDensity(_) => DRY,
    }
}

/// What an observation of this word is called for readers.
pub(super) fn for_readers(word: &str) -> &'static str {
    let all = [HARVESTED, READY, EATEN, NOT_EATEN, WORMS, ASH, SIEVE, BULK, DRY];
    all.into_iter().find(|(known, _)| *known == word).map_or("", |(_, called)| called)
}

/// How to make a record of this word.
pub(super) fn advice(word: &str) -> &'static str {
    match word {
        "harvested" => "measure the castings of the next harvest",
        "ready" => "note the day on which the next castings are ready",
        "eaten" => "note the day on which the last layer is eaten",
        "worms_weighed" => "weigh the worms a month after the last layer",
        "ash" => "have the ash of the castings measured",
        "sieve_yield" => "measure which share of the castings passes the sieve",
        _ => "weigh a container of castings and measure their moisture",
    }
}

/// The kinds of observations, for the document.
pub(super) fn fit_kinds() -> RefOr<Schema> {
    let all = [HARVESTED, READY, EATEN, NOT_EATEN, WORMS, ASH, SIEVE, BULK, DRY];
    words("What was observed.", all.map(|(word, _)| word))
}

/// The kinds of one more record, for the document.
pub(super) fn kinds() -> RefOr<Schema> {
    words("What would be recorded.", Kind::words())
}

//! What kinds of records are called.

use crate::garden::assumptions::Assumption;
use crate::garden::beds::Observation;
use crate::garden::calibrations::Kind;
use crate::http::output::words::words;
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

/// What a value that records may tell of is called for readers; its id where it has no name.
pub(super) fn value_called(id: &str) -> &str {
    match Assumption::find(id) {
        Some(Assumption::FeedRate) => "feed rate of the worms",
        Some(Assumption::DoublingTime) => "worms double within",
        Some(Assumption::CarryingCapacity) => "most worms that the ground carries",
        Some(Assumption::StockingDensity) => "worms at the start",
        Some(Assumption::Recovered) => "worms got back at a harvest",
        Some(Assumption::Finishing) => "time to finish after the last layer is eaten",
        Some(Assumption::Drying) => "time to dry before sieving",
        Some(Assumption::OrganicMatterLoss) => "organic matter lost",
        Some(Assumption::SieveYield) => "share through the sieve",
        Some(Assumption::BulkDensity) => "bulk density of castings",
        Some(Assumption::DryBulkDensity) => "dry bulk density of castings",
        Some(Assumption::Moisture) => "moisture of castings",
        Some(Assumption::StoppedBelow) => "worms stop below",
        Some(Assumption::ComfortLow) => "worms at their best from",
        Some(Assumption::ComfortHigh) => "worms at their best up to",
        Some(Assumption::StoppedAbove) => "worms stop above",
        _ => id,
    }
}

/// A kind of record on the wire.
pub(super) const fn word(kind: Kind) -> &'static str {
    match kind {
        Kind::Harvested => HARVESTED.0,
        Kind::Ready => READY.0,
        Kind::Eaten => EATEN.0,
        Kind::WormsWeighed => WORMS.0,
        Kind::Ash => ASH.0,
        Kind::SieveYield => SIEVE.0,
        Kind::DryBulkDensity => DRY.0,
    }
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
    words("What would be recorded.", Kind::ALL.map(word))
}

#[cfg(test)]
mod tests {
    use super::value_called;
    use crate::garden::calibrations::TOLD_OF;
    use std::collections::BTreeSet;

    #[test]
    fn every_value_that_records_tell_of_has_a_name_of_its_own() {
        let names: BTreeSet<&str> = TOLD_OF.iter().map(|which| value_called(which.id())).collect();
        assert_eq!(names.len(), TOLD_OF.len());
        assert!(names.iter().all(|name| !name.contains(['.', '_'])), "{names:?}");
    }
}

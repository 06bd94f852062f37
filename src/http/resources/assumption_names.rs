//! What assumptions are called for readers.

use crate::garden::assumptions::Assumption;

/// What an assumption is called for readers: its name, else the beginning of what it means.
#[must_use]
pub fn value_called(id: &str) -> &str {
    let which = Assumption::find(id);
    match which {
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
        _ => which.and_then(|which| which.definition().meaning.split([';', ':']).next()).unwrap_or(id),
    }
}

#[cfg(test)]
mod tests {
    use super::value_called;
    use crate::garden::calibrations::CALIBRATABLE;
    use std::collections::BTreeSet;

    #[test]
    fn every_value_that_records_tell_of_has_a_name_of_its_own() {
        let names: BTreeSet<&str> = CALIBRATABLE.iter().map(|which| value_called(which.id())).collect();
        assert_eq!(names.len(), CALIBRATABLE.len());
        assert!(names.iter().all(|name| !name.contains(['.', '_'])), "{names:?}");
    }
}

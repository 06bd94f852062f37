//! Records that cannot be: refused with their place, not fitted.

use super::Record;
use crate::garden::assumptions::{Assumption, Castings, Known, Overrides};
use crate::garden::beds::Observation;
use crate::garden::figures::Off;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Volume;
use crate::garden::units::round::few_digits;
use chrono::NaiveDate;

/// Which part of a record is to blame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecordPlace {
    /// A feeding, from 0.
    Fed(usize),
    /// A harvest, from 0.
    Harvested(usize),
    /// An observation, from 0.
    Observation(usize),
}

/// What is refused, and where.
pub type Refused = (RecordPlace, Refusal);

/// Answers "what of this record cannot be?" All that is wrong: feedings before the start, harvests before a feeding, more castings than the feed
/// can make, days outside the time in which they can be.
#[must_use]
pub fn check(record: &Record, request: &Overrides) -> Vec<Refused> {
    let mut refused = Vec::new();
    let history = &record.history;
    for (i, (on, _)) in history.fed.iter().enumerate() {
        if *on < history.start_on {
            let detail = format!(
                "the feeding on {on} is before the worms are put in on {}; correct one of the days",
                history.start_on
            );
            refused.push((RecordPlace::Fed(i), Refusal::new(Reason::DatesOutOfOrder, detail).at("on")));
        }
    }
    let first = history.fed.iter().map(|(on, _)| *on).min();
    let mut before = None;
    for (i, on) in history.harvested_on.iter().enumerate() {
        let error = match (first, before) {
            (Some(first), _) if *on <= first => {
                Some(format!("the harvest on {on} is not after the first feeding on {first}; correct one of the days"))
            }
            (_, Some(before)) if *on <= before => Some(format!(
                "there is a harvest on {before} already; give one harvest a day, with all of its castings"
            )),
            _ => None,
        };
        before = Some(*on);
        if let Some(detail) = error {
            refused.push((RecordPlace::Harvested(i), Refusal::new(Reason::DatesOutOfOrder, detail).at("on")));
        }
    }
    if refused.is_empty() {
        refused.extend(too_much(record, request));
        for (i, observation) in record.observations.iter().enumerate() {
            refused.extend(observed(record, observation).map(|refusal| (RecordPlace::Observation(i), refusal)));
        }
    }
    refused
}

/// Harvests of more castings than all feed by then can make: if nothing of it were lost and the castings were as loose as they may be.
fn too_much(record: &Record, request: &Overrides) -> Option<Refused> {
    let none = Overrides::default();
    let castings = Castings::known(Known { request, item: &none }, Off).ok()?;
    let loosest = castings.dry_bulk_density.low().kilograms_per_cubic_metre();
    let lightest = loosest / castings.bulk_density.high().kilograms_per_cubic_metre();
    let by_volume = |castings: Volume| castings.litres() / 1000.0 * loosest;
    for (harvest, on) in record.history.harvested_on.iter().enumerate() {
        let dry_of = |observation: &Observation| match observation {
            Observation::Harvested { harvest: of, castings } if *of <= harvest => by_volume(*castings),
            Observation::HarvestedMass { harvest: of, castings } if *of <= harvest => castings.kilograms() * lightest,
            _ => 0.0,
        };
        let least: f64 = record.observations.iter().map(dry_of).sum();
        let dry: f64 = record.history.fed.iter().filter(|(fed, _)| fed < on).map(|(_, dry)| dry.kilograms()).sum();
        if least > dry {
            let [least, loosest, dry] = few_digits([least, loosest, dry]);
            let detail = format!(
                "the castings harvested by {on} hold at least {least} kg of dry matter (at {loosest} kg/m3, the low end of {}), but the \
                 bed was fed only {dry} kg by then; add the missing feedings, or check the units",
                Assumption::DryBulkDensity.id()
            );
            return Some((RecordPlace::Harvested(harvest), Refusal::new(Reason::ImpossibleValue, detail).at("amount")));
        }
    }
    None
}

/// What is wrong with the day of an observation.
fn observed(record: &Record, observation: &Observation) -> Option<Refusal> {
    let history = &record.history;
    let refuse = |detail: String| Some(Refusal::new(Reason::DatesOutOfOrder, detail));
    // The harvest that ends the cycle of a day.
    let harvest_after = |day: NaiveDate| history.harvested_on.iter().copied().find(|on| *on > day);
    match *observation {
        Observation::Ready { harvest, on } => {
            let harvested = *history.harvested_on.get(harvest)?;
            let from = history.harvested_on.get(harvest.wrapping_sub(1)).copied().unwrap_or(history.start_on);
            if on > harvested || on < from {
                return refuse(format!(
                    "castings harvested on {harvested} were ready after {from} and by the day of the harvest; {on} is outside that time"
                ));
            }
            None
        }
        Observation::Eaten { feeding, on } | Observation::NotEaten { feeding, on } => {
            let (fed, _) = *history.fed.get(feeding)?;
            match harvest_after(fed) {
                _ if on < fed => refuse(format!("what was fed on {fed} cannot be checked on {on}, which is earlier")),
                Some(harvest) if on > harvest => refuse(format!(
                    "what was fed on {fed} was taken out or put back at the harvest on {harvest}; {on} is later than that"
                )),
                _ => None,
            }
        }
        Observation::WormsWeighed { on, .. } if on < history.start_on => refuse(format!(
            "worms are put in on {}; {on} is before that. Give their mass at the start as worms",
            history.start_on
        )),
        _ => None,
    }
}

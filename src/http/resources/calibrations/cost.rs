//! How much work a calibration is, before any of it is done.

use super::read::All;
use crate::garden::calibrations::{CLOCKS_OF_WEATHER, MAX_DRAWS};
use crate::garden::work::Work;
use crate::http::input::RequestContext;
use crate::http::wire::JsonPath;

/// Steps of one draw for each feeding, harvest and observation of a record: 100 ns, as measured.
const STEPS_FOR_PORTION: u64 = 4;
/// Each observation is sorted for its percentiles too, as much work as another feeding.
const OF_AN_OBSERVATION: usize = 2;
/// So are the values without each record.
const OF_A_RECORD: usize = 2;
/// Days of a climate whose clock is as much work as one feeding.
const DAYS_OF_A_PORTION: usize = 40;
/// Days of a climate whose weather, with its clock, is as much work as a step.
const DAYS_OF_A_STEP: usize = 4;

/// Refuses records that are more work than one answer may take, and notes what they are.
pub(super) fn check(all: &All, context: &RequestContext<'_>) -> Option<()> {
    let of_records = all.records.iter().map(|read| {
        let history = &read.record.history;
        history.fed.len() + history.harvested_on.len() + OF_AN_OBSERVATION * read.observed.len() + OF_A_RECORD
    });
    let days: usize = all.clocks.iter().map(|clocks| clocks.count() / DAYS_OF_A_PORTION).sum();
    let weather: usize = all.clocks.iter().map(|clocks| clocks.count() / DAYS_OF_A_STEP).sum();
    let portions = of_records.sum::<usize>() + days;
    let work =
        Work::of(portions, STEPS_FOR_PORTION).times(MAX_DRAWS).and(Work::of(weather, 1).times(CLOCKS_OF_WEATHER));
    let what =
        format!("the feedings, harvests, observations and days of these records are followed up to {MAX_DRAWS} times");
    let mend = "leave records out, or sum up feedings of a week or a month";
    context.keep(JsonPath::root().field("records"), work.check(context.beside, &what, mend))?;
    context.spend(work);
    Some(())
}

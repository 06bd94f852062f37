//! The first day on which a bed can have castings, and what is needed before that day.

use super::super::planned::HORIZON;
use super::super::{Climate, Clocks};
use super::castings::{CastingsBy, as_it_is_fed, on_a_square_metre};
use super::{BedToSize, HarvestDates};
use crate::garden::assumptions::Known;
use crate::garden::refusal::{Reason, Refusal};
use chrono::{Days, NaiveDate};

/// Answers "which castings are needed before this bed can have any, and from which day can it have them?": the position of each such
/// need, and what to write in its place. The bed has its first castings once it has eaten one harvest of the fewest layers.
///
/// # Errors
/// What [`super::super::forecast_on`] refuses; `missing_field` where the bed starts on a day without a temperature.
pub fn needed_too_early(
    asked: &BedToSize,
    needed: &[CastingsBy],
    (climate, known): (&Climate, Known<'_>),
) -> Result<Vec<(usize, Refusal)>, Refusal> {
    let start = asked.start_on;
    let last = start.checked_add_days(Days::new(HORIZON)).unwrap_or(NaiveDate::MAX);
    let last = climate.last_day().map_or(last, |day| day.min(last)).max(start);
    let clocks = Clocks::new(climate, (start, last), known)?;
    let layers = asked.layers_per_cycle.unwrap_or(1);
    let lots = on_a_square_metre(asked, layers, (&clocks, known))?;
    let lots = as_it_is_fed(asked, (layers, lots), (&clocks, known))?;
    let first = lots.first().and_then(|lot| asked.harvest_dates.of(lot.ready));
    let likely = lots.first().map(|lot| lot.ready.likely);
    let mend = match (first, likely) {
        (Some(on), _) => from(on, asked),
        (None, Some(on)) => not_surely(on, &clocks),
        (None, None) => never(&clocks),
    };
    let early = needed.iter().enumerate().filter(|(_, need)| first.is_none_or(|on| need.by < on));
    let refusal = |need: &CastingsBy| {
        let detail = format!("a bed that starts on {start} makes no castings by {}; {mend}", need.by);
        Refusal::new(Reason::DatesOutOfOrder, detail)
    };
    Ok(early.map(|(at, need)| (at, refusal(need))).collect())
}

fn from(on: NaiveDate, asked: &BedToSize) -> String {
    let days = (on - asked.start_on).num_days();
    let (surely, likely) = match asked.harvest_dates {
        HarvestDates::Likely => ("", ""),
        HarvestDates::Latest => (" at the latest", ", or leave out \"harvest_dates\" for the likely days"),
    };
    format!(
        "its first castings take {days} days in this climate{surely} and are ready on {on}: ask for them from then on, or start the bed \
         earlier{likely}"
    )
}

/// Where only the slow end has none within the days looked at.
fn not_surely(likely: NaiveDate, clocks: &Clocks) -> String {
    format!(
        "at their latest dates none are ready by {} either, at the likely ones on {likely}: leave out \"harvest_dates\" for the likely days, \
         or choose a warmer place",
        clocks.last()
    )
}

fn never(clocks: &Clocks) -> String {
    let last = clocks.last();
    match clocks.deadly_from(clocks.first()) {
        Some((on, why)) => {
            let earlier = "; or start the bed so early that its castings are ready before that day";
            format!(
                "{} kills the worms on {on}, before any are ready: {}, and give climate the temperature in the bed, as fixed or with an \
                 offset to the air{}",
                why.as_str(),
                why.remedy(),
                if on > clocks.first() { earlier } else { "" }
            )
        }
        None => format!("none are ready by {last} either: give the temperatures of more days, or of a warmer place"),
    }
}

//! Worms, feed eaten and castings over the plan, as a chart.

use super::WormBedsAnswer;
use crate::http::output::QuantityOut;
use crate::http::output::quantity::Role;
use crate::http::present::chart::{Chart, Panel, Panels, Picture};
use chrono::NaiveDate;

/// A panel for each of them.
pub(super) fn chart(answer: &WormBedsAnswer) -> Chart {
    let unit = |role| answer.units.unit(role).0.to_owned();
    let weekly = |what, of: fn(&super::answer::WeekOut) -> &QuantityOut| Panel {
        what,
        unit: unit(Role::Mass),
        steps: answer.weeks.iter().map(|week| (week.start_on, of(week).value.get())).collect(),
    };
    let mut panels = vec![
        weekly("Live worms at the end of each week", |week| &week.worms),
        weekly("Feed eaten in each week, moist", |week| &week.feed),
    ];
    if answer.weeks.iter().any(|week| week.waiting.value.get() > 0.0) {
        panels.push(weekly("Feed waiting at the end of each week, moist", |week| &week.waiting));
    }
    let first = answer.weeks.first().map_or(answer.end.on, |week| week.start_on);
    panels.push(Panel { what: "Castings ready, summed up", unit: unit(Role::Bulk), steps: castings(answer, first) });
    let title = answer.name_or_id().unwrap_or("Worm bed");
    Chart::new(title, Picture::Panels(Panels { until: answer.end.on, panels }))
}

/// All castings that are ready from each day on.
fn castings(answer: &WormBedsAnswer, first: NaiveDate) -> Vec<(NaiveDate, f64)> {
    let mut sum = 0.0;
    let lots = answer.lots.iter().map(|lot| {
        sum += lot.castings.volume.value.get();
        (lot.ready.likely, sum)
    });
    let lots: Vec<(NaiveDate, f64)> = lots.collect();
    std::iter::once((first, 0.0)).chain(lots).collect()
}

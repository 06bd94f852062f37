//! Writing how sure a season is.

use super::answer::MeasureOut;
use crate::garden::draws::{Variable, shown_chance};
use crate::garden::seasons::{self, Chances, PlanChances};
use crate::garden::units::{Share, Volume};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{Role, View};
use crate::http::present::words::chance;
use crate::http::resources::ReferenceOut;
use crate::http::resources::balances::Labels;
use crate::http::resources::chances::{ChancesOut, DateChanceOut, Percentiles, ReadyOnOut};

/// Percentiles of litres.
pub fn percentiles(litres: &seasons::Percentiles<f64>, view: &View<'_>) -> Percentiles {
    let volume = |litres| view.exact(Role::Bulk, Volume::from_litres(litres));
    Percentiles { p10: volume(litres.p10), p50: volume(litres.p50), p90: volume(litres.p90) }
}

/// A share.
pub fn share(fraction: f64, view: &View<'_>) -> QuantityOut {
    view.exact(Role::Share, Share::from_fraction(fraction))
}

/// How sure it is that everybody gets all whose day is still to come.
pub fn in_words(chances: &PlanChances, view: &View<'_>) -> String {
    let Some(enough) = chance_enough(chances, view) else { return "All dates are past.".to_owned() };
    let who = if chances.some_passed { "every demand whose day is still to come" } else { "every demand" };
    format!("The chance that {who} is met in time is {}, if the ranges shown are right.", chance(&enough))
}

/// The same as a share; nothing where all dates are past.
pub fn chance_enough(chances: &PlanChances, view: &View<'_>) -> Option<QuantityOut> {
    chances.to_come().map(|enough| share(shown_chance(enough, chances.runs), view))
}

/// How sure the season is.
pub fn chances_out(chances: &Chances, view: &View<'_>) -> ChancesOut {
    let by_date = chances.plan.by_date.iter().map(|by| DateChanceOut {
        date: by.date,
        needed: view.exact(Role::Bulk, Volume::from_litres(by.needed)),
        chance: share(shown_chance(by.enough, chances.plan.runs), view),
    });
    let ready = chances.ready.iter().map(|on| ReadyOnOut { date: on.date, volume: percentiles(&on.litres, view) });
    ChancesOut {
        simulation_runs: chances.plan.runs,
        seed: chances.seed,
        condition: "if the ranges shown are right",
        by_date: by_date.collect(),
        ready: ready.collect(),
        worst_on: chances.worst_on,
        margin: chances.margin.as_ref().map(|margin| percentiles(margin, view)),
    }
}

/// What to know better first.
pub fn measure_first(chances: &Chances, labels: &Labels<'_>, view: &View<'_>) -> Vec<MeasureOut> {
    let measure_out = |measure: &seasons::MeasureFirst| {
        let [share, range_if_known] = measure.narrowing(view.book());
        let mut out = MeasureOut {
            assumption: None,
            lot: None,
            demand: None,
            share_of_variance: view.estimate(Role::Share, share),
            range_if_known: view.estimate(Role::Share, range_if_known),
            measure_it: None,
        };
        match measure.variable {
            Variable::Assumption(which) => {
                (out.assumption, out.measure_it) = (Some(which.id()), which.definition().measure_it);
            }
            Variable::Stock(i) => {
                out.lot = Some(ReferenceOut::to(labels.stock, i));
                out.measure_it = Some("count it in a container of known size, or weigh the lot and one bucket");
            }
            // Nobody can measure it beforehand, so it is never reported.
            Variable::Weather(_) | Variable::WormsAtStart => {}
            Variable::Demand(i) => out.demand = Some(ReferenceOut::to(labels.demands, i)),
        }
        out
    };
    chances.measure_first.iter().map(measure_out).collect()
}

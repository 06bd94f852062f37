//! Writing how the observations of a record fit.

use super::answer::FitOut;
use super::observations::Source;
use super::read::Read;
use super::record_names;
use crate::garden::beds::Observation;
use crate::garden::calibrations::{Fit, MisfitReason, Value};
use crate::http::output::quantity::{QuantityOut, Role, View};
use crate::http::resources::chances::{DatePercentiles, Percentiles};
use chrono::NaiveDate;

/// What to mind where one of two records does not fit.
pub(super) const OF_TWO: &str = "With only two records, it is unclear which one is wrong; check both.";

/// Writes them, in the order of the request.
pub(super) fn write(read: &Read, fits: &[Fit], view: &View<'_>) -> Vec<FitOut> {
    let one = |(fit, observed): (&Fit, &super::observations::Observed)| {
        let (harvest, layer) = match observed.source {
            Source::Harvest(index, _) => (Some(index + 1), None),
            Source::Layer(..) => (None, layer(read, &fit.observation)),
            Source::Worms(_) | Source::Container(_) => (None, None),
        };
        let forecasts = [Some(fit.before), Some(fit.after), fit.from_others];
        let [before, after, from_others] = forecasts.map(|of| amounts(of?, view));
        let [before_on, after_on, from_others_on] = forecasts.map(|of| days(of?));
        let observed_amount = amount(fit.seen, view).map(|seen| QuantityOut { node: observed.node, ..seen });
        FitOut {
            kind: record_names::called(&fit.observation).0,
            harvest,
            layer,
            observed: observed_amount,
            observed_on: day_of(&fit.observation),
            before,
            after,
            from_others,
            before_on,
            after_on,
            from_others_on,
            fits: fit.off.is_none(),
            reason: fit.off.map(MisfitReason::text),
        }
    };
    fits.iter().zip(&read.observed).map(one).collect()
}

/// The number of the feeding of an observation, from 1, as the request counts them.
fn layer(read: &Read, observation: &Observation) -> Option<usize> {
    let (Observation::Eaten { feeding, .. } | Observation::NotEaten { feeding, .. }) = observation else { return None };
    read.places.fed.get(*feeding).map(|index| index + 1)
}

/// The day of an observation that has one.
const fn day_of(observation: &Observation) -> Option<NaiveDate> {
    match observation {
        Observation::Ready { on, .. }
        | Observation::Eaten { on, .. }
        | Observation::NotEaten { on, .. }
        | Observation::WormsWeighed { on, .. } => Some(*on),
        _ => None,
    }
}

/// An amount; none where it is a day.
fn amount(value: Value, view: &View<'_>) -> Option<QuantityOut> {
    Some(match value {
        Value::Day(_) => return None,
        Value::Volume(volume) => view.exact(Role::Bulk, volume),
        Value::Mass(mass) => view.exact(Role::Mass, mass),
        Value::Share(share) => view.exact(Role::Share, share),
        Value::Density(density) => view.exact(Role::Density, density),
    })
}

fn amounts([p10, p50, p90]: [Value; 3], view: &View<'_>) -> Option<Percentiles> {
    Some(Percentiles { p10: amount(p10, view)?, p50: amount(p50, view)?, p90: amount(p90, view)? })
}

fn days(values: [Value; 3]) -> Option<DatePercentiles> {
    let day = |value| if let Value::Day(day) = value { Some(day) } else { None };
    let [p10, p50, p90] = values.map(day);
    p50.is_some().then_some(DatePercentiles { p10, p50, p90 })
}

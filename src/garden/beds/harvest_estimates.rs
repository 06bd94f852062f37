//! A bed by up to three ways: by its depth, by what was fed, and to come; beds and heaps together.

use super::{Comparison, Forecast, FromFeed, Yield, compare};
use crate::garden::assumptions::{Assumed, Known};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{TotalMass, TotalVolume};
use crate::garden::harvests::Harvest;
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfMass, OfVolume};

/// What is known of a bed's castings, by each way that was asked for.
#[derive(Debug)]
pub struct HarvestEstimates {
    /// By its depth.
    pub by_depth: Option<Harvest>,
    /// By what was fed.
    pub by_feed: Option<FromFeed>,
    /// What it is to do.
    pub forecast: Option<Forecast>,
    /// Depth and feed compared, where both are there.
    pub comparison: Option<Comparison>,
    /// What was assumed, each once.
    pub assumed: Vec<Assumed>,
    /// What to mind, each once.
    pub cautions: Vec<Rule>,
}

impl HarvestEstimates {
    /// Compares depth and feed, and gathers what each way assumed and minds, in their order.
    #[must_use]
    pub fn of(
        (by_depth, by_feed, forecast): (Option<Harvest>, Option<FromFeed>, Option<Forecast>),
        known: Known<'_>,
        recorder: impl Recorder,
    ) -> Self {
        let both = by_depth.as_ref().zip(by_feed.as_ref());
        let comparison = both.map(|(depth, feed)| compare(depth, feed, known, recorder));
        let notes = [
            by_depth.as_ref().map(|it| (&it.assumed, &it.cautions)),
            by_feed.as_ref().map(|it| (&it.assumed, &it.cautions)),
            forecast.as_ref().map(|it| (&it.assumed, &it.cautions)),
        ];
        let (mut assumed, mut cautions): (Vec<Assumed>, Vec<Rule>) = (Vec::new(), Vec::new());
        for (some, rules) in notes.into_iter().flatten() {
            for one in some {
                if !assumed.iter().any(|other| other.assumption == one.assumption) {
                    assumed.push(*one);
                }
            }
            for rule in rules {
                if !cautions.contains(rule) {
                    cautions.push(*rule);
                }
            }
        }
        Self { by_depth, by_feed, forecast, comparison, assumed, cautions }
    }
}

/// Castings in store, by volume and by mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stored {
    /// By volume.
    pub volume: Estimate<OfVolume>,
    /// By mass.
    pub mass: Estimate<OfMass>,
}

/// The castings of beds and heaps together. Nothing is counted twice: a bed by its depth and by its feed counts by its depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Total {
    /// As they lie in heaps and in the beds by their depth.
    pub castings: Estimate<OfVolume>,
    /// These castings once they lie in store.
    pub stored: Stored,
    /// Those of the beds by what was fed and not by their depth; `None` if there is no such bed.
    pub from_feed: Option<Stored>,
    /// Those of all lots of all forecasts, each by the end of its forecast: at the low end without those that may be ready later. `None`
    /// without a forecast.
    pub forecast: Option<Stored>,
}

impl Total {
    /// Adds up.
    #[must_use]
    pub fn of(beds: &[&HarvestEstimates], heaps: &[&Harvest], recorder: impl Recorder) -> Self {
        let by_depth = beds.iter().filter_map(|ways| ways.by_depth.as_ref());
        let there: Vec<&Harvest> = by_depth.chain(heaps.iter().copied()).collect();
        let by_feed = beds.iter().filter(|ways| ways.by_depth.is_none()).filter_map(|ways| ways.by_feed.as_ref());
        let fed: Vec<&Yield> = by_feed.map(|found| &found.yields).collect();
        let forecasts: Vec<&Forecast> = beds.iter().filter_map(|ways| ways.forecast.as_ref()).collect();
        let lots = forecasts.iter().flat_map(|forecast| &forecast.lots);
        let mut in_time = lots.filter_map(|lot| {
            let Yield { castings, mass, .. } = lot.yields;
            lot.by(None, castings, recorder).zip(lot.by(None, mass, recorder))
        });
        let stored = |amounts: &mut dyn Iterator<Item = (Estimate<OfVolume>, Estimate<OfMass>)>| {
            let (v, u) = amounts.unzip();
            Stored { volume: recorder.figure(TotalVolume { v }), mass: recorder.figure(TotalMass { u }) }
        };
        let in_store = |of: &Yield| (of.castings, of.mass);
        Self {
            castings: recorder.figure(TotalVolume { v: there.iter().map(|harvest| harvest.castings).collect() }),
            stored: stored(&mut there.iter().map(|harvest| (harvest.stored, harvest.mass))),
            from_feed: (!fed.is_empty()).then(|| stored(&mut fed.iter().map(|of| in_store(of)))),
            forecast: (!forecasts.is_empty()).then(|| stored(&mut in_time)),
        }
    }
}

//! Batches: how a brew is split, and when each starts, is ready and must be used.

use super::{Brewer, MAX_BATCHES, Order};
use crate::garden::figures::Recorder;
use crate::garden::formulas::{Batch as OneBatch, DilutionWater, Rounds, Tea};
use crate::garden::interrupt::check;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfRatio, OfVolume};
use crate::garden::units::{Duration, Estimate, Millilitres, ROUNDING_TOLERANCE, Ratio, Volume, whole};
use chrono::{DateTime, FixedOffset, TimeDelta};

/// Seconds in an hour. Source: exact by definition.
const SECONDS: f64 = 3_600.0;

/// One batch in one vessel.
#[derive(Debug, Clone, PartialEq)]
pub struct Batch {
    /// Its water.
    pub water: Estimate<OfVolume>,
    /// Its castings, in whole millilitres that add up to those of the brew.
    pub castings: Millilitres,
    /// Its castings as they are measured out: an equal part of those of the brew.
    pub part: Volume,
    /// Water added to its tea before use.
    pub dilution_water: Estimate<OfVolume>,
    /// Its tea after dilution.
    pub tea: Estimate<OfVolume>,
    /// Start, ready and use-by; `None` when no time was given.
    pub times: Option<Times>,
}

/// When a batch starts, is ready and must be used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Times {
    /// Castings into water.
    pub start: DateTime<FixedOffset>,
    /// Tea ready.
    pub ready: DateTime<FixedOffset>,
    /// Tea used up.
    pub use_by: DateTime<FixedOffset>,
}

/// How a brew is split: equal batches, so many filled at a time.
pub(super) struct Split {
    pub count: u64,
    water: Estimate<OfVolume>,
    pub rounds: Estimate<OfRatio>,
}

#[expect(non_snake_case, reason = "the symbols of the formulas")]
pub(super) fn split(
    water: Estimate<OfVolume>,
    brewer: Option<Brewer>,
    recorder: impl Recorder,
) -> Result<Split, Refusal> {
    let Some(Brewer { holds: H, count: k, .. }) = brewer else {
        return Ok(Split { count: 1, water: water.recorded(0), rounds: Ratio::from_number(1.0).into() });
    };
    let batches = (water.likely().litres() / H.likely().litres() - ROUNDING_TOLERANCE).ceil().max(1.0);
    if batches > whole(MAX_BATCHES) {
        let detail = format!("this needs more than {MAX_BATCHES} batches; use a larger brewer or less water");
        return Err(Refusal::new(Reason::TooLarge, detail).at("brewer"));
    }
    #[expect(clippy::as_conversions, reason = "between 1 and MAX_BATCHES")]
    let count = batches as u64;
    let one = recorder.figure(OneBatch { W: water, H });
    Ok(Split { count, water: one, rounds: recorder.figure(Rounds { W: water, H, k }) })
}

/// When batches of an order start, and how they share its castings.
pub(super) struct Schedule<'a> {
    pub brewing: Duration,
    pub keeps: Duration,
    pub order: &'a Order,
}

impl Schedule<'_> {
    /// Equal batches; the castings are split in whole millilitres, the first batches taking one more where it does not
    /// come out even.
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn batches(&self, split: &Split, all: Volume, recorder: impl Recorder) -> Result<Vec<Batch>, Refusal> {
        let (W, k) = (split.water, self.order.dilution);
        let (dilution_water, tea) = (recorder.figure(DilutionWater { W, k }), recorder.figure(Tea { W, k }));
        let (count, castings) = (split.count, Millilitres::needed(all));
        let part = Volume::from_litres(all.litres() / whole(count));
        let (each, rest) = (castings.get() / count, castings.get() % count);
        let vessels = self.order.brewer.map_or(1.0, |brewer| brewer.count.number().max(1.0));
        (0..count)
            .map(|i| {
                check();
                Ok(Batch {
                    water: W,
                    castings: Millilitres::new(each + u64::from(i < rest)),
                    part,
                    dilution_water,
                    tea,
                    times: self.times((whole(i) / vessels).floor())?,
                })
            })
            .collect()
    }

    fn times(&self, round: f64) -> Result<Option<Times>, Refusal> {
        let Some(use_at) = self.order.use_at else { return Ok(None) };
        let turnaround = self.order.brewer.map_or(0.0, |b| b.turnaround.hours());
        let later = round * (self.brewing.hours() + turnaround);
        let at = |hours: f64| -> Result<DateTime<FixedOffset>, Refusal> {
            #[expect(clippy::as_conversions, reason = "a float to integer cast saturates, and the date is checked")]
            let seconds = (hours * SECONDS).round() as i64;
            let range = crate::garden::dates::MIN_YEAR..=crate::garden::dates::MAX_YEAR;
            TimeDelta::try_seconds(seconds)
                .and_then(|delta| use_at.checked_add_signed(delta))
                .filter(|moment| range.contains(&chrono::Datelike::year(moment)))
                .ok_or_else(|| {
                    Refusal::new(Reason::BadDate, "a batch would start before 1900 or end after 2199; check use_at")
                        .at("use_at")
                })
        };
        Ok(Some(Times {
            start: at(later - self.brewing.hours())?,
            ready: at(later)?,
            use_by: at(later + self.keeps.hours())?,
        }))
    }
}

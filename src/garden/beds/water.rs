//! Water and the balances of what goes into a bed and comes out of it.

#![expect(non_snake_case, reason = "the symbols of the formulas")]

use super::inputs::Inputs;
use super::{Bed, Keeps};
use crate::garden::assumptions::{Assumption, WATER_DENSITY};
use crate::garden::figures::{Recorder, Source};
use crate::garden::formulas::{WATER_FROM_ORGANIC_MATTER, WaterInFeed};
use crate::garden::units::quantity::{OfDensity, OfMass, OfShare, OfVolume, OfVolumePerArea};
use crate::garden::units::{Area, Density, Estimate, Mass, Share, Volume};
use chrono::NaiveDate;

/// The water of a bed from one date to another.
///
/// `to_add + with_feed + water_from_decomposition = evaporated + to_drain + held_change`, at the likely values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Period {
    /// From.
    pub from: NaiveDate,
    /// To.
    pub to: NaiveDate,
    /// Water to add.
    pub to_add: Estimate<OfVolume>,
    /// Water that drains, or dry leaves are wanted for.
    pub to_drain: Estimate<OfVolume>,
    /// Water that came in with new feed.
    pub with_feed: Estimate<OfVolume>,
    /// Water set free by organic matter lost: 0.55 kg/kg.
    pub water_from_decomposition: Volume,
    /// Water given off to the air.
    pub evaporated: Volume,
    /// What the bed holds more (or, below zero, less) at the end than at the beginning.
    pub held_change: Volume,
}

/// What went in, came out, was lost, and lies in the bed at the end: fed = in_lots + lost + in_bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassAccount {
    /// Laid, and in the bed at the start.
    pub fed: Mass,
    /// Taken out with the lots.
    pub in_lots: Mass,
    /// Lost on the way.
    pub lost: Mass,
    /// In the bed at the end.
    pub in_bed: Mass,
}

/// The accounts of a forecast, at the likely values. What lies in a running bed counts as if it came of the same feed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassBalance {
    /// All dry matter; lost: organic matter.
    pub dry_matter: MassAccount,
    /// Ash; nothing is lost.
    pub ash: MassAccount,
    /// Carbon, (1 - ash)/1.8; lost: to the air.
    pub carbon: MassAccount,
    /// Nitrogen, where that of the feed is given; lost: ammonia.
    pub nitrogen: Option<MassAccount>,
    /// Water; fed: with feed, added, set free and held at the start; lost: evaporated and drained; in lots: as harvested.
    pub water: MassAccount,
}

/// What happens to the dry matter of a bed between two times, kg.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turnover {
    pub from: NaiveDate,
    pub to: NaiveDate,
    pub days: f64,
    /// New feed laid.
    pub laid: Option<Estimate<OfMass>>,
    /// Feed worked.
    pub worked: f64,
}

/// What the water of a bed depends on.
#[derive(Debug, Clone)]
pub(super) struct WaterRules {
    area: Area,
    evaporation: Estimate<OfVolumePerArea>,
    moisture: Estimate<OfShare>,
    /// Dry matter lost of what is worked.
    lost: Estimate<OfShare>,
    /// Of the feed.
    feed_moisture: Estimate<OfShare>,
    water: Estimate<OfDensity>,
}

impl WaterRules {
    pub fn known<R: Recorder>(bed: &Bed, keeps: &Keeps, inputs: &mut Inputs<'_, R>) -> Self {
        let water = Density::from_kilograms_per_cubic_metre(WATER_DENSITY).into();
        Self {
            area: bed.area.likely(),
            evaporation: inputs.take(Assumption::Evaporation),
            moisture: inputs.take(Assumption::BedMoisture),
            lost: keeps.lost(),
            feed_moisture: bed.feed.moisture,
            water: inputs.recorder.source(Source::Constant("WATER_DENSITY"), water),
        }
    }

    /// The water in the bed, wet basis.
    pub fn moisture(&self) -> Estimate<OfShare> {
        self.moisture
    }

    /// Water held by so much dry matter in the bed, kg, at the likely moisture.
    pub fn held(&self, dry: f64) -> f64 {
        dry * for_each_dry(self.moisture.likely())
    }

    /// `max(0, E A days + change in held water - 0.55 x organic matter lost - water in new feed)`; drain is the negative part.
    /// Bounds: the least at low evaporation and high loss, the most at high evaporation and low loss, each at the end of the
    /// bed's moisture that goes further.
    pub fn period(&self, turnover: &Turnover, recorder: impl Recorder) -> Period {
        let (w, rho_w) = (self.feed_moisture, self.water);
        let with_feed = turnover.laid.map(|D| recorder.figure(WaterInFeed { D, w, rho_w }));
        let with_feed = with_feed.unwrap_or_else(|| Volume::from_litres(0.0).into());
        let need = |evaporation, moisture, lost| {
            let sums = self.sums(turnover, (evaporation, moisture, lost));
            sums.evaporated + sums.held_change - sums.water_from_decomposition - with_feed.litres()
        };
        let ends = |evaporation, lost| {
            let (dry, wet) =
                (need(evaporation, self.moisture.low(), lost), need(evaporation, self.moisture.high(), lost));
            (dry.min(wet), dry.max(wet))
        };
        let (low, _) = ends(self.evaporation.low(), self.lost.high());
        let (_, high) = ends(self.evaporation.high(), self.lost.low());
        let likely = need(self.evaporation.likely(), self.moisture.likely(), self.lost.likely());
        let sums = self.sums(turnover, (self.evaporation.likely(), self.moisture.likely(), self.lost.likely()));
        Period {
            from: turnover.from,
            to: turnover.to,
            to_add: above_zero(low, likely, high),
            to_drain: above_zero(-high, -likely, -low),
            with_feed,
            water_from_decomposition: Volume::from_litres(sums.water_from_decomposition),
            evaporated: Volume::from_litres(sums.evaporated),
            held_change: Volume::from_litres(sums.held_change),
        }
    }

    fn sums(&self, turnover: &Turnover, at: (crate::garden::units::VolumePerArea, Share, Share)) -> Sums {
        let (evaporation, moisture, lost) = at;
        let (laid, lost) = (turnover.laid.map_or(0.0, Estimate::kilograms), lost.fraction() * turnover.worked);
        Sums {
            evaporated: (evaporation * self.area).litres() * turnover.days,
            held_change: (laid - lost) * for_each_dry(moisture),
            water_from_decomposition: WATER_FROM_ORGANIC_MATTER * lost,
        }
    }
}

/// kg, or L.
struct Sums {
    evaporated: f64,
    held_change: f64,
    water_from_decomposition: f64,
}

/// Water for each kg of dry matter: `w / (1 - w)`.
fn for_each_dry(moisture: Share) -> f64 {
    moisture.fraction() / (1.0 - moisture.fraction())
}

fn above_zero(low: f64, likely: f64, high: f64) -> Estimate<OfVolume> {
    let volume = |litres: f64| Volume::from_litres(litres.max(0.0));
    Estimate::between(volume(low.min(likely)), volume(likely), volume(high.max(likely)))
        .unwrap_or_else(|| Estimate::exactly(volume(likely)))
}

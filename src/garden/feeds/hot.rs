//! Hot composting before the worms: what it loses by its days and its temperature, and the water it takes.

use super::line::Prepared;
use super::notes::{Notes, of_water};
use super::sum::{Mix, each};
use crate::garden::assumptions::Assumption;
use crate::garden::figures::{Recorder, Source};
use crate::garden::formulas::{
    AfterHotComposting, DAY, DryLostInHeat, EvaporatedInHeat, HeatPace, LostInHeat, MoistureAfterHeat,
    NitrogenLeftAfterHeat, RatioAfterHeat, VolumeAfterHeat, WaterInHeat,
};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDuration, OfMass, OfRatio, OfShare, OfTemperature, OfVolume};
use crate::garden::units::{Duration, End, Estimate, ROUNDING_TOLERANCE, Temperature};

/// The longest hot composting and the longest cooling, in days. Source: limit of this service.
pub const MAX_STAGE_DAYS: u32 = 365;
/// The coolest and the hottest heap that is computed with, C. Source: 40-60 C is the hot stage (Cornell Waste Management Institute,
/// Compost Physics); the upper end is a limit of this service.
pub const HEAP: (f64, f64) = (40.0, 80.0);
/// How hot a heap is that says nothing, C. Source: the least that counts as treated, 7 CFR 205.203(c)(2).
const USUAL: f64 = 55.0;

/// Hot composting before the worms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HotComposting {
    /// Days hot.
    pub days: u32,
    /// How hot it is; 55 C if not said.
    pub temperature: Option<Estimate<OfTemperature>>,
    /// Days until it is below 30 C; as assumed if not said.
    pub cooling_days: Option<u32>,
    /// The place where it is asked for, by its number.
    pub asked: u32,
}

impl HotComposting {
    /// # Errors
    /// `out_of_range` above a year, or outside [`HEAP`].
    pub fn check(self) -> Result<(), Refusal> {
        let cooling = self.cooling_days.unwrap_or(0);
        if !(1..=MAX_STAGE_DAYS).contains(&self.days) || cooling > MAX_STAGE_DAYS {
            let most = f64::from(MAX_STAGE_DAYS);
            let detail = format!("hot composting must last 1 to {most} days, and cooling at most {most} days");
            return Err(Refusal::new(Reason::OutOfRange, detail).between(1.0, most));
        }
        let (least, most) = HEAP;
        if self.temperature.is_some_and(|t| !(least..=most).contains(&t.likely().base())) {
            let detail = format!("a hot heap has {least} to {most} C in its middle");
            return Err(Refusal::new(Reason::OutOfRange, detail).between(least, most));
        }
        Ok(())
    }
}

/// A mix after hot composting, moistened again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HotComposted {
    /// Dry matter that is lost: organic matter, since ash stays.
    pub dry_lost: Estimate<OfMass>,
    /// Carbon that is lost.
    pub carbon_lost: Estimate<OfMass>,
    /// Nitrogen that is lost.
    pub nitrogen_lost: Estimate<OfMass>,
    /// Dry matter that is left.
    pub dry: Estimate<OfMass>,
    /// The volume that is left.
    pub volume: Estimate<OfVolume>,
    /// Carbon over nitrogen of what is left.
    pub carbon_to_nitrogen: Estimate<OfRatio>,
    /// Water that evaporates.
    pub evaporated: Estimate<OfVolume>,
    /// Water to add meanwhile and at the end, so that it is as moist as the mix was.
    pub water_to_add: Estimate<OfVolume>,
    /// Its moisture then; above that of the mix where less evaporates than the feed that is lost had held.
    pub moisture: Estimate<OfShare>,
    /// Days until it is below 30 C.
    pub cooling: Estimate<OfDuration>,
    pace: Pace,
}

/// How fast and how long.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Pace {
    nitrogen: Estimate<OfShare>,
    heat: Estimate<OfRatio>,
    time: Estimate<OfDuration>,
}

impl HotComposted {
    /// Each day organic matter and nitrogen lose a share of what is left, by the temperature.
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub(super) fn of<R: Recorder>(
        (mix, parts): (&Mix, &[Prepared]),
        hot: HotComposting,
        notes: &mut Notes<'_, R>,
    ) -> Self {
        let (recorder, asked) = (notes.recorder, Source::Request(hot.asked));
        let usual = || recorder.source(Source::Constant("USUAL"), Temperature::from_celsius(USUAL).into());
        let days = |days: u32| recorder.source(asked, Duration::from_hours(DAY * f64::from(days)).into());
        let (g, t) = (recorder.figure(HeatPace { T: hot.temperature.unwrap_or_else(usual) }), days(hot.days));
        let k = notes.take(Assumption::HotCompostingLoss);
        let h = notes.take(Assumption::HotCompostingNitrogenLoss);
        let e = notes.take(Assumption::HotCompostingEvaporation);
        let cooling = hot.cooling_days.map_or_else(|| notes.take(Assumption::Cooling), days);
        let (dry, y, rho_w) = (|| each(parts, |p| p.dry), || each(parts, |p| p.material.ash()), of_water(recorder));
        let L = recorder.figure(DryLostInHeat { D: dry(), y: y(), k, g, t });
        let I = recorder.figure(AfterHotComposting { D: dry(), y: y(), k, g, t });
        let E = recorder.figure(EvaporatedInHeat { L, e, rho_w });
        // Reported at the likely moisture of the mix, which is what it is moistened to.
        let [M, D, L_likely] = [mix.mass, mix.dry, L].map(|mass| mass.only(End::Likely));
        let likely = each(parts, |p| p.dry.only(End::Likely));
        let U = recorder.figure(WaterInHeat { L, e, M, D, rho_w });
        let [U_likely, E_likely] = [U, E].map(|water| water.only(End::Likely));
        Self {
            dry_lost: L,
            carbon_lost: recorder.figure(LostInHeat { M: mix.carbon, k, g, t }),
            nitrogen_lost: recorder.figure(LostInHeat { M: mix.nitrogen, k: h, g, t }),
            dry: I,
            volume: recorder.figure(VolumeAfterHeat { V: mix.volume, D: likely, y: y(), k, g, t }),
            carbon_to_nitrogen: recorder.figure(RatioAfterHeat { q: mix.carbon_to_nitrogen, k, h, g, t }),
            evaporated: E,
            water_to_add: U,
            moisture: recorder.figure(MoistureAfterHeat { M, D, L: L_likely, U: U_likely, E: E_likely, rho_w }),
            cooling,
            pace: Pace { nitrogen: h, heat: g, time: t },
        }
    }

    /// Nitrogen in the castings, of which the worms' bed keeps this share.
    pub(super) fn nitrogen_kept(
        &self,
        parts: &[Prepared],
        r: Estimate<OfShare>,
        recorder: impl Recorder,
    ) -> Estimate<OfMass> {
        let Pace { nitrogen: h, heat: g, time: t } = self.pace;
        recorder.figure(NitrogenLeftAfterHeat {
            D: each(parts, |p| p.dry),
            n: each(parts, |p| p.material.nitrogen()),
            h,
            g,
            t,
            r,
        })
    }

    /// Whole days until it is below 30 C, at the likely value.
    #[must_use]
    pub fn cooling_days(&self) -> u32 {
        (0..=MAX_STAGE_DAYS)
            .find(|days| DAY * f64::from(*days) >= self.cooling.likely().hours() - ROUNDING_TOLERANCE)
            .unwrap_or(MAX_STAGE_DAYS)
    }
}

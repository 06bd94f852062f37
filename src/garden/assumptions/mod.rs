//! Every default: id, low, likely, high, source, how to measure it; and what the caller puts in its place.

mod analysis;
mod castings;
mod correlations;
mod counted_by;
mod pores;
mod table;

pub use analysis::{MAX_ASH, parts_of_ash, sums_up};
pub use castings::{Castings, TIE_UP, weighed};
pub use correlations::{Copula, Correlation, MAX_CORRELATION, copula};
pub use counted_by::CountedBy;
pub use pores::{MIN_AIR, PARTICLE_DENSITY, WATER_DENSITY, air_space, fullest};
pub use table::{Assumption, Definition};

use crate::garden::closed_list::closed_list;
use crate::garden::figures::{Recorder, Source};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::round::to_nine_digits;
use crate::garden::units::{Estimate, Measured, Quantity};

/// The least share that is computed with where nothing at all leaves nothing to compute. Source: limit of this service.
pub const MIN_SHARE: f64 = 1e-6;
/// The most of one nutrient in dry matter: beyond it only fertilisers lie. Source: limit of this service.
pub const MAX_NUTRIENT: f64 = 0.2;
/// The wettest castings, mix or bed computed with, over the whole. Source: limit of this service.
pub const WETTEST: f64 = 0.95;
/// The most that is lost on the way to castings. Source: limit of this service.
const MAX_LOST: f64 = 0.95;
/// The most that hot composting loses in a day. Source: limit of this service.
const MAX_LOST_IN_A_DAY: f64 = 0.2;
/// The most water evaporated for each kilogram lost: heat enough for more there is not. Source: limit of this service.
const MAX_EVAPORATED: f64 = 10.0;
/// The least nitrogen that is kept. Source: limit of this service.
const MIN_KEPT: f64 = 0.01;
/// The loosest packing of a mix: half of the summed volumes. Source: limit of this service.
const LOOSEST: f64 = 0.5;
/// The most that months depart from year to year, C: beyond it no year is like another. Source: limit of this service.
const MAX_YEAR_TO_YEAR: f64 = 10.0;
/// The least error of a record, as a share. Source: limit of this service.
const MIN_ERROR: f64 = 0.001;
/// The most hours by which a recorded day is off: half a year. Source: limit of this service.
const MAX_DAYS_OFF: f64 = 4_380.0;
/// The thinnest and the thickest layer of feed, m. Source: limit of this service.
const LAYERS: (f64, f64) = (1e-5, 2.0);

/// The most layers of one cycle of a bed. Source: limit of this service.
pub const MAX_LAYERS_PER_CYCLE: u32 = 1_000;

closed_list! {
    /// Who gave a value.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum SetBy {
        /// Nobody: the default of the table.
        Default = "default",
        /// The request as a whole.
        Request = "request",
        /// The item it is used for.
        Item = "item",
        /// Nobody: it follows from the material of the item.
        Material = "material",
    }
}

/// A value with its range in the base unit of its dimension. Guarantee: low <= likely <= high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// The lower bound.
    pub low: f64,
    /// The likely value.
    pub likely: f64,
    /// The upper bound.
    pub high: f64,
}

impl Span {
    /// One known value.
    #[must_use]
    pub const fn exactly(value: f64) -> Self {
        Self { low: value, likely: value, high: value }
    }

    /// The span as an estimate of a dimension. The caller names the dimension of the table.
    #[must_use]
    pub fn estimate<D: Measured>(self) -> Estimate<D> {
        let likely = Quantity::from_base(self.likely);
        Estimate::between(Quantity::from_base(self.low), likely, Quantity::from_base(self.high))
            .unwrap_or_else(|| Estimate::exactly(likely))
    }
}

impl<D: Measured> From<Estimate<D>> for Span {
    fn from(e: Estimate<D>) -> Self {
        Self { low: e.low().base(), likely: e.likely().base(), high: e.high().base() }
    }
}

/// What an assumption may be, in the base unit: the bounds of its dimension, or narrower ones.
#[must_use]
pub fn bounds(assumption: Assumption) -> (f64, f64) {
    let (mut min, mut max) = assumption.definition().dimension.bounds();
    match assumption {
        // A sieve that lets nothing pass, castings without dry matter, a tea without castings: nothing to compute.
        Assumption::SieveYield | Assumption::TeaStrength | Assumption::AvailableNitrogen => min = MIN_SHARE,
        Assumption::Nitrogen | Assumption::Phosphorus | Assumption::Potassium => (min, max) = (MIN_SHARE, MAX_NUTRIENT),
        Assumption::Moisture | Assumption::SoakMoisture | Assumption::BedMoisture => max = WETTEST,
        Assumption::Ash => max = MAX_ASH,
        Assumption::Packing => min = LOOSEST,
        Assumption::OrganicMatterLoss => max = MAX_LOST,
        Assumption::HotCompostingLoss | Assumption::HotCompostingNitrogenLoss => max = MAX_LOST_IN_A_DAY,
        Assumption::HotCompostingEvaporation => (min, max) = (0.0, MAX_EVAPORATED),
        Assumption::NitrogenRetained => min = MIN_KEPT,
        Assumption::FirstLayer | Assumption::LaterLayer | Assumption::FreshLayer => (min, max) = LAYERS,
        // 95 % of the whole is nineteen times the dry matter.
        Assumption::MoistureDryBasis => max = (WETTEST / (1.0 - WETTEST)).round(),
        // No record is without error.
        Assumption::RecordedAmount
        | Assumption::CycleToCycle
        | Assumption::RecordedWorms
        | Assumption::RecordedAsh
        | Assumption::RecordedSieveYield
        | Assumption::RecordedWeight => (min, max) = (MIN_ERROR, 1.0),
        Assumption::RecordedDay => (min, max) = (1.0, MAX_DAYS_OFF),
        // It is a spread.
        Assumption::YearToYear => (min, max) = (0.0, MAX_YEAR_TO_YEAR),
        // No worms left: nothing to go on with.
        Assumption::Recovered => min = MIN_SHARE,
        Assumption::LayersPerCycle => max = f64::from(MAX_LAYERS_PER_CYCLE),
        _ => {}
    }
    (min, max)
}

/// The values that one request or one item gives in place of defaults, in the order given.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Overrides {
    values: Vec<(Assumption, Span, SetBy)>,
    copula: Option<Copula>,
}

impl Overrides {
    /// Sets a value.
    ///
    /// # Errors
    /// `out_of_range` if it leaves the bounds of its dimension, or is no whole number where it counts something;
    /// `inconsistent_assumptions` if low, likely and high are not in order.
    pub fn set(&mut self, assumption: Assumption, span: Span) -> Result<(), Refusal> {
        self.set_by(SetBy::Item, assumption, span)
    }

    /// As [`Self::set`], by the item or by its material; with the same errors.
    pub fn set_by(&mut self, set_by: SetBy, assumption: Assumption, span: Span) -> Result<(), Refusal> {
        let definition = assumption.definition();
        let (min, max) = bounds(assumption);
        if !(span.low <= span.likely && span.likely <= span.high) {
            let detail = format!(
                "{}: write low, value and high in rising order, as in \"low\": 500, \"value\": 600, \
                                  \"high\": 700",
                definition.id
            );
            return Err(Refusal::new(Reason::InconsistentAssumptions, detail));
        }
        if !(span.low >= min && span.high <= max) {
            let scale = if definition.dimension == crate::garden::units::Dimension::Share { 100.0 } else { 1.0 };
            let unit = definition.dimension.base_unit();
            let (min, max) = (to_nine_digits(min * scale), to_nine_digits(max * scale));
            let detail = format!("{} must lie between {min} and {max} {unit}", definition.id);
            return Err(Refusal::new(Reason::OutOfRange, detail.trim_end().to_owned()).between(min, max));
        }
        whole(assumption, span).map_err(|refusal| refusal.between(min, max))?;
        self.values.retain(|(other, ..)| *other != assumption);
        self.values.push((assumption, span, set_by));
        Ok(())
    }

    /// Sets how values go together in simulated runs.
    ///
    /// # Errors
    /// All that is wrong: `out_of_range` for a rank correlation beyond [`MAX_CORRELATION`]; `inconsistent_assumptions` for a pair of one value
    /// or one that comes twice, each with its place; where no pair is wrong, for correlations that no values can have.
    pub fn correlate(&mut self, pairs: &[Correlation]) -> Result<(), Vec<(Option<usize>, Refusal)>> {
        self.copula = correlations::checked(pairs)?;
        Ok(())
    }

    /// How values go together in simulated runs, where that is given.
    #[must_use]
    pub const fn copula(&self) -> Option<&Copula> {
        self.copula.as_ref()
    }

    /// The value given, if there is one.
    #[must_use]
    pub fn get(&self, assumption: Assumption) -> Option<Span> {
        self.find(assumption).map(|(span, _)| span)
    }

    /// The value and who set it, if there is one.
    fn find(&self, assumption: Assumption) -> Option<(Span, SetBy)> {
        self.values.iter().find(|(other, ..)| *other == assumption).map(|(_, span, set_by)| (*span, *set_by))
    }

    /// What was given, in the order given.
    pub fn iter(&self) -> impl Iterator<Item = (Assumption, Span)> + '_ {
        self.values.iter().map(|(assumption, span, _)| (*assumption, *span))
    }

    /// True if nothing was given.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.values.is_empty()
    }
}

/// Whether it counts something, and so is a whole number.
#[must_use]
pub fn counts(assumption: Assumption) -> bool {
    assumption == Assumption::LayersPerCycle
}

/// Refuses a part of what is only counted.
fn whole(assumption: Assumption, span: Span) -> Result<(), Refusal> {
    if !counts(assumption) || [span.low, span.likely, span.high].iter().all(|value| value.fract() == 0.0) {
        return Ok(());
    }
    let detail = format!("{} counts layers: write a whole number, as in 3", assumption.id());
    Err(Refusal::new(Reason::OutOfRange, detail))
}

/// A value as used: which assumption, its range, who gave it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assumed {
    /// Which.
    pub assumption: Assumption,
    /// The value with its range.
    pub span: Span,
    /// Who gave it.
    pub set_by: SetBy,
}

/// Looks values up: the item's own, else the request's, else the default.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// What the request gives.
    pub request: &'a Overrides,
    /// What the item gives.
    pub item: &'a Overrides,
}

impl Known<'_> {
    /// The value to use; `None` if nobody gave it and there is no default.
    #[must_use]
    pub fn get(self, assumption: Assumption) -> Option<Assumed> {
        let given = |span, set_by| Assumed { assumption, span, set_by };
        self.item.find(assumption).map(|(span, set_by)| given(span, set_by)).or_else(|| {
            self.request.get(assumption).map(|span| given(span, SetBy::Request)).or_else(|| {
                let [low, likely, high] = assumption.definition().default?;
                Some(given(Span { low, likely, high }, SetBy::Default))
            })
        })
    }

    /// The value that somebody gave; `None` if it is a default or missing.
    #[must_use]
    pub fn given(self, assumption: Assumption) -> Option<Assumed> {
        self.get(assumption).filter(|a| !matches!(a.set_by, SetBy::Default | SetBy::Material))
    }

    /// As [`Self::estimate`], recorded.
    #[must_use]
    pub fn figure<D: Measured>(
        self,
        assumption: Assumption,
        recorder: impl Recorder,
    ) -> (Estimate<D>, Option<Assumed>) {
        let (figure, assumed) = self.estimate(assumption);
        (recorder.source(Source::Assumption(assumption.id()), figure), assumed)
    }

    /// The value to use, as an estimate; exactly 0 where there is none (the table has a default for each one read so).
    #[must_use]
    pub fn estimate<D: Measured>(self, assumption: Assumption) -> (Estimate<D>, Option<Assumed>) {
        let assumed = self.get(assumption);
        (assumed.map_or_else(|| Estimate::exactly(Quantity::from_base(0.0)), |a| a.span.estimate()), assumed)
    }
}

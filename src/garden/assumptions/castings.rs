//! What is known of the castings: weight, dry matter, nutrients. Bulk density and moisture are one thing.

use super::analysis::check_ash;
use super::pores::wetness;
use super::{Assumed, Assumption, Known, SetBy, Span};
use crate::garden::cautions::Rule;
use crate::garden::figures::{Recorder, Source};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfRatio, OfShare};
use crate::garden::units::{Density, End, Estimate, Mass, Share, Volume};

/// How far three values of density and moisture may disagree: one percentage point of moisture. Source: assumption: no
/// published figure found.
const MOISTURE_TOLERANCE: f64 = 0.01;
/// Above this ratio of carbon to nitrogen castings tie nitrogen up, and none is counted as available. Source: Washington State
/// University Extension Garden Tips, 2016.
pub const TIE_UP: f64 = 25.0;

/// The castings of one item. Guarantees: dry bulk density <= bulk density at the likely values, and the pores hold the water.
#[derive(Debug, Clone, PartialEq)]
pub struct Castings {
    /// Moist mass per volume as stored.
    pub bulk_density: Estimate<OfDensity>,
    /// Dry matter per volume as stored.
    pub dry_bulk_density: Estimate<OfDensity>,
    /// Dry matter per moist mass, `1 - moisture`. Where the moisture is given this is its own span: the two densities are then
    /// tied to each other, and the quotient of their bounds would count what ties them twice.
    pub solids: Estimate<OfShare>,
    /// How the ends of the two densities go together.
    tie: Tie,
    /// Of the bulk density and the dry bulk density, which are derived from other values or bounded by them.
    pub(super) derived: [bool; 2],
    /// Total N per dry matter.
    pub nitrogen: Estimate<OfShare>,
    /// Share of the N available in the first season; zero when the castings tie nitrogen up.
    pub available: Estimate<OfShare>,
    /// P per dry matter.
    pub phosphorus: Estimate<OfShare>,
    /// K per dry matter.
    pub potassium: Estimate<OfShare>,
    /// Ash per dry matter; the rest is organic matter.
    pub ash: Estimate<OfShare>,
    /// What was assumed for this.
    pub assumed: Vec<Assumed>,
    /// What the values give reason to say.
    pub cautions: Vec<Rule>,
}

impl Castings {
    /// Gathers what is known. Two of bulk density, dry bulk density and moisture give the third: moisture = 1 - dry / moist.
    ///
    /// # Errors
    /// `inconsistent_assumptions` if the three disagree or the dry matter weighs more than the whole;
    /// `impossible_value` if the water does not fit into the pores, or the nutrients not beside or into the ash.
    pub fn known(known: Known<'_>, recorder: impl Recorder) -> Result<Self, Refusal> {
        let mut assumed = Vec::with_capacity(6);
        let given = GivenDensities::of(known)?;
        let ([bulk_density, dry_bulk_density], derived) = densities(known, &given, &mut assumed)?;
        let (solids, tie) = given.solids(bulk_density, dry_bulk_density);
        let from = |assumption: Assumption| Source::Assumption(assumption.id());
        let bulk_density = recorder.source(from(Assumption::BulkDensity), bulk_density);
        let dry_bulk_density = recorder.source(from(Assumption::DryBulkDensity), dry_bulk_density);
        let mut cautions = wetness(bulk_density.likely(), dry_bulk_density.likely())?;
        let mut take = |assumption| {
            let (figure, used) = known.figure(assumption, recorder);
            assumed.extend(used);
            figure
        };
        let (nitrogen, mut available) = (take(Assumption::Nitrogen), take(Assumption::AvailableNitrogen));
        let [phosphorus, potassium, ash] = [Assumption::Phosphorus, Assumption::Potassium, Assumption::Ash].map(take);
        check_ash(known)?;
        if let Some(ratio) = known.given(Assumption::CarbonToNitrogen) {
            assumed.push(ratio);
            if ratio.span.likely > TIE_UP {
                let none = Share::from_fraction(0.0).into();
                available = recorder.source(from(Assumption::CarbonToNitrogen), none);
                cautions.push(Rule::NitrogenTieUp);
            }
        }
        Ok(Self {
            bulk_density,
            dry_bulk_density,
            solids,
            tie,
            derived,
            nitrogen,
            available,
            phosphorus,
            potassium,
            ash,
            assumed,
            cautions,
        })
    }

    /// These castings with the nitrogen and the carbon to nitrogen ratio that follow from their feed, where these are known.
    #[must_use]
    pub fn of_feed(
        mut self,
        (nitrogen, ratio): (Option<Estimate<OfShare>>, Option<Estimate<OfRatio>>),
        recorder: impl Recorder,
    ) -> Self {
        self.nitrogen = nitrogen.unwrap_or(self.nitrogen);
        if let Some(ratio) = ratio.filter(|ratio| ratio.number() > TIE_UP) {
            let rule = "none where carbon is more than 25 times nitrogen";
            self.available = recorder.by_rule(rule, &[ratio.node()], Share::from_fraction(0.0).into());
            self.cautions.push(Rule::NitrogenTieUp);
        }
        self
    }

    /// Bulk density and dry bulk density where dry matter per moist mass is low, likely and high: their ends may be tied.
    #[must_use]
    pub fn ends(&self) -> [(End, Estimate<OfDensity>, Estimate<OfDensity>); 3] {
        let (bulk, dry) = (self.bulk_density, self.dry_bulk_density);
        let at = |moist, of_dry| (bulk.only(moist), dry.only(of_dry));
        let [low, (moist, of_dry)] = match self.tie {
            Tie::None => [at(End::High, End::Low), at(End::Low, End::High)],
            Tie::DryFollows => [at(End::Low, End::Low), at(End::High, End::High)],
            Tie::MoistFollows => [at(End::High, End::High), at(End::Low, End::Low)],
        };
        // No more dry matter than there is of all.
        let of_dry = if of_dry.likely() > moist.likely() { moist.recorded(dry.node()) } else { of_dry };
        let likely = (End::Likely, bulk.only(End::Likely), dry.only(End::Likely));
        [(End::Low, low.0, low.1), likely, (End::High, moist, of_dry)]
    }

    /// The two densities where what falls as dry matter per moist mass grows is low, likely and high.
    #[must_use]
    pub fn moist_ends(&self) -> [(End, Estimate<OfDensity>, Estimate<OfDensity>); 3] {
        let [(_, bulk, dry), likely, (_, other_bulk, other_dry)] = self.ends();
        [(End::Low, other_bulk, other_dry), likely, (End::High, bulk, dry)]
    }
}

/// How the ends of bulk density and dry bulk density go together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tie {
    /// Each by itself.
    None,
    /// The dry bulk density is derived from the bulk density and the moisture.
    DryFollows,
    /// The bulk density is derived from the dry bulk density and the moisture.
    MoistFollows,
}

/// Bulk density and dry bulk density, and which of them other values change.
type Densities = ([Estimate<OfDensity>; 2], [bool; 2]);

/// What somebody gave of bulk density, dry bulk density and moisture.
#[derive(Clone, Copy)]
struct GivenDensities {
    bulk: Option<Assumed>,
    dry: Option<Assumed>,
    moisture: Option<Assumed>,
}

impl GivenDensities {
    fn of(known: Known<'_>) -> Result<Self, Refusal> {
        Ok(Self {
            bulk: known.given(Assumption::BulkDensity),
            dry: known.given(Assumption::DryBulkDensity),
            moisture: moisture(known)?,
        })
    }

    /// The bulk density and the dry bulk density, given or by default; one is derived from the moisture if that is given.
    fn densities(
        &self,
        bulk: Estimate<OfDensity>,
        dry: Estimate<OfDensity>,
    ) -> Result<(Estimate<OfDensity>, Estimate<OfDensity>), Refusal> {
        let (bulk, dry) = match (self.moisture, self.bulk, self.dry) {
            (Some(moisture), Some(bulk), Some(dry)) => {
                let implied = 1.0 - dry.span.likely / bulk.span.likely;
                if (implied - moisture.span.likely).abs() > MOISTURE_TOLERANCE {
                    return Err(disagree(implied, moisture.span.likely));
                }
                (bulk.span.estimate(), dry.span.estimate())
            }
            (Some(moisture), None, Some(dry)) => {
                let dry: Estimate<OfDensity> = dry.span.estimate();
                (dry / solids(moisture.span), dry)
            }
            (Some(moisture), _, None) => (bulk, bulk * solids(moisture.span)),
            (None, Some(_), None) => (bulk, dry.at_most(bulk.high())),
            (None, None, Some(_)) => (bulk.at_least(dry.low()), dry),
            (None, _, _) => (bulk, dry),
        };
        if dry.likely() > bulk.likely() {
            return Err(drier_than_whole(bulk.likely(), dry.likely()));
        }
        Ok((bulk, dry))
    }

    /// Dry matter per moist mass: from the moisture where it makes up for a density, else from the two densities.
    fn solids(&self, bulk: Estimate<OfDensity>, dry: Estimate<OfDensity>) -> (Estimate<OfShare>, Tie) {
        match (self.moisture, self.bulk, self.dry) {
            (None, _, _) | (Some(_), Some(_), Some(_)) => ((dry / bulk).at_most(Share::from_fraction(1.0)), Tie::None),
            (Some(moisture), None, Some(_)) => (solids(moisture.span), Tie::MoistFollows),
            (Some(moisture), _, None) => (solids(moisture.span), Tie::DryFollows),
        }
    }

    /// What was used for a density, as it came out; a default derived from a moisture and the other density counts as given with
    /// the nearer of them.
    fn derived(&self, used: Assumed, density: Estimate<OfDensity>) -> Assumed {
        let set_by = match (used.set_by, self.moisture) {
            (SetBy::Default, Some(moisture)) => {
                let set_by_others = [self.bulk, self.dry].into_iter().flatten().map(|other| other.set_by);
                set_by_others.fold(moisture.set_by, SetBy::max)
            }
            (set_by, _) => set_by,
        };
        Assumed { span: density.into(), set_by, ..used }
    }
}

/// Bulk density and dry bulk density, either given, by default, or from the moisture; and which of them other values change.
fn densities(known: Known<'_>, given: &GivenDensities, assumed: &mut Vec<Assumed>) -> Result<Densities, Refusal> {
    let (own_bulk, used_bulk) = known.estimate(Assumption::BulkDensity);
    let (own_dry, used_dry) = known.estimate(Assumption::DryBulkDensity);
    let (bulk, dry) = given.densities(own_bulk, own_dry)?;
    assumed.extend(used_bulk.map(|used| given.derived(used, bulk)));
    assumed.extend(used_dry.map(|used| given.derived(used, dry)));
    assumed.extend(given.moisture.map(|m| known.given(m.assumption).unwrap_or(m)));
    Ok(([bulk, dry], [bulk != own_bulk, dry != own_dry]))
}

/// The moisture that somebody gave, wet basis: as it is, or from the dry basis by `w = d / (1 + d)`. The nearer one counts.
fn moisture(known: Known<'_>) -> Result<Option<Assumed>, Refusal> {
    let wet = |d: f64| d / (1.0 + d);
    let dry_basis = known.given(Assumption::MoistureDryBasis).map(|d| Assumed {
        span: Span { low: wet(d.span.low), likely: wet(d.span.likely), high: wet(d.span.high) },
        ..d
    });
    match (known.given(Assumption::Moisture), dry_basis) {
        (Some(w), Some(d)) if w.set_by == d.set_by => {
            let detail = "give castings.moisture or castings.moisture_dry_basis, not both";
            Err(Refusal::new(Reason::InconsistentAssumptions, detail))
        }
        (Some(w), Some(d)) => Ok(Some(if w.set_by > d.set_by { w } else { d })),
        (w, d) => Ok(w.or(d)),
    }
}

/// The share of dry matter for a span of moisture.
fn solids(moisture: Span) -> Estimate<OfShare> {
    Span { low: 1.0 - moisture.high, likely: 1.0 - moisture.likely, high: 1.0 - moisture.low }.estimate()
}

fn disagree(implied: f64, given: f64) -> Refusal {
    let (implied, given) = (implied * 100.0, given * 100.0);
    let detail = format!(
        "the two densities give a moisture of {implied:.1} %, but castings.moisture is {given:.1} %; give two of the \
         three"
    );
    Refusal::new(Reason::InconsistentAssumptions, detail)
}

fn drier_than_whole(bulk: Density, dry: Density) -> Refusal {
    let (bulk, dry) = (bulk.base(), dry.base());
    let detail = format!(
        "castings of {bulk} kg/m3 cannot hold {dry} kg/m3 of dry matter; also give castings.dry_bulk_density or \
         castings.moisture, measured on the same castings"
    );
    Refusal::new(Reason::InconsistentAssumptions, detail)
}

/// The bulk density of a weighed bucket: `(full - empty) / holds`.
///
/// # Errors
/// `inconsistent_assumptions` if the full bucket does not weigh more than the empty one.
///
/// ```
/// use barrowful::garden::{assumptions::weighed, units::{Mass, Volume}};
/// let kg = Mass::from_kilograms;
/// // A 20 L bucket, 10 kg full and 1 kg empty: 450 kg/m3 (worked example after Cooperband 2002).
/// assert_eq!(weighed(kg(10.0), kg(1.0), Volume::from_litres(20.0)).unwrap().base(), 450.0);
/// assert!(weighed(kg(1.0), kg(1.0), Volume::from_litres(20.0)).is_err());
/// ```
pub fn weighed(full: Mass, empty: Mass, holds: Volume) -> Result<Density, Refusal> {
    if full <= empty {
        let detail = "the full bucket must weigh more than the empty one";
        return Err(Refusal::new(Reason::InconsistentAssumptions, detail).at("full"));
    }
    Ok((full - empty) / holds)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::garden::assumptions::Overrides;
    use crate::garden::figures::Off;

    fn castings(values: &[(Assumption, f64)]) -> Result<Castings, Refusal> {
        let mut overrides = Overrides::default();
        for (assumption, value) in values {
            overrides.set(*assumption, Span::exactly(*value)).unwrap();
        }
        Castings::known(Known { request: &overrides, item: &Overrides::default() }, Off)
    }

    #[test]
    fn two_of_density_dry_density_and_moisture_give_the_third() {
        // Identity: moisture = 1 - dry/moist.
        let c = castings(&[(Assumption::BulkDensity, 620.0), (Assumption::Moisture, 0.5)]).unwrap();
        assert_eq!(c.dry_bulk_density.likely().base(), 310.0);
        let c = castings(&[(Assumption::DryBulkDensity, 310.0), (Assumption::Moisture, 0.5)]).unwrap();
        assert_eq!(c.bulk_density.likely().base(), 620.0);
        let three =
            [(Assumption::BulkDensity, 620.0), (Assumption::DryBulkDensity, 310.0), (Assumption::Moisture, 0.4)];
        assert_eq!(castings(&three).unwrap_err().reason, Reason::InconsistentAssumptions);
    }

    /// Identity; one instrument maker's page prints the 50 % -> 33 % example.
    #[test]
    fn moisture_on_the_dry_basis_is_another_way_to_say_it() {
        let c = castings(&[(Assumption::MoistureDryBasis, 0.5), (Assumption::BulkDensity, 600.0)]).unwrap();
        assert!((c.dry_bulk_density.likely().base() - 400.0).abs() < 1e-9);
        let both = [(Assumption::MoistureDryBasis, 0.5), (Assumption::Moisture, 1.0 / 3.0)];
        assert_eq!(castings(&both).unwrap_err().reason, Reason::InconsistentAssumptions);
    }

    #[test]
    fn more_water_than_pores_is_refused_and_little_air_is_a_caution() {
        assert_eq!(castings(&[(Assumption::BulkDensity, 1200.0)]).unwrap_err().reason, Reason::ImpossibleValue);
        assert_eq!(castings(&[(Assumption::BulkDensity, 950.0)]).unwrap().cautions, [Rule::TooWet]);
        assert_eq!(castings(&[(Assumption::BulkDensity, 200.0)]).unwrap_err().reason, Reason::InconsistentAssumptions);
    }

    #[test]
    fn a_measured_density_keeps_the_range_of_dry_matter_below_it() {
        let c = castings(&[(Assumption::BulkDensity, 400.0)]).unwrap();
        assert_eq!(c.dry_bulk_density.high().base(), 400.0);
    }

    #[test]
    fn above_a_ratio_of_25_no_nitrogen_counts_as_available() {
        assert_eq!(castings(&[(Assumption::CarbonToNitrogen, 25.0)]).unwrap().available.likely().fraction(), 0.10);
        let tied = castings(&[(Assumption::CarbonToNitrogen, 26.0)]).unwrap();
        assert_eq!(tied.available.high().fraction(), 0.0);
        assert_eq!(tied.cautions, [Rule::NitrogenTieUp]);
    }
}

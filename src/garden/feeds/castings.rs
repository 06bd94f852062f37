//! What castings to expect of a feed.

use super::line::Prepared;
use super::notes::Notes;
use super::sum::{Mix, each, most_and_least_ash};
use crate::garden::assumptions::{Assumption, Castings};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{
    AfterHotComposting, InBed, LeftOfFeed, NitrogenLeft, RatioLeft, Row, SievedInStore, SievedMass, StoreMoisture,
    TotalMass,
};
use crate::garden::refusal::Refusal;
use crate::garden::units::quantity::{OfMass, OfRatio, OfShare, OfVolume};
use crate::garden::units::{End, Estimate};

/// Castings from a feed, once it is worked through. The dry matter is one; what a volume of it weighs depends on where it
/// lies, so both places are stated with their moisture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Dry matter of the feed when the worms get it (after hot composting).
    pub dry_in: Estimate<OfMass>,
    /// Dry matter that is left, before the sieve.
    pub dry_out: Estimate<OfMass>,
    /// Volume in the bed, before the sieve.
    pub in_bed: Estimate<OfVolume>,
    /// Moisture in the bed.
    pub bed_moisture: Estimate<OfShare>,
    /// Sieved castings in store, by volume.
    pub stored: Estimate<OfVolume>,
    /// Sieved castings in store, by mass.
    pub mass: Estimate<OfMass>,
    /// Moisture in store.
    pub store_moisture: Estimate<OfShare>,
    /// Nitrogen in all of the castings, before the sieve.
    pub nitrogen: Estimate<OfMass>,
    /// Carbon over nitrogen.
    pub carbon_to_nitrogen: Estimate<OfRatio>,
}

impl Expected {
    /// Hot composting takes organic matter only; worms take a share of what is organic then. Ash is neither made nor lost.
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub(super) fn of<R: Recorder>(
        (mix, parts): (&Mix, &[Prepared]),
        is_hot: bool,
        notes: &mut Notes<'_, R>,
    ) -> Result<Self, Refusal> {
        let it = notes.recorder;
        let (lambda, r) = (notes.take(Assumption::OrganicMatterLoss), notes.take(Assumption::NitrogenRetained));
        let hot = is_hot.then(|| notes.take(Assumption::HotCompostingLoss));
        let dry_in = match hot {
            Some(h) => it.figure(AfterHotComposting { D: mix.dry, h, a: mix.ash }),
            None => it.figure(TotalMass { u: each(parts, |p| p.dry) }),
        };
        let castings = castings(notes)?;
        let p: Estimate<OfShare> = notes.take(Assumption::SieveYield);
        let rho_b = notes.take(Assumption::BedDryDensity);
        let C = it.figure(LeftOfFeed { I: dry_in, a: mix.ash, lambda });
        // Mass and moisture are low where the solids in store are high.
        let [low, likely, high] = castings.ends();
        let ends = [(End::Low, high), (End::Likely, likely), (End::High, low)];
        let (n, D) = (each(parts, |p| p.material.nitrogen()), each(parts, |p| p.dry));
        Ok(Self {
            dry_in,
            dry_out: C,
            in_bed: it.figure(InBed { C, rho_b }),
            bed_moisture: notes.take(Assumption::BedMoisture),
            stored: it.figure(SievedInStore { C, p, rho_d: castings.dry_bulk_density }),
            mass: it.figure_at(ends.map(|(end, (_, rho, rho_d))| {
                let (C, p) = (C.only(end), p.only(end));
                SievedMass { C, p, rho, rho_d }
            })),
            store_moisture: it.figure_at(ends.map(|(_, (_, rho, rho_d))| StoreMoisture { rho_d, rho })),
            nitrogen: it.figure(NitrogenLeft { D, n, r }),
            carbon_to_nitrogen: Left { dry_in, hot, lambda, r }.ratio((mix, parts), it),
        })
    }
}

/// What is known of the castings in store, noted as far as it counts here.
fn castings<R: Recorder>(notes: &mut Notes<'_, R>) -> Result<Castings, Refusal> {
    let castings = Castings::known(notes.known, notes.recorder).map_err(|e| e.at("assumptions"))?;
    notes.cautions.extend(castings.cautions.iter().filter(|rule| **rule == Rule::TooWet));
    let of_weight = [Assumption::BulkDensity, Assumption::DryBulkDensity, Assumption::Moisture];
    notes.assumed.extend(castings.assumed.iter().filter(|a| of_weight.contains(&a.assumption)));
    Ok(castings)
}

/// What carbon over nitrogen of the castings depends on besides the mix.
struct Left {
    dry_in: Estimate<OfMass>,
    hot: Option<Estimate<OfShare>>,
    lambda: Estimate<OfShare>,
    r: Estimate<OfShare>,
}

impl Left {
    /// Carbon over nitrogen: low with the least carbon, of which hot composting then takes the largest share. Where all is ash there
    /// is no carbon.
    fn ratio(&self, (mix, parts): (&Mix, &[Prepared]), it: impl Recorder) -> Estimate<OfRatio> {
        let at = |end: End, [dry_in, a, of_mix]: [Estimate<OfMass>; 3]| {
            let a = if a.likely() < of_mix.likely() { a } else { a.times(0.0).recorded(a.node()) };
            let [lambda, r] = [self.lambda, self.r].map(|share| share.only(end.other()));
            RatioLeft { q: mix.carbon_to_nitrogen.only(end), I: dry_in, a, lambda, D: of_mix, r }
        };
        let all = [self.dry_in, mix.ash, mix.dry];
        let likely = at(End::Likely, all.map(|mass| mass.only(End::Likely)));
        let [low, high] = match self.hot {
            None => [End::Low, End::High].map(|end| at(end, all.map(|mass| mass.only(end)))),
            Some(hot) => most_and_least_ash(parts).map(|(end, a, of_mix)| {
                let dry_in = AfterHotComposting { D: of_mix, h: hot.only(end.other()), a }.likely();
                at(end, [dry_in.into(), a, of_mix])
            }),
        };
        it.figure_at([low, likely, high])
    }
}

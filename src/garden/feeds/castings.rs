//! What castings to expect of a feed.

use super::hot::HotComposted;
use super::line::Prepared;
use super::notes::Notes;
use super::sum::{Mix, each};
use crate::garden::assumptions::{Assumption, Castings};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{
    InBed, LeftOfFeed, NitrogenLeft, RatioLeft, SievedInStore, SievedMass, StoreMoisture, TotalMass,
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
        hot: Option<&HotComposted>,
        notes: &mut Notes<'_, R>,
    ) -> Result<Self, Refusal> {
        let recorder = notes.recorder;
        let (lambda, r) = (notes.take(Assumption::OrganicMatterLoss), notes.take(Assumption::NitrogenRetained));
        let dry_in = match hot {
            Some(hot) => hot.dry,
            None => recorder.figure(TotalMass { u: each(parts, |p| p.dry) }),
        };
        let castings = castings(notes)?;
        let p: Estimate<OfShare> = notes.take(Assumption::SieveYield);
        let rho_b = notes.take(Assumption::BedDryDensity);
        let C = recorder.figure(LeftOfFeed { I: dry_in, a: mix.ash, lambda });
        // Mass and moisture are low where the solids in store are high.
        let [low, likely, high] = castings.ends();
        let ends = [(End::Low, high), (End::Likely, likely), (End::High, low)];
        let nitrogen = || NitrogenLeft { D: each(parts, |p| p.dry), n: each(parts, |p| p.material.nitrogen()), r };
        let q = hot.map_or(mix.carbon_to_nitrogen, |hot| hot.carbon_to_nitrogen);
        Ok(Self {
            dry_in,
            dry_out: C,
            in_bed: recorder.figure(InBed { C, rho_b }),
            bed_moisture: notes.take(Assumption::BedMoisture),
            stored: recorder.figure(SievedInStore { C, p, rho_d: castings.dry_bulk_density }),
            mass: recorder.figure_at(ends.map(|(end, (_, rho, rho_d))| {
                let (C, p) = (C.only(end), p.only(end));
                SievedMass { C, p, rho, rho_d }
            })),
            store_moisture: recorder.figure_at(ends.map(|(_, (_, rho, rho_d))| StoreMoisture { rho_d, rho })),
            nitrogen: hot.map_or_else(|| recorder.figure(nitrogen()), |hot| hot.nitrogen_kept(parts, r, recorder)),
            carbon_to_nitrogen: recorder.figure(RatioLeft { q, lambda, r }),
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

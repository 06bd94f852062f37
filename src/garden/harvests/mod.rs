//! Finished beds and heaps -> sieved castings.

mod heaps;

pub use heaps::{Ends, Heap, Section};

use crate::garden::areas::checked_volume;
use crate::garden::assumptions::{Assumed, Assumption, Castings, Known};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{Layer, MassOfVolume, Oversize, Ready, Sieved, Stored, StoredMass, Unfinished};
use crate::garden::refusal::Refusal;
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfArea, OfDensity, OfLength, OfMass, OfShare, OfVolume};

/// A finished worm bed, by its depth.
#[derive(Debug, Clone, PartialEq)]
pub struct WormBed {
    /// Its ground.
    pub area: Estimate<OfArea>,
    /// How deep the castings lie.
    pub material_depth: Estimate<OfLength>,
    /// The share that is ready.
    pub finished_share: Estimate<OfShare>,
}

/// How much of a heap counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sieving {
    /// The share that is ready.
    pub ready: Estimate<OfShare>,
    /// The share of it that passes the sieve.
    pub pass: Estimate<OfShare>,
}

/// What a bed or heap yields. As it is there: whole = unfinished + castings + oversize.
#[derive(Debug, Clone, PartialEq)]
pub struct Harvest {
    /// All of it.
    pub whole: Estimate<OfVolume>,
    /// What stays for the next harvest.
    pub unfinished: Estimate<OfVolume>,
    /// What is taken out.
    pub ready: Estimate<OfVolume>,
    /// What passes the sieve.
    pub castings: Estimate<OfVolume>,
    /// What the sieve holds back.
    pub oversize: Estimate<OfVolume>,
    /// The castings once they lie in store.
    pub stored: Estimate<OfVolume>,
    /// The mass of the castings in store.
    pub mass: Estimate<OfMass>,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
}

/// Answers "what does this finished bed yield?"
///
/// Formulas: `in_bed = area x material depth`, `finished = in_bed x finished share`, `castings = finished x sieve yield`,
/// `oversize = finished - castings`, `unfinished = in_bed - finished`. The bed is moist, the store drier; dry matter is kept:
/// `stored = castings x rho_d,bed / rho_d,store`.
///
/// # Errors
/// What [`Castings::known`] refuses; `too_large`.
#[expect(non_snake_case, reason = "the symbols of the formulas")]
pub fn from_bed(bed: &WormBed, known: Known<'_>, recorder: impl Recorder) -> Result<Harvest, Refusal> {
    let whole = recorder.figure(Layer { A: bed.area, d: bed.material_depth });
    checked_volume(whole.likely()).map_err(|e| e.at("material_depth"))?;
    let (pass, sieve_used) = known.figure(Assumption::SieveYield, recorder);
    let (rho_b, bed_used): (Estimate<OfDensity>, _) = known.figure(Assumption::BedDryDensity, recorder);
    let castings = Castings::known(known, recorder).map_err(|e| e.at("assumptions"))?;
    let sieved = SievedParts::new(whole, Sieving { ready: bed.finished_share, pass }, recorder);
    let C = sieved.castings;
    let stored = recorder.figure(Stored { C, rho_b, rho_d: castings.dry_bulk_density });
    let mass = castings.moist_ends().map(|(end, rho, rho_d)| StoredMass {
        C: C.only(end),
        rho_b: rho_b.only(end),
        rho,
        rho_d,
    });
    let mass = recorder.figure_at(mass);
    let assumed = sieve_used.into_iter().chain(bed_used).chain(densities(&castings).copied()).collect();
    Ok(sieved.harvest((stored, mass), (castings.cautions, assumed)))
}

/// Answers "how much castings is in this heap?" What lies in a heap lies as it is stored, so its volume is that of the
/// store. Without a ready share and a sieve yield all of it counts.
///
/// # Errors
/// What [`Heap::volume`] and [`Castings::known`] refuse.
pub fn from_heap(heap: &Heap, sieving: Sieving, known: Known<'_>, recorder: impl Recorder) -> Result<Harvest, Refusal> {
    let castings = Castings::known(known, recorder).map_err(|e| e.at("assumptions"))?;
    let sieved = SievedParts::new(heap.volume(recorder)?, sieving, recorder);
    let mass = recorder.figure(MassOfVolume { V: sieved.castings, rho: castings.bulk_density });
    let counts = |a: &&Assumed| {
        castings.weighs_by(Assumption::BulkDensity, a.assumption) || castings.cautions.contains(&Rule::TooWet)
    };
    let assumed = densities(&castings).filter(counts).copied().collect();
    Ok(sieved.harvest((sieved.castings, mass), (castings.cautions, assumed)))
}

/// The assumptions on weight and dry matter, which are all that a harvest needs of the castings.
fn densities(castings: &Castings) -> impl Iterator<Item = &Assumed> {
    castings.assumed.iter().filter(|a| Assumption::OF_WEIGHT.contains(&a.assumption))
}

struct SievedParts {
    whole: Estimate<OfVolume>,
    ready: Estimate<OfVolume>,
    unfinished: Estimate<OfVolume>,
    castings: Estimate<OfVolume>,
    oversize: Estimate<OfVolume>,
}

impl SievedParts {
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    fn new(V: Estimate<OfVolume>, Sieving { ready: q, pass: p }: Sieving, recorder: impl Recorder) -> Self {
        let R = recorder.figure(Ready { V, q });
        let unfinished = recorder.figure(Unfinished { V, R });
        let (castings, oversize) = (recorder.figure(Sieved { R, p }), recorder.figure(Oversize { R, p }));
        Self { whole: V, ready: R, unfinished, castings, oversize }
    }

    fn harvest(
        &self,
        (stored, mass): (Estimate<OfVolume>, Estimate<OfMass>),
        (cautions, assumed): (Vec<Rule>, Vec<Assumed>),
    ) -> Harvest {
        Harvest {
            whole: self.whole,
            unfinished: self.unfinished,
            ready: self.ready,
            castings: self.castings,
            oversize: self.oversize,
            stored,
            mass,
            cautions,
            assumed,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::garden::assumptions::{Overrides, Span};
    use crate::garden::figures::Off;
    use crate::garden::units::{Area, Length, Share, Volume};

    #[test]
    fn three_by_one_metre_and_25_centimetres_yield_420_litres() {
        let bed = WormBed {
            area: Area::from_square_metres(3.0).into(),
            material_depth: Length::from_metres(0.25).into(),
            finished_share: Share::from_fraction(0.8).into(),
        };
        let mut request = Overrides::default();
        request.set(Assumption::SieveYield, Span::exactly(0.7)).unwrap();
        let h = from_bed(&bed, Known { request: &request, item: &Overrides::default() }, Off).unwrap();
        let litres = |v: Volume| (v.litres() * 1e6).round() / 1e6;
        assert_eq!([h.whole, h.unfinished, h.ready].map(Estimate::likely).map(litres), [750.0, 150.0, 600.0]);
        assert_eq!([h.castings.likely(), h.oversize.likely()].map(litres), [420.0, 180.0]);
        // Dry matter kept: 420 L x 220 kg/m3 = 92.4 kg = 308 L x 300 kg/m3.
        assert_eq!(litres(h.stored.likely()), 308.0);
    }
}

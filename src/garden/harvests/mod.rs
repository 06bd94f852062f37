//! Finished beds and heaps -> sieved castings.

mod heaps;

pub use heaps::{Ends, Heap, Section};

use crate::garden::areas::{Ground, checked_volume};
use crate::garden::assumptions::{Assumed, Assumption, Castings, Known};
use crate::garden::cautions::Rule;
use crate::garden::figures::Off;
use crate::garden::refusal::Refusal;
use crate::garden::units::quantity::{OfDensity, OfMass, OfShare, OfVolume};
use crate::garden::units::{Area, Estimate, Length, Share, Volume};

/// A finished worm bed, by its depth.
#[derive(Debug, Clone, PartialEq)]
pub struct WormBed {
    /// Its ground.
    pub ground: Ground,
    /// How deep the castings lie.
    pub finished_depth: Length,
    /// The share that is ready.
    pub ready_share: Share,
}

/// What comes of a bed or heap. As it lies there: whole = not_ready + castings + sieved_off.
#[derive(Debug, Clone, PartialEq)]
pub struct Harvest {
    /// The bed's ground; `None` for a heap.
    pub area: Option<Area>,
    /// All of it.
    pub whole: Volume,
    /// What stays for the next harvest.
    pub not_ready: Volume,
    /// What is taken out.
    pub ready: Volume,
    /// What passes the sieve.
    pub castings: Estimate<OfVolume>,
    /// What the sieve holds back.
    pub sieved_off: Estimate<OfVolume>,
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
/// Formulas: `in_bed = area x finished depth`, `ready = in_bed x ready share`, `castings = ready x sieve pass`,
/// `sieved_off = ready - castings`, `not_ready = in_bed - ready`. The bed is moist, the store drier; dry matter is kept:
/// `stored = castings x rho_d,bed / rho_d,store`.
///
/// # Errors
/// What [`Ground::area`] and [`Castings::known`] refuse; `too_large`.
pub fn from_bed(bed: &WormBed, known: Known<'_>) -> Result<Harvest, Refusal> {
    let area = bed.ground.area(Off).map_err(|e| e.at("ground"))?.likely();
    let whole = checked_volume(area * bed.finished_depth).map_err(|e| e.at("finished_depth"))?;
    let (sieve, sieve_used): (Estimate<OfShare>, _) = known.estimate(Assumption::SievePass);
    let (in_bed, bed_used): (Estimate<OfDensity>, _) = known.estimate(Assumption::BedDryDensity);
    let castings = Castings::known(known, Off).map_err(|e| e.at("assumptions"))?;
    let sifted = Sifted::new(whole, bed.ready_share, sieve);
    let dry: Estimate<OfMass> = sifted.castings * in_bed;
    let stored: Estimate<OfVolume> = dry / castings.dry_bulk_density;
    let mass = dry / castings.solids;
    let assumed = sieve_used.into_iter().chain(bed_used).chain(densities(&castings)).collect();
    Ok(sifted.harvest(Some(area), (stored, mass), (castings.cautions, assumed)))
}

/// Answers "how much castings is in this heap?" What lies in a heap lies as it is stored, so its volume is that of the
/// store. Without a ready share and a sieve pass all of it counts.
///
/// # Errors
/// What [`Heap::volume`] and [`Castings::known`] refuse.
pub fn from_heap(
    heap: &Heap,
    ready_share: Share,
    sieve: Estimate<OfShare>,
    known: Known<'_>,
) -> Result<Harvest, Refusal> {
    let castings = Castings::known(known, Off).map_err(|e| e.at("assumptions"))?;
    let sifted = Sifted::new(heap.volume()?, ready_share, sieve);
    let mass = sifted.castings * castings.bulk_density;
    let assumed = densities(&castings).collect();
    Ok(sifted.harvest(None, (sifted.castings, mass), (castings.cautions, assumed)))
}

/// The assumptions on weight and dry matter, which are all that a harvest needs of the castings.
fn densities(castings: &Castings) -> impl Iterator<Item = Assumed> + '_ {
    castings.assumed.iter().filter(|a| Assumption::OF_WEIGHT.contains(&a.assumption)).copied()
}

struct Sifted {
    whole: Volume,
    ready: Volume,
    castings: Estimate<OfVolume>,
    sieved_off: Estimate<OfVolume>,
}

impl Sifted {
    fn new(whole: Volume, ready_share: Share, sieve: Estimate<OfShare>) -> Self {
        let ready = whole * ready_share;
        let castings = Estimate::exactly(ready) * sieve;
        let likely = ready - castings.likely();
        let sieved_off = Estimate::between(ready - castings.high(), likely, ready - castings.low())
            .unwrap_or_else(|| Estimate::exactly(likely));
        Self { whole, ready, castings, sieved_off }
    }

    fn harvest(
        &self,
        area: Option<Area>,
        (stored, mass): (Estimate<OfVolume>, Estimate<OfMass>),
        (cautions, assumed): (Vec<Rule>, Vec<Assumed>),
    ) -> Harvest {
        Harvest {
            area,
            whole: self.whole,
            not_ready: self.whole - self.ready,
            ready: self.ready,
            castings: self.castings,
            sieved_off: self.sieved_off,
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
    use crate::garden::areas::Shape;
    use crate::garden::assumptions::{Overrides, Span};

    #[test]
    fn three_by_one_metre_and_25_centimetres_yield_420_litres() {
        let ground = Ground {
            shape: Shape::Rectangle { length: Length::from_metres(3.0).into(), width: Length::from_metres(1.0).into() },
            count: 1_u32.into(),
        };
        let bed = WormBed { ground, finished_depth: Length::from_metres(0.25), ready_share: Share::from_fraction(0.8) };
        let mut request = Overrides::default();
        request.set(Assumption::SievePass, Span::exactly(0.7)).unwrap();
        let h = from_bed(&bed, Known { request: &request, item: &Overrides::default() }).unwrap();
        let litres = |v: Volume| (v.litres() * 1e6).round() / 1e6;
        assert_eq!([h.whole, h.not_ready, h.ready].map(litres), [750.0, 150.0, 600.0]);
        assert_eq!([h.castings.likely(), h.sieved_off.likely()].map(litres), [420.0, 180.0]);
        // Dry matter kept: 420 L x 220 kg/m3 = 92.4 kg = 308 L x 300 kg/m3.
        assert_eq!(litres(h.stored.likely()), 308.0);
    }
}

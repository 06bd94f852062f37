//! What castings to expect of a feed.

use super::estimate;
use super::notes::Notes;
use super::sum::Mix;
use crate::garden::assumptions::{Assumption, Castings};
use crate::garden::cautions::Rule;
use crate::garden::figures::Off;
use crate::garden::refusal::Refusal;
use crate::garden::units::quantity::{OfDensity, OfMass, OfRatio, OfShare, OfVolume};
use crate::garden::units::{Estimate, Mass};

/// Castings from a feed, once it is worked through. The dry matter is one; what a volume of it weighs depends on where it
/// lies, so both places are stated with their moisture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Dry matter of the feed when the worms get it (after a hot stage).
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
    /// Formulas: a hot stage loses its share of the dry matter, all of it organic; then
    /// `D_out = D_in (ash + (1 - ash)(1 - loss))`, so `D_out = A + (D - A)(1 - loss)` with the ash A;
    /// `stored = D_out / rho_d x sieve pass`; `N_out = N_in x kept`; `C:N_out = C:N_in (1 - loss)/kept`.
    pub(super) fn of(mix: &Mix, hot: bool, notes: &mut Notes<'_>) -> Result<Self, Refusal> {
        let loss: Estimate<OfShare> = notes.take(Assumption::OrganicMatterLoss);
        let kept: Estimate<OfShare> = notes.take(Assumption::NitrogenRetained);
        let hot_loss: Estimate<OfShare> =
            if hot { notes.take(Assumption::HotStageLoss) } else { estimate(0.0, 0.0, 0.0) };
        let castings = Castings::known(notes.known, Off).map_err(|e| e.at("assumptions"))?;
        notes.cautions.extend(castings.cautions.iter().filter(|rule| **rule == Rule::TooWet));
        let of_weight = [Assumption::BulkDensity, Assumption::DryBulkDensity, Assumption::Moisture];
        notes.assumed.extend(castings.assumed.iter().filter(|a| of_weight.contains(&a.assumption)));
        let sieve: Estimate<OfShare> = notes.take(Assumption::SievePass);
        let in_bed: Estimate<OfDensity> = notes.take(Assumption::BedDryDensity);
        let bed_moisture = notes.take(Assumption::BedMoisture);
        let [low, likely, high] = ends(mix, hot_loss, loss);
        let dry_out: Estimate<OfMass> = estimate(low.dry_out, likely.dry_out, high.dry_out);
        let sieved = dry_out * sieve;
        let ratio = mix.carbon_to_nitrogen;
        Ok(Self {
            dry_in: estimate(low.dry_in, likely.dry_in, high.dry_in),
            dry_out,
            in_bed: dry_out / in_bed,
            bed_moisture,
            stored: sieved / castings.dry_bulk_density,
            mass: sieved / castings.solids,
            store_moisture: estimate(
                1.0 - castings.solids.high().base(),
                1.0 - castings.solids.likely().base(),
                1.0 - castings.solids.low().base(),
            ),
            nitrogen: mix.nitrogen * kept,
            carbon_to_nitrogen: estimate(
                ratio.low().base() * low.carbon_left / kept.high().base(),
                ratio.likely().base() * likely.carbon_left / kept.likely().base(),
                ratio.high().base() * high.carbon_left / kept.low().base(),
            ),
        })
    }
}

/// One end of the ranges. Carbon goes as the organic matter goes.
struct End {
    dry_in: f64,
    dry_out: f64,
    carbon_left: f64,
}

/// Least, likely and most that is left.
fn ends(mix: &Mix, hot: Estimate<OfShare>, loss: Estimate<OfShare>) -> [End; 3] {
    let end = |dry: Mass, ash: Mass, (hot, loss): (f64, f64)| {
        let (dry, ash) = (dry.kilograms(), ash.kilograms().min(dry.kilograms()));
        let organic = dry - ash;
        let left = (organic - dry * hot).max(0.0);
        let carbon_left = if organic > 0.0 { left * (1.0 - loss) / organic } else { 1.0 };
        End { dry_in: ash + left, dry_out: ash + left * (1.0 - loss), carbon_left }
    };
    [
        end(mix.dry.low(), mix.ash.low(), (hot.high().base(), loss.high().base())),
        end(mix.dry.likely(), mix.ash.likely(), (hot.likely().base(), loss.likely().base())),
        end(mix.dry.high(), mix.ash.high(), (hot.low().base(), loss.low().base())),
    ]
}

//! One material on its way into the mix: as ordered, and as prepared.

use super::mix::Content;
use super::notes::Notes;
use super::water::{Treatment, added};
use super::{Amount, Ingredient, Load, Material, estimate, usual_density};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfMass, OfShare, OfVolume};
use crate::garden::units::{Dimension, Estimate, Mass, Share};

/// One material as it goes into the mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prepared {
    /// What it is made of.
    pub material: Material,
    /// How much to take, by mass, before any water is added.
    pub mass: Estimate<OfMass>,
    /// How much to take, by volume as it lies.
    pub volume: Estimate<OfVolume>,
    /// True if the service chose the amount.
    pub chosen: bool,
    /// Its dry matter.
    pub dry: Estimate<OfMass>,
    /// Its carbon.
    pub carbon: Estimate<OfMass>,
    /// Its nitrogen.
    pub nitrogen: Estimate<OfMass>,
    /// Its ash.
    pub ash: Estimate<OfMass>,
    /// Its water, with what soaking or rehydration adds.
    pub water: Estimate<OfMass>,
    /// Water that soaking or rehydration adds.
    pub added_water: Estimate<OfMass>,
    /// Its mass when it is mixed.
    pub mass_mixed: Estimate<OfMass>,
    /// Its moisture when it is mixed.
    pub moisture_mixed: Estimate<OfShare>,
}

/// An ingredient made ready for the solver.
pub(super) struct Line {
    material: Material,
    density: Estimate<OfDensity>,
    added: Estimate<OfShare>,
    soaked: Estimate<OfShare>,
    treatment: Treatment,
    least: f64,
    most: Option<f64>,
    by_volume: bool,
}

impl Line {
    pub(super) fn new(
        ingredient: &Ingredient,
        soaked: Estimate<OfShare>,
        notes: &mut Notes<'_>,
    ) -> Result<Self, Refusal> {
        let material = ingredient.material;
        let density = material.bulk_density().unwrap_or_else(|| {
            let (density, assumed) = usual_density(material.moisture(), notes.known);
            notes.assumed.extend(assumed);
            density
        });
        let kilograms = |load: Load| match load {
            Load::Mass(mass) => mass.kilograms(),
            Load::Volume(volume) => (volume * density.likely()).kilograms(),
        };
        let (least, most) = match ingredient.amount {
            Amount::Fixed(load) => (load, None),
            Amount::Between(least, most) => (least, Some(most)),
        };
        let by_volume = matches!(least, Load::Volume(_));
        let (least, most) = (kilograms(least), most.map(kilograms));
        let (_, top) = Dimension::Mass.bounds();
        if !(0.0..=top).contains(&least) || most.is_some_and(|most| !(least..=top).contains(&most)) {
            let detail =
                format!("{}: the amount must not be negative, and a range gives its lower end first", ingredient.name);
            return Err(Refusal::new(Reason::OutOfRange, detail).at("amount"));
        }
        let treatment = ingredient.treatment;
        let added = added(treatment, material.moisture(), soaked);
        Ok(Self { material, density, added, soaked, treatment, least, most, by_volume })
    }

    /// What one kilogram brings, at the likely values; the least; and how much more may be taken.
    pub(super) fn likely(&self) -> (Content, f64, Option<f64>) {
        let m = &self.material;
        let dry = 1.0 - m.moisture().likely().fraction();
        let content = Content {
            dry,
            carbon: dry * m.carbon().likely().fraction(),
            nitrogen: dry * m.nitrogen().likely().fraction(),
            water: m.moisture().likely().fraction() + self.added.likely().fraction(),
        };
        (content, self.least, self.most.map(|most| most - self.least))
    }

    pub(super) fn prepare(&self, taken: &mut impl Iterator<Item = f64>) -> Prepared {
        let m = &self.material;
        let kilograms = self.least + self.most.and_then(|_| taken.next()).unwrap_or(0.0);
        let exact: Estimate<OfMass> = Estimate::exactly(Mass::from_kilograms(kilograms));
        let (mass, volume): (Estimate<OfMass>, Estimate<OfVolume>) = if self.by_volume {
            let volume = Estimate::exactly(Mass::from_kilograms(kilograms) / self.density.likely());
            (volume * self.density, volume)
        } else {
            (exact, exact / self.density)
        };
        let dry = mass * m.solids();
        let added_water = mass * self.added;
        Prepared {
            material: *m,
            mass,
            volume,
            chosen: self.most.is_some(),
            dry,
            carbon: dry * m.carbon(),
            nitrogen: dry * m.nitrogen(),
            ash: dry * m.ash(),
            water: mass * self.water_per_kilogram(),
            added_water,
            mass_mixed: mass * plus_one(self.added),
            moisture_mixed: self.moisture_mixed(),
        }
    }

    /// Water for each kilogram as given, with what is added. When soaked `max(w, (1 - w) s/(1 - s))`, least where w = s.
    fn water_per_kilogram(&self) -> Estimate<OfShare> {
        let (w, a) = (self.material.moisture(), self.added);
        let (low, likely, high) = (w.low().base(), w.likely().base(), w.high().base());
        if self.treatment != Treatment::Soaked {
            return w.plus(a);
        }
        let held = |w: f64, s: f64| w.max((1.0 - w) * s / (1.0 - s));
        let (dry_soak, wet_soak) = (self.soaked.low().base(), self.soaked.high().base());
        let least = held(dry_soak.clamp(low, high), dry_soak);
        estimate(least, likely + a.likely().base(), held(low, wet_soak).max(held(high, wet_soak)))
    }

    fn moisture_mixed(&self) -> Estimate<OfShare> {
        let (w, a, s) = (self.material.moisture(), self.added, self.soaked);
        let with = |w: Share, a: Share| (w.base() + a.base()) / (1.0 + a.base());
        let likely = with(w.likely(), a.likely());
        if self.treatment == Treatment::Soaked {
            return estimate(w.low().base().max(s.low().base()), likely, w.high().base().max(s.high().base()));
        }
        estimate(with(w.low(), a.low()), likely, with(w.high(), a.high()))
    }
}

fn plus_one(added: Estimate<OfShare>) -> Estimate<OfShare> {
    added.plus(Estimate::exactly(Share::from_fraction(1.0)))
}

//! One material on its way into the mix: as ordered, and as prepared.

use super::mix::Content;
use super::notes::{Notes, of_water};
use super::settling::Settling;
use super::water::Soaking;
use super::{Amount, Ingredient, Load, Material, Size};
use crate::garden::assumptions::Assumption;
use crate::garden::figures::{Off, Recorder, Source};
use crate::garden::formulas::{DryMatter, MassOfFeed, MassOfVolume, MoistureMixed, Row, VolumeOfFeed, VolumeOfMass};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfMass, OfShare, OfVolume};
use crate::garden::units::{Density, Dimension, End, Estimate, Mass, Volume};

/// How amounts are chosen.
const CHOICE: &str = "of the mixes within the amounts the one that meets the ratio first, the moisture next, then the air, with the least mass";

/// One material as it goes into the mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prepared {
    /// What it is made of.
    pub material: Material,
    /// How large its pieces are when it is mixed.
    pub size: Size,
    /// How much to take, by mass, before any water is added.
    pub mass: Estimate<OfMass>,
    /// How much to take, by volume as it lies.
    pub volume: Estimate<OfVolume>,
    /// Its volume once it is shredded, where it is.
    pub volume_shredded: Option<Estimate<OfVolume>>,
    /// Its volume as it is mixed, after all of its steps.
    pub volume_mixed: Estimate<OfVolume>,
    /// True if the service chose the amount.
    pub chosen: bool,
    /// Its dry matter.
    pub dry: Estimate<OfMass>,
    /// Water that soaking or rehydration adds.
    pub added_water: Estimate<OfVolume>,
    /// Its moisture when it is mixed.
    pub moisture_mixed: Estimate<OfShare>,
}

/// What a volume of the material weighs.
#[derive(Debug, Clone, Copy)]
enum Weight {
    /// By its own bulk density.
    Own(Estimate<OfDensity>),
    /// By the usual dry matter in a volume of feed.
    Usual(Estimate<OfDensity>),
}

/// An ingredient made ready for the solver.
pub(super) struct Line<'a> {
    of: &'a Ingredient,
    weight: Weight,
    soaking: Soaking,
    settling: Settling,
    least: f64,
    most: Option<f64>,
}

impl<'a> Line<'a> {
    pub(super) fn new<R: Recorder>(
        of: &'a Ingredient,
        soaked: Estimate<OfShare>,
        notes: &mut Notes<'_, R>,
    ) -> Result<Self, Refusal> {
        let usual = |notes: &mut Notes<'_, R>| Weight::Usual(notes.take(Assumption::FeedDryDensity));
        let weight = of.material.bulk_density().map_or_else(|| usual(notes), Weight::Own);
        let density = weight.likely(&of.material);
        let kilograms = |load: Load| match load {
            Load::Mass(mass) => mass.kilograms(),
            Load::Volume(volume) => (volume.likely() * density).kilograms(),
        };
        let (least, most) = match of.amount {
            Amount::Fixed(load) => (kilograms(load), None),
            Amount::Between(least, most) => (kilograms(least), Some(kilograms(most))),
            Amount::AtLeast(least) => (kilograms(least), Some(f64::INFINITY)),
        };
        let (_, top) = Dimension::Mass.bounds();
        let is_range = matches!(of.amount, Amount::Between(..));
        if !(0.0..=top).contains(&least) || (is_range && !most.is_some_and(|most| (least..=top).contains(&most))) {
            let detail = format!("{}: an amount must be 0 or more, and at_least must not be above at_most", of.name);
            return Err(Refusal::new(Reason::OutOfRange, detail).at("materials"));
        }
        let (none, water) = (Volume::from_litres(0.0).into(), of_water(notes.recorder));
        let none = notes.recorder.source(Source::Request(of.asked), none);
        let soaking = Soaking { treatment: of.treatment, soaked, none, water };
        Ok(Self { of, weight, soaking, settling: Settling::of(of, notes), least, most })
    }

    /// What one kilogram brings, at the likely values; the least; and how much more may be taken.
    pub(super) fn likely(&self) -> (Content, f64, Option<f64>) {
        let m = &self.of.material;
        let one: Estimate<OfMass> = Mass::from_kilograms(1.0).into();
        let dry = DryMatter { m: one, w: m.moisture() }.likely().kilograms();
        let added = self.soaking.water(one, m.moisture(), Off).only(End::Likely);
        let volume = (one.likely() / self.weight.likely(m)).into();
        let content = Content {
            dry,
            carbon: dry * m.carbon().likely().fraction(),
            nitrogen: dry * m.nitrogen().likely().fraction(),
            // 1 kg of water is 1 L.
            water: m.moisture().likely().fraction() + added.likely().litres(),
            volume: self.settling.volumes((one, volume), (m, added), Off).mixed.likely().litres() / 1000.0,
        };
        (content, self.least, self.most.map(|most| most - self.least))
    }

    /// The material with its amount: what is taken beyond the least, chosen by these goals.
    pub(super) fn prepare(&self, beyond: f64, goals: &[u32], recorder: impl Recorder) -> Prepared {
        let material = self.of.material;
        let (mass, volume) = self.amounts(beyond, goals, recorder);
        let added_water = self.soaking.water(mass, material.moisture(), recorder);
        let volumes = self.settling.volumes((mass, volume), (&material, added_water), recorder);
        Prepared {
            material,
            size: self.of.size_mixed(),
            mass,
            volume,
            volume_shredded: volumes.shredded,
            volume_mixed: volumes.mixed,
            chosen: self.most.is_some(),
            dry: recorder.figure(DryMatter { m: mass, w: material.moisture() }),
            added_water,
            moisture_mixed: self.moisture_mixed(mass, added_water, recorder),
        }
    }

    /// Its size when it is mixed.
    pub(super) fn size(&self) -> Size {
        self.of.size_mixed()
    }

    /// True if the solver chooses its amount.
    pub(super) const fn is_free(&self) -> bool {
        self.most.is_some()
    }

    /// Mass and volume: one is given or chosen and exact, the other follows.
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    fn amounts(&self, beyond: f64, goals: &[u32], recorder: impl Recorder) -> (Estimate<OfMass>, Estimate<OfVolume>) {
        let w = self.of.material.moisture().only(End::Likely);
        let chosen = |least: Load, most: Option<Load>| {
            let ends = std::iter::once(least.node()).chain(most.map(Load::node));
            let nodes: Vec<u32> = ends.chain(goals.iter().copied()).collect();
            let mass = Mass::from_kilograms(self.least + beyond);
            match least {
                Load::Mass(_) => Load::Mass(recorder.by_rule(CHOICE, &nodes, mass.into())),
                Load::Volume(_) => {
                    let volume = mass / self.weight.likely(&self.of.material);
                    Load::Volume(recorder.by_rule(CHOICE, &nodes, volume.into()))
                }
            }
        };
        let load = match self.of.amount {
            Amount::Fixed(load) => load,
            Amount::Between(least, most) => chosen(least, Some(most)),
            Amount::AtLeast(least) => chosen(least, None),
        };
        match (load, self.weight) {
            (Load::Mass(m), Weight::Own(rho)) => (m, recorder.figure(VolumeOfMass { m, rho })),
            (Load::Mass(m), Weight::Usual(rho_f)) => (m, recorder.figure(VolumeOfFeed { m, w, rho_f })),
            (Load::Volume(V), Weight::Own(rho)) => (recorder.figure(MassOfVolume { V, rho }), V),
            (Load::Volume(V), Weight::Usual(rho_f)) => (recorder.figure(MassOfFeed { V, w, rho_f }), V),
        }
    }

    /// The moisture of what is mixed, whatever its mass; of nothing that of a kilogram, of which nothing is reported.
    fn moisture_mixed(
        &self,
        mass: Estimate<OfMass>,
        added: Estimate<OfVolume>,
        recorder: impl Recorder,
    ) -> Estimate<OfShare> {
        let is_some = mass.kilograms() > 0.0;
        let one = if is_some { mass.only(End::Likely) } else { Mass::from_kilograms(1.0).into() };
        let (moisture, rho_w) = (self.of.material.moisture(), self.soaking.water);
        let at = |end: End| {
            let w = moisture.only(end);
            MoistureMixed { w, m: one, W: self.soaking.at(end).water(one, w, Off), rho_w }
        };
        let [low, likely, high] = [End::Low, End::Likely, End::High].map(at);
        if !is_some {
            return Off.figure_at([low, likely, high]);
        }
        recorder.figure_at([low, MoistureMixed { w: moisture, m: mass, W: added, rho_w }, high])
    }
}

impl Weight {
    /// What a volume of this material weighs, at the likely values.
    fn likely(self, material: &Material) -> Density {
        match self {
            Self::Own(rho) => rho.likely(),
            Self::Usual(dry) => {
                let one = Volume::from_litres(1.0);
                MassOfFeed { V: one.into(), w: material.moisture(), rho_f: dry }.likely() / one
            }
        }
    }
}

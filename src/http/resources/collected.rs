//! What is collected for the feed of a bed: the volume of a layer before it is shredded, soaked and settled, and each material of a mix.

use super::ReferenceOut;
use crate::garden::beds::Laid;
use crate::garden::feeds::{Feedstock, Prepared};
use crate::garden::figures::Recorder;
use crate::garden::formulas::{TotalVolume, VolumeOfMass};
use crate::garden::units::quantity::{OfDensity, OfMass, OfVolume};
use crate::garden::units::{End, Estimate, Mass};
use crate::http::limits::{MAX_AMOUNTS_OF_A_LAYER, MAX_MATERIALS_OF_A_LAYER};
use crate::http::output::quantity::{Role, View};
use crate::http::output::{InContainers, QuantityOut};
use serde::Serialize;
use utoipa::ToSchema;

/// What a feed is called, and how dense it is when it is collected.
#[derive(Debug, Clone, Default)]
pub struct CollectedFeed {
    /// The material, or those of the mix.
    pub name: Option<String>,
    /// Of the material or the mix, as moist as it is fed; none where it is not known, or where the feed lies as it is collected.
    pub bulk_density: Option<Estimate<OfDensity>>,
    /// What it is mixed of; none where it is of one material, or known by its analysis alone.
    pub mixed: Option<Mixed>,
}

/// The materials that a feed is mixed of.
#[derive(Debug, Clone)]
pub struct Mixed {
    /// Each with its amount in this mass of the mix.
    pub materials: Vec<(ReferenceOut, Prepared)>,
    /// All of them together, as moist as they are fed.
    pub mass: Mass,
    /// Whether equal volumes are assumed, since neither parts nor amounts are given.
    pub is_assumed: bool,
}

/// What to collect for a layer, before it is shredded, soaked and settled.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = FeedToCollect)]
pub struct CollectOut {
    /// By bulk density; of a mix, all its materials together.
    pub volume: QuantityOut,
    /// The same in your containers.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
}

/// A material of a mix, its mass and its volume.
type Taken<'a> = (&'a ReferenceOut, Estimate<OfMass>, Estimate<OfVolume>);

/// How much of a mix is one of its materials.
const ITS_SHARE: &str = "as much of the mix as by the parts or amounts of its materials; equal volumes unless given";

/// A material of a mix.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = ProductionMaterial)]
pub struct ProductionMaterialOut {
    /// Which material it is.
    pub material: ReferenceOut,
    /// By mass, before any water is added.
    pub mass: QuantityOut,
    /// By volume as it lies.
    pub volume: QuantityOut,
    /// The same amount in your containers.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
}

impl ProductionMaterialOut {
    /// So much of a material.
    pub fn of(material: ReferenceOut, (mass, volume): (Estimate<OfMass>, Estimate<OfVolume>), view: &View<'_>) -> Self {
        Self {
            material,
            mass: view.estimate(Role::Mass, mass),
            volume: view.estimate(Role::Bulk, volume),
            in_containers: view.in_containers(volume, Some(mass)),
        }
    }
}

/// A text for readers: the ids of the table of materials that are no words become names, as in `a mix of leaves (shredded), coir`.
#[must_use]
pub fn materials_in_words(text: &str) -> String {
    let word = |word: &str| {
        let id = word.trim_end_matches([',', ';', ':']);
        let row = Some(id).filter(|id| id.contains('_')).and_then(Feedstock::find);
        row.map_or_else(|| word.to_owned(), |row| word.replacen(id, &row.in_words(), 1))
    };
    text.split(' ').map(word).collect::<Vec<_>>().join(" ")
}

impl CollectedFeed {
    /// What to collect for a layer.
    pub fn layer(&self, laid: &Laid, view: &View<'_>) -> Option<CollectOut> {
        self.mass(laid.mass, view)
    }

    /// What to collect for so much feed, as moist as it is fed; of a mix, each material as it lies by itself.
    pub fn mass(&self, m: Estimate<OfMass>, view: &View<'_>) -> Option<CollectOut> {
        let (rho, m) = (self.bulk_density?, m.only(End::Likely));
        let volume = match self.taken(m, view).map(|(_, _, volume)| volume).collect::<Vec<_>>() {
            of_materials if of_materials.is_empty() => view.book().figure(VolumeOfMass { m, rho }),
            v => view.book().figure(TotalVolume { v }),
        };
        Some(CollectOut {
            volume: view.estimate(Role::Bulk, volume),
            in_containers: view.in_containers(volume, Some(m)),
        })
    }

    /// What to take of each material for so much of a mix, as moist as it is fed; nothing for other feed.
    pub fn materials(&self, m: Estimate<OfMass>, view: &View<'_>) -> Vec<ProductionMaterialOut> {
        let each = self.taken(m.only(End::Likely), view);
        each.map(|(material, mass, volume)| ProductionMaterialOut::of(material.clone(), (mass, volume), view)).collect()
    }

    /// Mass and volume of each material of a mix, in so much of it.
    fn taken<'a>(&'a self, m: Estimate<OfMass>, view: &'a View<'_>) -> impl Iterator<Item = Taken<'a>> {
        let split = move |mixed: &'a Mixed| {
            let (book, times) = (view.book(), m.kilograms() / mixed.mass.kilograms());
            mixed.materials.iter().map(move |(material, part)| {
                let mass = book.by_rule(ITS_SHARE, &[m.node()], part.mass.likely().times(times).into());
                let volume = book.by_rule(ITS_SHARE, &[m.node()], part.volume.likely().times(times).into());
                (material, mass, volume)
            })
        };
        self.mixed.iter().flat_map(split)
    }

    /// The same for one of many layers or weeks.
    pub fn materials_of_one(&self, m: Estimate<OfMass>, view: &View<'_>) -> Vec<ProductionMaterialOut> {
        let materials = self.mixed.as_ref().map_or(0, |mixed| mixed.materials.len());
        let amounts = materials.saturating_mul(view.containers.iter().count().saturating_add(1));
        let is_short = materials <= MAX_MATERIALS_OF_A_LAYER && amounts <= MAX_AMOUNTS_OF_A_LAYER;
        if is_short { self.materials(m, view) } else { Vec::new() }
    }
}

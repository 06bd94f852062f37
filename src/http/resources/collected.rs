//! What is collected for the feed of a bed: the volume of a layer before it is shredded, soaked and settled.

use crate::garden::beds::Laid;
use crate::garden::feeds::Feedstock;
use crate::garden::figures::Recorder;
use crate::garden::formulas::VolumeOfMass;
use crate::garden::units::quantity::{OfDensity, OfMass};
use crate::garden::units::{End, Estimate};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{Role, View};
use serde::Serialize;
use utoipa::ToSchema;

/// What a feed is called, and how dense it is when it is collected.
#[derive(Debug, Clone, Default)]
pub struct CollectedFeed {
    /// The material, or those of the mix.
    pub name: Option<String>,
    /// Of the material or the mix, as moist as it is fed; none where it is not known, or where the feed lies as it is collected.
    pub bulk_density: Option<Estimate<OfDensity>>,
}

/// What to collect for a layer, before it is shredded, soaked and settled.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = FeedToCollect)]
pub struct CollectOut {
    /// By the bulk density of the material.
    pub volume: QuantityOut,
    /// The same in your containers.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub in_containers: Vec<QuantityOut>,
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

    /// What to collect for so much feed, as moist as it is fed.
    pub fn mass(&self, m: Estimate<OfMass>, view: &View<'_>) -> Option<CollectOut> {
        let rho = self.bulk_density?;
        let volume = view.book().figure(VolumeOfMass { m: m.only(End::Likely), rho });
        Some(CollectOut {
            volume: view.estimate(Role::Bulk, volume),
            in_containers: view.in_containers(volume, Some(m.only(End::Likely))),
        })
    }
}

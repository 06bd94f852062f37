//! What to take of each material of a mix, in words.

use super::calendar::measured;
use super::collected::{ProductionMaterialOut, materials_in_words};
use crate::http::output::Number;
use crate::http::present::counted::containers;
use crate::http::present::words::{all_of, shown};
use crate::http::present::{Description, Part};

/// What to take for each layer or week, below a heading; nothing where nothing is mixed.
pub fn taken_each(heading: &str, lines: impl Iterator<Item = (String, String)>, description: &mut Description<'_>) {
    let lines = lines.filter(|(_, taken)| !taken.is_empty()).map(|(when, taken)| (when, vec![taken]));
    let lines: Vec<(String, Vec<String>)> = lines.collect();
    if !lines.is_empty() {
        description.heading(heading);
        description.parts.push(Part::Lines(lines));
    }
}

impl ProductionMaterialOut {
    /// What to take of each with its exact amount, for data: `2840.5 L of leaves`.
    #[must_use]
    pub fn all_exactly(materials: &[Self]) -> Vec<(Number, String)> {
        let one = |of: &Self| (of.volume.value, format!("{} of {}", of.volume.unit, of.material.called("material")));
        Self::taken(materials).map(one).collect()
    }

    /// What it is called for readers.
    #[must_use]
    pub fn called(&self) -> String {
        materials_in_words(&self.material.called("material"))
    }

    /// What to take of each, in the caller's containers: `284 buckets of leaves and 30 L of manure`.
    #[must_use]
    pub fn all_in_words(materials: &[Self]) -> String {
        let one = |of: &Self| {
            let amount = measured(&of.in_containers).unwrap_or_else(|| shown(&of.volume));
            format!("{amount} of {}", of.called())
        };
        all_of(&Self::taken(materials).map(one).collect::<Vec<_>>())
    }

    /// What to take of each by mass, in the caller's containers and by volume: `17 kg (3 barrows, 226 L) of leaves and 185 kg (226 L) of manure`.
    #[must_use]
    pub fn all_by_mass(materials: &[Self]) -> String {
        let one = |of: &Self| {
            let volume: Vec<String> =
                containers(of.in_containers.iter()).into_iter().chain([shown(&of.volume)]).collect();
            format!("{} ({}) of {}", shown(&of.mass), volume.join(", "), of.called())
        };
        all_of(&Self::taken(materials).map(one).collect::<Vec<_>>())
    }

    /// Those of which something is taken.
    pub fn taken(materials: &[Self]) -> impl Iterator<Item = &Self> {
        materials.iter().filter(|of| of.mass.value.get() > 0.0)
    }
}

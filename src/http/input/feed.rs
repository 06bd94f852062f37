//! A feed's amounts and what it is made of.

use super::RequestContext;
use super::quantity::{Due, VolumeOrMassInput};
use crate::garden::feeds::{KnownMaterial, Load, Material};
use crate::garden::units::{Dimension, Mass, Volume};
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;

impl RequestContext<'_> {
    /// Reads a mass or a volume of feed: the likely value, from this least amount up where one is given.
    pub fn load(&self, input: &VolumeOrMassInput, least: Option<f64>, place: JsonPath<'_>) -> Option<Load> {
        let due = Due { least, ..Due::any(VolumeOrMassInput::DIMENSIONS) };
        let (dimension, span) = self.span(&input.0, due, place)?;
        self.note_range(span, place);
        Some(match dimension {
            Dimension::Mass => Load::Mass(self.asked(Role::Mass, Mass::from_base(span.likely), place)),
            _ => Load::Volume(self.asked(Role::Bulk, Volume::from_base(span.likely), place)),
        })
    }

    /// The material at a place, from what is known about it.
    pub fn material(&self, given: &KnownMaterial, place: JsonPath<'_>) -> Option<Material> {
        let refused = |refusals: Vec<_>| refusals.into_iter().for_each(|refusal| self.refuse(place, refusal));
        given.material(self.book()).map_err(refused).ok()
    }
}

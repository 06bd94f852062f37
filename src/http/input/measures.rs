//! The caller's measures on the wire.

use super::Crossing;
use super::bounded::{MeasureName, MeasurePlural};
use super::list::List;
use super::quantity::{Due, VolumeOrMassInput};
use crate::garden::units::{Dimension, Holds, Mass, Volume};
use crate::http::limits::MAX_MEASURES;
use crate::http::wire::Place;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// The measures of a request.
pub type ContainerList = List<ContainerInput, 0, MAX_MEASURES>;

/// A measure of the caller's, usable as a unit anywhere in the request.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct ContainerInput {
    /// Its name: letters, digits, spaces, `-` and `'`, beginning with a letter.
    #[validate(nested)]
    pub name: MeasureName,
    /// Its plural; the name, +s and +es unless given.
    #[validate(nested)]
    pub plural: Option<MeasurePlural>,
    /// What it holds, by volume or mass.
    pub capacity: VolumeOrMassInput,
}

impl Crossing<'_> {
    /// Reads the measures; each may be given in terms of units only, not of other measures.
    pub fn read_measures(&mut self, inputs: Option<&ContainerList>) {
        let root = Place::root();
        let list = root.field("containers");
        let mut measures = crate::garden::units::Measures::default();
        for (i, input) in inputs.map(|list| &**list).unwrap_or_default().iter().enumerate() {
            let place = list.index(i);
            let holds = place.field("capacity");
            let Some((dimension, span)) = self.span(&input.capacity.0, Due::any(VolumeOrMassInput::DIMENSIONS), holds)
            else {
                continue;
            };
            self.note_range(span, holds);
            let holds = match dimension {
                Dimension::Mass => Holds::Mass(Mass::from_base(span.likely)),
                _ => Holds::Volume(Volume::from_base(span.likely)),
            };
            let added = measures.add(&input.name, input.plural.as_deref(), holds);
            self.keep(place, added);
        }
        self.reader.measures = measures;
    }
}

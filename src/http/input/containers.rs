//! The caller's containers on the wire.

use super::RequestContext;
use super::bounded::{ContainerName, ContainerPlural};
use super::list::List;
use super::quantity::{Due, VolumeOrMassInput};
use crate::garden::units::{Capacity, Dimension, Mass, Volume};
use crate::http::limits::MAX_CONTAINERS;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// The containers of a request.
pub type ContainerList = List<ContainerInput, 0, MAX_CONTAINERS>;

/// A container of the caller's, usable as a unit anywhere in the request.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct ContainerInput {
    /// Its name: letters, digits, spaces, `-` and `'`, beginning with a letter.
    #[validate(nested)]
    pub name: ContainerName,
    /// Its plural; the name, +s and +es unless given.
    #[validate(nested)]
    pub plural: Option<ContainerPlural>,
    /// What it takes, by volume or mass.
    pub capacity: VolumeOrMassInput,
}

impl RequestContext<'_> {
    /// Reads the containers; each may be given in terms of units only, not of other containers.
    pub fn read_containers(&mut self, inputs: Option<&ContainerList>) {
        let root = JsonPath::root();
        let list = root.field("containers");
        let mut containers = crate::garden::units::Containers::default();
        for (i, input) in inputs.map(|list| &**list).unwrap_or_default().iter().enumerate() {
            let place = list.index(i);
            let holds = place.field("capacity");
            let read = self.span(&input.capacity.0, Due::any(VolumeOrMassInput::DIMENSIONS), holds);
            let holds = read.map(|(dimension, span)| {
                self.note_range(span, holds);
                match dimension {
                    Dimension::Mass => Capacity::Mass(Mass::from_base(span.likely)),
                    _ => Capacity::Volume(Volume::from_base(span.likely)),
                }
            });
            let added = containers.add(&input.name, input.plural.as_deref(), holds);
            self.keep(place, added);
        }
        self.reader.containers = containers;
    }
}

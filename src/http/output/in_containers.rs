//! Amounts counted in the caller's containers.

use super::quantity::{QuantityOut, Role, View, written};
use super::recording::Recording;
use super::unit_name::UnitName;
use crate::garden::containers::{filled, weighed};
use crate::garden::units::quantity::{OfMass, OfRatio, OfVolume};
use crate::garden::units::{Capacity, Container, Containers, Estimate, Measured, Quantity};
use serde::{Serialize, Serializer};
use std::sync::Arc;

/// An amount in the caller's containers: by volume in those of a volume, by mass in those of a mass where the mass is known. The counts are
/// made as they are read: an answer may have many thousands of amounts, each in twenty containers.
#[must_use]
#[derive(Debug, Clone, Default)]
pub struct InContainers(Option<Box<Counted>>);

/// The same where there are containers.
#[derive(Debug, Clone)]
struct Counted {
    containers: Containers,
    amount: Amount,
    /// The number of what is recorded of each count; empty where nothing is.
    nodes: Box<[u32]>,
}

/// An amount by volume, and by mass where that is known.
type Amount = (Estimate<OfVolume>, Option<Estimate<OfMass>>);

impl View<'_> {
    /// An amount in the caller's containers.
    pub fn in_containers(&self, volume: Estimate<OfVolume>, mass: Option<Estimate<OfMass>>) -> InContainers {
        if self.containers.is_empty() {
            return InContainers::NONE;
        }
        let amount = (volume, mass);
        let node = |(place, container)| Some(count(container, amount, Some((self.recording?, place)))?.node());
        let nodes = self.containers.iter().enumerate().filter_map(node).collect();
        InContainers(Some(Box::new(Counted { containers: self.containers.clone(), amount, nodes })))
    }
}

impl InContainers {
    /// No containers.
    pub const NONE: Self = Self(None);

    /// The counts, in the order of the containers.
    pub fn iter(&self) -> impl Iterator<Item = QuantityOut> {
        self.0.iter().flat_map(|counted| counted.counts())
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.iter().next().is_none()
    }
}

impl Counted {
    fn counts(&self) -> impl Iterator<Item = QuantityOut> {
        let counts =
            self.containers.iter().filter_map(|container| Some((container, count(container, self.amount, None)?)));
        let nodes = self.nodes.iter().copied().chain(std::iter::repeat(0));
        counts.zip(nodes).map(|((container, count), node)| {
            let unit = UnitName::Container(Arc::clone(&container.name));
            QuantityOut { node, ..written(unit, count.values(), |ratio| ratio) }
        })
    }
}

impl Serialize for InContainers {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.iter())
    }
}

/// A place among the containers of a request, and where its figures are recorded.
type Recorded<'a> = Option<(&'a Recording, usize)>;

/// How many of a container an amount fills; `None` where it has no mass and the container no volume.
fn count(of: &Container, (volume, mass): Amount, recorded: Recorded<'_>) -> Option<Estimate<OfRatio>> {
    let book = recorded.map(|(recording, _)| &recording.book);
    Some(match of.holds {
        Capacity::Volume(capacity) => filled(volume, holds(Role::Bulk, capacity, recorded), book),
        Capacity::Mass(capacity) => weighed(mass?, holds(Role::Mass, capacity, recorded), book),
    })
}

/// What a container of the caller's holds.
fn holds<D: Measured>(role: Role, capacity: Quantity<D>, recorded: Recorded<'_>) -> Estimate<D> {
    recorded.map_or_else(
        || capacity.into(),
        |(recording, place)| recording.asked(role, capacity, format!("/containers/{place}/capacity")),
    )
}

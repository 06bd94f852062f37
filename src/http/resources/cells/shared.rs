//! What holds of all items of a cell or a table.

use super::error;
use crate::garden::units::{Capacity, Dimension, Mass, Reader, Volume, text};
use crate::http::wire::{ErrorCode, Node, RequestErrors, parse};

/// What holds of all items: how quantities are read, and what is known better than the defaults.
pub struct Shared<'q> {
    members: Vec<(&'q str, Node<'q>)>,
    /// As that of the request that is made.
    reader: Reader,
}

impl<'q> Shared<'q> {
    /// Reads them from parameters such as `bucket:12 L` and `castings.bulk_density:620 kg/m3`.
    pub fn new(
        (containers, us_customary): (&[&'q str], bool),
        assumptions: &[&'q str],
        errors: &RequestErrors,
    ) -> Self {
        let (mut members, mut reader) = (Vec::new(), Reader { us_customary, ..Reader::default() });
        let named = containers.iter().filter_map(|text| pair(errors, ("container", "bucket:12 L"), text));
        let named: Vec<_> = named.inspect(|(name, holds)| add(&mut reader, name, holds)).collect();
        if !named.is_empty() {
            let container =
                |(name, holds)| Node::object_from([("name", Node::from(name)), ("capacity", Node::from(holds))]);
            members.push(("containers", Node::list_from(named.into_iter().map(container))));
        }
        let values =
            assumptions.iter().filter_map(|text| pair(errors, ("assume", "castings.bulk_density:620 kg/m3"), text));
        let values: Vec<_> = values.map(|(id, value)| (id, plain(value))).collect();
        if !values.is_empty() {
            members.push(("assumptions", Node::object_from(values)));
        }
        Self { members, reader }
    }

    /// How quantities are read.
    pub const fn reader(&self) -> &Reader {
        &self.reader
    }

    /// The tree of a request with these members besides.
    pub fn tree(&self, own: impl IntoIterator<Item = (&'q str, Node<'q>)>) -> Node<'q> {
        Node::object_from(self.members.iter().cloned().chain(own))
    }
}

fn pair<'q>(errors: &RequestErrors, (parameter, example): (&str, &str), text: &'q str) -> Option<(&'q str, &'q str)> {
    let split = text.split_once(':').map(|(name, value)| (name.trim(), value.trim()));
    if split.is_none() {
        error(errors, parameter, ErrorCode::BadText, format!("Write a name, a colon and a value, as in {example}."));
    }
    split
}

/// Adds a container as far as it can be read, at least its name; what is wrong with it is reported elsewhere.
fn add(reader: &mut Reader, name: &str, holds: &str) {
    let read = text::read(holds, &[Dimension::Volume, Dimension::Mass], reader);
    let holds = read.map(|read| match read.dimension {
        Dimension::Mass => Capacity::Mass(Mass::from_base(read.base)),
        _ => Capacity::Volume(Volume::from_base(read.base)),
    });
    let _ = reader.containers.add(name, None, holds.ok());
}

/// A plain number as a number, everything else as a text: counts and ratios are plain numbers.
pub fn plain(text: &str) -> Node<'_> {
    let number =
        parse(text.as_bytes()).ok().filter(|node| matches!(node, Node::Int(_) | Node::UInt(_) | Node::Float(_)));
    number.unwrap_or_else(|| Node::from(text))
}

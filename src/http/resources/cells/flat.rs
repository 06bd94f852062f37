//! From the flat form to the tree of a request.

use super::error;
use super::params::{Brew, GROUNDS, OTHERS, Surface, SurfaceKind};
use super::query::Query;
use crate::garden::applications::typical::Purpose;
use crate::garden::units::{Containers, Dimension, Reader, text};
use crate::http::wire::{ErrorCode, Node, RequestErrors, parse};

/// Builds the tree.
pub struct Flat<'q, 'f> {
    query: &'q Query,
    errors: &'f RequestErrors,
    members: Vec<(&'static str, Node<'q>)>,
}

/// True if the field makes a shape: some kind of surface has it.
fn makes_a_shape(name: &str) -> bool {
    GROUNDS.iter().chain(OTHERS).any(|(_, fields)| fields.contains(&name))
}

impl<'q, 'f> Flat<'q, 'f> {
    /// A tree with the containers and assumptions of the query.
    pub fn new(query: &'q Query, errors: &'f RequestErrors) -> Self {
        let mut flat = Self { query, errors, members: Vec::new() };
        flat.named_pairs("container", "bucket:12 L", |name, value| {
            Node::object_from([("name", Node::from(name)), ("capacity", Node::from(value))])
        });
        let assumptions: Vec<_> = query
            .all("assume")
            .filter_map(|text| flat.pair("assume", text, "castings.bulk_density:620 kg/m3"))
            .map(|(id, value)| (id, plain(value)))
            .collect();
        if !assumptions.is_empty() {
            flat.members.push(("assumptions", Node::object_from(assumptions)));
        }
        flat
    }

    fn pair(&self, parameter: &str, text: &'q str, example: &str) -> Option<(&'q str, &'q str)> {
        let split = text.split_once(':').map(|(name, value)| (name.trim(), value.trim()));
        if split.is_none() {
            error(
                self.errors,
                parameter,
                ErrorCode::BadText,
                format!("Write a name, a colon and a value, as in {example}."),
            );
        }
        split
    }

    fn named_pairs(&mut self, parameter: &'static str, example: &str, make: impl Fn(&'q str, &'q str) -> Node<'q>) {
        let query = self.query;
        let made: Vec<_> = query
            .all(parameter)
            .filter_map(|text| self.pair(parameter, text, example))
            .map(|(n, v)| make(n, v))
            .collect();
        if !made.is_empty() {
            self.members.push(("containers", Node::list_from(made)));
        }
    }

    /// The finished tree.
    pub fn tree(self) -> Node<'q> {
        Node::object_from(self.members)
    }

    fn given(&self, names: &[&'static str]) -> Vec<(&'static str, Node<'q>)> {
        names.iter().filter_map(|name| self.query.get(name).map(|value| (*name, Node::from(value)))).collect()
    }

    /// One area.
    pub fn area(&mut self) {
        let in_all = self.given(&["castings", "dry_mass"]);
        let mut area = vec![("surface", self.surface())];
        if in_all.is_empty() || self.query.get("rate").is_some() {
            area.push(("rate", self.rate()));
        } else if self.query.get("rate_kind").is_some() {
            let detail = "This says what a rate is; leave it out beside castings or dry_mass.".to_owned();
            error(self.errors, "rate_kind", ErrorCode::NotAllowedHere, detail);
        }
        area.extend(in_all);
        area.extend(self.given(&["settling"]));
        area.extend(self.repeat().map(|repeat| ("repeat", repeat)));
        self.members.push(("areas", Node::list_from([Node::object_from(area)])));
    }

    /// How often it is done, where that is said.
    fn repeat(&self) -> Option<Node<'q>> {
        let [every, times] = ["repeat_every", "repeat_times"].map(|name| self.query.get(name));
        let detail = "An application that repeats needs both, as in repeat_every=6 weeks and repeat_times=4.";
        let missing = match (every, times) {
            (Some(_), None) => Some("repeat_times"),
            (None, Some(_)) => Some("repeat_every"),
            _ => None,
        };
        if let Some(name) = missing {
            error(self.errors, name, ErrorCode::MissingField, detail.to_owned());
        }
        let (every, times) = every.zip(times)?;
        let times = self.whole("repeat_times", times)?;
        Some(Node::object_from([("every", Node::from(every)), ("times", times)]))
    }

    /// One worm bed.
    pub fn bed(&mut self) {
        let mut bed = vec![("ground", self.surface())];
        bed.extend(self.given(&["material_depth", "finished_share", "sieve_yield"]));
        self.members.push(("worm_beds", Node::list_from([Node::object_from(bed)])));
    }

    /// One brew.
    pub fn brew(&mut self) {
        let mut brew = self.given(Brew::NAMES);
        if SurfaceKind::NAMES.iter().chain(Surface::NAMES).any(|name| self.query.get(name).is_some()) {
            brew.push(("surface", self.surface()));
        }
        self.members.push(("brews", Node::list_from([Node::object_from(brew)])));
    }

    /// The surface, its kind decided by the fields that are given, or by `surface`.
    fn surface(&self) -> Node<'q> {
        let shape = Surface::NAMES.iter().copied().filter(|name| makes_a_shape(name) && self.query.get(name).is_some());
        let shape: Vec<&'static str> = shape.collect();
        let kinds = GROUNDS.iter().chain(OTHERS);
        let filled = self.query.get("fill_depth");
        let named = self.query.get("surface").filter(|kind| *kind != "bed_fill");
        let kind = named.or_else(|| {
            let fits = |fields: &&[&str]| fields.first().is_none_or(|first| shape.contains(first));
            kinds.clone().find(|(_, fields)| fits(fields)).map(|(kind, _)| *kind)
        });
        let kind = kind.filter(|kind| named.is_some() || *kind != "plants" || self.query.get("count").is_some());
        let Some(kind) = kind.filter(|_| !(shape == ["length"] && named.is_none())) else {
            let detail = "Say what place it is: length and width, length and band, diameter, area, count of plants, volume of \
                          pots, and so on.";
            error(self.errors, "surface", ErrorCode::MissingField, detail.to_owned());
            return Node::Null;
        };
        let mut fields = vec![("kind", Node::from(kind))];
        fields.extend(self.count().map(|count| ("count", count)));
        fields.extend(self.given(&shape));
        let node = Node::object_from(fields);
        match filled {
            Some(depth) => {
                Node::object_from([("kind", Node::from("bed_fill")), ("ground", node), ("depth", Node::from(depth))])
            }
            None => node,
        }
    }

    /// The count, if it is given and a number.
    fn count(&self) -> Option<Node<'q>> {
        self.whole("count", self.query.get("count")?)
    }

    /// A count, where it is a number.
    fn whole(&self, name: &'static str, text: &'q str) -> Option<Node<'q>> {
        let count = plain(text);
        if matches!(count, Node::Text(_)) {
            error(self.errors, name, ErrorCode::BadNumber, format!("A count is a plain whole number, as in {name}=4."));
            return None;
        }
        Some(count)
    }

    /// The rate: that of a purpose, or one whose kind is decided by its unit, or by `rate_kind`.
    fn rate(&self) -> Node<'q> {
        let Some(rate) = self.query.get("rate") else {
            error(
                self.errors,
                "rate",
                ErrorCode::MissingField,
                "How much? Give a rate, as in rate=1cm, or the castings, as in castings=60L.".to_owned(),
            );
            return Node::Null;
        };
        if Purpose::find(rate).is_some() {
            return Node::object_from([("kind", Node::from("typical")), ("purpose", Node::from(rate))]);
        }
        let kind = self.query.get("rate_kind").unwrap_or_else(|| self.kind_of(rate));
        Node::object_from([("kind", Node::from(kind)), ("amount", Node::from(rate))])
    }

    fn kind_of(&self, rate: &str) -> &'static str {
        use Dimension::{
            Length, Mass, MassPerArea, MassPerPlant, Share, Volume, VolumePerArea, VolumePerLength, VolumePerPlant,
        };
        let wanted =
            [Length, MassPerArea, VolumePerArea, VolumePerLength, Share, Volume, Mass, VolumePerPlant, MassPerPlant];
        let reader = Reader { containers: self.containers(), ..Reader::default() };
        match text::read(rate, &wanted, &reader).map(|read| read.dimension) {
            Ok(MassPerArea) => "mass_per_area",
            Ok(VolumePerArea) => "volume_per_area",
            Ok(VolumePerLength) => "volume_per_length",
            Ok(Share) => "share_of_mix",
            Ok(Volume | Mass | VolumePerPlant | MassPerPlant) => "per_plant",
            // A rate that cannot be read is refused as a depth, whose message names the error.
            _ => "depth",
        }
    }

    /// The containers, as far as they can be read; what is wrong with them is reported elsewhere.
    fn containers(&self) -> Containers {
        let mut containers = Containers::default();
        for (name, holds) in self.query.all("container").filter_map(|text| text.split_once(':')) {
            let read = text::read(holds, &[Dimension::Volume, Dimension::Mass], &Reader::default());
            let holds = read.map(|read| match read.dimension {
                Dimension::Mass => {
                    crate::garden::units::Capacity::Mass(crate::garden::units::Mass::from_base(read.base))
                }
                _ => crate::garden::units::Capacity::Volume(crate::garden::units::Volume::from_base(read.base)),
            });
            if let Ok(holds) = holds {
                let _ = containers.add(name.trim(), None, holds);
            }
        }
        containers
    }
}

/// A plain number as a number, everything else as a text: counts and ratios are plain numbers.
fn plain(text: &str) -> Node<'_> {
    let number =
        parse(text.as_bytes()).ok().filter(|node| matches!(node, Node::Int(_) | Node::UInt(_) | Node::Float(_)));
    number.unwrap_or_else(|| Node::from(text))
}

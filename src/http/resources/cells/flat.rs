//! From the flat form to the tree of a request.

use super::address::{rate_of, with_container};
use super::decimal::count;
use super::params::{Brew, GROUNDS, Kind, OTHERS, Surface, SurfaceKind};
use super::shared::{Shared, plain};
use crate::garden::applications::typical::Purpose;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Dimension, Reader, text};
use crate::http::wire::{ErrorCode, JsonPath, Node, RequestErrors, capital};

/// The fields of one item in their flat form: those of a query, or of a row of a table.
pub trait Fields {
    /// The text of a field; `None` if it is not given.
    fn get(&self, name: &str) -> Option<&str>;
}

/// One item: its fields, and where its errors go.
#[derive(Clone, Copy)]
pub struct Flat<'q, 'f> {
    fields: &'q dyn Fields,
    reader: &'f Reader,
    errors: &'f RequestErrors,
    place: JsonPath<'f>,
}

/// The kind of surface with corners, and the field that has them.
const POLYGON: &str = "polygon";
const CORNERS: &str = "corners";

/// True if the field makes a shape: some kind of surface has it.
fn makes_a_shape(name: &str) -> bool {
    GROUNDS.iter().chain(OTHERS).any(|(_, fields)| fields.contains(&name))
}

impl<'q, 'f> Flat<'q, 'f> {
    /// An item of which the fields are at a place.
    pub const fn new(
        fields: &'q dyn Fields,
        shared: &'f Shared<'_>,
        (errors, place): (&'f RequestErrors, JsonPath<'f>),
    ) -> Self {
        Self { fields, reader: shared.reader(), errors, place }
    }

    fn error(&self, field: &str, code: ErrorCode, detail: &str) {
        self.errors.push(self.place.field(field), code, detail);
    }

    /// Those of these fields that are given.
    pub fn given(&self, names: &[&'static str]) -> Vec<(&'static str, Node<'q>)> {
        names.iter().filter_map(|name| self.fields.get(name).map(|value| (*name, Node::from(value)))).collect()
    }

    /// True if one of these fields is given.
    pub fn has(&self, names: &[&'static str]) -> bool {
        names.iter().any(|name| self.fields.get(name).is_some())
    }

    /// One area.
    pub fn area(&self) -> Vec<(&'static str, Node<'q>)> {
        let in_all = self.given(&["castings", "dry_mass"]);
        let mut area = vec![("surface", self.surface())];
        if in_all.is_empty() || self.has(&["rate"]) {
            area.push(("rate", self.rate()));
        } else if self.has(&["rate_kind"]) {
            let detail = "This describes a rate; leave it out if you give castings or dry_mass.";
            self.error("rate_kind", ErrorCode::NotAllowedHere, detail);
        }
        area.extend(in_all);
        area.extend(self.given(&["settling"]));
        area.extend(self.repeat().map(|repeat| ("repeat", repeat)));
        area
    }

    /// How often it is done, where that is said.
    fn repeat(&self) -> Option<Node<'q>> {
        let [every, times] = ["repeat_every", "repeat_times"].map(|name| self.fields.get(name));
        let missing = match (every, times) {
            (Some(_), None) => Some("repeat_times"),
            (None, Some(_)) => Some("repeat_every"),
            _ => None,
        };
        if let Some(name) = missing {
            let detail = "An application that repeats needs both, as in repeat_every=6 weeks and repeat_times=4.";
            self.error(name, ErrorCode::MissingField, detail);
        }
        let (_, times) = times.and_then(|_| self.number("repeat_times"))?;
        Some(Node::object_from([("every", Node::from(every?)), ("times", times)]))
    }

    /// One worm bed.
    pub fn bed(&self) -> Vec<(&'static str, Node<'q>)> {
        let mut bed = vec![("ground", self.ground())];
        bed.extend(self.given(&["material_depth", "finished_share", "sieve_yield"]));
        bed
    }

    /// One brew.
    pub fn brew(&self) -> Vec<(&'static str, Node<'q>)> {
        let mut brew = self.given(Brew::NAMES);
        if self.has(SurfaceKind::NAMES) || self.has(Surface::NAMES) {
            brew.push(("surface", self.surface()));
        }
        brew
    }

    /// The surface, its kind decided by the fields that are given, or by `surface`.
    pub fn surface(&self) -> Node<'q> {
        self.place(OTHERS, "area, count of plants, volume of pots, and so on")
    }

    /// Open ground, likewise.
    pub fn ground(&self) -> Node<'q> {
        self.place(&[], "or area")
    }

    /// The fields given that make a shape.
    fn shape(&self) -> Vec<&'static str> {
        let given = |name: &&str| makes_a_shape(name) && self.fields.get(name).is_some();
        Surface::NAMES.iter().copied().filter(given).collect()
    }

    /// The kind of surface: that of open ground, or one of these others.
    fn kind_of_place(&self, others: &'static [Kind]) -> Option<&'q str> {
        let named = self.fields.get("surface").filter(|kind| *kind != "bed_fill");
        let shape = self.shape();
        let kind = named.or_else(|| {
            let fits = |fields: &&[&str]| fields.first().is_none_or(|first| shape.contains(first));
            GROUNDS.iter().chain(others).find(|(_, fields)| fits(fields)).map(|(kind, _)| *kind)
        });
        let kind = kind.filter(|kind| named.is_some() || *kind != "plants" || self.fields.get("count").is_some());
        kind.filter(|_| !(shape == ["length"] && named.is_none()))
    }

    fn place(&self, others: &'static [Kind], and: &str) -> Node<'q> {
        let shape = self.shape();
        let filled = self.fields.get("bed_fill_depth");
        let Some(kind) = self.kind_of_place(others) else {
            let detail = format!("Describe the place: length and width, length and band_width, diameter, {and}.");
            self.error("surface", ErrorCode::MissingField, &detail);
            return Node::Null;
        };
        let mut fields = vec![("kind", Node::from(kind))];
        fields.extend(self.number("count"));
        let has_corners = kind == POLYGON;
        fields.extend(self.given(&shape).into_iter().filter(|(name, _)| !(has_corners && *name == CORNERS)));
        if let Some(text) = self.fields.get(CORNERS).filter(|_| has_corners) {
            let Some((unit, corners)) = corners(text) else {
                let detail = "Write the corners in order around the place, each as x y, with a comma between them and the unit after the last, \
                              as in 0 0, 4 0, 4 3 m.";
                self.error(CORNERS, ErrorCode::BadText, detail);
                // A place that has no other errors is taken instead.
                return Node::object_from([("kind", Node::from("area")), ("area", Node::from("1 m2"))]);
            };
            fields.extend([("unit", Node::from(unit)), (CORNERS, corners)]);
        }
        let node = Node::object_from(fields);
        match filled {
            Some(depth) => {
                Node::object_from([("kind", Node::from("bed_fill")), ("ground", node), ("depth", Node::from(depth))])
            }
            None => node,
        }
    }

    /// A field that is a plain number, such as a count, if it is given and one.
    pub fn number(&self, name: &'static str) -> Option<(&'static str, Node<'q>)> {
        let text = self.fields.get(name)?;
        match count(text) {
            Ok(number) => Some((name, number)),
            Err(wrong) => {
                self.error(name, ErrorCode::BadNumber, &wrong);
                None
            }
        }
    }

    /// The rate: that of a purpose, or one whose kind is decided by its unit, or by `rate_kind`.
    pub fn rate(&self) -> Node<'q> {
        let Some(rate) = self.fields.get("rate") else {
            let such = rate_of(self.usual_rate().0);
            let detail =
                format!("How much? Give a rate, such as {such}, or the castings for the whole place, such as 60 L.");
            self.error("rate", ErrorCode::MissingField, &detail);
            return Node::Null;
        };
        if Purpose::find(rate).is_some() {
            return Node::object_from([("kind", Node::from("typical")), ("purpose", Node::from(rate))]);
        }
        let kind = self.fields.get("rate_kind").unwrap_or_else(|| self.kind_of(rate));
        Node::object_from([("kind", Node::from(kind)), ("amount", Node::from(rate))])
    }

    fn kind_of(&self, rate: &str) -> &'static str {
        use Dimension::{
            Length, Mass, MassPerArea, MassPerPlant, Share, Volume, VolumePerArea, VolumePerLength, VolumePerPlant,
        };
        let all =
            [Length, MassPerArea, VolumePerArea, VolumePerLength, Share, Volume, Mass, VolumePerPlant, MassPerPlant];
        match text::read(rate, &all, self.reader).map(|read| read.dimension) {
            Ok(MassPerArea) => "mass_per_area",
            Ok(VolumePerArea) => "volume_per_area",
            Ok(VolumePerLength) => "volume_per_length",
            Ok(Share) => "share_of_mix",
            Ok(Volume | Mass | VolumePerPlant | MassPerPlant) => "per_plant",
            Ok(_) => "depth",
            // A rate that cannot be read is refused as one that the place takes, whose message names the error.
            Err(_) => {
                let (kind, fitting) = self.usual_rate();
                self.check_unit(rate, fitting.unwrap_or(&all));
                kind
            }
        }
    }

    /// A kind of rate that the place takes, and what such a rate measures where the place takes no other.
    fn usual_rate(&self) -> (&'static str, Option<&'static [Dimension]>) {
        let is_each = |kind: &str| OTHERS.iter().any(|(other, _)| *other == kind);
        if self.fields.get("bed_fill_depth").is_some() {
            ("share_of_mix", Some(&[Dimension::Share]))
        } else if self.kind_of_place(OTHERS).is_some_and(is_each) {
            ("per_plant", Some(&[Dimension::VolumePerPlant, Dimension::MassPerPlant]))
        } else {
            ("depth", None)
        }
    }

    /// Refuses a rate of an unknown unit with all that it may be, and with containers, which a depth does not take.
    fn check_unit(&self, rate: &str, all: &[Dimension]) {
        let refusal = text::read(rate, all, self.reader).err();
        let is_unknown = |refusal: &Refusal| refusal.reason == Reason::UnknownUnit && !refusal.follows;
        if let Some(refusal) = refusal.filter(is_unknown) {
            let allowed: Vec<&str> = refusal.allowed.iter().map(String::as_str).collect();
            let detail = with_container(&capital(&refusal.detail));
            self.errors.push(self.place.field("rate"), ErrorCode::UnknownUnit, detail).allowed(&allowed);
        }
    }
}

/// The unit and the corners of a polygon, of a text like `0 0, 4 0, 4 3 m`.
fn corners(text: &str) -> Option<(&str, Node<'_>)> {
    let (list, unit) = text.split_at_checked(text.rfind(|letter: char| letter.is_ascii_digit())? + 1)?;
    let corner = |text| -> Option<Node<'_>> {
        let mut numbers = str::split_whitespace(text).map(plain);
        let (Some(x), Some(y), None) = (numbers.next(), numbers.next(), numbers.next()) else { return None };
        let are_numbers = ![&x, &y].iter().any(|node| matches!(node, Node::Text(_)));
        are_numbers.then(|| Node::object_from([("x", x), ("y", y)]))
    };
    let corners: Option<Vec<_>> = list.split([',', ';']).map(corner).collect();
    let unit = unit.trim();
    Some((unit, Node::list_from(corners?))).filter(|_| !unit.is_empty())
}

/// The field of the flat form that a place in an item of a request was made from; empty where it was made from none of these.
#[must_use]
pub fn field_of(pointer: &str, known: &[&'static str]) -> &'static str {
    let has = |name: &str| pointer.split('/').any(|segment| segment == name);
    let last = pointer.rsplit('/').next().unwrap_or_default();
    let is_known = |name: &&&'static str| **name == last;
    if known.contains(&CORNERS) && (has(CORNERS) || last == "unit" && (has("surface") || has("ground"))) {
        CORNERS
    } else if has("rate") {
        if last == "kind" { "rate_kind" } else { "rate" }
    } else if has("repeat") {
        if last == "every" { "repeat_every" } else { "repeat_times" }
    } else if last == "depth" {
        "bed_fill_depth"
    } else if last == "kind" && known.contains(&"heap") && !has("ground") {
        "heap"
    } else if ["kind", "ground", "surface"].contains(&last) {
        "surface"
    } else if last == "climate" && known.contains(&"bed_temperature") {
        "bed_temperature"
    } else if last == "feed" && known.contains(&"material") {
        "material"
    } else {
        known.iter().find(is_known).copied().unwrap_or_default()
    }
}

//! Ground on the wire.

use super::RequestContext;
use super::bounded::Count;
use super::list::List;
use super::quantity::{AreaInput, LengthInput};
use super::union::union;
use crate::garden::areas::{self, Ground, Shape};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfRatio;
use crate::garden::units::text::with_unit;
use crate::garden::units::{Dimension, Estimate, Ratio};
use crate::http::limits::{MAX_CORNERS, MIN_CORNERS};
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// A bed with four right angles.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct Rectangle {
    /// How many of these; 1 unless given.
    #[validate(nested)]
    pub count: Option<Count>,
    /// The length of one side.
    pub length: LengthInput,
    /// The length of the other side.
    pub width: LengthInput,
}

/// A round bed.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct Circle {
    /// How many of these; 1 unless given.
    #[validate(nested)]
    pub count: Option<Count>,
    /// The diameter, from edge to edge.
    pub diameter: LengthInput,
}

/// A ring, as around a tree.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct Ring {
    /// How many of these; 1 unless given.
    #[validate(nested)]
    pub count: Option<Count>,
    /// The diameter of the outside.
    pub diameter: LengthInput,
    /// The diameter of the hole.
    pub inner_diameter: LengthInput,
}

/// Crop rows with a treated band.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct Rows {
    /// How many rows; 1 unless given.
    #[validate(nested)]
    pub count: Option<Count>,
    /// Along one row.
    pub length: LengthInput,
    /// The width of the band that gets castings.
    pub band_width: LengthInput,
}

/// A plot by its corners in order around it.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct Polygon {
    /// How many of these; 1 unless given.
    #[validate(nested)]
    pub count: Option<Count>,
    /// The unit of the corners.
    #[schema(example = "m", min_length = 1)]
    pub unit: String,
    /// The corners; the last is joined to the first.
    #[validate(nested)]
    pub corners: Corners,
}

/// The corners of a polygon.
pub type Corners = List<Corner, { MIN_CORNERS }, { MAX_CORNERS }>;

/// A corner.
#[derive(Debug, Clone, Copy, Deserialize, Validate, ToSchema)]
pub struct Corner {
    /// How far to the right, in the unit of the polygon.
    pub x: f64,
    /// How far up, in the unit of the polygon.
    pub y: f64,
}

/// An area that was measured elsewhere.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct PlainArea {
    /// How many of these; 1 unless given.
    #[validate(nested)]
    pub count: Option<Count>,
    /// The area of one.
    pub area: AreaInput,
}

union! {
    /// Open ground.
    GroundInput {
        "rectangle" => Rectangle(Rectangle),
        "circle" => Circle(Circle),
        "ring" => Ring(Ring),
        "rows" => Rows(Rows),
        "polygon" => Polygon(Polygon),
        "area" => Area(PlainArea),
    }
}

/// Reads lengths of an input, each from its field into a variable of that name. All of them are read before the first that was
/// refused ends the reading.
macro_rules! lengths {
    (($context:expr, $input:expr, $place:expr), $($field:ident),+) => {
        $(let $field = $context.figure(Role::Length, &$input.$field.0, $place.field(stringify!($field)));)+
        $(let $field = $field?;)+
    };
}
pub(crate) use lengths;

/// How many alike. A count outside its bounds has been refused already and counts as one, so that no other error follows
/// from it.
pub(crate) fn counted(count: Option<Count>) -> u32 {
    count.filter(|count| count.is_within()).map_or(1, |count| count.0)
}

impl RequestContext<'_> {
    /// How many alike, known by the count, or by the item itself where there is one only.
    pub fn counted(&self, count: Option<Count>, place: JsonPath<'_>) -> Estimate<OfRatio> {
        let count = counted(count);
        let at = place.field("count");
        self.asked(Role::Ratio, Ratio::from_number(f64::from(count)), if count == 1 { place } else { at })
    }

    /// Reads ground.
    pub fn ground(&self, input: &GroundInput, place: JsonPath<'_>) -> Option<Ground> {
        let (shape, count) = match input {
            GroundInput::Rectangle(it) => {
                lengths!((self, it, place), length, width);
                (Shape::Rectangle { length, width }, it.count)
            }
            GroundInput::Circle(it) => {
                lengths!((self, it, place), diameter);
                (Shape::Circle { diameter }, it.count)
            }
            GroundInput::Ring(it) => {
                lengths!((self, it, place), diameter, inner_diameter);
                (Shape::Ring { diameter, inner_diameter }, it.count)
            }
            GroundInput::Rows(it) => {
                lengths!((self, it, place), length, band_width);
                (Shape::Rows { length, band_width }, it.count)
            }
            GroundInput::Polygon(it) => (Shape::Polygon(self.corners(it, place)?), it.count),
            GroundInput::Area(it) => {
                (Shape::Plain(self.figure(Role::Area, &it.area.0, place.field("area"))?), it.count)
            }
        };
        Some(Ground { shape, count: self.counted(count, place) })
    }

    fn corners(&self, polygon: &Polygon, place: JsonPath<'_>) -> Option<Vec<areas::Corner>> {
        let unit = polygon.unit.trim();
        let factor = self.keep(place.field("unit"), with_unit(1.0, unit, &[Dimension::Length], &self.reader))?.base;
        let (_, max) = Dimension::Length.bounds();
        let at = place.field("corners");
        let count = u64::try_from(polygon.corners.len()).unwrap_or(u64::MAX);
        let mut sound = (MIN_CORNERS..=MAX_CORNERS).contains(&count) && !self.errors.touches(at);
        let mut corners = Vec::with_capacity(polygon.corners.len());
        for (i, corner) in polygon.corners.iter().enumerate() {
            let (x, y) = (corner.x * factor, corner.y * factor);
            for (name, value) in [("x", x), ("y", y)] {
                if value.abs() > max {
                    sound = false;
                    let detail = format!("corners lie within {max} m of the origin");
                    let refusal = Refusal::new(Reason::OutOfRange, detail).between(-max / factor, max / factor);
                    self.refuse(at.index(i).field(name), refusal);
                }
            }
            let source = self.recording.map(|it| it.place(Role::Area, at.index(i).to_pointer()));
            corners.push(areas::Corner { x, y, source });
        }
        sound.then_some(corners)
    }
}

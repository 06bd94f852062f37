//! Surfaces on the wire.

use super::RequestContext;
use super::bounded::Count;
use super::ground::{Circle, GroundInput, PlainArea, Polygon, Rectangle, Ring, Rows, counted, lengths};
use super::quantity::{LengthInput, VolumeInput};
use super::union::union;
use crate::garden::areas::Surface;
use crate::garden::units::Ratio;
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Plants, counted.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct Plants {
    /// How many plants there are.
    #[validate(nested)]
    pub count: Count,
}

/// Rows of plants: each row has as many plants as its length holds spacings.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct PlantedRows {
    /// How many rows; 1 unless given.
    #[validate(nested)]
    pub count: Option<Count>,
    /// Along one row.
    pub length: LengthInput,
    /// From plant to plant.
    pub spacing: LengthInput,
}

/// Pots by the volume they hold.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct Pots {
    /// How many pots there are; 1 unless given.
    #[validate(nested)]
    pub count: Option<Count>,
    /// What one pot takes.
    pub volume: VolumeInput,
}

/// Round pots that widen upwards, by their inner sizes.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct TaperedPots {
    /// How many pots there are; 1 unless given.
    #[validate(nested)]
    pub count: Option<Count>,
    /// The diameter of the pot at the top.
    pub top_diameter: LengthInput,
    /// The diameter of the pot at the bottom.
    pub bottom_diameter: LengthInput,
    /// How high it is filled.
    pub height: LengthInput,
}

/// A bed or box filled with a mix to a depth.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct BedFill {
    /// The ground that is filled.
    #[validate(nested)]
    pub ground: GroundInput,
    /// The depth to which the ground is filled.
    pub depth: LengthInput,
}

union! {
    /// Where castings go.
    SurfaceInput {
        "rectangle" => Rectangle(Rectangle),
        "circle" => Circle(Circle),
        "ring" => Ring(Ring),
        "rows" => Rows(Rows),
        "polygon" => Polygon(Polygon),
        "area" => Area(PlainArea),
        "plants" => Plants(Plants),
        "planted_rows" => PlantedRows(PlantedRows),
        "pots" => Pots(Pots),
        "tapered_pots" => TaperedPots(TaperedPots),
        "bed_fill" => BedFill(BedFill),
    }
}

impl SurfaceInput {
    /// A rate that fits, as it is written.
    #[must_use]
    pub const fn sample_rate(&self) -> &'static str {
        match self {
            Self::Plants(_) | Self::PlantedRows(_) | Self::Pots(_) | Self::TaperedPots(_) => {
                "{\"kind\": \"per_plant\", \"amount\": \"250 mL\"}"
            }
            Self::BedFill(_) => "{\"kind\": \"share_of_mix\", \"amount\": \"20 %\"}",
            _ => "{\"kind\": \"depth\", \"amount\": \"1 cm\"}",
        }
    }
}

impl RequestContext<'_> {
    /// Reads a surface.
    pub fn surface(&self, input: &SurfaceInput, place: JsonPath<'_>) -> Option<Surface> {
        let ground = |input: GroundInput| self.ground(&input, place).map(Surface::Ground);
        match input {
            SurfaceInput::Rectangle(it) => ground(GroundInput::Rectangle(it.clone())),
            SurfaceInput::Circle(it) => ground(GroundInput::Circle(it.clone())),
            SurfaceInput::Ring(it) => ground(GroundInput::Ring(it.clone())),
            SurfaceInput::Rows(it) => ground(GroundInput::Rows(it.clone())),
            SurfaceInput::Polygon(it) => ground(GroundInput::Polygon(it.clone())),
            SurfaceInput::Area(it) => ground(GroundInput::Area(it.clone())),
            SurfaceInput::Plants(it) => {
                let count = Ratio::from_number(f64::from(counted(Some(it.count))));
                Some(Surface::Plants(self.asked(Role::Ratio, count, place)))
            }
            SurfaceInput::PlantedRows(it) => {
                lengths!((self, it, place), length, spacing);
                Some(Surface::PlantedRows(self.counted(it.count, place), length, spacing))
            }
            SurfaceInput::Pots(it) => Some(Surface::Pots(
                self.counted(it.count, place),
                self.figure(Role::Bulk, &it.volume.0, place.field("volume"))?,
            )),
            SurfaceInput::TaperedPots(it) => {
                lengths!((self, it, place), top_diameter, bottom_diameter, height);
                Some(Surface::TaperedPots(self.counted(it.count, place), top_diameter, bottom_diameter, height))
            }
            SurfaceInput::BedFill(it) => {
                let ground = self.ground(&it.ground, place.field("ground"));
                let depth = self.figure(Role::Depth, &it.depth.0, place.field("depth"));
                Some(Surface::Fill(ground?, depth?))
            }
        }
    }
}

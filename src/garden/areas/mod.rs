//! Shapes and fills: from what the grower measures to area, row length, plants, pots and the volume of a mix.

mod ground;

pub use ground::{Ground, Shape};

use crate::garden::formulas::TaperedPots;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Area, Dimension, HAIR, Length, Volume, whole};

/// Where castings go.
#[derive(Debug, Clone, PartialEq)]
pub enum Surface {
    /// Open ground.
    Ground(Ground),
    /// Plants counted.
    Plants(u32),
    /// Rows of plants: how many rows, how long each is, how far apart the plants stand.
    PlantedRows(u32, Length, Length),
    /// Pots of one volume: how many, how much each holds.
    Pots(u32, Volume),
    /// Round pots that widen upwards: how many, top and bottom diameter, height.
    TaperedPots(u32, Length, Length, Length),
    /// A bed or box filled to a depth.
    Fill(Ground, Length),
}

/// What a surface comes to. A rate fits a surface if the surface has what the rate is per.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Extent {
    /// Ground to spread on.
    pub area: Option<Area>,
    /// The length of all rows together.
    pub row_length: Option<Length>,
    /// Plants or pots.
    pub plants: Option<u64>,
    /// True if the plants stand in pots.
    pub potted: bool,
    /// The volume to fill with a mix.
    pub mix: Option<Volume>,
}

impl Surface {
    /// Measures the surface.
    ///
    /// Formulas: planted rows `count x floor(length / spacing)` (each plant has its spacing); pots `count x volume`;
    /// tapered pots `count x pi h (D^2 + D d + d^2) / 12`; fill `ground x depth`.
    ///
    /// # Errors
    /// `impossible_value` for a polygon without inside or a spacing longer than the row; `self_crossing`;
    /// `too_large` if the result leaves the bounds computed with.
    pub fn extent(&self) -> Result<Extent, Refusal> {
        let none = Extent::default();
        match self {
            Self::Ground(ground) => Ok(Extent { area: Some(ground.area()?), row_length: ground.row_length(), ..none }),
            Self::Plants(count) => Ok(Extent { plants: Some(u64::from(*count)), ..none }),
            Self::PlantedRows(count, length, spacing) => {
                let plants = u64::from(*count) * plants_in_row(*length, *spacing)?;
                Ok(Extent { plants: Some(plants), row_length: Some(length.times(f64::from(*count))), ..none })
            }
            Self::Pots(count, volume) => pots(*count, *volume),
            Self::TaperedPots(count, top, bottom, height) => pots(*count, frustum(*top, *bottom, *height)),
            Self::Fill(ground, depth) => Ok(Extent { mix: Some(checked_volume(ground.area()? * *depth)?), ..none }),
        }
    }
}

fn pots(count: u32, volume: Volume) -> Result<Extent, Refusal> {
    let mix = checked_volume(volume.times(f64::from(count)))?;
    Ok(Extent { plants: Some(u64::from(count)), potted: true, mix: Some(mix), ..Extent::default() })
}

/// Divides `pi h (D^2 + D d + d^2)` to the volume of a frustum; `pi h d^2` to that of a cone. Source: identity, solid geometry.
pub const FRUSTUM: f64 = 12.0;
/// Divides `pi d^2` to the area of a disc. Source: identity, plane geometry.
pub const DISC: f64 = 4.0;
/// The most plants in one row. Source: limit of this service.
const MOST_IN_ROW: f64 = 1e9;

/// The volume of a frustum: `pi h (D^2 + D d + d^2) / 12`.
#[must_use]
pub fn frustum(top: Length, bottom: Length, height: Length) -> Volume {
    let one = TaperedPots { k: 1.0, h: height.metres(), D: top.metres(), d: bottom.metres() };
    Volume::from_litres(one.value() * 1000.0)
}

/// How many plants stand in a row, each with its own spacing; a row that is a hair too short counts as full.
fn plants_in_row(length: Length, spacing: Length) -> Result<u64, Refusal> {
    let plants = (length.metres() / spacing.metres() + HAIR).floor();
    if plants < 1.0 {
        let detail = "the spacing is longer than the row, so no plant stands in it";
        return Err(Refusal::new(Reason::ImpossibleValue, detail).at("spacing"));
    }
    if plants > MOST_IN_ROW {
        let detail = "more than a thousand million plants stand in one row; check the spacing";
        return Err(Refusal::new(Reason::TooLarge, detail).at("spacing"));
    }
    #[expect(clippy::as_conversions, reason = "between 1 and 10^9")]
    Ok(plants as u64)
}

/// Passes a volume within the bounds computed with.
///
/// # Errors
/// `too_large`, also for what is no number.
pub fn checked_volume(volume: Volume) -> Result<Volume, Refusal> {
    let (_, max) = Dimension::Volume.bounds();
    if volume.litres() <= max {
        return Ok(volume);
    }
    Err(Refusal::new(Reason::TooLarge, format!("this comes to more than {max:e} L; check the sizes and their units")))
}

impl Extent {
    /// The number of plants or pots as a number to compute with.
    #[must_use]
    pub fn plant_count(&self) -> Option<f64> {
        self.plants.map(whole)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn m(x: f64) -> Length {
        Length::from_metres(x)
    }

    #[test]
    fn a_tapered_pot_without_taper_is_a_cylinder_and_to_a_point_a_cone() {
        let cylinder = frustum(m(0.2), m(0.2), m(0.3)).litres();
        assert!((cylinder - std::f64::consts::PI * 0.01 * 0.3 * 1000.0).abs() < 1e-9);
        let cone = frustum(m(0.2), m(0.0), m(0.3)).litres();
        assert!((cone - cylinder / 3.0).abs() < 1e-9);
    }

    #[test]
    fn plants_in_a_row_have_their_spacing_each() {
        let extent = Surface::PlantedRows(3, m(6.0), m(0.1)).extent().unwrap();
        assert_eq!(extent.plants, Some(180));
        assert_eq!(extent.row_length, Some(m(18.0)));
        assert!(Surface::PlantedRows(3, m(0.3), m(0.5)).extent().is_err());
    }

    /// Tamil Nadu Agricultural University, Recycling of farm waste: a tank of 10 x 6 x 2.5 ft is 150 ft3.
    #[test]
    fn a_tank_of_10_by_6_by_2_5_feet_holds_150_cubic_feet() {
        let ft = |x: f64| m(x * 0.3048);
        let fill =
            Surface::Fill(Ground { shape: Shape::Rectangle { length: ft(10.0), width: ft(6.0) }, count: 1 }, ft(2.5));
        let litres = fill.extent().unwrap().mix.unwrap().litres();
        assert!((litres / 28.316846592 - 150.0).abs() < 1e-9);
    }
}

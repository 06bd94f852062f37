//! Shapes and fills: from what the grower measures to area, row length, plants, pots and the volume of a mix.

mod ground;

pub use ground::{Corner, Ground, Shape, turns};

use crate::garden::figures::Recorder;
use crate::garden::formulas::{Layer, PlantsInRows, Pots, RowLength, TaperedPots, VolumeForEach};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfLength, OfRatio, OfVolume};
use crate::garden::units::{Dimension, Estimate, Length, ROUNDING_TOLERANCE, Volume};

/// Where castings go.
#[derive(Debug, Clone, PartialEq)]
pub enum Surface {
    /// Open ground.
    Ground(Ground),
    /// Plants counted.
    Plants(Estimate<OfRatio>),
    /// Rows of plants: how many rows, how long each is, how far apart the plants are.
    PlantedRows(Estimate<OfRatio>, Estimate<OfLength>, Estimate<OfLength>),
    /// Pots of one volume: how many, how much each holds.
    Pots(Estimate<OfRatio>, Estimate<OfVolume>),
    /// Round pots that widen upwards: how many, top and bottom diameter, height.
    TaperedPots(Estimate<OfRatio>, Estimate<OfLength>, Estimate<OfLength>, Estimate<OfLength>),
    /// A bed or box filled to a depth.
    Fill(Ground, Estimate<OfLength>),
}

/// What a surface comes to. A rate fits a surface if the surface has what the rate is per.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Extent {
    /// Ground to spread on.
    pub area: Option<Estimate<OfArea>>,
    /// The length of all rows together.
    pub row_length: Option<Estimate<OfLength>>,
    /// Plants or pots.
    pub plants: Option<Estimate<OfRatio>>,
    /// True if the plants are in pots.
    pub potted: bool,
    /// The volume to fill with a mix.
    pub mix: Option<Estimate<OfVolume>>,
    /// How many beds or pieces of ground of the same size there are, where there are several.
    pub alike: Option<Estimate<OfRatio>>,
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
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn extent(&self, recorder: impl Recorder) -> Result<Extent, Refusal> {
        let none = Extent::default();
        let pots = |k, mix: Estimate<OfVolume>| {
            checked_volume(mix.likely())?;
            Ok(Extent { plants: Some(k), potted: true, mix: Some(mix), ..none })
        };
        match *self {
            Self::Ground(ref ground) => {
                let area = Some(ground.area(recorder)?);
                Ok(Extent { area, row_length: ground.row_length(recorder), alike: ground.several(), ..none })
            }
            Self::Plants(k) => Ok(Extent { plants: Some(k), ..none }),
            Self::PlantedRows(k, L, s) => {
                check_row(L.likely(), s.likely())?;
                let plants = Some(recorder.figure(PlantsInRows { k, L, s }));
                Ok(Extent { plants, row_length: Some(recorder.figure(RowLength { k, L })), ..none })
            }
            Self::Pots(k, v) => pots(k, recorder.figure(Pots { k, v })),
            Self::TaperedPots(k, D, d, h) => pots(k, recorder.figure(TaperedPots { k, h, D, d })),
            Self::Fill(ref ground, d) => {
                let mix = recorder.figure(Layer { A: ground.area(recorder)?, d });
                checked_volume(mix.likely())?;
                Ok(Extent { mix: Some(mix), alike: ground.several(), ..none })
            }
        }
    }
}

/// The most plants in one row. Source: limit of this service.
const MAX_IN_ROW: f64 = 1e9;

/// Refuses a row with no plant, or with more than it has room for.
fn check_row(length: Length, spacing: Length) -> Result<(), Refusal> {
    let plants = (length.metres() / spacing.metres() + ROUNDING_TOLERANCE).floor();
    if plants < 1.0 {
        let detail = "the spacing is longer than the row, so the row holds no plant; make the spacing shorter, for \
                      example \"30 cm\"";
        return Err(Refusal::new(Reason::ImpossibleValue, detail).at("spacing"));
    }
    if plants > MAX_IN_ROW {
        let detail = "one row would hold more than a thousand million plants; check the spacing and its unit";
        return Err(Refusal::new(Reason::TooLarge, detail).at("spacing"));
    }
    Ok(())
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
    Err(Refusal::new(Reason::TooLarge, format!("this is more than {max:e} L; check the sizes and their units")))
}

impl Extent {
    /// What each of several places alike gets of a volume for all of them. Formula: `V / k`.
    #[expect(non_snake_case, reason = "the symbols of the formula")]
    pub fn each(&self, V: Estimate<OfVolume>, recorder: impl Recorder) -> Option<Estimate<OfVolume>> {
        self.alike.map(|k| recorder.figure(VolumeForEach { V, k }))
    }

    /// How many plants or pots; `None` also where they are too many to be served one by one.
    #[must_use]
    pub fn pieces(&self) -> Option<u32> {
        let count = self.plants?.likely().number();
        #[expect(clippy::as_conversions, reason = "a whole number that is within the bounds")]
        (count <= f64::from(u32::MAX)).then_some(count as u32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::garden::figures::Off;
    use crate::garden::units::Ratio;

    fn m(x: f64) -> Estimate<OfLength> {
        Length::from_metres(x).into()
    }

    fn count(k: f64) -> Estimate<OfRatio> {
        Ratio::from_number(k).into()
    }

    fn frustum(top: f64, bottom: f64, height: f64) -> f64 {
        let pot = Surface::TaperedPots(count(1.0), m(top), m(bottom), m(height));
        pot.extent(Off).unwrap().mix.unwrap().likely().litres()
    }

    #[test]
    fn a_tapered_pot_without_taper_is_a_cylinder_and_to_a_point_a_cone() {
        let cylinder = frustum(0.2, 0.2, 0.3);
        assert!((cylinder - std::f64::consts::PI * 0.01 * 0.3 * 1000.0).abs() < 1e-9);
        let cone = frustum(0.2, 0.0, 0.3);
        assert!((cone - cylinder / 3.0).abs() < 1e-9);
    }

    #[test]
    fn plants_in_a_row_have_their_spacing_each() {
        let extent = Surface::PlantedRows(count(3.0), m(6.0), m(0.1)).extent(Off).unwrap();
        assert_eq!(extent.plants, Some(count(180.0)));
        assert_eq!(extent.row_length, Some(m(18.0)));
        assert!(Surface::PlantedRows(count(3.0), m(0.3), m(0.5)).extent(Off).is_err());
    }

    /// Tamil Nadu Agricultural University, Recycling of farm waste: a tank of 10 x 6 x 2.5 ft is 150 ft3.
    #[test]
    fn a_tank_of_10_by_6_by_2_5_feet_holds_150_cubic_feet() {
        let ft = |x: f64| m(x * 0.3048);
        let tank = Ground { shape: Shape::Rectangle { length: ft(10.0), width: ft(6.0) }, count: count(1.0) };
        let litres = Surface::Fill(tank, ft(2.5)).extent(Off).unwrap().mix.unwrap().likely().litres();
        assert!((litres / 28.316846592 - 150.0).abs() < 1e-9);
    }
}

//! Heaps, measured at their base.

use crate::garden::areas::checked_volume;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{
    Bay, Bin, Cone, RoundWindrow, SquareRoundWindrow, SquareWindrow, VolumePerPlant, Windrow,
};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfLength, OfRatio, OfVolume};

/// The cross-section of a windrow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Section {
    /// Straight sides to a ridge.
    #[default]
    Triangular,
    /// A round back.
    HalfEllipse,
}

/// The ends of a windrow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Ends {
    /// Sloped like the sides, as a heap lies by itself.
    #[default]
    Sloped,
    /// Cut off square, between walls.
    Square,
}

/// A heap of castings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Heap {
    /// A round heap.
    Cone {
        /// Across the base.
        diameter: Estimate<OfLength>,
        /// To the top.
        height: Estimate<OfLength>,
    },
    /// A long heap.
    Windrow {
        /// Along the base.
        length: Estimate<OfLength>,
        /// Across the base.
        width: Estimate<OfLength>,
        /// To the ridge.
        height: Estimate<OfLength>,
        /// Its cross-section.
        section: Section,
        /// Its ends.
        ends: Ends,
    },
    /// A heap between walls, open in front.
    Bay {
        /// Half-way between the length at the bottom and that at the top.
        mean_length: Estimate<OfLength>,
        /// Between the walls.
        width: Estimate<OfLength>,
        /// Mean height.
        height: Estimate<OfLength>,
    },
    /// An upright round bin.
    Bin {
        /// Across.
        diameter: Estimate<OfLength>,
        /// The height of the castings.
        height: Estimate<OfLength>,
    },
    /// Containers, counted.
    Counted {
        /// How many.
        count: Estimate<OfRatio>,
        /// What each holds.
        holds: Estimate<OfVolume>,
    },
}

impl Heap {
    /// The volume of the heap: the formulas of the table by the name of its kind. A windrow as long as wide is a cone or half an
    /// ellipsoid.
    ///
    /// # Errors
    /// `impossible_value` for a windrow with sloped ends that is shorter than wide; `too_large`.
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn volume(&self, recorder: impl Recorder) -> Result<Estimate<OfVolume>, Refusal> {
        let volume = match *self {
            Self::Cone { diameter: d, height: h } => recorder.figure(Cone { d, h }),
            Self::Bin { diameter: d, height: h } => recorder.figure(Bin { d, h }),
            Self::Bay { mean_length: L, width: w, height: h } => recorder.figure(Bay { L, w, h }),
            Self::Counted { count: k, holds: v } => recorder.figure(VolumePerPlant { k, v }),
            Self::Windrow { length: L, width: w, height: h, section, ends } => {
                if ends == Ends::Sloped && L.likely() < w.likely() {
                    let detail = "a windrow with sloped ends must be at least as long as it is wide; swap length and \
                                  width";
                    return Err(Refusal::new(Reason::ImpossibleValue, detail).at("length"));
                }
                match (section, ends) {
                    (Section::Triangular, Ends::Sloped) => recorder.figure(Windrow { L, w, h }),
                    (Section::Triangular, Ends::Square) => recorder.figure(SquareWindrow { L, w, h }),
                    (Section::HalfEllipse, Ends::Sloped) => recorder.figure(RoundWindrow { L, w, h }),
                    (Section::HalfEllipse, Ends::Square) => recorder.figure(SquareRoundWindrow { L, w, h }),
                }
            }
        };
        checked_volume(volume.likely())?;
        Ok(volume)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::garden::figures::Off;
    use crate::garden::units::Length;
    use std::f64::consts::PI;

    fn m(x: f64) -> Estimate<OfLength> {
        Length::from_metres(x).into()
    }

    fn windrow(length: f64, section: Section, ends: Ends) -> f64 {
        Heap::Windrow { length: m(length), width: m(2.0), height: m(1.0), section, ends }.volume(Off).unwrap().litres()
    }

    /// Solid geometry: a windrow as long as wide is a cone (triangular) or half an ellipsoid (half-ellipse).
    #[test]
    fn the_shortest_windrow_is_a_cone_or_half_an_ellipsoid() {
        let cone = Heap::Cone { diameter: m(2.0), height: m(1.0) }.volume(Off).unwrap().litres();
        assert!((windrow(2.0, Section::Triangular, Ends::Sloped) / cone - 1.0).abs() < 1e-12);
        let half_ellipsoid = 2.0 / 3.0 * PI * 1000.0;
        assert!((windrow(2.0, Section::HalfEllipse, Ends::Sloped) / half_ellipsoid - 1.0).abs() < 1e-12);
    }

    /// Solid geometry, by numbers: the windrow with sloped ends is a prism with half a cone at each end.
    #[test]
    fn a_windrow_with_sloped_ends_is_a_prism_and_two_half_cones() {
        let (length, width, height) = (6.0, 2.0, 1.0);
        let prism = (length - width) * width * height / 2.0 * 1000.0;
        let cone = Heap::Cone { diameter: m(width), height: m(height) }.volume(Off).unwrap().litres();
        assert!((windrow(length, Section::Triangular, Ends::Sloped) - prism - cone).abs() < 1e-9);
        assert_eq!(windrow(length, Section::Triangular, Ends::Square), 6000.0);
    }

    #[test]
    fn a_sloped_windrow_shorter_than_wide_is_refused() {
        let heap = Heap::Windrow {
            length: m(1.0),
            width: m(2.0),
            height: m(1.0),
            section: Section::default(),
            ends: Ends::Sloped,
        };
        assert_eq!(heap.volume(Off).unwrap_err().reason, Reason::ImpossibleValue);
    }
}

//! Heaps, measured at their base.

use crate::garden::areas::checked_volume;
use crate::garden::formulas::{Bin, Cone, RoundWindrow, Row, SquareRoundWindrow, SquareWindrow, Windrow};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Length, Volume};

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
        diameter: Length,
        /// To the top.
        height: Length,
    },
    /// A long heap.
    Windrow {
        /// Along the base.
        length: Length,
        /// Across the base.
        width: Length,
        /// To the ridge.
        height: Length,
        /// Its cross-section.
        section: Section,
        /// Its ends.
        ends: Ends,
    },
    /// A heap between walls, open in front.
    Bay {
        /// Half-way between the length at the bottom and that at the top.
        mean_length: Length,
        /// Between the walls.
        width: Length,
        /// Mean height.
        height: Length,
    },
    /// An upright round bin.
    Bin {
        /// Across.
        diameter: Length,
        /// How high the castings stand.
        height: Length,
    },
    /// Containers, counted.
    Counted {
        /// How many.
        count: u32,
        /// What each holds.
        holds: Volume,
    },
}

impl Heap {
    /// The volume of the heap: the formulas of the table by the name of its kind. A windrow as long as wide is a cone or half an
    /// ellipsoid.
    ///
    /// # Errors
    /// `impossible_value` for a windrow with sloped ends that is shorter than wide; `too_large`.
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn volume(&self) -> Result<Volume, Refusal> {
        checked_volume(match *self {
            Self::Cone { diameter, height } => Cone { d: diameter.into(), h: height.into() }.likely(),
            Self::Bin { diameter, height } => Bin { d: diameter.into(), h: height.into() }.likely(),
            Self::Bay { mean_length, width, height } => mean_length * width * height,
            Self::Counted { count, holds } => holds.times(f64::from(count)),
            Self::Windrow { length, width, height, section, ends } => {
                if ends == Ends::Sloped && length < width {
                    let detail = "a windrow with sloped ends is at least as long as wide; swap length and width";
                    return Err(Refusal::new(Reason::ImpossibleValue, detail).at("length"));
                }
                let (L, w, h) = (length.into(), width.into(), height.into());
                match (section, ends) {
                    (Section::Triangular, Ends::Sloped) => Windrow { L, w, h }.likely(),
                    (Section::Triangular, Ends::Square) => SquareWindrow { L, w, h }.likely(),
                    (Section::HalfEllipse, Ends::Sloped) => RoundWindrow { L, w, h }.likely(),
                    (Section::HalfEllipse, Ends::Square) => SquareRoundWindrow { L, w, h }.likely(),
                }
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn m(x: f64) -> Length {
        Length::from_metres(x)
    }

    fn windrow(length: f64, section: Section, ends: Ends) -> f64 {
        Heap::Windrow { length: m(length), width: m(2.0), height: m(1.0), section, ends }.volume().unwrap().litres()
    }

    /// Solid geometry: a windrow as long as wide is a cone (triangular) or half an ellipsoid (half-ellipse).
    #[test]
    fn the_shortest_windrow_is_a_cone_or_half_an_ellipsoid() {
        let cone = Heap::Cone { diameter: m(2.0), height: m(1.0) }.volume().unwrap().litres();
        assert!((windrow(2.0, Section::Triangular, Ends::Sloped) / cone - 1.0).abs() < 1e-12);
        let half_ellipsoid = 2.0 / 3.0 * PI * 1000.0;
        assert!((windrow(2.0, Section::HalfEllipse, Ends::Sloped) / half_ellipsoid - 1.0).abs() < 1e-12);
    }

    /// Solid geometry, by numbers: the windrow with sloped ends is a prism with half a cone at each end.
    #[test]
    fn a_windrow_with_sloped_ends_is_a_prism_and_two_half_cones() {
        let (length, width, height) = (6.0, 2.0, 1.0);
        let prism = (length - width) * width * height / 2.0 * 1000.0;
        let cone = Heap::Cone { diameter: m(width), height: m(height) }.volume().unwrap().litres();
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
        assert_eq!(heap.volume().unwrap_err().reason, Reason::ImpossibleValue);
    }
}

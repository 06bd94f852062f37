//! Ground: plane shapes and their areas.

use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Area, Dimension, Length};

/// A plane shape.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// `length x width`.
    Rectangle {
        /// One side.
        length: Length,
        /// The other side.
        width: Length,
    },
    /// `pi d^2 / 4`.
    Circle {
        /// Across.
        diameter: Length,
    },
    /// `pi (D^2 - d^2) / 4`.
    Ring {
        /// Across the outside.
        diameter: Length,
        /// Across the hole.
        inner_diameter: Length,
    },
    /// `length x band`: the band along a row that is treated.
    Rows {
        /// Along the row.
        length: Length,
        /// Across the band.
        band: Length,
    },
    /// By its corners in order, in metres (shoelace formula).
    Polygon(Vec<(f64, f64)>),
    /// An area that was measured elsewhere.
    Plain(Area),
}

/// A shape that stands there `count` times.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    /// The shape.
    pub shape: Shape,
    /// How often.
    pub count: u32,
}

impl Ground {
    /// The area of all repeats together.
    ///
    /// # Errors
    /// `impossible_value` (a ring whose hole is not smaller, a polygon without inside), `self_crossing`,
    /// `out_of_range` and `too_large` at the bounds of areas.
    pub fn area(&self) -> Result<Area, Refusal> {
        use std::f64::consts::PI;
        let round = |d: Length| Area::from_square_metres(PI * d.metres() * d.metres() / super::DISC);
        let one = match &self.shape {
            Shape::Rectangle { length, width } => *length * *width,
            Shape::Rows { length, band } => *length * *band,
            Shape::Circle { diameter } => round(*diameter),
            Shape::Ring { diameter, inner_diameter } => {
                if inner_diameter >= diameter {
                    let detail = "the inner diameter must be smaller than the diameter";
                    return Err(Refusal::new(Reason::ImpossibleValue, detail).at("inner_diameter"));
                }
                round(*diameter) - round(*inner_diameter)
            }
            Shape::Polygon(corners) => shoelace(corners)?,
            Shape::Plain(area) => *area,
        };
        checked(one.times(f64::from(self.count)))
    }

    /// The length of all rows together; `None` for other shapes.
    #[must_use]
    pub fn row_length(&self) -> Option<Length> {
        match &self.shape {
            Shape::Rows { length, .. } => Some(length.times(f64::from(self.count))),
            _ => None,
        }
    }
}

fn checked(area: Area) -> Result<Area, Refusal> {
    let (min, max) = Dimension::Area.bounds();
    if area.within_bounds() {
        return Ok(area);
    }
    let detail = format!("this comes to {:e} m2; areas from {min} to {max:e} m2 are computed with", area.base());
    let reason = if area.base() > max { Reason::TooLarge } else { Reason::OutOfRange };
    Err(Refusal::new(reason, detail).between(min, max))
}

/// Twice the signed area of the triangle a, b, c.
fn turn(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> f64 {
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}

/// The area by the shoelace formula `|sum (x_i y_i+1 - x_i+1 y_i)| / 2`, taken from the first corner so that a plot far
/// from the origin loses no digits.
fn shoelace(corners: &[(f64, f64)]) -> Result<Area, Refusal> {
    let sides: Vec<_> = corners.iter().copied().zip(corners.iter().copied().cycle().skip(1)).collect();
    if let Some(i) = sides.iter().position(|(a, b)| a == b) {
        let detail =
            format!("corner {} and the next one (the first follows the last) are the same point: leave one out", i + 1);
        return Err(Refusal::new(Reason::SelfCrossing, detail).at("corners"));
    }
    for (i, first) in sides.iter().enumerate() {
        for (j, second) in sides.iter().enumerate().skip(i + 1) {
            let neighbours = j == i + 1 || (i == 0 && j + 1 == sides.len());
            if cross(*first, *second, neighbours) {
                let detail = format!(
                    "the side after corner {} and the side after corner {} cross or touch: give the corners in order around the plot",
                    i + 1,
                    j + 1
                );
                return Err(Refusal::new(Reason::SelfCrossing, detail).at("corners"));
            }
        }
    }
    let origin = corners.first().copied().unwrap_or_default();
    let double: f64 = sides.iter().map(|(a, b)| turn(origin, *a, *b)).sum();
    Ok(Area::from_square_metres(double.abs() / 2.0))
}

type Side = ((f64, f64), (f64, f64));

/// True if two sides cross or touch; neighbours may share their corner but not fold back on each other.
fn cross(first: Side, second: Side, neighbours: bool) -> bool {
    let ((a, b), (c, d)) = (first, second);
    if neighbours {
        let (shared, one, other) = if b == c { (b, a, d) } else { (a, b, c) };
        let along = (one.0 - shared.0) * (other.0 - shared.0) + (one.1 - shared.1) * (other.1 - shared.1);
        return turn(shared, one, other) == 0.0 && along > 0.0;
    }
    let (abc, abd, cda, cdb) = (turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b));
    if ((abc > 0.0) != (abd > 0.0))
        && ((cda > 0.0) != (cdb > 0.0))
        && abc != 0.0
        && abd != 0.0
        && cda != 0.0
        && cdb != 0.0
    {
        return true;
    }
    let on = |p: (f64, f64), q: (f64, f64), r: (f64, f64), t: f64| {
        t == 0.0 && r.0 >= p.0.min(q.0) && r.0 <= p.0.max(q.0) && r.1 >= p.1.min(q.1) && r.1 <= p.1.max(q.1)
    };
    on(a, b, c, abc) || on(a, b, d, abd) || on(c, d, a, cda) || on(c, d, b, cdb)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn polygon(corners: &[(f64, f64)]) -> Result<Area, Refusal> {
        Ground { shape: Shape::Polygon(corners.to_vec()), count: 1 }.area()
    }

    #[test]
    fn a_polygon_with_four_right_corners_is_a_rectangle() {
        assert_eq!(polygon(&[(0.0, 0.0), (2.4, 0.0), (2.4, 1.2), (0.0, 1.2)]).unwrap().base(), 2.4 * 1.2);
    }

    #[test]
    fn crossing_touching_folding_and_flat_polygons_are_refused() {
        let refused = |corners: &[(f64, f64)]| polygon(corners).unwrap_err().reason;
        assert_eq!(refused(&[(0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)]), Reason::SelfCrossing);
        assert_eq!(refused(&[(0.0, 0.0), (2.0, 0.0), (1.0, 0.0), (1.0, 1.0)]), Reason::SelfCrossing);
        assert_eq!(refused(&[(0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 0.0), (0.0, 2.0)]), Reason::SelfCrossing);
        assert_eq!(refused(&[(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 0.0)]), Reason::SelfCrossing);
        assert_eq!(refused(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)]), Reason::SelfCrossing);
    }

    #[test]
    fn a_ring_is_the_difference_of_two_circles() {
        let circle =
            |d: f64| Ground { shape: Shape::Circle { diameter: Length::from_metres(d) }, count: 1 }.area().unwrap();
        let ring = Ground {
            shape: Shape::Ring { diameter: Length::from_metres(3.0), inner_diameter: Length::from_metres(1.0) },
            count: 1,
        };
        assert_eq!(ring.area().unwrap(), circle(3.0) - circle(1.0));
    }

    proptest! {
        /// Moving, turning round and starting at another corner changes no area.
        #[test]
        fn the_area_of_a_polygon_does_not_depend_on_where_it_lies(
            radii in prop::collection::vec(0.5_f64..5.0, 3..12), dx in -1e4_f64..1e4, dy in -1e4_f64..1e4, start in 0_usize..12,
        ) {
            let n = radii.len();
            let whole = |i: usize| f64::from(u32::try_from(i).unwrap());
            let corner = |i: usize, (dx, dy): (f64, f64)| {
                let angle = whole(i) / whole(n) * std::f64::consts::TAU;
                (radii[i] * angle.cos() + dx, radii[i] * angle.sin() + dy)
            };
            let at_home: Vec<_> = (0..n).map(|i| corner(i, (0.0, 0.0))).collect();
            let mut moved: Vec<_> = (0..n).map(|i| corner((i + start) % n, (dx, dy))).collect();
            moved.reverse();
            let (a, b) = (polygon(&at_home).unwrap().base(), polygon(&moved).unwrap().base());
            prop_assert!((a / b - 1.0).abs() < 1e-8, "{} {}", a, b);
        }
    }
}

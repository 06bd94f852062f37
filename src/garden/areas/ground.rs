//! Ground: plane shapes and their areas.

use crate::garden::figures::{Recorder, Source};
use crate::garden::formulas::{Circle, PlainArea, Polygon, Rectangle, Ring, RowLength, Rows};
use crate::garden::interrupt::check;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfLength, OfRatio};
use crate::garden::units::round::few_digits;
use crate::garden::units::{Area, Dimension, Estimate};

/// A plane shape.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// `length x width`.
    Rectangle {
        /// One side.
        length: Estimate<OfLength>,
        /// The other side.
        width: Estimate<OfLength>,
    },
    /// `pi d^2 / 4`.
    Circle {
        /// Across.
        diameter: Estimate<OfLength>,
    },
    /// `pi (D^2 - d^2) / 4`.
    Ring {
        /// Across the outside.
        diameter: Estimate<OfLength>,
        /// Across the hole.
        inner_diameter: Estimate<OfLength>,
    },
    /// `length x band`: the band along a row that is treated.
    Rows {
        /// Along the row.
        length: Estimate<OfLength>,
        /// Across the band.
        band_width: Estimate<OfLength>,
    },
    /// By its corners in order, in metres (shoelace formula).
    Polygon(Vec<Corner>),
    /// An area that was measured elsewhere.
    Plain(Estimate<OfArea>),
}

/// A corner of a polygon, in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Eastwards.
    pub x: f64,
    /// Northwards.
    pub y: f64,
    /// Where it is from, if that is to be recorded.
    pub source: Option<Source>,
}

impl From<(f64, f64)> for Corner {
    fn from((x, y): (f64, f64)) -> Self {
        Self { x, y, source: None }
    }
}

/// A shape that is there `count` times.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    /// The shape.
    pub shape: Shape,
    /// How often.
    pub count: Estimate<OfRatio>,
}

impl Ground {
    /// How many of the shape there are, where there are several.
    #[must_use]
    pub fn several(&self) -> Option<Estimate<OfRatio>> {
        Some(self.count).filter(|count| count.likely().number() > 1.0)
    }

    /// The area of all repeats together.
    ///
    /// # Errors
    /// `impossible_value` (a ring whose hole is not smaller, a polygon without inside), `self_crossing`,
    /// `out_of_range` and `too_large` at the bounds of areas.
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn area(&self, recorder: impl Recorder) -> Result<Estimate<OfArea>, Refusal> {
        let k = self.count;
        checked(match &self.shape {
            &Shape::Rectangle { length: L, width: W } => recorder.figure(Rectangle { k, L, W }),
            &Shape::Rows { length: L, band_width: b } => recorder.figure(Rows { k, L, b }),
            &Shape::Circle { diameter: d } => recorder.figure(Circle { k, d }),
            &Shape::Ring { diameter: D, inner_diameter: d } => {
                if d.likely() >= D.likely() {
                    let detail = "the inner diameter must be smaller than the diameter, as in \"diameter\": \"1 m\", \
                                  \"inner_diameter\": \"40 cm\"";
                    return Err(Refusal::new(Reason::ImpossibleValue, detail).at("inner_diameter"));
                }
                recorder.figure(Ring { k, D, d })
            }
            Shape::Polygon(corners) => recorder.figure(Polygon { k, t: turns(corners, recorder)? }),
            &Shape::Plain(a) => recorder.figure(PlainArea { k, a }),
        })
    }

    /// The length of all rows together; `None` for other shapes.
    #[must_use]
    pub fn row_length(&self, recorder: impl Recorder) -> Option<Estimate<OfLength>> {
        match self.shape {
            Shape::Rows { length, .. } => Some(recorder.figure(RowLength { k: self.count, L: length })),
            _ => None,
        }
    }
}

fn checked(ground: Estimate<OfArea>) -> Result<Estimate<OfArea>, Refusal> {
    let (min, max) = Dimension::Area.bounds();
    let area = ground.likely();
    if area.within_bounds() {
        return Ok(ground);
    }
    let detail = format!(
        "this area is {:e} m2; an area must be from {min} to {max:e} m2: check the sizes and their \
                          units",
        few_digits([area.base()])[0]
    );
    let reason = if area.base() > max { Reason::TooLarge } else { Reason::OutOfRange };
    Err(Refusal::new(reason, detail).between(min, max))
}

/// Twice the signed area of the triangle a, b, c.
fn turn(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> f64 {
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}

/// For each side, twice the signed area of its triangle with the first corner: from there a plot far from the origin loses no
/// digits.
///
/// # Errors
/// `self_crossing` for a polygon whose sides cross, touch or have no length.
pub fn turns(corners: &[Corner], recorder: impl Recorder) -> Result<Vec<Estimate<OfArea>>, Refusal> {
    let points = || corners.iter().map(|corner| (corner.x, corner.y));
    let sides: Vec<Side> = points().zip(points().cycle().skip(1)).collect();
    simple(&sides)?;
    let origin = points().next().unwrap_or_default();
    let turns = corners.iter().zip(&sides).map(|(corner, (a, b))| {
        let turn = Area::from_square_metres(turn(origin, *a, *b)).into();
        corner.source.map_or(turn, |source| recorder.source(source, turn))
    });
    Ok(turns.collect())
}

/// Refuses a plot whose sides cross, touch or have no length.
fn simple(sides: &[Side]) -> Result<(), Refusal> {
    if let Some(i) = sides.iter().position(|(a, b)| a == b) {
        let detail =
            format!("corner {} and the next one are the same point (the first follows the last); leave one out", i + 1);
        return Err(Refusal::new(Reason::SelfCrossing, detail).at("corners"));
    }
    for (i, first) in sides.iter().enumerate() {
        check();
        for (j, second) in sides.iter().enumerate().skip(i + 1) {
            let neighbours = j == i + 1 || (i == 0 && j + 1 == sides.len());
            if cross(*first, *second, neighbours) {
                let detail = format!(
                    "the side after corner {} and the side after corner {} cross or touch; list the corners in order \
                     around the plot",
                    i + 1,
                    j + 1
                );
                return Err(Refusal::new(Reason::SelfCrossing, detail).at("corners"));
            }
        }
    }
    Ok(())
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
    let on_one_side = |t: f64, u: f64| (t > 0.0 && u > 0.0) || (t < 0.0 && u < 0.0);
    // Most pairs end here.
    let (abc, abd) = (turn(a, b, c), turn(a, b, d));
    if on_one_side(abc, abd) {
        return false;
    }
    let (cda, cdb) = (turn(c, d, a), turn(c, d, b));
    if on_one_side(cda, cdb) {
        return false;
    }
    if [abc, abd, cda, cdb].iter().all(|turn| *turn != 0.0) {
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
    use crate::garden::figures::Off;
    use crate::garden::units::{Length, Ratio};
    use proptest::prelude::*;

    fn area(shape: Shape) -> Result<Area, Refusal> {
        Ground { shape, count: Ratio::from_number(1.0).into() }.area(Off).map(Estimate::likely)
    }

    fn polygon(corners: &[(f64, f64)]) -> Result<Area, Refusal> {
        area(Shape::Polygon(corners.iter().copied().map(Corner::from).collect()))
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
        let m = |x: f64| Estimate::exactly(Length::from_metres(x));
        let circle = |d: f64| area(Shape::Circle { diameter: m(d) }).unwrap();
        let ring = area(Shape::Ring { diameter: m(3.0), inner_diameter: m(1.0) }).unwrap();
        assert_eq!(ring, circle(3.0) - circle(1.0));
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

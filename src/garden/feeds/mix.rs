//! How much of each material: one small linear programme.
//!
//! Unknown: the fresh mass of each material that may be chosen, within its range, and the extra water. By the materials'
//! carbon, nitrogen, dry matter and water per kilogram everything is linear:
//!
//! - ratio: `low x N <= C <= high x N` (carbon and nitrogen summed over all, never ratios averaged);
//! - moisture: `water + W = g (mass + W)`;
//! - objective: the least mass of chosen materials, where a kilogram of each later one in the list counts a millionth
//!   more, so that of equal materials the earlier is taken.
//!
//! How far a ratio or a moisture can go is itself linear once the whole is scaled so that its denominator is 1 (Charnes &
//! Cooper 1962, Naval Research Logistics Quarterly 9:181; from memory): that tells whether a goal is within reach, and
//! the nearest value if not. The ratio comes first, the moisture next, the mass last.

use crate::garden::interrupt::check;
use crate::garden::units::ROUNDING_TOLERANCE;
use good_lp::{Expression, ProblemVariables, Solution, SolverModel, constraint, microlp, variable};

/// How far past the edge of what is reachable the last programme may look, for the sake of rounding. Source: tolerance of computing.
const EDGE: f64 = 1e-9;
/// What each place down the list adds to the weight of a kilogram. Source: how this service works.
const LATER: f64 = 1e-6;

/// What one kilogram of a material, or all fixed ones together, bring into the mix: kilograms.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Content {
    /// Dry matter.
    pub dry: f64,
    /// Carbon.
    pub carbon: f64,
    /// Nitrogen.
    pub nitrogen: f64,
    /// Water, with what soaking and rehydration add.
    pub water: f64,
}

impl Content {
    /// This much of it more.
    #[must_use]
    pub fn plus(self, other: Self, times: f64) -> Self {
        Self {
            dry: self.dry + other.dry * times,
            carbon: self.carbon + other.carbon * times,
            nitrogen: self.nitrogen + other.nitrogen * times,
            water: self.water + other.water * times,
        }
    }

    fn mass(self) -> f64 {
        self.dry + self.water
    }
}

/// What is to be mixed.
#[derive(Debug, Clone, PartialEq)]
pub struct Blend {
    /// What is in it in any case: the fixed materials and the least of the others.
    pub base: Content,
    /// Each material that may be chosen: what a kilogram brings, and how many kilograms beyond the least may be taken.
    pub free: Vec<(Content, f64)>,
}

/// Lowest and highest, both included.
pub type Interval = (f64, f64);

/// A mix: kilograms of each free material beyond its least, and of extra water.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Kilograms beyond the least, in order.
    pub taken: Vec<f64>,
    /// Kilograms of extra water.
    pub water: f64,
}

/// The solver's answers are this near to a corner of the region, as a share of the size of the mix. Source: tolerance of computing.
const NOISE: f64 = 1e-7;

/// An amount as the solver found it, drawn to 0 or to the most where it lies within the solver's noise of them.
fn snapped(x: f64, most: f64, scale: f64) -> f64 {
    let noise = NOISE * scale;
    if x < noise {
        0.0
    } else if x > most - noise {
        most
    } else {
        x
    }
}

impl Blend {
    /// The lowest and the highest ratio of carbon to nitrogen within reach.
    #[must_use]
    pub fn ratios(&self) -> Option<Interval> {
        let (carbon, nitrogen) = (|c: Content| c.carbon, |c: Content| c.nitrogen);
        let low = self.extreme(carbon, nitrogen, None)?;
        let high = self.extreme(|c| -c.carbon, nitrogen, None)?;
        Some((self.ratio(&low), self.ratio(&high)))
    }

    /// The driest mix whose ratio lies in this interval, if one is wanted: its moisture, and the mix.
    #[must_use]
    pub fn driest(&self, ratio: Option<Interval>) -> Option<(f64, Vec<f64>)> {
        let taken = self.extreme(|c| c.water, Content::mass, ratio)?;
        let all = self.content(&taken);
        Some((all.water / all.mass(), taken))
    }

    /// The least mass of chosen materials that has a ratio in the interval and this moisture, with water as needed.
    #[must_use]
    pub fn least(&self, ratio: Option<Interval>, moisture: Option<f64>) -> Option<Choice> {
        let scale = self.scale();
        let mut lp = Programme::default();
        for (place, (_, most)) in self.free.iter().enumerate() {
            lp.column(1.0 + LATER * super::number(place), Some(most / scale));
        }
        lp.column(0.0, if moisture.is_some() { None } else { Some(0.0) });
        if let Some(interval) = ratio {
            self.ratio_rows(&mut lp, interval, (&[0.0], 1.0 / scale));
        }
        if let Some(g) = moisture {
            let row = |c: Content| c.water - g * c.mass();
            let coefficients = self.free.iter().map(|(c, _)| row(*c)).chain([1.0 - g]).collect();
            lp.row(coefficients, Sense::Equal, -row(self.base) / scale);
        }
        let mut taken = lp.solve()?;
        taken.pop()?;
        let within = |(x, (_, most)): (f64, &(Content, f64))| snapped(x * scale, *most, scale);
        let taken: Vec<f64> = taken.into_iter().zip(&self.free).map(within).collect();
        // The water is worked out again from the amounts: sum(m(g - w))/(1 - g).
        let water = moisture.map_or(0.0, |g| {
            let all = self.content(&taken);
            (g * all.mass() - all.water) / (1.0 - g)
        });
        let noise = NOISE * scale;
        Some(Choice { taken, water: if water > noise { water } else { 0.0 } })
    }

    /// All of it, without extra water.
    #[must_use]
    pub fn content(&self, taken: &[f64]) -> Content {
        self.free.iter().zip(taken).fold(self.base, |sum, ((content, _), x)| sum.plus(*content, *x))
    }

    /// Carbon over nitrogen of a mix.
    #[must_use]
    pub fn ratio(&self, taken: &[f64]) -> f64 {
        let all = self.content(taken);
        all.carbon / all.nitrogen
    }

    /// The least of `above / below` over all mixes: with y = t x and t so that `below` is 1, a linear programme.
    fn extreme(
        &self,
        above: impl Fn(Content) -> f64,
        below: impl Fn(Content) -> f64,
        ratio: Option<Interval>,
    ) -> Option<Vec<f64>> {
        let scale = self.scale();
        let base = Content::default().plus(self.base, 1.0 / scale);
        let unit = below(base).abs().max(self.free.iter().map(|(c, _)| below(*c).abs()).fold(0.0, f64::max));
        let mut lp = Programme::default();
        self.free.iter().for_each(|(content, _)| lp.column(above(*content), None));
        lp.column(above(base), None);
        let sum = self.free.iter().map(|(c, _)| below(*c) / unit).chain([below(base) / unit]).collect();
        lp.row(sum, Sense::Equal, 1.0);
        for (place, (_, most)) in self.free.iter().enumerate() {
            let size = (most / scale).max(1.0);
            let mut row = vec![0.0; self.free.len() + 1];
            row.iter_mut().skip(place).take(1).for_each(|x| *x = 1.0 / size);
            row.iter_mut().skip(self.free.len()).for_each(|x| *x = -most / scale / size);
            lp.row(row, Sense::AtMost, 0.0);
        }
        if let Some((low, high)) = ratio {
            let on_base = [base.carbon - high * base.nitrogen, base.carbon - low * base.nitrogen];
            self.ratio_rows(&mut lp, (low, high), (&on_base, 0.0));
        }
        let mut found = lp.solve()?;
        let t = found.pop().filter(|t| *t > 0.0)?;
        Some(found.into_iter().zip(&self.free).map(|(y, (_, most))| (y / t * scale).clamp(0.0, *most)).collect())
    }

    /// `C - high N <= 0` and `C - low N >= 0`. The last column is the base (in a scaled programme: its two coefficients)
    /// or the water (then the base stands on the right, times a factor).
    fn ratio_rows(&self, lp: &mut Programme, (low, high): Interval, (last, factor): (&[f64], f64)) {
        for (at, (bound, sense)) in [(high, Sense::AtMost), (low, Sense::AtLeast)].into_iter().enumerate() {
            let row = |c: Content| (c.carbon - bound * c.nitrogen) / bound.max(1.0);
            let end = last.get(at).or(last.last()).copied().unwrap_or(0.0) / bound.max(1.0);
            let coefficients: Vec<f64> = self.free.iter().map(|(c, _)| row(*c)).chain([end]).collect();
            lp.row(coefficients, sense, -row(self.base) * factor);
        }
    }

    /// The mass that counts as 1 inside, so that the solver's tolerances mean the same for a bucket and for a farm.
    fn scale(&self) -> f64 {
        let base = self.base.mass();
        if base > 0.0 {
            base
        } else {
            self.free.iter().map(|(_, most)| *most).fold(0.0, f64::max).max(ROUNDING_TOLERANCE)
        }
    }
}

/// A hair more than the interval, for a goal at the very edge of what is reachable.
#[must_use]
pub fn widened((low, high): Interval) -> Interval {
    (low * (1.0 - EDGE), high * (1.0 + EDGE))
}

#[derive(Debug, Clone, Copy)]
enum Sense {
    AtMost,
    AtLeast,
    Equal,
}

/// A linear programme with variables from 0 up, to be minimised.
#[derive(Default)]
struct Programme {
    columns: Vec<(f64, Option<f64>)>,
    rows: Vec<(Vec<f64>, Sense, f64)>,
}

impl Programme {
    fn column(&mut self, cost: f64, most: Option<f64>) {
        self.columns.push((cost, most));
    }

    fn row(&mut self, coefficients: Vec<f64>, sense: Sense, right: f64) {
        self.rows.push((coefficients, sense, right));
    }

    fn solve(&self) -> Option<Vec<f64>> {
        check();
        let mut variables = ProblemVariables::new();
        let columns: Vec<_> = self
            .columns
            .iter()
            .map(|(_, most)| variables.add(most.map_or(variable().min(0.0), |most| variable().min(0.0).max(most))))
            .collect();
        let sum = |coefficients: &mut dyn Iterator<Item = f64>| -> Expression {
            let some = columns.iter().zip(coefficients).filter(|(_, c)| *c != 0.0);
            some.fold(Expression::default(), |mut sum, (column, c)| {
                sum.add_mul(c, *column);
                sum
            })
        };
        let cost = sum(&mut self.columns.iter().map(|(cost, _)| *cost));
        let mut model = variables.minimise(cost).using(microlp);
        for (coefficients, sense, right) in &self.rows {
            let left = sum(&mut coefficients.iter().copied());
            let row = match sense {
                Sense::AtMost => constraint!(left <= *right),
                Sense::AtLeast => constraint!(left >= *right),
                Sense::Equal => constraint!(left == *right),
            };
            model.add_constraint(row);
        }
        let solution = model.solve().ok()?;
        Some(columns.iter().map(|column| solution.value(*column)).collect())
    }
}

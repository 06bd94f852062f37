//! How much of each material: one small linear programme.
//!
//! Unknown: the fresh mass of each material that may be chosen, within its range, and the extra water. By the materials'
//! carbon, nitrogen, dry matter, water and volume per kilogram everything is linear:
//!
//! - ratio: `low x N <= C <= high x N` (carbon and nitrogen summed over all, never ratios averaged);
//! - moisture: `water + W = g (mass + W)`;
//! - air: `dry/1500 + (water + W)/1000 <= (1 - least air) f V`, where `f` is the packing and `V` the summed volumes;
//! - objective: the least mass of chosen materials, where a kilogram of each later one in the list counts a millionth
//!   more, so that of equal materials the earlier is taken.
//!
//! How far a ratio, a moisture or the air can go is itself linear once the whole is scaled so that its denominator is 1 (Charnes &
//! Cooper 1962, Naval Research Logistics Quarterly 9:181; from memory): that tells the nearest value of a goal out of reach.
//! Which goals are met where not all can be: [`super::goals_met`].

use super::Size;
use super::programme::{Programme, Sense};
use crate::garden::assumptions::{PARTICLE_DENSITY, WATER_DENSITY};
use crate::garden::units::ROUNDING_TOLERANCE;

/// What each place down the list adds to the weight of a kilogram. Source: how this service works.
const LATER: f64 = 1e-6;
/// The solver's answers are this near to a corner of the region, as a share of the size of the mix. Source: tolerance of computing.
const NOISE: f64 = 1e-7;
/// A kilogram of extra water. Source: identity.
const WATER: Content = Content { dry: 0.0, carbon: 0.0, nitrogen: 0.0, water: 1.0, volume: 0.0 };

/// What one kilogram of a material, or all fixed ones together, bring into the mix: kilograms, and the volume in m3.
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
    /// Volume as it is mixed, before it packs closer with others.
    pub volume: f64,
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
            volume: self.volume + other.volume * times,
        }
    }

    /// Dry matter and water.
    #[must_use]
    pub fn mass(self) -> f64 {
        self.dry + self.water
    }

    /// Water over mass.
    #[must_use]
    pub fn moisture(self) -> f64 {
        self.water / self.mass()
    }

    /// What solids and water fill, m3.
    fn filled(self) -> f64 {
        self.dry / PARTICLE_DENSITY + self.water / WATER_DENSITY
    }
}

/// What decides whether a mix packs closer than its materials lie: their sizes, and the packing where these differ.
#[derive(Debug, Clone, PartialEq)]
pub struct Pieces {
    /// The sizes of what is in the mix in any case.
    pub base: Vec<Size>,
    /// The size of each material that may be chosen.
    pub free: Vec<Size>,
    /// Volume of the mix over the summed volumes, where materials of different size are mixed.
    pub packing: f64,
}

/// What is to be mixed.
#[derive(Debug, Clone, PartialEq)]
pub struct Blend {
    /// What is in it in any case: the fixed materials and the least of the others.
    pub base: Content,
    /// Each material that may be chosen: what a kilogram brings, and how many kilograms beyond the least may be taken.
    pub free: Vec<(Content, f64)>,
    /// How it packs.
    pub pieces: Pieces,
}

/// Lowest and highest, both included.
pub type Interval = (f64, f64);

/// What a mix has to keep to.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Within {
    /// Carbon over nitrogen.
    pub ratio: Option<Interval>,
    /// Moisture, with extra water as needed; without it no water is added.
    pub moisture: Option<f64>,
    /// The least air over volume.
    pub air: Option<f64>,
}

/// A mix: kilograms of each free material beyond its least, and of extra water.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Kilograms beyond the least, in order.
    pub taken: Vec<f64>,
    /// Kilograms of extra water.
    pub water: f64,
}

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
    /// The mixes with the lowest and with the highest ratio of carbon to nitrogen.
    #[must_use]
    pub fn ratio_ends(&self, within: Within) -> Option<[Choice; 2]> {
        let (carbon, nitrogen) = (|c: Content| c.carbon, |c: Content| c.nitrogen);
        Some([self.extreme(carbon, nitrogen, within)?, self.extreme(|c| -c.carbon, nitrogen, within)?])
    }

    /// The driest mix without extra water: its moisture, and the mix.
    #[must_use]
    pub fn driest(&self, within: Within) -> Option<(f64, Choice)> {
        let found = self.extreme(|c| c.water, Content::mass, Within { moisture: None, ..within })?;
        Some((self.content(&found.taken).moisture(), found))
    }

    /// The mix with the most air, packed as if all of its materials were taken: its air over volume, and the mix.
    #[must_use]
    pub fn airiest(&self, within: Within) -> Option<(f64, Choice)> {
        let found = self.extreme(Content::filled, |c| c.volume, within)?;
        Some((self.air(&found, self.closest()), found))
    }

    /// The least mass of chosen materials that keeps to this, with water as needed.
    #[must_use]
    pub fn least(&self, within: Within) -> Option<Choice> {
        let scale = self.scale();
        let mut lp = Programme::default();
        for (place, (_, most)) in self.free.iter().enumerate() {
            lp.column(1.0 + LATER * super::number(place), Some(most / scale));
        }
        lp.column(0.0, if within.moisture.is_some() { None } else { Some(0.0) });
        self.rows(within, |coefficients, sense, of_base| lp.row(coefficients, sense, -of_base / scale));
        let mut taken = lp.solve()?;
        taken.pop()?;
        let limit = |(x, (_, most)): (f64, &(Content, f64))| snapped(x * scale, *most, scale);
        let taken = taken.into_iter().zip(&self.free).map(limit).collect();
        Some(self.with_water(taken, within.moisture))
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

    /// Air over volume of a mix that packs so.
    #[must_use]
    pub fn air(&self, choice: &Choice, packing: f64) -> f64 {
        let all = self.content(&choice.taken).plus(WATER, choice.water);
        1.0 - all.filled() / (packing * all.volume)
    }

    /// How a mix packs.
    #[must_use]
    pub fn packing(&self, taken: &[f64]) -> f64 {
        let some = self.pieces.free.iter().zip(taken).filter(|(_, x)| **x > 0.0).map(|(size, _)| size);
        self.packed(self.pieces.base.iter().chain(some))
    }

    /// How it packs if all that may be chosen is taken.
    fn closest(&self) -> f64 {
        self.packed(self.pieces.base.iter().chain(&self.pieces.free))
    }

    fn packed<'a>(&self, mut sizes: impl Iterator<Item = &'a Size>) -> f64 {
        let first = sizes.next();
        if sizes.any(|size| Some(size) != first) { self.pieces.packing } else { 1.0 }
    }

    /// The same with pieces of one size alone, which keep their volume; `None` if there are two in any case.
    #[must_use]
    pub fn of_one_size(&self) -> Option<Self> {
        let first = *self.pieces.base.first()?;
        if self.pieces.base.iter().any(|size| *size != first) {
            return None;
        }
        let only =
            |((content, most), size): (&(Content, f64), &Size)| (*content, if *size == first { *most } else { 0.0 });
        let free = self.free.iter().zip(&self.pieces.free).map(only).collect();
        Some(Self { free, pieces: Pieces { packing: 1.0, ..self.pieces.clone() }, ..self.clone() })
    }

    /// The water is worked out again from the amounts: sum(m(g - w))/(1 - g).
    fn with_water(&self, taken: Vec<f64>, moisture: Option<f64>) -> Choice {
        let all = self.content(&taken);
        let water = moisture.map_or(0.0, |g| (g * all.mass() - all.water) / (1.0 - g));
        Choice { taken, water: if water > NOISE * self.scale() { water } else { 0.0 } }
    }

    /// The least of `above / below` over all mixes: with y = t x and t so that `below` is 1, a linear programme.
    fn extreme(
        &self,
        above: impl Fn(Content) -> f64,
        below: impl Fn(Content) -> f64,
        within: Within,
    ) -> Option<Choice> {
        let scale = self.scale();
        let base = Content::default().plus(self.base, 1.0 / scale);
        let unit = below(base).abs().max(self.free.iter().map(|(c, _)| below(*c).abs()).fold(0.0, f64::max));
        let size = above(base).abs().max(self.free.iter().map(|(c, _)| above(*c).abs()).fold(0.0, f64::max));
        let size = if size > 0.0 { size } else { 1.0 };
        let contents: Vec<Content> = self.free.iter().map(|(c, _)| *c).chain([WATER]).collect();
        let mut lp = Programme::default();
        contents.iter().for_each(|c| {
            let is_water = *c == WATER && within.moisture.is_none();
            lp.column(above(*c) / size, is_water.then_some(0.0));
        });
        lp.column(above(base) / size, None);
        let sum = contents.iter().map(|c| below(*c) / unit).chain([below(base) / unit]).collect();
        lp.row(sum, Sense::Equal, 1.0);
        for (place, (_, most)) in self.free.iter().enumerate() {
            let size = (most / scale).max(1.0);
            let mut row = vec![0.0; contents.len() + 1];
            row.iter_mut().skip(place).take(1).for_each(|x| *x = 1.0 / size);
            row.iter_mut().skip(contents.len()).for_each(|x| *x = -most / scale / size);
            lp.row(row, Sense::AtMost, 0.0);
        }
        self.rows(within, |mut coefficients, sense, of_base| {
            coefficients.push(of_base / scale);
            lp.row(coefficients, sense, 0.0);
        });
        let mut found = lp.solve()?;
        let t = found.pop().filter(|t| *t > 0.0)?;
        let taken = found.into_iter().zip(&self.free).map(|(y, (_, most))| (y / t * scale).clamp(0.0, *most)).collect();
        Some(self.with_water(taken, within.moisture))
    }

    /// Tells the conditions: the coefficients of each free material and of the extra water, and what the base adds to them.
    fn rows(&self, within: Within, mut tell: impl FnMut(Vec<f64>, Sense, f64)) {
        let mut row = |of: &dyn Fn(Content) -> f64, sense| {
            let coefficients = self.free.iter().map(|(c, _)| of(*c)).chain([of(WATER)]).collect();
            tell(coefficients, sense, of(self.base));
        };
        if let Some((low, high)) = within.ratio {
            row(&|c| (c.carbon - high * c.nitrogen) / high.max(1.0), Sense::AtMost);
            row(&|c| (c.carbon - low * c.nitrogen) / low.max(1.0), Sense::AtLeast);
        }
        if let Some(g) = within.moisture {
            row(&|c| c.water - g * c.mass(), Sense::Equal);
        }
        if let Some(air) = within.air {
            let holds = (1.0 - air) * self.closest();
            row(&|c| (c.filled() - holds * c.volume) * WATER_DENSITY, Sense::AtMost);
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

//! The ways in which a mix may pack, which one linear programme cannot say: pieces of all sizes together, or those of one size alone.

use super::mix::{Blend, Choice, Interval, Within};

/// A mix of any sizes and, where what is in it in any case is of one size, a mix of that size alone, which keeps its volume.
pub struct Ways(Vec<Blend>);

/// The ratio nearest to the one wanted.
pub struct NearestRatio {
    /// The ratios that can be had, in the way of packing that comes nearest.
    pub within: Interval,
    /// How far the nearest is from what was wanted.
    pub by: f64,
    /// A mix that has it.
    pub choice: Choice,
}

impl Ways {
    /// Those of a blend.
    pub fn of(blend: &Blend) -> Self {
        let differs = blend.pieces.free.iter().any(|size| Some(size) != blend.pieces.base.first());
        let one_size = differs.then(|| blend.of_one_size()).flatten();
        Self([Some(blend.clone()), one_size].into_iter().flatten().collect())
    }

    /// The least mass that keeps to this.
    pub fn least(&self, within: Within) -> Option<Choice> {
        let mass = |way: &Blend, choice: &Choice| way.content(&choice.taken).mass();
        let found = self.0.iter().filter_map(|way| way.least(within).map(|choice| (mass(way, &choice), choice)));
        found.min_by(|(one, _), (other, _)| one.total_cmp(other)).map(|(_, choice)| choice)
    }

    /// Whether a mix can keep to this.
    pub fn allow(&self, within: Within) -> bool {
        self.0.iter().any(|way| way.least(within).is_some())
    }

    /// The driest mix, without extra water, and its moisture.
    pub fn driest(&self, within: Within) -> Option<(f64, Choice)> {
        let least = |way: &Blend| way.least(within).map(|choice| (way.content(&choice.taken).moisture(), choice));
        let found = self.0.iter().filter_map(|way| way.driest(within).or_else(|| least(way)));
        found.min_by(|(one, _), (other, _)| one.total_cmp(other))
    }

    /// The mix with the most air, and its air over volume.
    pub fn airiest(&self, within: Within) -> Option<(f64, Choice)> {
        let least =
            |way: &Blend| way.least(within).map(|choice| (way.air(&choice, way.packing(&choice.taken)), choice));
        let found = self.0.iter().filter_map(|way| way.airiest(within).or_else(|| least(way)));
        found.max_by(|(one, _), (other, _)| one.total_cmp(other))
    }

    /// The ratio nearest to what is wanted.
    pub fn nearest_ratio(&self, within: Within, wanted: Interval) -> Option<NearestRatio> {
        let nearest = |way: &Blend| {
            let least = || way.least(within).map(|choice| [choice.clone(), choice]);
            let [low, high] = way.ratio_ends(within).or_else(least)?;
            let ends = (way.ratio(&low.taken), way.ratio(&high.taken));
            let (above, below) = (ends.0 - wanted.1, wanted.0 - ends.1);
            let choice = if above > below { low } else { high };
            Some(NearestRatio { within: ends, by: above.max(below).max(0.0), choice })
        };
        self.0.iter().filter_map(nearest).min_by(|one, other| one.by.total_cmp(&other.by))
    }
}

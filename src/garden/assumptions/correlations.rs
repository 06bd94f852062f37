//! How uncertain values go together. Runs of a season draw correlated values as a Gaussian copula: each value as a standard normal number, these
//! correlated, and each then through the chance of its own range.

use super::Assumption;
use crate::garden::linear::Lower;
use crate::garden::refusal::{Reason, Refusal};

/// The strongest rank correlation: two values that go together more closely are one. Source: limit of this service.
pub const MAX_CORRELATION: f64 = 0.999;

/// The 6 of `2 sin(pi s / 6)`, the correlation of normal numbers whose ranks have the correlation `s`. Source: Pearson 1907.
const SIXTHS_OF_PI: f64 = 6.0;

/// Two values that go together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correlation {
    /// The one.
    pub first: Assumption,
    /// The other.
    pub second: Assumption,
    /// The correlation of their ranks (Spearman), from -1 to 1.
    pub rank_correlation: f64,
}

/// Correlated values, and the triangle that makes independent normal numbers go together as they do.
#[derive(Debug, Clone, PartialEq)]
pub struct Copula {
    /// The values, in the order of the table.
    pub members: Vec<Assumption>,
    /// The triangle of the correlations of their normal numbers.
    pub lower: Lower,
}

/// Answers "how are values drawn that go together so?" `None` where no values can go together so.
///
/// The normal numbers of two values with the rank correlation `s` have the correlation `2 sin(pi s / 6)` (Pearson 1907).
#[must_use]
pub fn copula(pairs: &[Correlation]) -> Option<Copula> {
    let mut members: Vec<Assumption> = pairs.iter().flat_map(|pair| [pair.first, pair.second]).collect();
    members.sort_unstable();
    members.dedup();
    let correlation = |a: Assumption, b: Assumption| {
        let same = |pair: &&Correlation| (pair.first, pair.second) == (a, b) || (pair.first, pair.second) == (b, a);
        let ranks = pairs.iter().find(same).map_or(0.0, |pair| pair.rank_correlation);
        if a == b { 1.0 } else { 2.0 * libm::sin(std::f64::consts::PI * ranks / SIXTHS_OF_PI) }
    };
    let row = |a: &Assumption| members.iter().map(|b| correlation(*a, *b)).collect();
    let matrix: Vec<Vec<f64>> = members.iter().map(row).collect();
    Some(Copula { lower: Lower::of(&matrix)?, members })
}

/// Reads correlations: each pair once, of two different values, and all together possible.
///
/// # Errors
/// All that is wrong: `out_of_range`, `inconsistent_assumptions`, with the place of the pair where one is to blame.
pub(super) fn checked(pairs: &[Correlation]) -> Result<Option<Copula>, Vec<(Option<usize>, Refusal)>> {
    let mut wrong = Vec::new();
    for (place, pair) in pairs.iter().enumerate() {
        let before = pairs.get(..place).unwrap_or_default();
        wrong.extend(check(pair, before).err().map(|refusal| (Some(place), refusal)));
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    if pairs.is_empty() {
        return Ok(None);
    }
    copula(pairs).map(Some).ok_or_else(|| {
        let detail =
            "no values can go together in this way; paste the correlations as they were given, or leave them out";
        vec![(None, Refusal::new(Reason::InconsistentAssumptions, detail))]
    })
}

/// Refuses a pair of one value, one that goes together too closely, and one that is listed before.
fn check(pair: &Correlation, before: &[Correlation]) -> Result<(), Refusal> {
    let Correlation { first, second, rank_correlation } = pair;
    if first == second {
        let detail = format!("first and second are both {}; name two different assumptions", first.id());
        return Err(Refusal::new(Reason::InconsistentAssumptions, detail));
    }
    if !(-MAX_CORRELATION..=MAX_CORRELATION).contains(rank_correlation) {
        let detail =
            format!("a rank correlation must lie between -{MAX_CORRELATION} and {MAX_CORRELATION}, for example -0.4");
        let refusal = Refusal::new(Reason::OutOfRange, detail).between(-MAX_CORRELATION, MAX_CORRELATION);
        return Err(refusal.at("rank_correlation"));
    }
    let same = |other: &Correlation| [(*first, *second), (*second, *first)].contains(&(other.first, other.second));
    if before.iter().any(same) {
        let detail = format!("{} and {} are a pair already; give each pair once", first.id(), second.id());
        return Err(Refusal::new(Reason::InconsistentAssumptions, detail));
    }
    Ok(())
}

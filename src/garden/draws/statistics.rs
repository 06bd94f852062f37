//! What many runs tell: percentiles, chances, and what to know better first.

/// Bins of the correlation ratio. Source: how this service works.
pub const BINS: usize = 32;
/// Bins below 1,000 runs. Source: how this service works.
pub const BINS_BELOW_1000: usize = 16;
/// From so many runs on there are [`BINS`]. Source: how this service works.
const MANY: usize = 1_000;
/// Chances are reported in steps of one twentieth. Source: how this service works.
const STEPS: f64 = 20.0;
/// The lowest chance that is reported: it means this or less. Source: how this service works.
pub const LOWEST_CHANCE: f64 = 1.0 / STEPS;
/// The highest chance that is reported: it means this or more. Source: how this service works.
pub const HIGHEST_CHANCE: f64 = 1.0 - LOWEST_CHANCE;

/// The value that so many percent of the values do not pass: of `n` sorted values the one at place `ceil(n percent / 100)`, counted
/// from 1 (nearest rank). `None` of an empty list.
#[must_use]
pub fn percentile<T: Copy>(sorted: &[T], percent: usize) -> Option<T> {
    sorted.get(rank(sorted.len(), percent)).copied()
}

/// Three percentiles of values in any order, rising percents: as [`percentile`], without sorting all of them.
pub fn percentiles(values: &mut [f64], percents: [usize; 3]) -> Option<[f64; 3]> {
    let ranks = percents.map(|percent| rank(values.len(), percent));
    let (mut from, mut found) = (0, [0.0; 3]);
    for (at, found) in ranks.into_iter().zip(&mut found) {
        // What lies before `from` is not above what follows.
        let rest = values.get_mut(from..).filter(|rest| at - from < rest.len())?;
        *found = *rest.select_nth_unstable_by(at - from, f64::total_cmp).1;
        from = at;
    }
    Some(found)
}

/// The place, from 0, of a percentile among so many values.
fn rank(n: usize, percent: usize) -> usize {
    (n * percent).div_ceil(100).max(1) - 1
}

/// A chance as it is reported: rounded to 5 %, never below 5 nor above 95 %, since the ranges themselves are guesses.
///
/// ```
/// use barrowful::garden::draws::shown_chance;
/// assert_eq!([shown_chance(0, 2000), shown_chance(1240, 2000), shown_chance(2000, 2000)], [0.05, 0.6, 0.95]);
/// ```
#[must_use]
pub fn shown_chance(times: u32, runs: u32) -> f64 {
    let share = f64::from(times) / f64::from(runs.max(1));
    ((share * STEPS).round_ties_even() / STEPS).clamp(LOWEST_CHANCE, HIGHEST_CHANCE)
}

/// How many bins for so many runs.
#[must_use]
pub fn bins(runs: usize) -> usize {
    if runs < MANY { BINS_BELOW_1000 } else { BINS }
}

/// Answers "what share of the variance of `y` would be gone if `x` were known?" to first order.
///
/// The runs are sorted by `x` and cut into `M` bins of equal count; with `n` runs `S = 1 - (n - 1)/(n - M) x SS_within/SS_total`,
/// not below 0 (correlation ratio, adjusted for the bins). 0 where `y` does not vary or there are no more runs than bins.
#[must_use]
pub fn first_order_share(x: &[f64], y: &[f64]) -> f64 {
    let (n, m) = (x.len().min(y.len()), bins(x.len().min(y.len())));
    let mut pairs: Vec<(f64, f64)> = x.iter().copied().zip(y.iter().copied()).collect();
    let total = squares(pairs.iter().map(|(_, y)| *y));
    if n <= m || total <= 0.0 {
        return 0.0;
    }
    let within = within_bins(&mut pairs, (n, m), (0, m));
    (1.0 - count(n - 1) / count(n - m) * within / total).clamp(0.0, 1.0)
}

/// The sum of squares within the bins from `first` to before `end`, of `m` bins of `n` runs: the runs are parted at the middle bin,
/// then each side again.
fn within_bins(pairs: &mut [(f64, f64)], (n, m): (usize, usize), (first, end): (usize, usize)) -> f64 {
    let middle = first.midpoint(end);
    let at = n * middle / m - n * first / m;
    if middle == first || at >= pairs.len() {
        return squares(pairs.iter().map(|(_, y)| *y));
    }
    pairs.select_nth_unstable_by(at, |a, b| a.0.total_cmp(&b.0));
    let (left, right) = pairs.split_at_mut(at);
    within_bins(left, (n, m), (first, middle)) + within_bins(right, (n, m), (middle, end))
}

/// The sum of squared distances from the mean.
fn squares(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let (sum, n) = values.clone().fold((0.0, 0.0), |(sum, n), v| (sum + v, n + 1.0));
    let mean = if n > 0.0 { sum / n } else { 0.0 };
    values.map(|v| (v - mean) * (v - mean)).sum()
}

/// A count to calculate with.
pub fn count(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::MAX, f64::from)
}

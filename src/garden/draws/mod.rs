//! Chance: values drawn from their ranges, the same for the same seed on every machine, and what many runs tell.
//!
//! One draw per assumption and run, shared by everything that depends on it. Each variable has a stream of its own of a stream
//! cipher (ChaCha with eight rounds), and the number of a run is its place in that stream: so the draws of a run do not depend
//! on how runs are split, nor those of one assumption on which others are drawn.

mod castings;
mod normal;
mod numbers;
mod statistics;
mod together;

pub use castings::CastingsDrawn;
pub use normal::{normal, normal_chance};
pub use numbers::Numbers;
pub use statistics::{
    BINS, BINS_BELOW_1000, HIGHEST_CHANCE, LOWEST_CHANCE, bins, count, first_order_share, percentile, percentiles,
    shown_chance,
};

use crate::garden::assumptions::{Assumption, Copula, Span};
use crate::garden::interrupt::check;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use together::Together;

/// Runs unless the caller says otherwise. Source: how this service works.
pub const DEFAULT_RUNS: u32 = 2_000;
/// The most runs. Source: limit of this service.
pub const MAX_RUNS: u32 = 100_000;
/// The seed unless the caller gives one. Source: how this service works.
pub const DEFAULT_SEED: u64 = 1;
/// 2^-53: the step between draws. Source: identity.
const STEP: f64 = 1.0 / 9_007_199_254_740_992.0;
/// Words of 32 bits in one draw. Source: identity.
const WORDS: u128 = 2;

/// What is drawn: an assumption, or the range of one item of the request.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Variable {
    /// An assumption, shared by all that use it.
    Assumption(Assumption),
    /// How much there is of the stock lot at this place of the list.
    Stock(usize),
    /// How much the demand at this place of the list asks for.
    Demand(usize),
    /// The weather of a month, counted from January of year 0.
    Weather(u32),
    /// By how much the worms at the start differ from what was weighed.
    WormsAtStart,
}

impl Variable {
    /// The number of its stream.
    fn stream(self) -> u64 {
        let (kind, place) = match self {
            Self::Assumption(which) => {
                (1, Assumption::ALL.iter().position(|other| *other == which).unwrap_or_default())
            }
            Self::Stock(i) => (2, i),
            Self::Demand(i) => (3, i),
            Self::Weather(month) => (4, usize::try_from(month).unwrap_or_default()),
            Self::WormsAtStart => (5, 0),
        };
        (kind << 32) | u64::try_from(place).unwrap_or_default()
    }
}

/// Answers "which value has this chance of not being passed?" for a range of which half the chance lies on each side of the
/// likely value, falling off in a straight line: a triangle split at its middle.
///
/// `u < 1/2: m - (m - low)(1 - sqrt(2u))`, else `m + (high - m)(1 - sqrt(2(1 - u)))`: the median is the likely value.
///
/// ```
/// use barrowful::garden::{assumptions::Span, draws::split_triangle};
/// let span = Span { low: 0.0, likely: 10.0, high: 50.0 };
/// assert_eq!(split_triangle(span, 0.5), 10.0);
/// assert_eq!(split_triangle(span, 0.125), 5.0);
/// assert_eq!(split_triangle(span, 0.875), 30.0);
/// ```
#[must_use]
pub fn split_triangle(span: Span, u: f64) -> f64 {
    let Span { low, likely, high } = span;
    if u < 0.5 {
        likely - (likely - low) * (1.0 - (2.0 * u).sqrt())
    } else {
        likely + (high - likely) * (1.0 - (2.0 * (1.0 - u)).sqrt())
    }
}

/// A value that is known, or drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    /// The column of its variable; `None` if it is known.
    column: Option<usize>,
    span: Span,
}

impl Drawn {
    /// A value that is known.
    #[must_use]
    pub const fn known(value: f64) -> Self {
        Self { column: None, span: Span::exactly(value) }
    }

    /// Its likely value.
    #[must_use]
    pub const fn likely(&self) -> f64 {
        self.span.likely
    }

    /// Its range.
    #[must_use]
    pub const fn span(&self) -> Span {
        self.span
    }

    /// The value that is not passed with this chance.
    #[must_use]
    pub fn of_chance(&self, u: f64) -> f64 {
        split_triangle(self.span, u)
    }

    /// True if it is the same in every run.
    #[must_use]
    pub const fn is_known(&self) -> bool {
        self.column.is_none()
    }

    /// Its value in a run.
    #[must_use]
    pub fn of(&self, run: &Run<'_>) -> f64 {
        match self.column.and_then(|column| run.0.get(column)) {
            Some(u) => split_triangle(self.span, *u),
            None => self.span.likely,
        }
    }
}

/// A number between 0 and 1 that is drawn for its own sake.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uniform(usize);

impl Uniform {
    /// Its value in a run; in the likely run one half.
    #[must_use]
    pub fn of(&self, run: &Run<'_>) -> f64 {
        run.0.get(self.0).copied().unwrap_or(0.5)
    }
}

/// The draws of one run, one number between 0 and 1 for each variable. Empty: every value is its likely one.
#[derive(Debug, Clone, Copy)]
pub struct Run<'a>(&'a [f64]);

impl Run<'_> {
    /// The run in which every value is the likely one.
    pub const LIKELY: Run<'static> = Run(&[]);
}

impl<'a> Run<'a> {
    /// The run with these numbers between 0 and 1, one for each of the [`Variables`], in their order.
    #[must_use]
    pub const fn of(row: &'a [f64]) -> Self {
        Run(row)
    }

    /// Its numbers, in the order of the [`Variables`].
    #[must_use]
    pub const fn row(&self) -> &'a [f64] {
        self.0
    }
}

/// The variables of a request.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Variables {
    all: Vec<Variable>,
    copula: Option<Copula>,
}

impl Variables {
    /// Variables of which some go together.
    #[must_use]
    pub fn correlated(copula: Option<&Copula>) -> Self {
        Self { all: Vec::new(), copula: copula.cloned() }
    }

    /// Takes a span in: known where it has no width, else drawn with its variable.
    pub fn take(&mut self, variable: Variable, span: Span) -> Drawn {
        if span.low >= span.high {
            return Drawn { column: None, span };
        }
        Drawn { column: Some(self.column_of(variable)), span }
    }

    /// Takes a variable in that has no span.
    pub fn uniform(&mut self, variable: Variable) -> Uniform {
        Uniform(self.column_of(variable))
    }

    fn column_of(&mut self, variable: Variable) -> usize {
        self.all.iter().position(|other| *other == variable).unwrap_or_else(|| {
            self.all.push(variable);
            self.all.len() - 1
        })
    }

    /// The variables, in the order in which they were first taken in.
    #[must_use]
    pub fn all(&self) -> &[Variable] {
        &self.all
    }

    /// The draws of one variable in the first `runs` runs.
    #[must_use]
    pub fn column(&self, seed: u64, column: usize, runs: usize) -> Vec<f64> {
        let mut values = vec![0.0; runs];
        let Some(variable) = self.all.get(column) else { return values };
        let alone = Self { all: vec![*variable], copula: self.copula.clone() };
        let count = u32::try_from(runs).unwrap_or(u32::MAX);
        let mut places = values.iter_mut();
        alone.each_run(seed, (0, count), |_, run| {
            places.next().into_iter().zip(run.0).for_each(|(place, value)| *place = *value);
        });
        values
    }

    /// Goes through runs `first` to `first + count`, in order.
    pub fn each_run(&self, seed: u64, (first, count): (u32, u32), mut visit: impl FnMut(u32, &Run<'_>)) {
        let stream = |v: &Variable| Stream::new(seed, *v, first);
        let mut streams: Vec<Stream> = self.all.iter().map(stream).collect();
        let mut together = self.copula.as_ref().and_then(|copula| Together::new(copula, &self.all, stream));
        let mut row = vec![0.0; streams.len()];
        for run in first..first.saturating_add(count) {
            check();
            for (value, stream) in row.iter_mut().zip(&mut streams) {
                *value = stream.next();
            }
            if let Some(together) = &mut together {
                together.draw(&mut row);
            }
            visit(run, &Run(&row));
        }
    }
}

/// The draws of one variable.
struct Stream(ChaCha8Rng);

impl Stream {
    fn new(seed: u64, variable: Variable, first: u32) -> Self {
        let mut cipher = ChaCha8Rng::seed_from_u64(seed);
        cipher.set_stream(variable.stream());
        cipher.set_word_pos(u128::from(first) * WORDS);
        Self(cipher)
    }

    /// A number above 0 and below 1.
    fn next(&mut self) -> f64 {
        #[expect(clippy::as_conversions, reason = "53 bits, which a double holds exactly")]
        let number = (self.0.next_u64() >> 11) as f64;
        (number + 0.5) * STEP
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn two() -> Variables {
        let mut variables = Variables::default();
        let wide = Span { low: 0.0, likely: 1.0, high: 2.0 };
        let _ = variables.take(Variable::Assumption(Assumption::FeedRate), wide);
        let _ = variables.take(Variable::Stock(3), wide);
        variables
    }

    fn rows(variables: &Variables, split: &[(u32, u32)]) -> Vec<Vec<f64>> {
        let mut rows = Vec::new();
        for part in split {
            variables.each_run(7, *part, |_, run| rows.push(run.0.to_vec()));
        }
        rows
    }

    #[test]
    fn runs_do_not_depend_on_how_they_are_split() {
        let variables = two();
        assert_eq!(rows(&variables, &[(0, 100)]), rows(&variables, &[(0, 1), (1, 36), (37, 63)]));
        let column: Vec<f64> = rows(&variables, &[(0, 100)]).iter().map(|row| row[1]).collect();
        assert_eq!(variables.column(7, 1, 100), column);
    }

    #[test]
    fn a_variable_keeps_its_draws_whatever_else_is_drawn() {
        let mut one = Variables::default();
        let _ = one.take(Variable::Stock(3), Span { low: 0.0, likely: 1.0, high: 2.0 });
        assert_eq!(one.column(7, 0, 50), two().column(7, 1, 50));
        assert_ne!(one.column(8, 0, 50), two().column(7, 1, 50));
    }

    #[test]
    fn a_span_without_width_is_known_and_takes_no_draw() {
        let mut variables = Variables::default();
        let certain = variables.take(Variable::Stock(0), Span::exactly(4.0));
        assert!(certain.is_known() && variables.all().is_empty());
        assert_eq!(certain.of(&Run::LIKELY), 4.0);
    }
}

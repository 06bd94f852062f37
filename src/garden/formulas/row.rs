//! A formula with figures put in: its value at each end of their ranges, and what was put in.

use super::Definition;
use crate::garden::units::{Dimension, End, Estimate, Measured, Quantity};

/// How the result of a formula goes with one of its symbols, all others kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// It grows, or stays, as the symbol grows.
    Grows,
    /// It falls, or stays, as the symbol grows.
    Falls,
    /// Neither holds of all values, or it is not known.
    Neither,
}

impl Sign {
    /// The end of a symbol at which the result is at this end of its own; the likely value where the sign does not say.
    #[must_use]
    pub const fn turn(self, end: End) -> End {
        match self {
            Self::Grows => end,
            Self::Falls => end.other(),
            Self::Neither => End::Likely,
        }
    }
}

/// A figure put into a formula.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// Which figure; 0 if that was not recorded.
    pub node: u32,
    /// Its low, likely and high value, in base units.
    pub values: [f64; 3],
}

/// A formula of the table with a figure for each symbol.
pub trait Row {
    /// What its result measures.
    type Of: Measured;

    /// Its text, symbols and sources.
    fn definition() -> &'static Definition;

    /// The result at one end, each symbol at the end that its sign says; in base units.
    fn at(&self, end: End) -> f64;

    /// The result of the likely values.
    fn likely(&self) -> Quantity<Self::Of> {
        Quantity::from_base(self.at(End::Likely))
    }

    /// Tells the figures put in, each with the number of its symbol.
    fn each_input(&self, tell: impl FnMut(usize, Input));
}

/// The values of a symbol that is a list.
pub trait Values: Copy {
    /// Each of them.
    fn all(self) -> impl Iterator<Item = f64>;
}

impl Values for &[f64] {
    fn all(self) -> impl Iterator<Item = f64> {
        self.iter().copied()
    }
}

/// Figures at one of their ends.
pub struct Picked<'a, D: Measured> {
    figures: &'a [Estimate<D>],
    end: End,
    factor: f64,
}

impl<D: Measured> Clone for Picked<'_, D> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<D: Measured> Copy for Picked<'_, D> {}

impl<D: Measured> Values for Picked<'_, D> {
    fn all(self) -> impl Iterator<Item = f64> {
        self.figures.iter().map(move |figure| figure.end(self.end).base() * self.factor)
    }
}

/// What a symbol holds: a figure, or a list of figures that the formula sums.
pub trait Held {
    /// What the expression is computed with.
    type Used<'a>
    where
        Self: 'a;
    /// True if it is a list.
    const MANY: bool;

    /// Its value at one end, in base units or in coherent ones.
    fn at(&self, end: End, in_coherent: bool) -> Self::Used<'_>;

    /// Tells each figure.
    fn each(&self, tell: impl FnMut(Input));
}

impl<D: Measured> Held for Estimate<D> {
    type Used<'a> = f64;
    const MANY: bool = false;

    fn at(&self, end: End, in_coherent: bool) -> f64 {
        self.end(end).base() * factor::<D>(in_coherent)
    }

    fn each(&self, mut tell: impl FnMut(Input)) {
        tell(input(self));
    }
}

impl<D: Measured> Held for Vec<Estimate<D>> {
    type Used<'a> = Picked<'a, D>;
    const MANY: bool = true;

    fn at(&self, end: End, in_coherent: bool) -> Picked<'_, D> {
        Picked { figures: self, end, factor: factor::<D>(in_coherent) }
    }

    fn each(&self, tell: impl FnMut(Input)) {
        self.iter().map(input).for_each(tell);
    }
}

fn input<D: Measured>(figure: &Estimate<D>) -> Input {
    Input { node: figure.node(), values: figure.values() }
}

fn factor<D: Measured>(in_coherent: bool) -> f64 {
    if in_coherent { coherent(D::DIMENSION) } else { 1.0 }
}

/// Coherent units in one base unit: volumes are held in litres.
pub const fn coherent(dimension: Dimension) -> f64 {
    match dimension {
        Dimension::Volume | Dimension::VolumePerPlant | Dimension::VolumePerArea | Dimension::VolumePerLength => 0.001,
        _ => 1.0,
    }
}

//! Figures that know where they come from. A function that makes figures is given a [`Recorder`]: [`Off`] notes nothing and costs
//! nothing; a [`Book`] holds for each figure the formula and the figures put in, or its source.
//!
//! ```
//! use barrowful::garden::figures::{Book, Origin, Recorder, Source};
//! use barrowful::garden::formulas::Layer;
//! use barrowful::garden::units::{Area, Estimate, Length};
//! let book = Book::default();
//! let ground = Some(&book).source(Source::Request(0), Area::from_square_metres(4.8).into());
//! let depth = Some(&book).source(Source::Request(1), Length::from_metres(0.01).into());
//! let volume = Some(&book).figure(Layer { A: ground, d: depth });
//! assert_eq!(volume.likely().litres(), 48.0);
//! let Some(Origin::Formula { definition, inputs, .. }) = book.entry(volume.node()).map(|entry| entry.origin) else { panic!() };
//! assert_eq!((definition.id, inputs.len()), ("layer", 2));
//! ```

use super::formulas::{Definition, Input, Row};
use super::units::quantity::OfVolume;
use super::units::{Dimension, End, Estimate, Measured, Millilitres, Quantity, Volume, whole};
use std::cell::RefCell;

/// Where a figure is from that no formula computes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// What was asked; whoever asks keeps a list of places, and this is a place's number in it.
    Request(u32),
    /// The assumption of this id.
    Assumption(&'static str),
    /// The constant of this name.
    Constant(&'static str),
    /// The material of this id in the table of materials, which is named at this place.
    Material(&'static str, u32),
    /// The typical rate for this purpose, which is named at this place.
    Rate(&'static str, u32),
}

/// How a figure came.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// From a source.
    Source(Source),
    /// By a formula.
    Formula {
        /// The formula.
        definition: &'static Definition,
        /// What was put in, each with the number of its symbol.
        inputs: Vec<(usize, Input)>,
        /// How its bounds came.
        ends: Ends,
    },
    /// By a rule that is no formula: chosen, searched for, or followed day by day.
    Rule {
        /// The rule in words.
        rule: &'static str,
        /// The figures that it goes by.
        inputs: Vec<u32>,
    },
}

impl PartialEq for Definition {
    fn eq(&self, other: &Self) -> bool {
        self.id == other.id
    }
}

/// How the bounds of a figure came that a formula gave.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ends {
    /// Each symbol at the end that its sign says.
    BySigns,
    /// Inputs that are tied moved together, so they may lie closer than the formula at all ends of its symbols.
    Tied,
    /// By a simulation.
    Simulated,
}

/// What is recorded of a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// How it came.
    pub origin: Origin,
    /// What it measures.
    pub dimension: Dimension,
    /// Its low, likely and high value, in base units.
    pub values: [f64; 3],
}

/// Whole millilitres, and the number under which is recorded how they came.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct WholeVolume {
    /// How much.
    pub volume: Millilitres,
    node: u32,
}

impl From<Millilitres> for WholeVolume {
    fn from(volume: Millilitres) -> Self {
        Self { volume, node: 0 }
    }
}

impl WholeVolume {
    /// A volume to the nearest millilitre.
    #[must_use]
    pub fn nearest(figure: Estimate<OfVolume>) -> Self {
        Self { volume: Millilitres::nearest(figure.likely()), node: figure.node() }
    }

    /// What is needed, in whole millilitres.
    #[must_use]
    pub fn needed(figure: Estimate<OfVolume>) -> Self {
        Self { volume: Millilitres::needed(figure.likely()), node: figure.node() }
    }

    /// What there is, in whole millilitres.
    #[must_use]
    pub fn there(figure: Estimate<OfVolume>) -> Self {
        Self { volume: Millilitres::there(figure.likely()), node: figure.node() }
    }

    /// The number of what was recorded of it; 0 if nothing was.
    #[must_use]
    pub const fn node(self) -> u32 {
        self.node
    }

    /// As a volume.
    #[must_use]
    pub fn figure(self) -> Estimate<OfVolume> {
        Estimate::exactly(self.volume.volume()).recorded(self.node)
    }
}

/// The figures of one answer, in the order they were made.
#[derive(Debug, Default)]
pub struct Book(RefCell<Vec<Entry>>);

impl Book {
    /// What was recorded under a number.
    #[must_use]
    pub fn entry(&self, node: u32) -> Option<Entry> {
        let index = usize::try_from(node.checked_sub(1)?).ok()?;
        self.0.borrow().get(index).cloned()
    }

    fn note(&self, entry: Entry) -> u32 {
        let mut entries = self.0.borrow_mut();
        entries.push(entry);
        u32::try_from(entries.len()).unwrap_or(0)
    }
}

/// Records how figures came, or does not.
pub trait Recorder: Copy {
    /// Records an entry, and gives its number; 0 where nothing is recorded.
    fn note(self, entry: impl FnOnce() -> Entry) -> u32;

    /// A figure from a source.
    #[must_use]
    fn source<D: Measured>(self, source: Source, figure: Estimate<D>) -> Estimate<D> {
        let entry = || Entry { origin: Origin::Source(source), dimension: D::DIMENSION, values: figure.values() };
        figure.recorded(self.note(entry))
    }

    /// The figure that a rule gives which is no formula, and the figures that it goes by.
    #[must_use]
    fn by_rule<D: Measured>(self, rule: &'static str, inputs: &[u32], figure: Estimate<D>) -> Estimate<D> {
        let origin = || Origin::Rule { rule, inputs: inputs.iter().copied().filter(|node| *node != 0).collect() };
        figure.recorded(self.note(|| Entry { origin: origin(), dimension: D::DIMENSION, values: figure.values() }))
    }

    /// The figure that a formula gives: its bounds are the formula with each symbol at the end that its sign says.
    #[must_use]
    fn figure<R: Row>(self, row: R) -> Estimate<R::Of> {
        let figure = Estimate::around([row.at(End::Low), row.at(End::Likely), row.at(End::High)]);
        figure.recorded(self.note(|| by_formula(&[&row], figure, Ends::BySigns)))
    }

    /// The amount that a rule gives which is no formula, and the amounts that it goes by.
    #[must_use]
    fn amount(self, rule: &'static str, by: &[WholeVolume], volume: Millilitres) -> WholeVolume {
        let origin =
            || Origin::Rule { rule, inputs: by.iter().map(|amount| amount.node).filter(|node| *node != 0).collect() };
        let entry = || Entry {
            origin: origin(),
            dimension: Dimension::Volume,
            values: WholeVolume::from(volume).figure().values(),
        };
        WholeVolume { volume, node: self.note(entry) }
    }

    /// The amount that a formula between volumes gives. Such a formula holds in any unit of volume, so it is computed in whole
    /// millilitres: exact, as long as all of them together stay below 2^53.
    #[must_use]
    fn whole<R: Row<Of = OfVolume>, const N: usize>(self, inputs: [WholeVolume; N]) -> WholeVolume {
        let amount = nearest_millilitre(of_whole::<R, N>(inputs));
        let entry = || by_amounts::<R>(inputs.into_iter().enumerate(), amount.figure());
        WholeVolume { node: self.note(entry), ..amount }
    }

    /// The same of a formula over one list.
    #[must_use]
    fn whole_of_list<R: Row<Of = OfVolume>>(self, list: &[WholeVolume]) -> WholeVolume {
        let values: Vec<f64> = list.iter().map(|amount| whole(amount.volume.get())).collect();
        let amount = nearest_millilitre((R::definition().evaluate)(&[&values]));
        let entry = || by_amounts::<R>(list.iter().map(|amount| (0, *amount)), amount.figure());
        WholeVolume { node: self.note(entry), ..amount }
    }

    /// The same of a formula that gives a share of volumes.
    #[must_use]
    fn of_amounts<R: Row, const N: usize>(self, inputs: [WholeVolume; N]) -> Estimate<R::Of> {
        let figure = Estimate::exactly(Quantity::from_base(of_whole::<R, N>(inputs)));
        figure.recorded(self.note(|| by_amounts::<R>(inputs.into_iter().enumerate(), figure)))
    }

    /// The same where inputs are tied, so that their ends are no ends of the figure: what is put in at each end, low, likely and
    /// high.
    #[must_use]
    fn figure_at<R: Row>(self, rows: [R; 3]) -> Estimate<R::Of> {
        let [low, likely, high] = &rows;
        let figure = Estimate::around([low, likely, high].map(|row| row.at(End::Likely))).unless_rounding();
        figure.recorded(self.note(|| by_formula(&[likely, low, high], figure, Ends::Tied)))
    }

    /// The likely value that a formula gives, between bounds that come of a simulation.
    #[must_use]
    fn figure_within<R: Row>(self, row: R, bounds: Estimate<R::Of>) -> Estimate<R::Of> {
        let likely = row.at(End::Likely);
        let [low, _, high] = bounds.values();
        let figure =
            Estimate::around(if bounds.is_exact() { [likely; 3] } else { [low.min(likely), likely, high.max(likely)] });
        figure.recorded(self.note(|| by_formula(&[&row], figure, Ends::Simulated)))
    }
}

/// The first of the rows tells the figures put in; their ranges are the values in all rows together.
fn by_formula<R: Row, D: Measured>(rows: &[&R], figure: Estimate<D>, ends: Ends) -> Entry {
    let mut inputs: Vec<(usize, Input)> = Vec::new();
    for (i, row) in rows.iter().enumerate() {
        let mut at = 0;
        row.each_input(|term, input| {
            if i == 0 {
                inputs.push((term, input));
            } else if let Some((_, Input { values: [low, _, high], .. })) = inputs.get_mut(at) {
                (*low, *high) = (low.min(input.values[0]), high.max(input.values[2]));
            }
            at += 1;
        });
    }
    let origin = Origin::Formula { definition: R::definition(), inputs, ends };
    Entry { origin, dimension: D::DIMENSION, values: figure.values() }
}

/// A formula between volumes, in millilitres.
fn of_whole<R: Row, const N: usize>(inputs: [WholeVolume; N]) -> f64 {
    let values = inputs.map(|amount| [whole(amount.volume.get())]);
    (R::definition().evaluate)(&values.each_ref().map(<[f64; 1]>::as_slice))
}

fn nearest_millilitre(millilitres: f64) -> WholeVolume {
    Millilitres::nearest(Volume::from_litres(millilitres / 1000.0)).into()
}

fn by_amounts<R: Row>(inputs: impl Iterator<Item = (usize, WholeVolume)>, figure: Estimate<R::Of>) -> Entry {
    let input = |amount: WholeVolume| Input { node: amount.node, values: amount.figure().values() };
    let inputs = inputs.map(|(term, amount)| (term, input(amount)));
    let origin = Origin::Formula { definition: R::definition(), inputs: inputs.collect(), ends: Ends::BySigns };
    Entry { origin, dimension: <R::Of as Measured>::DIMENSION, values: figure.values() }
}

/// Records nothing.
#[derive(Debug, Clone, Copy)]
pub struct Off;

impl Recorder for Off {
    fn note(self, _: impl FnOnce() -> Entry) -> u32 {
        0
    }
}

/// Records in a book where there is one.
impl Recorder for Option<&Book> {
    fn note(self, entry: impl FnOnce() -> Entry) -> u32 {
        self.map_or(0, |book| book.note(entry()))
    }
}

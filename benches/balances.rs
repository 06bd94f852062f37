//! Cost of sharing: `cargo bench --no-default-features --bench balances`. Lots and demands of many shapes, and for each how long
//! sharing takes per step of its estimate: the estimate is to be an upper bound of the work, and no shape far above the others.

#![expect(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

use barrowful::garden::balances::allocation::{Eligibility, Lot, Window};
use barrowful::garden::balances::size::Size;
use barrowful::garden::balances::{Part, Requirement, balance};
use barrowful::garden::cautions::waiting::Limit;
use barrowful::garden::units::Millilitres;
use barrowful::garden::work::Work;
use chrono::{Days, NaiveDate};
use std::hint::black_box;
use std::time::Instant;

fn day(days: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 1, 1).unwrap().checked_add_days(Days::new(days)).unwrap()
}

/// A small seeded generator.
struct Chance(u64);

impl Chance {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit.max(1)
    }
}

/// How the days of lots and demands lie.
#[derive(Clone, Copy, Debug)]
enum Shape {
    /// Each demand on a day of its own, lots coming over the years.
    Days,
    /// Ranges of any length anywhere.
    Ranges,
    /// Ranges one within the other.
    Nested,
    /// A chain: each range meets the next.
    Chain,
}

fn window(shape: Shape, (place, of): (u64, u64), chance: &mut Chance) -> Window {
    let span = 3_600;
    let (first, last) = match shape {
        Shape::Days => {
            let on = chance.below(span);
            (on, on)
        }
        Shape::Ranges => {
            let first = chance.below(span);
            (first, first + chance.below(span - first))
        }
        Shape::Nested => (place * span / of / 2, span - place * span / of / 2),
        Shape::Chain => (place * span / of, (place + 2) * span / of),
    };
    Window { first: Some(day(first)), last: Some(day(last)) }
}

struct Case {
    lots: Vec<Lot>,
    requirements: Vec<Requirement>,
}

/// What the demands ask besides an amount.
#[derive(Clone, Copy, Debug)]
struct Kind {
    portions: bool,
    minimums: bool,
    barred: bool,
}

fn case(shapes: (Shape, Shape), (lots, parts, priorities): (u64, u64, u64), kind: Kind, seed: u64) -> Case {
    let mut chance = Chance(seed);
    let made: Vec<Lot> = (0..lots)
        .map(|i| Lot {
            amount: Millilitres::new(1 + chance.below(90_000)),
            window: window(shapes.0, (i, lots), &mut chance),
            untreated: kind.barred && i % 2 == 0,
            ..Lot::default()
        })
        .collect();
    let mut requirements: Vec<Requirement> = (0..parts)
        .map(|i| {
            let amount = 1 + chance.below(90_000 * lots / parts * 2 + 1_000);
            let pieces = kind.portions.then(|| u32::try_from(1 + chance.below(300)).unwrap());
            let window = window(shapes.1, (i, parts), &mut chance);
            let part = Part { amount: Millilitres::new(amount), window, pieces, ..Part::default() };
            let minimum =
                (kind.minimums && i < 100).then(|| Millilitres::new((amount * (1 + chance.below(100)) / 100).max(1)));
            let priority = u8::try_from(1 + chance.below(priorities)).unwrap();
            Requirement { parts: vec![part], priority, whole_portions: pieces.is_some(), minimum, grown: None }
        })
        .collect();
    let limit =
        |chance: &mut Chance| Eligibility { treated: Limit::Always, untreated: Limit::Until(day(chance.below(3_600))) };
    for part in requirements.iter_mut().flat_map(|requirement| &mut requirement.parts).filter(|_| kind.barred) {
        part.eligibility = limit(&mut chance);
    }
    Case { lots: made, requirements }
}

fn main() {
    let all = [Shape::Days, Shape::Ranges, Shape::Nested, Shape::Chain];
    for flags in 0..8_u8 {
        let kind = Kind { portions: flags & 1 != 0, minimums: flags & 2 != 0, barred: flags & 4 != 0 };
        for (lots, parts, priorities) in SIZES {
            let (mut longest, mut slowest): ((f64, u64, _), f64) = ((0.0, 0, None), 0.0);
            for (supply, asked) in all.into_iter().flat_map(|one| all.map(|other| (one, other))) {
                let case = case((supply, asked), (lots, parts, priorities), kind, 7);
                let Ok(work) = Size::of(&case.lots, &case.requirements).check(Work::default()) else { continue };
                let begin = Instant::now();
                black_box(balance(&case.lots, &case.requirements, None));
                let seconds = begin.elapsed().as_secs_f64();
                if seconds > longest.0 {
                    longest = (seconds, work.count(), Some((supply, asked)));
                }
                slowest = slowest.max(seconds / f64::from(u32::try_from(work.count()).unwrap()));
            }
            let (seconds, steps, shapes) = longest;
            let Some(shapes) = shapes else { continue };
            println!(
                "{kind:?} {lots} lots, {parts} demands, {priorities} priorities: {seconds:.4} s of {steps} steps, at most {:.1} ns each, {shapes:?}",
                slowest * 1e9
            );
        }
    }
}

/// Lots, demands, priorities.
const SIZES: [(u64, u64, u64); 12] = [
    (1, 10_000, 1),
    (10, 2_000, 1),
    (10, 20_000, 1),
    (10, 500, 99),
    (1_000, 200, 1),
    (450, 450, 1),
    (1_000, 2_000, 1),
    (1_000, 10_000, 1),
    (100, 10_000, 99),
    (20, 10_000, 3),
    (50, 1_000, 1),
    (1_000, 30_000, 1),
];

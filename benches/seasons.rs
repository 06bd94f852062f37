//! Speed of the runs: `cargo bench --no-default-features --bench seasons`. A year with 10 beds, 30 lots and 200 demands is to be played 2,000
//! times in less than 120 ms. Beside it: what it takes to draw as many numbers as there are variables, lots and demands and to add
//! them up, and to turn them into values first.

#![expect(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

use barrowful::garden::assumptions::{Known, Overrides, Span};
use barrowful::garden::balances::additional_production::{Means, Recipe, Shortfall, first_day, last_day, produce};
use barrowful::garden::balances::allocation::{Lot, Window};
use barrowful::garden::balances::{Part, Requirement};
use barrowful::garden::beds::{Bed, Climate, Clocks, Feed, Supply};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::dates::date;
use barrowful::garden::draws::{Drawn, Variable, Variables};
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::{Amount, BedPlan, Factor, Season, SeasonPlan, plan, plan_chances, simulate};
use barrowful::garden::units::{Area, Density, Mass, Millilitres, Share, Temperature, TemperatureDifference, Volume};
use barrowful::garden::work::Work;
use chrono::{Days, NaiveDate};
use std::hint::black_box;
use std::time::{Duration, Instant};

const BEDS: u32 = 10;
const DEMANDS: u32 = 200;
const LOTS: u32 = 30;
const RUNS: u32 = 2_000;
const MANY_RUNS: u32 = 20_000;

fn day(days: u32) -> NaiveDate {
    date("2027-03-01").unwrap().checked_add_days(Days::new(u64::from(days))).unwrap()
}

fn climate() -> Climate {
    let means = [4.0, 5.0, 8.0, 12.0, 16.0, 19.0, 22.0, 21.0, 17.0, 13.0, 8.0, 5.0].map(Temperature::from_celsius);
    Climate::MonthlyMeans { means, offset: TemperatureDifference::from_kelvins(3.0) }
}

fn bed(number: u32) -> Bed {
    Bed {
        area: Area::from_square_metres(2.0 + f64::from(number) / 2.0).into(),
        worms: None,
        running: None,
        start_on: day(number * 5),
        feed: Feed {
            moisture: Share::from_fraction(0.75).into(),
            ash: Share::from_fraction(0.15).into(),
            nitrogen: Some(Share::from_fraction(0.018).into()),
            supply: Supply::AsNeeded,
            cautions: Vec::new(),
            assumed: Vec::new(),
        },
        layers_per_cycle: Some(2),
        cycles: None,
    }
}

/// An amount known to within a fifth.
fn ranged(litres: f64) -> Amount {
    let span = Span { low: litres * 0.8, likely: litres, high: litres * 1.2 };
    Amount { factors: vec![Factor::Range(span)], overrides: Overrides::default() }
}

fn amount(litres: f64) -> Millilitres {
    Millilitres::nearest(Volume::from_litres(litres))
}

/// Ten beds, thirty lots of which some expire, 200 demands on dates over the year; all amounts have ranges.
fn season<'a>(clocks: &'a Clocks, none: &'a Overrides) -> Season<'a> {
    let lot = |i: u32| {
        let window = Window { first: Some(day(i * 7)), last: i.is_multiple_of(3).then(|| day(i * 7 + 60)) };
        (Lot { amount: amount(40.0), window, ..Lot::default() }, ranged(40.0))
    };
    let requirement = |i: u32| {
        let litres = 4.0 + f64::from(i % 7);
        let window = Window { first: Some(day((i * 7) % 320)), last: Some(day((i * 7) % 320 + 20 + i % 25)) };
        let part = Part { amount: amount(litres), window, pieces: None, ..Part::default() };
        let priority = if i.is_multiple_of(3) { 1 } else { 2 };
        (Requirement { parts: vec![part], priority, whole_portions: false, minimum: None, grown: None }, ranged(litres))
    };
    Season {
        beds: (0..BEDS).map(|i| BedPlan { bed: bed(i), clocks, overrides: none, manure: Manure::default() }).collect(),
        stock: (0..LOTS).map(lot).collect(),
        requirements: (0..DEMANDS).map(requirement).collect(),
        until: day(364),
        as_of: None,
        sack: None,
        request: none,
        beside: Work::default(),
    }
}

/// The least of so many rounds: what else the machine does only adds to it.
fn least(rounds: u32, mut work: impl FnMut()) -> Duration {
    let time = |_| {
        let start = Instant::now();
        work();
        start.elapsed()
    };
    (0..rounds).map(time).min().unwrap_or_default()
}

/// So many variables.
fn variables(many: usize) -> (Variables, Vec<Drawn>) {
    let mut variables = Variables::default();
    let wide = Span { low: 0.0, likely: 1.0, high: 2.0 };
    let drawn = (0..many).map(|i| variables.take(Variable::Demand(i), wide)).collect();
    (variables, drawn)
}

/// As many numbers as there are variables, lots and demands, in every run, added up.
fn numbers(many: usize, runs: u32) -> f64 {
    let (variables, _) = variables(many);
    let runs = usize::try_from(runs).unwrap();
    (0..many).map(|column| variables.column(1, column, runs).iter().sum::<f64>()).sum()
}

/// The same run by run, each turned into a value of its range.
fn values(many: usize, runs: u32) -> f64 {
    let (variables, drawn) = variables(many);
    let mut sum = 0.0;
    variables.each_run(1, (0, runs), |_, run| sum += drawn.iter().map(|value| value.of(run)).sum::<f64>());
    sum
}

fn simulations(season: &Season<'_>, planned: &SeasonPlan) {
    let chances = simulate(season, planned, (RUNS, 1)).unwrap();
    let assumptions = 22;
    let many = assumptions + planned.lots.len() + season.requirements.len();
    println!(
        "{BEDS} beds, {} lots, {DEMANDS} demands, {} dates, {RUNS} runs; first to measure: {:?}",
        planned.lots.len(),
        chances.plan.by_date.len(),
        chances.measure_first.first().map(|measure| measure.variable)
    );
    for (runs, rounds) in [(RUNS, 15), (MANY_RUNS, 1)] {
        let drawn = least(rounds, || {
            black_box(numbers(many, runs));
        });
        let valued = least(rounds, || {
            black_box(values(many, runs));
        });
        let whole = least(rounds, || {
            black_box(simulate(season, planned, (runs, 1)).unwrap());
        });
        let times = |base: Duration| whole.as_secs_f64() / base.as_secs_f64();
        println!(
            "{runs} runs: {whole:.1?}; of {many} numbers in each run, drawn and added up: {drawn:.1?} ({:.1} times); turned into \
             values: {valued:.1?} ({:.1} times)",
            times(drawn),
            times(valued)
        );
    }
}

/// A season of stock alone: lots, demands, days of their windows, priorities, and what is special.
type Shape = (u32, u32, u32, u32, Special);

#[derive(Debug, Clone, Copy, PartialEq)]
enum Special {
    Nothing,
    /// Every other lot expires.
    Expires,
    /// No lot is enough for a demand, and each wants all or nothing.
    Minimum,
}

fn of_shape((lots, demands, days, priorities, special): Shape, none: &Overrides) -> Season<'_> {
    let lot = |i: u32| {
        let first = i * 360 / lots;
        let last = (special == Special::Expires && i.is_multiple_of(2)).then(|| day(first + 90));
        let litres = if special == Special::Minimum { 0.05 } else { 20.0 };
        let window = Window { first: Some(day(first)), last };
        (Lot { amount: amount(litres), window, ..Lot::default() }, ranged(litres))
    };
    let asked = |i: u32| {
        let first = if days < 364 { (i * 7) % 320 } else { 0 };
        let window = Window { first: Some(day(first)), last: Some(day((first + days).min(364))) };
        let part = Part { amount: amount(5.0), window, pieces: None, ..Part::default() };
        let priority = u8::try_from(1 + i % priorities).unwrap();
        let minimum = (special == Special::Minimum).then(|| amount(5.0));
        let one = Requirement { parts: vec![part], priority, whole_portions: false, minimum, grown: None };
        (one, ranged(5.0))
    };
    Season {
        beds: Vec::new(),
        stock: (0..lots).map(lot).collect(),
        requirements: (0..demands).map(asked).collect(),
        until: day(364),
        as_of: None,
        sack: None,
        request: none,
        beside: Work::default(),
    }
}

/// What a step of a run takes, for seasons that cost the rule much. At most 40 ns, so that 50 million steps are within two seconds.
fn shapes(none: &Overrides) {
    use Special::{Expires, Minimum, Nothing};
    let wide = [(100, 1_000, 364, 1, Nothing), (100, 1_000, 364, 50, Expires), (10, 3_000, 30, 3, Nothing)];
    let narrow = [(30, 200, 30, 2, Expires), (300, 300, 5, 99, Expires), (1, 10_000, 0, 1, Nothing)];
    for shape in wide.into_iter().chain(narrow).chain([(95, 100, 364, 1, Minimum)]) {
        let season = of_shape(shape, none);
        let planned = plan(&season, Off).unwrap();
        let steps = planned.work_of_a_run(&season, 0);
        let runs = 200;
        let time = |work: &dyn Fn()| least(3, work) / runs;
        let whole = time(&|| drop(black_box(simulate(&season, &planned, (runs, 1)).unwrap())));
        let rule = time(&|| drop(black_box(plan_chances(&season, &planned, (runs, 1)).unwrap())));
        #[expect(clippy::as_conversions, reason = "some millions")]
        let each = whole.as_secs_f64() * 1e9 / steps as f64;
        let (lots, demands, days, priorities, special) = shape;
        println!(
            "{lots} lots, {demands} demands of {days} days, {priorities} priorities, {special:?}: {whole:.1?} a run ({rule:.1?} by the rule), \
             {steps} steps of {each:.1} ns"
        );
    }
}

fn main() {
    let none = Overrides::default();
    let known = Known { request: &none, item: &none };
    let clocks = Clocks::new(&climate(), (day(0), day(364)), known).unwrap();
    let season = season(&clocks, &none);
    let planned = plan(&season, Off).unwrap();
    simulations(&season, &planned);
    shapes(&none);
    let shortfalls: Vec<Shortfall> =
        (0..6).map(|i| Shortfall { by: day(180 + i * 30), amount: amount(50.0 + f64::from(i) * 40.0) }).collect();
    let days = (first_day(None, &shortfalls).unwrap(), last_day(None, &shortfalls).unwrap());
    let clocks = Clocks::new(&climate(), days, known).unwrap();
    let recipe = Recipe {
        heats: false,
        dry: Mass::from_kilograms(100.0),
        moisture: Share::from_fraction(0.7),
        ash: Share::from_fraction(0.15),
        nitrogen: Share::from_fraction(0.018),
        dry_density: Density::from_base(130.0),
        days: 10,
    };
    let means = Means {
        recipe,
        area: None,
        worms: None,
        layers: None,
        materials_from: None,
        bed_from: None,
        as_of: None,
        clocks: &clocks,
        known,
        runs: (RUNS, 1),
    };
    let time = least(5, || {
        black_box(produce(&shortfalls, &means).unwrap());
    });
    println!("what to produce for {} dates, {RUNS} runs: {time:.1?}", shortfalls.len());
}

//! The laws of seasons, on beds, stock and demands at large: more never hurts, later is the same later.

use super::drawn::frosty;
use super::{ml, played, ranged, season, sure};
use crate::beds::laws::{beds, beds_in_any_phase, climate, later};
use crate::beds::{bed, fixed, square_metres, weighing};
use crate::support::{laws, on, span, with};
use barrowful::garden::assumptions::{Assumption, Overrides, Span};
use barrowful::garden::balances::allocation::{Lot, Window};
use barrowful::garden::balances::{Part, Requirement};
use barrowful::garden::beds::{Bed, Climate, Clocks, Supply, forecast_on};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::{Amount, BedPlan, Season, plan};
use barrowful::garden::units::Millilitres;
use chrono::NaiveDate;
use proptest::prelude::*;

/// Demands in parts that may be open at either end.
fn open_wants() -> impl Strategy<Value = Vec<(Requirement, Amount)>> {
    let day = |days: u64| later(on("2027-03-01"), days);
    let part = (1_u64..40, prop::option::of(0_u64..250), prop::option::of(0_u64..90)).prop_map(
        move |(litres, first, days)| {
            let window = Window { first: first.map(day), last: days.map(|d| day(first.unwrap_or(0) + d)) };
            Part { amount: Millilitres::new(litres * 1_000), window, pieces: None, ..Part::default() }
        },
    );
    let requirement = (prop::collection::vec(part, 1..3), 1_u8..3).prop_map(|(parts, priority)| {
        (Requirement { parts, priority, whole_portions: false, minimum: None, grown: None }, sure())
    });
    prop::collection::vec(requirement, 1..7)
}

proptest! {
    #![proptest_config(laws(1_500))]

    /// Two ways that know nothing of each other: castings are enough on every date, counted date by date, just where the exact
    /// sharing (by maximum flow) leaves nobody short. Stock that keeps and stock that expires, demands in parts, open dates. And what
    /// the rule gives could be shared out: who is served in full by it is not short in the plan.
    #[test]
    fn enough_on_every_date_is_nobody_short(stock in stock(), more in stock(), requirements in open_wants()) {
        let none = Overrides::default();
        let season = season(certain([stock, more].concat()), requirements, &none);
        let (plan, chances) = played(&season, (1, 1));
        let short: u64 = plan.balance.demands.iter().map(|served| served.shortfall.get()).sum();
        prop_assert_eq!(chances.margin.unwrap().p50 >= 0.0, short == 0, "{:?} {:?}", plan.balance.demands, chances);
        prop_assert!(chances.plan.enough == 0 || short == 0, "{:?} {:?}", plan.balance.demands, chances);
    }

    /// Where nothing is uncertain and every demand has one day, and no castings expire, who follows the plan gives what it allocates.
    #[test]
    fn a_certain_plan_of_single_days_is_kept(stock in stock(), more in stock(), requirements in open_wants(), days in prop::collection::vec(0_u64..250, 7)) {
        let mut requirements = requirements;
        for ((requirement, _), day) in requirements.iter_mut().zip(days) {
            for (i, part) in requirement.parts.iter_mut().enumerate() {
                let day = later(on("2027-03-01"), day + 20 * i as u64);
                part.window = Window { first: Some(day), last: Some(day) };
            }
        }
        is_kept([stock, more].concat(), requirements)?;
    }

    /// The same where demands have any days.
    #[test]
    fn a_certain_plan_is_kept(stock in stock(), more in stock(), requirements in open_wants()) {
        is_kept([stock, more].concat(), requirements)?;
    }
}

/// That a run in which all is as planned gives what the plan allocates, of castings that keep.
fn is_kept(stock: Vec<(Lot, Amount)>, requirements: Vec<(Requirement, Amount)>) -> Result<(), TestCaseError> {
    let none = Overrides::default();
    let season = season(lasting(stock), requirements, &none);
    let (plan, chances) = played(&season, (1, 1));
    for (chance, served) in chances.plan.demands.iter().zip(&plan.balance.demands) {
        prop_assert_eq!(chance.allocated, 1, "{:?} {:?}", plan.balance.demands, chances.plan);
        prop_assert_eq!(chance.full == 1, served.shortfall == Millilitres::ZERO);
    }
    Ok(())
}

/// Lots of which the amounts are known, and that keep.
fn lasting(stock: Vec<(Lot, Amount)>) -> Vec<(Lot, Amount)> {
    let keeps = |(lot, amount): (Lot, Amount)| (Lot { window: Window { last: None, ..lot.window }, ..lot }, amount);
    certain(stock).into_iter().map(keeps).collect()
}

/// The same lots with amounts that are known.
fn certain(stock: Vec<(Lot, Amount)>) -> Vec<(Lot, Amount)> {
    stock.into_iter().map(|(lot, _)| (lot, sure())).collect()
}

/// Lots and demands of some tens of litres over a year; two priorities.
fn stock() -> impl Strategy<Value = Vec<(Lot, Amount)>> {
    let one = (5.0_f64..60.0, 0_u64..300, prop::option::weighted(0.3, 0_u64..120), prop::option::of(0.1_f64..0.9));
    prop::collection::vec(one, 0..4).prop_map(|lots| {
        let lot = |(litres, first, keeps, width): (f64, u64, Option<u64>, Option<f64>)| {
            let first = later(on("2027-03-01"), first);
            let window = Window { first: Some(first), last: keeps.map(|days| later(first, days)) };
            let amount = width.map_or(sure(), |w| ranged(litres * (1.0 - w), litres, litres * (1.0 + w)));
            (Lot { amount: ml(litres), window, ..Lot::default() }, amount)
        };
        lots.into_iter().map(lot).collect()
    })
}

fn requirements() -> impl Strategy<Value = Vec<(Requirement, Amount)>> {
    let one = (5.0_f64..80.0, 0_u64..250, 0_u64..90, 1_u8..3);
    prop::collection::vec(one, 1..6).prop_map(|requirements| {
        let requirement = |(litres, first, days, priority): (f64, u64, u64, u8)| {
            let first = later(on("2027-03-01"), first);
            let window = Window { first: Some(first), last: Some(later(first, days)) };
            (
                Requirement {
                    parts: vec![Part { amount: ml(litres), window, pieces: None, ..Part::default() }],
                    priority,
                    whole_portions: false,
                    minimum: None,
                    grown: None,
                },
                sure(),
            )
        };
        requirements.into_iter().map(requirement).collect()
    })
}

/// What the first priority gets in all, and what has come by each date.
fn first_priority(season: &Season<'_>) -> (u64, Vec<f64>) {
    let (plan, chances) = played(season, (60, 7));
    let of_first =
        plan.requirements.iter().zip(&plan.balance.demands).filter(|(requirement, _)| requirement.priority == 1);
    let come = chances.ready.iter().flat_map(|on| [on.litres.p10, on.litres.p50, on.litres.p90]);
    (of_first.map(|(_, served)| served.allocated.get()).sum(), come.collect())
}

/// A season with one bed in it.
fn with_bed<'a>(bed: Bed, clocks: &'a Clocks, none: &'a Overrides, base: &Season<'a>) -> Season<'a> {
    Season { beds: vec![BedPlan { bed, clocks, overrides: none, manure: Manure::default() }], ..base.clone() }
}

fn clocks_of(climate: &Climate, none: &Overrides) -> Clocks {
    with(none, |k| Clocks::new(climate, (on("2027-03-01"), on("2027-12-31")), k)).unwrap()
}

proptest! {
    #![proptest_config(laws(100))]

    /// What the first priority gets in all never falls, nor what has come by any date, with the same draws: more stock.
    #[test]
    fn more_stock_never_hurts(stock in stock(), requirements in requirements(), more in stock()) {
        let none = Overrides::default();
        // The dates are those of the longer list, so that they can be compared.
        let nothing = more.iter().map(|(lot, _)| (Lot { amount: Millilitres::ZERO, ..*lot }, sure()));
        let with_nothing = season(stock.iter().cloned().chain(nothing).collect(), requirements.clone(), &none);
        let with_more = season([stock, more].concat(), requirements, &none);
        let ((less, before), (given, come)) = (first_priority(&with_nothing), first_priority(&with_more));
        prop_assert!(given >= less);
        prop_assert!(come.iter().zip(&before).all(|(a, b)| a >= b), "{:?} {:?}", before, come);
    }

    /// The same for more worms in a bed.
    #[test]
    fn more_worms_never_hurt(stock in stock(), requirements in requirements(), bed in beds(), more in 1.0_f64..3.0, t in 10.0_f64..30.0) {
        let none = Overrides::default();
        let clocks = clocks_of(&fixed(t), &none);
        let bed = Bed { start_on: on("2027-03-01"), ..bed };
        let many = Bed { worms: bed.worms.map(|w| w.times(more)), ..bed.clone() };
        let base = season(stock, requirements, &none);
        let (less, before) = first_priority(&with_bed(bed, &clocks, &none, &base));
        let (given, come) = first_priority(&with_bed(many, &clocks, &none, &base));
        prop_assert!(given >= less);
        prop_assert!(come.iter().zip(&before).all(|(a, b)| a >= b), "{:?} {:?}", before, come);
    }

    /// The same for more warmth, up to the low end of what is comfortable at most (23 C).
    #[test]
    fn more_warmth_never_hurts(stock in stock(), requirements in requirements(), bed in beds(), t in 5.0_f64..23.0, up in 0.0_f64..1.0) {
        let none = Overrides::default();
        let (cool, warm) = (clocks_of(&fixed(t), &none), clocks_of(&fixed(t + up * (23.0 - t)), &none));
        let bed = Bed { start_on: on("2027-03-01"), ..bed };
        let base = season(stock, requirements, &none);
        let (less, before) = first_priority(&with_bed(bed.clone(), &cool, &none, &base));
        let (given, come) = first_priority(&with_bed(bed, &warm, &none, &base));
        prop_assert!(given >= less);
        prop_assert!(come.iter().zip(&before).all(|(a, b)| a >= b), "{:?} {:?}", before, come);
    }

    /// More ground for the same feed and worms: the same for a feed that the smaller bed takes in one cycle.
    #[test]
    fn more_ground_never_hurts_a_bed_of_one_cycle(
        stock in stock(), requirements in requirements(), area in 1.0_f64..4.0, more in 1.0_f64..3.0, load in 2.0_f64..36.0, worms in 0.5_f64..10.0,
    ) {
        let none = Overrides::default();
        let clocks = clocks_of(&fixed(18.0), &none);
        let on_ground = |area: f64, feed: f64| Bed {
            area: square_metres(area),
            worms: Some(weighing(worms)),
            start_on: on("2027-03-01"),
            ..bed(Supply::AllAtOnce(weighing(feed)))
        };
        let base = season(stock, requirements, &none);
        let (less, before) = first_priority(&with_bed(on_ground(area, area * load), &clocks, &none, &base));
        let (given, come) = first_priority(&with_bed(on_ground(area * more, area * load), &clocks, &none, &base));
        prop_assert!(given >= less);
        prop_assert!(come.iter().zip(&before).all(|(a, b)| a >= b), "{:?} {:?}", before, come);
    }

    /// All dates a week later in a constant climate: the answer a week later, all else the same.
    #[test]
    fn a_week_later_is_the_same_a_week_later(stock in stock(), requirements in requirements(), bed in beds(), t in 6.0_f64..30.0, weeks in 1_u64..8) {
        let none = Overrides::default();
        let bed = Bed { start_on: on("2027-03-01"), feed: barrowful::garden::beds::Feed { supply: Supply::AsNeeded, ..bed.feed }, ..bed };
        let days = 7 * weeks;
        let move_on = |window: Window| Window { first: window.first.map(|d| later(d, days)), last: window.last.map(|d| later(d, days)) };
        let clocks = clocks_of(&fixed(t), &none);
        let (first, last) = (later(on("2027-03-01"), days), later(on("2027-12-31"), days));
        let moved_clocks = with(&none, |k| Clocks::new(&fixed(t), (first, last), k)).unwrap();
        let base = season(stock, requirements, &none);
        let mut moved = Season { until: last, ..base.clone() };
        moved.stock.iter_mut().for_each(|(lot, _)| lot.window = move_on(lot.window));
        moved.requirements.iter_mut().flat_map(|(requirement, _)| &mut requirement.parts).for_each(|part| part.window = move_on(part.window));
        let (plan, mut chances) = played(&with_bed(bed.clone(), &clocks, &none, &base), (50, 3));
        let (later_plan, later_chances) = played(&with_bed(Bed { start_on: first, ..bed }, &moved_clocks, &none, &moved), (50, 3));
        let given = |p: &barrowful::garden::seasons::SeasonPlan| p.balance.demands.iter().map(|d| (d.allocated, d.shortfall)).collect::<Vec<_>>();
        prop_assert_eq!(given(&plan), given(&later_plan));
        let next = |day: &mut Option<NaiveDate>| *day = day.map(|d| later(d, days));
        chances.plan.by_date.iter_mut().for_each(|d| d.date = later(d.date, days));
        chances.ready.iter_mut().for_each(|d| d.date = later(d.date, days));
        for ready in chances.lots.iter_mut().map(|lot| &mut lot.ready) {
            [&mut ready.p10, &mut ready.p50, &mut ready.p90].into_iter().for_each(next);
        }
        next(&mut chances.worst_on);
        prop_assert_eq!(chances, later_chances);
    }

    /// Days more until the season ends never take a lot away, nor change one.
    #[test]
    fn a_longer_season_keeps_every_lot(bed in beds_in_any_phase(), climate in prop_oneof![climate(), Just(frosty())], days in 30_u64..500, more in 1_u64..300) {
        let none = Overrides::default();
        let lots = |days: u64| {
            let until = later(bed.start_on, days);
            let clocks = with(&none, |k| Clocks::new(&climate, (bed.first_day(), until), k)).unwrap();
            let base = Season { until, ..season(Vec::new(), Vec::new(), &none) };
            plan(&with_bed(bed.clone(), &clocks, &none, &base), Off).unwrap().lots
        };
        let (short, long) = (lots(days), lots(days + more));
        prop_assert!(long.starts_with(&short), "{:?} {:?}", short, long);
    }
}

proptest! {
    #![proptest_config(laws(12))]

    /// A wider range never narrows what is reported of a volume: with the same draws every value moves away from the likely one.
    #[test]
    fn a_wider_range_never_narrows(litres in 10.0_f64..90.0, widths in prop::array::uniform4(0.05_f64..0.9), which in 0_usize..4) {
        let none = Overrides::default();
        let [a, b, c, d] = widths;
        let (inner, outer) = ((a.min(b), c.min(d)), (a.max(b), c.max(d)));
        let spread = |(down, up): (f64, f64)| {
            let lot = Lot { amount: ml(litres), window: Window::default(), ..Lot::default() };
            let season = season(vec![(lot, ranged(litres * (1.0 - down), litres, litres * (1.0 + up)))], Vec::new(), &none);
            played(&season, (200, 3)).1.ready[0].litres
        };
        let (narrow, wide) = (spread(inner), spread(outer));
        prop_assert!(wide.p10 <= narrow.p10 + 1e-3 && wide.p90 >= narrow.p90 - 1e-3, "{:?} {:?}", narrow, wide);
        // A bed's castings, where only one of what they depend on becomes wider: within what 2,000 runs leave open.
        let assumption = [
            Assumption::OrganicMatterLoss, Assumption::SieveYield, Assumption::DryBulkDensity, Assumption::FeedDryDensity,
        ][which];
        let [low, likely, high] = assumption.definition().default.unwrap();
        let near = |x: f64| likely + (x - likely) * 0.5;
        let of_bed = |one: Span| {
            let mut request = Overrides::default();
            request.set(assumption, one).unwrap();
            let clocks = clocks_of(&fixed(20.0), &request);
            let base = season(Vec::new(), Vec::new(), &request);
            let found = played(&with_bed(bed(Supply::AsNeeded), &clocks, &none, &base), (2_000, 5)).1.lots[0].litres;
            found.p90 - found.p10
        };
        prop_assert!(of_bed(span(low, likely, high)) >= 0.98 * of_bed(span(near(low), likely, near(high))));
    }
}

/// Why ground is held to one cycle above: on more ground the first lot takes more of the feed, and so it is larger but later.
#[test]
fn more_ground_for_feed_of_several_cycles_is_a_larger_and_later_first_lot() {
    let none = Overrides::default();
    let clocks = clocks_of(&fixed(20.0), &none);
    let lots = |area: f64| {
        let bed = Bed {
            area: square_metres(area),
            start_on: on("2027-03-01"),
            layers_per_cycle: Some(1),
            ..bed(Supply::AllAtOnce(weighing(120.0)))
        };
        let forecast = with(&none, |k| forecast_on(&bed, &clocks, k, Off)).unwrap();
        forecast.lots.iter().map(|l| (l.ready.likely, l.yields.castings.likely().litres())).collect::<Vec<_>>()
    };
    let (small, large) = (lots(2.0), lots(6.0));
    assert!(large[0].0 > small[0].0 && large[0].1 > small[0].1, "{small:?} {large:?}");
}

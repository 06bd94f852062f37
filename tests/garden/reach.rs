//! What makes a season 90 % sure where no option does: closed forms, and every step that is found against the next smaller one.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::additional_production::{clocks, plain, recipe, short};
use crate::beds::fixed;
use crate::seasons::{exact, lot, ml, ranged, requirement, season, sure};
use crate::support::on;
use barrowful::garden::assumptions::{Known, Overrides};
use barrowful::garden::balances::additional_production::{Batch, LimitingFactor, Means as OfProduction, produce};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::options::{Change, Runs, chance_with};
use barrowful::garden::seasons::reach::{Action, Laid, Means, Production, Tried, Way, goal, to_90_percent};
use barrowful::garden::seasons::{Season, plan, plan_chances};
use barrowful::garden::units::Millilitres;
use barrowful::garden::work::Work;

const RUNS: (u32, u64) = (4_000, 5);

fn how(most_steps: u64) -> Runs {
    Runs { runs: RUNS, most_steps, beside: Work::default(), climate_days: 0, goal: 0 }
}

fn reach(season: &Season<'_>, means: Means<'_>, how: &mut Runs) -> Vec<Tried> {
    let chances = plan_chances(season, &plan(season, Off).unwrap(), RUNS).unwrap();
    to_90_percent(season, &chances, means, how)
}

const NOTHING: Means<'_> = Means { production: None, as_of: None, short: Millilitres::ZERO };

/// 55 to 70 L are there, likely 65, of 100 L that are needed on 10 January. In 90 of 100 runs there are at least 55 + 10 sqrt(0.2) = 59.47 L, so
/// 41 sacks of one litre are enough, and 40 are not; 9 of 5 L, and 8 are not.
#[test]
fn sacks_are_as_many_as_by_hand() {
    let none = exact();
    let requirements = || vec![(requirement(100.0, ("2027-01-10", "2027-01-10"), 1), sure())];
    let of = |holds: f64| Season {
        sack: Some(ml(holds)),
        ..season(vec![(lot(65.0, "", ""), ranged(55.0, 65.0, 70.0))], requirements(), &none)
    };
    for (holds, count) in [(1.0, 41), (5.0, 9)] {
        let season = of(holds);
        let found = reach(&season, NOTHING, &mut how(u64::MAX));
        assert_eq!(found.len(), 1);
        // From wherever the search begins, it ends there.
        for short in [35.0, 70.0, 1_000.0] {
            assert_eq!(reach(&season, Means { short: ml(short), ..NOTHING }, &mut how(u64::MAX)), found);
        }
        assert_eq!((found[0].way, &found[0].action), (Way::Sacks, &Action::Sacks(count)));
        assert_eq!(found[0].act_by, Some(on("2027-01-10")));
        let bought = |count: u64| {
            let litres = ml(holds).get() * count;
            let lot = season.bought(Millilitres::new(litres), found[0].act_by);
            chance_with(&season, Change::Bought(lot), how(u64::MAX)).unwrap()
        };
        let reached = found[0].reached.unwrap();
        assert_eq!(Some(reached.enough), bought(count).enough);
        assert_eq!(reached.shortfall, bought(count).shortfall);
        assert!(reached.enough >= goal(RUNS.0) && bought(count - 1).enough.unwrap() < goal(RUNS.0));
    }
    // Today is a day later: no number of sacks does it, and that is said with the most that was tried, twice what is needed and one more.
    let late = reach(&of(1.0), Means { as_of: Some(on("2027-01-11")), ..NOTHING }, &mut how(u64::MAX));
    assert_eq!((&late[0].action, late[0].reached), (&Action::Sacks(201), None));
    // Without enough steps nothing is said, and what there is is used up by what is played.
    assert_eq!(reach(&of(1.0), NOTHING, &mut how(1)), []);
    let mut some = how(1_000_000);
    let _ = reach(&of(1.0), NOTHING, &mut some);
    assert!(some.most_steps < 1_000_000);
}

/// What is certain already needs nothing; without sacks and beds nothing can be tried.
#[test]
fn what_is_sure_needs_nothing() {
    let none = exact();
    let sack = Some(ml(10.0));
    let of = |needed: f64| {
        let needed = vec![(requirement(needed, ("2027-01-10", "2027-01-10"), 1), sure())];
        season(vec![(lot(65.0, "", ""), ranged(55.0, 65.0, 70.0))], needed, &none)
    };
    // 58 L are there in 95.5 of 100 runs, 60 L in 87.5.
    assert_eq!(reach(&Season { sack, ..of(58.0) }, NOTHING, &mut how(u64::MAX)), []);
    assert_eq!(reach(&Season { sack, ..of(60.0) }, NOTHING, &mut how(u64::MAX)).len(), 1);
    assert_eq!(reach(&of(60.0), NOTHING, &mut how(u64::MAX)), []);
}

/// The first day by which it is not sure is the day to buy, be the plan short on it or not: 30 of 25 to 35 L are needed on 10 January, and 50 L more
/// on 1 February, of which the plan has none.
#[test]
fn sacks_come_by_the_first_day_that_is_not_sure() {
    let none = exact();
    let requirements = vec![
        (requirement(30.0, ("2027-01-10", "2027-01-10"), 1), sure()),
        (requirement(50.0, ("2027-02-01", "2027-02-01"), 2), sure()),
    ];
    let stock = vec![(lot(30.0, "", ""), ranged(25.0, 30.0, 35.0))];
    let season = Season { sack: Some(ml(10.0)), ..season(stock, requirements, &none) };
    assert_eq!(plan(&season, Off).unwrap().balance.first_shortfall_on, Some(on("2027-02-01")));
    let found = reach(&season, NOTHING, &mut how(u64::MAX));
    // 80 L are needed: with 50 L at least 30 L have to be there, half of the runs; with 60 L it is always enough.
    assert_eq!((&found[0].action, found[0].act_by), (&Action::Sacks(6), Some(on("2027-01-10"))));
    let of = |by: &str| {
        let lot = season.bought(ml(60.0), Some(on(by)));
        chance_with(&season, Change::Bought(lot), how(u64::MAX)).unwrap().enough.unwrap()
    };
    assert_eq!(of("2027-01-10"), RUNS.0);
    assert!(of("2027-01-11") < goal(RUNS.0));
}

/// Nothing is there of 40 L; a bed is started by today at 20 C. Each step that reaches it does so when it is played alone, and the next smaller
/// one does not.
#[test]
fn beds_that_reach_it_do_and_the_next_smaller_step_does_not() {
    let (none, climate) = (Overrides::default(), fixed(20.0));
    let known = Known { request: &none, item: &none };
    let (mut seen, mut barred) = (Vec::new(), 0);
    for (as_of, likely) in [("2026-06-20", 40.0), ("2026-07-20", 40.0), ("2026-03-01", 55.0)] {
        let shortfalls = [short(likely, "2026-09-20")];
        let clocks = clocks(&shortfalls, &climate, &none);
        let means = OfProduction { as_of: Some(on(as_of)), runs: RUNS, ..plain(&clocks, known) };
        let plans = produce(&shortfalls, &means).unwrap();
        let overrides = barrowful::garden::balances::additional_production::bed_overrides(&means);
        let recipe = recipe();
        let (overrides, manure) = (&overrides, Manure::NoManure);
        let of = Production {
            recipe: &recipe,
            plans: &plans,
            climate: &climate,
            overrides,
            manure,
            first_start: means.as_of,
        };
        let needed = ranged(likely - 10.0, likely, likely + 15.0);
        let requirements = vec![(requirement(likely, ("2026-09-20", "2026-09-20"), 1), needed)];
        let season = Season { until: on("2026-12-31"), ..season(Vec::new(), requirements, &none) };
        let with = Means { production: Some(of), as_of: means.as_of, ..NOTHING };
        let enough = |batches: &[Batch]| of.chance(&season, batches, how(u64::MAX)).unwrap().enough.unwrap();
        for tried in reach(&season, with, &mut how(u64::MAX)) {
            let Action::Beds(Laid { times, weeks, limiting_factor, batches }) = &tried.action else {
                panic!("no sacks")
            };
            if let Some(why) = limiting_factor {
                // No start before today is tried.
                assert_eq!((tried.way, *why, tried.act_by), (Way::EarlierStart, LimitingFactor::Today, means.as_of));
                assert!(batches.is_empty() && tried.reached.is_none());
                barred += 1;
                continue;
            }
            assert!(batches.iter().all(|batch| batch.start_on >= means.as_of));
            assert_eq!(tried.act_by, batches[0].start_on);
            let Some(reached) = tried.reached else {
                assert!(enough(batches) < goal(RUNS.0), "{:?}", tried.way);
                continue;
            };
            assert_eq!(enough(batches), reached.enough);
            assert!(reached.enough >= goal(RUNS.0));
            seen.push(tried.way);
            let batch = batches[0];
            let smaller = match tried.way {
                // Steps of a quarter up to twice as much.
                Way::MoreGround | Way::MoreWorms if *times > 2.0 => panic!("{times}"),
                Way::MoreGround => {
                    let part = (times - 0.25) / times;
                    let (area, feed) = (batch.area.times(part), batch.feed.times(part));
                    Batch { area, feed, worms: batch.worms.times(part), ..batch }
                }
                Way::MoreWorms => Batch { worms: batch.worms.times((times - 0.25) / times), ..batch },
                Way::EarlierStart => {
                    let later = |day: chrono::NaiveDate| day.checked_add_days(chrono::Days::new(7));
                    Batch { worms_in_on: batch.worms_in_on.and_then(later), ..batch }
                }
                Way::Sacks => panic!("no sacks"),
            };
            assert!(enough(&[smaller]) < goal(RUNS.0), "{:?} {times} {weeks}", tried.way);
        }
    }
    for way in [Way::MoreGround, Way::MoreWorms, Way::EarlierStart] {
        assert!(seen.contains(&way), "{way:?} {seen:?}");
    }
    assert!(barred > 0);
}

/// 60 to 120 L, likely 100: 40 L are needed in January and, first in line, 60 L in February; then 30 L in March. Two sacks of 40 L may come in
/// February as well as in January, and in March they are too late.
#[test]
fn sacks_may_come_as_late_as_they_reach_it() {
    let none = exact();
    let requirements = vec![
        (requirement(40.0, ("2027-01-10", "2027-01-10"), 2), sure()),
        (requirement(60.0, ("2027-02-01", "2027-02-01"), 1), sure()),
        (requirement(30.0, ("2027-03-01", "2027-03-01"), 3), sure()),
    ];
    let stock = vec![(lot(100.0, "", ""), ranged(60.0, 100.0, 120.0))];
    let season = Season { sack: Some(ml(40.0)), ..season(stock, requirements, &none) };
    let bought = |by: &str| {
        let lot = season.bought(ml(80.0), Some(on(by)));
        chance_with(&season, Change::Bought(lot), how(u64::MAX)).unwrap().enough.unwrap()
    };
    let chances = plan_chances(&season, &plan(&season, Off).unwrap(), RUNS).unwrap();
    assert!(chances.by_date[0].enough < goal(RUNS.0), "{:?}", chances.by_date);
    let found = reach(&season, NOTHING, &mut how(u64::MAX));
    assert_eq!((&found[0].action, found[0].act_by), (&Action::Sacks(2), Some(on("2027-02-01"))));
    assert_eq!(found[0].reached.unwrap().enough, bought("2027-02-01"));
    assert!(bought("2027-02-01") >= goal(RUNS.0) && bought("2027-03-01") < goal(RUNS.0));
    // Where the work is just enough for the count, the first day stays.
    let mut spent = how(u64::MAX);
    let _ = reach(&season, NOTHING, &mut spent);
    let tenth = (u64::MAX - spent.most_steps) / 10;
    let tried = (6..10).flat_map(|tenths| reach(&season, NOTHING, &mut how(tenth * tenths)));
    let of_first_day: Vec<Tried> = tried.filter(|tried| tried.act_by == Some(on("2027-01-10"))).collect();
    assert!(!of_first_day.is_empty() && of_first_day.iter().all(|tried| tried.action == Action::Sacks(2)));
}

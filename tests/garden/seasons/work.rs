//! The work of a season is in order, within the season, and gives what the plan gives.

use super::{lot, ml, requirement, season, sure};
use crate::beds::{bed, fixed, weighing};
use crate::support::{assert_near, on, with};
use barrowful::garden::assumptions::Overrides;
use barrowful::garden::beds::{Bed, Clocks, Running, Supply};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::work::{Task, TaskKind, work};
use barrowful::garden::seasons::{BedPlan, Season, plan};
use chrono::NaiveDate;

#[test]
fn work_is_in_order_within_the_season_and_gives_what_the_plan_gives() {
    let none = Overrides::default();
    let clocks = with(&none, |k| Clocks::new(&fixed(21.0), (on("2027-03-01"), on("2027-12-31")), k)).unwrap();
    let running =
        Some(Running { uneaten_feed: weighing(20.0), castings: weighing(10.0), layers_laid: 0, eaten_on: None });
    let beds =
        [Bed { running, ..bed(Supply::AllAtOnce(weighing(150.0))) }, Bed { worms: None, ..bed(Supply::AsNeeded) }];
    let season = Season {
        beds: beds
            .iter()
            .map(|b| BedPlan { bed: b.clone(), clocks: &clocks, overrides: &none, manure: Manure::default() })
            .collect(),
        sack: Some(ml(40.0)),
        ..season(
            vec![(lot(60.0, "2027-03-15", "2027-06-30"), sure()), (lot(15.0, "", ""), sure())],
            vec![
                (requirement(50.0, ("2027-04-01", "2027-05-01"), 1), sure()),
                (requirement(120.0, ("2027-05-10", "2027-10-01"), 1), sure()),
                (requirement(2_000.0, ("2027-09-01", "2027-12-01"), 2), sure()),
            ],
            &none,
        )
    };
    let plan = plan(&season, Off).unwrap();
    let tasks = work(&season, (&plan, &[]), &[]);
    let key = |t: &Task| (t.on, t.kind, t.bed, t.layer, t.demand);
    assert!(tasks.windows(2).all(|w| key(&w[0]) <= key(&w[1])));
    for task in &tasks {
        assert!(task.on >= on("2027-03-01") && task.on <= season.until, "{task:?}");
        assert!(task.until.is_none_or(|until| until >= task.on && until <= season.until), "{task:?}");
    }
    // Everything of the plan that has a day is given.
    for (demand, served) in plan.balance.demands.iter().enumerate() {
        assert!(served.allocations.iter().all(|draw| draw.on.is_some()));
        let given = tasks.iter().filter(|t| t.kind == TaskKind::Apply && t.demand == Some(demand));
        let litres: f64 = given.filter_map(|t| t.volume).map(|v| v.litres()).sum();
        assert_near(litres, served.allocated.volume().litres(), 1e-12);
    }
    for (i, forecast) in plan.forecasts.iter().enumerate() {
        assert!(!forecast.lots.is_empty());
        for lot in &forecast.lots {
            let of = |kind| -> NaiveDate {
                let found: Vec<&Task> =
                    tasks.iter().filter(|t| t.kind == kind && t.bed == Some((i, lot.cycle))).collect();
                assert_eq!(found.len(), 1, "{kind:?}");
                found[0].on
            };
            let [finish, harvest, sieve] = [TaskKind::LetFinish, TaskKind::Harvest, TaskKind::SieveAndStore].map(of);
            assert!(finish <= harvest && harvest <= sieve);
            assert_eq!(sieve, lot.ready.likely);
        }
        let laid = tasks.iter().filter(|t| t.kind == TaskKind::LayFeed && t.bed.is_some_and(|(bed, _)| bed == i));
        assert_eq!(laid.count(), forecast.layers.len());
        // Worms go into a bed that begins; a running bed has them.
        let put = tasks.iter().filter(|t| t.kind == TaskKind::IntroduceWorms && t.bed.is_some_and(|(bed, _)| bed == i));
        assert_eq!(put.count(), usize::from(beds[i].running.is_none()));
    }
    let sacks: u64 = tasks.iter().filter_map(|t| t.sacks).sum();
    assert_eq!(sacks, plan.balance.sacks.iter().map(|s| s.count).sum::<u64>());
    assert!(sacks > 0);
    let words: std::collections::BTreeSet<_> = TaskKind::ALL.iter().map(|kind| kind.as_str()).collect();
    assert_eq!(words.len(), TaskKind::ALL.len());
}

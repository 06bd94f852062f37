//! What to measure first follows from variances, and the same seed gives the same answer.

use super::{RUNS, lot, played, ranged, requirement, season, sure};
use crate::support::span;
use barrowful::garden::assumptions::Overrides;
use barrowful::garden::draws::{Variable, Variables};

/// Variances of split triangles of one shape go as their widths squared: 4 to 1 where one is twice as wide.
#[test]
fn what_varies_four_times_as_much_has_four_fifths() {
    let none = Overrides::default();
    let asked = vec![(requirement(100.0, ("", "2027-06-01"), 1), sure())];
    let one = vec![(lot(50.0, "", ""), ranged(30.0, 50.0, 70.0)), (lot(50.0, "", ""), sure())];
    let (_, chances) = played(&season(one, asked.clone(), &none), (2_000, 1));
    assert_eq!(chances.measure_first.len(), 1);
    assert_eq!(chances.measure_first[0].variable, Variable::Stock(0));
    assert!(chances.measure_first[0].share > 0.98);
    let two = vec![(lot(50.0, "", ""), ranged(40.0, 50.0, 60.0)), (lot(50.0, "", ""), ranged(30.0, 50.0, 70.0))];
    let (_, chances) = played(&season(two, asked, &none), (RUNS, 1));
    let found: Vec<_> = chances.measure_first.iter().map(|m| m.variable).collect();
    assert_eq!(found, [Variable::Stock(1), Variable::Stock(0)]);
    for (measure, expected) in chances.measure_first.iter().zip([0.8, 0.2]) {
        assert!((measure.share - expected).abs() < 0.02, "{measure:?}");
    }
}

/// The counts by the draws themselves, for so many runs and for ten times as many: the first runs are the same.
#[test]
fn the_same_seed_gives_the_same_answer_and_more_runs_go_on_from_it() {
    let none = Overrides::default();
    let stock =
        vec![(lot(40.0, "", ""), ranged(20.0, 40.0, 60.0)), (lot(10.0, "2027-05-01", ""), ranged(5.0, 10.0, 20.0))];
    let requirements = vec![
        (requirement(40.0, ("", "2027-04-01"), 1), sure()),
        (requirement(10.0, ("2027-05-20", "2027-06-01"), 1), sure()),
    ];
    let season = season(stock, requirements, &none);
    let mut variables = Variables::default();
    let spans = [span(20.0, 40.0, 60.0), span(5.0, 10.0, 20.0)];
    let drawn = [0, 1].map(|i| variables.take(Variable::Stock(i), spans[i]));
    for runs in [100_u32, 1_000] {
        let (_, chances) = played(&season, (runs, 42));
        let (mut first, mut both) = (0, 0);
        variables.each_run(42, (0, runs), |_, run| {
            let [a, b] = drawn.map(|d| (d.of(run) * 1_000.0).round());
            first += u32::from(a >= 40_000.0);
            both += u32::from(a >= 40_000.0 && a + b >= 50_000.0);
        });
        assert_eq!(chances.plan.by_date.iter().map(|d| d.enough).collect::<Vec<_>>(), [first, both]);
        assert_eq!(played(&season, (runs, 42)).1, chances);
        assert_ne!(played(&season, (runs, 43)).1.margin, chances.margin);
    }
}

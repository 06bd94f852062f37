//! An independent simulation of the rule finds the same chances.

use super::at;
use crate::beds::{bed, fixed, months, share, square_metres, weighing};
use crate::seasons::{RUNS, lot, ranged, requirement, season, sure};
use crate::support::{given, on, span, with};
use barrowful::garden::assumptions::CountedBy;
use barrowful::garden::assumptions::{Assumption, Overrides, Span};
use barrowful::garden::balances::{Part, Requirement};
use barrowful::garden::beds::{Bed, Clocks, Feed, Running, Supply};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::{Amount, BedPlan, Factor, Season, plan, plan_chances};

/// The season of demo-data/seasons/kitchen-garden.json in the core: two beds, a barrow in the shed, seven demands.
fn kitchen_garden<'a>([wall, loft]: [&'a Clocks; 2], request: &'a Overrides, none: &'a Overrides) -> Season<'a> {
    let feed = |bed: Bed| Bed { feed: Feed { moisture: share(0.75), ..bed.feed.clone() }, ..bed };
    let base = feed(bed(Supply::AsNeeded));
    let running = Some(Running {
        uneaten_feed: weighing(15.0),
        castings: weighing(0.18 * 220.0),
        layers_laid: 0,
        eaten_on: None,
    });
    let beds = [
        (
            Bed {
                area: square_metres(3.0),
                worms: Some(weighing(6.0)),
                running,
                start_on: on("2026-09-14"),
                ..base.clone()
            },
            wall,
        ),
        (
            Bed {
                area: square_metres(0.96),
                worms: None,
                start_on: on("2026-09-20"),
                layers_per_cycle: Some(2),
                cycles: Some(2),
                ..base
            },
            loft,
        ),
    ];
    let whole = |(requirement, amount): (Requirement, Amount), pieces| {
        let parts = requirement.parts.iter().map(|part| Part { pieces: Some(pieces), ..*part }).collect();
        (Requirement { parts, whole_portions: true, ..requirement }, amount)
    };
    let between = |litres, days, priority| (requirement(litres, days, priority), sure());
    let by_mass = Amount { factors: vec![Factor::By(CountedBy::Mass)], overrides: Overrides::default() };
    let batch = |day| requirement(3.0, (day, day), 3).parts;
    let tea =
        Requirement { parts: [batch("2027-06-11"), batch("2027-06-12")].concat(), ..requirement(6.0, ("", ""), 3) };
    Season {
        beds: beds
            .into_iter()
            .map(|(bed, clocks)| BedPlan { bed, clocks, overrides: none, manure: Manure::default() })
            .collect(),
        until: on("2027-07-31"),
        ..season(
            vec![(lot(65.0, "", "2027-06-30"), ranged(55.0, 65.0, 70.0))],
            vec![
                between(12.0, ("2027-02-20", "2027-03-20"), 1),
                at(48.0, "2027-03-25", 2),
                at(48.0, "2027-04-05", 2),
                at(57.6, "2027-04-05", 2),
                whole(between(54.0, ("2027-05-15", "2027-06-01"), 1), 36),
                (requirement(25.133, ("2027-05-10", "2027-05-25"), 2), by_mass),
                (tea, sure()),
            ],
            request,
        )
    }
}

/// The demo season, simulated by a program that shares nothing with this one (tests/fixtures/simulate_rule.py): the likely lots to the
/// millilitre, and the chances within four standard errors of both samples, with weather and without.
#[test]
fn an_independent_simulation_finds_the_same_chances() {
    let fixture = include_str!("../../../fixtures/rule.csv");
    let rows: Vec<Vec<&str>> = fixture.lines().map(|line| line.split(',').collect()).collect();
    let of = |case: &str| rows.iter().filter(|row| row[0] == case).collect::<Vec<_>>();
    let none = Overrides::default();
    let means = [2.0, 3.0, 6.0, 10.0, 14.0, 17.0, 19.0, 19.0, 15.0, 11.0, 6.0, 3.0];
    // As that program has it.
    let loss = (Assumption::OrganicMatterLoss, span(0.25, 0.4, 0.6));
    for (case, request) in
        [("alike", given(&[loss, (Assumption::YearToYear, Span::exactly(0.0))])), ("weather", given(&[loss]))]
    {
        let clocks =
            |climate, first| with(&request, |k| Clocks::new(&climate, (on(first), on("2027-07-31")), k)).unwrap();
        let (wall, loft) = (clocks(months(means, 6.0), "2026-09-14"), clocks(fixed(17.0), "2026-09-20"));
        let season = kitchen_garden([&wall, &loft], &request, &none);
        let planned = plan(&season, Off).unwrap();
        let lots = planned.lots.iter().skip(1);
        let lots =
            lots.map(|lot| (lot.window.first.unwrap().to_string(), format!("{:.3}", lot.amount.volume().litres())));
        assert_eq!(
            lots.collect::<Vec<_>>(),
            of("plan").iter().map(|row| (row[1].to_owned(), row[2].to_owned())).collect::<Vec<_>>()
        );
        let found = plan_chances(&season, &planned, (RUNS, 1)).unwrap();
        let mut counts: Vec<[Option<u32>; 2]> =
            found.demands.iter().map(|one| [Some(one.full), Some(one.allocated)]).collect();
        counts.push([Some(found.enough), None]);
        assert_eq!(counts.len(), of(case).len());
        for (counts, row) in counts.iter().zip(of(case)) {
            for (count, expected) in counts.iter().zip([row[2], row[3]]) {
                let (Some(count), expected) = (count, expected.parse::<f64>().unwrap()) else { continue };
                let found = f64::from(*count) / f64::from(RUNS);
                // The fixture has 10,000 runs; a share of 0 or 1 may be one of a few runs in it.
                let middle = expected.clamp(0.001, 0.999);
                let error = (middle * (1.0 - middle) * (1.0 / 10_000.0 + 1.0 / f64::from(RUNS))).sqrt();
                assert!((found - expected).abs() <= 4.0 * error, "{case}: {row:?}, but {found}");
            }
        }
    }
}

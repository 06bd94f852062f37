//! A season without ranges is forecasts and balance, and holds in all runs or in none.

use super::{exact, lot, played, requirement, season, sure};
use crate::beds::{bed, fixed, weighing};
use crate::support::{on, with};
use barrowful::garden::assumptions::Overrides;
use barrowful::garden::balances::allocation::{Lot, LotSource, Window};
use barrowful::garden::balances::{Requirement, balance};
use barrowful::garden::beds::{Clocks, Supply, forecast_on};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::{BedPlan, Season};
use barrowful::garden::units::Millilitres;

#[test]
fn a_season_without_ranges_is_forecasts_and_balance_and_holds_in_all_runs_or_in_none() {
    let request = exact();
    let clocks = with(&request, |k| Clocks::new(&fixed(20.0), (on("2027-03-01"), on("2027-12-31")), k)).unwrap();
    let beds = [Supply::AllAtOnce(weighing(90.0)), Supply::AsNeeded].map(bed);
    let none = Overrides::default();
    let season = Season {
        beds: beds
            .iter()
            .map(|b| BedPlan { bed: b.clone(), clocks: &clocks, overrides: &none, manure: Manure::default() })
            .collect(),
        ..season(
            vec![(lot(30.0, "", ""), sure()), (lot(12.5, "2027-05-01", "2027-06-01"), sure())],
            vec![
                (requirement(40.0, ("", "2027-05-20"), 1), sure()),
                (requirement(150.0, ("2027-08-01", "2027-10-01"), 2), sure()),
                (requirement(300.0, ("", ""), 3), sure()),
                (requirement(900.0, ("2027-09-01", "2027-12-01"), 4), sure()),
            ],
            &request,
        )
    };
    let (plan, chances) = played(&season, (500, 3));
    // The plan by hand: forecasts, their lots after the stock, the balance of all.
    let forecasts: Vec<_> = beds.iter().map(|b| with(&request, |k| forecast_on(b, &clocks, k, Off)).unwrap()).collect();
    assert_eq!(plan.forecasts, forecasts);
    let stock = season.stock.iter().enumerate();
    let mut lots: Vec<Lot> = stock.map(|(i, (lot, _))| Lot { source: LotSource::Stock(i), ..*lot }).collect();
    let of_beds = forecasts.iter().enumerate().flat_map(|(bed, f)| f.lots.iter().map(move |lot| (bed, lot)));
    lots.extend(of_beds.map(|(bed, lot)| Lot {
        amount: Millilitres::nearest(lot.yields.castings.likely()),
        window: Window { first: Some(lot.ready.likely), last: None },
        untreated: true,
        source: LotSource::Bed { bed, cycle: lot.cycle },
    }));
    let requirements: Vec<Requirement> =
        season.requirements.iter().map(|(requirement, _)| requirement.clone()).collect();
    assert_eq!(plan.lots, lots);
    assert_eq!(plan.balance, balance(&lots, &requirements, None));
    let places: Vec<(usize, u32)> = plan.bed_lots().collect();
    let expected = forecasts.iter().enumerate().flat_map(|(i, f)| f.lots.iter().map(move |lot| (i, lot.cycle)));
    assert_eq!(places, expected.collect::<Vec<_>>());
    // All or nothing, and all exactly where nothing is short.
    for (chance, served) in chances.plan.demands.iter().zip(&plan.balance.demands) {
        assert_eq!(chance.full, if served.shortfall == Millilitres::ZERO { 500 } else { 0 });
        assert!(chance.allocated == 0 || chance.allocated == 500);
    }
    assert!(plan.balance.demands.iter().any(|s| s.shortfall > Millilitres::ZERO));
    for date in &chances.plan.by_date {
        assert!(date.enough == 0 || date.enough == 500);
    }
    for (lot, planned) in chances.lots.iter().zip(lots.iter().skip(2)) {
        assert_eq!([lot.ready.p10, lot.ready.p50, lot.ready.p90], [planned.window.first; 3]);
        assert_eq!([lot.litres.p10, lot.litres.p50, lot.litres.p90], [planned.amount.volume().litres(); 3]);
    }
    assert_eq!(chances.measure_first, []);
}

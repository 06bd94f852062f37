//! Chances of amounts by mass and by nitrogen, which depend on what castings weigh and hold.

use super::{RUNS, assert_chance, exact_but, lot, played, requirement, season, sure};
use crate::draws::below;
use crate::support::span;
use barrowful::garden::assumptions::CountedBy;
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::balances::allocation::Lot;
use barrowful::garden::draws::Variable;
use barrowful::garden::seasons::{Amount, Factor};
use barrowful::garden::units::Millilitres;

/// A lot by mass: its litres are as many more as a litre weighs less. 40 L at 600 kg/m3 are 32 L at 750.
#[test]
fn an_amount_by_mass_depends_on_the_bulk_density() {
    let weight = span(450.0, 600.0, 900.0);
    let request = exact_but(&[(Assumption::BulkDensity, weight)]);
    let by_mass = Amount { factors: vec![Factor::By(CountedBy::Mass)], overrides: Overrides::default() };
    let season =
        season(vec![(lot(40.0, "", ""), by_mass)], vec![(requirement(32.0, ("", "2027-06-01"), 1), sure())], &request);
    let (_, chances) = played(&season, (RUNS, 8));
    assert_chance(chances.plan.by_date[0].enough, below(weight, 750.0));
    assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
    assert_eq!(chances.measure_first[0].variable, Variable::Assumption(Assumption::BulkDensity));
}

/// A demand by available nitrogen: `V = N/(rho_d n a)`. 20 L are asked at 1.5 % N; 25 L do at 1.2 %.
#[test]
fn an_amount_by_nitrogen_depends_on_the_nitrogen() {
    let nitrogen = span(0.010, 0.015, 0.025);
    let request = exact_but(&[(Assumption::Nitrogen, nitrogen)]);
    let asked = Amount { factors: vec![Factor::By(CountedBy::AvailableNitrogen)], overrides: Overrides::default() };
    let season =
        season(vec![(lot(25.0, "", ""), sure())], vec![(requirement(20.0, ("", "2027-06-01"), 1), asked)], &request);
    let (_, chances) = played(&season, (RUNS, 8));
    assert_chance(chances.plan.by_date[0].enough, 1.0 - below(nitrogen, 0.012));
    assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
    assert_eq!(chances.measure_first[0].variable, Variable::Assumption(Assumption::Nitrogen));
}

/// The same of a lot that knows its nitrogen itself, and of half of such a lot and half of another. Before anything is drawn, 20 L are asked at 1.5 %.
#[test]
fn an_amount_by_nitrogen_counts_what_its_lots_hold() {
    let nitrogen = span(0.010, 0.015, 0.025);
    let request = exact_but(&[]);
    let asked = || Amount { factors: vec![Factor::By(CountedBy::AvailableNitrogen)], overrides: Overrides::default() };
    let own = |span| {
        let mut overrides = Overrides::default();
        overrides.set(Assumption::Nitrogen, span).unwrap();
        Amount { factors: Vec::new(), overrides }
    };
    let of = |stock: Vec<(Lot, Amount)>| {
        let demand = requirement(20.0, ("", "2027-06-01"), 1);
        let season = season(stock, vec![(demand, asked())], &request);
        let (_, chances) = played(&season, (RUNS, 8));
        assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
        chances.plan.by_date[0].enough
    };
    // 25 L do from 1.2 % on. Those of 20 L are the likely ones.
    assert_chance(of(vec![(lot(25.0, "", ""), own(nitrogen))]), 1.0 - below(nitrogen, 0.012));
    assert_chance(of(vec![(lot(20.0, "", ""), own(nitrogen))]), 0.5);
    // The plan takes 10 L of each: 22 L of the mix do from (1.5 % + n)/2 = 20/22 x 1.5 % on.
    let mixed = vec![(lot(10.0, "", ""), sure()), (lot(12.0, "", ""), own(nitrogen))];
    assert_chance(of(mixed), 1.0 - below(nitrogen, 0.015 * (40.0 / 22.0 - 1.0)));
    // A rich lot does by less volume than is asked, a poor one does not by all of it, one that holds the same changes nothing.
    assert_eq!(of(vec![(lot(11.0, "", ""), own(span(0.03, 0.03, 0.03)))]), RUNS);
    assert_eq!(of(vec![(lot(20.0, "", ""), own(span(0.014, 0.014, 0.014)))]), 0);
    assert_eq!(of(vec![(lot(20.0, "", ""), own(span(0.015, 0.015, 0.015)))]), RUNS);
    // What does not bear on nitrogen changes nothing.
    let mut dry = Overrides::default();
    dry.set(Assumption::Potassium, span(0.001, 0.001, 0.001)).unwrap();
    assert_eq!(of(vec![(lot(20.0, "", ""), Amount { factors: Vec::new(), overrides: dry })]), RUNS);
}

/// One draw for all that depend on it: a demand and a lot, both by mass, rise and fall together and never miss each other.
#[test]
fn what_depends_on_one_assumption_moves_together() {
    let none = Overrides::default();
    let by_mass = || Amount { factors: vec![Factor::By(CountedBy::Mass)], overrides: Overrides::default() };
    let season = season(
        vec![(lot(40.0, "", ""), by_mass())],
        vec![(requirement(40.0, ("", "2027-06-01"), 1), by_mass())],
        &none,
    );
    let (_, chances) = played(&season, (RUNS, 8));
    assert_eq!((chances.plan.demands[0].full, chances.plan.by_date[0].enough), (RUNS, RUNS));
}

/// 24 kg are asked, 32 L of 750 kg/m3 at 0.6 kg/L they are 40: what is asked by mass is weighed out, so it takes more of a lot of known
/// volume where castings are light, and what comes after it gets less.
#[test]
fn what_is_asked_by_mass_is_weighed_out() {
    let weight = span(450.0, 600.0, 900.0);
    let request = exact_but(&[(Assumption::BulkDensity, weight)]);
    let by_mass = || Amount { factors: vec![Factor::By(CountedBy::Mass)], overrides: Overrides::default() };
    let requirements = vec![
        (requirement(32.0, ("2027-04-01", "2027-06-01"), 1), by_mass()),
        (requirement(10.0, ("2027-05-01", "2027-06-01"), 1), sure()),
    ];
    // Two lots, so that the second demand depends on what the first leaves. 32 L at 600 kg/m3 are 40 L at 480, 50 L at 384, 46 L at
    // 417 (never) and 42.67 L at 450.
    let (plan, chances) = played(&season(vec![(lot(48.0, "", ""), sure())], requirements.clone(), &request), (RUNS, 8));
    assert!(plan.balance.demands.iter().all(|served| served.shortfall == Millilitres::ZERO));
    assert_eq!(chances.plan.demands[0].full, RUNS);
    // 38 L are left for the first where the second is to have its 10: at 32 x 600/38 = 505.26 kg/m3.
    assert_chance(chances.plan.demands[1].full, 1.0 - below(weight, 32.0 * 600.0 / 38.0));
    assert_eq!(chances.plan.by_date[0].enough, chances.plan.demands[1].full);
    let (_, chances) = played(&season(vec![(lot(42.0, "", ""), sure())], requirements, &request), (RUNS, 8));
    assert_chance(chances.plan.demands[0].full, 1.0 - below(weight, 32.0 * 600.0 / 42.0));
    assert_chance(chances.plan.demands[1].full, 0.5);
}

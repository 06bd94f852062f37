//! Chances of a season are those of closed forms.

use super::{RUNS, assert_chance, exact_but, lot, ml, played, ranged, requirement, season, sure, window};
use crate::beds::laws::later;
use crate::beds::{bed, fixed, weighing};
use crate::draws::below;
use crate::support::{on, span, with};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::balances::{Part, Requirement};
use barrowful::garden::beds::{Bed, Clocks, Supply, forecast_on};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::draws::{Variable, shown_chance, split_triangle};
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::{Amount, BedPlan, Factor, Season};
use barrowful::garden::units::Millilitres;

#[test]
fn one_lot_and_one_demand_follow_the_distribution_of_the_split_triangle() {
    let wide = span(20.0, 40.0, 60.0);
    let none = Overrides::default();
    for asked in [22.0, 30.0, 36.0, 40.0] {
        let stock = vec![(lot(40.0, "", ""), ranged(20.0, 40.0, 60.0))];
        let season = season(stock, vec![(requirement(asked, ("", "2027-06-01"), 1), sure())], &none);
        let (_, chances) = played(&season, (RUNS, 5));
        let expected = 1.0 - below(wide, asked);
        assert_chance(chances.plan.by_date[0].enough, expected);
        assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
        assert_eq!((chances.plan.by_date[0].date, chances.plan.by_date[0].needed), (on("2027-06-01"), asked));
    }
    // More than the likely amount: the plan itself is short and gives 40 L, but enough may come all the same.
    let stock = vec![(lot(40.0, "", ""), ranged(20.0, 40.0, 60.0))];
    let season = season(stock, vec![(requirement(50.0, ("", "2027-06-01"), 1), sure())], &none);
    let (plan, chances) = played(&season, (RUNS, 5));
    assert_eq!(plan.balance.demands[0].shortfall, ml(10.0));
    assert_chance(chances.plan.demands[0].allocated, 0.5);
    assert_chance(chances.plan.demands[0].full, 1.0 - below(wide, 50.0));
    assert_eq!([chances.plan.by_date[0].enough, chances.plan.enough], [chances.plan.demands[0].full; 2]);
    // The margin is the lot less the demand: its percentiles are those of the triangle.
    let margin = chances.margin.unwrap();
    for (found, u) in [(margin.p10, 0.1), (margin.p50, 0.5), (margin.p90, 0.9)] {
        assert!((found - (split_triangle(wide, u) - 50.0)).abs() < 0.3, "{found}");
    }
}

#[test]
fn an_uncertain_demand_follows_it_as_well() {
    let none = Overrides::default();
    // 36 of 40 L are there; asked are 20 to 60.
    let requirements = vec![(requirement(30.0, ("", "2027-06-01"), 1), ranged(15.0, 30.0, 60.0))];
    let season = season(vec![(lot(36.0, "", ""), sure())], requirements, &none);
    let (_, chances) = played(&season, (RUNS, 5));
    assert_chance(chances.plan.by_date[0].enough, below(span(15.0, 30.0, 60.0), 36.0));
    // Nothing is kept from it, so it gets more than the plan's 30 L where it asks for more.
    assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
}

/// Drying of 3 to 14 days, likely 7: ready on the k-th morning after the castings are finished with the chance that drying takes
/// no longer than k days.
#[test]
fn a_bed_of_which_only_the_drying_is_uncertain() {
    let drying = span(72.0, 168.0, 336.0);
    let request = exact_but(&[(Assumption::Drying, drying)]);
    let clocks = with(&request, |k| Clocks::new(&fixed(20.0), (on("2027-04-01"), on("2027-12-31")), k)).unwrap();
    let none = Overrides::default();
    let one = Bed { cycles: Some(1), ..bed(Supply::AllAtOnce(weighing(60.0))) };
    let forecast = with(&request, |k| forecast_on(&one, &clocks, k, Off)).unwrap();
    let litres = forecast.lots[0].yields.castings.likely().litres();
    let finished = forecast.lots[0].finished_on;
    assert_eq!(forecast.lots[0].ready.likely, later(finished, 7));
    for days in [4, 6, 7, 9, 12] {
        let by = later(finished, days).to_string();
        let season = Season {
            beds: vec![BedPlan { bed: one.clone(), clocks: &clocks, overrides: &none, manure: Manure::default() }],
            ..season(Vec::new(), vec![(requirement((litres * 0.9).floor(), ("", &by), 1), sure())], &request)
        };
        let (plan, chances) = played(&season, (RUNS, 11));
        let expected = below(drying, days as f64 * 24.0);
        assert_chance(chances.plan.by_date[0].enough, expected);
        // Planned for the seventh day: up to then the plan allocates nothing, and nothing is what it gets for sure.
        assert_eq!(plan.balance.demands[0].allocated == Millilitres::ZERO, days < 7);
        assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
        assert_eq!(chances.plan.demands[0].allocated, if days < 7 { RUNS } else { chances.plan.by_date[0].enough });
        let at = |u: f64| Some(later(finished, (split_triangle(drying, u) / 24.0).ceil() as u64));
        let ready = chances.lots[0].ready;
        // The median lies on the edge of a day.
        assert_eq!([ready.p10, ready.p90], [at(0.1), at(0.9)]);
        assert_eq!(chances.measure_first.len(), usize::from(chances.plan.by_date[0].enough != RUNS));
    }
}

/// 50 L lie in stock; a demand of priority 2 takes them in April. Priority 1 requirements 40 L in June, of a lot from May that is as
/// large as planned in half of the runs. Both get all they ask, but priority 1 only as surely as that lot.
#[test]
fn the_first_priority_is_no_surer_than_the_lot_it_depends_on() {
    let none = Overrides::default();
    let stock = vec![(lot(50.0, "", ""), sure()), (lot(40.0, "2027-05-01", ""), ranged(20.0, 40.0, 60.0))];
    let requirements = vec![
        (requirement(40.0, ("2027-06-01", "2027-06-30"), 1), sure()),
        (requirement(50.0, ("2027-04-01", "2027-04-30"), 2), sure()),
    ];
    let (plan, chances) = played(&season(stock, requirements, &none), (RUNS, 1));
    assert!(plan.balance.demands.iter().all(|served| served.shortfall == Millilitres::ZERO));
    assert_chance(chances.plan.demands[0].full, 0.5);
    assert_eq!(chances.plan.demands[1].full, RUNS);
    assert_eq!(shown_chance(chances.plan.demands[0].full, RUNS), 0.5);
    assert_eq!(chances.plan.by_date.iter().map(|d| d.enough).collect::<Vec<_>>(), [RUNS, chances.plan.demands[0].full]);
}

/// A lot that turns out smaller serves who may take first, then priorities in order.
#[test]
fn a_smaller_lot_serves_days_and_then_priorities_in_order() {
    let none = Overrides::default();
    let wide = span(0.0, 90.0, 180.0);
    let requirements = [("2027-06-01", 1), ("2027-05-01", 1), ("2027-06-01", 2)]
        .map(|(first, priority)| (requirement(30.0, (first, "2027-07-01"), priority), sure()));
    let stock = vec![(lot(90.0, "", ""), Amount { factors: vec![Factor::Range(wide)], ..sure() })];
    let (_, chances) = played(&season(stock, requirements.to_vec(), &none), (RUNS, 2));
    for (demand, needed) in [(1, 30.0), (0, 60.0), (2, 90.0)] {
        assert_chance(chances.plan.demands[demand].full, 1.0 - below(wide, needed));
    }
    assert_eq!(chances.plan.by_date[0].enough, chances.plan.demands[2].full);
}

/// 30 L must be used by May; 20 L keep. What the first do not serve in time is lost.
#[test]
fn stock_that_expires_goes_first_and_does_not_serve_what_comes_later() {
    let none = Overrides::default();
    let stock = || vec![(lot(30.0, "", "2027-05-01"), sure()), (lot(20.0, "", ""), sure())];
    let requirements = |first: &str, litres: f64| {
        vec![
            (requirement(25.0, ("", "2027-04-20"), 1), sure()),
            (requirement(litres, (first, "2027-06-01"), 1), sure()),
        ]
    };
    for (first, litres, margin) in
        [("2027-05-02", 20.0, 0.0), ("2027-05-02", 21.0, -1.0), ("2027-05-01", 25.0, 0.0), ("2027-05-01", 26.0, -1.0)]
    {
        let (plan, chances) = played(&season(stock(), requirements(first, litres), &none), (10, 1));
        assert_eq!(chances.worst_on, Some(on("2027-06-01")));
        assert_eq!(chances.margin.unwrap().p50, margin, "{first} {litres}");
        assert_eq!(chances.plan.by_date[1].enough, if margin < 0.0 { 0 } else { 10 });
        // Evenly short within the priority; in all as much as the margin says.
        let short: u64 = plan.balance.demands.iter().map(|served| served.shortfall.get()).sum();
        assert_eq!(short, ml(-margin).get());
    }
    // The same with a range on the lot that expires: it must hold 25 L, then 25 and the 5 that are missing in June.
    let wide = span(10.0, 30.0, 40.0);
    let uncertain = || vec![(lot(30.0, "", "2027-05-01"), ranged(10.0, 30.0, 40.0)), (lot(20.0, "", ""), sure())];
    for (litres, needed) in [(20.0, 25.0), (25.0, 30.0)] {
        let (_, chances) = played(&season(uncertain(), requirements("2027-05-01", litres), &none), (RUNS, 6));
        // In April 20 L of the other lot are there as well: 5 L would do.
        assert_eq!(chances.plan.by_date[0].enough, RUNS);
        assert_chance(chances.plan.by_date[1].enough, 1.0 - below(wide, needed));
    }
}

#[test]
fn a_demand_without_a_date_is_due_on_the_last_day() {
    let none = Overrides::default();
    let stock = vec![(lot(40.0, "2027-12-30", ""), ranged(20.0, 40.0, 60.0))];
    let season = season(stock, vec![(requirement(30.0, ("", ""), 1), sure())], &none);
    let (_, chances) = played(&season, (RUNS, 9));
    assert_eq!(chances.plan.by_date[0].date, season.until);
    assert_chance(chances.plan.by_date[0].enough, 0.875);
    assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
}

/// Two rounds of tea, 10 L each: the first out of what is there, the second out of what comes later, if it does.
#[test]
fn a_tea_of_two_rounds_holds_only_with_both() {
    let none = Overrides::default();
    let part = |day| Part { amount: ml(10.0), window: window(day, day), pieces: None, ..Part::default() };
    let tea = Requirement {
        parts: vec![part("2027-04-01"), part("2027-05-01")],
        priority: 1,
        whole_portions: false,
        minimum: None,
        grown: None,
    };
    let stock = vec![(lot(10.0, "", ""), sure()), (lot(10.0, "2027-04-20", ""), ranged(5.0, 10.0, 15.0))];
    let (plan, chances) = played(&season(stock, vec![(tea, sure())], &none), (RUNS, 4));
    assert_eq!(plan.balance.demands[0].shortfall, Millilitres::ZERO);
    assert_eq!(
        chances.plan.by_date.iter().map(|d| (d.date, d.needed)).collect::<Vec<_>>(),
        [(on("2027-04-01"), 10.0), (on("2027-05-01"), 20.0)]
    );
    assert_eq!(chances.plan.by_date[0].enough, RUNS);
    assert_chance(chances.plan.by_date[1].enough, 0.5);
    assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[1].enough);
}

/// Enough by a date means enough on every date up to it; and what is ready beyond the season has no day.
#[test]
fn a_gap_is_not_made_good_by_what_comes_later() {
    let none = Overrides::default();
    let stock = vec![(lot(10.0, "", ""), sure()), (lot(90.0, "2027-05-01", ""), sure())];
    let requirements =
        vec![(requirement(20.0, ("", "2027-04-01"), 1), sure()), (requirement(20.0, ("", "2027-06-01"), 2), sure())];
    let (_, chances) = played(&season(stock, requirements, &none), (50, 1));
    assert_eq!(chances.plan.by_date.iter().map(|d| d.enough).collect::<Vec<_>>(), [0, 0]);
    assert_eq!((chances.worst_on, chances.margin.unwrap().p50), (Some(on("2027-04-01")), -10.0));
    assert_eq!(chances.plan.demands.iter().map(|demand| demand.full).collect::<Vec<_>>(), [0, 50]);
    let drying = span(72.0, 168.0, 336.0);
    let request = exact_but(&[(Assumption::Drying, drying)]);
    let one = Bed { cycles: Some(1), ..bed(Supply::AllAtOnce(weighing(60.0))) };
    let day_after = |days: u64| {
        let clocks = with(&request, |k| Clocks::new(&fixed(20.0), (on("2027-04-01"), on("2027-12-31")), k)).unwrap();
        later(with(&request, |k| forecast_on(&one, &clocks, k, Off)).unwrap().lots[0].finished_on, days)
    };
    let until = day_after(8);
    let clocks = with(&request, |k| Clocks::new(&fixed(20.0), (on("2027-04-01"), until), k)).unwrap();
    let season = Season {
        beds: vec![BedPlan { bed: one.clone(), clocks: &clocks, overrides: &none, manure: Manure::default() }],
        until,
        ..season(Vec::new(), Vec::new(), &request)
    };
    let ready = played(&season, (RUNS, 1)).1.lots[0].ready;
    assert_eq!([ready.p10, ready.p90], [Some(day_after(5)), None]);
}

/// 95 of 100 L are needed in April; 60 to 160 L more, likely 110, come before July, when 105 L are needed. At the likely values April has the least
/// margin, 5 L, and July 10 L; but April is sure and July is not: it is the worst day, and that lot is what to measure.
#[test]
fn the_worst_day_is_the_one_that_is_least_sure() {
    let none = Overrides::default();
    let wide = span(60.0, 110.0, 160.0);
    let of = |more: Amount| {
        let stock = vec![(lot(100.0, "", ""), sure()), (lot(110.0, "2027-06-01", ""), more)];
        let requirements = vec![
            (requirement(95.0, ("", "2027-04-15"), 1), sure()),
            (requirement(105.0, ("2027-07-20", "2027-07-20"), 1), sure()),
        ];
        played(&season(stock, requirements, &none), (RUNS, 3)).1
    };
    let chances = of(ranged(60.0, 110.0, 160.0));
    assert_eq!(chances.plan.by_date[0].enough, RUNS);
    assert_chance(chances.plan.by_date[1].enough, 1.0 - below(wide, 100.0));
    assert_eq!(chances.worst_on, Some(on("2027-07-20")));
    assert!((chances.margin.unwrap().p50 - 10.0).abs() < 0.5, "{:?}", chances.margin);
    assert_eq!(chances.measure_first.iter().map(|first| first.variable).collect::<Vec<_>>(), [Variable::Stock(1)]);
    // Where both are sure it is the one with the least margin.
    let both = of(sure());
    assert_eq!((both.worst_on, both.margin.unwrap().p50), (Some(on("2027-04-15")), 5.0));
    assert!(both.measure_first.is_empty());
}

/// 60 to 120 L, likely 90: 100 L are needed in April, in vain in most runs, and 30 L in June, of what is ready only then.
#[test]
fn what_has_passed_is_left_out_of_what_is_to_come() {
    let none = Overrides::default();
    let stock = vec![(lot(90.0, "", ""), ranged(60.0, 90.0, 120.0)), (lot(30.0, "2027-05-01", ""), sure())];
    let requirements = vec![
        (requirement(100.0, ("2027-04-01", "2027-04-01"), 1), sure()),
        (requirement(30.0, ("2027-06-01", "2027-06-01"), 1), sure()),
    ];
    let season = season(stock, requirements, &none);
    let chances = |today: Option<&str>| played(&Season { as_of: today.map(on), ..season.clone() }, (RUNS, 3)).1;
    let all = chances(None);
    assert_chance(all.plan.enough, 1.0 - below(span(60.0, 90.0, 120.0), 100.0));
    assert_eq!((all.plan.to_come(), all.plan.by_date.len()), (Some(all.plan.enough), 2));
    assert_eq!(chances(Some("2027-04-01")).plan, all.plan);
    // What has passed decides nothing any more: neither the chance of enough, nor by a date, nor the worst day.
    for today in ["2027-04-02", "2027-06-01"] {
        let later = chances(Some(today));
        assert_eq!((later.plan.to_come(), later.plan.some_passed), (Some(RUNS), true), "{today}");
        assert_eq!(
            later.plan.by_date.iter().map(|by| (by.date, by.enough)).collect::<Vec<_>>(),
            [(on("2027-06-01"), RUNS)]
        );
        assert_eq!(later.worst_on, Some(on("2027-06-01")), "{today}");
    }
    let over = chances(Some("2027-06-02"));
    assert_eq!((over.plan.to_come(), over.worst_on), (None, None));
}

//! The bed of an answer forecasts what the answer says, nothing is lost or made, and more feed never needs less.

use super::castings::on_dates;
use super::{YEAR, asked, litres, sized, warm, worked};
use crate::beds::{fixed, weighing};
use crate::support::{known, laws, near, on};
use barrowful::garden::assumptions::{Assumption, Known, Overrides};
use barrowful::garden::beds::sizing::{BedToSize, Bins, CastingsBy, Feeding, HarvestDates, Limit, SizedBed, SizedBy};
use barrowful::garden::beds::{Clocks, Delivery, MassAccount, forecast_on};
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::End;
use proptest::prelude::*;

#[test]
fn the_bed_of_the_answer_forecasts_what_the_answer_says() {
    for (feeding, by) in [
        (Feeding::Weekly, SizedBy::EachWeek(weighing(1.4))),
        (Feeding::Layers, SizedBy::EachWeek(weighing(1.4))),
        (Feeding::Weekly, SizedBy::Castings(vec![CastingsBy { by: on("2028-03-01"), amount: litres(100.0) }])),
    ] {
        let asked = BedToSize { feeding, ..asked(by) };
        let found = warm(&asked);
        let none = Overrides::default();
        let known = Known { request: &none, item: &found.own };
        let clocks = Clocks::new(&fixed(20.0), (asked.start_on, on(YEAR)), known).unwrap();
        let again = forecast_on(&found.bed, &clocks, known, Off).unwrap();
        assert!(!again.lots.is_empty());
        assert_eq!((&again.lots, &again.layers), (&found.forecast.lots, &found.forecast.layers));
    }
}

/// What the answer of the service is computed with may be read again with a share of it lost by rounding.
fn keeps(account: &MassAccount, by: f64) {
    let out = account.in_lots.kilograms() + account.lost.kilograms() + account.in_bed.kilograms();
    assert!((account.fed.kilograms() - out).abs() <= by * account.fed.kilograms().max(1.0), "{account:?}");
}

proptest! {
    #![proptest_config(laws(24))]

    /// Dry matter, ash, carbon, nitrogen and water are kept, and week by week what came is eaten or waits.
    #[test]
    fn nothing_is_lost_or_made(week in 0.2_f64..20.0, few in 0.1_f64..1.0, cool in 12.0_f64..24.0, layers in any::<bool>()) {
        let feeding = if layers { Feeding::Layers } else { Feeding::Weekly };
        let asked = BedToSize { feeding, ..asked(SizedBy::EachWeek(weighing(week))) };
        let loss = known(&[(Assumption::OrganicMatterLoss, 0.4)]);
        let all = sized(&asked, (&fixed(cool), YEAR), &loss).unwrap();
        let bought = all.size.worms_needed.only(End::Likely).times(few);
        let found = sized(&BedToSize { to_buy: Some(bought), ..asked }, (&fixed(cool), YEAR), &loss).unwrap();
        let balance = &found.forecast.balance;
        for account in [balance.dry_matter, balance.ash, balance.carbon, balance.nitrogen.unwrap(), balance.water] {
            keeps(&account, 1e-9);
        }
        let (mut come, mut eaten) = (0.0, 0.0);
        for week in &found.weeks {
            come += week.comes.kilograms();
            eaten += week.eaten.kilograms();
            prop_assert!(week.eaten.kilograms() >= -1e-9 && near(come, eaten + week.waits.kilograms(), 1e-9), "{week:?}");
        }
        // 366 days.
        prop_assert!(near(come, week * 366.0 / 7.0, 1e-9));
        // What the forecast of layers says is eaten: all that is in lots, and what the worms took of what lies in the bed.
        let kept = balance.dry_matter.lost.kilograms() / (1.0 - 0.15) / 0.4;
        prop_assert!(near(eaten, kept, 1e-9), "{eaten} {kept}");
    }

    /// More feed never takes less ground, fewer worms or fewer bins.
    #[test]
    fn more_feed_never_needs_less(week in 0.2_f64..20.0, more in 1.0_f64..4.0) {
        let bins = Some(Bins { capacity: litres(60.0), ground: None });
        let of = |week: f64| warm(&BedToSize { bins, ..asked(SizedBy::EachWeek(weighing(week))) }).size;
        let (less, more) = (of(week), of(week * more));
        prop_assert!(more.ground.likely() >= less.ground.likely() && more.worms_needed.likely() >= less.worms_needed.likely());
        prop_assert!(more.bins.unwrap().count.number() >= less.bins.unwrap().count.number());
    }

    /// As much feed in deliveries of one size, evenly apart, takes the worms and the ground of steady feed, and as much of it is eaten by the
    /// end but for what the last deliveries leave; in two parts on one day each delivery changes nothing.
    #[test]
    fn deliveries_evenly_apart_are_steady_feed(gap in 2_i64..30, week in 0.2_f64..8.0, split in 0.1_f64..0.9) {
        let count = 366 / gap + i64::from(366 % gap > 0);
        let all = week / 7.0 * 366.0;
        let mass = all / f64::from(u32::try_from(count).unwrap());
        let day = |i: i64| on("2027-04-01") + chrono::TimeDelta::days(i * gap);
        let dated = on_dates(&(0..count).map(|i| (day(i), mass)).collect::<Vec<_>>());
        let steady = sized(&asked(SizedBy::EachWeek(weighing(week))), (&fixed(20.0), YEAR), &worked()).unwrap();
        prop_assert!(near(dated.size.worms_needed.kilograms(), steady.size.worms_needed.kilograms(), 1e-9));
        prop_assert!(near(dated.size.ground.square_metres(), steady.size.ground.square_metres(), 1e-9));
        let eaten = |bed: &SizedBed| bed.weeks.iter().map(|week| week.eaten.kilograms()).sum::<f64>();
        prop_assert!((eaten(&dated) - eaten(&steady)).abs() <= 2.0 * mass + week, "{} {}", eaten(&dated), eaten(&steady));
        // The same mass in one late delivery asks for no more, and hardly any of it is eaten.
        let late = on_dates(&[(on(YEAR), all)]);
        prop_assert!(near(late.size.worms_needed.kilograms(), dated.size.worms_needed.kilograms(), 1e-9));
        prop_assert!(eaten(&late) < eaten(&dated) / 10.0 && late.limit == Limit::Time);
        let parts = (0..count).flat_map(|i| [(day(i), mass * split), (day(i), mass * (1.0 - split))]).collect::<Vec<_>>();
        let parts = on_dates(&parts);
        prop_assert!(near(parts.size.worms_needed.kilograms(), dated.size.worms_needed.kilograms(), 1e-9));
        prop_assert_eq!(parts.limit, dated.limit);
    }

    /// Twice the feed, ground and worms give twice the castings on the same days.
    #[test]
    fn feed_ground_and_worms_scale_castings(week in 0.2_f64..8.0, times in 1.1_f64..5.0, layers in any::<bool>()) {
        let feeding = if layers { Feeding::Layers } else { Feeding::Weekly };
        let of = |week: f64| warm(&BedToSize { feeding, ..asked(SizedBy::EachWeek(weighing(week))) });
        let (one, many) = (of(week), of(week * times));
        prop_assert!(near(one.size.ground.square_metres() * times, many.size.ground.square_metres(), 1e-9));
        prop_assert_eq!(one.forecast.lots.len(), many.forecast.lots.len());
        for (a, b) in one.forecast.lots.iter().zip(&many.forecast.lots) {
            prop_assert_eq!(a.ready, b.ready);
            prop_assert!(near(a.yields.castings.litres() * times, b.yields.castings.litres(), 1e-9));
        }
    }

    /// By a day the low end has only harvests that are there at their latest, the high end all that are at their earliest, and the value
    /// those that likely are.
    #[test]
    fn castings_by_a_day_count_what_is_late_and_what_is_early(amount in 5.0_f64..400.0, early in 12_i64..40, more in 1_i64..12) {
        let by = |weeks| on("2027-04-01") + chrono::TimeDelta::weeks(weeks);
        let needs = vec![
            CastingsBy { by: by(early + 10), amount: litres(amount) },
            CastingsBy { by: by(early + 10 + more), amount: litres(amount) },
        ];
        let found = warm(&asked(SizedBy::Castings(needs)));
        let lots = &found.forecast.lots;
        for need in &found.castings {
            let sum = |end: End, is_there: &dyn Fn(&barrowful::garden::beds::Ready) -> bool| -> f64 {
                let there = lots.iter().filter(|lot| is_there(&lot.ready));
                there.map(|lot| lot.yields.castings.end(end).litres()).sum()
            };
            let is_by = |day: chrono::NaiveDate| day <= need.by;
            let wanted = [
                sum(End::Low, &|ready| ready.latest.is_some_and(is_by)),
                sum(End::Likely, &|ready| is_by(ready.likely)),
                sum(End::High, &|ready| is_by(ready.earliest)),
            ];
            for (found, wanted) in need.ready.values().iter().zip(wanted) {
                prop_assert!((found - wanted).abs() <= 1e-9 * (1.0 + wanted), "{found} is not {wanted} by {}", need.by);
            }
        }
    }

    /// Asking for the castings that an answer promises gives back its feed and its ground.
    #[test]
    fn the_castings_promised_ask_for_the_same_feed(amount in 5.0_f64..400.0, weeks in 22_i64..50, layers in any::<bool>()) {
        let feeding = if layers { Feeding::Layers } else { Feeding::Weekly };
        let by = on("2027-04-01") + chrono::TimeDelta::weeks(weeks);
        let of = |needs| warm(&BedToSize { feeding, ..asked(SizedBy::Castings(needs)) });
        let first = of(vec![CastingsBy { by, amount: litres(amount) }]);
        let mut before = 0.0;
        let promised = first.forecast.lots.iter().map(|lot| {
            before += lot.yields.castings.litres();
            CastingsBy { by: lot.ready.likely, amount: litres(lot.yields.castings.litres()) }
        });
        let again = of(promised.collect());
        let fed = |bed: &SizedBed| bed.forecast.lots.iter().map(|lot| lot.feed.kilograms()).sum::<f64>();
        prop_assert!(near(before, amount, 1e-9) || before > amount);
        prop_assert!(near(fed(&first), fed(&again), 1e-9), "{} {}", fed(&first), fed(&again));
        prop_assert!(near(first.size.ground.square_metres(), again.size.ground.square_metres(), 1e-9));
    }

    /// A bed sized by the latest days has all castings in harvests whose latest day is in time; it takes no less ground, and is refused
    /// where no harvest of the fewest layers is in time at its latest.
    #[test]
    fn by_the_latest_days_late_harvests_are_in_time_too(amount in 5.0_f64..400.0, weeks in 10_i64..52) {
        let by = on("2027-04-01") + chrono::TimeDelta::weeks(weeks);
        let of = |harvest_dates| {
            let needs = vec![CastingsBy { by, amount: litres(amount) }];
            let asked = BedToSize { harvest_dates, ..asked(SizedBy::Castings(needs)) };
            sized(&asked, (&fixed(20.0), YEAR), &Overrides::default())
        };
        let Ok(likely) = of(HarvestDates::Likely) else { return Ok(()) };
        match of(HarvestDates::Latest) {
            Ok(latest) => {
                let lots = latest.forecast.lots.iter().filter(|lot| lot.ready.latest.is_some_and(|day| day <= by));
                let made: f64 = lots.map(|lot| lot.yields.castings.litres()).sum();
                prop_assert!(made >= amount * (1.0 - 1e-9), "{made} of {amount}");
                prop_assert!(latest.size.ground.square_metres() >= likely.size.ground.square_metres() * (1.0 - 1e-9));
            }
            Err(refusal) => {
                prop_assert_eq!(refusal.reason, Reason::DatesOutOfOrder);
                let one = BedToSize { layers_per_cycle: Some(1), ..asked(SizedBy::Castings(vec![CastingsBy { by, amount: litres(amount) }])) };
                let one = sized(&one, (&fixed(20.0), YEAR), &Overrides::default()).unwrap();
                prop_assert!(one.forecast.lots[0].ready.latest.is_none_or(|day| day > by));
            }
        }
    }

    /// A bed sized for castings yields them in its forecast; its feed, given on the days on which it is laid, gives the same harvest.
    #[test]
    fn the_feed_for_castings_makes_these_castings(amount in 5.0_f64..400.0) {
        let by = on("2027-12-15");
        let found = warm(&BedToSize {
            feeding: Feeding::Layers,
            layers_per_cycle: Some(3),
            ..asked(SizedBy::Castings(vec![CastingsBy { by, amount: litres(amount) }]))
        });
        let laid = found.forecast.layers.iter().map(|layer| Delivery { on: layer.on, dry_matter: layer.dry_matter });
        let back = warm(&BedToSize {
            feeding: Feeding::Layers,
            layers_per_cycle: Some(3),
            ground: Some(found.size.ground),
            to_buy: Some(found.size.worms),
            ..asked(SizedBy::OnDates(laid.collect()))
        });
        let (promised, made) = (&found.forecast.lots[0], &back.forecast.lots[0]);
        prop_assert!(near(promised.yields.castings.litres(), made.yields.castings.litres(), 1e-9));
        prop_assert_eq!(promised.ready.likely, made.ready.likely);
    }
}

//! How large a bed: worked numbers, an independent solver, masses that go in and come out, and laws.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop at whatever is wrong")]

use crate::beds::{fixed, kg, months, on, share, square_metres, weighing};
use crate::support::{assert_near, known, laws, near, with};
use barrowful::garden::assumptions::{Assumption, Known, Overrides};
use barrowful::garden::beds::sizing::{
    BedToSize, Bins, CastingsBy, Feeding, HarvestDates, Limit, MOST_WEEKS, SizedBed, SizedBy, Week, needed_too_early,
    size_bed,
};
use barrowful::garden::beds::{Climate, Clocks, Delivery, Feed, MassAccount, Pace, Supply, forecast_on};
use barrowful::garden::cautions::Rule;
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::{Reason, Refusal};
use barrowful::garden::units::quantity::OfVolume;
use barrowful::garden::units::{Duration, End, Estimate, FeedRate, Temperature, Volume};
use proptest::prelude::*;

fn litres(x: f64) -> Estimate<OfVolume> {
    Volume::from_litres(x).into()
}

/// A bed that starts on 1 April, for feed of 80 % water and 15 % ash.
fn asked(by: SizedBy) -> BedToSize {
    BedToSize {
        by,
        feed: Feed {
            moisture: share(0.8),
            ash: share(0.15),
            nitrogen: Some(share(0.02)),
            supply: Supply::AsNeeded,
            cautions: Vec::new(),
            assumed: Vec::new(),
        },
        start_on: on("2027-04-01"),
        ground: None,
        worms: None,
        to_buy: None,
        bins: None,
        feeding: Feeding::Weekly,
        harvest_dates: HarvestDates::Likely,
        layers_per_cycle: None,
        climate: 0,
    }
}

/// 7 kg a week with 80 % water are 1.4 kg of dry matter.
fn seven_kilograms_a_week() -> BedToSize {
    asked(SizedBy::EachWeek(weighing(1.4)))
}

fn sized(asked: &BedToSize, (climate, until): (&Climate, &str), request: &Overrides) -> Result<SizedBed, Refusal> {
    with(request, |known| {
        let clocks = Clocks::new(climate, (asked.start_on, on(until)), known)?;
        size_bed(asked, &clocks, known, Off)
    })
}

const YEAR: &str = "2028-03-31";

fn warm(asked: &BedToSize) -> SizedBed {
    sized(asked, (&fixed(20.0), YEAR), &Overrides::default()).unwrap()
}

/// The values of the worked example: carrying 5 kg/m2, stocking 1.6, doubling 75 days, feed rate 0.15, loss 40 %, sieve 80 %, 300 kg/m3.
fn worked() -> Overrides {
    known(&[
        (Assumption::CarryingCapacity, 5.0),
        (Assumption::StockingDensity, 1.6),
        (Assumption::DoublingTime, 75.0 * 24.0),
        (Assumption::FeedRate, 0.15),
        (Assumption::OrganicMatterLoss, 0.4),
        (Assumption::SieveYield, 0.8),
        (Assumption::DryBulkDensity, 300.0),
        (Assumption::BulkDensity, 600.0),
    ])
}

/// Worked by hand from the closed forms: 0.2 kg dry a day over 0.15 a day are 1.333 kg of worms; 0.267 m2 at least, 0.833 m2 to stock; 73 kg
/// dry a year keep 66 % and make 160.6 L in store, of which 128.5 L pass the sieve.
#[test]
fn seven_kilograms_a_week_take_1_333_kilograms_of_worms_on_0_833_square_metres() {
    let found = sized(&seven_kilograms_a_week(), (&fixed(20.0), YEAR), &worked()).unwrap();
    let size = &found.size;
    assert_near(size.feed_a_day.kilograms(), 0.2, 1e-12);
    assert_near(size.feed_a_week.kilograms(), 7.0, 1e-12);
    assert_eq!(size.warm_share.fraction(), 1.0);
    assert_near(size.worms_needed.kilograms(), 4.0 / 3.0, 1e-12);
    assert_near(size.ground_at_least.unwrap().square_metres(), 4.0 / 15.0, 1e-12);
    assert_near(size.ground_with_room.square_metres(), 5.0 / 6.0, 1e-12);
    assert_eq!(size.ground.square_metres(), size.ground_with_room.square_metres());
    let castings = size.castings_a_year.unwrap();
    assert_near(castings.dry_matter.kilograms(), 73.0 * 0.66, 1e-12);
    assert_near(castings.castings.litres() + castings.oversize.litres(), 160.6, 1e-12);
    assert_near(castings.castings.litres(), 128.48, 1e-12);
    // All of them are bought, so it eats all from the first day.
    assert_eq!((size.worms.likely(), size.to_buy.likely()), (size.worms_needed.likely(), size.worms_needed.likely()));
    assert_eq!(size.to_buy_for_all.kilograms(), 0.0);
    assert_eq!(size.enough.unwrap().warm_days.likely().hours(), 0.0);
    assert_eq!(found.limit, Limit::Feed);
}

/// Begun with 0.5 kg on 0.833 m2: ln((4.1667/0.5 - 1)/(4.1667/1.3333 - 1)) / (ln 2/75) = 134.0 warm days.
#[test]
fn half_a_kilogram_of_worms_eats_all_of_it_after_134_warm_days() {
    let few = BedToSize { to_buy: Some(weighing(0.5)), ..seven_kilograms_a_week() };
    let found = sized(&few, (&fixed(20.0), YEAR), &worked()).unwrap();
    let enough = found.size.enough.unwrap();
    let days = (22.0_f64 / 3.0 / (17.0 / 8.0)).ln() / (2.0_f64.ln() / 75.0);
    assert_near(enough.warm_days.likely().hours() / 24.0, days, 1e-12);
    assert_near(days, 134.0, 5e-4);
    assert_near(found.size.to_buy_for_all.kilograms(), 4.0 / 3.0 - 0.5, 1e-12);
    // The first week: 0.15 x 0.5 kg a day, a little more for the growth; the rest waits.
    let first = found.weeks[0];
    assert!(first.eaten.kilograms() > 7.0 * 0.075 && first.eaten.kilograms() < 7.0 * 0.08, "{first:?}");
    assert_near(first.waits.kilograms(), 1.4 - first.eaten.kilograms(), 1e-12);
    // The date counts what the finishing of a harvest takes; no feed is eaten then, and no worms grow.
    assert!(enough.on.unwrap() >= on("2027-08-12"), "{:?}", enough.on);
    let week = found.weeks.iter().find(|week| Some(week.start_on) == enough.on).unwrap();
    assert!(week.worms >= found.size.worms_needed.likely());
}

/// The rows of tests/fixtures/worm_bed_ode.csv: growth and feeding solved as differential equations by scipy (worm_bed_ode.py).
fn solved(what: &str) -> Vec<(usize, f64, Vec<f64>)> {
    let rows = include_str!("../fixtures/worm_bed_ode.csv").lines().filter(|line| line.starts_with(what));
    let read = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let numbers = cells[3..].iter().filter(|cell| !cell.is_empty()).map(|cell| cell.parse().unwrap());
        (cells[1].parse().unwrap(), cells[2].parse().unwrap(), numbers.collect())
    };
    rows.map(read).collect()
}

/// Start, ground, carrying, doubling, feed rate, warm share of a day.
const CASES: [[f64; 6]; 4] = [
    [0.5, 5.0 / 6.0, 5.0, 75.0, 0.15, 1.0],
    [1.0, 2.0, 4.0, 60.0, 0.25, 0.6],
    [3.0, 0.4, 6.0, 90.0, 0.10, 1.0],
    [0.05, 1.0, 10.0, 60.0, 0.15, 0.9],
];

#[test]
fn growth_and_feeding_are_those_of_an_independent_solver() {
    let rows = solved("after");
    assert_eq!(rows.len(), 16);
    for (case, days, values) in rows {
        let [start, ground, carrying, doubling, rate, warmth] = CASES[case];
        let (doubling, rate) = (Duration::from_hours(doubling * 24.0), FeedRate::from_per_day(rate));
        let pace = Pace::new(kg(start), kg(ground * carrying), doubling, rate);
        assert_near(pace.worms_after(days * warmth).kilograms(), values[0], 1e-9);
        assert_near(pace.worked_after(days * warmth).kilograms(), values[1], 1e-9);
    }
}

#[test]
fn the_time_until_worms_are_enough_is_that_of_an_independent_solver() {
    for (case, enough, values) in solved("enough") {
        let [start, ground, carrying, doubling, rate, _] = CASES[case];
        let request = known(&[
            (Assumption::CarryingCapacity, carrying),
            (Assumption::DoublingTime, doubling * 24.0),
            (Assumption::FeedRate, rate),
        ]);
        // As much feed as just so many worms eat.
        let week = enough * rate * 7.0;
        let (ground, to_buy) = (Some(square_metres(ground)), Some(weighing(start)));
        let asked = BedToSize { ground, to_buy, ..asked(SizedBy::EachWeek(weighing(week))) };
        let found = sized(&asked, (&fixed(20.0), YEAR), &request).unwrap().size.enough.unwrap();
        assert_near(found.warm_days.likely().hours() / 24.0, values[0], 1e-9);
    }
}

#[test]
fn what_is_eaten_each_week_is_that_of_an_independent_solver() {
    let few = BedToSize { to_buy: Some(weighing(0.5)), ..seven_kilograms_a_week() };
    let found = sized(&few, (&fixed(20.0), YEAR), &worked()).unwrap();
    let rows = solved("week");
    assert_eq!(rows.len(), 12);
    for ((_, _, values), week) in rows.iter().zip(&found.weeks) {
        assert_near(week.eaten.kilograms(), values[0], 1e-9);
        assert_near(week.waits.kilograms(), values[1], 1e-9);
        assert_near(week.worms.kilograms(), values[2], 1e-9);
    }
}

/// Rules of thumb, common practice, no source: half the worms' weight a day (fresh), a pound on a square foot. They are compared with, not
/// trusted: they ask for half as many worms again, and for more ground than the least.
#[test]
fn rules_of_thumb_ask_for_more_worms_on_less_ground() {
    let size = sized(&seven_kilograms_a_week(), (&fixed(20.0), YEAR), &worked()).unwrap().size;
    assert_near(size.thumb.worms.kilograms(), 2.0, 1e-12);
    assert_near(size.thumb.ground.square_metres(), 2.0 / 4.882_427_636, 1e-9);
    assert!(size.thumb.ground.likely() > size.ground_at_least.unwrap().likely());
    assert!(size.thumb.ground.likely() < size.ground_with_room.likely());
}

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

/// Bins of 40 L: filled to 0.45 m each stands on 0.0889 m2, so 0.833 m2 take 9.4 of them.
#[test]
fn bins_are_counted_by_their_ground_and_filled_no_deeper_than_they_are() {
    let bins = |ground| Some(Bins { capacity: litres(40.0), ground });
    let found = sized(&BedToSize { bins: bins(None), ..seven_kilograms_a_week() }, (&fixed(20.0), YEAR), &worked());
    let needed = found.unwrap().size.bins.unwrap();
    assert_near(needed.ground.square_metres(), 0.04 / 0.45, 1e-12);
    assert_eq!(needed.count.number(), 10.0);
    // 40 L on 0.2 m2 are 20 cm deep.
    let flat = BedToSize { bins: bins(Some(square_metres(0.2))), ..seven_kilograms_a_week() };
    let flat = sized(&flat, (&fixed(20.0), YEAR), &worked()).unwrap();
    assert_eq!((flat.size.bins.unwrap().count.number(), flat.size.ground.square_metres()), (5.0, 1.0));
    assert_near(flat.own.get(Assumption::MaxDepth).unwrap().likely, 0.2, 1e-12);
    assert!(flat.forecast.layers.iter().all(|laid| laid.bed_depth.metres() <= 0.2 + 1e-9));
}

/// 10 L on 0.2 m2 are 5 cm deep, less than one layer of 12 cm: layers are as thin as the bin takes.
#[test]
fn a_bin_that_is_shallower_than_a_layer_gets_thinner_layers() {
    let bins = |litre: f64| Some(Bins { capacity: litres(litre), ground: Some(square_metres(0.2)) });
    let castings = vec![CastingsBy { by: on("2028-03-01"), amount: litres(100.0) }];
    for by in [SizedBy::EachWeek(weighing(1.4)), SizedBy::Castings(castings)] {
        for feeding in [Feeding::Weekly, Feeding::Layers] {
            let found = warm(&BedToSize { bins: bins(10.0), feeding, ..asked(by.clone()) });
            let depths = found.forecast.layers.iter().map(|laid| laid.bed_depth.metres());
            let deepest = depths.fold(0.0, f64::max);
            assert!(deepest > 0.02 && deepest <= 0.05 + 1e-9, "{deepest}");
            assert!(!found.forecast.lots.is_empty());
            assert!(found.castings.iter().all(|of| of.ready.litres() >= of.needed.litres() * (1.0 - 1e-9)));
        }
    }
    // A thousandth of a millimetre is no bin.
    let flat = BedToSize { bins: bins(0.0002), ..seven_kilograms_a_week() };
    assert_eq!(refused(&flat, &fixed(20.0), YEAR), (Reason::OutOfRange, Some("capacity")));
}

/// A week's 1.4 kg make a layer for each half of it: 0.02 mm on 1.4 kg / (0.00002 m x density).
#[test]
fn far_too_much_ground_is_refused_with_what_this_feed_covers() {
    let request = known(&[(Assumption::FeedDryDensity, 140.0)]);
    let of = |ground: f64| {
        let asked = BedToSize { ground: Some(square_metres(ground)), ..seven_kilograms_a_week() };
        sized(&asked, (&fixed(20.0), YEAR), &request)
    };
    assert!(of(499.9).is_ok());
    let refusal = of(500.1).unwrap_err();
    assert_eq!((refusal.reason, refusal.field), (Reason::OutOfRange, Some("area")));
    assert!(refusal.detail.contains("500 m2 at most"), "{}", refusal.detail);
}

/// Where the ground goes by the feed, more feed does not help: 1.333 kg of worms at a gram on a square metre take too much of it.
#[test]
fn ground_that_worms_are_spread_over_too_thinly_names_what_to_change() {
    let request = known(&[(Assumption::FeedDryDensity, 140.0), (Assumption::StockingDensity, 0.001)]);
    let of = |asked: BedToSize| sized(&asked, (&fixed(20.0), YEAR), &request);
    let refusal = of(seven_kilograms_a_week()).unwrap_err();
    assert!(
        refusal.detail.ends_with("500 m2 at most: give ground of at most 500 m2, or a higher worms.stocking_density"),
        "{refusal:?}"
    );
    assert!(of(BedToSize { ground: Some(square_metres(500.0)), ..seven_kilograms_a_week() }).is_ok());
    let bins = Some(Bins { capacity: litres(40.0), ground: None });
    let refusal = of(BedToSize { bins, ..seven_kilograms_a_week() }).unwrap_err();
    assert!(refusal.detail.ends_with("give smaller bins, or more feed"), "{refusal:?}");
}

/// By hand: 36 days at 11 C are 18 warm ones, and bring 7.2 kg. Ground that carries 1.2667 kg of worms, which eat 0.19 kg a warm day, has
/// 6.84 kg eaten in 36 warm days: it is too small however warm. (In six whole weeks it would be 7.98 kg.)
#[test]
fn a_week_that_is_cut_short_counts_its_days() {
    let small = BedToSize { ground: Some(square_metres(0.19 / 0.15 / 5.0)), ..seven_kilograms_a_week() };
    let limit = |asked: &BedToSize, until| sized(asked, (&fixed(11.0), until), &worked()).unwrap().limit;
    assert_eq!(limit(&small, "2027-05-06"), Limit::Ground);
    // 0.21 kg a warm day would be 7.56 kg.
    let large = BedToSize { ground: Some(square_metres(0.21 / 0.15 / 5.0)), ..small };
    assert_eq!(limit(&large, "2027-05-06"), Limit::Warmth);
}

/// 368 days are 52 weeks and four days, in which 4/7 of a week's feed comes.
#[test]
fn a_week_that_is_cut_short_gets_its_share_of_feed() {
    let asked = seven_kilograms_a_week();
    let found = sized(&asked, (&fixed(20.0), "2028-04-02"), &worked()).unwrap();
    let (last, weeks) = found.weeks.split_last().unwrap();
    assert_eq!(((last.end_on - last.start_on).num_days(), weeks.len()), (3, 52));
    assert_near(last.comes.kilograms(), 1.4 * 4.0 / 7.0, 1e-12);
    let come: f64 = found.weeks.iter().map(|week| week.comes.kilograms()).sum();
    assert_near(come, 1.4 * 368.0 / 7.0, 1e-12);
}

/// A first layer of 12 cm takes several weeks' feed: nothing is there to eat before it is laid.
#[test]
fn worms_are_put_in_when_the_first_feed_is_laid() {
    let found = warm(&BedToSize { feeding: Feeding::Layers, ..seven_kilograms_a_week() });
    let first = found.forecast.layers[0].on;
    assert!(first > on("2027-04-20") && found.bed.start_on == first, "{first}");
    let (before, after): (Vec<&Week>, Vec<&Week>) = found.weeks.iter().partition(|week| week.end_on < first);
    assert!(
        before.len() > 2 && before.iter().all(|week| week.worms.kilograms() == 0.0 && week.eaten.kilograms() == 0.0)
    );
    assert!(after.iter().all(|week| week.worms >= found.size.worms.likely().times(0.9)));
    assert_eq!(found.size.enough.unwrap().on, Some(first));
    // Fed week by week from the first day, they are there on the first day; leaves of October wait for nobody.
    assert_eq!(warm(&seven_kilograms_a_week()).bed.start_on, on("2027-04-01"));
    let october = vec![Delivery { on: on("2027-10-15"), dry_matter: weighing(30.0) }];
    assert_eq!(warm(&asked(SizedBy::OnDates(october))).bed.start_on, on("2027-10-15"));
}

#[test]
fn castings_needed_too_early_are_told_from_which_day_they_can_be_had() {
    let needs = [("2027-04-02", 5.0), ("2028-03-01", 5.0), ("2027-05-30", 5.0)];
    let needs: Vec<CastingsBy> = needs.map(|(by, amount)| CastingsBy { by: on(by), amount: litres(amount) }).to_vec();
    let by = |day: chrono::NaiveDate| asked(SizedBy::Castings(vec![CastingsBy { by: day, amount: litres(5.0) }]));
    let early = |climate: &Climate| {
        with(&Overrides::default(), |known| needed_too_early(&by(needs[0].by), &needs, (climate, known))).unwrap()
    };
    let found = early(&fixed(20.0));
    assert_eq!(found.iter().map(|(at, _)| *at).collect::<Vec<_>>(), [0, 2]);
    let told: Vec<_> = found[0].1.detail.split("ready on ").skip(1).map(|rest| on(&rest[..10])).collect();
    // From that day on they can be had, and not a day before.
    let (first, day) = (told[0], chrono::TimeDelta::days(1));
    assert!(sized(&by(first), (&fixed(20.0), &first.to_string()), &Overrides::default()).is_ok());
    let before = sized(&by(first - day), (&fixed(20.0), &(first - day).to_string()), &Overrides::default());
    assert_eq!(before.unwrap_err().field, Some("castings_needed"));
    // Where frost kills the worms first, or the days end, that is said.
    let frost = months([-12.0, -10.0, 0.0, 6.0, 4.0, 2.0, 0.0, -4.0, -9.0, -9.0, -9.0, -12.0], 0.0);
    let found = early(&frost);
    let says = |found: &[(usize, Refusal)], text: &str| found.len() == 3 && found[0].1.detail.contains(text);
    let earlier = "or start the bed so early that its castings are ready before that day";
    assert!(says(&found, "frost kills the worms on 2027-") && says(&found, "keep the bed above freezing"), "{found:?}");
    assert!(says(&found, "give climate the temperature in the bed") && says(&found, earlier), "{found:?}");
    // On the day on which it starts, an earlier start is no way out.
    let found = early(&fixed(36.0));
    assert!(says(&found, "heat kills the worms on 2027-04-01") && says(&found, "keep the bed below 35 C"), "{found:?}");
    assert!(!says(&found, earlier), "{found:?}");
    let days = (0..30).map(|i| (on("2027-04-01") + day * i, Temperature::from_celsius(20.0)));
    let found = early(&Climate::dated(&days.collect::<Vec<_>>()).unwrap());
    assert!(found.len() == 3 && found[0].1.detail.contains("by 2027-04-30 either"), "{found:?}");
}

#[test]
fn ground_that_carries_too_few_worms_limits_the_bed() {
    let small = BedToSize { ground: Some(square_metres(0.1)), ..seven_kilograms_a_week() };
    let found = sized(&small, (&fixed(20.0), YEAR), &worked()).unwrap();
    assert_eq!((found.limit, found.size.enough), (Limit::Ground, None));
    // As many as the ground carries are put in, no more.
    assert_near(found.size.worms.kilograms(), 0.5, 1e-12);
    let has = |rule| found.forecast.cautions.contains(&rule);
    assert!(has(Rule::FeedNotEaten) && !has(Rule::WormsAboveCarrying));
    // More than that is put in when asked, with a caution.
    let crowded = BedToSize { worms: Some(weighing(0.8)), ..small.clone() };
    let found = sized(&crowded, (&fixed(20.0), YEAR), &worked()).unwrap();
    assert!(found.forecast.cautions.contains(&Rule::WormsAboveCarrying));
    // However many are put in, this ground does not keep enough for all of the feed.
    let plenty = BedToSize { worms: Some(weighing(8.0)), ..small };
    assert!(sized(&plenty, (&fixed(20.0), YEAR), &worked()).unwrap().size.enough.is_none());
}

/// A winter that is too cold for worms, though the bed does not freeze.
fn cold() -> Climate {
    months([1.0, 2.0, 6.0, 10.0, 15.0, 18.0, 20.0, 20.0, 16.0, 11.0, 5.0, 2.0], 1.0)
}

#[test]
fn in_a_winter_without_warmth_feed_piles_up() {
    let year = sized(&seven_kilograms_a_week(), (&cold(), YEAR), &Overrides::default()).unwrap();
    let mild = warm(&seven_kilograms_a_week());
    // Fewer warm days take more worms.
    assert!(year.size.warm_share.fraction() < 0.8 && year.size.worms_needed.likely() > mild.size.worms_needed.likely());
    let winter = year.winter.unwrap();
    assert!(mild.winter.is_none());
    assert!(winter.start_on >= on("2027-12-01") && winter.end_on <= on("2028-02-28"), "{winter:?}");
    let weeks = (winter.end_on - winter.start_on).num_days() / 7;
    assert!(weeks >= 4 && winter.waits.kilograms() >= 1.4 * 4.0, "{winter:?}");
    let waiting = year.waiting.unwrap();
    assert!(waiting.most >= winter.waits && waiting.on >= winter.start_on, "{waiting:?}");
    for week in &year.weeks {
        let cold = week.start_on >= winter.start_on && week.end_on <= winter.end_on;
        assert!(!cold || (week.eaten.kilograms() == 0.0 && week.warm_days == 0.0), "{week:?}");
    }
}

/// Leaves of one autumn, kept and fed as the worms eat: 73 kg over a year are 0.2 kg a day.
#[test]
fn leaves_of_one_autumn_are_kept_and_fed_over_the_year() {
    let leaves = vec![Delivery { on: on("2027-04-01"), dry_matter: weighing(73.2) }];
    let found = sized(&asked(SizedBy::OnDates(leaves)), (&fixed(20.0), YEAR), &worked()).unwrap();
    assert_near(found.size.feed_a_day.kilograms(), 0.2, 1e-12);
    assert_near(found.waiting.unwrap().most.kilograms(), 73.2 - found.weeks[0].eaten.kilograms(), 1e-12);
    assert!(found.weeks.windows(2).all(|pair| pair[1].waits <= pair[0].waits));
}

fn on_dates(list: &[(chrono::NaiveDate, f64)]) -> SizedBed {
    let list = list.iter().map(|(on, mass)| Delivery { on: *on, dry_matter: weighing(*mass) }).collect();
    sized(&asked(SizedBy::OnDates(list)), (&fixed(20.0), YEAR), &worked()).unwrap()
}

/// By hand: 7 kg of dry matter over the 366 days of the plan are 19.1 g a day, which 0.1275 kg of worms eat. Whenever they come, they keep
/// 66 %, 4.62 kg, and make 15.4 L, of which 12.32 L pass the sieve: a delivery on the last day is no stream of 7 kg a day.
#[test]
fn feed_that_comes_late_makes_no_more_castings_than_it_holds() {
    for day in ["2027-04-01", "2027-10-15", YEAR] {
        let found = on_dates(&[(on(day), 7.0)]);
        assert_near(found.size.feed_a_day.kilograms(), 7.0 / 366.0, 1e-12);
        assert_near(found.size.worms_needed.kilograms(), 7.0 / 366.0 / 0.15, 1e-12);
        assert!(found.size.castings_a_year.is_none());
        let all = found.size.castings_of_all.unwrap();
        assert_near(all.dry_matter.kilograms(), 4.62, 1e-12);
        assert_near(all.castings.litres(), 12.32, 1e-12);
        assert_near(all.castings.litres() + all.oversize.litres(), 15.4, 1e-12);
    }
    // What comes on the last day waits, and neither worms nor ground are too few.
    let late = on_dates(&[(on(YEAR), 7.0)]);
    assert_eq!(late.limit, Limit::Time);
    assert!(late.waiting.unwrap().most.kilograms() > 6.9 && late.forecast.cautions.contains(&Rule::FeedNotEaten));
    assert_eq!(on_dates(&[(on("2027-04-01"), 7.0)]).limit, Limit::Feed);
    // A bed that has eaten the little that came first has not caught up with the much that comes last.
    assert_eq!(on_dates(&[(on("2027-04-01"), 0.1), (on(YEAR), 7.0)]).limit, Limit::Time);
}

#[test]
fn castings_needed_by_dates_are_ready_by_these_dates() {
    let needs = || {
        vec![
            CastingsBy { by: on("2028-03-20"), amount: litres(60.0) },
            CastingsBy { by: on("2027-12-01"), amount: litres(100.0) },
        ]
    };
    let found = warm(&asked(SizedBy::Castings(needs())));
    assert_eq!(found.limit, Limit::Feed);
    let [first, last] = found.castings[..] else { panic!("{:?}", found.castings) };
    assert_eq!((first.by, first.needed.litres()), (on("2027-12-01"), 100.0));
    assert_eq!((last.by, last.needed.litres()), (on("2028-03-20"), 160.0));
    let exact = |ready: f64, needed: f64| ready >= needed * (1.0 - 1e-9);
    assert!(exact(first.ready.litres(), 100.0) && exact(last.ready.litres(), 160.0));
    // One of the two is met to the millilitre: the ground is the smallest.
    assert!(near(first.ready.litres(), 100.0, 1e-9) || near(last.ready.litres(), 160.0, 1e-9));
    // Half that ground gives half of it, and the answer says what limits.
    let ground = found.size.ground.times(0.5);
    let half = warm(&BedToSize { ground: Some(ground), ..asked(SizedBy::Castings(needs())) });
    assert_eq!(half.limit, Limit::Ground);
    assert_near(half.castings[0].ready.litres(), first.ready.litres() / 2.0, 1e-9);
    assert_near(half.size.ground_with_room.square_metres(), found.size.ground.square_metres(), 1e-12);
}

fn refused(asked: &BedToSize, climate: &Climate, until: &str) -> (Reason, Option<&'static str>) {
    let refusal = sized(asked, (climate, until), &Overrides::default()).unwrap_err();
    (refusal.reason, refusal.field)
}

#[test]
fn what_no_bed_can_do_is_refused() {
    let castings = asked(SizedBy::Castings(vec![CastingsBy { by: on("2027-04-20"), amount: litres(10.0) }]));
    assert_eq!(refused(&castings, &fixed(20.0), YEAR), (Reason::DatesOutOfOrder, Some("castings_needed")));
    let weekly = seven_kilograms_a_week();
    assert_eq!(refused(&weekly, &fixed(2.0), YEAR), (Reason::ImpossibleValue, Some("climate")));
    assert_eq!(refused(&weekly, &fixed(20.0), "2027-04-05"), (Reason::OutOfRange, Some("until")));
    assert!(sized(&weekly, (&fixed(20.0), "2027-04-07"), &Overrides::default()).is_ok());
    assert_eq!(MOST_WEEKS, 500);
    assert!(sized(&weekly, (&fixed(20.0), "2036-10-29"), &Overrides::default()).is_ok());
    assert_eq!(refused(&weekly, &fixed(20.0), "2036-11-05"), (Reason::OutOfRange, Some("until")));
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

#[test]
fn half_the_worms_wait_longer_and_never_eat_more() {
    let of = |worms: f64| warm(&BedToSize { to_buy: Some(kg(worms).into()), ..seven_kilograms_a_week() });
    let (few, more) = (of(0.4), of(0.8));
    let days = |bed: &SizedBed| bed.size.enough.unwrap().warm_days.likely().hours();
    assert!(days(&few) > days(&more) && days(&more) > 0.0);
    let eaten = |bed: &SizedBed| bed.weeks.iter().take(12).map(|week| week.eaten.kilograms()).sum::<f64>();
    assert!(eaten(&few) < eaten(&more));
}

//! Week by week: what is fed, what is eaten and what waits, also in a cold winter.

use super::{YEAR, asked, seven_kilograms_a_week, sized, warm, worked};
use crate::beds::{fixed, kg, months, square_metres, weighing};
use crate::support::{assert_near, on};
use barrowful::garden::assumptions::Overrides;
use barrowful::garden::beds::sizing::{BedToSize, Feeding, Limit, SizedBed, SizedBy, Week};
use barrowful::garden::beds::{Climate, Delivery};

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

#[test]
fn half_the_worms_wait_longer_and_never_eat_more() {
    let of = |worms: f64| warm(&BedToSize { to_buy: Some(kg(worms).into()), ..seven_kilograms_a_week() });
    let (few, more) = (of(0.4), of(0.8));
    let days = |bed: &SizedBed| bed.size.enough.unwrap().warm_days.likely().hours();
    assert!(days(&few) > days(&more) && days(&more) > 0.0);
    let eaten = |bed: &SizedBed| bed.weeks.iter().take(12).map(|week| week.eaten.kilograms()).sum::<f64>();
    assert!(eaten(&few) < eaten(&more));
}

/// However much comes each week, a harvest that is fed weekly takes nearly the feed of its usual layers, and each week's feed is a whole number
/// of thin ones.
#[test]
fn a_harvest_that_is_fed_weekly_takes_the_feed_of_its_layers() {
    let ground = Some(square_metres(1.0));
    for (kilograms, layers) in
        [2.0, 10.0, 15.8, 20.6, 30.0, 52.0, 150.0].into_iter().flat_map(|week| [1, 3].map(|k| (week, k)))
    {
        let weekly =
            BedToSize { ground, layers_per_cycle: Some(layers), ..asked(SizedBy::EachWeek(weighing(kilograms))) };
        let in_layers = BedToSize { feeding: Feeding::Layers, ..weekly.clone() };
        let [weekly, in_layers] = [weekly, in_layers].map(|asked| warm(&asked).forecast);
        let feed = weekly.lots[0].feed.likely().kilograms();
        let share = feed / in_layers.lots[0].feed.likely().kilograms();
        assert!((share - 1.0).abs() <= 0.05, "{kilograms} kg, {layers}: {share}");
        let thin = weekly.layers[0].dry_matter.likely().kilograms();
        let in_a_week = kilograms / thin;
        assert!((in_a_week - in_a_week.round()).abs() < 1e-6 && in_a_week > 1.9, "{kilograms} kg, {layers}: {thin}");
    }
}

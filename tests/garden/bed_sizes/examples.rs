//! The worked example of a bed for so much feed a week, and rules of thumb beside it.

use super::{YEAR, asked, litres, seven_kilograms_a_week, sized, worked};
use crate::beds::{fixed, weighing};
use crate::support::{assert_near, on};
use barrowful::garden::beds::Delivery;
use barrowful::garden::beds::sizing::{BedToSize, CastingsBy, Limit, SizedBy};

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

/// Started with 0.5 kg on 0.833 m2: ln((4.1667/0.5 - 1)/(4.1667/1.3333 - 1)) / (ln 2/75) = 134.0 warm days.
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

/// 73.2 kg dry that come at once are 366 kg fresh at 80 % moisture. Rules of thumb go by the weeks in which the bed takes feed, and not by
/// all days of the plan: half as long a time takes twice the worms.
#[test]
fn rules_of_thumb_go_by_the_feed_while_it_is_given() {
    let leaves = vec![Delivery { on: on("2027-04-01"), dry_matter: weighing(73.2) }];
    let by_castings = vec![CastingsBy { by: on("2027-12-31"), amount: litres(60.0) }];
    for by in [SizedBy::OnDates(leaves), SizedBy::Castings(by_castings)] {
        let many = BedToSize { to_buy: matches!(by, SizedBy::OnDates(_)).then(|| weighing(3.0)), ..asked(by) };
        let found = sized(&many, (&fixed(20.0), YEAR), &worked()).unwrap();
        let fed: Vec<_> = found.weeks.iter().filter(|week| week.eaten.kilograms() > 0.0).collect();
        let days: i64 = fed.iter().map(|week| (week.end_on - week.start_on).num_days() + 1).sum();
        let eaten: f64 = fed.iter().map(|week| week.eaten.kilograms()).sum();
        let a_day = eaten / 0.2 / f64::from(i32::try_from(days).unwrap());
        assert!(days > 7 && days < 280, "{days}");
        assert_near(found.size.thumb.feed_a_week.kilograms(), 7.0 * a_day, 1e-9);
        assert_near(found.size.thumb.worms.kilograms(), 2.0 * a_day, 1e-9);
        assert!(found.size.thumb.worms.kilograms() > 2.0 * found.size.feed_a_day.kilograms() / 0.2 * 1.2);
    }
    // Feed that comes each week is given as it comes, also while the castings of a harvest finish.
    let steady = sized(&seven_kilograms_a_week(), (&fixed(20.0), YEAR), &worked()).unwrap().size.thumb;
    assert_near(steady.feed_a_week.kilograms(), 7.0, 1e-12);
}

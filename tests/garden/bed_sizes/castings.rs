//! Castings that are needed by dates, and those that feed given by dates makes.

use super::{YEAR, asked, litres, sized, warm, worked};
use crate::beds::{fixed, months, weighing};
use crate::support::{assert_near, near, on, with};
use barrowful::garden::assumptions::Overrides;
use barrowful::garden::beds::sizing::{BedToSize, CastingsBy, Limit, SizedBed, SizedBy, needed_too_early};
use barrowful::garden::beds::{Climate, Delivery};
use barrowful::garden::cautions::Rule;
use barrowful::garden::refusal::Refusal;
use barrowful::garden::units::Temperature;

#[test]
fn castings_needed_too_early_get_the_day_from_which_they_can_be_had() {
    let needs = [("2027-04-02", 5.0), ("2028-03-01", 5.0), ("2027-05-30", 5.0)];
    let needs: Vec<CastingsBy> = needs.map(|(by, amount)| CastingsBy { by: on(by), amount: litres(amount) }).to_vec();
    let by = |day: chrono::NaiveDate| asked(SizedBy::Castings(vec![CastingsBy { by: day, amount: litres(5.0) }]));
    let early = |climate: &Climate| {
        with(&Overrides::default(), |known| needed_too_early(&by(needs[0].by), &needs, (climate, known))).unwrap()
    };
    let found = early(&fixed(20.0));
    assert_eq!(found.iter().map(|(at, _)| *at).collect::<Vec<_>>(), [0, 2]);
    let reported: Vec<_> = found[0].1.detail.split("ready on ").skip(1).map(|rest| on(&rest[..10])).collect();
    // From that day on they can be had, and not a day before.
    let (first, day) = (reported[0], chrono::TimeDelta::days(1));
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

pub fn on_dates(list: &[(chrono::NaiveDate, f64)]) -> SizedBed {
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

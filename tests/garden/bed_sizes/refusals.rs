//! What no bed can do is refused, with what to change.

use super::{YEAR, asked, litres, seven_kilograms_a_week, sized};
use crate::beds::{fixed, square_metres};
use crate::support::{known, on};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::beds::Climate;
use barrowful::garden::beds::sizing::{BedToSize, Bins, CastingsBy, MAX_WEEKS, SizedBy};
use barrowful::garden::refusal::Reason;

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

pub fn refused(asked: &BedToSize, climate: &Climate, until: &str) -> (Reason, Option<&'static str>) {
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
    assert_eq!(MAX_WEEKS, 500);
    assert!(sized(&weekly, (&fixed(20.0), "2036-10-29"), &Overrides::default()).is_ok());
    assert_eq!(refused(&weekly, &fixed(20.0), "2036-11-05"), (Reason::OutOfRange, Some("until")));
}

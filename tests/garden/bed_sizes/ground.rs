//! Ground and bins: how many there are, how full, and what happens where they are too few.

use super::refusals::refused;
use super::{YEAR, asked, litres, seven_kilograms_a_week, sized, warm, worked};
use crate::beds::{fixed, square_metres, weighing};
use crate::support::{assert_near, on};
use barrowful::garden::assumptions::Assumption;
use barrowful::garden::beds::sizing::{BedToSize, Bins, CastingsBy, Feeding, Limit, SizedBy};
use barrowful::garden::cautions::Rule;
use barrowful::garden::refusal::Reason;

/// Bins of 40 L: filled to 0.45 m each covers 0.0889 m2, so 0.833 m2 take 9.4 of them.
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

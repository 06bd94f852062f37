//! What castings become of a feed, and that castings too wet are mentioned with it.

use super::{exactly, hot, ingredient, kg, of_table, order, planned};
use crate::support::{assert_near, known, three, with};
use barrowful::garden::assumptions::Assumption;
use barrowful::garden::cautions::Rule;
use barrowful::garden::feeds::{Amount, Carbon, Goals, Material, Order, plan};
use barrowful::garden::figures::Off;

/// Mitchell 1997: 30 % of the dry matter lost; at 25 % ash that is 40 % of the organic matter.
#[test]
fn castings_follow_from_ash_and_loss() {
    let carbon = Carbon::Ash(exactly(0.25));
    let manure = Material::new((exactly(0.7), exactly(0.02)), carbon, None, Off).unwrap();
    let feed = order(vec![ingredient("manure", manure, Amount::Fixed(kg(1000.0)))], Goals::default());
    let forty = known(&[(Assumption::OrganicMatterLoss, 0.4)]);
    let castings = |order: &Order| with(&forty, |known| plan(order, known, Off)).unwrap().castings;
    let (c, open) = (castings(&feed), planned(&feed).castings);
    assert_near(c.dry_out.likely().kilograms(), 300.0 * 0.7, 1e-12);
    // 210 kg, 80 % through the sieve, at 300 kg/m3 and 50 % moisture; 220 kg/m3 in the bed at 75 %.
    assert_near(c.stored.likely().litres(), 560.0, 1e-12);
    assert_near(c.mass.likely().kilograms(), 336.0, 1e-12);
    assert_near(c.in_bed.likely().litres(), 210.0 / 0.22, 1e-12);
    assert_near(c.store_moisture.likely().fraction(), 0.5, 1e-12);
    assert_near(c.bed_moisture.likely().fraction(), 0.75, 1e-12);
    assert_near(c.nitrogen.likely().kilograms(), 6.0 * 0.85, 1e-12);
    // 41.67 % carbon over 2 % N is 20.8; times 0.6/0.85.
    assert_near(c.carbon_to_nitrogen.likely().number(), 0.75 / 1.8 / 0.02 * 0.6 / 0.85, 1e-12);
    let after = castings(&Order { hot_composting: Some(hot(15, 7)), ..feed });
    // 0.6 % of the organic matter a day: 75 kg of ash, and 60 % of what 15 days leave of 225 kg.
    let organic = 225.0 * f64::exp(-0.006 * 15.0);
    assert_near(after.dry_in.likely().kilograms(), 75.0 + organic, 1e-12);
    assert_near(after.dry_out.likely().kilograms(), 75.0 + organic * 0.6, 1e-12);
    // Nitrogen: 0.2 % a day, then 85 % in the bed.
    assert_near(after.nitrogen.likely().kilograms(), 6.0 * f64::exp(-0.002 * 15.0) * 0.85, 1e-12);
    assert_near(
        after.carbon_to_nitrogen.likely().number(),
        0.75 / 1.8 / 0.02 * f64::exp((0.002 - 0.006) * 15.0) * 0.6 / 0.85,
        1e-12,
    );
    for estimate in [three(open.dry_out), three(after.dry_out), three(open.stored), three(open.carbon_to_nitrogen)] {
        assert!(estimate[0] < estimate[1] && estimate[1] < estimate[2]);
    }
}

#[test]
fn castings_too_wet_to_breathe_are_mentioned_with_the_feed() {
    let wet = known(&[(Assumption::BulkDensity, 950.0)]);
    let straw = || order(vec![of_table("wheat_straw", Amount::Fixed(kg(10.0)))], Goals::default());
    let found = with(&wet, |known| plan(&straw(), known, Off)).unwrap();
    assert!(found.cautions.contains(&Rule::TooWet) && !planned(&straw()).cautions.contains(&Rule::TooWet));
    let soaked = known(&[(Assumption::BulkDensity, 1200.0)]);
    assert_eq!(with(&soaked, |known| plan(&straw(), known, Off)).unwrap_err().field, Some("assumptions"));
}

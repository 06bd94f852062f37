//! What goes in comes out: dry matter, ash, carbon, nitrogen, phosphorus, potassium and water of harvests by what was fed, of each
//! lot of a forecast, and of a season's supply, to 1e-9.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::beds::laws::{beds_in_any_phase, climate, later};
use crate::beds::{reported, share};
use crate::seasons::{exact, lot, ml, requirement, season, sure};
use crate::support::{applied, known, laws, near, on, order, plain, with};
use barrowful::garden::applications::{Portion, Rate};
use barrowful::garden::assumptions::{Assumption, MAX_ASH, Overrides};
use barrowful::garden::beds::{Clocks, Fed, FromFeed, from_feed};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::{BedPlan, Season, plan};
use barrowful::garden::units::Mass;
use barrowful::garden::units::Millilitres;
use proptest::prelude::*;

/// Carbon in the organic matter.
const CARBON: f64 = 1.0 / 1.8;

/// A feed: fresh kg, moisture, ash, and shares of the dry matter.
fn feed() -> impl Strategy<Value = Fed> {
    let parts = (0.001_f64..0.04, 0.0001_f64..0.01, 0.0001_f64..0.01);
    (1.0_f64..500.0, 0.0_f64..0.9, 0.03_f64..0.6, parts).prop_map(|(fresh, moisture, ash, (n, p, k))| Fed {
        fresh: Mass::from_kilograms(fresh).into(),
        moisture: share(moisture),
        ash: share(ash),
        nitrogen: Some(share(n)),
        phosphorus: Some(share(p)),
        potassium: Some(share(k)),
        cautions: &[],
    })
}

/// Losses, and how castings lie.
fn losses() -> impl Strategy<Value = (f64, f64, f64, f64)> {
    (0.0_f64..0.9, 0.1_f64..1.0, 0.1_f64..1.0, 150.0_f64..450.0)
}

fn request((loss, nitrogen, sieve, dry): (f64, f64, f64, f64)) -> Overrides {
    known(&[
        (Assumption::OrganicMatterLoss, loss),
        (Assumption::NitrogenRetained, nitrogen),
        (Assumption::SieveYield, sieve),
        (Assumption::DryBulkDensity, dry),
        (Assumption::BulkDensity, 600.0),
    ])
}

/// The sum over feeds of a part of their dry matter, kg.
fn in_feeds(feeds: &[Fed], part: impl Fn(&Fed) -> f64) -> f64 {
    feeds.iter().map(|f| f.fresh.kilograms() * (1.0 - f.moisture.fraction()) * part(f)).sum()
}

fn found(feeds: &[Fed], request: &Overrides) -> FromFeed {
    with(request, |k| from_feed(feeds, None, k, Off)).unwrap()
}

proptest! {
    #![proptest_config(laws(400))]

    /// Castings of known feed, spread with the ash that they then have, carry the organic matter of the feed that was not lost.
    #[test]
    fn castings_spread_carry_the_organic_matter_that_feed_left(feeds in prop::collection::vec(feed(), 1..5), values in losses()) {
        let found = found(&feeds, &request(values));
        let organic = in_feeds(&feeds, |f| 1.0 - f.ash.fraction()) * (1.0 - values.0);
        let ash = found.ash.likely().fraction();
        prop_assume!(ash <= MAX_ASH);
        let spread = order(plain("1 m2"), Rate::Total(Portion::DryMass(found.yields.dry_matter)));
        let carried = applied(&spread, &known(&[(Assumption::Ash, ash)])).carried.nutrients.organic_matter.likely();
        prop_assert!(near(carried.kilograms(), organic, 1e-9), "{} {}", carried.kilograms(), organic);
    }

    /// All that was fed is in the castings, or stated as lost.
    #[test]
    fn castings_of_what_was_fed_hold_what_is_not_lost(feeds in prop::collection::vec(feed(), 1..5), values in losses()) {
        let (loss, kept, sieve, dry_density) = values;
        let found = found(&feeds, &request(values));
        let [dry, ash, nitrogen] = [
            in_feeds(&feeds, |_| 1.0),
            in_feeds(&feeds, |f| f.ash.fraction()),
            in_feeds(&feeds, |f| f.nitrogen.unwrap().fraction()),
        ];
        let out = found.yields.dry_matter.kilograms();
        prop_assert!(near(found.fed_dry_matter.kilograms(), dry, 1e-9));
        prop_assert!(near(out + (dry - ash) * loss, dry, 1e-9));
        prop_assert!(near(found.ash.fraction() * out, ash, 1e-9));
        let nitrogen_out = found.nitrogen.unwrap().fraction() * out;
        prop_assert!(near(nitrogen_out + nitrogen * (1.0 - kept), nitrogen, 1e-9));
        let (carbon, carbon_out) = ((dry - ash) * CARBON, found.carbon_to_nitrogen.unwrap().number() * nitrogen_out);
        prop_assert!(near(carbon_out + carbon * loss, carbon, 1e-9), "{} {}", carbon_out, carbon);
        for (after, before) in [
            (found.phosphorus, in_feeds(&feeds, |f| f.phosphorus.unwrap().fraction())),
            (found.potassium, in_feeds(&feeds, |f| f.potassium.unwrap().fraction())),
        ] {
            prop_assert!(near(after.unwrap().fraction() * out, before, 1e-9));
        }
        // Water: of the feed, and of the castings in store.
        let fresh: f64 = feeds.iter().map(|f| f.fresh.kilograms()).sum();
        prop_assert!(near(found.fed_moisture.fraction() * fresh + dry, fresh, 1e-9));
        let yields = found.yields;
        let (mass, sieved) = (yields.mass.kilograms(), yields.sieved_dry_matter.kilograms());
        prop_assert!(near(sieved + mass * yields.moisture.fraction(), mass, 1e-9));
        prop_assert!(near(sieved, out * sieve, 1e-9) && near(mass, yields.castings.litres() * 0.6, 1e-9));
        // What passes the sieve and what it holds back are all of it.
        let held = yields.oversize.litres() / 1000.0 * dry_density;
        prop_assert!((sieved + held - out).abs() <= 1e-9 * out);
    }

    /// Two feeds of one kind are one feed.
    #[test]
    fn a_feed_in_two_lines_makes_the_same_castings(feed in feed(), part in 0.01_f64..0.99, values in losses()) {
        let of = |share: f64| Fed { fresh: feed.fresh.times(share), ..feed };
        let request = request(values);
        let (one, two) = (found(&[feed], &request), found(&[of(part), of(1.0 - part)], &request));
        prop_assert!(near(one.yields.castings.litres(), two.yields.castings.litres(), 1e-9));
        prop_assert!(near(one.carbon_to_nitrogen.unwrap().number(), two.carbon_to_nitrogen.unwrap().number(), 1e-9));
    }
}

proptest! {
    #![proptest_config(laws(150))]

    /// Each lot holds what its feed left: dry matter by the sieve and the store, nitrogen, carbon, and water in the bed.
    #[test]
    fn each_lot_of_a_forecast_holds_what_its_feed_left(bed in beds_in_any_phase(), climate in climate(), days in 200_u64..900, values in losses()) {
        let (loss, kept, sieve, dry_density) = values;
        let until = later(bed.start_on, days).to_string();
        let forecast = reported(&bed, &climate, &until, &request(values)).unwrap();
        let (ash, n) = (bed.feed.ash.fraction(), bed.feed.nitrogen.unwrap().fraction());
        let left = ash + (1.0 - ash) * (1.0 - loss);
        for (i, lot) in forecast.lots.iter().enumerate() {
            let (feed, castings) = (lot.feed.kilograms(), lot.yields.dry_matter.kilograms());
            // What lay in a running bed as castings goes out with the first lot.
            let started = bed.running.filter(|_| i == 0).map_or(0.0, |r| r.castings.kilograms());
            prop_assert!(near(castings, feed * left + started, 1e-9), "{} {} {}", castings, feed * left, started);
            prop_assert!(near(lot.nitrogen.unwrap().fraction() * left, n * kept, 1e-9));
            let ratio = (1.0 - ash) * CARBON * (1.0 - loss) / (n * kept);
            prop_assert!(near(lot.carbon_to_nitrogen.unwrap().number(), ratio, 1e-9));
            let stored = lot.yields.castings.litres() / 1000.0 * dry_density;
            let held = lot.yields.oversize.litres() / 1000.0 * dry_density;
            prop_assert!(near(stored, castings * sieve, 1e-9));
            prop_assert!((stored + held - castings).abs() <= 1e-9 * castings);
            prop_assert!(near(lot.bed_moisture.fraction(), 0.75, 1e-9));
        }
    }

    /// A season hands on what its beds bring in, to the millilitre: supply = stock + lots = allocated + remaining + expired, and
    /// the dry matter in those lots is what the beds' accounts state.
    #[test]
    fn a_season_hands_on_what_its_beds_bring_in(
        beds in prop::collection::vec(beds_in_any_phase(), 1..4),
        climate in climate(),
        stock in 1.0_f64..400.0,
        wants in prop::collection::vec((1.0_f64..400.0, 1_u8..4), 1..5),
    ) {
        let exact = exact();
        let none = Overrides::default();
        let until = on("2028-12-31");
        let clocks = with(&exact, |k| Clocks::new(&climate, (on("2026-06-01"), until), k)).unwrap();
        let of = |bed| BedPlan { bed, clocks: &clocks, overrides: &none, manure: Manure::default() };
        let wanted = wants.iter().map(|(litres, priority)| (requirement(*litres, ("2027-04-01", "2028-06-01"), *priority), sure()));
        let base = season(vec![(lot(stock, "2027-01-01", ""), sure())], wanted.collect(), &exact);
        let season = Season { beds: beds.into_iter().map(of).collect(), until, ..base };
        let plan = plan(&season, Off).unwrap();
        let mut brought = ml(stock).get();
        let mut count = 1;
        for (forecast, bed) in plan.forecasts.iter().zip(&season.beds) {
            let in_lots: f64 = forecast.lots.iter().map(|lot| lot.yields.dry_matter.kilograms()).sum();
            let balance = forecast.balance;
            prop_assert!(near(balance.dry_matter.in_lots.kilograms(), in_lots, 1e-9));
            let accounts = [balance.dry_matter, balance.ash, balance.carbon, balance.nitrogen.unwrap(), balance.water];
            for account in accounts {
                let out = account.in_lots + account.lost + account.in_bed;
                prop_assert!(near(account.fed.kilograms(), out.kilograms(), 1e-9), "{:?} {:?}", bed.bed, account);
            }
            for lot in &forecast.lots {
                brought += Millilitres::nearest(lot.yields.castings.likely()).get();
                count += 1;
            }
        }
        prop_assert_eq!(plan.lots.len(), count);
        let states = plan.balance.stock.iter();
        let handed: u64 = states.map(|s| s.allocated.get() + s.remaining.get() + s.expired.get()).sum();
        prop_assert_eq!(handed, brought);
        let served: u64 = plan.balance.demands.iter().map(|d| d.allocated.get()).sum();
        let given: u64 = plan.balance.stock.iter().map(|s| s.allocated.get()).sum();
        prop_assert_eq!(served, given);
    }
}

//! Every figure of harvests and of beds to size is explained, for any bed.

use super::{check, figure};
use crate::support::{demo_files, ok};
use proptest::prelude::*;
use serde_json::{Value, json};

/// What has no formula of one line: a loss and depths of layers that are assumptions reported again, and what the clock of warm days
/// gives day by day.
const AS_GIVEN: [&str; 10] = [
    "/in_bed_moisture",
    "/from_feed/organic_matter_loss",
    "/bed_depth",
    "/to_add",
    "/to_drain",
    "/water_from_decomposition",
    "/evaporated",
    "/end/uneaten_feed",
    "/end/castings",
    "/end/worms",
];

#[test]
fn every_figure_of_harvests_is_explained() {
    for path in demo_files("harvests") {
        let body: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        let plain_answer = ok("harvests", &body);
        let mut left = check("harvests", &body, true);
        left.retain(|of| !AS_GIVEN.iter().any(|given| of.ends_with(given)));
        // Masses of feed and of worms that the request gives.
        let given = |of: &String| {
            let (fed, worms) = (of.contains("/from_feed/fed/"), of.ends_with("/worms/0/mass"));
            (fed || worms) && of.ends_with("/mass")
        };
        left.retain(|of| !given(of));
        left.retain(|of| !(of.contains("/layers/") && of.ends_with("/depth")));
        // A bed that is done holds nothing.
        left.retain(|of| !of.ends_with("/end/depth") || figure(plain_answer.pointer(of).unwrap(), "value") != 0.0);
        // A bed that runs already holds feed before any is laid.
        left.retain(|of| of != "/worm_beds/1/forecast/water/0/with_feed");
        assert!(left.is_empty(), "{}: {left:#?}", path.display());
    }
}

/// What the clock of warm days gives week by week has no formula of one line; what is given is given.
const OF_A_SIZED_BED: [&str; 3] = ["/warm_days", "/worms", "/bins/capacity"];

#[test]
fn every_figure_of_worm_beds_is_explained() {
    for path in demo_files("worm-beds") {
        let body: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        let mut left = check("worm-beds", &body, false);
        left.retain(|of| !AS_GIVEN.iter().chain(&OF_A_SIZED_BED).any(|given| of.ends_with(given)));
        left.retain(|of| !of.starts_with("/worm_bed/") && !of.starts_with("/castings_needed/"));
        // What is taken of each material is its share of the mix, by the parts or amounts given: a rule, and no formula.
        left.retain(|of| !(of.contains("/materials/") && ["/mass", "/volume"].iter().any(|end| of.ends_with(end))));
        // Worms that are there or bought.
        left.retain(|of| !["/worms/at_start", "/worms/to_buy"].contains(&of.as_str()));
        // Ground for castings is searched for; ground that is given is given.
        let is_free = body.get("castings_needed").is_none();
        left.retain(|of| is_free || !of.starts_with("/ground/"));
        left.retain(|of| of != "/ground/bed" || body.get("ground").is_none());
        left.retain(|of| !(of.contains("/layers/") && of.ends_with("/depth")));
        // Enough from the start, and a bed that is done, which holds nothing.
        let answer = ok("worm-beds", &body);
        let is_nothing = |of: &String| figure(answer.pointer(of).unwrap(), "value") == 0.0;
        left.retain(|of| !(["/worms/enough_after", "/end/depth"].contains(&of.as_str()) && is_nothing(of)));
        assert!(left.is_empty(), "{}: {left:#?}", path.display());
    }
}

/// A feed with its analysis said in one of three ways, and an amount of it.
fn feed() -> impl Strategy<Value = (Value, Value)> {
    (0_usize..3, 5_u32..60, 20_u32..90, 3_u32..40, any::<bool>()).prop_map(
        |(kind, ash, moisture, nitrogen, by_volume)| {
            let (field, percent) = match kind {
                0 => ("ash", f64::from(ash)),
                1 => ("organic_matter", 100.0 - f64::from(ash)),
                _ => ("carbon", (100.0 - f64::from(ash)) / 2.0),
            };
            let share = |percent: f64| json!(format!("{percent} %"));
            let mut feed =
                json!({"moisture": share(f64::from(moisture)), "nitrogen": share(f64::from(nitrogen) / 10.0)});
            feed["bulk_density"] = json!("450 kg/m3");
            feed[field] = share(percent);
            let amount = f64::from(20 + ash * moisture) / 7.0;
            (feed, json!(if by_volume { format!("{amount} L") } else { format!("{amount} lb") }))
        },
    )
}

/// A bed by its depth, by what was fed, and to come.
fn worm_bed() -> impl Strategy<Value = Value> {
    let way = (any::<[bool; 4]>(), 0_usize..3, 1_u32..6, 1_u32..80);
    (way, prop::collection::vec(feed(), 1..4)).prop_map(|(([by_depth, fed, worms, running], supply, layers, size), feeds)| {
        let area = f64::from(size) / 13.0 + 0.3;
        let mut bed = json!({"ground": {"kind": "area", "area": {"value": area, "unit": "m2"}}});
        if by_depth {
            bed["material_depth"] = json!("9 in");
            bed["finished_share"] = json!("70 %");
        }
        let (of_bed, amount) = &feeds[0];
        if fed {
            let list = feeds.iter().map(|(feed, amount)| {
                let mut feed = feed.clone();
                feed["amount"] = amount.clone();
                feed
            });
            bed["fed"] = list.collect();
        }
        let mut feed = of_bed.clone();
        feed["supply"] = match supply {
            0 => json!({"kind": "as_needed"}),
            1 => json!({"kind": "amount", "amount": amount}),
            _ => json!({"kind": "deliveries", "deliveries": [{"on": "2027-05-03", "amount": amount}, {"on": "2027-03-20", "amount": "60 kg"}]}),
        };
        bed["forecast"] = json!({"start_on": "2027-03-15", "until": "2028-10-31", "layers_per_cycle": layers, "feed": feed,
            "climate": {"unit": "C", "fixed": 19}});
        if worms {
            bed["forecast"]["worms"] = json!(format!("{} kg", area / 2.0));
        }
        if running {
            bed["forecast"]["running"] = json!({"uneaten_feed": amount, "castings": "15 L"});
        }
        bed
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever is said of beds, each explanation gives its figure, and the same figures are left without one.
    #[test]
    fn every_explanation_of_beds_gives_its_figure(beds in prop::collection::vec(worm_bed(), 1..3), us in any::<bool>()) {
        let request = json!({"units": if us { "us" } else { "metric" }, "worm_beds": beds,
            "containers": [{"name": "bucket", "capacity": "12 L"}, {"name": "sack", "capacity": "40 lb"}]});
        let left = check("harvests", &request, true);
        let lots = left.iter().find(|of| of.contains("/lots/") && !of.ends_with("/in_bed_moisture"));
        prop_assert_eq!(lots, None);
    }
}

//! All errors in one answer: each way to break a request is reported alone, and as well beside every other.

use crate::support::{errors, ok, reported, with};
use serde_json::{Value, json};

/// Breaks every pair of independent places of an accepted request, and demands the errors of both.
fn every_pair(resource: &str, body: &Value, breaks: &[(&str, Value)]) {
    ok(resource, body);
    let broken = |(pointer, value): &(&str, Value), body: &Value| with(body, pointer, value.clone());
    let alone: Vec<Vec<String>> = breaks.iter().map(|one| reported(resource, &broken(one, body))).collect();
    for (i, one) in breaks.iter().enumerate() {
        for (j, other) in breaks.iter().enumerate().skip(i + 1) {
            let together = reported(resource, &broken(other, &broken(one, body)));
            for error in alone[i].iter().chain(&alone[j]) {
                assert!(together.contains(error), "{} and {}: {error} is not among {together:?}", one.0, other.0);
            }
        }
    }
    let all = breaks.iter().fold(body.clone(), |body, one| broken(one, &body));
    let together = reported(resource, &all);
    for error in alone.iter().flatten() {
        assert!(together.contains(error), "all at once: {error} is not among {together:?}");
    }
}

#[test]
fn of_a_balance() {
    let body = json!({
        "as_of": "2027-03-01", "containers": [{"name": "bucket", "capacity": "12 L"}],
        "stock": [{"name": "shed", "amount": "3 buckets", "use_by": "2027-09-01"}, {"heap": {"kind": "counted", "count": 3, "capacity": "12 L"}}],
        "demands": [
            {"name": "salad", "amount": "20 L", "on": "2027-05-01", "crop": {"first_crop_harvest": "2027-08-01"}},
            {"name": "beans", "application": {"surface": {"kind": "area", "area": "2 m2"}, "rate": {"kind": "depth", "amount": "1 cm"}},
             "earliest": "2027-05-01", "latest": "2027-06-01"},
            {"name": "tea", "brew": {"water": "20 L", "use_at": "2027-06-01T18:00:00+02:00"}},
        ],
        "sack": {"capacity": "40 L"},
        "additional_production": {"materials": [{"material": "leaves_loose", "amount": "100 kg"}], "climate": "15 C"},
    });
    every_pair(
        "balances",
        &body,
        &[
            ("/as_of", json!("2027-02-30")),
            ("/stock/0/amount", json!("3 bags")),
            ("/stock/0/use_by", json!("soon")),
            ("/stock/1/heap/count", json!(-3)),
            ("/demands/0/amount", json!("20")),
            ("/demands/0/crop/first_crop_harvest", json!("2027-04-01")),
            ("/demands/0/whole_portions", json!(true)),
            ("/demands/0/minimum", json!("2 m")),
            ("/demands/1/application/surface/area", json!("2 m")),
            ("/demands/1/application/rate/amount", json!("1")),
            ("/demands/1/latest", json!("2027-04-01")),
            ("/demands/1/priority", json!(0)),
            ("/demands/2/brew/water", json!("20 kg")),
            ("/demands/2/brew/dilution", json!("1:0")),
            ("/demands/2/on", json!("2027-06-01")),
            ("/sack/capacity", json!("40")),
            ("/additional_production/climate", json!(null)),
            ("/additional_production/materials/0/amount", json!("100")),
            ("/additional_production/worms", json!("2 L")),
            ("/additional_production/bed_from", json!("spring")),
        ],
    );
}

#[test]
fn of_a_season() {
    let deliveries = json!([{"on": "2027-04-01", "amount": "100 kg"}, {"on": "2027-05-01", "amount": "50 kg"}]);
    let body = json!({
        "until": "2027-12-31", "climate": {"unit": "C", "monthly_means": [4, 5, 8, 11, 15, 18, 20, 20, 16, 12, 7, 5]},
        "feed_supply": {"material": "leaves_shredded", "supply": {"kind": "deliveries", "deliveries": deliveries}},
        "worm_beds": [
            {"name": "wall", "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2027-03-01", "running": {"uneaten_feed": "5 kg"}},
            {"name": "hedge", "ground": {"kind": "polygon", "unit": "m", "corners": [{"x": 0, "y": 0}, {"x": 2, "y": 0}, {"x": 2, "y": 1}, {"x": 0, "y": 1}]},
             "start_on": "2027-04-01", "worms": "2 kg", "climate": "15 C",
             "feed": {"materials": [{"material": "leaves_loose", "parts": 3}, {"material": "grass_clippings"}]}},
        ],
        "stock": [{"amount": "20 L"}],
        "demands": [{"name": "salad", "amount": "60 L", "latest": "2027-09-10"}],
        "additional_production": {"materials": [{"material": "leaves_loose", "amount": "100 kg"}]},
    });
    every_pair(
        "seasons",
        &body,
        &[
            ("/until", json!("2027")),
            ("/climate/monthly_means/3", json!("x")),
            ("/feed_supply/material", json!("leafs")),
            ("/feed_supply/supply/deliveries/0/on", json!("2027-04-31")),
            ("/feed_supply/supply/deliveries/1/amount", json!("50")),
            ("/worm_beds/0/ground/area", json!("2")),
            ("/worm_beds/0/start_on", json!(null)),
            ("/worm_beds/0/running/uneaten_feed", json!("5")),
            ("/worm_beds/0/layers_per_cycle", json!(0)),
            (
                "/worm_beds/1/ground/corners",
                json!([{"x": 0, "y": 0}, {"x": 2, "y": 1}, {"x": 2, "y": 0}, {"x": 0, "y": 1}]),
            ),
            ("/worm_beds/1/worms", json!("2 L")),
            ("/worm_beds/1/climate", json!("15")),
            ("/worm_beds/1/feed/materials/0/parts", json!(0)),
            ("/worm_beds/1/feed/materials/1/material", json!("gras")),
            ("/stock/0/amount", json!("20")),
            ("/demands/0/amount", json!("60")),
            ("/demands/0/latest", json!("autumn")),
            ("/additional_production/materials/0/material", json!("leafs")),
        ],
    );
    // What is missing altogether is seen at once, whatever else is wrong.
    let bare = json!({
        "worm_beds": [{"ground": {"kind": "area", "area": "2"}}], "demands": [{"amount": "60"}],
        "additional_production": {"materials": [{"material": "leafs", "amount": "100 kg"}]},
    });
    assert_eq!(
        reported("seasons", &bare),
        [
            "/worm_beds/0/ground/area unit_missing",
            "/worm_beds/0/start_on missing_field",
            "/worm_beds/0/feed missing_field",
            "/worm_beds/0/climate missing_field",
            "/demands/0/amount unit_missing",
            "/additional_production/materials/0/material unknown_value",
            "/additional_production/climate missing_field",
            "/until missing_field",
        ]
    );
}

/// What is wrong with dates and totals is seen beside everything else, be it of the same item or not.
#[test]
fn of_the_dates_of_a_season() {
    let days = json!({"first_day": "2027-04-01", "values": vec![15; 30]});
    let body = json!({
        "until": "2027-12-31", "climate": "15 C",
        "worm_beds": [
            {"name": "wall", "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2027-03-01", "feed": {"material": "leaves_shredded"}},
            {"name": "hedge", "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2027-04-01", "feed": {"material": "leaves_shredded"}},
            {"name": "shed", "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2027-04-01", "feed": {"material": "leaves_shredded"}},
            {"name": "loft", "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2027-04-01", "feed": {"material": "leaves_shredded"}},
        ],
        "stock": [{"amount": "20 L", "ready_on": "2027-03-01"}, {"amount": "20 L"}, {"amount": "20 L"}],
        "demands": [
            {"name": "salad", "amount": "60 L", "on": "2027-09-10"}, {"name": "beans", "amount": "60 L", "minimum": "20 L"},
            {"name": "peas", "amount": "60 L"}, {"name": "leeks", "amount": "60 L"},
            {"name": "pots", "amount": "1 L", "on": "2027-06-01", "repeat": {"every": "7 d", "times": 3}},
            {"name": "tea", "brew": {"water": "20 L", "use_at": "2027-07-05T10:00:00Z"}},
        ],
    });
    every_pair(
        "seasons",
        &body,
        &[
            ("/worm_beds/0/ground/area", json!("2")),
            ("/worm_beds/0/start_on", json!("2028-02-01")),
            ("/worm_beds/0/feed/material", json!("leafs")),
            ("/worm_beds/1/climate", json!({"unit": "C", "daily": days})),
            ("/worm_beds/1/worms", json!("2 L")),
            ("/worm_beds/2/assumptions", json!({"bed.max_depth": "5 cm"})),
            ("/worm_beds/3/assumptions", json!({"worms.comfort_low": "30 C"})),
            ("/stock/0/amount", json!("20")),
            ("/stock/0/ready_on", json!("2010-03-01")),
            ("/stock/1/amount", json!("1000000000000 L")),
            ("/demands/0/amount", json!("60")),
            ("/demands/0/on", json!("2028-01-01")),
            ("/demands/1/minimum", json!("70 L")),
            ("/demands/2/amount", json!("1000000000000 L")),
            ("/demands/4/repeat/times", json!(40)),
            ("/demands/5/brew/use_at", json!("2028-07-05T10:00:00Z")),
        ],
    );
}

/// What contradicts itself is reported at the assumptions of the bed where these say it, and at those of the request where these do.
#[test]
fn of_the_assumptions_of_several_beds() {
    let bed = json!({"ground": {"kind": "area", "area": "2 m2"}, "start_on": "2027-03-01", "feed": {"material": "leaves_shredded"}});
    let body = json!({"until": "2027-12-31", "climate": "15 C", "demands": [{"amount": "60 L"}], "worm_beds": [bed, bed, bed]});
    let own = |place: usize, id: &str, value: &str, body: &Value| {
        with(body, &format!("/worm_beds/{place}/assumptions"), json!({id: value}))
    };
    let both =
        own(1, "bed.max_depth", "5 cm", &own(0, "worms.comfort_low", "30 C", &own(2, "bed.layer", "2 m", &body)));
    let code = "inconsistent_assumptions";
    let at = |place: usize| format!("/worm_beds/{place}/assumptions {code}");
    assert_eq!(reported("seasons", &both), [at(0), at(1), at(2)]);
    for (id, value) in [("worms.comfort_low", "30 C"), ("bed.max_depth", "5 cm")] {
        let of_all = with(&own(1, "castings.sieve_yield", "50 %", &body), "/assumptions", json!({id: value}));
        assert_eq!(reported("seasons", &of_all), [format!("/assumptions {code}")]);
    }
    let with_climate = with(&own(0, "worms.comfort_low", "30 C", &body), "/worm_beds/0/climate", json!("15 C"));
    assert_eq!(reported("seasons", &with_climate), [at(0)]);
}

/// A brew of 1,000 batches, 300 times, is more than is shared: what else is wrong is seen beside it.
#[test]
fn of_a_balance_with_too_many_parts() {
    let tea = json!({"water": "1000 L", "brewer": {"capacity": "1 L"}, "use_at": "2027-04-01T10:00:00Z"});
    let body = json!({
        "stock": [{"amount": "5 L", "ready_on": "2027-13-01"}],
        "demands": [{"amount": "5"}, {"brew": tea, "repeat": {"every": "1 d", "times": 300}}, {"amount": "6"}]
    });
    assert_eq!(
        reported("balances", &body),
        [
            "/stock/0/ready_on bad_date",
            "/demands too_large",
            "/demands/0/amount unit_missing",
            "/demands/2/amount unit_missing"
        ]
    );
}

#[test]
fn of_worm_beds_and_heaps() {
    let body = json!({
        "worm_beds": [
            {"ground": {"kind": "polygon", "unit": "m", "corners": [{"x": 0, "y": 0}, {"x": 2, "y": 0}, {"x": 2, "y": 1}, {"x": 0, "y": 1}]},
             "material_depth": "20 cm", "finished_share": "80 %", "fed": [{"material": "leaves_shredded", "amount": "60 kg"}],
             "forecast": {"start_on": "2027-04-01", "until": "2027-12-31", "climate": "15 C", "running": {"castings": "5 L"},
                          "feed": {"material": "leaves_shredded", "supply": {"kind": "deliveries", "deliveries": [{"on": "2027-04-01", "amount": "80 kg"}]}}}},
        ],
        "heaps": [{"kind": "cone", "diameter": "1 m", "height": "50 cm"}],
    });
    every_pair(
        "harvests",
        &body,
        &[
            (
                "/worm_beds/0/ground/corners",
                json!([{"x": 0, "y": 0}, {"x": 2, "y": 1}, {"x": 2, "y": 0}, {"x": 0, "y": 1}]),
            ),
            ("/worm_beds/0/material_depth", json!("20")),
            ("/worm_beds/0/finished_share", json!("180 %")),
            ("/worm_beds/0/sieve_yield", json!("0.7")),
            ("/worm_beds/0/fed/0/material", json!("leafs")),
            ("/worm_beds/0/fed/0/amount", json!("60")),
            ("/worm_beds/0/ash_after", json!("x")),
            ("/worm_beds/0/forecast/start_on", json!("April")),
            ("/worm_beds/0/forecast/climate", json!("15")),
            ("/worm_beds/0/forecast/running/castings", json!("5")),
            ("/worm_beds/0/forecast/feed/material", json!("leafs")),
            ("/worm_beds/0/forecast/feed/supply/deliveries/0/on", json!("2027-04-31")),
            ("/worm_beds/0/forecast/feed/supply/deliveries/0/amount", json!("80")),
            ("/heaps/0/height", json!("50")),
        ],
    );
}

/// What is said in two ways has one error for that, and each way has its own.
#[test]
fn of_what_is_said_in_several_ways() {
    let climate = json!({"unit": "C", "fixed": 999, "monthly_means": [1]});
    let feed = json!({"material": "leaves_loose", "amount": "5", "at_most": "5"});
    let carbon = json!({"material": "leaves_loose", "amount": "5 kg", "carbon": "40", "carbon_to_nitrogen": -1});
    let fed = json!({"amount": "10 kg", "moisture": "70 %", "ash": "20", "carbon": "40"});
    let place =
        json!({"surface": {"kind": "area", "area": "2"}, "rate": {"kind": "depth", "amount": "2"}, "castings": "60"});
    let repeat =
        json!({"amount": "5 L", "on": "2027-01-01", "repeat": {"every": "0 weeks", "times": 2, "until": "2026-01-01"}});
    for (question, body, wanted) in [
        (
            "balances",
            json!({"stock": [{"amount": "90", "dry_mass": "5"}], "demands": [{"amount": "5", "application": place}, repeat]}),
            vec![
                "/stock/0 exactly_one_of",
                "/stock/0/amount unit_missing",
                "/stock/0/dry_mass unit_missing",
                "/demands/0 exactly_one_of",
                "/demands/0/amount unit_missing",
                "/demands/0/application exactly_one_of",
                "/demands/0/application/surface/area unit_missing",
                "/demands/0/application/rate/amount unit_missing",
                "/demands/0/application/castings unit_missing",
                "/demands/1/repeat exactly_one_of",
                "/demands/1/repeat/every out_of_range",
            ],
        ),
        (
            "applications",
            json!({"areas": [{"surface": {"kind": "area", "area": "2 m2"}, "rate": {"kind": "depth", "amount": "2"}, "castings": "60"}]}),
            vec!["/areas/0 exactly_one_of", "/areas/0/rate/amount unit_missing", "/areas/0/castings unit_missing"],
        ),
        (
            "applications",
            json!({"areas": [{"surface": {"kind": "area", "area": "2 m2"}, "rate": {"kind": "depth", "amount": "2 cm"},
                "repeat": {"every": "0 weeks"}}]}),
            vec!["/areas/0/repeat exactly_one_of", "/areas/0/repeat/every out_of_range"],
        ),
        (
            "feeds",
            json!({"materials": [feed, carbon]}),
            vec![
                "/materials/0 exactly_one_of",
                "/materials/0/amount unit_missing",
                "/materials/0/at_most unit_missing",
                "/materials/1 exactly_one_of",
                "/materials/1/carbon unit_missing",
                "/materials/1/carbon_to_nitrogen out_of_range",
            ],
        ),
        (
            "brews",
            json!({"brews": [{"water": "20", "coverage": "2", "surface": {"kind": "area", "area": "2"}}]}),
            vec![
                "/brews/0 exactly_one_of",
                "/brews/0/water unit_missing",
                "/brews/0/coverage unit_missing",
                "/brews/0/surface/area unit_missing",
            ],
        ),
        (
            "harvests",
            json!({"worm_beds": [{"ground": {"kind": "area", "area": "2 m2"}, "fed": [fed]}]}),
            vec![
                "/worm_beds/0/fed/0 exactly_one_of",
                "/worm_beds/0/fed/0/ash unit_missing",
                "/worm_beds/0/fed/0/carbon unit_missing",
            ],
        ),
        (
            "worm-beds",
            json!({"start_on": "2027-04-01", "feed_supply": {"material": "kitchen_scraps", "each_week": "7 kg"}, "climate": climate}),
            vec!["/climate exactly_one_of", "/climate/fixed out_of_range", "/climate/monthly_means wrong_length"],
        ),
    ] {
        let found = reported(question, &body);
        for error in &wanted {
            assert!(found.iter().any(|found| found == error), "{question}: {error} is not among {found:?}");
        }
        assert_eq!(found.len(), wanted.len(), "{found:?}");
    }
}

/// Values of the wrong type do not hide that the unit is missing, and what is said of it works.
#[test]
fn of_an_assumption_in_parts() {
    let of = |value: Value| with(&crate::support::bed(), "/assumptions", json!({"castings.available_nitrogen": value}));
    let found = errors("applications", &of(json!({"value": "10 %", "low": "5 %", "high": "15 %"})));
    let pointers: Vec<&str> =
        found.iter().map(|error| error["pointer"].as_str().unwrap().rsplit('/').next().unwrap()).collect();
    assert_eq!(pointers, ["value", "low", "high", "unit"]);
    assert!(found[3]["detail"].as_str().unwrap().ends_with("as in \"unit\": \"%\"."), "{found:?}");
    ok("applications", &of(json!({"value": 10, "low": 5, "high": 15, "unit": "%"})));
}

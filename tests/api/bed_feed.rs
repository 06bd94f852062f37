//! What a bed is fed: materials by name, one or several.

use crate::support::{demo, ok, reported, with};
use serde_json::{Value, json};

/// A bed of two square metres that is fed this for a summer; how dense feed lies is known, so that its own bulk density moves no layer.
fn bed(feed: &Value) -> Value {
    let forecast = json!({"start_on": "2027-04-01", "until": "2027-12-31", "climate": "20 C", "layers_per_cycle": 3, "feed": feed});
    json!({"worm_beds": [{"ground": {"kind": "area", "area": "2 m2"}, "forecast": forecast}],
           "assumptions": {"feed.dry_bulk_density": "130 kg/m3"}})
}

/// The depths of layers on worms, in mm: those of a cycle after its first.
fn on_worms(layers: &Value) -> Vec<f64> {
    let layers = layers.as_array().unwrap();
    let pairs = layers.windows(2).filter(|pair| pair[0]["cycle"] == pair[1]["cycle"]);
    pairs.map(|pair| pair[1]["depth"]["value"].as_f64().unwrap()).collect()
}

/// Feed that heats is laid on worms no deeper than it may, whichever question is asked: 5 cm unless a depth is given.
#[test]
fn a_feed_gets_the_same_layers_in_every_question() {
    let near = |found: f64, wanted: f64| (found - wanted).abs() < 1e-6;
    let of = |materials: &[&str], assumptions: Value| -> (f64, Vec<f64>) {
        let ground = json!({"kind": "area", "area": "2 m2"});
        let mixed: Vec<Value> = materials.iter().map(|name| json!({"material": name, "amount": "200 kg"})).collect();
        let planned = ok("feeds", &json!({"materials": mixed, "ground": ground, "assumptions": assumptions}));
        let feed = json!({"materials": mixed, "supply": {"kind": "as_needed"}});
        let with_own = |request: Value| with(&request, "/assumptions", assumptions.clone());
        let harvest = ok("harvests", &with_own(bed(&feed)));
        let mut planned_bed = json!({"ground": ground, "start_on": "2027-04-01", "layers_per_cycle": 3, "feed": feed});
        let season = json!({"until": "2027-12-31", "climate": "20 C", "simulation_runs": 0, "worm_beds": [planned_bed.take()], "demands": [{"amount": "1 L"}]});
        let season = ok("seasons", &with_own(season));
        let weekly = json!({"material": materials.last(), "each_week": "20 kg"});
        let sized = json!({"start_on": "2027-04-01", "climate": "20 C", "feeding": "layers", "feed_supply": weekly});
        let sized = ok("worm-beds", &with_own(sized));
        let mut found = on_worms(&harvest["worm_beds"][0]["forecast"]["layers"]);
        found.extend(on_worms(&season["worm_beds"][0]["forecast"]["layers"]));
        found.extend(on_worms(&sized["layers"]));
        // The bed that is sent on keeps to it.
        let onward = json!({"worm_beds": [sized["worm_bed"]["harvests"]]});
        found.extend(on_worms(&ok("harvests", &onward)["worm_beds"][0]["forecast"]["layers"]));
        (planned["layers"]["each"]["depth"]["value"].as_f64().unwrap(), found)
    };
    let fresh = ["leaves_shredded", "grass_clippings"];
    for (materials, assumptions, wanted) in [
        (&fresh[..], json!({}), 50.0),
        (&fresh[..1], json!({}), 80.0),
        (&fresh, json!({"bed.fresh_layer": "3 cm"}), 30.0),
        (&fresh, json!({"bed.fresh_layer": "20 cm"}), 80.0),
        // A depth that is given counts, thicker or not, but not past the depth of fresh feed that is given too.
        (&fresh, json!({"bed.layer": "9 cm"}), 90.0),
        (&fresh, json!({"bed.layer": "4 cm"}), 40.0),
        (&fresh, json!({"bed.layer": "9 cm", "bed.fresh_layer": "6 cm"}), 60.0),
    ] {
        let (planned, found) = of(materials, assumptions.clone());
        assert!(near(planned, wanted), "{materials:?} {assumptions}: {planned}");
        let full = found.iter().filter(|depth| near(**depth, wanted)).count();
        assert!(
            full > 8 && found.iter().all(|depth| *depth <= wanted + 1e-6),
            "{materials:?} {assumptions}: {found:?}"
        );
    }
    // The caution goes with the feed, and says what the layers keep to.
    let answer = ok("harvests", &bed(&json!({"material": "grass_clippings"})));
    let cautions = answer["cautions"].as_array().unwrap();
    let heat = cautions.iter().find(|one| one["rule"] == "feed_heat").unwrap();
    assert!(
        heat["text"]
            .as_str()
            .unwrap()
            .contains("so thin that fresh feed stays cool, unless you give the depth of a layer")
    );
    assert!(answer["assumptions"].as_array().unwrap().iter().any(|one| one["id"] == "bed.fresh_layer"));
    // Composted hot before, the same feed has cooled.
    let mixed: Vec<Value> = fresh.iter().map(|name| json!({"material": name, "amount": "200 kg"})).collect();
    let cool = json!({"materials": mixed, "ground": {"kind": "area", "area": "2 m2"}, "hot_composting": {"days": 30, "temperature": "60 C"}});
    assert!(near(ok("feeds", &cool)["layers"]["each"]["depth"]["value"].as_f64().unwrap(), 80.0));
}

/// What such a bed does with layers of one depth, whether it heats or not, without what is collected for it, and of which materials: that is
/// known of materials alone.
fn forecast(feed: &Value) -> Value {
    let asked = with(&bed(feed), "/assumptions/bed.layer", json!("8 cm"));
    let mut forecast = ok("harvests", &asked)["worm_beds"][0]["forecast"].clone();
    for layer in forecast["layers"].as_array_mut().unwrap() {
        ["collect", "materials"].iter().for_each(|name| {
            layer.as_object_mut().unwrap().shift_remove(*name);
        });
    }
    forecast
}

/// The numbers of both are the same but for what rounding of sums leaves.
fn assert_alike(one: &Value, other: &Value) {
    match (one, other) {
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            assert!((a - b).abs() <= 1e-6 * (1.0 + a.abs()), "{a} is not {b}");
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{one}\n{other}");
            a.iter().zip(b).for_each(|(a, b)| assert_alike(a, b));
        }
        (Value::Object(a), Value::Object(b)) => {
            assert!(a.keys().eq(b.keys()), "{one}\n{other}");
            a.iter().for_each(|(name, a)| assert_alike(a, &b[name]));
        }
        _ => assert_eq!(one, other),
    }
}

/// Three buckets of loose leaves (75 kg/m3, 38 % moist, 48 % carbon, 0.94 % N) to one of grass (208, 82, 43, 3.5). Dry 139.5 and
/// 37.44 of 176.94; moist 225 + 208 = 433; ash 13.6 and 10 %; mixed they fill 0.9 of four buckets.
#[test]
fn three_buckets_of_leaves_and_one_of_grass_are_one_feed() {
    let share = |value: f64| json!({"value": value * 100.0, "unit": "%"});
    let analysis = json!({
        "moisture": share(1.0 - 176.94 / 433.0), "ash": share((0.136 * 139.5 + 0.1 * 37.44) / 176.94),
        "nitrogen": share((0.0094 * 139.5 + 0.035 * 37.44) / 176.94),
        "bulk_density": {"value": 433.0 / 3.6, "unit": "kg/m3"},
    });
    let parts = json!({"materials": [{"material": "leaves_loose", "parts": 3}, {"material": "grass_clippings"}]});
    let by_volume = json!({"kind": "amount", "amount": "900 L"});
    assert_alike(&forecast(&parts), &forecast(&analysis));
    assert_alike(
        &forecast(&with(&parts, "/supply", by_volume.clone())),
        &forecast(&with(&analysis, "/supply", by_volume)),
    );
    // Moist, 225 kg to 208 kg is the same mix; and with amounts it is all there is.
    let amounts = json!({"materials": [{"material": "leaves_loose", "amount": "45 kg"}, {"material": "grass_clippings", "amount": "200 L"}]});
    let all = with(&analysis, "/supply", json!({"kind": "amount", "amount": "86.6 kg"}));
    assert_alike(&forecast(&amounts), &forecast(&all));
    let as_needed = with(&amounts, "/supply", json!({"kind": "as_needed"}));
    assert_alike(&forecast(&as_needed), &forecast(&analysis));
}

/// Two of 200 L each: of one size they fill 400 L, of two sizes 360.
#[test]
fn materials_of_one_size_do_not_pack() {
    let part = |bulk_density: &str, size: &str| json!({"moisture": "70 %", "ash": "12 %", "nitrogen": "2 %", "bulk_density": bulk_density, "size": size});
    let mix = |sizes: [&str; 2]| json!({"materials": [part("200 kg/m3", sizes[0]), part("400 kg/m3", sizes[1])]});
    let as_one = |density: f64| {
        let bulk_density = json!({"value": density, "unit": "kg/m3"});
        json!({"moisture": "70 %", "ash": "12 %", "nitrogen": "2 %", "bulk_density": bulk_density, "supply": {"kind": "amount", "amount": "500 L"}})
    };
    let dry = |feed: &Value| {
        let supply = json!({"kind": "amount", "amount": "500 L"});
        forecast(&with(feed, "/supply", supply))["lots"].clone()
    };
    for alike in [["coarse", "coarse"], ["fine", "fine"]] {
        assert_alike(&dry(&mix(alike)), &dry(&as_one(300.0)));
    }
    for apart in [["coarse", "fine"], ["medium", "coarse"]] {
        assert_alike(&dry(&mix(apart)), &dry(&as_one(300.0 / 0.9)));
    }
    // Unless given it is that of the table, or medium.
    let plain = |size: Option<&str>| {
        let mut one = part("200 kg/m3", "medium");
        match size {
            Some(size) => one["size"] = json!(size),
            None => drop(one.as_object_mut().unwrap().remove("size")),
        }
        json!({"materials": [one, {"material": "leaves_loose"}]})
    };
    assert_eq!(dry(&plain(None)), dry(&plain(Some("medium"))));
    let bad = json!({"materials": [{"material": "leaves_loose", "size": "huge"}, {"material": "grass_clippings"}]});
    assert_eq!(reported("harvests", &bed(&bad)), ["/worm_beds/0/forecast/feed/materials/0/size unknown_value"]);
}

#[test]
fn a_material_mixed_with_itself_is_that_material() {
    let alone = json!({"material": "leaves_shredded"});
    let doubled = json!({"materials": [alone, {"material": "leaves_shredded", "parts": 2.5}]});
    assert_alike(&forecast(&doubled), &forecast(&alone));
    let own = json!({"name": "leaves of the lane", "moisture": "38 %", "carbon": "48 %", "nitrogen": "0.94 %", "bulk_density": "200 kg/m3"});
    assert_alike(&forecast(&json!({"materials": [own]})), &forecast(&alone));
    // What was weighed goes before what the packing makes of it.
    let volume = json!({"kind": "amount", "amount": "500 L"});
    let weighed = with(&with(&doubled, "/bulk_density", json!("200 kg/m3")), "/supply", volume.clone());
    assert_alike(&forecast(&weighed), &forecast(&with(&alone, "/supply", volume)));
}

#[test]
fn the_packing_is_assumed_where_the_mix_is_measured_by_volume() {
    let parts = json!({"materials": [{"material": "leaves_loose", "parts": 3}, {"material": "grass_clippings"}]});
    let assumed = |body: &Value| -> Vec<String> {
        let answer = ok("harvests", body);
        answer["assumptions"].as_array().unwrap().iter().map(|one| one["id"].as_str().unwrap().to_owned()).collect()
    };
    let has = |list: &[String]| list.iter().any(|id| id == "mix.packing");
    // What is collected is each of its materials, as it lies by itself.
    assert!(!has(&assumed(&bed(&parts))));
    assert!(!has(&assumed(&bed(&with(&parts, "/bulk_density", json!("120 kg/m3"))))));
    let by_volume = bed(&with(&parts, "/supply", json!({"kind": "amount", "amount": "900 L"})));
    assert!(has(&assumed(&by_volume)));
    let running = with(&bed(&parts), "/worm_beds/0/forecast/running", json!({"uneaten_feed": "50 L"}));
    assert!(has(&assumed(&running)));
    // What the bed knows better counts for its mix.
    let tight = with(&by_volume, "/worm_beds/0/assumptions", json!({"mix.packing": "80 %"}));
    let (tight, usual) = (ok("harvests", &tight), ok("harvests", &by_volume));
    assert_ne!(tight["worm_beds"][0]["forecast"], usual["worm_beds"][0]["forecast"]);
    let rules =
        |answer: &Value| answer["cautions"].as_array().unwrap().iter().any(|c| c["rule"] == "assumption_not_used");
    assert!(!rules(&tight));
}

#[test]
fn the_cautions_of_a_material_travel_with_the_bed() {
    let of = |feed: Value| -> Vec<String> {
        let answer = ok("harvests", &bed(&feed));
        answer["worm_beds"][0]["cautions"].as_array().unwrap().iter().map(|c| c.as_str().unwrap().to_owned()).collect()
    };
    let has = |cautions: &[String], wanted: &[&str]| wanted.iter().all(|rule| cautions.iter().any(|c| c == rule));
    assert!(has(&of(json!({"material": "leaves_loose"})), &["leave_out"]));
    assert!(has(
        &of(json!({"material": "horse_manure_fresh"})),
        &["raw_manure", "handling", "persistent_herbicides", "feed_heat"]
    ));
    let grass = of(json!({"materials": [{"material": "leaves_loose"}, {"material": "grass_clippings"}]}));
    assert!(has(&grass, &["leave_out", "feed_heat", "persistent_herbicides"]), "{grass:?}");
    assert!(of(json!({"moisture": "75 %", "ash": "15 %"})).is_empty());
    // What holds of the whole answer is not narrowed to the bed.
    let answer = ok("harvests", &bed(&json!({"material": "horse_manure_fresh"})));
    let manure = answer["cautions"].as_array().unwrap().iter().find(|c| c["rule"] == "raw_manure").unwrap();
    assert!(manure.get("at").is_none(), "{manure}");
    let fed = json!({"worm_beds": [{"ground": {"kind": "area", "area": "2 m2"}, "fed": [{"material": "broiler_litter", "amount": "60 kg"}]}]});
    assert!(ok("harvests", &fed)["worm_beds"][0]["cautions"].as_array().unwrap().contains(&json!("ammonia")));
}

#[test]
fn a_bed_of_manure_that_was_treated_has_no_caution_of_raw_manure() {
    let season = demo("seasons/one-bed.json");
    let manure = with(&season, "/worm_beds/0/feed", json!({"material": "horse_manure_fresh"}));
    let reported = |body: &Value| {
        ok("seasons", body)["worm_beds"][0]["cautions"].as_array().unwrap().contains(&json!("raw_manure"))
    };
    assert!(reported(&manure));
    assert!(!reported(&with(
        &manure,
        "/worm_beds/0/manure",
        json!({"kind": "treated", "method": "in_vessel", "days": 3, "lowest": "56 C", "highest": "65 C"})
    )));
}

/// Shredded leaves of the table: 38 % moisture, 13.6 % ash, 0.94 % nitrogen, 200 kg/m3.
#[test]
fn what_was_fed_is_named_by_its_material() {
    let fed = |feed: Value| json!({"worm_beds": [{"ground": {"kind": "area", "area": "2 m2"}, "fed": [feed]}]});
    let yields = |feed: Value| ok("harvests", &fed(feed))["worm_beds"][0]["from_feed"].clone();
    let named = yields(json!({"material": "leaves_shredded", "amount": "300 L"}));
    let analysed = json!({"amount": "300 L", "moisture": "38 %", "ash": "13.6 %", "nitrogen": "0.94 %", "bulk_density": "200 kg/m3"});
    assert_eq!(named, yields(analysed));
    let wet = json!({"material": "leaves_shredded", "amount": "60 kg", "moisture": "60 %"});
    assert_eq!(
        yields(wet),
        yields(json!({"amount": "60 kg", "moisture": "60 %", "ash": "13.6 %", "nitrogen": "0.94 %"}))
    );
    let at = |field: &str| format!("/worm_beds/0/fed/0/{field}");
    assert_eq!(
        reported("harvests", &fed(json!({"material": "leafs", "amount": "9"}))),
        [at("material unknown_value"), at("amount unit_missing")]
    );
    assert_eq!(
        reported("harvests", &fed(json!({"amount": "9 kg"}))),
        [at("moisture missing_field"), at("ash missing_field")]
    );
}

#[test]
fn feeds_that_cannot_be_mixed_are_refused() {
    let at = |field: &str| format!("/worm_beds/0/forecast/feed/{field}");
    for (feed, wanted) in [
        (json!({"materials": []}), vec!["materials wrong_length"]),
        (json!({"materials": [{"material": "leafs"}]}), vec!["materials/0/material unknown_value"]),
        (json!({"materials": [{"material": "hay", "parts": 0}]}), vec!["materials/0/parts out_of_range"]),
        (json!({"materials": [{"material": "hay", "parts": "3"}]}), vec!["materials/0/parts wrong_type"]),
        (
            json!({"materials": [{"material": "hay", "parts": 3}, {"material": "straw", "amount": "3 kg"}]}),
            vec!["materials/0/parts exactly_one_of"],
        ),
        (
            json!({"materials": [{"material": "hay", "amount": "1 kg", "parts": 3}]}),
            vec!["materials/0/parts exactly_one_of"],
        ),
        (
            json!({"materials": [{"material": "hay", "amount": "3"}, {"material": "straw", "amount": "0 kg"}]}),
            vec!["materials/0/amount unit_missing", "materials/1/amount out_of_range"],
        ),
        (
            json!({"materials": [{"moisture": "40 %", "ash": "10 %"}, {"nitrogen": "1 %"}]}),
            vec![
                "materials/0/nitrogen missing_field",
                "materials/1/moisture missing_field",
                "materials/1/ash missing_field",
            ],
        ),
        (
            json!({"materials": [{"material": "hay"}], "material": "hay", "ash": "10 %"}),
            vec!["material not_allowed_here", "ash not_allowed_here"],
        ),
        (
            json!({"materials": [{"id": "a", "material": "hay"}, {"id": "a", "material": "straw"}]}),
            vec!["materials/1/id repeated_id"],
        ),
        (json!({"materials": [{"material": "hay", "at_least": "3 kg"}]}), vec!["materials/0/at_least unknown_field"]),
    ] {
        let wanted: Vec<String> = wanted.into_iter().map(at).collect();
        assert_eq!(reported("harvests", &bed(&feed)), wanted, "{feed}");
    }
    let packed = with(
        &bed(&json!({"materials": [{"material": "vegetable_scraps"}, {"material": "coffee_grounds"}]})),
        "/assumptions",
        json!({"mix.packing": "50 %"}),
    );
    assert_eq!(reported("harvests", &packed), [at("materials impossible_value")]);
}

#[test]
fn beds_share_a_feed_of_several_materials_and_it_is_explained() {
    let season = demo("seasons/leaves-and-grass.json");
    let answer = ok("seasons", &with(&season, "/explain", json!(true)));
    let explained = ok("harvests", &with(&bed(&season["feed_supply"]), "/explain", json!(true)));
    let mut inputs =
        explained["explanations"].as_array().unwrap().iter().flat_map(|one| one["inputs"].as_array().unwrap());
    let of_mix = |input: &&Value| {
        input["taken_from"] == "request:/worm_beds/0/forecast/feed/materials" && input["symbol"] == "w"
    };
    let moisture = inputs.find(of_mix).unwrap()["value"]["value"].as_f64().unwrap();
    assert!((moisture - 100.0 * (1.0 - 176.94 / 433.0)).abs() < 1e-6, "{moisture}");
    let own = with(&season, "/worm_beds/0/feed", season["feed_supply"].clone());
    assert_eq!(answer["worm_beds"][0]["lots"], ok("seasons", &own)["worm_beds"][0]["lots"]);
}

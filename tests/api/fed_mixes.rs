//! What beds are fed of named materials: how much of each, what to mind, and worms on what is fresh.

use crate::support::{get, ok, words};
use serde_json::{Value, json};

/// The forms that people read.
const READ: [&str; 3] = ["text/plain", "text/html", "text/calendar"];

/// A bed of 4 m2 that is fed this in layers, in each of the three questions that plan one.
fn beds(feed: &Value) -> [(&'static str, Value); 3] {
    let ground = json!({"kind": "area", "area": "4 m2"});
    let (first, last) = ("2026-11-10", "2027-08-01");
    let bed = |place: &str| match place {
        "forecast" => {
            let forecast = json!({"start_on": first, "until": last, "climate": "18 C", "worms": "6 kg", "layers_per_cycle": 4, "feed": feed});
            json!({"name": "mill", "ground": ground, "forecast": forecast})
        }
        _ => {
            json!({"name": "mill", "ground": ground, "start_on": first, "worms": "6 kg", "layers_per_cycle": 4, "feed": feed})
        }
    };
    let castings = json!([{"by": "2027-06-01", "amount": "400 L"}]);
    let sized = json!({"start_on": first, "climate": "18 C", "feed_supply": feed, "castings_needed": castings, "feeding": "layers"});
    let season = json!({"until": last, "climate": "18 C", "as_of": "2026-11-01", "simulation_runs": 0, "worm_beds": [bed("season")],
                        "demands": [{"name": "x", "amount": "100 L", "on": "2027-06-01"}]});
    [("worm-beds", sized), ("harvests", json!({"worm_beds": [bed("forecast")]})), ("seasons", season)]
}

fn rules(answer: &Value) -> Vec<&str> {
    answer["cautions"].as_array().unwrap().iter().map(|one| one["rule"].as_str().unwrap()).collect()
}

/// Fresh manure heats and smells: wherever worms are put in, the two days and the two signs of `POST /v1/feeds` are given with it.
#[test]
fn worms_wait_for_fresh_feed_in_every_form() {
    let wait = "ay the first feed 2 days earlier, or introduce the worms 2 days later.";
    let (si, us) = ("If the middle stays below 30 C (86 F) and does not smell of ammonia", "86 F (30 C)");
    for feed in ["layer_manure_fresh", "layer_manure_dry", "grass_clippings", "leaves_loose"] {
        let is_fresh = feed != "leaves_loose";
        for (question, body) in beds(&json!({"material": feed})) {
            for accept in READ {
                let text = words(question, accept, &body);
                assert_eq!(text.contains(wait), is_fresh, "{question} as {accept}, {feed}: {text}");
                assert_eq!(text.contains(si), is_fresh, "{question} as {accept}, {feed}: {text}");
            }
            let mut in_us = body.clone();
            in_us["units"] = json!("us");
            assert_eq!(words(question, "text/plain", &in_us).contains(us), is_fresh, "{question}, {feed}");
        }
        // Worms that are in the bed already wait for nothing.
        let [_, _, (_, mut season)] = beds(&json!({"material": feed}));
        let task = |season: &Value| {
            let answer = ok("seasons", season);
            let work = answer["work"].as_array().unwrap().clone();
            work.into_iter().find(|task| task["kind"] == "introduce_worms")
        };
        let note = task(&season).unwrap()["note"].as_str().map(str::to_owned);
        assert_eq!(note.is_some_and(|note| note.starts_with('l') && note.contains(wait)), is_fresh, "{feed}");
        assert_eq!(words("seasons", "text/csv", &season).contains(wait), is_fresh, "{feed}");
        season["worm_beds"][0]["running"] = json!({"castings": "100 L"});
        assert!(task(&season).is_none() && !words("seasons", "text/plain", &season).contains(wait));
    }
    // Fed a little each week, too.
    let weekly = json!({"start_on": "2027-04-01", "climate": "18 C", "feed_supply": {"material": "kitchen_scraps", "each_week": "10 kg"}});
    READ.into_iter().for_each(|accept| assert!(words("worm-beds", accept, &weekly).contains(wait), "{accept}"));
}

/// The worms that are got back at a harvest go onto the first layer after it, and wait for it to cool as worms that are bought.
#[test]
fn worms_of_a_harvest_wait_for_fresh_feed_too() {
    let wait = "lay the first feed 2 days earlier, or introduce the worms 2 days later. If the middle stays below 30 C (86 F) and does not \
                smell of ammonia, put the worms on top";
    let back = "he worms of the harvest go onto this feed. L";
    for (feed, is_fresh) in [("grass_clippings", true), ("leaves_loose", false)] {
        let [(_, sized), (_, mut harvest), (_, mut season)] = beds(&json!({"material": feed}));
        let layers = |of: &mut Value| of["layers_per_cycle"] = json!(2);
        layers(&mut harvest["worm_beds"][0]["forecast"]);
        layers(&mut season["worm_beds"][0]);
        let answer = ok("seasons", &season);
        let tasks = answer["work"].as_array().unwrap().iter().filter(|task| task["kind"] == "lay_feed");
        let (mut again, mut others) = (0, 0);
        for task in tasks {
            let goes_back = task["layer"] == 1 && task["cycle"].as_u64() > Some(1);
            let note = task["note"].as_str().unwrap_or_default();
            assert_eq!(
                note,
                if goes_back && is_fresh { format!("t{back}{}", &wait[1..]) } else { String::new() },
                "{task}"
            );
            if goes_back { again += 1 } else { others += 1 }
        }
        assert!(again > 0 && others > 1, "{answer}");
        for (question, body) in [("seasons", &season), ("harvests", &harvest)] {
            let calendar = words(question, "text/calendar", body);
            assert_eq!(calendar.matches(back).count(), if is_fresh { again } else { 0 }, "{question}: {calendar}");
        }
        for accept in ["text/plain", "text/html"] {
            let text = words("harvests", accept, &harvest);
            assert_eq!(text.contains("The same holds after each harvest, when its worms go back."), is_fresh, "{text}");
        }
        for (form, question) in
            [("text/html", "seasons"), ("text/csv", "seasons?table=work"), ("text/plain", "seasons?all=true&width=400")]
        {
            assert_eq!(words(question, form, &season).contains(back), is_fresh, "{form}");
        }
        // A bed that has its worms already, and one that is harvested once.
        let mut running = harvest.clone();
        let forecast = &mut running["worm_beds"][0]["forecast"];
        forecast["running"] = json!({"castings": "100 L"});
        let text = words("harvests", "text/plain", &running);
        assert_eq!(text.contains("fter each harvest, when its worms go back: lay the first feed"), is_fresh, "{text}");
        let once = ok("worm-beds", &sized);
        assert!(once["layers"].as_array().unwrap().iter().all(|layer| layer["cycle"] == 1), "{once}");
        assert!(!words("worm-beds", "text/plain", &sized).contains("after each harvest, when"));
        let mut twice = sized.clone();
        twice["castings_needed"] =
            json!([{"by": "2027-03-01", "amount": "100 L"}, {"by": "2027-10-01", "amount": "200 L"}]);
        let laid = ok("worm-beds", &twice)["layers"].as_array().unwrap().clone();
        let again = laid.iter().filter(|layer| layer["cycle"].as_u64() > Some(1)).count();
        assert!(again > 0, "{laid:?}");
        assert_eq!(words("worm-beds", "text/plain", &twice).contains("The same holds after each harvest"), is_fresh);
        assert_eq!(words("worm-beds", "text/calendar", &twice).contains(back), is_fresh);
    }
}

/// Every layer of a mix of many materials would make an answer too long.
#[test]
fn a_mix_of_many_materials_is_split_in_all_only() {
    for (count, containers, is_split) in
        [(10, 0, true), (11, 0, false), (10, 5, true), (10, 6, false), (3, 19, true), (3, 20, false)]
    {
        let materials: Vec<Value> =
            (0..count).map(|i| json!({"id": format!("m{i}"), "material": "leaves_loose"})).collect();
        let [(question, mut body), ..] = beds(&json!({"materials": materials}));
        let letters = ('a'..).take(containers);
        body["containers"] =
            letters.map(|letter| json!({"name": format!("tub {letter}"), "capacity": "9 L"})).collect();
        let answer = ok(question, &body);
        assert_eq!(answer["layers"][0].get("materials").is_some(), is_split, "{count} {containers}");
        assert_eq!(answer["feed"]["eaten"]["materials"].as_array().unwrap().len(), count);
    }
}

/// Loose leaves of 75 kg/m3 and horse manure of 818: three buckets of one to one of the other are 225 to 818 by mass.
#[test]
fn a_mix_says_how_much_of_each_material() {
    let near = |found: f64, wanted: f64| (found - wanted).abs() <= 1e-6 * wanted.abs();
    let value = |of: &Value| of["value"].as_f64().unwrap();
    let check = |of: &Value, mass: &Value, parts: f64| {
        let [leaves, manure] = of["materials"].as_array().unwrap().as_slice() else { panic!("{of}") };
        let all = 75.0 * parts + 818.0;
        assert!(near(value(&leaves["mass"]), value(mass) * 75.0 * parts / all), "{of}");
        assert!(near(value(&manure["mass"]), value(mass) * 818.0 / all), "{of}");
        assert!(near(value(&leaves["volume"]), parts * value(&manure["volume"])), "{of}");
        assert!(near(value(&manure["volume"]), value(&manure["mass"]) / 0.818), "{of}");
        assert_eq!((&leaves["material"]["index"], &manure["material"]["name"]), (&json!(0), &json!("stable")));
    };
    for (parts, given) in [(1.0, json!(null)), (3.0, json!(3))] {
        let mut feed =
            json!({"materials": [{"material": "leaves_loose"}, {"material": "horse_manure_fresh", "name": "stable"}]});
        if given.is_number() {
            feed["materials"][0]["parts"] = given;
        }
        for (question, mut body) in beds(&feed) {
            body["containers"] = json!([{"name": "barrow", "capacity": "80 L"}]);
            let answer = ok(question, &body);
            let layers = match question {
                "worm-beds" => &answer["layers"],
                "harvests" => &answer["worm_beds"][0]["forecast"]["layers"],
                _ => &answer["worm_beds"][0]["forecast"]["layers"],
            };
            let layers = layers.as_array().unwrap();
            assert!(layers.len() > 3);
            layers.iter().for_each(|layer| check(layer, &layer["mass"], parts));
            let first = &layers[0]["materials"];
            assert_eq!(first[0]["in_containers"][0]["unit"], "barrow");
            // Three digits, as for people.
            let kilograms = |of: &Value| {
                let mass = value(&of["mass"]);
                if mass < 100.0 { (mass * 10.0).round() / 10.0 } else { mass.round() }
            };
            for accept in READ {
                let text = words(question, accept, &body);
                for (of, name) in [(&first[0], "leaves (loose)"), (&first[1], "stable")] {
                    let said = format!("{} kg (", kilograms(of));
                    let found = text.match_indices(&said).any(|(at, _)| {
                        let after: String = text[at..].chars().take(70).collect();
                        after.contains(" barrow") && after.contains(" L) of ") && after.contains(name)
                    });
                    assert!(found, "{question} as {accept}: no {said} of {name}: {text}");
                }
                // Parts that nobody gave are equal ones, and that is said.
                assert_eq!(text.contains("equal volumes of"), parts == 1.0, "{question} as {accept}: {text}");
            }
            if question == "worm-beds" {
                let eaten = &answer["feed"]["eaten"];
                check(eaten, &eaten["mass"], parts);
                let text = words(question, "text/plain", &body);
                assert_eq!(text.contains("No parts are given"), parts == 1.0, "{text}");
            }
            if question == "seasons" {
                let work = answer["work"].as_array().unwrap();
                let laid = work.iter().filter(|task| task["kind"] == "lay_feed");
                assert!(laid.clone().count() > 3);
                laid.for_each(|task| check(task, &task["mass"], parts));
            }
        }
    }
    // A single material has no parts, nor has a feed of which only the analysis is known.
    for feed in [json!({"material": "leaves_loose"}), json!({"moisture": "60 %", "ash": "12 %"})] {
        for (question, body) in beds(&feed) {
            assert!(!ok(question, &body).to_string().contains("\"materials\""), "{question}");
        }
    }
}

/// A bed that is fed a mix week by week has the same for each week.
#[test]
fn a_mix_that_is_fed_weekly_says_how_much_of_each_too() {
    let materials =
        json!([{"material": "leaves_loose", "amount": "30 kg"}, {"material": "grass_clippings", "amount": "10 kg"}]);
    let body = json!({"start_on": "2027-04-01", "climate": "18 C", "feed_supply": {"materials": materials}});
    let answer = ok("worm-beds", &body);
    let value = |of: &Value| of["value"].as_f64().unwrap();
    let weeks = answer["weeks"].as_array().unwrap();
    for week in weeks.iter().filter(|week| value(&week["feed"]) > 0.0) {
        let leaves = value(&week["materials"][0]["mass"]);
        assert!((leaves - 0.75 * value(&week["feed"])).abs() < 1e-6 * leaves, "{week}");
    }
    let text = words("worm-beds", "text/calendar", &body);
    assert!(text.contains("Take ") && text.contains(" of leaves (loose) and "), "{text}");
    assert!(words("worm-beds", "text/plain", &body).contains(" of leaves (loose) and "));
}

/// The first layer of a forecast: its volume and mass, and what is collected for it.
fn first_layer(feed: Value, more: &[(&str, Value)]) -> [f64; 3] {
    let [_, (_, mut body), _] = beds(&feed);
    body["worm_beds"][0]["ground"]["area"] = json!("2 m2");
    for (name, value) in more {
        body[name] = value.clone();
    }
    let layer = ok("harvests", &body)["worm_beds"][0]["forecast"]["layers"][0].clone();
    ["/volume", "/mass", "/collect/volume"]
        .map(|of| layer.pointer(&format!("{of}/value")).map_or(0.0, |v| v.as_f64().unwrap()))
}

/// 12 cm on 2 m2 are 240 L. Horse manure of 818 kg/m3 (Rynk (ed.) 1992, On-Farm Composting Handbook NRAES-54, Table A.1) weighs 196.32 kg
/// there: 229 kg/m3 of dry matter at 72 % moisture, more than feed has by default. Shredded leaves settle to the default, so more of them is
/// collected than lies in the bed.
#[test]
fn feed_lies_no_looser_than_it_is_collected() {
    let near = |found: [f64; 3], wanted: [f64; 3]| {
        for (found, wanted) in found.into_iter().zip(wanted) {
            assert!((found - wanted).abs() < 1e-6 * wanted.max(1.0), "{found} {wanted}");
        }
    };
    let manure = || json!({"material": "horse_manure_fresh"});
    near(first_layer(manure(), &[]), [240.0, 196.32, 240.0]);
    // As an analysis alone it lies as feed does by default: 130 kg/m3 of dry matter.
    near(first_layer(json!({"moisture": "72 %", "ash": "13 %", "nitrogen": "1.6 %"}), &[]), [240.0, 31.2 / 0.28, 0.0]);
    // What is given wins: of the feed in its bed, of the material.
    let given = [("assumptions", json!({"feed.dry_bulk_density": "140 kg/m3"}))];
    near(first_layer(manure(), &given), [240.0, 120.0, 120.0 / 0.818]);
    near(first_layer(json!({"material": "horse_manure_fresh", "bulk_density": "400 kg/m3"}), &[]), [240.0, 96.0, 0.0]);
    let [volume, _, collected] = first_layer(json!({"material": "leaves_shredded"}), &[]);
    assert!(collected > 1.01 * volume, "{volume} {collected}");
    for row in get("/v1/materials").json()["materials"].as_array().unwrap() {
        let [volume, _, collected] = first_layer(json!({"material": row["id"]}), &[]);
        assert!(volume <= collected * (1.0 + 1e-8), "{}: {volume} {collected}", row["id"]);
    }
}

/// The answer says whence the density of such a feed is, with its range, beside each bed that is fed it.
#[test]
fn the_density_of_dense_feed_is_reported_as_that_of_its_material() {
    let feed = json!({"materials": [{"material": "leaves_shredded"}, {"material": "cattle_manure_fresh", "parts": 4}]});
    for (question, body) in beds(&feed) {
        let answer = ok(question, &body);
        let all = answer["assumptions"].as_array().unwrap();
        let [density] = all.iter().filter(|one| one["id"] == "feed.dry_bulk_density").collect::<Vec<_>>()[..] else {
            panic!("{question}: {all:?}")
        };
        assert_eq!(density["set_by"], "material", "{question}");
        let [low, likely, high] = ["low", "value", "high"].map(|of| density["value"][of].as_f64().unwrap());
        assert!(130.0 < likely && low < likely && likely < high, "{question}: {density}");
        // How much of the summed volumes is left decides it, and is said too.
        assert!(all.iter().any(|one| one["id"] == "mix.packing"), "{question}");
    }
    for (question, body) in beds(&json!({"material": "leaves_shredded"})) {
        let answer = ok(question, &body);
        let set_by = |one: &Value| (one["id"] == "feed.dry_bulk_density").then(|| one["set_by"].clone());
        let found: Vec<Value> = answer["assumptions"].as_array().unwrap().iter().filter_map(set_by).collect();
        assert_eq!(found, ["default"], "{question}");
    }
}

/// The bed that `POST /v1/worm-beds` sends on is fed the materials of the mix: the same lots and layers, and all that is to be minded.
#[test]
fn a_bed_that_is_sent_on_keeps_the_materials_of_its_mix() {
    let own = json!({"name": "straw of the loft", "moisture": "12 %", "carbon": "45 %", "nitrogen": "0.6 %", "bulk_density": "60 kg/m3", "size": "coarse"});
    for (by, [leaves, manure, straw]) in
        [("parts", [json!(3), json!(2), json!(1)]), ("amount", [json!("2 barrows"), json!("40 kg"), json!("30 L")])]
    {
        let mut materials = json!([{"id": "l", "material": "leaves_shredded"}, {"material": "cattle_manure_fresh", "moisture": "78 %"}, own]);
        materials
            .as_array_mut()
            .unwrap()
            .iter_mut()
            .zip([leaves, manure, straw])
            .for_each(|(of, amount)| of[by] = amount);
        let mut body = json!({"start_on": "2026-11-10", "climate": "18 C", "feeding": "layers",
                              "containers": [{"name": "barrow", "capacity": "80 L"}], "feed_supply": {"materials": materials}});
        if by == "parts" {
            body["feed_supply"]["each_week"] = json!("40 kg");
        }
        let answer = ok("worm-beds", &body);
        let onward = ok("harvests", &json!({"worm_beds": [answer["worm_bed"]["harvests"]]}));
        let forecast = &onward["worm_beds"][0]["forecast"];
        for list in ["lots", "layers"] {
            let (sized, again) = (answer[list].as_array().unwrap(), forecast[list].as_array().unwrap());
            assert_eq!(sized.len(), again.len(), "{by}: {list}");
            for (one, two) in sized.iter().zip(again) {
                let volume = |of: &Value| {
                    ["/volume/value", "/castings/volume/value"]
                        .map(|at| of.pointer(at).and_then(Value::as_f64))
                        .into_iter()
                        .flatten()
                        .next()
                        .unwrap()
                };
                assert!((volume(one) / volume(two) - 1.0).abs() < 1e-6, "{by}: {one} {two}");
            }
        }
        let named = |layer: &Value| -> Vec<Value> {
            layer["materials"].as_array().unwrap().iter().map(|one| one["material"]["name"].clone()).collect()
        };
        assert_eq!(named(&forecast["layers"][0]), ["leaves_shredded", "cattle_manure_fresh", "straw of the loft"]);
        let minded = ["persistent_herbicides", "raw_manure", "feed_heat", "feed_too_wet", "mix_ratio"];
        let of_feed = |answer: &Value| -> Vec<String> {
            rules(answer).into_iter().filter(|rule| minded.contains(rule)).map(str::to_owned).collect()
        };
        assert_eq!(of_feed(&answer), of_feed(&onward), "{by}");
        assert!(of_feed(&onward).contains(&"raw_manure".to_owned()), "{by}");
    }
}

/// What `POST /v1/feeds` minds about a material, the beds that are fed it mind too: air, and carbon to nitrogen.
#[test]
fn beds_mind_of_named_materials_what_a_planned_feed_minds() {
    let of_mixes = ["feed_too_wet", "mix_ratio"];
    let minded = |answer: &Value| -> Vec<&str> {
        of_mixes.into_iter().filter(|rule| rules(answer).contains(rule)).collect::<Vec<_>>()
    };
    for (materials, wanted) in [
        (&["cattle_manure_fresh"][..], &of_mixes[..]),
        (&["layer_manure_fresh"], &of_mixes[1..]),
        (&["horse_manure_fresh"], &[]),
        (&["leaves_loose"], &of_mixes[1..]),
        (&["leaves_loose", "cattle_manure_fresh"], &[]),
    ] {
        let named: Vec<Value> = materials.iter().map(|name| json!({"material": name, "amount": "100 L"})).collect();
        let planned = ok("feeds", &json!({"materials": named}));
        assert_eq!(minded(&planned), wanted, "feeds: {materials:?}");
        let mixed: Vec<Value> = materials.iter().map(|name| json!({"material": name})).collect();
        let feed = match materials {
            [one] => json!({"material": one}),
            _ => json!({"materials": mixed}),
        };
        for (question, body) in beds(&feed) {
            let answer = ok(question, &body);
            assert_eq!(minded(&answer), wanted, "{question}: {materials:?}");
            let ratio =
                answer["assumptions"].as_array().unwrap().iter().any(|one| one["id"] == "mix.carbon_to_nitrogen");
            assert!(ratio, "{question}: {materials:?}");
        }
    }
    // What is given of the material counts, and so does what is known of the usual ratio.
    for (question, mut body) in
        beds(&json!({"material": "cattle_manure_fresh", "nitrogen": "1.5 %", "moisture": "70 %"}))
    {
        assert!(minded(&ok(question, &body)).is_empty(), "{question}");
        body["assumptions"] = json!({"mix.carbon_to_nitrogen": {"value": 50, "low": 40, "high": 60}});
        assert_eq!(minded(&ok(question, &body)), ["mix_ratio"], "{question}");
    }
    // Of an analysis alone neither size nor source is known.
    for (question, body) in beds(&json!({"moisture": "81 %", "ash": "14 %", "nitrogen": "7 %"})) {
        assert!(minded(&ok(question, &body)).is_empty(), "{question}");
    }
}

/// The step that ends in words like these.
fn step(answer: &Value, kind: &str) -> String {
    let steps = answer["steps"].as_array().unwrap();
    steps.iter().find(|step| step["kind"] == kind).unwrap()["text"].as_str().unwrap().to_owned()
}

fn feed(on: &Value) -> Value {
    let mut feed = json!({"start_on": "2028-02-29", "climate": "18 C", "ground": {"kind": "area", "area": "3 m2"},
        "materials": [{"material": "leaves_loose", "amount": "500 L"}, {"material": "horse_manure_fresh", "amount": "400 L"}]});
    feed.as_object_mut().unwrap().extend(on.as_object().unwrap().clone());
    feed
}

/// The days of layers depend on the worms, so the step that puts them in says how many: 3 m2 x 1.6 kg/m2, or what is given.
#[test]
fn the_step_that_puts_worms_in_says_how_many() {
    for (given, said) in [
        (json!({}), "put the worms on top: 4.8 kg."),
        (json!({"worms": "3 kg"}), "put the worms on top: 3 kg."),
        (json!({"worms": "7 lb", "units": "us"}), "put the worms on top: 7 lb."),
        (json!({"assumptions": {"worms.stocking_density": "2 kg/m2"}}), "put the worms on top: 6 kg."),
    ] {
        let body = feed(&given);
        let text = step(&ok("feeds", &body), "introduce_worms");
        assert!(text.ends_with(said), "{text}");
        READ.into_iter().for_each(|accept| assert!(words("feeds", accept, &body).contains(said), "{accept}"));
    }
    // Without a climate nothing rests on them.
    let mut body = feed(&json!({}));
    body.as_object_mut().unwrap().shift_remove("climate");
    assert!(step(&ok("feeds", &body), "introduce_worms").ends_with("put the worms on top."));
}

/// What is mixed at once would lie for months until its last layer is laid.
#[test]
fn layers_that_lie_weeks_apart_are_mixed_one_by_one() {
    let said =
        "Layers lie 2 weeks or more apart: mix only what the next one takes, and leave the rest unmixed until its day.";
    let body = feed(&json!({}));
    assert!(step(&ok("feeds", &body), "mix").ends_with(said));
    READ.into_iter().for_each(|accept| assert!(words("feeds", accept, &body).contains(said), "{accept}"));
    for other in [
        // Many worms eat a layer within days.
        json!({"worms": "60 kg", "climate": "25 C"}),
        // One layer.
        json!({"ground": {"kind": "area", "area": "30 m2"}}),
        // What is composted hot is one heap.
        json!({"hot_composting": {"days": 20}}),
    ] {
        let answer = ok("feeds", &feed(&other));
        assert!(!step(&answer, "mix").contains("mix only"), "{other}: {}", answer["layers"]);
    }
}

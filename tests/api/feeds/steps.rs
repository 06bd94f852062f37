//! Layers and dated steps.

use crate::support::{brief, demo, errors, flat, form, ok, send, service, with};
use reqwest::Method;
use serde_json::{Value, json};

#[test]
fn an_autumn_heap_has_water_layers_and_dated_steps() {
    let answer = ok("feeds", &demo("feeds/autumn-heap.json"));
    assert_eq!(answer["mix"]["moisture"]["value"], 72);
    let steps: Vec<&str> = answer["steps"].as_array().unwrap().iter().map(|s| s["kind"].as_str().unwrap()).collect();
    let wanted =
        ["shred", "soak", "stir_daily", "shred_again", "rehydrate_manure", "mix", "first_layer", "introduce_worms"];
    assert_eq!(steps, wanted);
    assert_eq!(answer["steps"][5]["starts_on"], "2026-11-06");
    let first = answer["layers"]["first"]["depth"]["value"].as_f64().unwrap();
    assert!((100.0..=150.0).contains(&first));
    assert_eq!(answer["materials"][0]["in_containers"][1], json!({"value": 20, "unit": "barrow"}));
    let rules: Vec<&str> = answer["cautions"].as_array().unwrap().iter().map(|c| c["rule"].as_str().unwrap()).collect();
    assert!(rules.contains(&"raw_manure") && rules.contains(&"shredding") && rules.contains(&"ammonia"));
}

#[test]
fn the_steps_come_as_a_calendar_with_ids_that_stay() {
    let calendar = |body: &Value| {
        let headers = [("content-type", "application/json"), ("accept", "text/calendar")];
        send(&service(), (Method::POST, "/v1/feeds"), &headers, body.to_string().into_bytes())
    };
    let body = demo("feeds/autumn-heap.json");
    let answer = calendar(&body);
    assert_eq!((answer.status, answer.header("content-type")), (200, "text/calendar; charset=utf-8"));
    let ids = |text: &str| text.lines().filter(|l| l.starts_with("UID:")).map(str::to_owned).collect::<Vec<_>>();
    let (first, text) = (ids(answer.text()), answer.text());
    assert_eq!(text.matches("BEGIN:VEVENT").count(), 8);
    assert_eq!(text.matches("PRODID").count(), 1);
    assert!(text.lines().all(|line| line.len() <= 75), "lines are folded");
    assert!(text.contains("DTSTART;VALUE=DATE:20261102") && text.ends_with("END:VCALENDAR\r\n"));
    let unfolded = text.replace("\r\n ", "").replace('\\', "");
    // 20 barrows of leaves by the request; amounts are in the titles, and what to mind with the shredder.
    for part in ["soak: leaves of the lane 20 barrows (97.5 kg)", "of extra water", "Warning: Shred safely"] {
        assert!(unfolded.contains(part), "{part}\n{unfolded}");
    }
    let later = calendar(&with(&body, "/start_on", json!("2026-11-09")));
    assert_eq!(ids(later.text()), first, "a week later the ids are the same");
    let undated = calendar(&demo("feeds/leaves-and-grass.json"));
    assert_eq!((undated.status, undated.json()["errors"][0]["pointer"].clone()), (422, json!("/start_on")));
}

/// 200 L of leaves at 75 kg/m3 and 38 %: solids and water fill 11.9 L, and shredding leaves 35 % of the air: 77.735 L are mixed, in layers
/// too.
#[test]
fn volumes_follow_the_steps_down_to_the_layers() {
    let leaves = json!({"material": "leaves_loose", "amount": "200 L", "moisture": "38 %", "bulk_density": "75 kg/m3"});
    let body = json!({"materials": [leaves], "ground": {"kind": "area", "area": "1 m2"}});
    let answer = ok("feeds", &body);
    let volume = |field: &str| &answer["materials"][0][field]["value"];
    assert_eq!(
        [volume("volume"), volume("volume_shredded"), volume("volume_mixed")],
        [&json!(200), &json!(77.735), &json!(77.735)]
    );
    assert_eq!(
        (&answer["mix"]["volume"]["value"], &answer["layers"]["first"]["volume"]["value"]),
        (&json!(77.735), &json!(77.735))
    );
    let whole = ok("feeds", &with(&body, "/materials/0/shred", json!(false)));
    assert_eq!(
        (&whole["materials"][0]["volume_mixed"]["value"], whole["materials"][0].get("volume_shredded")),
        (&json!(200), None)
    );
    // What the grower measured counts: half of the air is left.
    let known = with(&body, "/assumptions", json!({"feed.air_after_shredding": "50 %"}));
    assert_eq!(ok("feeds", &known)["materials"][0]["volume_mixed"], json!({"value": 105.95, "unit": "L"}));
    let used = |answer: &Value, id: &str| answer["assumptions"].as_array().unwrap().iter().any(|one| one["id"] == id);
    assert!(used(&answer, "feed.air_after_shredding") && !used(&answer, "feed.air_after_soaking"));
    let soaked = ok("feeds", &with(&body, "/materials/0/soak", json!(true)));
    assert!(used(&soaked, "feed.air_after_soaking") && used(&soaked, "feed.air_after_second_shredding"));
}

/// The layers after the first have the days of a forecast, and a bed that would be too deep is harvested in between.
#[test]
fn layers_have_dates_by_the_climate_and_keep_to_the_depth() {
    let body = json!({
        "materials": [{"material": "leaves_shredded", "amount": "800 kg"}, {"material": "grass_clippings", "amount": "800 kg"}],
        "goals": {"moisture": "70 %"}, "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2027-04-01", "climate": "20 C",
    });
    let answer = ok("feeds", &body);
    let laid = &answer["layers"];
    let dated = laid["dated"].as_array().unwrap();
    let on: Vec<&str> = dated.iter().map(|one| one["on"].as_str().unwrap()).collect();
    assert!(on.len() > 3 && on.is_sorted() && on[0] > "2027-04-03", "{on:?}");
    assert!(dated.iter().all(|one| one["bed_depth"]["value"].as_f64().unwrap() <= 450.0));
    assert!(laid["before_harvest"].as_u64().unwrap() > 1 && laid["all_fit"] == false);
    let used = |answer: &Value, id: &str| answer["assumptions"].as_array().unwrap().iter().any(|one| one["id"] == id);
    assert!(used(&answer, "worms.feed_rate") && !used(&answer, "feed.dry_bulk_density"));
    // More worms are quicker; without a climate there are no dates, and the depth counts all the same.
    let more = ok("feeds", &with(&body, "/worms", json!("8 kg")));
    assert!(more["layers"]["dated"][0]["on"].as_str().unwrap() < on[0]);
    let mut plain = body.clone();
    plain.as_object_mut().unwrap().remove("climate");
    let plain = ok("feeds", &plain);
    assert!(plain["layers"].get("dated").is_none() && plain["layers"]["before_harvest"] == laid["before_harvest"]);
    // What is missing for dates is said.
    assert!(laid.get("missing_for_dates").is_none());
    assert_eq!(plain["layers"]["missing_for_dates"], json!(["climate"]));
    let mut bare = body.clone();
    for field in ["climate", "start_on"] {
        bare.as_object_mut().unwrap().remove(field);
    }
    assert_eq!(ok("feeds", &bare)["layers"]["missing_for_dates"], json!(["climate", "start_on"]));
    let bare = form("feeds", "text/plain", &bare).text().to_owned();
    assert!(
        bare.split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .contains("Add climate and start_on to get the days of later layers.")
    );
    // What is assumed of the next layer is what the texts say.
    let early = with(&body, "/assumptions", json!({"bed.next_layer_at": "60 %"}));
    for (body, share) in
        [(&body, "when 20 % of the one before is left"), (&early, "when 60 % of the one before is left")]
    {
        for accept in ["text/plain", "text/calendar"] {
            let text = form("feeds", accept, body).text().replace("\r\n ", "");
            assert!(flat(&text).contains(share), "{accept}: {share}");
        }
    }
    // The grass is laid thinner on worms.
    assert_eq!(laid["each"]["depth"]["value"], 50);
    assert!(used(&answer, "bed.fresh_layer"));
    let ask = |accept: &str| {
        let headers = [("content-type", "application/json"), ("accept", accept)];
        send(&service(), (Method::POST, "/v1/feeds"), &headers, body.to_string().into_bytes())
            .text()
            .replace("\r\n ", "")
    };
    let calendar = ask("text/calendar");
    assert_eq!(calendar.matches("SUMMARY:Lay feed").count(), on.len(), "{calendar}");
    let text = ask("text/plain");
    assert!(text.contains("harvest it before") && text.contains("Later layers:"), "{text}");
    // In frost the worms die on the first morning, and no layer follows.
    let frozen = ok("feeds", &with(&body, "/climate", json!("-5 C")));
    assert_eq!((&frozen["layers"]["worms_die_on"], frozen["layers"].get("dated")), (&json!("2027-04-03"), None));
    assert_eq!(brief(&errors("feeds", &with(&body, "/climate", json!("5 kg")))), ["/climate unit_does_not_fit"]);
}

/// 41 mm in layers of 20 mm leave 1 mm, which nobody can spread: the last two are laid alike. On a first layer of 10 to 15 cm it goes with that.
#[test]
fn a_last_layer_that_is_too_thin_to_spread_is_said_with_what_to_do() {
    let of = |amount: &str, assumptions: Value| {
        let material = json!({"material": "grass_clippings", "amount": amount});
        json!({"materials": [material], "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2027-04-01", "climate": "18 C",
            "assumptions": assumptions})
    };
    let twenty = || json!({"bed.first_layer": "20 mm", "bed.layer": "20 mm"});
    let thin = "The last layer is too thin to spread by itself:";
    let alike = format!("{thin} lay its feed and that of the one before as two layers of");
    let with_first = format!("{thin} lay its feed with the first, 121 mm deep in all.");
    for (amount, assumptions, say) in [
        ("82 L", twenty(), Some(format!("{alike} 11 mm."))),
        ("81.6 L", with(&twenty(), "/bed.first_layer", json!("21 mm")), None),
        ("242 L", json!({}), Some(with_first.clone())),
        ("242 L", json!({"bed.first_layer": "12 cm"}), Some(with_first.clone())),
        ("242 L", json!({"bed.first_layer": "12 cm", "bed.max_depth": "12 cm"}), None),
        ("242 L", json!({"bed.first_layer": "12 cm", "bed.layer": "10 cm"}), Some(format!("{alike} 61 mm."))),
        ("344 L", json!({}), Some(format!("{alike} 26 mm."))),
        ("356 L", json!({}), Some(format!("{alike} 29 mm."))),
        // A centimetre can be spread, and half of a layer.
        ("362 L", json!({}), None),
        ("92 L", twenty(), Some(format!("{alike} 13 mm."))),
        ("48 L", json!({"bed.first_layer": "15 mm", "bed.layer": "15 mm"}), None),
        ("240 L", json!({}), None),
    ] {
        let body = of(amount, assumptions);
        let answer = ok("feeds", &body);
        let first = answer["steps"].as_array().unwrap().iter().find(|step| step["kind"] == "first_layer").unwrap();
        let text = first["text"].as_str().unwrap();
        assert_eq!(text.find(thin).map(|at| &text[at..]), say.as_deref(), "{amount} {}", answer["layers"]);
        let Some(say) = say else { continue };
        for accept in ["text/plain", "text/html", "text/calendar"] {
            let text = form("feeds?width=400", accept, &body).text().replace("\r\n ", "").replace('\\', "");
            assert!(text.contains(&say), "{accept}: {text}");
            let of_last = text.rsplit("BEGIN:VEVENT").next().unwrap();
            assert!(accept != "text/calendar" || of_last.contains(&say), "{of_last}");
        }
        assert!(form("feeds?table=steps", "text/csv", &body).text().contains(&say));
    }
}

/// No step says to add water slowly where none is added.
#[test]
fn the_step_of_mixing_speaks_of_water_where_there_is_some() {
    let step = |file: &str| {
        let answer = ok("feeds", &demo(file));
        let steps = answer["steps"].as_array().unwrap();
        let text = steps.iter().find(|step| step["kind"] == "mix").unwrap()["text"].as_str().unwrap().to_owned();
        (answer["water"]["extra"]["value"].as_f64().unwrap() > 0.0, text.contains("Add the water slowly."))
    };
    assert_eq!(step("feeds/grass-and-leaves.json"), (false, false));
    assert_eq!(step("feeds/autumn-heap.json"), (true, true));
}

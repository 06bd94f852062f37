//! What one's own records say: the block to paste, how records fit, a season beside itself, every form, and what is refused.

use crate::demo_data::assert_kept;
use crate::support::{demo, errors, flat, form, in_repository, keys, ok, reported, with};
use serde_json::{Value, json};

/// One bed with one harvest.
fn one() -> Value {
    demo("calibrations/first-harvest.json")
}

/// Two beds, harvested when their castings were ready.
pub fn two() -> Value {
    let bed = |id: &str, fed: &str, litres: &str, ready: &str, out: &str| {
        json!({
            "id": id, "ground": {"kind": "area", "area": "2 m2"}, "worms": "2 kg",
            "fed": [{"on": fed, "amount": "100 kg"}],
            "harvested": [{"on": out, "amount": litres, "ready_on": ready}],
        })
    };
    json!({
        "climate": "18 C",
        "feed": {"material": "leaves_shredded"},
        "records": [
            bed("a", "2025-03-01", "80 L", "2025-08-10", "2025-09-01"),
            bed("b", "2026-03-01", "75 L", "2026-08-20", "2026-09-10"),
        ],
    })
}

fn number(answer: &Value, pointer: &str) -> f64 {
    answer.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("{pointer} in {answer:#}"))
}

/// What README.md shows of the demo records is what the service says.
#[test]
fn the_readme_shows_the_demo_records_before_and_after() {
    let readme = std::fs::read_to_string(in_repository("README.md")).unwrap();
    let (_, section) = readme.split_once("### With your own records").unwrap();
    let shown = section.split("```").nth(1).unwrap().trim_start_matches("text\n").trim_end();
    let text = flat(form("calibrations", "text/plain", &demo("calibrations/mill-garden.json")).text());
    assert_eq!(shown.lines().count(), 6);
    for line in shown.lines() {
        assert!(text.contains(line), "README.md: {line}\n{text}");
    }
}

#[test]
fn the_block_holds_the_values_that_moved_with_their_ranges() {
    let answer = ok("calibrations", &two());
    let block = &answer["calibrated_assumptions"];
    let values = answer["values"].as_array().unwrap();
    assert!(values.iter().any(|value| value["id"] == "worms.feed_rate"), "{values:#?}");
    let ids: Vec<&str> = values.iter().map(|value| value["id"].as_str().unwrap()).collect();
    assert_eq!(keys(block).into_iter().filter(|id| *id != "correlations").collect::<Vec<_>>(), ids);
    for value in values {
        let id = value["id"].as_str().unwrap();
        for part in ["value", "low", "high", "unit"] {
            assert_eq!(block[id][part], value["after"][part], "{id}");
        }
        assert_eq!(block[id]["source"], "own records: 2 beds, 2 harvests");
        assert_eq!(block[id]["observations"], value["observations"]);
        let [p5, p50, p95] = ["p5", "p50", "p95"].map(|at| number(value, &format!("/{at}/value")));
        let [low, high] = ["low", "high"].map(|at| number(value, &format!("/after/{at}")));
        assert!(low <= p5 && p5 < p50 && p50 < p95 && p95 <= high, "{value:#}");
        assert_eq!(number(value, "/after/value"), p50);
        assert!(number(value, "/before/low") <= low && high <= number(value, "/before/high"), "{value:#}");
    }
    for pair in block["correlations"].as_array().unwrap() {
        assert!(["first", "second"].iter().all(|one| ids.contains(&pair[one].as_str().unwrap())), "{pair}");
        assert!((-1.0..=1.0).contains(&number(pair, "/rank_correlation")));
    }
    assert_eq!(answer["seed"], 1);
    assert!(number(&answer, "/effective_draws") >= 1_000.0);
    // The errors of records are assumptions like others.
    let used = answer["assumptions"].as_array().unwrap();
    assert!(used.iter().any(|one| one["id"] == "records.amount_error"), "{used:#?}");
}

#[test]
fn each_observation_comes_with_its_forecasts() {
    let answer = ok("calibrations", &two());
    let records = answer["records"].as_array().unwrap();
    assert_eq!(records.iter().map(|record| record["id"].as_str().unwrap()).collect::<Vec<_>>(), ["a", "b"]);
    for record in records {
        assert_eq!(record["fits"], true, "{record:#}");
        let [harvested, ready] = record["observations"].as_array().unwrap().as_slice() else { panic!("{record:#}") };
        assert_eq!([&harvested["kind"], &ready["kind"]], ["harvested", "ready"]);
        assert_eq!((&harvested["harvest"], &ready["harvest"]), (&json!(1), &json!(1)));
        let width =
            |of: &str| number(harvested, &format!("/{of}/p90/value")) - number(harvested, &format!("/{of}/p10/value"));
        assert!(width("after") < width("from_others") && width("from_others") < width("before"), "{harvested:#}");
        for days in ["before_on", "after_on", "from_others_on"] {
            let [p10, p50, p90] = ["p10", "p50", "p90"].map(|at| ready[days][at].as_str().unwrap());
            assert!(p10 <= p50 && p50 <= p90, "{ready:#}");
        }
    }
    // A bed alone has no others.
    let alone = ok("calibrations", &one());
    assert!(alone["records"][0]["observations"][0].get("from_others").is_none());
}

#[test]
fn every_kind_of_observation_is_taken() {
    let bed = json!({
        "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2026-02-20",
        // The feedings in another order than that of their days.
        "fed": [{"on": "2026-04-15", "amount": "40 kg"}, {"on": "2026-03-01", "amount": "60 kg"}],
        "harvested": [{"on": "2026-10-01", "amount": "50 kg", "ready_on": "2026-09-01", "sieve_yield": "82 %", "ash": "20 %"}],
        "layers_eaten": [{"layer": 2, "on": "2026-05-01"}, {"layer": 1, "not_yet_on": "2026-04-20"}],
        "worms_weighed": [{"on": "2026-06-01", "worms": "4 kg"}],
        "containers_weighed": [{"full": "8.2 kg", "empty": "1 kg", "capacity": "12 L", "moisture": "50 %"}],
    });
    let body = json!({"climate": "18 C", "feed": {"moisture": "60 %", "ash": "10 %"}, "records": [bed]});
    let answer = ok("calibrations", &body);
    let seen = answer["records"][0]["observations"].as_array().unwrap();
    let kinds: Vec<&str> = seen.iter().map(|one| one["kind"].as_str().unwrap()).collect();
    assert_eq!(
        kinds,
        [
            "harvested",
            "ready",
            "sieve_yield",
            "ash",
            "eaten",
            "not_eaten",
            "worms_weighed",
            "bulk_density",
            "dry_bulk_density"
        ]
    );
    assert_eq!((&seen[4]["layer"], &seen[5]["layer"]), (&json!(2), &json!(1)));
    assert_eq!((&seen[6]["observed_on"], &seen[6]["observed"]["value"]), (&json!("2026-06-01"), &json!(4)));
    assert_eq!((&seen[7]["observed"]["value"], &seen[8]["observed"]["value"]), (&json!(600), &json!(300)));
    // Castings that were weighed are shown as a mass.
    assert_eq!(seen[0]["observed"], json!({"value": 50, "unit": "kg"}));
}

#[test]
fn the_order_of_records_changes_no_byte_of_the_block_and_the_same_seed_none_of_the_answer() {
    let (body, answer) = (two(), ok("calibrations", &two()));
    let turned = with(&body, "/records", json!([body["records"][1], body["records"][0]]));
    let turned = ok("calibrations", &turned);
    assert_eq!(turned["calibrated_assumptions"].to_string(), answer["calibrated_assumptions"].to_string());
    assert_eq!(turned["records"][1]["observations"], answer["records"][0]["observations"]);
    assert_eq!(ok("calibrations", &with(&body, "/seed", json!(1))).to_string(), answer.to_string());
    let other = ok("calibrations", &with(&body, "/seed", json!(2)));
    assert_ne!(other["values"], answer["values"]);
}

#[test]
fn a_record_that_does_not_fit_is_named_with_a_likely_reason() {
    let answer = ok("calibrations", &with(&two(), "/records/1/harvested/0/amount", json!("25 L")));
    let record = answer["records"].as_array().unwrap().iter().find(|record| record["fits"] == false).unwrap();
    assert!(record["note"].as_str().unwrap().starts_with("With only two records"), "{record:#}");
    let off = record["observations"].as_array().unwrap().iter().find(|one| one["fits"] == false).unwrap();
    assert!(off["reason"].as_str().unwrap().contains("castings than expected"), "{off:#}");
    let body = with(&two(), "/records/1/harvested/0/amount", json!("25 L"));
    let caution =
        answer["cautions"].as_array().unwrap().iter().find(|one| one["rule"] == "records_do_not_fit").unwrap();
    assert_eq!(caution["severity"], "caution");
    assert!(caution["at"].as_array().unwrap().contains(&json!("/records/1")), "{caution}");
    let table = form("calibrations?table=records", "text/csv", &body).text().to_owned();
    assert!(table.lines().any(|line| line.starts_with("b,") && line.contains("records_do_not_fit")), "{table}");
    let text = flat(form("calibrations", "text/plain", &body).text());
    assert!(text.starts_with("What your records say First check the records that do not fit: a, b. "), "{text}");
    let paste = text.find("Use these values").unwrap();
    assert!(text.find("First check").unwrap() < paste, "{text}");
    assert!(text.contains("Records that do not fit") && text.contains("it is unclear which one is wrong"), "{text}");
}

#[test]
fn a_season_is_answered_as_it_is_and_with_the_block() {
    let season = json!({
        "simulation_runs": 200, "climate": "18 C",
        "worm_beds": [{"ground": {"kind": "area", "area": "2 m2"}, "start_on": "2026-10-01", "worms": "2 kg", "layers_per_cycle": 2,
                       "feed": {"material": "leaves_shredded"}}],
        "demands": [{"amount": "70 L", "on": "2027-04-05"}],
    });
    let answer = ok("calibrations", &with(&two(), "/season", season.clone()));
    let alone = ok("seasons", &season);
    let before = &answer["season"]["before"];
    assert_eq!(before["chance_enough"], alone["chance_enough"]);
    assert_eq!(before["headline"], alone["headline"]);
    assert_eq!(before["shortfall"], alone["total"]["shortfall"]);
    assert_ne!(answer["season"]["after"]["shortfall"], before["shortfall"]);
    // The season alone says nothing of the values.
    assert_eq!(answer["values"], ok("calibrations", &two())["values"]);
    let wrong = with(&with(&season, "/demands/0/amount", json!("70")), "/variants", json!([]));
    assert_eq!(
        reported("calibrations", &with(&two(), "/season", wrong)),
        ["/season/demands/0/amount unit_missing", "/season/variants not_allowed_here"]
    );
}

#[test]
fn a_season_beside_records_has_a_bound_that_leaves_room_for_it_twice() {
    let mill = demo("calibrations/mill-garden.json");
    let demands = vec![json!({"amount": "1 L", "on": "2027-04-05"}); 600];
    let season = with(&with(&mill["season"], "/demands", json!(demands)), "/simulation_runs", json!(100_000));
    let most = |found: &[Value], pointer: &str| {
        assert_eq!(found.len(), 1, "{found:#?}");
        assert_eq!((&found[0]["pointer"], &found[0]["code"]), (&json!(pointer), &json!("too_large")));
        found[0]["max"].as_f64().unwrap()
    };
    let alone = most(&errors("seasons", &season), "/simulation_runs");
    let beside = most(&errors("calibrations", &with(&mill, "/season", season)), "/season/simulation_runs");
    assert!(beside > 0.0 && 2.0 * beside < alone, "{beside} beside records, {alone} alone");
}

#[test]
fn a_season_keeps_what_it_says_itself() {
    let weighed = json!([{"full": "8.2 kg", "empty": "1 kg", "capacity": "12 L", "moisture": "50 %"}]);
    let body = with(&two(), "/records/0/containers_weighed", weighed);
    let season = |own: Value| {
        json!({"simulation_runs": 50, "climate": "18 C", "assumptions": own,
               "worm_beds": [{"ground": {"kind": "area", "area": "2 m2"}, "start_on": "2026-10-01", "worms": "2 kg",
                              "layers_per_cycle": 2, "feed": {"material": "leaves_shredded"}}],
               "demands": [{"amount": "70 L", "on": "2027-04-05"}]})
    };
    let beside = |own: Value| {
        let answer = ok("calibrations", &with(&body, "/season", season(own)));
        (answer["season"].clone(), answer["calibrated_assumptions"].clone())
    };
    // The block has both densities: with a moisture of its own the season would contradict them.
    let (moist, block) = beside(json!({"castings.moisture": "30 %"}));
    assert!(
        block.get("castings.bulk_density").is_some() && block.get("castings.dry_bulk_density").is_some(),
        "{block}"
    );
    assert_ne!(moist["before"]["shortfall"], moist["after"]["shortfall"]);
    // Where it says everything itself, nothing changes.
    let mut own = block.as_object().unwrap().clone();
    own.remove("correlations");
    own.values_mut().for_each(|value| *value = json!({"value": value["value"], "unit": value["unit"]}));
    let (mut same, _) = beside(json!(own));
    same["after"]["name"] = same["before"]["name"].clone();
    assert_eq!(same["before"], same["after"]);
}

#[test]
fn explained_it_says_which_record_moved_which_value() {
    let answer = ok("calibrations", &with(&two(), "/explain", json!(true)));
    for value in answer["values"].as_array().unwrap() {
        let moved = value["moved_by"].as_array().unwrap();
        let ids: Vec<&str> = moved.iter().map(|one| one["record"]["id"].as_str().unwrap()).collect();
        assert_eq!(ids, ["a", "b"]);
        assert!(moved.iter().any(|one| number(one, "/by/value") != 0.0), "{value:#}");
        assert_eq!(moved[0]["by"]["unit"], value["after"]["unit"]);
    }
    assert!(ok("calibrations", &two())["values"][0].get("moved_by").is_none());
}

/// 100 kg and 40 L of feed with 60 % of water and 250 kg/m3 are 110 kg: 44 kg are dry. It is said beside the records, and explained.
#[test]
fn what_was_fed_is_said_and_explained() {
    let feed = json!({"moisture": "60 %", "ash": "12 %", "bulk_density": "250 kg/m3"});
    let fed = json!([{"on": "2025-03-01", "amount": "100 kg"}, {"on": "2025-04-01", "amount": "40 L"}]);
    let request = with(&with(&two(), "/feed", feed), "/records/0/fed", fed);
    let answer = ok("calibrations", &with(&request, "/explain", json!(true)));
    assert_eq!(answer["records"][0]["fed_dry_matter"], json!({"value": 44, "unit": "kg"}));
    let of_fed = |one: &&Value| one["figure"] == "/records/0/fed_dry_matter";
    let explanation = answer["explanations"].as_array().unwrap().iter().find(of_fed).unwrap();
    assert_eq!(
        (&explanation["name"], &explanation["formula"]),
        (&json!("dry_matter_fed"), &json!("D = sum(m) (1 - w)"))
    );
    let inputs: Vec<(&str, f64, &str)> = explanation["inputs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| (one["symbol"].as_str().unwrap(), number(one, "/value/value"), one["taken_from"].as_str().unwrap()))
        .collect();
    assert_eq!(
        inputs,
        [
            ("m", 100.0, "request:/records/0/fed/0/amount"),
            ("m", 10.0, "request:"),
            ("w", 60.0, "request:/feed/moisture"),
        ]
    );
    let table = form("calibrations?table=records", "text/csv", &request);
    let table = table.text();
    let mut lines = table.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let at = lines.next().unwrap().iter().position(|name| *name == "fed_dry_matter_kg").unwrap();
    assert_eq!(lines.next().unwrap()[at], "44");
}

#[test]
fn a_text_says_first_what_to_do_then_what_moved() {
    let text = flat(form("calibrations", "text/plain", &two()).text());
    let place = |what: &str| text.find(what).unwrap_or_else(|| panic!("{what}: {text}"));
    let order = [
        "Use these values in later requests: the JSON format of this answer has them ready to paste.",
        "Next: ",
        "What moved",
        "Feed rate of the worms: about ",
        "All records fit.",
        "One more record",
    ];
    assert!(order.map(place).is_sorted(), "{text}");
    // Draws tell no more than whole percents.
    let percents = text.split(" %").filter_map(|part| part.rsplit([' ', '(']).next()?.parse::<f64>().ok());
    let percents: Vec<f64> = percents.collect();
    assert!(percents.len() >= 5 && percents.iter().all(|number| number.fract() == 0.0), "{percents:?}");
    let chart = form("calibrations", "image/svg+xml", &two()).text().to_owned();
    for what in ["Feed rate", "a: castings harvested (harvest 1)", "recorded: 80 L", "recorded: 10 Aug 2025"] {
        assert!(chart.contains(what), "{what}");
    }
    let page = form("calibrations", "text/html", &two()).text().to_owned();
    assert!(page.contains("<svg") && page.contains("Records and their forecasts"));
}

#[test]
fn its_tables_hold_the_values_the_records_and_what_one_more_would_bring() {
    let table = |name: &str| form(&format!("calibrations?table={name}"), "text/csv", &two()).text().to_owned();
    let values = form("calibrations", "text/csv", &two()).text().to_owned();
    assert_eq!(values, table("values"));
    assert!(
        values.starts_with("id,unit,before,before_low,before_high,after,after_low,after_high,p5,p50,p95,"),
        "{values}"
    );
    let records = table("records");
    assert!(records.contains("a,a,harvested,1,") && records.contains("2025-08-10"), "{records}");
    assert_eq!(table("one_more").lines().count(), 8);
}

#[test]
fn figures_follow_the_units_that_are_asked_for() {
    let (metric, us) = (ok("calibrations", &two()), ok("calibrations", &with(&two(), "/units", json!("us"))));
    let of = |answer: &Value| {
        let found =
            answer["values"].as_array().unwrap().iter().find(|value| value["id"] == "castings.dry_bulk_density");
        (number(found.unwrap(), "/after/value"), found.unwrap()["after"]["unit"].as_str().unwrap().to_owned())
    };
    let ((one, kilograms), (other, pounds)) = (of(&metric), of(&us));
    assert_eq!([kilograms.as_str(), pounds.as_str()], ["kg/m3", "lb/yd3"]);
    // 1 lb/yd3 = 0.453 592 37 kg / 0.764 554 857 984 m3.
    assert!((other * 0.453_592_37 / 0.764_554_857_984 - one).abs() < 1e-6 * one, "{one} {other}");
}

#[test]
fn records_that_cannot_be_are_refused_where_they_are() {
    let of = |pointer: &str, value: Value| reported("calibrations", &with(&two(), pointer, value));
    assert_eq!(of("/records/0/harvested/0/on", json!("2025-02-01"))[0], "/records/0/harvested/0/on dates_out_of_order");
    assert_eq!(of("/records/1/harvested/0/amount", json!("900 L")), ["/records/1/harvested/0/amount impossible_value"]);
    assert_eq!(of("/records/1/id", json!("a")), ["/records/1/id repeated_id"]);
    assert_eq!(of("/records/0/start_on", json!("2025-03-02")), ["/records/0/fed/0/on dates_out_of_order"]);
    assert_eq!(
        of("/records/0/layers_eaten", json!([{"layer": 2, "on": "2025-04-01"}])),
        ["/records/0/layers_eaten/0/layer impossible_value"]
    );
    assert_eq!(of("/records/0/layers_eaten", json!([{"layer": 1}])), ["/records/0/layers_eaten/0/on missing_field"]);
    let both = json!([{"layer": 1, "on": "2025-05-01", "not_yet_on": "2025-04-01"}]);
    assert_eq!(of("/records/0/layers_eaten", both), ["/records/0/layers_eaten/0 exactly_one_of"]);
    assert_eq!(
        of("/records/0/harvested/0/ready_on", json!("2025-10-01")),
        ["/records/0/harvested/0/ready_on dates_out_of_order"]
    );
    assert_eq!(of("/climate", json!(null)), ["/records/0/climate missing_field", "/records/1/climate missing_field"]);
    assert_eq!(of("/feed", json!(null)), ["/records/0/feed missing_field", "/records/1/feed missing_field"]);
    assert_eq!(of("/records", json!([])), ["/records wrong_length"]);
    assert_eq!(of("/records/0/fed/0/on", json!("2010-03-01")), ["/records/1 out_of_range"]);
    let light = json!([{"full": "1 kg", "empty": "1 kg", "capacity": "12 L"}]);
    assert_eq!(
        of("/records/0/containers_weighed", light),
        ["/records/0/containers_weighed/0/full inconsistent_assumptions"]
    );
    let mut nothing = two();
    for record in nothing["records"].as_array_mut().unwrap() {
        record.as_object_mut().unwrap().remove("harvested");
    }
    assert_eq!(reported("calibrations", &nothing), ["/records/0/harvested missing_field"]);
}

#[test]
fn a_block_of_records_is_refused_where_records_are_read() {
    let block = ok("calibrations", &two())["calibrated_assumptions"].clone();
    let count = block.as_object().unwrap().len();
    let found = errors("calibrations", &with(&two(), "/assumptions", block));
    assert_eq!(found.len(), count, "{found:#?}");
    for error in &found {
        let pointer = error["pointer"].as_str().unwrap();
        assert_eq!(error["code"], "not_allowed_here", "{error}");
        assert!(pointer.ends_with("/observations") || pointer == "/assumptions/correlations", "{pointer}");
        assert!(error["detail"].as_str().unwrap().contains("give all records in one request"), "{error}");
    }
    // What is known without records has its place there, whatever it is from.
    let known = json!({"worms.feed_rate": {"value": 0.15, "low": 0.12, "high": 0.2, "unit": "kg/kg/d", "source": "the neighbour"}});
    let _ = ok("calibrations", &with(&two(), "/assumptions", known));
    // A season of the request takes the block of other records.
    let other =
        json!({"worms.feed_rate": {"value": 0.15, "unit": "kg/kg/d", "source": "own records", "observations": 3}});
    let season = json!({"simulation_runs": 10, "stock": [{"amount": "5 L"}], "demands": [{"amount": "5 L", "on": "2027-04-05"}],
                        "assumptions": other});
    let _ = ok("calibrations", &with(&two(), "/season", season));
}

#[test]
fn all_errors_are_reported_at_once_with_the_record_that_has_them() {
    let found = errors("calibrations", &demo("refused/calibrations-harvest-before-its-feed.json"));
    let places: Vec<&str> = found.iter().map(|error| error["pointer"].as_str().unwrap()).collect();
    assert_eq!(places, ["/records/0/harvested/0/on", "/records/1/id", "/records/1/layers_eaten/0/layer"]);
    assert!(found[0]["detail"].as_str().unwrap().starts_with("Record 1 ('bed'), harvest 1:"), "{found:#?}");
}

#[test]
fn too_many_observations_are_refused_with_their_number() {
    let looks: Vec<Value> = (0..300).map(|_| json!({"on": "2025-06-01", "worms": "3 kg"})).collect();
    let found = errors("calibrations", &with(&two(), "/records/0/worms_weighed", looks.into()));
    assert_eq!(found[0]["code"], "too_large");
    assert!(found[0]["detail"].as_str().unwrap().contains("304 observations"), "{found:#?}");
}

#[test]
fn more_work_than_an_answer_may_take_is_refused_before_any_is_done() {
    let daily = |day: u32| json!({"on": format!("2025-{:02}-{:02}", 3 + day / 28, 1 + day % 28), "amount": "1 kg"});
    let fed: Vec<Value> = (0..140).map(daily).collect();
    let mut body = two();
    for record in body["records"].as_array_mut().unwrap() {
        record["fed"] = fed.clone().into();
        record["harvested"] = json!([{"on": "2025-12-01", "amount": "60 L"}]);
    }
    let found = errors("calibrations", &body);
    assert_eq!((&found[0]["pointer"], &found[0]["code"]), (&json!("/records"), &json!("too_large")));
    assert!(found[0]["detail"].as_str().unwrap().contains("sum up feedings of a week or a month"), "{found:#?}");
}

#[test]
fn the_block_is_taken_as_the_assumptions_of_a_season() {
    let block = ok("calibrations", &two())["calibrated_assumptions"].clone();
    let season = demo("seasons/one-bed.json");
    let pasted = with(&with(&season, "/assumptions", block.clone()), "/simulation_runs", json!(50));
    let answer = ok("seasons", &pasted);
    let used = answer["assumptions"].as_array().unwrap().iter().find(|one| one["id"] == "worms.feed_rate").unwrap();
    assert_eq!((&used["set_by"], &used["value"]["value"]), (&json!("request"), &block["worms.feed_rate"]["value"]));
}

#[test]
fn the_text_of_the_mill_garden_is_kept() {
    let text = form("calibrations", "text/plain", &demo("calibrations/mill-garden.json")).text().to_owned();
    assert_kept("calibrations-mill-garden.txt", &text);
}

//! `"explain": true`: every explanation, read as it stands and computed with the numbers it shows, gives the figure it is of.

use crate::plain::{Named, evaluate};
use crate::support::{demo, demo_files, get, in_repository, ok, post, reported, service, with};
use barrowful::garden::formulas::Formula;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// Units of answers in coherent ones: exact by definition (NIST Handbook 44, Appendix C).
fn coherent(unit: &str) -> f64 {
    const FT: f64 = 0.3048;
    const LB: f64 = 0.453_592_37;
    match unit {
        "" | "m" | "m2" | "kg" | "kg/m2" | "kg/m3" | "h" | "kg/kg/d" | "lb/lb/d" => 1.0,
        "d" => 24.0,
        "L" | "L/m2" | "L/m" | "g" | "g/m2" | "mm" => 0.001,
        "%" => 0.01,
        "ft" => FT,
        "ft2" => FT * FT,
        "ft3" => FT * FT * FT,
        "ft3/ft" => FT * FT,
        "in" => FT / 12.0,
        "lb" => LB,
        "oz" => LB / 16.0,
        "US gal" => 231.0 * (FT / 12.0) * (FT / 12.0) * (FT / 12.0),
        "lb/ft2" => LB / (FT * FT),
        "lb/100 ft2" => LB / (100.0 * FT * FT),
        "lb/1000 ft2" => LB / (1000.0 * FT * FT),
        "lb/yd3" => LB / (27.0 * FT * FT * FT),
        "yd3/1000 ft2" => 27.0 * FT / 1000.0,
        // A measure of the caller's counts as one.
        _ => 1.0,
    }
}

/// A figure in coherent units: the likely value, or a bound.
fn figure(quantity: &Value, which: &str) -> f64 {
    if let Some(number) = quantity.as_f64() {
        return number;
    }
    let number = quantity.get(which).or_else(|| quantity.get("value")).unwrap().as_f64().unwrap();
    number * coherent(quantity["unit"].as_str().unwrap())
}

/// Half a unit in the ninth digit, the last that is shown of a number, as a share of it at most.
const ROUNDED: f64 = 5e-9;

/// The lists of a formula, with nothing in them.
fn lists_of(name: &Value) -> Named {
    let formula = Formula::ALL.iter().map(|formula| formula.definition()).find(|one| *name == one.id).unwrap();
    formula.terms.iter().filter(|symbol| symbol.many).map(|symbol| (symbol.name.to_owned(), Vec::new())).collect()
}

/// Computes an explanation with one of value, low and high for each of its terms; also how far the result may be off, since nine
/// digits are shown of each of these numbers: a difference of two that are nearly alike leaves few digits.
fn computed(explanation: &Value, which: &dyn Fn(usize) -> &'static str) -> (f64, f64) {
    let terms = explanation["inputs"].as_array().unwrap();
    let text = explanation["formula"].as_str().unwrap();
    let put_in: Vec<f64> = terms.iter().enumerate().map(|(i, term)| figure(&term["value"], which(i))).collect();
    let result = |off: Option<usize>| {
        let mut named = lists_of(&explanation["name"]);
        for (i, (term, value)) in terms.iter().zip(&put_in).enumerate() {
            let value = if off == Some(i) { value * (1.0 + ROUNDED) } else { *value };
            named.entry(term["symbol"].as_str().unwrap().to_owned()).or_default().push(value);
        }
        evaluate(text, &named).unwrap_or_else(|why| panic!("{text}: {why}\n{explanation}"))
    };
    let found = result(None);
    let apart = (0..terms.len()).map(|i| (result(Some(i)) - found).abs()).sum();
    (found, apart)
}

/// The figure itself is shown with nine digits too; what is wanted and in stock is rounded to whole millilitres.
fn assert_close((found, apart): (f64, f64), wanted: f64, explanation: &Value) {
    let of = explanation["figure"].as_str().unwrap();
    let whole = of.ends_with("/needed") || of.starts_with("/stock/") && of.ends_with("/amount");
    let rounded = if whole { 0.5e-6 } else { 1e-12 };
    let most = 1.1 * apart + 2.0 * ROUNDED * wanted.abs() + rounded;
    assert!((found - wanted).abs() <= most, "{found} is not {wanted}: {explanation:#}");
}

fn assert_resolves(taken_from: &str, value: &Value, (request, answer): (&Value, &Value)) {
    let (kind, place) = taken_from.split_once(':').unwrap();
    match kind {
        "request" => assert!(request.pointer(place).is_some(), "{place} is not in the request"),
        "answer" => {
            let there = answer.pointer(place).unwrap_or_else(|| panic!("{place} is not in the answer"));
            assert_eq!(figure(there, "value"), figure(value, "value"), "{place}");
        }
        "assumption" => {
            let used = answer["assumptions"].as_array().unwrap();
            assert!(used.iter().any(|one| one["id"] == place), "{place} is not an assumption of the answer");
        }
        "material" => {
            let table = get("/v1/materials").json();
            assert!(table["materials"].as_array().unwrap().iter().any(|row| row["id"] == place), "{place}");
        }
        "rate" => {
            let table = get("/v1/rates").json();
            assert!(table["rates"].as_array().unwrap().iter().any(|row| row["purpose"] == place), "{place}");
        }
        "constant" => {
            let page = std::fs::read_to_string(in_repository("docs/sources.md")).unwrap();
            assert!(page.contains(&format!("| `{place}` |")), "{place} is no constant of docs/sources.md");
        }
        _ => panic!("{taken_from}"),
    }
}

/// The bounds are the formula at the ends of what is put in. Lists longer than this would have too many corners.
const MOST_RANGES: usize = 8;

fn assert_bounds(explanation: &Value, there: &Value) {
    let terms = explanation["inputs"].as_array().unwrap();
    let ranged: Vec<usize> = (0..terms.len()).filter(|i| terms[*i]["value"].get("low").is_some()).collect();
    if ranged.len() > MOST_RANGES {
        return;
    }
    let (mut least, mut most) = ((f64::INFINITY, 0.0), (f64::NEG_INFINITY, 0.0));
    for corner in 0..1_u32 << ranged.len() {
        let which = |i: usize| match ranged.iter().position(|at| *at == i) {
            Some(bit) if corner >> bit & 1 == 1 => "high",
            Some(_) => "low",
            None => "value",
        };
        let found = computed(explanation, &which);
        least = if found.0 < least.0 { found } else { least };
        most = if found.0 > most.0 { found } else { most };
    }
    assert_close(least, figure(there, "low"), explanation);
    assert_close(most, figure(there, "high"), explanation);
}

/// Every quantity and count below a place of the answer, as pointers.
fn figures(value: &Value, at: &str, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(members) if members.contains_key("unit") && members.contains_key("value") => {
            found.insert(at.to_owned());
        }
        Value::Object(members) => members.iter().for_each(|(name, one)| figures(one, &format!("{at}/{name}"), found)),
        Value::Array(items) => items.iter().enumerate().for_each(|(i, one)| figures(one, &format!("{at}/{i}"), found)),
        _ => {}
    }
}

/// Asks with and without; checks what holds of every explanation; returns the figures that have none.
fn check(resource: &str, body: &Value, with_bounds: bool) -> BTreeSet<String> {
    let mut asked = body.clone();
    asked["explain"] = json!(true);
    let answer = ok(resource, &asked);
    let explained = post(resource, &asked);
    asked.as_object_mut().unwrap().remove("explain");
    let plain = post(resource, &asked);
    // Nothing else changes: the same bytes, with the explanations behind them.
    let (before, _) = explained.text().split_once(",\"explanations\":[").unwrap();
    assert_eq!(format!("{before}}}"), plain.text());
    let (mut left, mut reported) = (BTreeSet::new(), BTreeSet::new());
    let mut rest = answer.clone();
    for apart in ["explanations", "assumptions", "cautions"] {
        rest.as_object_mut().unwrap().remove(apart);
    }
    figures(&rest, "", &mut left);
    for explanation in answer["explanations"].as_array().unwrap() {
        let of = explanation["figure"].as_str().unwrap();
        let there = answer.pointer(of).unwrap_or_else(|| panic!("{of} is not in the answer"));
        assert!(reported.insert(of.to_owned()), "{of} is explained twice");
        left.remove(of);
        for term in explanation["inputs"].as_array().unwrap() {
            assert_resolves(term["taken_from"].as_str().unwrap(), &term["value"], (&asked, &answer));
        }
        assert_close(computed(explanation, &|_| "value"), figure(there, "value"), explanation);
        // A moisture that is given ties the two densities: they move together.
        let symbols: Vec<_> = explanation["inputs"].as_array().unwrap().iter().map(|term| &term["symbol"]).collect();
        let used = answer["assumptions"].as_array().unwrap();
        let wet = used.iter().any(|one| one["id"].as_str().unwrap().starts_with("castings.moisture"));
        let tied = wet && symbols.contains(&&json!("rho")) && symbols.contains(&&json!("rho_d"));
        // The bounds of worms and of a lot also count that a bed at its bounds takes less or more feed, sooner or later.
        let simulated = ["/in_bed", "/castings_dry_matter", "/oversize"];
        let simulated =
            of.contains("/worms/") || of.contains("/lots/") && simulated.iter().any(|end| of.ends_with(end));
        if with_bounds && !tied && !simulated {
            assert_bounds(explanation, there);
        }
    }
    left
}

fn names(left: &BTreeSet<String>) -> Vec<&str> {
    left.iter().map(String::as_str).collect()
}

#[test]
fn an_explained_bed() {
    let answer = ok("applications", &demo("applications/explained.json"));
    let all = answer["explanations"].as_array().unwrap();
    let one = all.iter().find(|one| one["figure"] == "/areas/0/castings/volume").unwrap();
    // 4.5 m2 x 10 mm / (1 - 20 %) = 56.25 L.
    assert_eq!(one["formula"], "V = A d / (1 - s)");
    assert_eq!(answer["areas"][0]["castings"]["volume"], json!({"value": 56.25, "unit": "L"}));
    let taken: Vec<_> = one["inputs"].as_array().unwrap().iter().map(|term| &term["taken_from"]).collect();
    assert_eq!(taken, ["answer:/areas/0/surface_area", "request:/areas/0/rate/amount", "request:/areas/0/settling"]);
    assert_eq!(one["inputs"][1]["value"], json!({"value": 10, "unit": "mm"}));
    let mass = all.iter().find(|one| one["figure"] == "/areas/0/castings/mass").unwrap();
    assert_eq!(mass["inputs"][1]["taken_from"], "assumption:castings.bulk_density");
    assert_eq!(mass["inputs"][1]["value"], json!({"value": 600, "low": 450, "high": 900, "unit": "kg/m3"}));
}

#[test]
fn every_figure_of_applications_is_explained() {
    for path in demo_files("applications") {
        let body: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        let mut left = check("applications", &body, true);
        // Castings that the request gives for the whole place, by volume or by mass.
        left.retain(|of| {
            !(of.ends_with("/castings/volume") || of.ends_with("/castings/mass")) || {
                let area = of.split('/').nth(2).unwrap();
                body.pointer(&format!("/areas/{area}/castings")).is_none()
            }
        });
        // What a table of the service has.
        left.retain(|of| !of.ends_with("/typical_rate/amount") && !of.ends_with("/salt/limit"));
        assert!(left.is_empty(), "{}: {left:?}", path.display());
    }
}

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

#[test]
fn every_figure_of_brews_is_explained() {
    let mut files: Vec<Value> = Vec::new();
    for path in demo_files("brews") {
        files.push(serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap());
    }
    // One that could be brewed stronger in one round.
    files.push(json!({"units": "us", "brews": [{"water": "120 L", "dilution": "1:3", "brewer": {"capacity": "60 L", "count": 1}}]}));
    for body in files {
        let mut left = check("brews", &body, true);
        // As given or assumed; water may be given; castings of batches are split in whole millilitres.
        let as_given = |of: &String| {
            let ends =
                ["0/water", "/castings_to_water", "/brewing_time", "/use_within"].iter().any(|end| of.ends_with(end));
            ends || of.contains("/batches/") && of.contains("/castings")
        };
        left.retain(|of| !as_given(of));
        assert!(left.is_empty(), "{body}: {left:#?}");
    }
}

/// What beds give, sums and shares; dates, chances and who gets how much have no formula of one line.
#[test]
fn castings_of_beds_sums_and_shares_of_a_season_are_explained() {
    let mut body = demo("seasons/kitchen-garden.json");
    body["simulation_runs"] = json!(500);
    let left = check("seasons", &body, true);
    let answer = ok("seasons", &with(&body, "/explain", json!(true)));
    let of: Vec<&str> =
        answer["explanations"].as_array().unwrap().iter().map(|one| one["figure"].as_str().unwrap()).collect();
    for wanted in [
        "/total/supply",
        "/demands/1/shortfall",
        "/stock/0/remaining",
        "/worm_beds/0/lots/0/remaining",
        "/worm_beds/1/forecast/lots/1/castings/volume",
        "/worm_beds/0/forecast/layers/0/dry_matter",
        "/worm_beds/0/forecast/layers/0/mass",
        "/worm_beds/0/forecast/water/1/with_feed",
        "/worm_beds/0/forecast/worms/1/mass",
        "/worm_beds/0/surface_area",
        "/worm_beds/0/forecast/end/depth",
        "/measure_first/0/range_if_known",
    ] {
        assert!(of.contains(&wanted) && !left.contains(wanted), "{wanted}");
    }
}

/// Feeds of the demo, and one whose materials are given each in another way.
fn feeds() -> Vec<Value> {
    let read = |path: std::path::PathBuf| serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
    let mut all: Vec<Value> = demo_files("feeds").into_iter().map(read).collect();
    let range = |low: f64, value: f64, high: f64| json!({"low": low, "value": value, "high": high, "unit": "%"});
    all.push(json!({
        "units": "us",
        "containers": [{"name": "bucket", "capacity": "12 L"}, {"name": "sack", "capacity": "40 lb"}],
        "ground": {"kind": "circle", "diameter": "6 ft"},
        "materials": [
            {"amount": "200 L", "moisture": range(30.0, 40.0, 50.0), "nitrogen": "0.9 %", "ash": range(5.0, 8.0, 12.0), "soak": true},
            {"amount": "3 buckets", "moisture": "20 %", "nitrogen": range(3.0, 4.0, 5.0), "carbon_to_nitrogen": 9, "rehydrate": {}},
            {"material": "straw", "amount": "5 kg", "moisture": "15 %", "nitrogen": "0.6 %"},
            {"material": "straw", "at_most": "5 kg", "carbon_to_nitrogen": 60},
            {"material": "grass_clippings", "at_least": "10 L", "at_most": "30 L", "rehydrate": {"water_per_kilogram": "0.5 US gal"}},
        ],
    }));
    all
}

#[test]
fn every_figure_of_feeds_is_explained() {
    for body in feeds() {
        let mut asked = body.clone();
        asked["explain"] = json!(true);
        let answer = ok("feeds", &asked);
        // Bounds of a mix are those of the best corner of all materials: see tests/garden/feeds_mix.rs.
        let mut left = check("feeds", &body, false);
        // Amounts are given or chosen, moistures given or assumed; of nothing there is nothing to tell.
        let value = |of: &str| answer.pointer(of).map_or(0.0, |there| figure(there, "value"));
        let moved = |of: &String| {
            value(of) != 0.0
                && of.strip_suffix("/moisture_mixed").is_none_or(|item| value(&format!("{item}/mass")) != 0.0)
        };
        let told_elsewhere = |of: &String| {
            let material =
                of.starts_with("/materials/") && ["/mass", "/volume", "/moisture"].iter().any(|end| of.ends_with(end));
            let goals = of.starts_with("/out_of_reach/") || of.starts_with("/instead/");
            // What is neither shredded nor put into water keeps the volume that was given.
            let kept = of.strip_suffix("_mixed").is_some_and(|it| it.ends_with("/volume") && value(it) == value(of));
            let assumed = ["/castings/bed_moisture", "/hot_composting/cooling_time"].contains(&of.as_str());
            // How much is laid when comes of a forecast day by day.
            let dated = of.starts_with("/layers/dated/") && (of.ends_with("/volume") || of.ends_with("/bed_depth"));
            material || goals || kept || assumed || dated
        };
        // A ratio that was given is explained by nothing.
        let given = |of: &String| {
            let item = of.strip_suffix("/carbon_to_nitrogen").and_then(|item| body.pointer(item));
            item.is_some_and(|item| item.get("carbon_to_nitrogen").is_some())
        };
        left.retain(|of| moved(of) && !told_elsewhere(of) && !given(of));
        assert!(left.is_empty(), "{body}: {left:#?}");
        // How many layers there are after the first is explained too.
        let all = answer["explanations"].as_array().unwrap();
        let later = all.iter().find(|one| one["figure"] == "/layers/later");
        assert_eq!(later.is_some(), answer.get("layers").is_some(), "{body}");
    }
}

#[test]
fn what_is_given_short_and_left_in_a_balance_is_explained() {
    for path in demo_files("balances") {
        let body: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        let mut left = check("balances", &body, false);
        let reckoned = |of: &str| {
            // What is asked as an amount is taken as it is; a place, a tea or a heap is reckoned.
            let item = of.strip_suffix("/needed").or_else(|| of.strip_suffix("/amount"));
            item.and_then(|item| body.pointer(item)).is_some_and(|item| item.get("amount").is_none())
        };
        left.retain(|of| {
            let ends = ["/shortfall", "/share_allocated", "/remaining"].iter().any(|end| of.ends_with(end));
            of.starts_with("/total/") || (ends && !of.starts_with("/shortfall_options/")) || reckoned(of)
        });
        assert!(left.is_empty(), "{}: {left:#?}", path.display());
    }
}

/// What each allocation brings by its lot, all of them together, and the rate that makes: for every kind of rate that counts what castings hold.
#[test]
fn what_lots_bring_and_the_rate_that_makes_are_explained() {
    let ground = json!({"kind": "rows", "count": 3, "length": "5 m", "band_width": "30 cm"});
    let of =
        |rate: Value, surface: &Value| json!({"application": {"surface": surface, "rate": rate}, "on": "2027-05-01"});
    let pots = json!({"kind": "pots", "count": 12, "volume": "3 L"});
    let mut demands: Vec<Value> = [
        ("mass_per_area", "2 kg/m2"),
        ("dry_mass_per_area", "1 kg/m2"),
        ("available_nitrogen", "2 g/m2"),
        ("phosphorus", "3 g/m2"),
        ("phosphate", "5 g/m2"),
        ("potassium", "4 g/m2"),
        ("potash", "5 g/m2"),
    ]
    .map(|(kind, amount)| of(json!({"kind": kind, "amount": amount}), &ground))
    .to_vec();
    demands.push(of(json!({"kind": "per_plant", "amount": "200 g"}), &pots));
    demands.push(json!({"amount": "9 kg"}));
    demands.push(json!({"dry_mass": "4 kg"}));
    demands[2]["repeat"] = json!({"every": "1 week", "times": 3});
    let own = json!({
        "castings.bulk_density": {"value": 700, "low": 650, "high": 720, "unit": "kg/m3"},
        "castings.dry_bulk_density": {"value": 320, "low": 300, "high": 350, "unit": "kg/m3"},
        "castings.nitrogen": "2 %", "castings.phosphorus": "0.8 %", "castings.potassium": "1.1 %",
    });
    let stock = json!([{"amount": "5 L"}, {"amount": "200 L", "assumptions": own}, {"heap": {"kind": "counted", "count": 20, "capacity": "20 L", "assumptions": own}}]);
    let body = json!({"stock": stock, "demands": demands});
    let left = check("balances", &body, true);
    let answer = ok("balances", &with(&body, "/explain", json!(true)));
    let explained: Vec<&str> =
        answer["explanations"].as_array().unwrap().iter().map(|one| one["figure"].as_str().unwrap()).collect();
    for demand in 0..demands.len() {
        let has = |figure: &str| explained.contains(&format!("/demands/{demand}/{figure}").as_str());
        assert!(
            has("content/supplied") && has("content/share_supplied") && has("allocations/0/supplied"),
            "{demand}: {left:#?}"
        );
        let rate = if demand == 2 { "occasions/0/rate_allocated/amount" } else { "rate_allocated/amount" };
        // What is given as an amount is taken as it is, and has no rate.
        assert_eq!((has("content/needed"), has(rate)), (demand < 8, demand < 8), "{demand}: {left:#?}");
    }
    // In a season each harvest brings what follows from its feed.
    let mut season = demo("seasons/kitchen-garden.json");
    season["simulation_runs"] = json!(0);
    season["demands"] = json!([of(json!({"kind": "available_nitrogen", "amount": "2 g/m2"}), &ground)]);
    season["demands"][0]["on"] = json!("2027-07-31");
    season["stock"] = json!([]);
    check("seasons", &season, true);
    let answer = ok("seasons", &with(&season, "/explain", json!(true)));
    let all = answer["explanations"].as_array().unwrap();
    let of_harvest = all.iter().find(|one| one["figure"] == "/demands/0/allocations/0/supplied").unwrap();
    let nitrogen = of_harvest["inputs"].as_array().unwrap().iter().find(|one| one["symbol"] == "n").unwrap();
    let from = nitrogen["taken_from"].as_str().unwrap();
    assert!(from.starts_with("answer:/worm_beds/") && from.ends_with("/nitrogen"), "{from}");
}

#[test]
fn explanations_are_for_few_items() {
    let area = json!({"surface": {"kind": "area", "area": "1 m2"}, "rate": {"kind": "depth", "amount": "1 cm"}});
    let body = |count: usize| json!({"explain": true, "areas": vec![area.clone(); count]});
    assert_eq!(reported("applications", &body(201)), ["/explain too_large"]);
    ok("applications", &body(200));
    assert!(ok("applications", &json!({"explain": false, "areas": [area]})).get("explanations").is_none());
}

/// A density of one place with a moisture of all: the dry density that comes of them is of that place.
#[test]
fn a_density_reckoned_for_one_place_is_told_for_it() {
    let mut body = json!({"assumptions": {"castings.moisture": "45 %"}, "areas": []});
    let bed = json!({"surface": {"kind": "area", "area": "1 m2"}, "rate": {"kind": "depth", "amount": "1 cm"}});
    let own = json!({"surface": {"kind": "area", "area": "1 m2"}, "rate": {"kind": "depth", "amount": "1 cm"},
        "assumptions": {"castings.bulk_density": "800 kg/m3"}});
    body["areas"] = json!([bed, own]);
    let answer = ok("applications", &body);
    let list = answer["assumptions"].as_array().unwrap();
    let dry: Vec<_> = list.iter().filter(|one| one["id"] == "castings.dry_bulk_density").collect();
    assert_eq!(dry.len(), 2);
    // Identity: dry = moist x (1 - moisture).
    assert_eq!((&dry[0]["value"]["value"], dry[0].get("pointer")), (&json!(330), None));
    assert_eq!((&dry[1]["value"]["value"], &dry[1]["pointer"]), (&json!(440), &json!("/areas/1")));
    assert!(check("applications", &body, true).is_empty());
}

/// One figure has one formula: in JSON, on the page, in the list of formulas and in docs/formulas.md.
#[test]
fn the_same_formula_is_told_everywhere() {
    let mut body = demo("feeds/autumn-heap.json");
    body["explain"] = json!(true);
    let answer = ok("feeds", &body);
    let listed = get("/v1/formulas").json();
    let listed = listed["formulas"].as_array().unwrap();
    let docs = std::fs::read_to_string(in_repository("docs/formulas.md")).unwrap();
    let accept = [("content-type", "application/json"), ("accept", "text/html")];
    let bytes = serde_json::to_vec(&body).unwrap();
    let page = crate::support::send(&service(), (reqwest::Method::POST, "/v1/feeds"), &accept, bytes);
    let page = page.text();
    assert!(page.contains("How it is computed"));
    let explanations = answer["explanations"].as_array().unwrap();
    assert!(explanations.len() > 50, "{}", explanations.len());
    for one in explanations {
        let (name, formula) = (one["name"].as_str().unwrap(), one["formula"].as_str().unwrap());
        let row = listed.iter().find(|row| row["name"] == name).unwrap();
        assert_eq!((&row["formula"], &row["sources"]), (&one["formula"], &one["sources"]));
        let symbols: BTreeSet<&str> =
            row["symbols"].as_array().unwrap().iter().map(|s| s["symbol"].as_str().unwrap()).collect();
        let put_in: BTreeSet<&str> =
            one["inputs"].as_array().unwrap().iter().map(|s| s["symbol"].as_str().unwrap()).collect();
        assert_eq!(symbols, put_in, "{name}");
        assert!(page.contains(&format!(">{formula}</td>")), "{formula} is not on the page");
        let line = docs.lines().find(|line| line.starts_with(&format!("| `{name}` |"))).unwrap();
        assert!(line.contains(&format!("`{formula}`")), "{line}");
    }
    body["explain"] = json!(false);
    let bytes = serde_json::to_vec(&body).unwrap();
    let plain = crate::support::send(&service(), (reqwest::Method::POST, "/v1/feeds"), &accept, bytes);
    assert!(!plain.text().contains("How it is computed"));
}

fn surface() -> impl Strategy<Value = (Value, Vec<&'static str>)> {
    let of = |kind: &str, fields: Value| {
        let mut surface = fields;
        surface["kind"] = json!(kind);
        surface
    };
    (0_usize..11, 1_u32..9, 1_u32..60, 1_u32..60).prop_map(move |(kind, count, a, b)| {
        let (a, b) = (f64::from(a) / 7.0, f64::from(b) / 9.0);
        let m = |x: f64| json!(format!("{x} m"));
        let ground = vec!["depth", "mass_per_area", "volume_per_area", "available_nitrogen"];
        let rows = vec!["depth", "mass_per_area", "volume_per_area", "available_nitrogen", "volume_per_length"];
        let plants = vec!["per_plant"];
        match kind {
            0 => (of("rectangle", json!({"count": count, "length": m(a), "width": m(b)})), ground),
            1 => (of("circle", json!({"count": count, "diameter": m(a)})), ground),
            2 => (of("ring", json!({"diameter": m(a + b), "inner_diameter": m(a)})), ground),
            3 => (of("rows", json!({"count": count, "length": m(a), "band_width": m(b)})), rows),
            4 => {
                let corners =
                    json!([{"x": 0, "y": 0}, {"x": a, "y": 0}, {"x": a + 1.0, "y": b}, {"x": 0.5, "y": b + 2.0}]);
                (of("polygon", json!({"count": count, "unit": "ft", "corners": corners})), ground)
            }
            5 => (of("area", json!({"count": count, "area": format!("{a} m2")})), ground),
            6 => (of("plants", json!({"count": count})), plants),
            7 => {
                let fields = json!({"count": count, "length": m(a + 1.0), "spacing": m(b / 10.0)});
                (of("planted_rows", fields), vec!["per_plant", "volume_per_length"])
            }
            // They hold the most that a plant gets below.
            8 => {
                let fields = json!({"count": count, "volume": format!("{} L", a + 31.0)});
                (of("pots", fields), vec!["per_plant", "share_of_mix"])
            }
            9 => {
                let fields = json!({"count": count, "top_diameter": m(a), "bottom_diameter": m(b), "height": m(0.3)});
                (of("tapered_pots", fields), vec!["share_of_mix"])
            }
            _ => {
                let ground = json!({"kind": "rectangle", "count": count, "length": m(a), "width": m(b)});
                (of("bed_fill", json!({"ground": ground, "depth": "25 cm"})), vec!["share_of_mix"])
            }
        }
    })
}

fn request() -> impl Strategy<Value = Value> {
    let area = (surface(), any::<prop::sample::Index>(), 1_u32..400, 0_u32..50, 0_u32..4);
    (prop::collection::vec(area, 1..4), any::<bool>(), any::<bool>()).prop_map(|(areas, us, known)| {
        let areas: Vec<Value> = areas
            .into_iter()
            .map(|((surface, kinds), kind, amount, settling, density)| {
                let kind = kinds[kind.index(kinds.len())];
                let x = f64::from(amount) / 13.0;
                let amount = match kind {
                    "depth" => format!("{x} mm"),
                    "mass_per_area" => format!("{x} lb/ft2"),
                    "volume_per_area" => format!("{x} buckets/m2"),
                    "available_nitrogen" => format!("{x} g/m2"),
                    "volume_per_length" => format!("{x} L/m"),
                    "per_plant" if settling % 2 == 0 => format!("{x} oz/plant"),
                    "per_plant" => format!("{x} L/plant"),
                    _ => format!("{} %", 1 + amount / 5),
                };
                let mut area = json!({"surface": surface, "rate": {"kind": kind, "amount": amount}});
                if kind == "depth" {
                    area["settling"] = json!(format!("{settling} %"));
                }
                if density > 0 {
                    area["assumptions"] = json!({"castings.bulk_density": format!("{} kg/m3", 450 + 100 * density)});
                }
                area
            })
            .collect();
        let mut request = json!({"units": if us { "us" } else { "metric" }, "areas": areas});
        request["containers"] = json!([{"name": "bucket", "capacity": "12 L"}, {"name": "sack", "capacity": "40 lb"}]);
        if known {
            request["assumptions"] = json!({"castings.nitrogen": "1.7 %", "castings.moisture": "45 %"});
        }
        request
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_explanation_gives_its_figure(request in request()) {
        let mut left = check("applications", &request, false);
        left.retain(|of| !of.ends_with("/salt/limit"));
        prop_assert!(left.is_empty(), "{:?}", names(&left));
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

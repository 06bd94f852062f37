//! Every caution with a request that gives reason for it, and one that just does not. What "just" is, is reported by `raised_when`.

use crate::demo_data::QUESTIONS;
use crate::support::{demo, get, ok, quick_demo_files, with};
use barrowful::garden::cautions::Rule;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// A request that is answered.
enum Ask {
    /// A question.
    Of(&'static str, Value),
    /// There is none: the rule is reported with every answer.
    Never,
}

use Ask::{Never, Of};

/// Rule, a request that raises it, a near miss that does not.
type Pair = (&'static str, Ask, Ask);

/// The rules that the answer to a question tells.
fn reported(resource: &str, body: &Value) -> Vec<String> {
    let answer = ok(resource, body);
    let rules = answer["cautions"].as_array().unwrap().iter();
    rules.map(|caution| caution["rule"].as_str().unwrap().to_owned()).collect()
}

/// A square metre of ground with a depth of castings.
fn layer(depth: &str) -> Value {
    json!({"areas": [{
        "surface": {"kind": "rectangle", "length": "1 m", "width": "1 m"},
        "rate": {"kind": "depth", "amount": depth},
    }]})
}

/// Two beds; the kind of rate of the second.
fn skipping(kind: &str) -> Ask {
    let mut body = layer("1 cm");
    let second = with(&body["areas"][0], "/rate/kind", json!(kind));
    body["areas"].as_array_mut().unwrap().push(second);
    Of("applications", with(&body, "/on_error", json!("skip")))
}

fn known(body: &Value, id: &str, value: &str) -> Value {
    with(body, "/assumptions", json!({id: value}))
}

fn pots(share: &str) -> Value {
    json!({"areas": [{"surface": {"kind": "pots", "volume": "3 L"}, "rate": {"kind": "share_of_mix", "amount": share}}]})
}

/// Castings of which every value for nitrogen is known: 300 kg/m3 x 1.5 % = 4.5 g/L, so 17 g/m2 lie in 3.78 mm.
fn in_zone(depth: &str) -> Value {
    let body = with(&layer(depth), "/areas/0/nitrate_vulnerable_zone", json!(true));
    with(&body, "/assumptions", json!({"castings.dry_bulk_density": "300 kg/m3", "castings.nitrogen": "1.5 %"}))
}

fn brew(extra: &[(&str, Value)]) -> Value {
    let body = json!({"brews": [{"water": "50 L", "castings_to_water": "1:10"}]});
    extra.iter().fold(body, |body, (field, value)| with(&body, &format!("/brews/0/{field}"), value.clone()))
}

/// A feed of one material of the table, mixed as it is.
fn feed(material: &str) -> Value {
    json!({"materials": [{"material": material, "amount": "10 kg"}]})
}

/// A feed of one material by what it is made of: 10 kg with 45 % carbon in the dry matter.
fn made_of(moisture: &str, nitrogen: &str, density: &str) -> Value {
    json!({"materials": [{
        "amount": "10 kg", "moisture": moisture, "nitrogen": nitrogen, "carbon": "45 %", "bulk_density": density,
    }]})
}

/// A forecast of a square metre for a year, as much feed as its layers take.
fn forecast(changes: &[(&str, Value)]) -> Value {
    let body = json!({"worm_beds": [{
        "ground": {"kind": "rectangle", "length": "1 m", "width": "1 m"},
        "forecast": {
            "start_on": "2027-04-01", "until": "2028-03-31", "worms": "2 kg", "layers_per_cycle": 3,
            "feed": {"moisture": "75 %", "ash": "15 %", "supply": {"kind": "as_needed"}},
            "climate": {"unit": "C", "fixed": 20},
        },
    }]});
    changes
        .iter()
        .fold(body, |body, (field, value)| with(&body, &format!("/worm_beds/0/forecast/{field}"), value.clone()))
}

fn fixed(celsius: f64) -> Value {
    forecast(&[("climate/fixed", json!(celsius))])
}

/// Every month at this mean: each day then has it, too.
fn monthly(celsius: f64) -> Value {
    forecast(&[("climate", json!({"unit": "C", "monthly_means": vec![celsius; 12]}))])
}

/// Two deliveries of 70 kg, each enough for a layer, the second on this day.
fn second_on(day: &str) -> Value {
    let deliveries = json!([{"on": "2027-04-01", "amount": "70 kg"}, {"on": day, "amount": "70 kg"}]);
    forecast(&[("feed/supply", json!({"kind": "deliveries", "deliveries": deliveries}))])
}

/// A bed that is fed once, on warm days alone, until so many days after it has eaten all.
fn without_feed(days: u64) -> Ask {
    let once = json!({"kind": "deliveries", "deliveries": [{"on": "2027-04-01", "amount": "70 kg"}]});
    let body = forecast(&[("feed/supply", once)]);
    let lots = ok("harvests", &body)["worm_beds"][0]["forecast"]["lots"].clone();
    let finished =
        lots.as_array().unwrap().iter().filter_map(|lot| lot["finished_on"].as_str()).max().unwrap().to_owned();
    // The forecast ends with its last day, on the morning after it.
    let last = finished.parse::<chrono::NaiveDate>().unwrap() + chrono::Days::new(days - 1);
    Of("harvests", with(&body, "/worm_beds/0/forecast/until", json!(last)))
}

fn of_castings() -> Vec<Pair> {
    let tied = |ratio: Value| with(&layer("1 cm"), "/assumptions", json!({"castings.carbon_to_nitrogen": ratio}));
    vec![
        // Records are of castings that were handled before.
        ("handling", Of("applications", layer("1 cm")), Of("calibrations", demo("calibrations/first-harvest.json"))),
        ("estimates", Of("applications", layer("1 cm")), Never),
        ("thick_layer", Of("applications", layer("1.01 in")), Of("applications", layer("1 in"))),
        ("strong_mix", Of("applications", pots("20.1 %")), Of("applications", pots("20 %"))),
        ("nitrate_limit", Of("applications", in_zone("3.8 mm")), Of("applications", in_zone("3.75 mm"))),
        ("nitrogen_tie_up", Of("applications", tied(json!(25.1))), Of("applications", tied(json!(25)))),
        (
            "too_wet",
            Of("applications", known(&layer("1 cm"), "castings.bulk_density", "905 kg/m3")),
            Of("applications", known(&layer("1 cm"), "castings.bulk_density", "895 kg/m3")),
        ),
    ]
}

fn of_tea() -> Vec<Pair> {
    let aerated = |hours: &str| brew(&[("aerated", json!(true)), ("brewing_time", json!(hours))]);
    let holds = |size: &str| brew(&[("brewer", json!({"capacity": size}))]);
    vec![
        (
            "tea_additives",
            Of("brews", demo("brews/drench-for-the-rows.json")),
            Of("brews", brew(&[("additives", json!([]))])),
        ),
        (
            "tea_water",
            Of("brews", brew(&[("water_source", json!("rain"))])),
            Of("brews", brew(&[("water_source", json!("mains"))])),
        ),
        ("tea_safety", Of("brews", demo("brews/one-brew.json")), Of("applications", layer("1 cm"))),
        ("tea_short_brew", Of("brews", aerated("35.9 h")), Of("brews", aerated("36 h"))),
        (
            "tea_kept",
            Of("brews", brew(&[("use_within", json!("6.1 h"))])),
            Of("brews", brew(&[("use_within", json!("6 h"))])),
        ),
        ("tea_rounds", Of("brews", holds("49 L")), Of("brews", holds("50 L"))),
    ]
}

fn of_feeds() -> Vec<Pair> {
    let soaked = |soak: bool| with(&feed("leaves_loose"), "/materials/0/soak", json!(soak));
    let shredded = |shred: bool| with(&feed("cardboard"), "/materials/0/shred", json!(shred));
    let of = |material: &str| Of("feeds", feed(material));
    vec![
        ("shredding", Of("feeds", shredded(true)), Of("feeds", shredded(false))),
        ("ammonia", of("broiler_litter_dry"), of("horse_manure_dry")),
        ("feed_heat", of("grass_clippings"), of("hay")),
        ("leave_out", of("sawdust"), of("cardboard")),
        ("kitchen_scraps", of("kitchen_scraps"), of("comfrey")),
        ("persistent_herbicides", of("horse_manure_fresh"), of("layer_manure_fresh")),
        // 880 kg/m3, a quarter dry: 1 - 220/1500 - 660/1000 = 19.3 %; 870 leave 20.3 %.
        (
            "feed_too_wet",
            Of("feeds", made_of("75 %", "2 %", "880 kg/m3")),
            Of("feeds", made_of("75 %", "2 %", "870 kg/m3")),
        ),
        // 45 over 1.1 is 40.9, 45 over 1.125 is 40.
        (
            "mix_ratio",
            Of("feeds", made_of("75 %", "1.1 %", "400 kg/m3")),
            Of("feeds", made_of("75 %", "1.125 %", "400 kg/m3")),
        ),
        (
            "mix_moisture",
            Of("feeds", made_of("82.1 %", "2 %", "400 kg/m3")),
            Of("feeds", made_of("82 %", "2 %", "400 kg/m3")),
        ),
        ("soak_water", Of("feeds", soaked(true)), Of("feeds", soaked(false))),
    ]
}

fn of_beds() -> Vec<Pair> {
    let worms = |mass: &str| Of("harvests", forecast(&[("worms", json!(mass))]));
    let layers = |count: u32| Of("harvests", forecast(&[("layers_per_cycle", json!(count))]));
    let sized = |worms: &str| {
        let feed = json!({"moisture": "80 %", "ash": "15 %", "each_week": "7 kg"});
        let body = json!({"start_on": "2027-04-01", "climate": "20 C", "feed_supply": feed, "worms_to_buy": worms});
        Of("worm-beds", body)
    };
    vec![
        ("feed_not_eaten", sized("0.51 kg"), sized("0.52 kg")),
        ("worms_above_carrying", worms("6.1 kg"), worms("6 kg")),
        ("bed_frost", Of("harvests", fixed(0.0)), Of("harvests", fixed(0.1))),
        ("bed_heat", Of("harvests", fixed(35.0)), Of("harvests", fixed(34.9))),
        ("hidden_heat", Of("harvests", monthly(28.1)), Of("harvests", monthly(28.0))),
        // What is measured hides nothing.
        ("hidden_heat", Of("harvests", monthly(28.1)), Of("harvests", fixed(28.1))),
        ("depth_reached", layers(20), layers(3)),
        ("worms_unfed", without_feed(57), without_feed(56)),
        ("bed_empty", Of("harvests", second_on("2028-01-01")), Of("harvests", second_on("2027-04-05"))),
    ]
}

/// 40 L dug in on 1 March 2027, picked on this day.
fn picked_on(day: &str, incorporated: bool) -> Ask {
    let crop = json!({"first_crop_harvest": day, "incorporated": incorporated});
    let demand = json!({"amount": "40 L", "on": "2027-03-01", "crop": crop});
    Of("balances", json!({"stock": [{"amount": "90 L"}], "demands": [demand]}))
}

/// 40 L, ready on 1 March 2027, used on this day.
fn stored_until(day: &str) -> Ask {
    let stock = json!([{"amount": "90 L", "ready_on": "2027-03-01"}]);
    Of("balances", json!({"stock": stock, "demands": [{"amount": "40 L", "on": day}]}))
}

/// Castings for 4.5 g/m2 of nitrogen that is available, by the default of 1.5 %, from a lot of this nitrogen.
fn lot_of(nitrogen: &str) -> Ask {
    let mut application = layer("1 cm")["areas"][0].clone();
    application["rate"] = json!({"kind": "available_nitrogen", "amount": "4.5 g/m2"});
    let stock = json!([{"amount": "90 L", "assumptions": {"castings.nitrogen": nitrogen}}]);
    Of("balances", json!({"stock": stock, "demands": [{"application": application}]}))
}

fn of_waits() -> Vec<Pair> {
    let stock = |manure: &str| {
        Of(
            "balances",
            json!({"stock": [{"amount": "9 L", "manure": {"kind": manure}}], "demands": [{"amount": "1 L"}]}),
        )
    };
    vec![
        ("raw_manure", stock("untreated"), stock("none")),
        // 1 March 2027 and 365 days are 29 February 2028.
        ("long_stored", stored_until("2028-03-01"), stored_until("2028-02-29")),
        ("lot_analysis", lot_of("1.6 %"), lot_of("1.5 %")),
        // 120 days after 1 March it is 29 June.
        ("interval_too_short", picked_on("2027-06-28", true), picked_on("2027-06-29", true)),
        ("not_incorporated", picked_on("2027-06-29", false), picked_on("2027-06-29", true)),
    ]
}

fn of_requests() -> Vec<Pair> {
    let length = |low: f64| {
        let range = json!({"value": 1, "low": low, "high": 1, "unit": "m"});
        Of("applications", with(&layer("1 cm"), "/areas/0/surface/length", range))
    };
    let knowing = |id: &str, value: &str| Of("applications", known(&layer("1 cm"), id, value));
    let us =
        |water: &str| Of("brews", json!({"units": "us", "brews": [{"water": water, "castings_to_water": "1:10"}]}));
    let draws = |draws: u32| {
        Of("seasons", json!({"demands": [{"amount": "9 L", "on": "2027-04-01"}], "simulation_runs": draws, "seed": 7}))
    };
    let due = |day: &str| {
        let demands = json!([{"amount": "9 L", "on": day}, {"amount": "1 L"}]);
        Of("balances", json!({"as_of": "2027-04-02", "stock": [{"amount": "20 L"}], "demands": demands}))
    };
    vec![
        ("past_demand", due("2027-04-01"), due("2027-04-02")),
        ("range_not_used", length(0.99), length(1.0)),
        ("assumption_not_used", knowing("tea.brewing_time", "24 h"), knowing("castings.bulk_density", "600 kg/m3")),
        ("field_not_used", draws(0), draws(1)),
        ("items_skipped", skipping("dept"), skipping("depth")),
        ("us_customary_units", us("2 gal"), us("2 US gal")),
    ]
}

fn of_records() -> Vec<Pair> {
    let one = demo("calibrations/first-harvest.json");
    let harvested = |litres: &str| Of("calibrations", with(&one, "/records/0/harvested/0/amount", json!(litres)));
    let sure = |share: &str| {
        let errors =
            json!({"records.amount_error": share, "records.cycle_to_cycle": share, "records.day_error": "0.1 d"});
        let body = with(&one, "/records/0/harvested/0/ready_on", json!("2026-09-20"));
        Of("calibrations", with(&body, "/assumptions", errors))
    };
    vec![
        ("records_do_not_fit", harvested("10 L"), harvested("90 L")),
        ("few_effective_draws", sure("0.1 %"), sure("5 %")),
    ]
}

fn pairs() -> Vec<Pair> {
    [of_castings(), of_tea(), of_feeds(), of_beds(), of_waits(), of_requests(), of_records()]
        .into_iter()
        .flatten()
        .collect()
}

#[test]
fn every_rule_is_listed_with_when_it_is_reported() {
    let answer = get("/v1/cautions").json();
    let listed = answer["cautions"].as_array().unwrap();
    assert_eq!(listed.len(), Rule::ALL.len());
    for (row, rule) in listed.iter().zip(Rule::ALL) {
        let text = rule.text();
        assert_eq!(row["rule"], text.rule);
        assert_eq!(row["severity"], text.severity.as_str(), "{}", text.rule);
        assert_eq!(row["heading"], text.heading, "{}", text.rule);
        assert_eq!((&row["text"], &row["source"]), (&json!(text.text), &json!(text.source)));
        let when = row["raised_when"].as_str().unwrap();
        assert!(when.starts_with("when ") || when.starts_with("with every "), "{}: {when}", text.rule);
        assert!(!when.contains("  ") && !when.ends_with('.'), "{}: {when}", text.rule);
    }
}

#[test]
fn every_rule_has_a_short_heading_of_its_own_and_a_text_in_whole_sentences() {
    let mut headings = BTreeSet::new();
    for text in Rule::ALL.iter().map(|rule| rule.text()) {
        let words = text.heading.split_whitespace().count();
        assert!((1..=10).contains(&words), "{}: {words} words: {}", text.rule, text.heading);
        assert!(text.heading.ends_with(char::is_alphanumeric), "{}", text.heading);
        assert!(headings.insert(text.heading), "two rules have the heading {}", text.heading);
        assert!(text.text.ends_with('.') && !text.text.contains("  "), "{}: {}", text.rule, text.text);
    }
}

#[test]
fn every_rule_has_a_request_that_raises_it_and_a_near_miss() {
    let answer = get("/v1/cautions").json();
    let mut listed: Vec<&str> =
        answer["cautions"].as_array().unwrap().iter().map(|row| row["rule"].as_str().unwrap()).collect();
    let pairs = pairs();
    let mut tried: Vec<&str> = pairs.iter().map(|(rule, ..)| *rule).collect();
    listed.sort_unstable();
    tried.sort_unstable();
    tried.dedup();
    assert_eq!(tried, listed, "a new rule needs its two requests here");
}

#[test]
fn a_rule_is_reported_by_the_request_that_raises_it_and_not_by_the_near_miss() {
    for (rule, raises, near) in pairs() {
        let is_reported = |resource: &str, body: &Value| reported(resource, body).iter().any(|one| one == rule);
        let Of(resource, body) = raises else { panic!("{rule} is raised by none") };
        assert!(is_reported(resource, &body), "{rule} is not reported: {:?}", reported(resource, &body));
        match near {
            Of(resource, body) => assert!(!is_reported(resource, &body), "{rule} is reported by its near miss"),
            Never => assert_with_every_answer(rule),
        }
    }
}

/// The list says so, and every demo answer has it.
fn assert_with_every_answer(rule: &str) {
    let listed = get("/v1/cautions").json();
    let row = listed["cautions"].as_array().unwrap().iter().find(|row| row["rule"] == rule).unwrap().clone();
    assert!(row["raised_when"].as_str().unwrap().starts_with("with every answer"), "{row}");
    for question in QUESTIONS {
        for file in quick_demo_files(question) {
            let body = serde_json::from_slice(&std::fs::read(&file).unwrap()).unwrap();
            assert!(reported(question, &body).iter().any(|one| one == rule), "{rule}: {}", file.display());
        }
    }
}

#[test]
fn what_a_caution_says_in_an_answer_is_what_the_list_says() {
    let listed = get("/v1/cautions").json();
    let listed = listed["cautions"].as_array().unwrap();
    let answer = ok("feeds", &demo("feeds/autumn-heap.json"));
    for caution in answer["cautions"].as_array().unwrap() {
        let row = listed.iter().find(|row| row["rule"] == caution["rule"]).unwrap();
        for field in ["severity", "heading", "text", "source"] {
            assert_eq!(row[field], caution[field], "{field} of {}", caution["rule"]);
        }
    }
}

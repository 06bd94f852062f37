//! An answer lists an assumption if and only if something else in it depends on it: what is listed is moved to the ends of its range, and so
//! is all that is not listed.

use crate::support::{demo_files, get, in_repository, post, with};
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// An assumption that may be listed though no value within its range changes this answer: a value that does, and why.
struct Exception {
    id: &'static str,
    far: fn() -> Value,
    because: &'static str,
}

const EXCEPTIONS: &[Exception] = &[
    Exception {
        id: "bed.max_depth",
        far: || json!("10 cm"),
        because: "a limit: these beds stay below it, and a first layer must fit",
    },
    Exception {
        id: "worms.comfort_high",
        far: || json!("10 C"),
        because: "a limit: this climate is not so warm, and it lies above worms.comfort_low",
    },
    Exception {
        id: "worms.stopped_above",
        far: || json!("25 C"),
        because: "a limit: this climate is not so hot, and it lies above worms.comfort_high",
    },
    Exception { id: "bed.first_layer", far: || json!("1 cm"), because: "a limit: all of this feed lies thinner" },
    Exception {
        id: "mix.carbon_to_nitrogen",
        far: || json!({"low": 1, "value": 30, "high": 1000}),
        because: "decides a caution: this mix lies outside its whole range",
    },
    Exception {
        id: "castings.carbon_to_nitrogen",
        far: || json!(30),
        because: "a limit: only above 25 castings tie nitrogen up",
    },
    Exception {
        id: "tea.brewing_time",
        far: || json!("216 h"),
        because: "decides a caution, which is there for all times of its range",
    },
    Exception {
        id: "tea.use_within",
        far: || json!("30 h"),
        because: "decides a caution, and days on which a tea is used up",
    },
];

/// Requests beside the demo files: what these do not ask.
fn more() -> Vec<(&'static str, Value)> {
    let heap = json!({"kind": "cone", "diameter": "1.4 m", "height": "50 cm"});
    let balance = |stock: Value, demand: Value| ("balances", json!({"stock": [stock], "demands": [demand]}));
    let lot = || json!({"amount": "300 L"});
    let bed = json!({"kind": "rectangle", "length": "4 m", "width": "1.2 m"});
    let asks = |rate: Value| json!({"application": {"surface": bed, "rate": rate}});
    let kilograms = |kind: &str, amount: &str| asks(json!({"kind": kind, "amount": amount}));
    let knowing =
        |known: Value, (question, body): (&'static str, Value)| (question, with(&body, "/assumptions", known));
    let tea = json!({"water": "60 L", "castings_to_water": "1:10", "water_source": "mains"});
    let left_to_finish = json!({"start_on": "2027-03-01", "until": "2027-09-01", "worms": "13 kg", "cycles": 1, "climate": "15 C",
                                "running": {"castings": "300 L", "eaten_on": "2027-02-15"}, "feed": {"material": "leaves_shredded"}});
    vec![
        ("harvests", json!({"heaps": [heap]})),
        ("harvests", json!({"worm_beds": [{"ground": {"kind": "area", "area": "3 m2"}, "forecast": left_to_finish}]})),
        balance(json!({"heap": heap}), json!({"amount": "20 L"})),
        balance(json!({"amount": "90 kg"}), json!({"amount": "20 L"})),
        balance(lot(), json!({"amount": "20 kg"})),
        balance(lot(), json!({"dry_mass": "20 kg"})),
        balance(lot(), kilograms("mass_per_area", "2 kg/m2")),
        balance(lot(), kilograms("available_nitrogen", "2 g/m2")),
        balance(lot(), kilograms("phosphorus", "2 g/m2")),
        balance(lot(), kilograms("potassium", "2 g/m2")),
        balance(json!({"amount": "20 L"}), with(&kilograms("depth", "1 cm"), "/minimum", json!("10 kg"))),
        balance(lot(), json!({"brew": tea})),
        balance(json!({"amount": "2 L"}), json!({"brew": tea, "minimum": "1 kg"})),
        knowing(
            json!({"castings.moisture": {"value": 60, "low": 55, "high": 65, "unit": "%"}}),
            balance(lot(), kilograms("dry_mass_per_area", "1 kg/m2")),
        ),
        balance(
            json!({"amount": "300 L", "assumptions": {"castings.nitrogen": "2 %"}}),
            kilograms("available_nitrogen", "2 g/m2"),
        ),
        ("feeds", json!({"materials": [{"material": "horse_manure_fresh", "amount": "200 kg"}], "ground": bed})),
        ("feeds", json!({"materials": [{"material": "leaves_loose", "amount": "30 kg"}], "ground": bed})),
    ]
}

/// The demo files and more, without variants and with few simulated runs.
fn requests() -> Vec<(String, &'static str, Value)> {
    let mut found: Vec<(String, &'static str, Value)> =
        more().into_iter().map(|(question, body)| (body.to_string(), question, body)).collect();
    for question in ["applications", "harvests", "brews", "balances", "feeds", "worm-beds", "seasons", "calibrations"] {
        for path in demo_files(question) {
            let name = path.strip_prefix(in_repository("demo-data")).unwrap().display().to_string();
            // A bed like that of the others, over three years.
            if name == "calibrations/mill-garden.json" {
                continue;
            }
            let mut body: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
            body.as_object_mut().unwrap().shift_remove("variants");
            if question == "seasons" && body.get("worm_beds").is_some() {
                body["simulation_runs"] = json!(20);
            }
            found.push((name, question, body));
        }
    }
    found
}

/// What an answer says besides the assumptions that it lists, and whether some had no effect; `None` of a refusal, which they have.
fn rest(question: &str, body: &Value) -> Option<Value> {
    let answer = post(question, body);
    if answer.status == 422 {
        return None;
    }
    assert_eq!(answer.status, 200, "{body}\n{}", answer.text());
    Some(besides(answer.json()))
}

fn besides(mut answer: Value) -> Value {
    answer.as_object_mut().unwrap().shift_remove("assumptions");
    let of_given = [json!("assumption_not_used"), json!("range_not_used")];
    // Of few runs chance says on which values the spread depends.
    answer.as_object_mut().unwrap().shift_remove("measure_first");
    answer["cautions"].as_array_mut().unwrap().retain(|caution| !of_given.contains(&caution["rule"]));
    answer
}

/// A value in the form in which a request gives it.
fn sent(number: &Value, unit: &Value) -> Value {
    if unit == "" { number.clone() } else { json!({"value": number, "unit": unit}) }
}

/// Both ends of an assumption; of one without a range a tenth less and more.
fn ends(value: &Value) -> [Value; 2] {
    let likely = value["value"].as_f64().unwrap();
    let or = |end: &str, by: f64| value.get(end).cloned().unwrap_or_else(|| json!(likely * by));
    [or("low", 0.9), or("high", 1.1)].map(|end| sent(&end, &value["unit"]))
}

/// The request with a value of an assumption, where the caller may give it; `None` where a field of an item gives it.
fn moved(body: &Value, assumption: &Value, to: &Value) -> Option<Value> {
    let id = assumption["id"].as_str().unwrap();
    let Some(pointer) = assumption.get("pointer") else {
        let mut known = body.get("assumptions").cloned().unwrap_or_else(|| json!({}));
        known[id] = to.clone();
        return Some(with(body, "/assumptions", known));
    };
    let pointer = pointer.as_str().unwrap();
    let places = [pointer.to_owned(), format!("{pointer}/application"), format!("{pointer}/heap")];
    let at = |place: &String| format!("{place}/assumptions/{id}");
    let place = places.iter().find(|place| body.pointer(&at(place)).is_some())?;
    Some(with(body, &at(place), to.clone()))
}

#[test]
fn what_is_listed_changes_something_else_in_the_answer() {
    let mut excused = BTreeSet::new();
    let (mut tried, mut wrong) = (0, Vec::new());
    for (name, question, body) in requests() {
        let answer = post(question, &body).json();
        let assumptions = answer["assumptions"].as_array().unwrap_or_else(|| panic!("{name}: {answer}")).clone();
        let was = Some(besides(answer));
        for assumption in assumptions {
            let id = assumption["id"].as_str().unwrap().to_owned();
            let changes = |to: &Value| moved(&body, &assumption, to).map(|body| rest(question, &body) != was);
            let [low, high] = ends(&assumption["value"]);
            let Some(at_low) = changes(&low) else { continue };
            tried += 1;
            if at_low || changes(&high) == Some(true) {
                continue;
            }
            let Some(exception) = EXCEPTIONS.iter().find(|exception| exception.id == id) else {
                wrong.push(format!("{name} lists {id}, which changes nothing in it"));
                continue;
            };
            let far = (exception.far)();
            if changes(&far) != Some(true) {
                wrong.push(format!("{name}: {id} of {far} changes nothing; {}", exception.because));
            }
            excused.insert(exception.id);
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(tried > 300, "{tried}");
    let all: BTreeSet<&str> = EXCEPTIONS.iter().map(|exception| exception.id).collect();
    assert_eq!(excused, all, "an exception that nothing needs");
}

#[test]
fn what_is_not_listed_changes_nothing() {
    let table = get("/v1/assumptions").json();
    let all = table["assumptions"].as_array().unwrap();
    for (name, question, body) in requests() {
        let answer = post(question, &body).json();
        let listed: Vec<Value> =
            answer["assumptions"].as_array().unwrap().iter().map(|one| one["id"].clone()).collect();
        let was = Some(besides(answer));
        let given = body.get("assumptions").cloned().unwrap_or_else(|| json!({}));
        for end in [0, 1] {
            let mut known: Map<String, Value> = given.as_object().unwrap().clone();
            for assumption in all.iter().filter(|one| one.get("default").is_some() && !listed.contains(&one["id"])) {
                let id = assumption["id"].as_str().unwrap();
                let [low, high] = ends(&assumption["default"]);
                known.entry(id).or_insert(if end == 0 { low } else { high });
            }
            let found = rest(question, &with(&body, "/assumptions", Value::Object(known.clone())));
            assert!(found == was, "{name}: one of these changes it and is not listed: {:?}", known.keys());
        }
    }
}

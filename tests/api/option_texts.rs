//! What the options say beside what is done: who gets more before, what is more than was given, and many productions in few words.

use crate::support::{flat, form, ok, with};
use serde_json::{Value, json};

/// The request in each form for people, without its line ends.
fn for_people(question: &str, body: &Value) -> Vec<String> {
    let forms: &[&str] = if question == "seasons" {
        &["text/plain", "text/html", "text/calendar"]
    } else {
        &["text/plain", "text/html"]
    };
    let read = |accept: &&str| {
        let text = form(question, accept, body).text().replace("\r\n ", "").replace("\\,", ",");
        flat(&text)
    };
    forms.iter().map(read).collect()
}

fn texts(question: &str, body: &Value) -> Vec<(String, String)> {
    let options = ok(question, body)["shortfall_options"]["options"].as_array().unwrap().clone();
    let text = |of: &Value, key: &str| of[key].as_str().unwrap().to_owned();
    options.iter().map(|of| (text(of, "kind"), text(of, "text"))).collect()
}

/// 20 L are there; lettuce comes after onions, who may wait until 30 June, and gets nothing on 20 March. Sacks by 30 June are enough only if
/// lettuce gets the 20 L and onions wait, from 1 March on.
fn late() -> Value {
    json!({"as_of": "2027-02-15", "until": "2027-07-30", "stock": [{"amount": "20 L"}], "sack": {"capacity": "20 L"},
        "demands": [
            {"name": "onions", "amount": "20 L", "earliest": "2027-03-01", "latest": "2027-06-30"},
            {"name": "lettuce", "amount": "20 L", "on": "2027-03-20", "priority": 2}]})
}

#[test]
fn an_option_that_comes_late_says_who_gets_more_before() {
    let said = "hen give lettuce all it needs from 1 Mar 2027 on, and let onions wait for these castings";
    let season = late();
    let mut balance = late();
    balance.as_object_mut().unwrap().remove("until");
    for (question, body) in [("balances", &balance), ("seasons", &season)] {
        let (_, text) = texts(question, body).into_iter().find(|(kind, _)| kind == "sacks").unwrap();
        assert_eq!(text, format!("Buy 1 sack of 20 L. T{said}."));
        for text in for_people(question, body) {
            assert!(text.contains(said), "{text}");
        }
    }
    let work = ok("seasons", &season)["work"].clone();
    let buy = work.as_array().unwrap().iter().find(|task| task["kind"] == "buy_sacks").unwrap();
    assert_eq!(buy["note"], format!("t{said}"));
    // With equal priorities lettuce gets 10 L in the plan, and its task says that it is all with sacks.
    let even = with(&season, "/demands/1/priority", json!(1));
    let work = ok("seasons", &even)["work"].clone();
    let tasks = work.as_array().unwrap();
    let apply = tasks.iter().find(|task| task["text"] == "lettuce: apply castings").unwrap();
    assert_eq!(apply["note"], "of the 20 L of castings needed, 10 L are missing; all it needs, if you buy sacks");
    let apply = tasks.iter().find(|task| task["text"] == "onions: apply castings").unwrap();
    assert_eq!(apply["note"], "of the 20 L of castings needed, 10 L are missing; it waits, if you buy sacks");
    for text in for_people("seasons", &with(&even, "/as_of", json!("2027-03-01"))) {
        assert!(text.contains("all it needs, if you buy sacks") && text.contains("it waits, if you buy"), "{text}");
    }
    // A sack by 20 March serves both, and nothing has to change before.
    let early = with(&season, "/demands/0/latest", json!("2027-03-20"));
    assert!(texts("seasons", &early).iter().all(|(_, text)| !text.contains("hen give")));
}

/// Of production for 30 June the same holds.
#[test]
fn a_production_that_comes_late_says_so_too() {
    let mut body = late();
    body["as_of"] = json!("2026-09-01");
    body.as_object_mut().unwrap().remove("sack");
    body["climate"] = json!("18 C");
    body["additional_production"] =
        json!({"materials": [{"name": "leaves", "material": "leaves_loose", "amount": "1000 kg"}]});
    let said = "hen give lettuce all it needs from 1 Mar 2027 on, and let onions wait for these castings";
    let of = texts("seasons", &body);
    let of: Vec<_> = of.iter().filter(|(kind, _)| kind.starts_with("additional_production")).collect();
    assert_eq!(of.len(), 2);
    assert!(of.iter().all(|(_, text)| text.ends_with(&format!(". T{said}."))), "{of:?}");
    let work = ok("seasons", &body)["work"].clone();
    let start = work.as_array().unwrap().iter().find(|task| task["kind"] == "start_production").unwrap();
    assert_eq!(start["note"], format!("for a chance of 90 %; t{said}"));
    let calendar = &for_people("seasons", &body)[2];
    // The title says how sure it is, the details the rest.
    assert!(
        calendar.contains(", for a chance of 90 %, needed by 30 Jun 2027") && calendar.contains(&format!("t{said}")),
        "{calendar}"
    );
}

/// Three productions from leaves there on 20 October: at the likely values all are in time, for 90 % only the last.
fn mixed() -> Value {
    json!({"units": "us", "as_of": "2026-10-10", "until": "2027-09-30", "simulation_runs": 300,
        "climate": {"unit": "F", "monthly_means": [48, 51, 61, 72, 82, 91, 95, 93, 86, 74, 63, 53]},
        "containers": [{"name": "bucket", "capacity": "5 gal"}],
        "demands": [{"name": "peppers", "amount": "60 gal", "on": "2027-04-15"}, {"name": "raised beds", "amount": "30 gal", "on": "2027-04-20"},
            {"name": "tomatoes", "amount": "6 gal", "on": "2027-05-15"}],
        "additional_production": {"goals": {"moisture": "75 %"}, "materials_from": "2026-10-20", "materials": [
            {"name": "leaves of the yard", "material": "leaves_shredded", "at_most": "3 yd3"}, {"material": "kitchen_scraps", "amount": "100 lb"}]}})
}

#[test]
fn the_tasks_follow_one_option_as_a_whole() {
    let body = mixed();
    let answer = ok("seasons", &body);
    let plans = answer["shortfall_options"]["additional_production"].as_array().unwrap().clone();
    let in_time = |plan: &Value, size: &str| plan[size].get("too_late").is_none();
    let sure: Vec<bool> = plans.iter().map(|plan| in_time(plan, "at_90_percent")).collect();
    assert!(
        sure.contains(&true) && sure.contains(&false) && plans.iter().all(|plan| in_time(plan, "likely")),
        "{sure:?}"
    );
    let tasks: Vec<Value> =
        answer["work"].as_array().unwrap().iter().filter(|task| task["kind"] == "start_production").cloned().collect();
    assert_eq!(tasks.len(), plans.len());
    for (task, plan) in tasks.iter().zip(&plans) {
        let [task, plan] = [&task["volume"], &plan["likely"]["castings"]].map(|of| of["value"].as_f64().unwrap());
        assert!((task / plan - 1.0).abs() < 1e-4, "{task} {plan}");
    }
    assert!(tasks.iter().all(|task| task["note"] == "at the likely values"), "{tasks:?}");
    for text in for_people("seasons", &body) {
        assert!(!text.contains("for a chance of 90 %, needed by"), "{text}");
    }
    let (_, likely) = texts("seasons", &body).into_iter().find(|(kind, _)| kind == "additional_production").unwrap();
    assert!(likely.contains(" of worms, at the likely values"), "{likely}");
    // The table of the sheet follows the same option.
    let page = &for_people("seasons", &body)[1];
    assert!(page.contains("<h2>Additional production</h2>"));
    assert_eq!(page.matches(">at likely values</td>").count(), 3);
}

/// The mix of a recipe is scaled up: that is said where it takes more than was given, and what is not taken is not named.
#[test]
fn what_is_taken_beyond_what_was_given_is_said() {
    let said = "That is more than the 100 lb of kitchen scraps (mixed) you gave: amounts set the proportions.";
    let body = mixed();
    let production = |body: &Value| -> Vec<String> {
        let of = texts("seasons", body).into_iter().filter(|(kind, _)| kind.starts_with("additional_production"));
        of.map(|(_, text)| text).collect()
    };
    let of = production(&body);
    assert!(of.len() == 2 && of.iter().all(|text| text.ends_with(said)), "{of:?}");
    assert!(of.iter().all(|text| !text.contains("leaves of the yard")), "{of:?}");
    for text in for_people("seasons", &body) {
        assert!(!text.contains(" of leaves of the yard"), "{text}");
        assert!(text.contains(said) || text.contains("BEGIN:VCALENDAR"), "{text}");
    }
    let enough = with(&body, "/additional_production/materials/1/amount", json!("9000 lb"));
    assert!(production(&enough).iter().all(|text| !text.contains("you gave")));
}

/// Five productions are given in one line of sums.
#[test]
fn many_productions_are_reported_in_all() {
    let demands: Vec<Value> = ["04-05", "04-15", "04-25", "05-05", "05-15"]
        .map(|on| json!({"amount": "45 L", "on": format!("2027-{on}")}))
        .to_vec();
    let body = json!({"as_of": "2026-09-01", "demands": demands, "stock": [],
        "additional_production": {"climate": "18 C", "materials": [{"name": "leaves", "material": "leaves_loose", "amount": "9000 kg"}]}});
    let answer = ok("balances", &body);
    let plans = answer["shortfall_options"]["additional_production"].as_array().unwrap().clone();
    assert_eq!(plans.len(), 5);
    let starts: Vec<&str> = plans.iter().map(|plan| plan["likely"]["start_on"].as_str().unwrap()).collect();
    let day = |on: &str| on.parse::<chrono::NaiveDate>().unwrap().format("%-d %b %Y").to_string();
    let (first, last) = (day(starts.iter().min().unwrap()), day(starts.iter().max().unwrap()));
    let (_, text) = texts("balances", &body).into_iter().find(|(kind, _)| kind == "additional_production").unwrap();
    assert!(text.starts_with("Produce 225 L from "), "{text}");
    assert!(text.contains(&format!(" L of leaves in 5 productions, started from {first} to {last}, on ")), "{text}");
    assert!(text.contains(" of worms in all, at the likely values"), "{text}");
    let worms: f64 = plans.iter().map(|plan| plan["likely"]["worms"]["value"].as_f64().unwrap()).sum();
    let said = text.split(" with ").nth(1).unwrap().split(' ').next().unwrap().parse::<f64>().unwrap();
    assert!((said / worms - 1.0).abs() < 0.005, "{said} {worms}");
}

/// Two beds of one day share 40 L by halves: the same share for both is the plan already, and no option.
#[test]
fn what_the_plan_does_already_is_no_option() {
    let demand = |name: &str| json!({"name": name, "amount": "28.8 L", "on": "2027-04-05"});
    let body = json!({"stock": [{"amount": "40 L"}], "demands": [demand("a"), demand("b")]});
    assert_eq!(texts("balances", &body), []);
    let text = &for_people("balances", &body)[0];
    assert!(!text.contains("ive every demand"), "{text}");
    // Where one comes first, it is one.
    let first = with(&body, "/demands/1/priority", json!(2));
    assert_eq!(texts("balances", &first)[0].0, "pro_rata_share");
}

/// The text says what to add to the request, and that works; a page says it in words. A sack has a size of the garden's units.
#[test]
fn the_hint_names_the_fields_of_the_request_and_a_page_says_it_in_words() {
    let mut body = json!({"stock": [], "demands": [{"amount": "28.8 L", "on": "2027-04-05"}]});
    for (units, sack) in [("metric", "40 L"), ("us", "1.5 ft3")] {
        let read = for_people("balances", &with(&body, "/units", json!(units)));
        let (text, page) = (&read[0], &read[1]);
        let words = format!(
            "To see what closes it and by when, say what a bought sack holds, for example {sack}, or what you could produce more castings from"
        );
        let sent =
            format!("{words}: add \"sack\": {{\"capacity\": \"{sack}\"}} or \"additional_production\" to the request.");
        assert!(text.contains(&sent), "{text}");
        assert!(page.contains(&format!("{words}.")) && !page.contains("additional_production"), "{page}");
    }
    body["sack"] = json!({"capacity": "40 L"});
    let text = &for_people("balances", &body)[0];
    assert!(!text.contains("add \"sack\"") && text.contains("buy 1 sack of 40 L"), "{text}");
}

/// A tea of 2,000 L in a brewer of 60 L takes castings on many days: what it takes of one lot is in one line.
#[test]
fn many_parts_of_one_lot_are_reported_together() {
    let tea = json!({"coverage": "2 L/m2", "surface": {"kind": "area", "area": "1000 m2"}, "castings_to_water": "1:10",
        "brewer": {"capacity": "60 L"}, "use_at": "2027-05-01T18:00:00+02:00"});
    let body = json!({"stock": [{"name": "bin", "amount": "300 L"}], "demands": [{"brew": tea}, {"amount": "20 L", "on": "2027-05-01"}]});
    let parts = ok("balances", &body)["demands"][0]["allocations"].as_array().unwrap().len();
    assert!(parts > 20);
    let page = &for_people("balances", &body)[1];
    assert!(page.contains(&format!("200 L from bin in {parts} parts, 30 Apr–")), "{page}");
    assert!(page.contains("20 L from bin on 1 May") && page.matches(" from bin").count() == 2, "{page}");
}

/// 20 L are 5.28 US gal, and 400 L 14.1 ft3 or 106 US gal.
#[test]
fn the_amounts_of_a_sentence_have_one_unit() {
    let body = json!({"units": "us", "as_of": "2027-03-01",
        "stock": [{"amount": "20 L"}, {"amount": "400 L", "ready_on": "2027-04-01"}], "demands": [{"amount": "320 L", "on": "2027-05-01"}]});
    let page = &for_people("balances", &body)[1];
    let heading = "Who gets what in 2027: of 5.28 US gal on hand and 106 US gal to come, 26.4 US gal remain";
    assert!(page.contains(heading), "{page}");
    assert!(page.contains("all of its castings in time, 84.5 US gal in all; 26.4 US gal remain."), "{page}");
}

/// What the likely values say and what the runs say are in one answer, and each says which it is.
#[test]
fn figures_of_runs_and_of_likely_values_say_which_they_are() {
    let body = json!({"as_of": "2027-02-15", "until": "2027-07-30",
        "stock": [{"amount": {"value": 20, "low": 10, "high": 25, "unit": "L"}}], "demands": [{"name": "beds", "amount": "35 L", "on": "2027-06-30"}]});
    let headline = ok("seasons", &body)["headline"].as_str().unwrap().to_owned();
    assert!(
        headline.starts_with(
            "Not enough. 15 L of the 35 L needed are missing at the likely values, first on 30 Jun 2027 (beds)."
        ),
        "{headline}"
    );
    let text = &for_people("seasons", &body)[0];
    assert!(text.contains("tightest day 30 Jun 2027: typically 15 L short ("), "{text}");
    assert!(text.contains("the amount of lot 1, 99.7 % of the uncertainty"), "{text}");
    let page = &for_people("seasons", &body)[1];
    assert!(page.contains("of the uncertainty</th>") && page.contains("narrows the range to</th>"), "{page}");
    assert!(!page.contains("share of variance") && !page.contains("range if known"));
    // Without runs there is nothing to tell it from.
    let without = ok("seasons", &with(&body, "/simulation_runs", json!(0)))["headline"].as_str().unwrap().to_owned();
    assert!(without.starts_with("Not enough. 15 L of the 35 L needed are missing, first"), "{without}");
}

/// Four sacks at 1.123456 are 4.493824.
#[test]
fn a_cost_has_two_decimals_with_or_without_a_currency() {
    let mut body =
        json!({"stock": [], "demands": [{"amount": "25 L"}], "sack": {"capacity": "7 L", "price": 1.123456}});
    for (currency, cost) in [(None, "at a cost of 4.49."), (Some("EUR"), ", 4.49 EUR.")] {
        if let Some(currency) = currency {
            body["sack"]["currency"] = json!(currency);
        }
        for text in for_people("balances", &body) {
            assert!(text.contains(cost), "{text}");
        }
        assert_eq!(ok("balances", &body)["shortfall_options"]["options"][0]["cost"], json!(4.493824));
    }
}

/// 80 L come on 20 May and a sack of 30 L by 10 May: 110 L, of which `first` takes 10 L and `rep` 15 L on 30 May and on 19 June. That leaves 70 L of
/// the 75 L of `w`, who may have the rest by 30 June: it waits for the second sack with 5 L.
#[test]
fn sacks_that_are_bought_one_after_the_other_say_who_waits() {
    let body = json!({"as_of": "2027-05-01", "until": "2027-12-31", "simulation_runs": 0, "sack": {"capacity": "30 L"},
        "stock": [{"amount": "80 L", "ready_on": "2027-05-20"}],
        "demands": [
            {"name": "first", "amount": "10 L", "on": "2027-05-10"},
            {"name": "w", "amount": "75 L", "earliest": "2027-05-25", "latest": "2027-06-30"},
            {"name": "rep", "amount": "15 L", "on": "2027-05-30", "priority": 2, "repeat": {"every": "20 d", "times": 3}}]});
    let work = ok("seasons", &body)["work"].clone();
    let buy = work.as_array().unwrap().iter().filter(|task| task["kind"] == "buy_sacks");
    let notes: Vec<_> = buy.map(|task| (&task["on"], &task["note"])).collect();
    let waits = json!("until then let w wait for 5 L");
    assert_eq!(notes, [(&json!("2027-05-10"), &Value::Null), (&json!("2027-06-30"), &waits)]);
    let text = form("seasons", "text/calendar", &body).text().replace("\r\n ", "");
    assert!(text.contains("until then let w wait for 5 L") || text.contains("Until then let w wait for 5 L"), "{text}");
}

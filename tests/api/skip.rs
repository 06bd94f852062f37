//! `"on_error": "skip"`: a request is answered without the items that have errors.

use crate::support::{brief, demo, errors, flat, form, ok, post, rows, with};
use serde_json::{Value, json};

fn without(body: &Value, list: &str, places: &[usize]) -> Value {
    let items = body[list].as_array().unwrap().iter().enumerate();
    let left: Vec<Value> = items.filter(|(place, _)| !places.contains(place)).map(|(_, item)| item.clone()).collect();
    with(body, &format!("/{list}"), json!(left))
}

/// What both answers say apart from what was left out.
fn rest(mut answer: Value) -> Value {
    let members = answer.as_object_mut().unwrap();
    members.shift_remove("skipped");
    if let Some(headline) = members.get_mut("headline") {
        let whole = headline.as_str().unwrap().to_owned();
        *headline = json!(whole.rsplit(" left out. ").next().unwrap());
    }
    let cautions = members["cautions"].as_array_mut().unwrap();
    cautions.retain(|caution| caution["rule"] != "items_skipped");
    answer
}

#[test]
fn the_answer_is_that_of_the_request_without_the_items_that_have_errors() {
    let good = demo("balances/two-lots.json");
    let wrong = with(&good, "/demands/1/priority", json!(0));
    let wrong = with(&wrong, "/demands/3/amount", json!("6"));
    let wrong = with(&wrong, "/stock/0/colour", json!("black"));
    let alone = errors("balances", &wrong);
    let answer = ok("balances", &with(&wrong, "/on_error", json!("skip")));
    let skipped = answer["skipped"].as_array().unwrap();
    let reported: Vec<_> =
        skipped.iter().map(|item| (item["pointer"].as_str().unwrap(), item["name"].as_str().unwrap())).collect();
    assert_eq!(reported, [("/demands/1", "carrot rows"), ("/demands/3", "tomatoes"), ("/stock/0", "cured bin")]);
    // The same errors as without it, word for word.
    let mut found: Vec<Value> = skipped.iter().flat_map(|item| item["errors"].as_array().unwrap().clone()).collect();
    found.sort_by_key(|error| alone.iter().position(|other| other == error));
    assert_eq!(found, alone);
    let left = without(&without(&good, "demands", &[1, 3]), "stock", &[0]);
    assert_eq!(rest(answer), ok("balances", &left));
}

#[test]
fn errors_that_show_only_afterwards_leave_out_more() {
    // The second bed has the id of the first: of no interest once the first is left out, but the third's rate is read only then.
    let bed = |id: &str, kind: &str| json!({"id": id, "surface": {"kind": "area", "area": "2 m2"}, "rate": {"kind": kind, "amount": "1 cm"}});
    let body = json!({"on_error": "skip", "areas": [bed("a", "dept"), bed("b", "per_plant"), bed("c", "depth")]});
    let answer = ok("applications", &body);
    let pointers: Vec<_> = answer["skipped"].as_array().unwrap().iter().map(|item| &item["pointer"]).collect();
    assert_eq!(pointers, ["/areas/0", "/areas/1"]);
    assert_eq!(answer["areas"].as_array().unwrap().len(), 1);
    assert_eq!(answer["areas"][0]["id"], "c");
}

#[test]
fn what_cannot_be_left_out_refuses_the_request_as_ever() {
    let bed =
        |kind: &str| json!({"surface": {"kind": "area", "area": "2 m2"}, "rate": {"kind": kind, "amount": "1 cm"}});
    let of = |areas: Value, extra: Value| with(&json!({"areas": areas, "units": extra}), "/on_error", json!("skip"));
    for (body, wanted) in [
        // Something of the whole request.
        (
            of(json!([bed("dept"), bed("depth")]), json!("imperial")),
            &["/areas/0/rate/kind unknown_kind", "/units unknown_value"][..],
        ),
        // Nothing would be left.
        (of(json!([bed("dept")]), json!("us")), &["/areas/0/rate/kind unknown_kind"]),
        (of(json!([]), json!("us")), &["/areas wrong_length"]),
    ] {
        assert_eq!(brief(&errors("applications", &body)), wanted, "{body}");
    }
    let unknown = json!({"on_error": "ignore", "areas": [bed("depth")]});
    assert_eq!(brief(&errors("applications", &unknown)), ["/on_error unknown_value"]);
    let mix = json!({"on_error": "skip", "materials": [{"material": "leaves_loose", "amount": "10 kg"}]});
    assert_eq!(brief(&errors("feeds", &mix)), ["/on_error unknown_field"]);
}

#[test]
fn nothing_is_said_where_nothing_is_left_out() {
    let body = demo("applications/kitchen-garden.json");
    assert_eq!(post("applications", &with(&body, "/on_error", json!("skip"))).bytes, post("applications", &body).bytes);
    assert_eq!(
        post("applications", &with(&body, "/on_error", json!("refuse"))).bytes,
        post("applications", &body).bytes
    );
}

#[test]
fn every_form_says_that_items_are_left_out() {
    let wrong = with(&demo("balances/two-lots.json"), "/demands/1/priority", json!(0));
    let body = with(&wrong, "/on_error", json!("skip"));
    for accept in ["text/plain", "text/html", "image/svg+xml"] {
        let text = form("balances", accept, &body).text().replace("\n", " ");
        assert!(text.contains("Items with errors are left out of this answer"), "{accept}: {text}");
    }
    assert!(form("balances", "text/csv", &body).text().lines().skip(1).all(|row| row.contains("items_skipped")));
}

/// Before "Enough" comes what was not counted, and why.
#[test]
fn every_form_names_the_items_that_are_left_out_and_their_errors() {
    let body = json!({"on_error": "skip", "stock": [{"amount": "100 L"}],
        "demands": [{"amount": "10 L"}, {"name": "bbb", "amount": "60"}, {"name": "ccc", "amount": "5 L", "on": "2027-04-31"}]});
    let answer = ok("balances", &body);
    let headline = answer["headline"].as_str().unwrap();
    assert!(headline.starts_with("2 items have errors and are left out. Enough. Every demand gets"), "{headline}");
    let details: Vec<&str> = answer["skipped"]
        .as_array()
        .unwrap()
        .iter()
        .map(|item| item["errors"][0]["detail"].as_str().unwrap())
        .collect();
    assert!(details[0].starts_with("Demand 2 ('bbb'): 60 has no unit") && details.len() == 2, "{details:?}");
    for (accept, query) in [("text/plain", ""), ("text/plain", "?all=true"), ("text/html", "")] {
        let text = flat(&form(&format!("balances{query}"), accept, &body).text().replace("&quot;", "\""));
        assert_eq!(text.matches("2 items have errors and are left out").count(), 1, "{text}");
        let (before, after) = text.split_once("2 items have errors and are left out").unwrap();
        assert!(!before.contains("Enough") && after.contains("Enough"), "{text}");
        assert!(details.iter().all(|detail| before.len() < text.find(&flat(detail)).unwrap()), "{text}");
    }
    for table in ["", "?table=stock"] {
        let csv = form(&format!("balances{table}"), "text/csv", &body).text().to_owned();
        let mut rows = csv::Reader::from_reader(csv.as_bytes());
        assert_eq!(
            rows.headers().unwrap().iter().rev().take(2).collect::<Vec<_>>(),
            ["skipped", "cautions_of_request"]
        );
        let last: Vec<String> = rows.records().map(|row| row.unwrap().iter().next_back().unwrap().to_owned()).collect();
        assert_eq!(last[0], details.join(" "));
        assert!(last.iter().skip(1).all(String::is_empty));
    }
    // Neither the sentence nor the column where nothing is left out, and the sentence in a season as well.
    let whole = json!({"on_error": "skip", "stock": [{"amount": "100 L"}], "demands": [{"amount": "10 L"}]});
    assert!(!form("balances", "text/csv", &whole).text().contains("skipped"));
    let season = with(&with(&body, "/as_of", json!("2027-01-01")), "/until", json!("2027-12-31"));
    assert!(ok("seasons", &season)["headline"].as_str().unwrap().starts_with("2 items have errors and are left out. "));
}

#[test]
fn readers_get_the_first_twenty_errors_of_items_that_are_left_out_and_data_has_all() {
    let demands: Vec<Value> = (0..31).map(|n| json!({"amount": if n == 0 { "1 L" } else { "1" }})).collect();
    let body = json!({"on_error": "skip", "stock": [{"amount": "9 L"}], "demands": demands});
    let text = form("balances", "text/plain", &body).text().to_owned();
    assert_eq!((text.matches("1 has no unit").count(), text.matches("and 10 more errors").count()), (20, 1), "{text}");
    assert_eq!(form("balances", "text/csv", &body).text().matches("1 has no unit").count(), 30);
}

/// Without dates a balance has no row for a day: what was left out has a row of its own.
#[test]
fn a_table_without_rows_tells_what_was_left_out_too() {
    let body =
        json!({"stock": [{"amount": "90 L"}], "demands": [{"amount": "5 L"}, {"amount": "6"}], "on_error": "skip"});
    for table in ["by_date", "occasions", "demands"] {
        let answer = form(&format!("balances?table={table}"), "text/csv", &body);
        let rows = rows(&answer.bytes, b',');
        assert_eq!(rows.len(), 1, "{table}");
        let is_there = |name: &&str| !["skipped", "cautions_of_request"].contains(name) && !rows[0][*name].is_empty();
        assert!(rows[0]["skipped"].starts_with("Demand 2: "), "{table}: {:?}", rows[0]);
        let names: Vec<&str> = rows[0].keys().map(String::as_str).collect();
        assert_eq!(names.iter().any(is_there), table == "demands", "{table}");
    }
}

/// However many items have errors, what is right is answered.
#[test]
fn any_number_of_items_is_left_out() {
    let area = |amount: &str| json!({"surface": {"kind": "area", "area": "2 m2"}, "rate": {"kind": "depth", "amount": amount}});
    let areas: Vec<Value> = (0..5_500).map(|n| area(if n == 2_000 { "1 cm" } else { "1" })).collect();
    let answer = ok("applications", &json!({"on_error": "skip", "texts": "brief", "areas": areas}));
    assert_eq!(answer["skipped"].as_array().unwrap().len(), 5_499);
    assert_eq!(answer["areas"].as_array().unwrap().len(), 1);
}

/// The answer to a request to leave items out says why none is.
#[test]
fn a_refusal_says_why_nothing_is_left_out() {
    let body = json!({"on_error": "skip", "stock": [{"amount": "90"}], "demands": [{"amount": "5 L"}]});
    let detail = |body: &Value| post("balances", body).json()["detail"].as_str().unwrap().to_owned();
    let wanted = "There is one error in the request. Nothing is left out, because no lot would remain: correct at least one lot.";
    assert_eq!(detail(&body), wanted);
    let elsewhere = with(&with(&body, "/stock/0/amount", json!("90 L")), "/as_of", json!("spring"));
    assert!(detail(&elsewhere).ends_with(
        "Nothing is left out, because an error is not in an item that can be left out: correct that error first."
    ));
    assert_eq!(detail(&with(&body, "/on_error", json!("refuse"))), "There is one error in the request.");
}

/// Which of two dates is wrong, only the caller knows: nothing is left out for what lies between them.
#[test]
fn dates_that_lie_too_far_apart_leave_nothing_out() {
    let body = json!({"on_error": "skip",
        "stock": [{"name": "shed", "amount": "10 L", "ready_on": "2007-03-01"}, {"name": "sacks", "amount": "80 L"}],
        "demands": [{"name": "carrots", "amount": "50 L", "on": "2027-04-05"}, {"name": "pots", "amount": "10 L"}]});
    assert_eq!(brief(&errors("balances", &body)), [" out_of_range"]);
    let mut season = body;
    season["until"] = json!("2027-12-31");
    assert_eq!(brief(&errors("seasons", &season)), [" out_of_range"]);
}

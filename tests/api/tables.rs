//! Tables in and out: `POST` and `GET /v1/<question>/table`.

pub use crate::support::rows;
use crate::support::{Answer, get, in_repository, post, send, service};
use reqwest::Method;
use serde_json::{Value, json};

mod applications;
mod balances;
mod calibrations;
mod harvests;
mod reading;
mod refused;

/// Sends a table.
pub fn sent(question: &str, query: &str, table: impl Into<Vec<u8>>) -> Answer {
    sent_as(question, query, &[("content-type", "text/csv")], table)
}

/// Sends a table with these headers.
pub fn sent_as(question: &str, query: &str, headers: &[(&str, &str)], table: impl Into<Vec<u8>>) -> Answer {
    let path = format!("/v1/{question}/table{query}").replace(' ', "%20");
    send(&service(), (Method::POST, &path), headers, table.into())
}

/// Sends a table that must be answered, and returns the text of the answer.
pub fn answered(question: &str, query: &str, table: impl Into<Vec<u8>>) -> String {
    let answer = sent(question, query, table);
    assert_eq!(answer.status, 200, "{}", answer.text());
    assert_eq!(answer.header("content-type"), "text/csv; charset=utf-8; header=present");
    assert_eq!(answer.header("cache-control"), "no-store");
    answer.text().to_owned()
}

/// One column of a table with commas.
pub fn column(table: &str, name: &str) -> Vec<String> {
    rows(table, b',')
        .iter()
        .map(|row| row.get(name).unwrap_or_else(|| panic!("no {name} in {table}")).clone())
        .collect()
}

/// The answer to a table as JSON.
pub fn as_json(question: &str, query: &str, table: &str) -> Value {
    let headers = [("content-type", "text/csv"), ("accept", "application/json")];
    let answer = sent_as(question, query, &headers, table);
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

/// What a table is refused for: `line:column code`, or `parameter code`.
pub fn reported(question: &str, query: &str, table: &str) -> Vec<String> {
    let answer = sent(question, query, table);
    assert_eq!(answer.status, 422, "{}", answer.text());
    crate::refusals::assert_problem(&answer);
    brief(&answer)
}

/// The errors of a problem: `line:column code`, or `parameter code`.
pub fn brief(answer: &Answer) -> Vec<String> {
    let errors = answer.json()["errors"].as_array().unwrap().clone();
    let place = |error: &Value| match error["at"].as_str() {
        Some("csv") => match error.get("column") {
            Some(column) => format!("{}:{column}", error["line"]),
            None => error["line"].to_string(),
        },
        _ => error["parameter"].as_str().unwrap().to_owned(),
    };
    errors.iter().map(|error| format!("{} {}", place(error), error["code"].as_str().unwrap())).collect()
}

/// A table of the demo data.
pub fn demo_table(name: &str) -> String {
    std::fs::read_to_string(in_repository(&format!("demo-data/tables/{name}"))).unwrap()
}

/// A table in an address.
pub fn linked(question: &str, query: &str, table: &str) -> Answer {
    let encoded: String = table.bytes().map(|byte| format!("%{byte:02X}")).collect();
    get(&format!("/v1/{question}/table?csv={encoded}{query}"))
}

/// The answer to the table is the answer to the body.
pub fn assert_same(question: &str, query: &str, (table, body): (&str, &Value)) {
    let of_body = post(question, body);
    assert_eq!(of_body.status, 200, "{}", of_body.text());
    assert_eq!(as_json(question, query, table), of_body.json());
}

#[test]
fn a_table_in_an_address_is_answered_as_one_that_is_sent_and_has_a_tag() {
    let table = demo_table("applications.csv");
    let answer = linked("applications", "&container=bucket:12%20L", &table);
    assert_eq!(answer.text(), answered("applications", "?container=bucket:12 L", table.as_str()));
    assert_eq!(answer.header("cache-control"), "private, no-cache");
    let tag = answer.header("etag");
    assert!(tag.starts_with("W/\""), "{tag}");
    let encoded: String = table.bytes().map(|byte| format!("%{byte:02X}")).collect();
    let path = format!("/v1/applications/table?csv={encoded}&container=bucket:12%20L");
    let again = send(&service(), (Method::GET, &path), &[("if-none-match", tag)], Vec::new());
    assert_eq!((again.status, again.bytes.len(), again.header("etag")), (304, 0, tag));
    let other = send(&service(), (Method::GET, &format!("{path}&units=us")), &[("if-none-match", tag)], Vec::new());
    assert_eq!(other.status, 200);
    let json = linked("applications", "&as=json", &table);
    assert_eq!(json.header("content-type"), "application/json");
    assert_eq!(json.json()["total"]["castings"]["volume"], json!({"value": 129.6, "unit": "L"}));
}

#[test]
fn every_table_may_be_in_an_address() {
    for question in ["applications", "harvests", "balances", "calibrations"] {
        let table = demo_table(&format!("{question}.csv"));
        let answer = linked(question, "", &table);
        assert_eq!(
            (answer.status, answer.text()),
            (200, answered(question, "", table.as_str()).as_str()),
            "{question}"
        );
        assert_eq!(answer.header("cache-control"), "private, no-cache");
        assert_eq!(linked(question, "&as=json", &table).json(), as_json(question, "", &table), "{question}");
        let twice = table.replace('\n', ",,\n").replacen(",,\n", ",name,name\n", 1);
        assert_eq!(brief(&linked(question, "", &twice)), reported(question, "", &twice), "{question}");
    }
}

#[test]
fn the_tables_of_the_document_are_answered_as_documented() {
    let document = get("/openapi.json").json();
    let tables = document["paths"].as_object().unwrap().iter().filter(|(path, _)| path.ends_with("/table"));
    let mut asked = 0;
    for (path, item) in tables {
        let question = path.trim_start_matches("/v1/").trim_end_matches("/table");
        let body = &item["post"]["requestBody"];
        assert_eq!(crate::support::keys(&body["content"]), ["text/csv"], "one media type");
        let example =
            |content: &Value| content["content"]["text/csv"]["examples"]["table"]["value"].as_str().unwrap().to_owned();
        assert_eq!(example(body), demo_table(&format!("{question}.csv")));
        answered(question, "", example(body));
        // Every column is described.
        let about = body["description"].as_str().unwrap();
        let names = about.lines().filter_map(|line| line.strip_prefix("- `")?.split('`').next());
        for name in names {
            let twice = format!("{name},{name}\n1,1\n");
            assert!(reported(question, "", &twice).contains(&"1:2 repeated_column".to_owned()), "{question} {name}");
        }
        asked += 1;
    }
    assert_eq!(asked, 4);
}

#[test]
fn errors_of_a_table_in_an_address_can_be_in_a_cell() {
    let answer = linked("applications", "&errors=cell", "length,width,rate\n2,1 m,1 cm\n");
    assert_eq!((answer.status, answer.header("content-type")), (200, "text/csv; charset=utf-8; header=present"));
    assert_eq!(answer.text().lines().count(), 1);
    for (query, is_marked) in [("", false), ("&delimiter=semicolon", false), ("&decimal=comma&bom=true", true)] {
        let answer =
            linked("applications", &format!("&errors=cell{query}"), "length,width,rate,x\n2,\"1,5; m\",1 cm,\n");
        assert_eq!(answer.text().starts_with('\u{feff}'), is_marked, "{query}");
        for delimiter in *b",;\t" {
            let text = answer.text().trim_start_matches('\u{feff}').as_bytes();
            let mut reader = csv::ReaderBuilder::new().has_headers(false).delimiter(delimiter).from_reader(text);
            let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
            assert_eq!((records.len(), records[0].len()), (1, 1), "{}", answer.text());
            assert!(records[0][0].starts_with("# Line 2"), "{}", answer.text());
        }
    }
    let answer = linked("applications", "&errors=status", "length,width,rate\n2,1 m,1 cm\n");
    assert_eq!((answer.status, brief(&answer)), (422, vec!["2:1 unit_missing".to_owned()]));
    let answer = linked("applications", "", "length,\"width\n");
    assert_eq!((answer.status, brief(&answer)), (400, vec!["1:2 not_csv".to_owned()]));
    let answer = get("/v1/applications/table?as=svg&errors=x&colour=blue");
    let wanted = ["csv missing_field", "as unknown_value", "errors unknown_value", "colour unknown_parameter"];
    let mut found = brief(&answer);
    found.sort();
    let mut wanted = wanted.map(str::to_owned);
    wanted.sort();
    assert_eq!((answer.status, found.as_slice()), (422, wanted.as_slice()));
    // The table is measured, and not what is beside it.
    let row = "length,width,rate,note%0A2m,1m,1cm,";
    let table = |length: usize| {
        format!("/v1/applications/table?container=bucket:12%20L&csv={row}{}", "a".repeat(length - row.len()))
    };
    assert_eq!(get(&table(8_192)).status, 200);
    assert_eq!(brief(&get(&table(8_193))), ["csv wrong_length"]);
    let long = get(&format!("/v1/applications/table?csv={}", "a".repeat(10_000)));
    assert_eq!((long.status, brief(&long)), (422, vec!["csv wrong_length".to_owned()]));
}

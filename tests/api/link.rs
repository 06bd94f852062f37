//! `GET /v1/<question>?request=<base64url>`.

use crate::seasons::{kitchen_garden, small};
use crate::support::{Answer, brief, get, post_bytes, quick_demo_files, send, service};
use barrowful::http::server::Running;
use barrowful::http::settings::{Secret, Settings};
use base64::Engine;
use base64::engine::general_purpose::{URL_SAFE, URL_SAFE_NO_PAD};
use reqwest::Method;
use serde_json::Value;
use std::io::Write;

/// The path of a request.
fn path(body: &[u8]) -> String {
    format!("/v1/seasons?request={}", URL_SAFE_NO_PAD.encode(body))
}

fn zlib(body: &[u8]) -> Vec<u8> {
    let mut writer = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    writer.write_all(body).unwrap();
    writer.finish().unwrap()
}

fn reported(answer: &Answer) -> Vec<String> {
    assert_eq!(answer.status, 422, "{}", answer.text());
    crate::refusals::assert_problem(answer);
    brief(answer.json()["errors"].as_array().unwrap())
}

/// The questions, which are the folders of their demo files.
const QUESTIONS: [&str; 8] =
    ["applications", "balances", "brews", "calibrations", "feeds", "harvests", "seasons", "worm-beds"];

#[test]
fn the_address_answers_as_the_body_does() {
    let mut asked = 0;
    for question in QUESTIONS {
        for file in quick_demo_files(question) {
            let body: Value = serde_json::from_slice(&std::fs::read(&file).unwrap()).unwrap();
            let body = serde_json::to_vec(&body).unwrap();
            let zlib = zlib(&body);
            let posted = post_bytes(question, body.clone());
            for text in [URL_SAFE.encode(&body), URL_SAFE_NO_PAD.encode(&body), URL_SAFE_NO_PAD.encode(zlib)] {
                for more in ["", "&as=json", "&as=&decimal="] {
                    if text.len() > 8_192 {
                        continue;
                    }
                    let answer = get(&format!("/v1/{question}?request={text}{more}"));
                    assert_eq!(answer.status, 200, "{}", answer.text());
                    assert!(answer.bytes == posted.bytes, "{} {more}", file.display());
                    assert_eq!(answer.header("cache-control"), "private, no-cache");
                    asked += 1;
                }
            }
        }
    }
    assert!(asked > 100, "{asked}");
}

#[test]
fn every_form_of_every_question_has_an_address() {
    let forms = [
        ("csv", "text/csv"),
        ("html", "text/html"),
        ("text", "text/plain"),
        ("svg", "image/svg+xml"),
        ("calendar", "text/calendar"),
    ];
    for question in QUESTIONS {
        let body = std::fs::read(quick_demo_files(question).first().unwrap()).unwrap();
        let address = format!("/v1/{question}?request={}", URL_SAFE_NO_PAD.encode(zlib(&body)));
        for (form, media) in forms {
            let headers = [("content-type", "application/json"), ("accept", media)];
            let posted = send(&service(), (Method::POST, &format!("/v1/{question}")), &headers, body.clone());
            let answer = get(&format!("{address}&as={form}"));
            if posted.status == 406 {
                assert_eq!(reported(&answer), ["as unknown_value"]);
            } else if posted.status == 200 {
                assert!(posted.bytes == answer.bytes, "{question} as {form}");
                assert!(answer.header("content-type").starts_with(media));
            } else {
                assert_eq!((posted.status, answer.status), (422, 422), "{question} as {form}");
            }
        }
        // A form and a question have a tag of their own.
        let tags = ["json", "csv"].map(|form| get(&format!("{address}&as={form}")).header("etag").to_owned());
        assert!(tags[0].starts_with("W/") && tags[0] != tags[1], "{tags:?}");
    }
}

#[test]
fn a_compressed_request_is_bounded_and_a_damaged_one_refused() {
    // A few kilobytes that hold more than a body may.
    let path = |bytes: &[u8]| format!("/v1/brews?request={}", URL_SAFE_NO_PAD.encode(bytes));
    let large = get(&path(&zlib(&vec![b' '; 5 << 20])));
    assert_eq!(large.status, 413, "{}", large.text());
    assert!(large.text().contains("The request in the address may have"), "{}", large.text());
    let mut damaged = zlib(b"{\"brews\": []}");
    damaged.truncate(10);
    let damaged = get(&path(&damaged));
    assert_eq!(damaged.status, 400, "{}", damaged.text());
    assert!(damaged.text().contains("The request in the address begins as zlib does"), "{}", damaged.text());
    crate::refusals::assert_problem(&damaged);
}

#[test]
fn head_is_get_without_a_body() {
    let path = path(&serde_json::to_vec(&small()).unwrap());
    let (get, head) = (get(&path), send(&service(), (Method::HEAD, &path), &[], Vec::new()));
    assert_eq!((head.status, head.bytes.len()), (200, 0));
    assert_eq!(head.header("content-length"), get.bytes.len().to_string());
}

#[test]
fn requests_up_to_8_kib_are_taken() {
    let body = serde_json::to_vec(&small()).unwrap();
    let filled = |characters: usize| {
        let mut body = body.clone();
        body.resize(characters / 4 * 3, b' ');
        path(&body)
    };
    assert_eq!(get(&filled(8_192)).status, 200);
    let longer = get(&filled(8_196));
    assert_eq!(reported(&longer), ["request wrong_length"]);
    assert_eq!(longer.json()["errors"][0]["max"], 8_192);
    assert!(longer.json()["errors"][0]["detail"].as_str().unwrap().contains("by POST"));
}

#[test]
fn addresses_that_cannot_be_read_are_refused() {
    let good = path(&serde_json::to_vec(&small()).unwrap());
    for (path, expected) in [
        ("/v1/seasons".to_owned(), &["request missing_field"][..]),
        ("/v1/seasons?request=".to_owned(), &["request missing_field"]),
        ("/v1/seasons?request=%21%21".to_owned(), &["request bad_text"]),
        ("/v1/seasons?request=eyJhIjoiPz8+Pn5+In0=".to_owned(), &["request bad_text"]),
        (format!("{good}&request=e30"), &["request repeated_parameter"]),
        (format!("{good}&as=json&as=json"), &["as repeated_parameter"]),
        (format!("{good}&as=pdf"), &["as unknown_value"]),
        (format!("{good}&table=works"), &["table unknown_value"]),
        // A request that is compressed and damaged does not hide it.
        ("/v1/seasons?tabel=work&request=eJw".to_owned(), &["tabel unknown_parameter"]),
        (format!("{good}&tabel=work"), &["tabel unknown_parameter"]),
        (
            "/v1/seasons?as=pdf&draws=0".to_owned(),
            &["as unknown_value", "draws unknown_parameter", "request missing_field"],
        ),
    ] {
        let mut found = reported(&get(&path));
        found.sort();
        assert_eq!(found, expected, "{path}");
    }
    let posted = send(
        &service(),
        (Method::POST, "/v1/seasons?table=work&table=work"),
        &[("content-type", "application/json")],
        b"{}".to_vec(),
    );
    assert_eq!(reported(&posted), ["table repeated_parameter", "/demands missing_field"]);
}

#[test]
fn faults_of_the_request_point_into_it() {
    let mut body = kitchen_garden();
    body["demands"][2]["priority"] = serde_json::json!(0);
    body["worm_beds"][1]["ground"]["length"] = serde_json::json!("1,2 m");
    let bytes = serde_json::to_vec(&body).unwrap();
    let (posted, answer) = (post_bytes("seasons", bytes.clone()), get(&path(&bytes)));
    assert_eq!(answer.json(), posted.json());
    let mut found = reported(&answer);
    found.sort();
    assert_eq!(found, ["/demands/2/priority out_of_range", "/worm_beds/1/ground/length bad_number"]);
    let answer = get(&path(b"{\"demands\": [}"));
    assert_eq!(answer.status, 400, "{}", answer.text());
    assert!(answer.text().contains("column 14"), "{}", answer.text());
    // What is no text is the fault of the address, which may be cut.
    let answer = get(&path(b"\xff\xfe"));
    assert_eq!(reported(&answer), ["request bad_text"]);
    assert!(answer.text().contains("the link was probably cut"), "{}", answer.text());
}

#[test]
fn the_token_is_asked_for() {
    let guarded =
        Running::start(Settings { tokens: vec![Secret("garden-gate".to_owned())], ..Settings::local() }).unwrap();
    let path = path(&serde_json::to_vec(&small()).unwrap());
    let ask = |headers: &[(&str, &str)]| send(&guarded.url(), (Method::GET, &path), headers, Vec::new()).status;
    assert_eq!(ask(&[]), 401);
    assert_eq!(ask(&[("authorization", "Bearer garden")]), 401);
    assert_eq!(ask(&[("authorization", "Bearer garden-gate")]), 200);
}

#[test]
fn a_calendar_that_has_not_changed_is_not_sent_again() {
    let address = |form: &str| format!("{}&as={form}", path(&serde_json::to_vec(&small()).unwrap()));
    let first = get(&address("calendar"));
    assert_eq!((first.status, first.header("cache-control")), (200, "private, no-cache"));
    let tag = first.header("etag").to_owned();
    let again = |form: &str| send(&service(), (Method::GET, &address(form)), &[("if-none-match", &tag)], Vec::new());
    let known = again("calendar");
    assert_eq!((known.status, known.bytes.len(), known.header("etag")), (304, 0, tag.as_str()));
    assert_eq!(known.header("x-content-type-options"), "nosniff");
    assert_eq!(again("csv").status, 200, "another form is another answer");
    let refused = send(&service(), (Method::GET, "/v1/seasons?request=e30"), &[("if-none-match", "*")], Vec::new());
    assert_eq!((refused.status, refused.header("etag"), refused.header("cache-control")), (422, "", "no-store"));
}

/// What is said of a parameter that is not taken can be followed.
#[test]
fn an_unknown_parameter_names_what_to_do() {
    let bed = serde_json::to_vec(&crate::support::bed()).unwrap();
    let detail = |query: &str| {
        let answer = post_bytes(&format!("applications?{query}"), bed.clone()).json();
        let error = &answer["errors"][0];
        assert_eq!(error["code"], "unknown_parameter", "{answer}");
        (error["detail"].as_str().unwrap().to_owned(), error["nearest"].clone(), error["allowed"].clone())
    };
    let allowed = serde_json::json!(["width", "all", "decimal", "delimiter", "bom"]);
    for (query, wanted, nearest) in [
        ("as=csv", "Name the form in the header Accept, as in \"Accept: text/csv\".", Value::Null),
        ("table=areas", "This question has one table only; leave it out.", Value::Null),
        ("wdth=80", "Did you mean width?", "width".into()),
        (
            "units=us",
            "What is asked belongs in the body; here you can only say how the answer is written.",
            Value::Null,
        ),
    ] {
        let found = detail(query);
        assert_eq!(found, (format!("There is no such parameter here. {wanted}"), nearest, allowed.clone()), "{query}");
    }
}

/// A parameter without a value is one not given, however the question is asked.
#[test]
fn an_empty_parameter_is_not_given() {
    let bed = serde_json::to_vec(&crate::support::bed()).unwrap();
    let plain = post_bytes("applications", bed.clone());
    let empty = post_bytes("applications?width=&all=&decimal=", bed.clone());
    assert_eq!((empty.status, &empty.bytes), (200, &plain.bytes));
    let linked = get(&format!("/v1/applications?width=&as=&request={}", URL_SAFE_NO_PAD.encode(&bed)));
    assert_eq!((linked.status, &linked.bytes), (200, &plain.bytes));
}

//! The page for growers at /: what it is served with, and that its form offers what the service takes. `scripts/check_page.py` uses it in
//! a browser.

use crate::refusals::assert_problem;
use crate::support::{Answer, between, demo, get, ok, send, service};
use barrowful::http::page::PATHS;
use barrowful::http::server::Running;
use barrowful::http::settings::{Secret, Settings};
use reqwest::Method;
use serde_json::{Value, json};
use std::collections::BTreeSet;

fn ask(method: Method, path: &str, headers: &[(&str, &str)]) -> Answer {
    send(&service(), (method, path), headers, Vec::new())
}

#[test]
fn the_page_may_load_its_own_files_and_nothing_else() {
    let page = get("/");
    assert_eq!((page.status, page.header("content-type")), (200, "text/html; charset=utf-8"));
    let policy = page.header("content-security-policy");
    for part in [
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "connect-src 'self'",
        "form-action 'none'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    ] {
        assert!(policy.contains(part), "{policy} lacks {part}");
    }
    assert!(!policy.contains("unsafe") && !policy.contains("http"), "{policy}");
    assert_eq!(page.header("referrer-policy"), "no-referrer");
    assert_eq!(page.header("set-cookie"), "");
    for inline in ["<style", " style=", " onclick=", " onload=", "javascript:", "//"] {
        assert!(!page.text().contains(inline), "the page has {inline}");
    }
    for script in between(page.text(), "<script", "</script>") {
        assert!(script.contains(" src=\"") && script.ends_with('>'), "{script}");
    }
}

#[test]
fn its_links_keep_a_prefix_and_lead_somewhere() {
    let page = get("/");
    let links: Vec<&str> =
        ["src=\"", "href=\""].into_iter().flat_map(|mark| between(page.text(), mark, "\"")).collect();
    let linked: Vec<&str> = links.iter().copied().filter(|link| !link.is_empty()).collect();
    for link in &linked {
        assert!(!link.contains("//") && !link.starts_with('/') && !link.starts_with('.'), "{link}");
        assert_eq!(get(&format!("/{link}")).status, 200, "{link}");
    }
    for path in &PATHS[1..] {
        assert!(linked.contains(&path.trim_start_matches('/')), "{path} is not loaded by the page");
    }
}

#[test]
fn the_page_and_all_that_it_loads_are_small_and_sent_once() {
    let mut bytes = 0;
    for path in PATHS {
        let first = get(path);
        assert_eq!(first.status, 200, "{path}");
        bytes += first.bytes.len();
        let again = ask(Method::GET, path, &[("if-none-match", first.header("etag"))]);
        assert_eq!((again.status, again.bytes.len()), (304, 0), "{path}");
        for answer in [&first, &again] {
            assert_eq!(answer.header("cache-control"), "no-cache", "{path}: parts of two versions could meet");
        }
        let head = ask(Method::HEAD, path, &[]);
        assert_eq!((head.status, head.bytes.len()), (200, 0), "{path}");
        assert_eq!(head.header("content-length"), first.bytes.len().to_string(), "{path}");
    }
    assert!(bytes < 100_000, "the page has {bytes} bytes in all");
    assert!(!get(PATHS[1]).text().contains("url("), "the style loads something");
    for script in &PATHS[2..] {
        assert!(!get(script).text().contains("://"), "{script} names another place");
    }
}

#[test]
fn the_page_comes_as_html_only_and_by_get_only() {
    for accept in ["*/*", "text/html", "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"] {
        assert_eq!(ask(Method::GET, "/", &[("accept", accept)]).status, 200, "{accept}");
    }
    let refused = ask(Method::GET, "/", &[("accept", "application/json")]);
    assert_eq!(refused.status, 406);
    assert_problem(&refused);
    assert_eq!(refused.json()["available"], json!(["text/html"]));
    for path in PATHS {
        let refused = ask(Method::POST, path, &[]);
        assert_eq!((refused.status, refused.header("allow")), (405, "GET, HEAD, OPTIONS"), "{path}");
        assert_problem(&refused);
        assert_eq!(ask(Method::OPTIONS, path, &[]).status, 204, "{path}");
    }
}

#[test]
fn the_page_needs_no_token_where_its_questions_do() {
    let guarded = Running::start(Settings { tokens: vec![Secret("snail".to_owned())], ..Settings::local() }).unwrap();
    for path in PATHS {
        assert_eq!(send(&guarded.url(), (Method::GET, path), &[], Vec::new()).status, 200, "{path}");
    }
    let body = demo("seasons/small-garden.json").to_string().into_bytes();
    let headers = [("content-type", "application/json")];
    assert_eq!(send(&guarded.url(), (Method::POST, "/v1/seasons"), &headers, body).status, 401);
}

#[test]
fn it_starts_with_the_small_garden_of_the_demo_files() {
    let page = get("/").text().replace("&quot;", "\"");
    let example = between(&page, "data-example=\"", "\">")[0];
    assert_eq!(serde_json::from_str::<Value>(example).unwrap(), demo("seasons/small-garden.json"));
}

#[test]
fn its_lists_of_fields_are_those_of_the_requests() {
    let (page, document) = (get("/"), get("/openapi.json").json());
    let listed = |mark: &str| between(page.text(), mark, "\"")[0].split(' ').collect::<BTreeSet<_>>();
    let fields = |schema: &str| {
        let properties = document.pointer(&format!("/components/schemas/{schema}/properties")).unwrap();
        properties.as_object().unwrap().keys().map(String::as_str).collect::<BTreeSet<_>>()
    };
    let of_an_application = listed("data-of-application=\"");
    assert_eq!(of_an_application, fields("ApplicationRequest"));
    assert!(of_an_application.is_subset(&fields("AreaRequest")));
    assert_eq!(listed("data-of-season=\""), &fields("SeasonsRequest") - &fields("BalancesRequest"));
}

/// The options of each choice whose opening tag holds a mark: value and text.
fn options<'t>(page: &'t str, mark: &str) -> Vec<Vec<&'t str>> {
    let selects =
        between(page, "<select", "</select>").into_iter().filter(|one| one.split('>').next().unwrap().contains(mark));
    selects.map(|one| between(one, "<option value=\"", "\"")).collect()
}

#[test]
fn every_unit_that_it_offers_is_read_at_its_field() {
    let page = get("/").text().to_owned();
    let mut seen = 0;
    for field in between(&page, "data-quantity=\"", "</span>") {
        let pointer = field.split('"').next().unwrap();
        let kind = match (pointer, field.contains("ft3/100 ft2"), field.contains("lb/100 ft2"), field.contains("qt/ft"))
        {
            ("/application/rate/amount", true, ..) => "volume_per_area",
            ("/application/rate/amount", _, true, _) => "mass_per_area",
            ("/application/rate/amount", _, _, true) => "volume_per_length",
            ("/application/rate/amount", ..) if field.contains("\"%\"") => "share_of_mix",
            ("/application/rate/amount", ..) if field.contains("\"mm\"") => "depth",
            ("/application/rate/amount", ..) => "per_plant",
            _ => "",
        };
        let units = between(field, "<option value=\"", "\"");
        assert!(units.len() > 1 && units.last() == Some(&""), "{pointer}: {units:?}");
        for default in ["data-metric=\"", "data-us=\""] {
            assert!(units.contains(&between(field, default, "\"")[0]), "{pointer}: {field}");
        }
        for unit in units.iter().filter(|unit| !unit.is_empty()) {
            assert_eq!(
                errors_at_units(pointer, kind, &format!("20 {unit}")),
                Vec::<String>::new(),
                "{pointer} {kind} {unit}"
            );
            seen += 1;
        }
    }
    assert!(seen > 60, "{seen} units");
}

/// The errors about units in a request that has this quantity at the field of the form.
fn errors_at_units(pointer: &str, kind: &str, quantity: &str) -> Vec<String> {
    let surface = |name: &str| json!({"kind": kind_with(name), name: quantity});
    let demand = |application: Value| json!({"demands": [{"application": application}], "stock": []});
    let body = match pointer.rsplit_once('/').unwrap() {
        ("/application/surface", name) => demand(json!({"surface": surface(name)})),
        ("/application/rate", _) => demand(json!({"rate": {"kind": kind, "amount": quantity}})),
        ("/application", name) => demand(json!({name: quantity})),
        ("/ground", name) => json!({"demands": [], "worm_beds": [{"ground": surface(name)}]}),
        ("/sack", name) => json!({"demands": [], "stock": [], "sack": {name: quantity}}),
        (_, "climate") => json!({"demands": [], "climate": quantity}),
        (_, "worms") => json!({"demands": [], "worm_beds": [{"worms": quantity}]}),
        (_, "capacity") => json!({"demands": [], "containers": [{"name": "bucket", "capacity": quantity}]}),
        (_, "amount") => json!({"demands": [{"amount": quantity}], "stock": [{"amount": quantity}]}),
        other => panic!("{other:?} is a new field: say where it goes"),
    };
    let question = if body.get("stock").is_some() { "balances" } else { "seasons" };
    let answer = crate::support::post(question, &body);
    let errors = answer.json()["errors"].as_array().cloned().unwrap_or_default();
    let codes = errors.iter().map(|error| error["code"].as_str().unwrap().to_owned());
    codes.filter(|code| code.contains("unit") || code.contains("number") || code == "unknown_field").collect()
}

/// A shape with this field.
fn kind_with(field: &str) -> &'static str {
    match field {
        "area" => "area",
        "band_width" => "rows",
        "diameter" => "circle",
        "spacing" => "planted_rows",
        "volume" => "pots",
        _ => "rectangle",
    }
}

#[test]
fn every_kind_and_word_that_it_offers_is_known() {
    let page = get("/").text().to_owned();
    let document = get("/openapi.json").json();
    let kinds = |schema: &str| {
        let mapping = document.pointer(&format!("/components/schemas/{schema}/discriminator/mapping")).unwrap();
        mapping.as_object().unwrap().keys().cloned().collect::<Vec<_>>()
    };
    let known = [
        ("/application/surface/kind", kinds("SurfaceInput")),
        ("/application/rate/kind", kinds("RateInput")),
        ("/ground/kind", kinds("GroundInput")),
    ];
    for (pointer, kinds) in known {
        let offered = options(&page, &format!("data-kind=\"{pointer}\"")).concat();
        assert!(offered.len() > 2, "{pointer}");
        for word in offered.iter().filter(|word| !["amount", "castings", "other"].contains(word)) {
            assert!(kinds.iter().any(|kind| kind == word), "{pointer}: {word} is none of {kinds:?}");
        }
    }
    let materials = get("/v1/materials").json();
    let ids: Vec<&str> =
        materials["materials"].as_array().unwrap().iter().map(|one| one["id"].as_str().unwrap()).collect();
    assert_eq!(options(&page, "/feed/material").concat()[1..], ids);
    let rates = get("/v1/rates").json();
    let uses: Vec<&str> =
        rates["rates"].as_array().unwrap().iter().map(|one| one["purpose"].as_str().unwrap()).collect();
    assert_eq!(options(&page, "/application/rate/purpose").concat()[1..], uses);
}

#[test]
fn a_number_is_whole_where_the_document_says_so() {
    let (page, document) = (get("/").text().to_owned(), get("/openapi.json").json());
    let schemas = document["components"]["schemas"].as_object().unwrap();
    // A field that several schemas have is the same kind of number in each.
    let is_whole = |name: &str| {
        let mut kinds =
            schemas.values().filter_map(|schema| schema["properties"].get(name)?.get("type")?.as_str()).peekable();
        assert!(kinds.peek().is_some(), "{name} is no field");
        kinds.all(|kind| kind == "integer")
    };
    let mut seen = 0;
    for control in between(&page, "<input", ">").iter().filter(|control| control.contains("data-type=\"number\"")) {
        let pointer = between(control, "data-at=\"", "\"")[0];
        let name = pointer.rsplit('/').find(|step| step.parse::<u8>().is_err()).unwrap();
        let takes = between(control, "data-takes=\"", "\"")[0];
        let expected =
            if is_whole(name) { "Write a whole number, for example " } else { "Write a number, for example " };
        let example = takes.strip_prefix(expected).unwrap_or_else(|| panic!("{pointer}: {takes}"));
        assert!(example.trim_end_matches('.').parse::<f64>().is_ok(), "{takes}");
        seen += 1;
    }
    assert_eq!(seen, 1 + 1 + 1 + 1 + 12, "how many, priority, price, offset, months");
}

#[test]
fn the_example_says_its_day_and_only_the_day_of_today_is_marked() {
    let page = get("/").text().to_owned();
    let as_of = demo("seasons/small-garden.json")["as_of"].clone();
    let note = between(&page, "<p class=\"small\" id=\"example-day\" ", "</p>")[0];
    assert!(note.starts_with(&format!("data-day={as_of} hidden>")) && note.contains(" 20 Sep 2026. "), "{note}");
    let marked: Vec<&str> =
        between(&page, "<input", ">").into_iter().filter(|control| control.contains("data-today")).collect();
    assert!(matches!(&marked[..], [one] if one.contains("data-at=\"/as_of\"")), "{marked:?}");
}

#[test]
fn the_sheet_of_the_example_has_the_parts_that_the_page_folds() {
    let body = demo("seasons/small-garden.json");
    ok("seasons", &body);
    let sheet = crate::support::form("seasons", "text/html", &body);
    let fine = between(sheet.text(), "<div class=\"fine\">", "</main>")[0].to_owned();
    assert!(fine.contains("<h2>Cautions</h2><ul><li><b>") && fine.contains("<h2>Assumptions</h2><table"), "{fine}");
    assert!(sheet.text().contains("<div class=\"plan\">") && sheet.text().contains("<figure><svg"));
    // The page takes the style out by this mark, and nothing of it holds another.
    for style in between(sheet.text(), "<style>", "</style>") {
        assert!(!style.contains('<'), "{style}");
    }
}

/// A form that nothing sends is a dead end: it shows once its scripts run, and until then the page says how to ask without it.
#[test]
fn without_scripts_the_pages_say_how_to_ask() {
    let page = get("/");
    assert!(page.text().contains("<main hidden") && get("/page/page.js").text().contains("main\").hidden = false"));
    let without = between(page.text(), "<noscript>", "</noscript>")[0];
    for way in ["barrowful ask garden.json", "curl -H 'content-type: application/json'", "localhost:8080/v1/seasons"] {
        assert!(without.contains(way), "{without}");
    }
    let docs = get("/docs/");
    let without = between(docs.text(), "<noscript>", "</noscript>")[0];
    assert!(
        without.contains("curl -H 'content-type: application/json' -d @request.json localhost:8080/v1/"),
        "{without}"
    );
}

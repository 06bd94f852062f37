//! Caching, problem pages, tokens, origins.

use crate::refusals::assert_problem;
use crate::support::{Answer, bed, get, send, service};
use barrowful::http::server::Running;
use barrowful::http::settings::{Secret, Settings};
use reqwest::Method;
use serde_json::Value;

/// The lists of what the service knows.
const LISTS: [&str; 8] = [
    "/v1/materials",
    "/v1/rates",
    "/v1/units",
    "/v1/assumptions",
    "/v1/cautions",
    "/v1/formulas",
    "/v1/sources",
    "/v1/limits",
];

#[test]
fn reference_pages_are_sent_once() {
    for path in LISTS.into_iter().chain(["/openapi.json", "/problems/not-json"]) {
        let first = get(path);
        assert_eq!(first.status, 200, "{path}");
        assert!(first.header("cache-control").contains("max-age"), "{path}");
        let tag = first.header("etag").to_owned();
        assert!(tag.starts_with("W/\""), "{tag}: plain and compressed bytes have one tag, so it is a weak one");
        for known in [tag.as_str(), tag.trim_start_matches("W/"), "*", &format!("\"other\", {tag}")] {
            let again = send(&service(), (Method::GET, path), &[("if-none-match", known)], Vec::new());
            assert_eq!((again.status, again.bytes.len()), (304, 0), "{path} {known}");
            assert_eq!(again.header("etag"), tag);
        }
        let other = send(&service(), (Method::GET, path), &[("if-none-match", "\"other\"")], Vec::new());
        assert_eq!((other.status, other.bytes), (200, first.bytes), "{path}");
    }
}

#[test]
fn the_type_of_every_problem_leads_to_its_page() {
    let document = get("/openapi.json").json();
    let text = document["info"]["description"].as_str().unwrap();
    let slugs: Vec<&str> = text.split('`').filter(|part| part.starts_with("/problems/")).collect();
    assert!(slugs.len() >= 11, "{slugs:?}");
    for slug in slugs {
        let page = get(slug);
        assert_eq!(page.status, 200, "{slug}");
        assert_eq!(page.header("content-type"), "text/plain; charset=utf-8");
        assert!(page.text().lines().count() >= 3, "{slug}");
    }
    for (method, path, slug) in [
        (Method::GET, "/nowhere", "not-found"),
        (Method::DELETE, "/v1/applications", "method-not-allowed"),
        (Method::GET, "/v1/applications/volume", "invalid-request"),
    ] {
        let problem = send(&service(), (method, path), &[], Vec::new()).json();
        let kind = problem["type"].as_str().unwrap();
        assert_eq!(kind, format!("/problems/{slug}"));
        assert!(get(kind).text().contains(problem["title"].as_str().unwrap()));
    }
}

fn started(token: Option<&str>, origins: &[&str]) -> Running {
    let origins = origins.iter().map(|origin| (*origin).to_owned()).collect();
    Running::start(Settings {
        tokens: token.map(|word| Secret(word.to_owned())).into_iter().collect(),
        origins,
        ..Settings::local()
    })
    .unwrap()
}

fn question(base: &str, path: &str, authorization: Option<&str>) -> Answer {
    let mut headers = vec![("content-type", "application/json")];
    headers.extend(authorization.map(|value| ("authorization", value)));
    send(base, (Method::POST, path), &headers, bed().to_string().into_bytes())
}

#[test]
fn with_a_token_only_its_bearers_are_answered() {
    let running = started(Some("hazel"), &[]);
    let base = running.url();
    for wrong in
        [None, Some("Bearer haze"), Some("Bearer hazels"), Some("Bearer"), Some("Basic hazel"), Some("hazel"), Some("")]
    {
        let answer = question(&base, "/v1/applications", wrong);
        assert_eq!(answer.status, 401, "{wrong:?}");
        assert_problem(&answer);
        assert_eq!(answer.header("www-authenticate"), "Bearer");
        // Whoever sent another token is not asked to send one.
        assert_eq!(answer.text().contains("is not one of this service"), wrong.is_some(), "{wrong:?}");
    }
    for right in ["Bearer hazel", "bearer hazel", "BEARER  hazel "] {
        assert_eq!(question(&base, "/v1/applications", Some(right)).status, 200, "{right}");
    }
    let others = ["/openapi.json", "/docs/", "/health/live", "/health/ready", "/problems/no-token"];
    for open in LISTS.into_iter().chain(others) {
        assert_eq!(send(&base, (Method::GET, open), &[], Vec::new()).status, 200, "{open}");
    }
    let cell = "/v1/applications/volume?length=6m&band_width=20cm&rate=1cm";
    assert_eq!(send(&base, (Method::GET, cell), &[], Vec::new()).status, 401);
    assert_eq!(send(&base, (Method::HEAD, cell), &[], Vec::new()).status, 401);
    assert_eq!(send(&base, (Method::OPTIONS, cell), &[], Vec::new()).status, 204);
}

#[test]
fn an_encoded_path_does_not_get_around_the_token() {
    let running = started(Some("hazel"), &[]);
    for path in ["/%761/applications", "/v%31/applications", "/v1/%61pplications", "/%76%31/applications"] {
        let status = question(&running.url(), path, None).status;
        assert!([401, 404].contains(&status), "{path}: {status}");
    }
}

#[test]
fn configured_origins_may_call_and_others_may_not() {
    let running = started(None, &["https://mill.example"]);
    let base = running.url();
    let preflight = |origin, method, asks_for| {
        let headers = [
            ("origin", origin),
            ("access-control-request-method", method),
            ("access-control-request-headers", asks_for),
        ];
        send(&base, (Method::OPTIONS, "/v1/applications"), &headers, Vec::new())
    };
    let all = "content-type,accept,authorization,content-encoding,if-none-match,x-request-id";
    let granted = preflight("https://mill.example", "POST", all);
    assert_eq!(granted.status, 200);
    assert_eq!(granted.header("access-control-allow-origin"), "https://mill.example");
    assert!(granted.header("access-control-allow-methods").contains("POST"));
    for (origin, method, header) in [
        ("https://weir.example", "POST", all),
        ("https://mill.example", "DELETE", all),
        ("https://mill.example", "POST", "x-seed-packet"),
    ] {
        let refused = preflight(origin, method, header);
        assert!((400..500).contains(&refused.status), "{origin} {method} {header}");
        assert_problem(&refused);
        assert!(refused.text().contains("POST, the headers content-type, accept,"), "{}", refused.text());
    }
    let seen = |origin: &str| send(&base, (Method::GET, "/v1/units"), &[("origin", origin)], Vec::new());
    assert_eq!(seen("https://mill.example").header("access-control-allow-origin"), "https://mill.example");
    assert_eq!(seen("https://weir.example").header("access-control-allow-origin"), "");
    assert!(
        seen("https://mill.example")
            .headers
            .get_all("vary")
            .iter()
            .any(|value| value.to_str().unwrap().contains("Origin"))
    );
    assert_eq!(get("/v1/units").header("access-control-allow-origin"), "");
}

#[test]
fn a_refusal_can_be_read_by_a_page_of_a_configured_origin() {
    let running = started(Some("hazel"), &["https://mill.example"]);
    let headers = [("origin", "https://mill.example"), ("content-type", "application/json")];
    let answer = send(&running.url(), (Method::POST, "/v1/applications"), &headers, bed().to_string().into_bytes());
    assert_eq!(answer.status, 401);
    assert_eq!(answer.header("access-control-allow-origin"), "https://mill.example");
}

/// The policy of an answer, part by part.
fn policy(answer: &Answer) -> Vec<&str> {
    answer.header("content-security-policy").split("; ").collect()
}

fn assert_guarded(answer: &Answer, what: &str) {
    assert_eq!(answer.header("vary"), "Accept, Accept-Encoding, Origin", "{what}");
    assert_eq!(answer.header("x-content-type-options"), "nosniff", "{what}");
    assert_eq!(answer.header("referrer-policy"), "no-referrer", "{what}");
    assert!(!answer.header("x-request-id").is_empty(), "{what}");
    let policy = policy(answer);
    for part in ["default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'none'"] {
        assert!(policy.contains(&part), "{what}: {policy:?}");
    }
}

#[test]
fn every_answer_says_what_it_varies_by_and_what_a_browser_may_do_with_it() {
    let paths = [
        "/v1/units",
        "/health/live",
        "/nowhere",
        "/v1/applications",
        "/docs",
        "/docs/",
        "/docs/page.js",
        "/docs/reference/",
        "/docs/reference/swagger-ui.css",
        "/docs/none",
        "/v1/brews/volume?water=9 L",
        "/metrics",
        "/openapi.json",
    ];
    for path in paths {
        assert_guarded(&get(path), path);
    }
    let tag = get("/v1/units").header("etag").to_owned();
    let known = send(&service(), (Method::GET, "/v1/units"), &[("if-none-match", &tag)], Vec::new());
    assert_eq!(known.status, 304);
    assert_guarded(&known, "304");
    for (method, path) in [(Method::OPTIONS, "/v1/units"), (Method::HEAD, "/v1/units"), (Method::DELETE, "/v1/units")] {
        assert_guarded(&send(&service(), (method.clone(), path), &[], Vec::new()), method.as_str());
    }
    let headers = [("accept-encoding", "gzip"), ("content-type", "application/json")];
    assert_guarded(
        &send(&service(), (Method::POST, "/v1/applications"), &headers, bed().to_string().into_bytes()),
        "compressed",
    );
    assert_guarded(&send(&service(), (Method::POST, "/v1/applications"), &headers, b"{".to_vec()), "refused");
}

#[test]
fn pages_load_only_their_own_and_sheets_nothing() {
    for path in ["/docs/", "/docs/reference/"] {
        let page = get(path);
        let policy = policy(&page);
        for part in ["script-src 'self'", "connect-src 'self'", "img-src 'self' data:"] {
            assert!(policy.contains(&part), "{path}: {policy:?}");
        }
        // What the policy would stop is not on the page.
        assert!(!page.text().contains("onclick=") && !page.text().contains("<script>"), "{path}");
    }
    for accept in ["text/html", "image/svg+xml"] {
        let body = crate::support::demo("balances/two-lots.json");
        let sheet = crate::support::form("balances", accept, &body);
        assert!(
            policy(&sheet).contains(&"style-src 'unsafe-inline'")
                && !policy(&sheet).iter().any(|part| part.starts_with("script"))
        );
        assert_guarded(&sheet, accept);
    }
}

#[test]
fn a_page_of_another_origin_may_read_what_it_needs() {
    let running = started(None, &["*"]);
    let answer = send(&running.url(), (Method::GET, "/v1/units"), &[("origin", "https://weir.example")], Vec::new());
    assert_eq!(answer.header("access-control-allow-origin"), "*");
    let exposed = answer.header("access-control-expose-headers").to_ascii_lowercase();
    for name in ["etag", "retry-after", "x-request-id", "allow", "www-authenticate"] {
        assert!(exposed.split(", ").any(|one| one == name), "{name}: {exposed}");
    }
    assert_guarded(&answer, "of another origin");
}

#[test]
fn answers_hold_no_address_of_the_service() {
    let document: Value = get("/openapi.json").json();
    let host = service();
    for server in document["servers"].as_array().unwrap() {
        assert!(!server["url"].as_str().unwrap().contains("://"), "{server}");
    }
    for path in ["/openapi.json", "/docs/", "/nowhere", "/v1/limits"] {
        assert!(!get(path).text().contains(&host), "{path}");
    }
}

#[test]
fn a_cell_may_carry_the_key_in_its_address_and_a_question_may_not() {
    let secret = |word: &str| Secret(word.to_owned());
    let (tokens, key) = (vec![secret("hazel"), secret("rowan")], secret("willow"));
    let running = Running::start(Settings { tokens, address_key: Some(key), ..Settings::local() }).unwrap();
    let base = running.url();
    let cell = "/v1/applications/volume?length=6m&band_width=20cm&rate=1cm";
    let status = |path: &str| send(&base, (Method::GET, path), &[], Vec::new()).status;
    let with_key = |key: &str| format!("{cell}&key={key}");
    assert_eq!(send(&base, (Method::GET, &with_key("willow")), &[], Vec::new()).text(), "12");
    assert_eq!(send(&base, (Method::HEAD, &with_key("willow")), &[], Vec::new()).status, 200);
    assert_eq!(status(&cell.replace('?', "?key=willow&")), 200);
    for wrong in [with_key("willows"), with_key("hazel"), with_key(""), cell.to_owned(), format!("{cell}&Key=willow")] {
        let answer = send(&base, (Method::GET, &wrong), &[], Vec::new());
        let of_key = answer.text().contains("The key in this address is not that of this service");
        assert_eq!((answer.status, of_key), (401, wrong.contains("key=")), "{wrong}");
    }
    for token in ["Bearer hazel", "Bearer rowan"] {
        assert_eq!(send(&base, (Method::GET, cell), &[("authorization", token)], Vec::new()).status, 200, "{token}");
    }
    assert_eq!(question(&base, "/v1/applications?key=willow", None).status, 401);
    // The address of a calendar, refused for what it lacks and not for who asks.
    assert_eq!(status("/v1/seasons?key=willow"), 422);
    assert_eq!(status("/v1/seasons"), 401);
    // Without tokens the key is not looked at.
    assert_eq!(get(&with_key("anything")).text(), "12");
}

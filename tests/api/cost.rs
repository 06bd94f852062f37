//! What a request may cost: estimated before it is done, refused beyond a bound, and never by the length of its body alone.

use crate::process::Process;
use crate::support::{Answer, demo, errors, get, ok, reported, send, with};
use barrowful::garden::work::{MAX_STEPS, Work};
use barrowful::http::limits::MAX_STEPS_AT_ONCE;
use barrowful::http::problem::Problem;
use barrowful::http::resources::Question;
use barrowful::http::resources::applications::Applications;
use barrowful::http::resources::ask::ask_within;
use barrowful::http::resources::balances::Balances;
use barrowful::http::resources::brews::Brews;
use barrowful::http::resources::seasons::Seasons;
use barrowful::http::wire;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use reqwest::Method;
use serde_json::{Value, json};
use std::io::Write;

/// A balance of a few kilobytes: lots, brews of a thousand batches each, and demands with a minimum.
fn batches_and_minimums(lots: usize, brews: usize, minimums: usize) -> Value {
    let stock: Vec<Value> =
        (0..lots).map(|i| json!({"amount": "20 L", "ready_on": format!("2027-05-{:02}", i + 1)})).collect();
    let brew = json!({"brew": {"water": "1000 L", "castings_to_water": "1:10", "brewer": {"capacity": "1 L"},
                               "use_at": "2027-06-12T19:00:00+02:00"}});
    let least = |i: usize| json!({"amount": format!("{} L", 5 + i % 7), "minimum": format!("{} L", 3 + i % 3)});
    let demands: Vec<Value> = vec![brew; brews].into_iter().chain((0..minimums).map(least)).collect();
    json!({"stock": stock, "demands": demands})
}

/// Whether a question is done by the worker that reads it.
fn at_once<Q: Question>(body: &Value) -> Result<bool, Problem> {
    let bytes = serde_json::to_vec(body).unwrap();
    let tree = wire::parse(&bytes).unwrap();
    ask_within::<Q>(&tree, Work::steps(MAX_STEPS_AT_ONCE)).map(|answer| answer.is_some())
}

#[test]
fn many_batches_and_many_minimums_are_refused_before_anything_is_shared() {
    let body = batches_and_minimums(10, 10, 100);
    assert!(body.to_string().len() < 8_192);
    let found = errors("balances", &body);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((&found[0]["pointer"], &found[0]["code"]), (&json!("/demands"), &json!("too_large")));
    let detail = found[0]["detail"].as_str().unwrap();
    for part in
        ["10 lots", "10100 demands", "100 demands with a minimum", "fewer demands with a minimum", "fewer batches"]
    {
        assert!(detail.contains(part), "{part}: {detail}");
    }
    // Either number alone is no trouble.
    let _ = ok("balances", &batches_and_minimums(10, 10, 0));
    let _ = ok("balances", &batches_and_minimums(10, 0, 100));
}

#[test]
fn the_same_is_refused_in_a_season_and_in_its_link() {
    let mut body = batches_and_minimums(10, 10, 60);
    body["until"] = json!("2030-12-31");
    body["simulation_runs"] = json!(0);
    let found = errors("seasons", &body);
    assert_eq!((&found[0]["pointer"], &found[0]["code"]), (&json!("/demands"), &json!("too_large")));
    let request = URL_SAFE_NO_PAD.encode(body.to_string());
    assert!(request.len() <= 8_192, "{}", request.len());
    let answer = get(&format!("/v1/seasons?request={request}"));
    assert_eq!(answer.status, 422, "{}", answer.text());
    assert_eq!(answer.json()["errors"][0]["code"], "too_large");
}

#[test]
fn what_sharing_takes_is_not_there_for_draws() {
    let mut body = batches_and_minimums(10, 5, 25);
    body["until"] = json!("2030-12-31");
    body["simulation_runs"] = json!(100_000);
    let most = |body: &Value| {
        let found = errors("seasons", body);
        assert_eq!((&found[0]["pointer"], &found[0]["code"]), (&json!("/simulation_runs"), &json!("too_large")));
        found[0]["max"].as_f64().unwrap()
    };
    let beside_leasts = most(&body);
    for demand in body["demands"].as_array_mut().unwrap() {
        demand.as_object_mut().unwrap().remove("minimum");
    }
    assert!(beside_leasts < most(&body));
}

#[test]
fn the_work_of_variants_counts_together() {
    let problem = |variant: &Value| variant.get("problem").map(|problem| problem["errors"][0].clone());
    // Up to 4 million steps each, of 80 million: the last ones have no place.
    let mut body = batches_and_minimums(10, 0, 100);
    body["variants"] = (0..20).map(|n| json!({"name": n.to_string(), "change": {}})).collect();
    let answer = ok("balances", &body);
    let found: Vec<Option<Value>> = answer["variants"].as_array().unwrap().iter().map(problem).collect();
    let answered = found.iter().filter(|problem| problem.is_none()).count();
    assert!((15..20).contains(&answered), "{answered}");
    assert!(found[..answered].iter().all(Option::is_none));
    let first = found[answered].as_ref().unwrap();
    assert_eq!((&first["pointer"], &first["code"]), (&json!("/demands"), &json!("too_large")));
    assert!(first["detail"].as_str().unwrap().contains("with all that was answered before it"), "{first}");

    // What the season itself takes is not there for the draws of its variant.
    let mut season = batches_and_minimums(10, 5, 12);
    season["until"] = json!("2030-12-31");
    season["simulation_runs"] = json!(100_000);
    let alone = errors("seasons", &season)[0]["max"].as_f64().unwrap();
    season["simulation_runs"] = json!(0);
    season["variants"] = json!([{"name": "drawn", "change": {"simulation_runs": 100_000}}]);
    let drawn = problem(&ok("seasons", &season)["variants"][0]).unwrap();
    assert_eq!((&drawn["pointer"], &drawn["code"]), (&json!("/simulation_runs"), &json!("too_large")));
    assert!(drawn["max"].as_f64().unwrap() < alone, "{drawn} beside {alone}");
}

#[test]
fn a_short_request_of_much_work_is_not_done_by_the_worker_that_reads_it() {
    assert!(!at_once::<Balances>(&batches_and_minimums(1, 5, 0)).unwrap());
    assert!(!at_once::<Balances>(&batches_and_minimums(20, 0, 60)).unwrap());
    assert!(!at_once::<Brews>(&json!({"brews": [batches_and_minimums(0, 1, 0)["demands"][0]["brew"]]})).unwrap());
    let mut season = demo("seasons/one-demand.json");
    assert!(!at_once::<Seasons>(&season).unwrap());
    season["simulation_runs"] = json!(0);
    for field in ["additional_production", "seed"] {
        season.as_object_mut().unwrap().remove(field);
    }
    assert!(at_once::<Seasons>(&season).unwrap());
    for small in ["two-lots", "kitchen-garden", "not-worth-less", "early-crops"] {
        assert!(at_once::<Balances>(&demo(&format!("balances/{small}.json"))).unwrap(), "{small}");
    }
    assert!(at_once::<Applications>(&demo("applications/kitchen-garden.json")).unwrap());
    assert!(at_once::<Brews>(&demo("brews/drench-for-the-rows.json")).unwrap());
    // What is wrong is reported at once, too.
    assert!(at_once::<Balances>(&json!({"stock": [], "demands": []})).is_err());
}

#[test]
fn the_page_of_limits_says_how_much_work_an_answer_may_take() {
    assert_eq!(get("/v1/limits").json()["steps"], MAX_STEPS);
}

/// So many blanks, compressed.
fn blanks(megabytes: usize, encoding: &str) -> Vec<u8> {
    let block = vec![b' '; 1 << 20];
    packed(encoding, |writer| (0..megabytes).for_each(|_| writer.write_all(&block).unwrap()))
}

/// What is written, compressed.
fn packed(encoding: &str, fill: impl Fn(&mut dyn Write)) -> Vec<u8> {
    let mut packed = Vec::new();
    match encoding {
        "br" => fill(&mut brotli::CompressorWriter::new(&mut packed, 1 << 16, 1, 24)),
        "gzip" => fill(&mut flate2::write::GzEncoder::new(&mut packed, flate2::Compression::fast())),
        _ => fill(&mut flate2::write::ZlibEncoder::new(&mut packed, flate2::Compression::fast())),
    }
    packed
}

/// The answer to a compressed request.
fn posted(process: &Process, encoding: &str, body: &[u8]) -> Answer {
    let headers = [("content-type", "application/json"), ("content-encoding", encoding)];
    send(&process.url, (Method::POST, "/v1/brews"), &headers, body.to_vec())
}

/// How much more memory a process has taken at the most than at rest, kB.
fn grown(process: &Process, idle: u64) -> u64 {
    process.memory("VmHWM").saturating_sub(idle)
}

#[test]
fn a_small_body_that_inflates_to_much_is_refused_without_holding_it() {
    let process = Process::start(&[]);
    let idle = process.memory("VmHWM");
    for encoding in ["br", "gzip", "deflate"] {
        assert_eq!(posted(&process, encoding, &blanks(128, encoding)).status, 413, "{encoding}");
        assert!(grown(&process, idle) < 64_000, "{encoding}: {} kB", grown(&process, idle));
    }
}

/// Five teas of a thousand batches each are ten thousand tasks; a table of them, a text and a calendar take no more than one long
/// question may.
#[test]
fn a_season_of_very_many_tasks_is_written_in_bounded_memory() {
    let season = with(&batches_and_minimums(10, 5, 0), "/until", json!("2030-12-31"));
    let body = serde_json::to_vec(&with(&season, "/simulation_runs", json!(0))).unwrap();
    let process = Process::start(&["--deadline", "60"]);
    let idle = process.memory("VmHWM");
    for accept in ["text/csv", "text/plain", "text/calendar"] {
        let headers = [("content-type", "application/json"), ("accept", accept)];
        let answer = send(&process.url, (Method::POST, "/v1/seasons?table=work"), &headers, body.clone());
        assert_eq!(answer.status, 200, "{accept}: {}", answer.text());
        assert!(grown(&process, idle) < 80_000, "{accept}: {} kB", grown(&process, idle));
    }
}

#[test]
fn a_compressed_body_is_read_up_to_its_last_byte_and_no_further() {
    let body = serde_json::to_vec(&demo("brews/one-brew.json")).unwrap();
    let process = Process::start(&[]);
    for encoding in ["br", "gzip", "deflate"] {
        let whole = packed(encoding, |writer| writer.write_all(&body).unwrap());
        assert_eq!(posted(&process, encoding, &whole).status, 200, "{encoding}");
        let more: Vec<u8> = whole.iter().copied().chain(*b"{\"more\": 1}").collect();
        for damaged in [&whole[..whole.len() / 2], &more] {
            let answer = posted(&process, encoding, damaged);
            assert_eq!(answer.status, 400, "{encoding}");
            assert!(answer.text().contains("encoding is damaged"), "{encoding}: {}", answer.text());
        }
    }
}

/// Small lots and batches that are each a little more than all lots hold: every one of them would take many lots, and none can be had.
#[test]
fn portions_that_no_lots_fill_are_given_up_at_once() {
    let mut stock = vec![json!({"amount": "1 L"}); 318];
    stock.push(json!({"amount": "2 L", "use_by": "2027-01-01"}));
    let brew = json!({"water": "318000 L", "castings_to_water": "1:1", "brewer": {"capacity": "318.5 L"},
                      "use_at": "2027-06-12T19:00:00+02:00"});
    let demands = vec![json!({"brew": brew, "whole_portions": true}); 10];
    let answer = ok("balances", &json!({"stock": stock, "demands": demands}));
    assert_eq!(answer["total"]["allocated"]["value"], 0);
}

/// Beds of thin layers over ten years give thousands of harvests: too many to explain, of a season and of a forecast.
#[test]
fn harvests_to_come_count_among_what_is_explained() {
    let bed = json!({"ground": {"kind": "area", "area": "4 m2"}, "layers_per_cycle": 1, "start_on": "2027-01-01"});
    let feed = json!({"moisture": "75 %", "ash": "15 %", "supply": {"kind": "as_needed"}});
    let climate = json!({"unit": "C", "fixed": 20});
    let season = json!({"climate": climate, "feed_supply": feed, "assumptions": {"bed.layer": "2.2 mm"}, "until": "2036-12-31",
                        "simulation_runs": 0, "worm_beds": vec![bed; 5], "demands": [{"amount": "9 L"}], "explain": true});
    let forecast = json!({"start_on": "2027-01-01", "until": "2036-12-31", "layers_per_cycle": 1, "feed": feed, "climate": climate});
    let one = json!({"ground": {"kind": "area", "area": "4 m2"}, "forecast": forecast});
    let harvests = json!({"assumptions": {"bed.layer": "2.2 mm"}, "worm_beds": vec![one; 5], "explain": true});
    for (question, body) in [("seasons", season), ("harvests", harvests)] {
        let found = errors(question, &body);
        assert_eq!((&found[0]["pointer"], &found[0]["code"]), (&json!("/explain"), &json!("too_large")), "{found:?}");
        let mut plain = body;
        plain["explain"] = json!(false);
        let _ = ok(question, &plain);
    }
}

/// Every batch of a tea has its figures, in each container.
#[test]
fn batches_count_among_what_is_explained() {
    let brew = |water: &str| json!({"water": water, "castings_to_water": "1:10", "brewer": {"capacity": "1 L"}});
    let asked = |water: &str| json!({"brews": [brew(water)], "explain": true});
    assert_eq!(reported("brews", &asked("500 L")), ["/explain too_large"]);
    assert_eq!(ok("brews", &asked("499 L"))["brews"][0]["batches"].as_array().unwrap().len(), 499);
}

/// Of a tea of two hundred batches, brewed again and again, each batch is two tasks, and each is shared by itself.
#[test]
fn a_short_request_that_is_repeated_comes_to_no_more_than_an_answer_lists() {
    let brew = json!({"water": "200 L", "castings_to_water": "1:10", "brewer": {"capacity": "1 L"},
                      "use_at": "2027-06-12T19:00:00+02:00"});
    let asked = |times: u32| json!({"stock": [{"amount": "2000 L"}], "demands": [{"brew": brew, "repeat": {"every": "2 d", "times": times}}]});
    let season = |times: u32| with(&with(&asked(times), "/until", json!("2031-12-31")), "/simulation_runs", json!(0));
    assert_eq!(ok("seasons", &season(29))["work"].as_array().unwrap().len(), 11_600);
    assert_eq!(reported("seasons", &season(31)), [" too_large"]);
    let _ = ok("balances", &asked(240));
    assert_eq!(reported("balances", &asked(260)), ["/demands too_large"]);
}

/// One harvest of a thousand thin layers: each layer has some twenty figures, so they count too.
#[test]
fn layers_count_among_what_is_explained() {
    let bed = json!({"ground": {"kind": "area", "area": "4 m2"}, "layers_per_cycle": 1000, "start_on": "2027-01-01"});
    let feed = json!({"moisture": "75 %", "ash": "15 %", "supply": {"kind": "as_needed"}});
    let season = |layer: &str| {
        json!({"climate": {"unit": "C", "fixed": 20}, "feed_supply": feed, "assumptions": {"bed.layer": layer}, "until": "2027-12-31",
               "simulation_runs": 0, "worm_beds": [bed], "demands": [{"amount": "9 L"}], "explain": true})
    };
    assert_eq!(reported("seasons", &season("2.2 mm")), ["/explain too_large"]);
    let answer = ok("seasons", &season("10 mm"));
    let layers = answer["worm_beds"][0]["forecast"]["layers"].as_array().unwrap().len();
    assert!((50..500).contains(&layers), "{layers}");
    assert!(answer["explanations"].as_array().unwrap().len() > 3 * layers);
}

#[test]
fn a_long_address_is_refused_before_it_is_read() {
    let names: Vec<String> = (0..6_000).map(|i| format!("a{i:x}")).collect();
    let answer = get(&format!("/v1/seasons?{}", names.join("&")));
    assert_eq!(answer.status, 422, "{}", answer.text());
    assert_eq!(answer.json()["errors_total"], 1);
}

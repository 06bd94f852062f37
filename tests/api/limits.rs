//! Limits: the document and the service agree at the least, the most, and just outside.

use crate::support::{bed, demo, errors, get, ok, with};
use barrowful::http::limits::MAX_BATCHES;
use serde_json::{Value, json};

/// A field with a limit: the schema and property that state it, and a request with a value of it.
struct Limit {
    schema: &'static str,
    property: &'static str,
    resource: &'static str,
    body: Value,
    pointer: &'static str,
}

fn limit(
    schema: &'static str,
    property: &'static str,
    (resource, body, pointer): (&'static str, Value, &'static str),
) -> Limit {
    Limit { schema, property, resource, body, pointer }
}

fn brew() -> (&'static str, Value) {
    ("brews", demo("brews/one-brew.json"))
}

fn balance() -> Value {
    json!({"stock": [{"amount": "9 L"}], "demands": [{"amount": "1 L"}], "sack": {"capacity": "40 L"}})
}

/// A bed with hardly any feed, so that bounds of it cost no time.
fn season() -> Value {
    json!({"climate": {"unit": "C", "fixed": 20},
           "feed_supply": {"moisture": "70 %", "ash": "15 %", "supply": {"kind": "amount", "amount": "1 kg"}},
           "worm_beds": [{"ground": {"kind": "area", "area": "1 m2"}, "start_on": "2027-03-01", "layers_per_cycle": 1}],
           "demands": [{"amount": "1 L", "on": "2027-04-01"}]})
}

fn with_surface(surface: Value, rate: &Value) -> Value {
    with(&with(&bed(), "/areas/0/surface", surface), "/areas/0/rate", rate.clone())
}

fn numbers() -> Vec<Limit> {
    let count = "/areas/0/surface/count";
    let each = json!({"kind": "per_plant", "amount": "1 mL"});
    let plants = with_surface(json!({"kind": "plants", "count": 1}), &each);
    let planted = with_surface(json!({"kind": "planted_rows", "length": "1 mm", "spacing": "1 mm"}), &each);
    let pots = with_surface(json!({"kind": "pots", "volume": "1 L"}), &each);
    let depth = json!({"kind": "depth", "amount": "1 mm"});
    let ground = |ground: Value| ("applications", with_surface(ground, &depth), count);
    let heap = json!({"heaps": [{"kind": "counted", "count": 1, "capacity": "1 L"}]});
    let tapered = json!({"kind": "tapered_pots", "top_diameter": "2 cm", "bottom_diameter": "1 cm", "height": "2 cm"});
    vec![
        limit("Rectangle", "count", ground(json!({"kind": "rectangle", "length": "1 m", "width": "1 m"}))),
        limit("Circle", "count", ground(json!({"kind": "circle", "diameter": "1 m"}))),
        limit("Ring", "count", ground(json!({"kind": "ring", "diameter": "1 m", "inner_diameter": "1 cm"}))),
        limit("Rows", "count", ground(json!({"kind": "rows", "length": "1 m", "band_width": "1 cm"}))),
        limit("PlainArea", "count", ground(json!({"kind": "area", "area": "1 m2"}))),
        limit("Plants", "count", ("applications", plants, count)),
        limit("PlantedRows", "count", ("applications", planted, count)),
        limit("Pots", "count", ("applications", pots, count)),
        limit("TaperedPots", "count", ("applications", with_surface(tapered, &each), count)),
        limit("CountedHeap", "count", ("harvests", heap, "/heaps/0/count")),
        limit("BrewerRequest", "count", (brew().0, brew().1, "/brews/0/brewer/count")),
        limit("DemandRequest", "priority", ("balances", balance(), "/demands/0/priority")),
        limit("SackRequest", "price", ("balances", balance(), "/sack/price")),
        limit("SeasonsRequest", "revision", ("seasons", season(), "/revision")),
        limit("SeasonsRequest", "simulation_runs", ("seasons", season(), "/simulation_runs")),
        limit("SeasonsRequest", "seed", ("seasons", season(), "/seed")),
        limit("BalancesRequest", "simulation_runs", ("balances", balance(), "/simulation_runs")),
        limit("BalancesRequest", "seed", ("balances", balance(), "/seed")),
        limit("SeasonBedRequest", "layers_per_cycle", ("seasons", season(), "/worm_beds/0/layers_per_cycle")),
        limit("SeasonBedRequest", "cycles", ("seasons", season(), "/worm_beds/0/cycles")),
    ]
}

/// The schema of a property; of one that may be null, the other part of it.
fn stated(document: &Value, schema: &str, property: &str) -> Value {
    let stated = &document["components"]["schemas"][schema]["properties"][property];
    stated["oneOf"].get(0).unwrap_or(stated).clone()
}

fn schema(document: &Value, limit: &Limit) -> Value {
    stated(document, limit.schema, limit.property)
}

/// The errors of a body that must be refused at the limit's place alone.
fn refused(limit: &Limit, value: Value, code: &str) -> Value {
    let mut found = errors(limit.resource, &with(&limit.body, limit.pointer, value.clone()));
    // The last brew of a list that is too long is also one batch too many.
    let last = format!("/brews/{MAX_BATCHES}");
    found.retain(|error| error["pointer"] != last.as_str() || error["code"] != "too_large");
    assert_eq!(found.len(), 1, "{} {}: {found:?}", limit.schema, limit.property);
    assert_eq!(found[0]["pointer"], limit.pointer);
    assert_eq!(found[0]["code"], code, "{} {}", limit.schema, limit.property);
    found[0].clone()
}

#[test]
fn numbers_are_accepted_from_the_documented_least_to_the_most() {
    let document = get("/openapi.json").json();
    for limit in numbers() {
        let schema = schema(&document, &limit);
        let (min, max) = (schema["minimum"].as_i64().unwrap(), schema["maximum"].as_i64().unwrap());
        for inside in [min, max] {
            ok(limit.resource, &with(&limit.body, limit.pointer, json!(inside)));
        }
        for outside in [min - 1, max + 1] {
            let error = refused(&limit, json!(outside), "out_of_range");
            assert_eq!((&error["min"], &error["max"]), (&json!(min), &json!(max)), "{}", limit.schema);
        }
    }
    let limits = get("/v1/limits").json();
    assert_eq!(limits["count"], document["components"]["schemas"]["Rectangle"]["properties"]["count"]["maximum"]);
}

#[test]
fn texts_are_accepted_from_the_documented_shortest_to_the_longest() {
    let document = get("/openapi.json").json();
    let heap = json!({"heaps": [{"kind": "cone", "diameter": "1 m", "height": "1 m"}]});
    let texts = [
        limit("ApplicationsRequest", "id", ("applications", bed(), "/id")),
        limit("ApplicationsRequest", "name", ("applications", bed(), "/name")),
        limit("AreaRequest", "id", ("applications", bed(), "/areas/0/id")),
        limit("AreaRequest", "name", ("applications", bed(), "/areas/0/name")),
        limit("WormBedRequest", "name", ("harvests", demo("harvests/one-bed.json"), "/worm_beds/0/name")),
        limit("ConeHeap", "name", ("harvests", heap, "/heaps/0/name")),
        limit("BrewRequest", "name", (brew().0, brew().1, "/brews/0/name")),
        limit("StockRequest", "name", ("balances", balance(), "/stock/0/name")),
        limit("DemandRequest", "id", ("balances", balance(), "/demands/0/id")),
        limit("SackRequest", "currency", ("balances", balance(), "/sack/currency")),
    ];
    for limit in texts {
        let schema = schema(&document, &limit);
        let bound = |name: &str| usize::try_from(schema[name].as_u64().unwrap()).unwrap();
        let (min, max) = (bound("minLength"), bound("maxLength"));
        for inside in ["x".repeat(min), "\u{1f955}".repeat(max)] {
            ok(limit.resource, &with(&limit.body, limit.pointer, json!(inside)));
        }
        for outside in [min - 1, max + 1] {
            let error = refused(&limit, json!("\u{e9}".repeat(outside)), "wrong_length");
            assert_eq!((&error["min"], &error["max"]), (&json!(min), &json!(max)), "{}", limit.schema);
        }
        refused(&limit, json!("a\u{7}"), "bad_text");
    }
}

/// Makes a list of so many items.
type MakeList = Box<dyn Fn(usize) -> Value>;

/// A list of so many items made by a function.
fn list(count: usize, item: impl Fn(usize) -> Value) -> Value {
    (0..count).map(item).collect()
}

/// Points on a circle.
fn corner(n: usize, of: usize) -> Value {
    let angle = std::f64::consts::TAU * f64::from(u32::try_from(n).unwrap()) / f64::from(u32::try_from(of).unwrap());
    json!({"x": 20.0 * angle.cos(), "y": 20.0 * angle.sin()})
}

#[test]
fn lists_are_accepted_from_the_documented_shortest_to_the_longest() {
    let document = get("/openapi.json").json();
    let polygon = with(&bed(), "/areas/0/surface", json!({"kind": "polygon", "unit": "m", "corners": []}));
    let cone = json!({"kind": "cone", "diameter": "1 m", "height": "1 m"});
    let bed_request = demo("harvests/one-bed.json");
    let one_bed = bed_request["worm_beds"][0].clone();
    let heaps = json!({"worm_beds": [one_bed], "heaps": []});
    let supply = json!({"kind": "deliveries", "deliveries": []});
    let delivered = with(&season(), "/worm_beds/0/feed", json!({"moisture": "70 %", "ash": "15 %", "supply": supply}));
    let lists: Vec<(Limit, MakeList)> = vec![
        (
            limit("Polygon", "corners", ("applications", polygon, "/areas/0/surface/corners")),
            Box::new(|n| list(n, |i| corner(i, n))),
        ),
        (
            limit("ApplicationsRequest", "containers", ("applications", bed(), "/containers")),
            Box::new(|n| list(n, |i| json!({"name": format!("tub {i}"), "capacity": "9 L"}))),
        ),
        (
            limit("HarvestsRequest", "heaps", ("harvests", heaps, "/heaps")),
            Box::new(move |n| list(n, |_| cone.clone())),
        ),
        (
            limit(
                "HarvestsRequest",
                "worm_beds",
                ("harvests", json!({"heaps": [{"kind": "counted", "count": 1, "capacity": "1 L"}]}), "/worm_beds"),
            ),
            Box::new(move |n| list(n, |_| one_bed.clone())),
        ),
        (
            limit("BrewRequest", "additives", (brew().0, brew().1, "/brews/0/additives")),
            Box::new(|n| list(n, |_| json!("kelp"))),
        ),
        (
            limit("BalancesRequest", "stock", ("balances", balance(), "/stock")),
            Box::new(|n| list(n, |_| json!({"amount": "1 L"}))),
        ),
        (
            limit("BalancesRequest", "demands", ("balances", balance(), "/demands")),
            Box::new(|n| list(n, |_| json!({"amount": "1 mL"}))),
        ),
        (
            limit("BrewsRequest", "brews", (brew().0, brew().1, "/brews")),
            Box::new(|n| list(n, |_| json!({"water": "10 L"}))),
        ),
        (
            limit("SeasonsRequest", "stock", ("seasons", season(), "/stock")),
            Box::new(|n| list(n, |_| json!({"amount": "1 L"}))),
        ),
        (
            limit("FeedOnDates", "deliveries", ("seasons", delivered, "/worm_beds/0/feed/supply/deliveries")),
            Box::new(|n| list(n, |_| json!({"on": "2027-03-01", "amount": "1 g"}))),
        ),
    ];
    for (limit, make) in lists {
        let schema = schema(&document, &limit);
        let bound = |name: &str| schema[name].as_u64().map_or(0, |n| usize::try_from(n).unwrap());
        let (min, max) = (bound("minItems"), bound("maxItems"));
        for inside in [min, max] {
            ok(limit.resource, &with(&limit.body, limit.pointer, make(inside)));
        }
        for outside in [min.checked_sub(1), Some(max + 1)].into_iter().flatten() {
            let error = refused(&limit, make(outside), "wrong_length");
            assert_eq!((&error["min"], &error["max"]), (&json!(min), &json!(max)), "{}", limit.schema);
        }
    }
}

#[test]
fn the_page_of_limits_and_the_document_agree() {
    let (limits, document) = (get("/v1/limits").json(), get("/openapi.json").json());
    for (name, schema, property, bound) in [
        ("items", "ApplicationsRequest", "areas", "maxItems"),
        ("items", "BrewsRequest", "brews", "maxItems"),
        ("items", "BalancesRequest", "demands", "maxItems"),
        ("stock", "BalancesRequest", "stock", "maxItems"),
        ("worm_beds", "HarvestsRequest", "worm_beds", "maxItems"),
        ("worm_beds", "HarvestsRequest", "heaps", "maxItems"),
        ("containers", "BrewsRequest", "containers", "maxItems"),
        ("corners", "Polygon", "corners", "maxItems"),
        ("name_characters", "AreaRequest", "name", "maxLength"),
        ("errors", "Problem", "errors", "maxItems"),
        ("items", "SeasonsRequest", "demands", "maxItems"),
        ("stock", "SeasonsRequest", "stock", "maxItems"),
        ("worm_beds", "SeasonsRequest", "worm_beds", "maxItems"),
        ("materials", "AdditionalProductionRequest", "materials", "maxItems"),
        ("simulation_runs", "SeasonsRequest", "simulation_runs", "maximum"),
        ("simulation_runs", "BalancesRequest", "simulation_runs", "maximum"),
        ("seed", "SeasonsRequest", "seed", "maximum"),
        ("revision", "SeasonsRequest", "revision", "maximum"),
        ("layers_per_cycle", "SeasonBedRequest", "layers_per_cycle", "maximum"),
        ("cycles", "SeasonBedRequest", "cycles", "maximum"),
    ] {
        assert_eq!(limits[name], stated(&document, schema, property)[bound], "{name} {schema}.{property}");
    }
}

#[test]
fn quantities_are_accepted_between_the_bounds_of_the_page_of_limits() {
    let limits = get("/v1/limits").json();
    let bounds = limits["quantities"].as_array().unwrap();
    let length = bounds.iter().find(|one| one["dimension"] == "length").unwrap();
    let at = |value: &Value| with(&bed(), "/areas/0/surface/length", json!({"value": value, "unit": length["unit"]}));
    let short = json!({"kind": "rectangle", "length": {"value": length["min"], "unit": "m"}, "width": "10 m"});
    ok("applications", &with(&bed(), "/areas/0/surface", short));
    ok("applications", &at(&length["max"]));
    for outside in [length["min"].as_f64().unwrap() * 0.99, length["max"].as_f64().unwrap() * 1.001] {
        assert_eq!(errors("applications", &at(&json!(outside)))[0]["code"], "out_of_range");
    }
    let volume = bounds.iter().find(|one| one["dimension"] == "volume").unwrap();
    for inside in ["min", "max"] {
        let quantity = json!({"value": volume[inside], "unit": volume["unit"]});
        ok("balances", &with(&balance(), "/demands/0/amount", quantity));
    }
}

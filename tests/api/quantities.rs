//! Quantities on the wire.

use crate::support::{bed, brief, errors, get, ok, q, reported, with};
use serde_json::{Value, json};

const LENGTH: &str = "/areas/0/surface/length";

fn litres(length: Value) -> Value {
    ok("applications", &with(&bed(), LENGTH, length))["areas"][0]["castings"]["volume"]["value"].clone()
}

#[test]
fn a_text_and_an_object_are_the_same() {
    for length in [
        json!("2 m"),
        json!("2m"),
        json!(" 2\u{a0}m "),
        json!("2.0 m"),
        json!("200 cm"),
        json!("2e0 m"),
        json!("2 Metres"),
        q(json!(2), "m"),
        q(json!(2.0), "m"),
        q(json!(200), "cm"),
        q(json!(2), " m "),
        json!({"unit": "m", "value": 2, "low": null, "high": null}),
    ] {
        assert_eq!(litres(length.clone()), 20, "{length}");
    }
    for (length, wanted) in
        [("1/2 m", json!(5)), ("1 1/2 m", json!(15)), ("½ m", json!(5)), ("2½ m", json!(25)), ("1 in", json!(0.254))]
    {
        assert_eq!(litres(json!(length)), wanted, "{length}");
    }
}

#[test]
fn feet_and_inches_are_one_length() {
    for length in ["6 ft 4 in", "6' 4\"", "6'4\"", "76 in", "6' 3 2/2\""] {
        assert_eq!(litres(json!(length)), 19.304, "{length}");
    }
    let found = errors("applications", &with(&bed(), LENGTH, json!("6' 14\"")));
    assert_eq!(brief(&found), [format!("{LENGTH} bad_number")]);
    assert!(found[0]["detail"].as_str().unwrap().contains("write \"7 ft 2 in\""), "{}", found[0]["detail"]);
}

/// Two US gallons are 462 in3 or 7.57 L (NIST Handbook 44, Appendix C).
#[test]
fn with_us_units_a_gallon_is_the_us_one_and_the_answer_says_where() {
    let mut body = json!({
        "units": "us",
        "containers": [{"name": "pail", "capacity": "5 gal"}],
        "brews": [{"water": "2 gal", "castings_to_water": "1:10"}, {"water": "2 US gal", "castings_to_water": "1:10"}],
    });
    let answer = ok("brews", &body);
    assert_eq!(answer["brews"][0]["castings"]["volume"], answer["brews"][1]["castings"]["volume"]);
    let reported =
        answer["cautions"].as_array().unwrap().iter().find(|one| one["rule"] == "us_customary_units").unwrap();
    assert_eq!(reported["severity"], "notice");
    assert_eq!(reported["at"], json!(["/brews/0/water", "/containers/0/capacity"]));
    body["units"] = json!("metric");
    let found = errors("brews", &body);
    assert_eq!(brief(&found), ["/containers/0/capacity ambiguous_unit", "/brews/0/water ambiguous_unit"]);
    assert_eq!(found[1]["allowed"], json!(["US gal", "imp gal"]));
    // The caution is a place where to look, so a request without such a name has none.
    body["units"] = json!("us");
    body["containers"] = json!(null);
    body["brews"] = json!([{"water": "2 US gal", "castings_to_water": "1:10"}]);
    assert!(!ok("brews", &body)["cautions"].to_string().contains("us_customary_units"));
}

#[test]
fn a_capital_t_is_no_tonne() {
    let body = json!({"units": "us", "stock": [{"amount": "2 T"}], "demands": [{"amount": "20 L"}]});
    let found = errors("balances", &body);
    assert_eq!(brief(&found), ["/stock/0/amount ambiguous_unit"]);
    assert_eq!(found[0]["allowed"], json!(["t", "short ton", "long ton"]));
}

#[test]
fn a_bare_number_is_refused_and_the_units_that_fit_are_named() {
    let found = errors("applications", &with(&bed(), LENGTH, json!(2)));
    assert_eq!(brief(&found), [format!("{LENGTH} unit_missing")]);
    assert_eq!(found[0]["allowed"], json!(["mm", "cm", "m", "km", "in", "ft", "yd"]));
    assert_eq!(reported("applications", &with(&bed(), LENGTH, json!("2"))), [format!("{LENGTH} unit_missing")]);
    assert_eq!(
        reported("applications", &with(&bed(), LENGTH, q(json!(2), ""))),
        [format!("{LENGTH}/unit unit_missing")]
    );
}

#[test]
fn null_counts_as_left_out() {
    let body = with(&with(&bed(), "/containers", json!(null)), "/areas/0/surface/count", json!(null));
    assert_eq!(ok("applications", &body)["areas"][0]["castings"]["volume"]["value"], 20);
    assert_eq!(reported("applications", &with(&bed(), LENGTH, json!(null))), [format!("{LENGTH} missing_field")]);
}

#[test]
fn texts_that_can_be_read_in_two_ways_are_refused() {
    for (length, code) in [
        ("1,5 m", "bad_number"),
        ("1.000,5 m", "bad_number"),
        ("1 000 m", "bad_number"),
        ("1'000 m", "bad_number"),
        ("-2 m", "bad_number"),
        ("+2 m", "bad_number"),
        ("", "bad_number"),
        ("m", "bad_number"),
        ("NaN m", "bad_number"),
        ("inf m", "bad_number"),
        ("1e999 m", "bad_number"),
        ("1/0 m", "bad_number"),
        ("2 L", "unit_does_not_fit"),
        ("2 n", "unknown_unit"),
        ("2 m m", "unknown_unit"),
        ("0 m", "out_of_range"),
        ("1e308 m", "out_of_range"),
        ("1e-308 m", "out_of_range"),
        ("200000 m", "out_of_range"),
        ("0x2 m", "unknown_unit"),
    ] {
        assert_eq!(
            reported("applications", &with(&bed(), LENGTH, json!(length))),
            [format!("{LENGTH} {code}")],
            "{length}"
        );
    }
    let both = errors("applications", &with(&bed(), LENGTH, json!("1,5 m")));
    let detail = both[0]["detail"].as_str().unwrap();
    assert!(detail.contains("1.5 m") && detail.contains("15 m"), "{detail}");
}

#[test]
fn units_of_several_sizes_are_refused_with_the_sizes_they_may_have() {
    let body = json!({"stock": [], "demands": [{"amount": "2 gal"}, {"amount": "3 bu"}, {"amount": "1 qt"}]});
    let found = errors("balances", &body);
    let wanted = [0, 1, 2].map(|n| format!("/demands/{n}/amount ambiguous_unit"));
    assert_eq!(brief(&found), wanted);
    assert_eq!(found[0]["allowed"], json!(["US gal", "imp gal"]));
}

#[test]
fn a_fraction_where_a_share_is_due_is_asked_about() {
    let mix = json!({"areas": [{"surface": {"kind": "pots", "volume": "3 L"}, "rate": {"kind": "share_of_mix", "amount": 0.2}}]});
    for amount in [json!(0.2), json!("0.2")] {
        let found = errors("applications", &with(&mix, "/areas/0/rate/amount", amount));
        assert_eq!(brief(&found), ["/areas/0/rate/amount share_without_percent"]);
        assert_eq!(found[0]["nearest"], "20 %");
    }
}

#[test]
fn low_value_and_high_are_in_order() {
    for (low, high) in [(3, 4), (1, 1), (5, 9)] {
        let range = json!({"value": 2, "low": low, "high": high, "unit": "m"});
        let found = reported("applications", &with(&bed(), LENGTH, range));
        assert_eq!(found, [format!("{LENGTH} inconsistent_assumptions")]);
    }
}

#[test]
fn a_range_that_is_not_used_is_reported_as_a_notice() {
    let range = json!({"value": 2, "low": 1.9, "high": 2.1, "unit": "m"});
    let answer = ok("applications", &with(&bed(), LENGTH, range));
    assert_eq!(answer["areas"][0]["castings"]["volume"], q(json!(20), "L"));
    let cautions = answer["cautions"].as_array().unwrap();
    let notice = cautions.iter().find(|caution| caution["rule"] == "range_not_used").unwrap();
    assert_eq!((&notice["severity"], &notice["at"]), (&json!("notice"), &json!([LENGTH])));
    let point = json!({"value": 2, "low": 2, "high": 2, "unit": "m"});
    assert!(!ok("applications", &with(&bed(), LENGTH, point)).to_string().contains("range_not_used"));
}

#[test]
fn faults_inside_an_object_are_reported_once() {
    for (length, wanted) in [
        (json!({"value": "2", "unit": "m"}), vec!["/value wrong_type"]),
        (json!({"unit": "m"}), vec!["/value missing_field"]),
        (json!({"value": 2}), vec!["/unit missing_field"]),
        (json!({"value": 2, "unit": "m", "low": "1"}), vec!["/low wrong_type"]),
        (json!({"value": 2, "unit": "m", "hihg": 3}), vec!["/hihg unknown_field"]),
        (json!({"value": 2, "unit": "L"}), vec!["/unit unit_does_not_fit"]),
        (json!({"value": -2, "unit": "m"}), vec![" out_of_range"]),
        (json!([]), vec![" wrong_type"]),
        (json!(true), vec![" wrong_type"]),
    ] {
        let wanted: Vec<String> = wanted.iter().map(|error| format!("{LENGTH}{error}")).collect();
        assert_eq!(reported("applications", &with(&bed(), LENGTH, length.clone())), wanted, "{length}");
    }
}

#[test]
fn four_point_nought_is_an_integer_and_four_and_a_half_is_not() {
    let count = "/areas/0/surface/count";
    for four in [json!(4), json!(4.0), serde_json::from_str::<Value>("4e0").unwrap()] {
        assert_eq!(ok("applications", &with(&bed(), count, four))["areas"][0]["castings"]["volume"]["value"], 80);
    }
    for (wrong, code) in [
        (json!(4.5), "not_an_integer"),
        (json!("4"), "wrong_type"),
        (json!(0), "out_of_range"),
        (json!(-1), "out_of_range"),
        (json!(1e308), "out_of_range"),
        (json!(1_000_001), "out_of_range"),
    ] {
        let found = errors("applications", &with(&bed(), count, wrong.clone()));
        assert_eq!(brief(&found), [format!("{count} {code}")], "{wrong}");
        if code == "out_of_range" {
            assert_eq!((&found[0]["min"], &found[0]["max"]), (&json!(1), &json!(1_000_000)), "{wrong}");
        }
    }
}

#[test]
fn measures_work_as_units_anywhere_and_come_back() {
    let containers =
        json!([{"name": "Bucket", "capacity": "12 L"}, {"name": "loaf", "plural": "loaves", "capacity": "600 g"}]);
    let body = with(&bed(), "/containers", containers);
    for (kind, amount, wanted) in [
        ("volume_per_area", "1 bucket/m2", 24.0),
        ("volume_per_area", "2  BUCKETS / m2", 48.0),
        ("mass_per_area", "3 loaves/m2", 6.0),
    ] {
        let answer = ok("applications", &with(&body, "/areas/0/rate", json!({"kind": kind, "amount": amount})));
        let castings = &answer["areas"][0]["castings"];
        assert_eq!(castings["volume"]["value"].as_f64().unwrap(), wanted, "{amount}");
        assert_eq!(castings["in_containers"][0]["unit"], "Bucket");
        assert_eq!(castings["in_containers"][1]["unit"], "loaf");
    }
}

#[test]
fn names_of_measures_must_be_free() {
    for (name, code) in [
        ("Bucket", "clashing_name"),
        ("buckets", "clashing_name"),
        ("m", "clashing_name"),
        ("gal", "clashing_name"),
        ("9 pots", "bad_text"),
        ("a/b", "bad_text"),
        (" tub", "bad_text"),
    ] {
        let containers = json!([{"name": "bucket", "capacity": "12 L"}, {"name": name, "capacity": "9 L"}]);
        let found = reported("applications", &with(&bed(), "/containers", containers));
        assert_eq!(found, [format!("/containers/1/name {code}")], "{name}");
    }
    let length = json!([{"name": "pace", "capacity": "70 cm"}]);
    assert_eq!(
        reported("applications", &with(&bed(), "/containers", length)),
        ["/containers/0/capacity unit_does_not_fit"]
    );
}

#[test]
fn us_units_are_reported_on_request() {
    let answer = ok("applications", &with(&bed(), "/units", json!("us")));
    assert_eq!(answer["units"], "us");
    let bed = &answer["areas"][0];
    let units = ["surface_area", "depth"].map(|name| bed[name]["unit"].as_str().unwrap());
    assert_eq!(units, ["ft2", "in"]);
    assert_eq!(bed["castings"]["volume"], q(json!(0.706293334), "ft3"));
    assert_eq!(bed["castings"]["mass"]["unit"], "lb");
    assert_eq!(bed["nutrients"]["nitrogen"]["per_area"]["unit"], "lb/1000 ft2");
    let found = errors("applications", &with(&crate::support::bed(), "/units", json!("US")));
    assert_eq!((brief(&found), &found[0]["nearest"]), (vec!["/units unknown_value".to_owned()], &json!("us")));
}

#[test]
fn an_unknown_unit_is_answered_with_all_that_are_read() {
    let units = get("/v1/units").json();
    let of_dimension = |list: &str, dimension: &str| -> Vec<Value> {
        let units = units[list].as_array().unwrap().iter().filter(|unit| unit["dimension"] == dimension);
        units.map(|unit| unit["symbol"].clone()).collect()
    };
    let refused = |body: Value| errors("balances", &body)[0]["allowed"].as_array().unwrap().clone();
    let allowed = refused(json!({"stock": [{"amount": "1 blob"}], "demands": [{"amount": "20 L"}]}));
    let [volumes, masses] = ["volume", "mass"].map(|dimension| of_dimension("units", dimension));
    assert_eq!(allowed, [volumes, masses].concat());
    for unit in ["US qt", "US pt", "US fl oz", "US cup", "US tbsp", "US tsp", "imp qt", "imp pt", "imp fl oz"] {
        assert!(allowed.contains(&json!(unit)), "{unit}");
    }
    for unit in &allowed {
        let amount = format!("20 {}", unit.as_str().unwrap());
        ok("balances", &json!({"stock": [{"amount": amount}], "demands": [{"amount": "20 L"}]}));
    }
    let area = errors("applications", &with(&bed(), LENGTH, json!("2 m2")))[0]["allowed"].clone();
    assert_eq!(area, json!(of_dimension("units", "length")));
    let shares = json!({"assumptions": {"castings.moisture": {"value": 50, "unit": "blob"}}});
    let shares =
        errors("applications", &with(&bed(), "/assumptions", shares["assumptions"].clone()))[0]["allowed"].clone();
    assert_eq!(shares, json!([of_dimension("units", "share"), of_dimension("compounds", "share")].concat()));
}

/// NIST Handbook 44, Appendix C: a US cup is 8 US fl oz.
#[test]
fn a_cup_says_whose_it_is_unless_the_units_do_or_the_caller_has_one() {
    let amount = "/stock/0/amount";
    let body = json!({"stock": [{"amount": "1 cup"}], "demands": [{"amount": "20 L"}]});
    let found = errors("balances", &body);
    assert_eq!(brief(&found), [format!("{amount} ambiguous_unit")]);
    assert_eq!(found[0]["allowed"], json!(["US cup", "mL"]));
    let in_stock = |body: &Value| ok("balances", body)["total"]["allocated"].clone();
    let exact = in_stock(&with(&body, amount, json!("8 US fl oz")));
    assert!(exact.is_object());
    assert_eq!(in_stock(&with(&body, amount, json!("1 US cup"))), exact);
    let us = |text: &str| in_stock(&with(&with(&body, "/units", json!("us")), amount, json!(text)));
    assert_eq!(us("1 cup"), us("8 US fl oz"));
    let own = with(&body, "/containers", json!([{"name": "cup", "capacity": "300 mL"}]));
    assert_eq!(in_stock(&own), in_stock(&with(&body, amount, json!("300 mL"))));
}

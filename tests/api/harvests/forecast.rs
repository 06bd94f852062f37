//! Beds to come.

use crate::support::{demo, demo_files, in_repository, keys, ok, post, reported, send, service, with};
use barrowful::garden::assumptions::{Assumption, Known, Overrides, Span};
use barrowful::garden::beds::{Bed, Climate, Clocks, Feed, Pace, Supply, forecast_on};
use barrowful::garden::dates::date;
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Area, Duration, FeedRate, Mass, Share, Temperature};
use serde_json::{Value, json};

/// One bed to come.
fn to_come() -> Value {
    json!({"worm_beds": [{"ground": {"kind": "area", "area": "4 m2"}, "forecast": {
        "start_on": "2027-04-01", "until": "2027-12-31", "layers_per_cycle": 3,
        "feed": {"moisture": "70 %", "ash": "15 %", "supply": {"kind": "amount", "amount": "200 kg"}},
        "climate": {"unit": "C", "fixed": 20}}}]})
}

fn at(name: &str) -> String {
    format!("/worm_beds/0/forecast/{name}")
}

fn changed(name: &str, value: Value) -> Value {
    with(&to_come(), &at(name), value)
}

fn found(body: &Value) -> Value {
    ok("harvests", body)["worm_beds"][0]["forecast"].clone()
}

fn number(value: &Value, pointer: &str) -> f64 {
    value.pointer(pointer).unwrap()["value"].as_f64().unwrap()
}

fn near(found: f64, expected: f64) {
    assert!((found / expected - 1.0).abs() < 1e-8, "{found} is not {expected}");
}

/// The worked bed: carrying 5 kg/m2, doubling 75 d, stocking 1.6, ash 15 %, loss 40 %, sieve 80 %, finishing 28 d: 200 L of
/// sieved castings in 120 warm days need 113.6 kg of dry feed on 3.92 m2 with 6.3 kg of worms.
#[test]
fn the_worked_bed_gives_what_the_core_gives() {
    let kg = Mass::from_kilograms;
    let pace = Pace::new(kg(1.6), kg(5.0), Duration::from_hours(75.0 * 24.0), FeedRate::from_per_day(0.15));
    let dry = 113.636_363_636_363_64;
    let area = dry / pace.worked_after(92.0).kilograms();
    let feed = json!({"moisture": "70 %", "ash": "15 %", "nitrogen": "1.8 %",
                      "supply": {"kind": "amount", "amount": {"value": dry / 0.3, "unit": "kg"}}});
    let body = json!({
        "assumptions": {"worms.carrying_capacity": "5 kg/m2", "worms.stocking_density": "1.6 kg/m2",
                        "bed.organic_matter_loss": "40 %"},
        "worm_beds": [{"ground": {"kind": "area", "area": {"value": area, "unit": "m2"}}, "forecast": {
            "start_on": "2027-04-01", "until": "2027-12-31", "layers_per_cycle": 10, "feed": feed,
            "climate": {"unit": "F", "fixed": 68}}}]});
    let reported = found(&body);
    let mut request = Overrides::default();
    request.set(Assumption::CarryingCapacity, Span::exactly(5.0)).unwrap();
    request.set(Assumption::StockingDensity, Span::exactly(1.6)).unwrap();
    request.set(Assumption::OrganicMatterLoss, Span::exactly(0.4)).unwrap();
    let bed = Bed {
        area: Area::from_square_metres(area).into(),
        worms: None,
        running: None,
        start_on: date("2027-04-01").unwrap(),
        feed: Feed {
            moisture: Share::from_fraction(0.7).into(),
            ash: Share::from_fraction(0.15).into(),
            nitrogen: Some(Share::from_fraction(0.018).into()),
            supply: Supply::AllAtOnce(kg(dry).into()),
            cautions: Vec::new(),
            assumed: Vec::new(),
        },
        layers_per_cycle: Some(10),
        cycles: None,
    };
    let none = Overrides::default();
    let known = Known { request: &request, item: &none };
    let climate = Climate::Fixed(Temperature::from_celsius(20.0));
    let clocks = Clocks::new(&climate, (bed.start_on, date("2027-12-31").unwrap()), known).unwrap();
    let core = forecast_on(&bed, &clocks, known, Off).unwrap();
    assert_eq!((reported["lots"].as_array().unwrap().len(), core.lots.len()), (1, 1));
    let (lot, of_core) = (&reported["lots"][0], &core.lots[0]);
    assert_eq!(lot["eaten_on"], of_core.eaten_on.to_string());
    assert_eq!(lot["finished_on"], of_core.finished_on.to_string());
    assert_eq!(lot["ready"]["earliest"], of_core.ready.earliest.to_string());
    assert_eq!(lot["ready"]["likely"], of_core.ready.likely.to_string());
    assert_eq!(
        lot["ready"].get("latest").and_then(Value::as_str),
        of_core.ready.latest.map(|d| d.to_string()).as_deref()
    );
    assert_eq!([&lot["eaten_on"], &lot["finished_on"]], ["2027-07-02", "2027-07-30"]);
    assert_eq!(lot["ready"]["likely"], "2027-08-06");
    near(number(lot, "/castings/volume"), 200.0);
    near(lot["castings"]["volume"]["low"].as_f64().unwrap(), of_core.yields.castings.low().litres());
    near(lot["castings"]["volume"]["high"].as_f64().unwrap(), of_core.yields.castings.high().litres());
    near(number(lot, "/feed_dry_matter"), dry);
    let depths: Vec<f64> = reported["layers"].as_array().unwrap().iter().map(|l| number(l, "/depth").round()).collect();
    assert_eq!(depths, [120.0, 80.0, 23.0]);
    let days: Vec<String> = core.layers.iter().map(|l| l.on.to_string()).collect();
    assert!(reported["layers"].as_array().unwrap().iter().zip(&days).all(|(l, day)| l["on"] == *day));
    assert!((number(&reported, "/worms/0/mass") - 6.3).abs() < 0.05);
    assert_eq!(reported["water"].as_array().unwrap().len(), core.water.len());
    assert_eq!(reported["end"]["phase"], "done");
    assert_eq!(reported.get("stopped"), None);
}

#[test]
fn the_same_climate_said_in_different_ways_gives_the_same_forecast() {
    let fixed = found(&to_come());
    for climate in [
        json!({"unit": "F", "fixed": 68}),
        json!({"unit": "C", "monthly_means": (vec![17; 12]), "offset": 3}),
        json!({"unit": "F", "monthly_means": (vec![62.6; 12]), "offset": 5.4}),
        json!({"unit": "C", "daily": {"first_day": "2027-03-15", "values": (vec![20; 300])}}),
    ] {
        let other = found(&changed("climate", climate.clone()));
        assert_eq!(fixed["lots"], other["lots"], "{climate}");
        assert_eq!(fixed["layers"], other["layers"], "{climate}");
    }
}

#[test]
fn the_same_feed_said_in_different_ways_gives_the_same_forecast() {
    let plain = found(&to_come());
    for (name, value) in [
        ("feed/supply", json!({"kind": "deliveries", "deliveries": [{"on": "2027-04-01", "amount": "200 kg"}]})),
        (
            "feed",
            json!({"moisture": "70 %", "organic_matter": "85 %", "bulk_density": "400 kg/m3",
                        "supply": {"kind": "amount", "amount": "500 L"}}),
        ),
    ] {
        let other = found(&changed(name, value));
        assert_eq!(plain["lots"], other["lots"], "{name}");
    }
}

#[test]
fn a_running_bed_goes_on_from_what_lies_in_it() {
    let none_more = changed("feed/supply", json!({"kind": "deliveries", "deliveries": []}));
    let nothing = found(&none_more);
    assert_eq!((&nothing["lots"], &nothing["end"]["phase"]), (&json!([]), &json!("done")));
    let by_mass = with(&none_more, &at("running"), json!({"uneaten_feed": "20 kg", "castings": "100 kg"}));
    let lot = found(&by_mass)["lots"][0].clone();
    // 20 kg x 30 % dry x (0.15 + 0.85 x 0.5), and 100 kg x 25 % dry; 80 % through the sieve.
    near(number(&lot, "/castings_dry_matter"), 0.8 * (20.0 * 0.3 * 0.575 + 25.0));
    let by_volume = with(&none_more, &at("running"), json!({"castings": "100 L"}));
    near(number(&found(&by_volume)["lots"][0], "/castings_dry_matter"), 0.8 * 22.0);
    let denser = with(&by_volume, "/worm_beds/0/assumptions", json!({"bed.castings_dry_density": "250 kg/m3"}));
    near(number(&found(&denser)["lots"][0], "/castings_dry_matter"), 0.8 * 25.0);
}

#[test]
fn frost_and_heat_stop_a_forecast() {
    let winter = json!({"unit": "C", "monthly_means": [-4, -3, 1, 7, 13, 16, 18, 18, 13, 8, 2, -2], "offset": 1});
    let body = with(&changed("climate", winter), &at("until"), json!("2028-06-30"));
    let answer = ok("harvests", &body);
    let bed = &answer["worm_beds"][0];
    assert_eq!(bed["forecast"]["stopped"]["why"], "frost");
    assert_eq!(bed["forecast"]["end"]["on"], bed["forecast"]["stopped"]["on"]);
    assert_eq!(bed["cautions"], json!(["bed_frost", "worms_unfed"]));
    assert!(answer["cautions"].as_array().unwrap().iter().any(|c| c["at"] == json!(["/worm_beds/0"])));
    assert_eq!(found(&changed("climate", json!({"unit": "F", "fixed": 96})))["stopped"]["why"], "heat");
}

#[test]
fn what_was_assumed_is_reported_once_with_its_place() {
    let body = with(&to_come(), "/worm_beds/0/assumptions", json!({"bed.finishing": "30 d", "tea.use_within": "4 h"}));
    let body = with(&body, "/worm_beds/0/fed", json!([{"amount": "20 kg", "moisture": "70 %", "ash": "15 %"}]));
    let answer = ok("harvests", &body);
    let mut ids: Vec<&str> =
        answer["assumptions"].as_array().unwrap().iter().map(|a| a["id"].as_str().unwrap()).collect();
    let all = ids.len();
    ids.dedup();
    assert_eq!(ids.len(), all);
    let finishing = answer["assumptions"].as_array().unwrap().iter().find(|a| a["id"] == "bed.finishing").unwrap();
    assert_eq!((&finishing["set_by"], &finishing["pointer"]), (&json!("item"), &json!("/worm_beds/0")));
    let unused = answer["cautions"].as_array().unwrap().iter().find(|c| c["rule"] == "assumption_not_used").unwrap();
    assert_eq!(unused["at"], json!(["/worm_beds/0/assumptions/tea.use_within"]));
    assert_eq!(keys(&answer["total"]), ["castings", "stored", "from_feed", "forecast"]);
}

#[test]
fn climates_that_cannot_be_are_refused_at_their_field() {
    for (climate, expected) in [
        (json!({"unit": "C", "monthly_means": (vec![9; 11])}), "climate/monthly_means wrong_length"),
        (json!({"unit": "C", "monthly_means": (vec![9; 13])}), "climate/monthly_means wrong_length"),
        (json!({"unit": "K", "fixed": 290}), "climate/unit unknown_value"),
        (json!({"fixed": 20}), "climate/unit missing_field"),
        (json!({"unit": "C", "fixed": "20 C"}), "climate/fixed wrong_type"),
        (json!({"unit": "C", "fixed": 101}), "climate/fixed out_of_range"),
        (json!({"unit": "F", "fixed": 213}), "climate/fixed out_of_range"),
        (json!({"unit": "C"}), "climate exactly_one_of"),
        (json!({"unit": "C", "fixed": 20, "monthly_means": (vec![9; 12])}), "climate exactly_one_of"),
        (json!({"unit": "C", "fixed": 20, "offset": 2}), "climate/offset not_allowed_here"),
        (json!({"unit": "C", "monthly_means": (vec![9; 12]), "offset": 1e9}), "climate/offset out_of_range"),
        (json!({"unit": "C", "daily": {"first_day": "2027-04-01", "values": []}}), "climate/daily/values wrong_length"),
        (
            json!({"unit": "C", "daily": {"first_day": "2027-04-01", "values": (vec![20; 9])}}),
            "climate/daily/values missing_field",
        ),
        (
            json!({"unit": "C", "daily": {"first_day": "2027-04-02", "values": (vec![20; 400])}}),
            "climate/daily/values missing_field",
        ),
        (
            json!({"unit": "C", "daily": {"first_day": "1.4.2027", "values": (vec![20; 400])}}),
            "climate/daily/first_day bad_date",
        ),
        (
            json!({"unit": "C", "daily": {"first_day": "2027-04-01", "values": [20, null, 20]}}),
            "climate/daily/values/1 missing_field",
        ),
        (
            json!({"unit": "C", "daily": {"first_day": "2027-04-01", "values": [20, 200]}}),
            "climate/daily/values/1 out_of_range",
        ),
    ] {
        assert_eq!(reported("harvests", &changed("climate", climate)), [at(expected)]);
    }
}

/// Shredded leaves of the table: 38 % moisture, 48 % carbon and so 13.6 % ash, 0.94 % nitrogen, 200 kg/m3.
#[test]
fn a_feed_is_named_by_its_material() {
    // What to collect is known of a material alone.
    let fed = |feed: Value| {
        let mut forecast = ok("harvests", &changed("feed", feed))["worm_beds"][0]["forecast"].clone();
        for layer in forecast["layers"].as_array_mut().unwrap() {
            layer.as_object_mut().unwrap().shift_remove("collect");
        }
        forecast
    };
    let leaves = json!({"material": "leaves_shredded", "supply": {"kind": "amount", "amount": "1000 L"}});
    let in_full = json!({"moisture": "38 %", "carbon": "48 %", "nitrogen": "0.94 %", "supply": {"kind": "amount", "amount": "200 kg"}});
    assert_eq!(fed(leaves.clone()), fed(in_full));
    // What is given counts in place of the table's; the dry matter in a litre stays: 200 x 62/40 kg/m3.
    let wet = with(&with(&leaves, "/moisture", json!("60 %")), "/ash", json!("20 %"));
    let in_full = json!({"moisture": "60 %", "ash": "20 %", "nitrogen": "0.94 %",
                         "supply": {"kind": "amount", "amount": {"value": 200.0 * 62.0 / 40.0, "unit": "kg"}}});
    assert_eq!(fed(wet), fed(in_full));
    // As much as the layers take, unless a supply is given.
    let as_needed = json!({"material": "leaves_shredded", "supply": {"kind": "as_needed"}});
    assert_eq!(fed(json!({"material": "leaves_shredded"})), fed(as_needed));
    assert!(
        ok("harvests", &with(&changed("feed", leaves.clone()), "/explain", json!(true)))["explanations"].is_array()
    );
    for (feed, expected) in [
        (with(&leaves, "/material", json!("leafs_shredded")), vec!["feed/material unknown_value"]),
        (json!({"material": "leaves_shredded", "ash": "20 %", "carbon": "40 %"}), vec!["feed exactly_one_of"]),
        (json!({"material": "leaves_shredded", "moisture": "0.4"}), vec!["feed/moisture share_without_percent"]),
        (json!({"nitrogen": "1 %"}), vec!["feed/moisture missing_field", "feed/ash missing_field"]),
        (
            json!({"materail": "leaves_shredded"}),
            vec!["feed/materail unknown_field", "feed/moisture missing_field", "feed/ash missing_field"],
        ),
    ] {
        let expected: Vec<String> = expected.into_iter().map(at).collect();
        let mut reported = reported("harvests", &changed("feed", feed));
        reported.sort();
        let mut wanted = expected.clone();
        wanted.sort();
        assert_eq!(reported, wanted);
    }
}

#[test]
fn a_bare_temperature_is_a_climate_that_is_the_same_on_every_day() {
    let in_parts = found(&changed("climate", json!({"unit": "C", "fixed": 20})));
    for climate in ["20 C", "68 F", "20°C", "20 degrees celsius"] {
        assert_eq!(found(&changed("climate", json!(climate))), in_parts, "{climate}");
    }
    assert_ne!(found(&changed("climate", json!("15 C"))), in_parts);
    for (climate, expected) in [
        (json!("20"), "climate unit_missing"),
        (json!(20), "climate unit_missing"),
        (json!("20 cm"), "climate unit_does_not_fit"),
        (json!("200 C"), "climate out_of_range"),
        (json!("warm"), "climate bad_number"),
        (json!([20]), "climate wrong_type"),
    ] {
        assert_eq!(reported("harvests", &changed("climate", climate)), [at(expected)]);
    }
}

#[test]
fn plans_that_cannot_be_are_refused_at_their_field() {
    for (name, value, expected) in [
        ("until", json!("2027-03-31"), "start_on dates_out_of_order"),
        ("until", json!("2037-04-02"), "until out_of_range"),
        ("until", json!("2027-02-30"), "until bad_date"),
        ("start_on", json!(null), "start_on missing_field"),
        ("worms", json!("0 kg"), "worms out_of_range"),
        ("layers_per_cycle", json!(0), "layers_per_cycle out_of_range"),
        ("layers_per_cycle", json!(1001), "layers_per_cycle out_of_range"),
        ("cycles", json!(0), "cycles out_of_range"),
        ("feed/moisture", json!("100 %"), "feed/moisture out_of_range"),
        ("feed/ash", json!("96 %"), "feed/ash out_of_range"),
        ("feed/supply", json!({"kind": "sometimes"}), "feed/supply/kind unknown_kind"),
        ("feed/supply", json!({"kind": "as_needed", "amount": "9 kg"}), "feed/supply/amount unknown_field"),
        ("feed/supply/amount", json!("90 L"), "feed/bulk_density missing_field"),
        ("running", json!({"castings": "-1 kg"}), "running/castings bad_number"),
        ("running", json!({"worms": "1 kg"}), "running/worms unknown_field"),
    ] {
        assert_eq!(reported("harvests", &changed(name, value.clone())), [at(expected)], "{name} {value}");
    }
    let deep = |place: &str| with(&to_come(), place, json!({"bed.first_layer": "60 cm"}));
    assert_eq!(
        reported("harvests", &deep("/worm_beds/0/assumptions")),
        ["/worm_beds/0/assumptions inconsistent_assumptions"]
    );
    assert_eq!(reported("harvests", &deep("/assumptions")), ["/assumptions inconsistent_assumptions"]);
    let all = changed("until", json!("never"));
    let all = with(&all, &at("worms"), json!("6"));
    let all = with(&all, &at("climate/fixed"), json!(500));
    let expected = ["until bad_date", "worms unit_missing", "climate/fixed out_of_range"];
    let mut reported = reported("harvests", &all);
    reported.sort();
    let mut expected = expected.map(at);
    expected.sort();
    assert_eq!(reported, expected);
}

/// As many beds as are accepted, over as many days as are accepted: refused, and soon.
#[test]
fn layers_of_all_beds_together_are_bounded() {
    let all_beds = |mut body: Value| {
        let bed = body["worm_beds"][0].clone();
        body["worm_beds"] = (0..200).map(|_| bed.clone()).collect();
        body
    };
    let started = std::time::Instant::now();
    let usual = changed("feed/supply", json!({"kind": "as_needed"}));
    assert_eq!(ok("harvests", &all_beds(usual.clone()))["worm_beds"].as_array().unwrap().len(), 200);
    let long = with(&usual, &at("until"), json!("2037-03-31"));
    let many = reported("harvests", &all_beds(long.clone()));
    assert_eq!(many.len(), 1, "{many:?}");
    assert!(many[0].ends_with("/forecast too_large"), "{many:?}");
    let thin = |depth: &str| json!({"bed.first_layer": depth, "bed.layer": depth, "bed.max_depth": "2 m"});
    for depth in ["0.1 mm", "1 mm", "1 cm"] {
        let body = with(&with(&long, &at("layers_per_cycle"), json!(1000)), "/assumptions", thin(depth));
        let many = reported("harvests", &all_beds(body));
        assert_eq!(many.len(), 1, "{many:?}");
        assert!(many[0].contains("/forecast") && many[0].ends_with(" too_large"), "{many:?}");
    }
    assert!(started.elapsed().as_secs() < 30, "{:?}", started.elapsed());
}

#[test]
fn a_table_has_one_row_for_each_lot() {
    for file in demo_files("harvests") {
        let body = std::fs::read(&file).unwrap();
        let headers = [("content-type", "application/json"), ("accept", "text/csv")];
        let answer = send(&service(), (reqwest::Method::POST, "/v1/harvests"), &headers, body);
        assert_eq!(answer.status, 200);
        let widths: Vec<usize> = answer.text().lines().map(|line| line.split(',').count()).collect();
        assert!(widths.iter().all(|width| *width == widths[0]), "{}", answer.text());
    }
    let body = demo("harvests/forecast.json");
    let headers = [("content-type", "application/json"), ("accept", "text/csv")];
    let bytes = serde_json::to_vec(&body).unwrap();
    let table = send(&service(), (reqwest::Method::POST, "/v1/harvests"), &headers, bytes);
    let beds = ok("harvests", &body)["worm_beds"].clone();
    let lots: usize = beds.as_array().unwrap().iter().map(|b| b["forecast"]["lots"].as_array().unwrap().len()).sum();
    assert_eq!(table.text().lines().filter(|line| line.starts_with("lot,")).count(), lots);
    assert!(
        table
            .text()
            .lines()
            .next()
            .unwrap()
            .ends_with("ready_earliest,ready_likely,ready_latest,cautions,cautions_of_request")
    );
    assert_eq!(post("harvests", &body).bytes, post("harvests", &body).bytes);
}

#[test]
fn the_client_shows_dates_layers_and_water() {
    for (file, parts) in [
        ("forecast", ["harvest 2, on 4", "layers of", "water of", "bed along the mill wall", "To come by forecast: "]),
        (
            "by-feed",
            ["moist", "organic", "box by the", "by its depth about 92.4 kg (75.6 to 109)", "By what was fed: "],
        ),
    ] {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_barrowful"));
        let path = format!("demo-data/harvests/{file}.json");
        let output = command.current_dir(in_repository("")).args(["ask", &path, "--to", &service()]).output().unwrap();
        let page = String::from_utf8(output.stdout).unwrap();
        for part in parts {
            assert!(page.contains(part), "{part}\n{page}");
        }
        assert!(page.lines().all(|line| line.chars().count() <= 100), "{page}");
    }
}

/// What all forecasts come to has at the low end only harvests that are ready by the last day at their latest. One that may be later counts at its
/// likely value and at the high end.
#[test]
fn the_range_of_all_forecasts_leaves_out_what_may_be_late() {
    let feed = json!({"material": "leaves_shredded"});
    let bed = |until: &str| {
        let forecast =
            json!({"start_on": "2027-04-01", "until": until, "climate": "20 C", "layers_per_cycle": 2, "feed": feed});
        json!({"ground": {"kind": "area", "area": "2 m2"}, "forecast": forecast})
    };
    let (mut late, mut in_time) = (0, 0);
    for until in ["2027-10-15", "2027-12-31", "2028-03-31", "2028-12-31"] {
        let answer = ok("harvests", &json!({"worm_beds": [bed(until), bed("2028-06-30")]}));
        let beds = answer["worm_beds"].as_array().unwrap().iter();
        let lots: Vec<&Value> = beds.flat_map(|bed| bed["forecast"]["lots"].as_array().unwrap()).collect();
        for measure in ["volume", "mass"] {
            let sum = |end: &str, counts: &dyn Fn(&Value) -> bool| -> f64 {
                lots.iter().filter(|lot| counts(lot)).map(|lot| lot["castings"][measure][end].as_f64().unwrap()).sum()
            };
            let is_sure = |lot: &Value| lot["ready"].get("latest").is_some();
            let wanted =
                [("low", sum("low", &is_sure)), ("value", sum("value", &|_| true)), ("high", sum("high", &|_| true))];
            for (end, wanted) in wanted {
                let found = answer["total"]["forecast"][measure][end].as_f64().unwrap();
                assert!(
                    (found - wanted).abs() <= 1e-6 * (1.0 + wanted),
                    "{until} {measure} {end}: {found} is not {wanted}"
                );
            }
            late += lots.iter().filter(|lot| !is_sure(lot)).count();
            in_time += lots.iter().filter(|lot| is_sure(lot)).count();
        }
    }
    assert!(late > 0 && in_time > 0, "{late} {in_time}");
}

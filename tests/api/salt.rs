//! The salts that castings bring to a mix: in every form of the answer, by whose conductivity, and refusals.

use crate::support::{area, demo, errors, form, ok, q, reported, with};
use crate::tables::answered;
use serde_json::{Value, json};

/// Pots with this share of castings.
fn pots(share: &str) -> Value {
    let surface = json!({"kind": "pots", "count": 30, "volume": "3 L"});
    area(&surface, &json!({"kind": "share_of_mix", "amount": share}))
}

fn knowing(body: &Value, conductivity: &str) -> Value {
    with(body, "/assumptions", json!({"castings.conductivity": conductivity}))
}

fn rules(answer: &Value) -> Vec<&Value> {
    answer["cautions"].as_array().unwrap().iter().map(|caution| &caution["rule"]).collect()
}

/// A fifth of 1.17 dS/m (0.36 to 3.5), and 0.35 over each.
#[test]
fn the_potting_mix_of_the_kitchen_garden_says_its_salts_and_the_largest_share() {
    let answer = ok("applications", &demo("applications/kitchen-garden.json"));
    let salts = json!({
        "conductivity": {"value": 0.234, "low": 0.072, "high": 0.7, "unit": "dS/m"},
        "limit": q(json!(0.35), "dS/m"),
        "largest_share": {"value": 29.914_529_9, "low": 10, "high": 97.222_222_2, "unit": "%"},
    });
    assert_eq!(answer["areas"][3]["salt"], salts);
    assert!(answer["areas"].as_array().unwrap()[..3].iter().all(|area| area.get("salt").is_none()));
}

#[test]
fn every_unit_of_a_laboratory_gives_the_same_figures_and_what_comes_out_may_be_sent_back() {
    let expected = ok("applications", &knowing(&pots("20 %"), "0.8 dS/m"));
    let salt = &expected["areas"][0]["salt"];
    assert_eq!(salt["conductivity"], q(json!(0.16), "dS/m"));
    assert_eq!(salt["largest_share"], q(json!(43.75), "%"));
    for text in ["0.8 mS/cm", "80 mS/m", "800 uS/cm", "800 µS/cm", "0.8 mmhos/cm"] {
        assert_eq!(ok("applications", &knowing(&pots("20 %"), text)), expected, "{text}");
    }
    let used = expected["assumptions"].as_array().unwrap();
    let value = used.iter().find(|one| one["id"] == "castings.conductivity").unwrap()["value"].clone();
    let back = with(&pots("20 %"), "/assumptions", json!({"castings.conductivity": value}));
    assert_eq!(ok("applications", &back), expected);
    // A laboratory reports the same units everywhere.
    let us = ok("applications", &with(&knowing(&pots("20 %"), "0.8 mmho/cm"), "/units", json!("us")));
    assert_eq!(us["areas"][0]["salt"], *salt);
}

/// 0.35 dS/m over 3.5 is 10 %, over 0.7 a half.
#[test]
fn a_stated_conductivity_decides_whether_the_mix_is_strong_and_the_item_goes_before_the_request() {
    let strong = |body: &Value| rules(&ok("applications", body)).contains(&&json!("strong_mix"));
    assert!(!strong(&pots("20 %")));
    assert!(strong(&pots("20.1 %")));
    assert!(!strong(&knowing(&pots("10 %"), "3.5 dS/m")));
    assert!(strong(&knowing(&pots("10.1 %"), "3.5 dS/m")));
    assert!(!strong(&knowing(&pots("50 %"), "0.7 dS/m")));
    assert!(strong(&knowing(&pots("50.1 %"), "0.7 dS/m")));
    let own = with(&pots("50 %"), "/areas/0/assumptions", json!({"castings.conductivity": "0.7 dS/m"}));
    assert!(!strong(&knowing(&own, "3.5 dS/m")));
}

#[test]
fn text_csv_sheet_and_tables_say_the_same() {
    let body = pots("20 %");
    let text = form("applications", "text/plain", &body);
    for said in ["Salts in mixes", "0.234 (0.072–0.7)", "0.35", "29.9 (10–97.2)"] {
        assert!(text.text().contains(said), "{said}: {}", text.text());
    }
    let sheet = form("applications", "text/html", &body);
    for said in ["Salts in mixes", "0.234", "29.9"] {
        assert!(sheet.text().contains(said), "{said}");
    }
    let figures = [
        ("salt_dS_m", "0.234"),
        ("salt_dS_m_low", "0.072"),
        ("salt_dS_m_high", "0.7"),
        ("salt_limit_dS_m", "0.35"),
        ("salt_largest_share_%", "29.9145299"),
        ("salt_largest_share_%_low", "10"),
        ("salt_largest_share_%_high", "97.2222222"),
    ];
    let csv = form("applications", "text/csv", &body).text().to_owned();
    let table = answered("applications", "", "count,volume,rate\n30,3 L,20 %\n");
    for written in [&csv, &table] {
        let mut lines = written.lines().map(|line| line.split(','));
        let (header, row) = (lines.next().unwrap(), lines.next().unwrap());
        let cells: Vec<(&str, &str)> = header.zip(row).collect();
        for figure in figures {
            assert!(cells.contains(&figure), "{figure:?}: {cells:?}");
        }
    }
}

/// Both figures by their formulas, with what was put in.
#[test]
fn both_figures_are_explained() {
    let answer = ok("applications", &with(&knowing(&pots("20 %"), "0.8 dS/m"), "/explain", json!(true)));
    let explained = |figure: &str| {
        let all = answer["explanations"].as_array().unwrap();
        all.iter().find(|one| one["figure"] == format!("/areas/0/salt/{figure}")).unwrap().clone()
    };
    let conductivity = explained("conductivity");
    assert_eq!(conductivity["formula"], "K = k min(p, 1)");
    assert_eq!(conductivity["inputs"][0]["taken_from"], "request:/areas/0/rate/amount");
    assert_eq!(conductivity["inputs"][1]["taken_from"], "assumption:castings.conductivity");
    let share = explained("largest_share");
    assert_eq!(share["formula"], "p = min(l / k, 1)");
    assert_eq!(share["inputs"][0]["taken_from"], "constant:SALT_LIMIT");
}

/// A demand is judged by its own analysis or that of the request; what a lot knows of its salts changes nothing, and is said to.
#[test]
fn a_balance_judges_a_mix_by_the_analysis_of_the_demand() {
    let balance = |share: &str, known: Value, of_lot: Value| {
        let mix = json!({"surface": {"kind": "pots", "count": 30, "volume": "3 L"}, "rate": {"kind": "share_of_mix", "amount": share}, "assumptions": known});
        ok(
            "balances",
            &json!({"stock": [{"amount": "90 L", "assumptions": of_lot}], "demands": [{"application": mix}]}),
        )
    };
    let strong = |answer: &Value| rules(answer).contains(&&json!("strong_mix"));
    let salty = json!({"castings.conductivity": "3.5 dS/m"});
    assert!(!strong(&balance("15 %", json!({}), json!({}))));
    assert!(strong(&balance("15 %", salty.clone(), json!({}))));
    let of_lot = balance("15 %", json!({}), salty);
    assert!(!strong(&of_lot));
    let unused =
        of_lot["cautions"].as_array().unwrap().iter().find(|one| one["rule"] == "assumption_not_used").unwrap();
    assert_eq!(unused["at"], json!(["/stock/0/assumptions/castings.conductivity"]));
}

#[test]
fn where_nothing_is_mixed_a_conductivity_changes_nothing_and_the_answer_says_so() {
    let layer = area(&json!({"kind": "area", "area": "6 m2"}), &json!({"kind": "depth", "amount": "1 cm"}));
    assert!(rules(&ok("applications", &knowing(&layer, "1.2 dS/m"))).contains(&&json!("assumption_not_used")));
    assert!(!rules(&ok("applications", &knowing(&pots("20 %"), "1.2 dS/m"))).contains(&&json!("assumption_not_used")));
}

#[test]
fn a_conductivity_without_a_length_or_beyond_all_salts_is_refused() {
    let at = "/assumptions/castings.conductivity";
    for (text, code) in [
        ("1.2 mS", "unit_does_not_fit"),
        ("1.2 kg", "unit_does_not_fit"),
        ("1200 ppm", "unknown_unit"),
        ("1.2", "unit_missing"),
        ("0 dS/m", "out_of_range"),
        ("101 dS/m", "out_of_range"),
    ] {
        assert_eq!(reported("applications", &knowing(&pots("20 %"), text)), [format!("{at} {code}")], "{text}");
    }
    let error = &errors("applications", &knowing(&pots("20 %"), "1.2 mS"))[0];
    assert!(error["allowed"].as_array().unwrap().contains(&json!("mS/cm")), "{error}");
    assert!(error["detail"].as_str().unwrap().contains("an electrical conductivity"), "{error}");
}

//! Whole plants, pots and batches.

use super::demand;
use crate::support::{flat, form, ok, q, reported, with};
use serde_json::{Value, json};

#[test]
fn only_pieces_can_be_served_whole() {
    let pots = json!({"surface": {"kind": "pots", "count": 100, "volume": "1 L"}, "rate": {"kind": "per_plant", "amount": "1 L"}});
    let answer = ok(
        "balances",
        &with(&demand(&json!({"application": pots, "whole_portions": true})), "/stock/0/amount", json!("7.5 L")),
    );
    assert_eq!(answer["demands"][0]["whole_portions"], json!({"needed": 100, "allocated": 7}));
    assert_eq!(answer["demands"][0]["allocated"], q(json!(7), "L"));
    let amount = demand(&json!({"amount": "1 L", "whole_portions": true}));
    assert_eq!(reported("balances", &amount), ["/demands/0/whole_portions not_allowed_here"]);
}

/// 30 pots of 3 L at 20 % take 18 L, and 15 L are enough for 25 of them.
fn pots() -> Value {
    let application = json!({"surface": {"kind": "pots", "count": 30, "volume": "3 L"}, "rate": {"kind": "share_of_mix", "amount": "20 %"}});
    json!({"stock": [{"name": "bin", "amount": "15 L"}],
           "demands": [{"name": "pots", "application": application, "on": "2027-06-10", "whole_portions": true}]})
}

/// Each pot that gets castings gets the rate that was asked; how many do is said in every form.
#[test]
fn whole_portions_keep_their_rate() {
    let demand = ok("balances", &pots())["demands"][0].clone();
    assert_eq!(demand["whole_portions"], json!({"needed": 30, "allocated": 25}));
    assert_eq!(demand["rate_allocated"], json!({"kind": "share_of_mix", "amount": q(json!(20), "%")}));
    for question in ["balances", "seasons"] {
        for accept in ["text/plain", "text/html"] {
            let text = flat(form(question, accept, &pots()).text());
            assert!(text.contains("25 of 30 pots at 20 %") && !text.contains("16.7"), "{question} {accept} {text}");
        }
    }
    let season = ok("seasons", &pots());
    let said = "for 25 of 30 pots at 20 %; of the 18 L of castings needed, 3 L are missing";
    assert_eq!(season["work"][0]["note"], said);
    for accept in ["text/plain", "text/html", "text/calendar"] {
        let text = form("seasons", accept, &pots()).text().replace("\r\n ", "").replace(['\\'], "");
        assert!(flat(&text).contains("or 25 of 30 pots at 20 %; of the 18 L"), "{accept} {text}");
    }
    // Where all get theirs it is the rate alone.
    let all = flat(form("balances", "text/plain", &with(&pots(), "/stock/0/amount", json!("18 L"))).text());
    assert!(all.contains("20 %") && !all.contains("of 30 pots"), "{all}");
}

/// By mass each of them makes what its lot weighs: 12 L of 0.5 kg/L are enough for seven of ten plants, each 1 kg by 0.6 kg/L.
#[test]
fn whole_portions_by_mass_make_what_their_lots_weigh() {
    let application =
        json!({"surface": {"kind": "plants", "count": 10}, "rate": {"kind": "per_plant", "amount": "1 kg"}});
    let own = json!({"castings.bulk_density": "500 kg/m3", "castings.dry_bulk_density": "200 kg/m3"});
    let body = json!({"stock": [{"amount": "12 L", "assumptions": own}], "explain": true,
        "assumptions": {"castings.bulk_density": "600 kg/m3", "castings.dry_bulk_density": "240 kg/m3"},
        "demands": [{"application": application, "whole_portions": true}]});
    let answer = ok("balances", &body);
    let demand = &answer["demands"][0];
    assert_eq!(demand["whole_portions"], json!({"needed": 10, "allocated": 7}));
    let each = demand["rate_allocated"]["amount"]["value"].as_f64().unwrap();
    assert!((each - 0.5 / 0.6).abs() < 1e-4, "{demand}");
    let explained = answer["explanations"].as_array().unwrap();
    assert!(explained.iter().any(|one| one["figure"] == "/demands/0/rate_allocated/amount"), "{explained:?}");
}

/// The table of demands and lots has what that of the demands has.
#[test]
fn the_joint_table_has_portions_and_rates() {
    let cells = |question: &str| {
        let answer = form(question, "text/csv", &pots());
        let mut reader = csv::Reader::from_reader(answer.bytes.as_slice());
        let header = reader.headers().unwrap().clone();
        let first = reader.records().next().unwrap().unwrap();
        let wanted = ["whole_portions_needed", "whole_portions_allocated", "rate_kind", "rate_allocated", "rate_unit"];
        wanted.map(|name| first[header.iter().position(|other| other == name).unwrap()].to_owned())
    };
    assert_eq!(cells("balances"), ["30", "25", "share_of_mix", "20", "%"]);
    assert_eq!(cells("balances"), cells("balances?table=demands"));
}

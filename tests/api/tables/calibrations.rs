//! Tables of records of beds.

use super::{answered, as_json, assert_same, column, demo_table, reported, rows, sent};
use crate::support::{demo, post};
use serde_json::{Value, json};

/// The worked records of the demo data as far as a table holds them: at one temperature, without weighed containers and season.
fn body() -> Value {
    let mut body = demo("calibrations/mill-garden.json");
    for name in ["id", "name", "climate", "feed", "season"] {
        body.as_object_mut().unwrap().remove(name);
    }
    for record in body["records"].as_array_mut().unwrap() {
        let record = record.as_object_mut().unwrap();
        record.remove("name");
        record.remove("containers_weighed");
        record.insert("climate".to_owned(), json!("16 C"));
        record.insert("feed".to_owned(), json!({"material": "leaves_shredded"}));
    }
    body
}

/// What a fit says in the columns of its row, blanks left out.
fn columns(fit: &Value) -> Vec<(String, String)> {
    let mut columns = Vec::new();
    for forecast in ["before", "after"] {
        for percentile in ["p10", "p50", "p90"] {
            let amount = &fit[forecast][percentile];
            if let Some(unit) = amount["unit"].as_str() {
                columns.push((format!("{forecast}_{percentile}_{unit}"), amount["value"].to_string()));
            }
            if let Some(day) = fit[format!("{forecast}_on")][percentile].as_str() {
                columns.push((format!("{forecast}_on_{percentile}"), day.to_owned()));
            }
        }
    }
    columns
}

#[test]
fn the_worked_table_says_how_each_row_fits_as_the_body_does() {
    let table = answered("calibrations", "", demo_table("calibrations.csv"));
    let mut body = body();
    body.as_object_mut().unwrap().remove("containers");
    for feeding in body["records"].as_array_mut().unwrap().iter_mut().flat_map(|of| of["fed"].as_array_mut().unwrap()) {
        let barrows: u32 = feeding["amount"].as_str().unwrap().split(' ').next().unwrap().parse().unwrap();
        feeding["amount"] = json!(format!("{} L", barrows * 80));
    }
    let answer = post("calibrations", &body);
    assert_eq!(answer.status, 200, "{}", answer.text());
    let answer = answer.json();
    assert_eq!(as_json("calibrations", "", &demo_table("calibrations.csv")), answer);
    let rows = rows(&table, b',');
    let mut compared = 0;
    for record in answer["records"].as_array().unwrap() {
        let of_bed: Vec<_> = rows.iter().filter(|row| row["id"] == record["id"].as_str().unwrap()).collect();
        let row = |kind: &str, number: usize| of_bed.iter().filter(|row| row["row"] == kind).nth(number).unwrap();
        let (mut looks, mut weighings) = (0.., 0..);
        for fit in record["observations"].as_array().unwrap() {
            let row = match fit["kind"].as_str().unwrap() {
                "harvested" | "ready" => {
                    row("harvested", usize::try_from(fit["harvest"].as_u64().unwrap()).unwrap() - 1)
                }
                "worms_weighed" => row("worms", weighings.next().unwrap()),
                _ => row("eaten", looks.next().unwrap()),
            };
            for (column, wanted) in columns(fit) {
                assert_eq!(row[&column], wanted, "{column} of {row:?}");
                compared += 1;
            }
            assert_eq!(row["fits"], "yes", "{row:?}");
        }
    }
    // 5 harvests, 3 of them with a day; 3 layers; 1 weighing: six figures each.
    assert_eq!(compared, 12 * 6);
    let blank = rows.iter().filter(|row| ["bed", "fed"].contains(&row["row"].as_str()));
    for row in blank {
        assert!(row.iter().all(|(name, cell)| cell.is_empty() || !name.contains("_p")), "{row:?}");
        assert_eq!(row["fits"], "", "{row:?}");
    }
    crate::demo_data::assert_kept("tables/calibrations.csv", &table);
}

#[test]
fn an_answer_may_be_sent_again() {
    let table = "row,name,length,width,worms,material,bed_temperature,on,amount,ready_on,note\n\
        bed,a bed,2 m,1 m,2 kg,leaves_shredded,15 C,,,,by the mill\n\
        fed,a bed,,,,,,2026-03-01,60 kg,,\n\
        fed,a bed,,,,,,2026-04-15,60 kg,,wet\n\
        ,,,,,,,,,,\n\
        harvested,a bed,,,,,,2026-10-01,90 L,2026-08-10,\n";
    let answer = answered("calibrations", "", table);
    assert_eq!(column(&answer, "note"), ["by the mill", "", "wet", "", ""]);
    assert_eq!(column(&answer, "fits"), ["", "", "", "", "yes"]);
    assert_eq!(answered("calibrations", "", answer.as_str()), answer);
    // In other units those of the first are replaced.
    let us = answered("calibrations", "?units=us", table);
    assert_ne!(us, answer);
    assert_eq!(rows(answered("calibrations", "?units=us", answer.as_str()), b','), rows(&us, b','));
}

#[test]
fn containers_assumptions_ids_and_analyses_are_those_of_a_body() {
    let table = "row;id;area;moisture;ash;bulk_density;bed_temperature;start_on;on;amount;sieve_yield;layer;worms\n\
        bed;a;2 m2;70 %;12,5 %;400 kg/m3;15 C;2026-02-20;;;;;\n\
        bed;b;3 m2;70 %;12,5 %;400 kg/m3;60 F;;;;;;2,5 kg\n\
        fed;b;;;;;;;2026-03-02;2 barrows;;;\n\
        fed;a;;;;;;;2026-03-01;1,5 barrows;;;\n\
        harvested;b;;;30 %;;;;2026-10-01;90 L;70 %;;\n\
        eaten;a;;;;;;;2026-04-20;;;1;\n\
        worms;b;;;;;;;2026-06-01;;;;3,5 kg\n";
    let feed = json!({"moisture": "70 %", "ash": "12.5 %", "bulk_density": "400 kg/m3"});
    let body = json!({
        "containers": [{"name": "barrow", "capacity": "80 L"}],
        "assumptions": {"castings.bulk_density": "620 kg/m3"},
        "records": [
            {"id": "a", "ground": {"kind": "area", "area": "2 m2"}, "feed": feed, "climate": "15 C", "start_on": "2026-02-20",
             "fed": [{"on": "2026-03-01", "amount": "1.5 barrows"}], "layers_eaten": [{"layer": 1, "on": "2026-04-20"}]},
            {"id": "b", "ground": {"kind": "area", "area": "3 m2"}, "feed": feed, "climate": "60 F", "worms": "2.5 kg",
             "fed": [{"on": "2026-03-02", "amount": "2 barrows"}],
             "harvested": [{"on": "2026-10-01", "amount": "90 L", "sieve_yield": "70 %", "ash": "30 %"}],
             "worms_weighed": [{"on": "2026-06-01", "worms": "3.5 kg"}]}]
    });
    let query = "?decimal=comma&container=barrow:80 L&assume=castings.bulk_density:620 kg/m3";
    assert_same("calibrations", query, (table, &body));
}

#[test]
fn every_error_is_reported_with_its_line_and_column() {
    let table = demo_table("refused-calibrations.csv");
    let wanted = [
        "2:3 unknown_value",
        "3:7 missing_field",
        "3:8 missing_field",
        "4:6 unit_missing",
        "4:8 bad_number",
        "4 missing_field",
        "5:7 unknown_field",
        "5:10 unit_missing",
        "6:3 missing_field",
        "7:2 unknown_value",
        "8:3 unknown_value",
        "9:11 bad_date",
        "10:12 impossible_value",
        "11:12 bad_number",
        "12:4 unknown_field",
        "12:6 missing_field",
        "13:1 unknown_value",
    ];
    assert_eq!(reported("calibrations", "", &table), wanted);
    let bed =
        "row,name,length,width,worms,material,bed_temperature,on,amount\nbed,a,2 m,1 m,2 kg,leaves_shredded,15 C,,\n";
    let fed = "fed,a,,,,,,2026-04-06,60 kg\n";
    let harvested = "harvested,a,,,,,,2026-04-06,90 L\n";
    assert_eq!(reported("calibrations", "", &format!("{bed}{fed}{harvested}")), ["4:8 dates_out_of_order"]);
    assert_eq!(reported("calibrations", "", &format!("{bed}{fed}")), ["2 missing_field"]);
    let another = bed.lines().nth(1).unwrap();
    assert_eq!(
        reported("calibrations", "", &format!("{bed}{another}\n{fed}")),
        ["2 missing_field", "3 missing_field", "4:2 unknown_value"]
    );
    assert_eq!(reported("calibrations", "", "row,amount\n"), ["1:1 wrong_length"]);
}

#[test]
fn remedies_are_those_of_a_table() {
    let table = "row,name,length,width,worms,moisture,bed_temperature,on,amount\n\
        bed,a,2 m,1 m,2 kg,70 %,15 C,,\n\
        fed,a,,,,,,2026-04-06,60 kg\n\
        bed,b,2 m,1 m,2 kg,,,,\n";
    let answer = sent("calibrations", "", table).json();
    let details: Vec<&str> =
        answer["errors"].as_array().unwrap().iter().map(|error| error["detail"].as_str().unwrap()).collect();
    let wanted = [
        "Line 2 ('a'): The ash of the feed is missing: give ash, as a share of its dry matter.",
        "Line 4 ('b'), column bed_temperature: This cell is empty, and the row needs it. Fill it in.",
        "Line 4 ('b'): The table has no column material, and the row needs it. Add the column.",
        "Line 4 ('b'): There is no row fed for it. Add one with fed in the column row, and the same id or name.",
    ];
    let mut found = details.clone();
    found.sort_unstable();
    let mut wanted = wanted.to_vec();
    wanted.sort_unstable();
    assert_eq!(found, wanted);
    let table = "row,name,length,width,worms,material,bed_temperature,on,amount\n\
        bed,a,2 m,1 m,2 kg,leaves_shredded,15 C,,\n\
        fed,a,,,,,,2026-04-06,60 kg\n";
    let answer = sent("calibrations", "", table).json();
    assert_eq!(
        answer["errors"][0]["detail"],
        "Line 2 ('a'): Nothing was observed of these beds: give a harvest, a layer that was found eaten or weighed worms."
    );
}

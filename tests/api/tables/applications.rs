//! Tables of places.

use super::{answered, as_json, assert_same, column, demo_table, rows, sent, sent_as};
use crate::support::demo;
use serde_json::json;

#[test]
fn the_worked_table_has_castings_beside_each_row_and_leaves_the_callers_columns_as_they_are() {
    let table = answered("applications", "?container=bucket:12 L", demo_table("applications.csv"));
    assert_eq!(column(&table, "castings_L"), ["48", "57.6", "6", "18"]);
    assert_eq!(column(&table, "castings_bucket"), ["4", "4.8", "0.5", "1.5"]);
    assert_eq!(column(&table, "castings_kg"), ["28.8", "34.56", "3.6", "10.8"]);
    assert_eq!(column(&table, "castings_kg_low"), ["21.6", "25.92", "2.7", "8.1"]);
    assert_eq!(column(&table, "surface_area_m2"), ["4.8", "2.88", "", ""]);
    assert_eq!(column(&table, "depth_mm"), ["10", "20", "", ""]);
    assert_eq!(column(&table, "nitrogen_g"), ["216", "259.2", "27", "81"]);
    assert_eq!(column(&table, "bed in the plan"), ["007", "012", "glasshouse, north", ""]);
    assert_eq!(column(&table, "length"), ["6 m", "2.4 m", "", ""]);
    let header = table.lines().next().unwrap();
    assert!(
        header.starts_with("name,surface,count,length,width,band_width,volume,rate,bed in the plan,surface_area_m2,")
    );
    assert!(header.ends_with(",cautions,assumed,cautions_of_request"), "{header}");
    assert!(column(&table, "assumed").iter().all(|ids| ids.contains("castings.bulk_density")));
    assert!(column(&table, "cautions_of_request").iter().all(|rules| rules.contains("raw_manure")));
}

#[test]
fn a_table_and_a_body_are_answered_alike() {
    let kitchen = demo("applications/kitchen-garden.json");
    let mut body = json!({"areas": kitchen["areas"], "containers": kitchen["containers"]});
    for area in body["areas"].as_array_mut().unwrap() {
        area.as_object_mut().unwrap().retain(|name, _| ["id", "name", "surface", "rate"].contains(&name.as_str()));
    }
    let wanted = json!([
        {"name": "carrot rows", "surface": {"kind": "rows", "count": 4, "length": "6 m", "band_width": "20 cm"},
         "rate": {"kind": "depth", "amount": "1 cm"}},
        {"name": "salad bed", "surface": {"kind": "rectangle", "length": "2.4 m", "width": "1.2 m"}, "rate": {"kind": "depth", "amount": "2 cm"}},
        {"name": "tomatoes", "surface": {"kind": "plants", "count": 24}, "rate": {"kind": "per_plant", "amount": "250 mL"}},
        {"name": "potting mix", "surface": {"kind": "pots", "count": 30, "volume": "3 L"}, "rate": {"kind": "share_of_mix", "amount": "20 %"}}
    ]);
    let table = demo_table("applications.csv");
    let buckets = json!([{"name": "bucket", "capacity": "12 L"}]);
    assert_same("applications", "?container=bucket:12 L", (&table, &json!({"areas": wanted, "containers": buckets})));
    let assumed = json!({"castings.bulk_density": "620 kg/m3"});
    let body = json!({"areas": wanted, "assumptions": assumed, "units": "us"});
    assert_same("applications", "?assume=castings.bulk_density:620 kg/m3&units=us", (&table, &body));
    let shapes = "id,name,surface,count,length,width,diameter,inner_diameter,area,spacing,volume,top_diameter,bottom_diameter,height,bed_fill_depth,rate_kind,rate,castings,settling\n\
        a,,circle,2,,,80 cm,,,,,,,,,,1 cm,,10 %\n\
        b,,,,,,80 cm,20 cm,,,,,,,,,2 kg/m2,,\n\
        c,,,,,,,,12 m2,,,,,,,available_nitrogen,5 g/m2,,\n\
        d,,,2,6 m,,,,,50 cm,,,,,,,100 mL,,\n\
        e,,,10,,,,,,,,20 cm,14 cm,18 cm,,,20 %,,\n\
        f,,,,2 m,1 m,,,,,,,,,30 cm,,25 %,,\n\
        g,,,,2 m,1 m,,,,,,,,,,,,60 L,\n\
        h,,,,2 m,1 m,,,,,,,,,,,garden_bed,,\n";
    let bed = json!({"kind": "rectangle", "length": "2 m", "width": "1 m"});
    let areas = json!([
        {"id": "a", "surface": {"kind": "circle", "count": 2, "diameter": "80 cm"}, "rate": {"kind": "depth", "amount": "1 cm"}, "settling": "10 %"},
        {"id": "b", "surface": {"kind": "ring", "diameter": "80 cm", "inner_diameter": "20 cm"}, "rate": {"kind": "mass_per_area", "amount": "2 kg/m2"}},
        {"id": "c", "surface": {"kind": "area", "area": "12 m2"}, "rate": {"kind": "available_nitrogen", "amount": "5 g/m2"}},
        {"id": "d", "surface": {"kind": "planted_rows", "count": 2, "length": "6 m", "spacing": "50 cm"}, "rate": {"kind": "per_plant", "amount": "100 mL"}},
        {"id": "e", "surface": {"kind": "tapered_pots", "count": 10, "top_diameter": "20 cm", "bottom_diameter": "14 cm", "height": "18 cm"},
         "rate": {"kind": "share_of_mix", "amount": "20 %"}},
        {"id": "f", "surface": {"kind": "bed_fill", "ground": bed, "depth": "30 cm"}, "rate": {"kind": "share_of_mix", "amount": "25 %"}},
        {"id": "g", "surface": bed, "castings": "60 L"},
        {"id": "h", "surface": bed, "rate": {"kind": "typical", "purpose": "garden_bed"}}
    ]);
    assert_same("applications", "", (shapes, &json!({"areas": areas})));
}

#[test]
fn the_answer_sent_again_is_the_same_answer() {
    let query = "?container=bucket:12 L";
    let first = answered("applications", query, demo_table("applications.csv"));
    assert_eq!(answered("applications", query, first.as_str()), first);
    // Columns of the answer may have been moved: they are filled where they are.
    let moved = "castings_L,name,length,width,CAUTIONS,rate\n99,bed,2 m,1 m,x,1 cm\n";
    let table = answered("applications", "", moved);
    assert!(table.starts_with("castings_L,name,length,width,CAUTIONS,rate,surface_area_m2,"), "{table}");
    assert!(table.contains("\r\n20,bed,2 m,1 m,"), "{table}");
    assert_eq!(table.matches("castings_L").count(), 3);
    // Nothing of an answer in other units stays behind.
    let us = answered("applications", "?units=us", first.replace("castings_bucket", "in buckets").as_str());
    let header = us.lines().next().unwrap();
    assert!(
        header.contains(",in buckets,") && header.contains("castings_ft3") && !header.contains("castings_L"),
        "{header}"
    );
    let metric = answered("applications", query, us.replace(",in buckets", ",").as_str());
    assert_eq!(column(&metric, "castings_L"), column(&first, "castings_L"));
    assert!(!metric.contains("ft3"), "{metric}");
}

#[test]
fn nothing_of_an_answer_in_other_units_stays_behind() {
    for question in ["applications", "balances", "harvests"] {
        let metric = answered(question, "?container=bucket:12 L", demo_table(&format!("{question}.csv")));
        let us = answered(question, "?container=bucket:12 L&units=us", metric.as_str());
        assert!(us.contains("_ft3") && !us.contains("_L,"), "{us}");
        let again = answered(question, "?container=bucket:12 L", us.as_str());
        for (row, other) in rows(&metric, b',').iter().zip(rows(&again, b',')) {
            assert_eq!(*row, other);
        }
    }
}

#[test]
fn cautions_are_in_the_row_that_they_are_about() {
    let table = "name,length,width,rate\nthin,2 m,1 m,1 cm\nthick,2 m,1 m,20 cm\n";
    let rules = column(&answered("applications", "", table), "cautions");
    let json = as_json("applications", "", table);
    let of = |index: usize| {
        let rules = json["areas"][index]["cautions"].as_array().unwrap().clone();
        rules.iter().map(|rule| rule.as_str().unwrap().to_owned()).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(rules, [of(0), of(1)]);
    assert_ne!(rules[0], rules[1]);
}

#[test]
fn rows_without_fields_stay_where_they_are() {
    let table = "name,length,width,rate,note\n,,,,north side\na,2 m,1 m,1 cm,\n\n,  ,,,\nb,2 m,1 m,2 cm,\n";
    let table = answered("applications", "", table);
    assert_eq!(column(&table, "note"), ["north side", "", "", "", ""]);
    assert_eq!(column(&table, "castings_L"), ["", "20", "", "", "40"]);
    assert_eq!(column(&table, "assumed")[0], "");
    assert_eq!(column(&table, "length")[3], "  ");
    assert_eq!(answered("applications", "", table.as_str()), table);
}

#[test]
fn the_answer_comes_in_every_form_that_the_question_has() {
    for (accept, wanted) in [
        ("*/*", "text/csv; charset=utf-8; header=present"),
        ("application/json", "application/json"),
        ("text/html", "text/html; charset=utf-8"),
        ("text/plain", "text/plain; charset=utf-8"),
    ] {
        let headers = [("content-type", "text/csv"), ("accept", accept)];
        let answer = sent_as("applications", "", &headers, demo_table("applications.csv"));
        assert_eq!((answer.status, answer.header("content-type")), (200, wanted));
        assert!(answer.text().contains("carrot rows"), "{}", answer.text());
    }
    let headers = [("content-type", "text/csv"), ("accept", "image/svg+xml")];
    assert_eq!(sent_as("applications", "", &headers, demo_table("applications.csv")).status, 406);
}

#[test]
fn many_rows_are_answered_in_their_order() {
    let mut table = String::from("name,length,width,rate\n");
    for row in 0..3_000 {
        table += &format!("bed {row},{} cm,1 m,1 cm\n", row + 1);
    }
    let answer = answered("applications", "", table);
    for (row, cells) in rows(&answer, b',').iter().enumerate() {
        let litres: f64 = cells["castings_L"].parse().unwrap();
        assert_eq!(cells["name"], format!("bed {row}"));
        assert!((litres - 0.1 * f64::from(u32::try_from(row + 1).unwrap())).abs() < 1e-9);
    }
}

#[test]
fn an_unknown_surface_names_the_kinds_that_there_are() {
    let table = "name,surface,area,rate\nbed,squircle,4 m2,1 cm\n";
    let answer = sent("applications", "", table);
    assert_eq!(answer.status, 422, "{}", answer.text());
    let error = &answer.json()["errors"][0];
    assert_eq!(error["code"], "unknown_kind");
    let (detail, allowed) = (error["detail"].as_str().unwrap(), error["allowed"].as_array().unwrap());
    assert!(detail.contains("\"polygon\"") && detail.contains("\"rectangle\""), "{detail}");
    assert!(allowed.len() > 5 && allowed.contains(&json!("polygon")), "{allowed:?}");
}

/// A triangle with legs of 4 and 3 m has 6 m2: its corners are in one cell. Once settled by nothing, 1 cm is 60 L.
#[test]
fn the_corners_of_a_polygon_are_in_a_cell() {
    for (address, corners) in [
        ("", "\"0 0, 4 0, 4 3 m\""),
        ("", "0 0;4 0;4 3 m"),
        ("", "-1 -1 ; 3 -1 ; 3 2m"),
        ("?decimal=comma", "0 0, 400 0, 400 300 cm"),
        ("?decimal=comma", "\"-0,5 0; 3,5 0; 3,5 3 m\""),
    ] {
        let mark = if address.is_empty() { ',' } else { ';' };
        let table = format!("name,corners,count,rate\nthree corners,{corners},1,1 cm\n");
        let table =
            if address.is_empty() { table } else { format!("name;corners;rate\nthree corners;{corners};1 cm\n") };
        let answer = rows(answered("applications", address, table), u8::try_from(mark).unwrap());
        assert_eq!((answer[0]["surface_area_m2"].as_str(), answer[0]["castings_L"].as_str()), ("6", "60"), "{corners}");
    }
    // As a body: the same reader says what is wrong, at the cell.
    let refused = |cells: &str| -> Vec<(String, u64)> {
        let answer = sent("applications", "", format!("name,corners,rate\nbed,\"{cells}\",1 cm\n"));
        assert_eq!(answer.status, 422, "{cells}: {}", answer.text());
        let errors = answer.json()["errors"].as_array().unwrap().clone();
        errors.iter().map(|one| (one["code"].as_str().unwrap().to_owned(), one["column"].as_u64().unwrap())).collect()
    };
    let one = |code: &str| vec![(code.to_owned(), 2)];
    assert_eq!(refused("0 0, 4 0, 4 3"), one("bad_text"));
    assert_eq!(refused("0 0, 4, 4 3 m"), one("bad_text"));
    assert_eq!(refused("0 0, 4 0 1, 4 3 m"), one("bad_text"));
    assert_eq!(refused("a b, 4 0, 4 3 m"), one("bad_text"));
    assert_eq!(refused("m"), one("bad_text"));
    assert_eq!(refused("0 0, 4 3 m"), one("wrong_length"));
    assert_eq!(refused("0 0, 4 0, 4 3 kg"), one("unit_does_not_fit"));
    assert_eq!(refused("0 0, 4 4, 4 0, 0 4 m"), one("self_crossing"));
    // Only a polygon has corners.
    let answer = sent("applications", "", "surface,area,corners,rate\narea,4 m2,\"0 0, 4 0, 4 3 m\",1 cm\n");
    assert_eq!((answer.status, &answer.json()["errors"][0]["column"]), (422, &json!(3)), "{}", answer.text());
}

/// What the cell holds is repeated whole, whatever it holds.
#[test]
fn an_unknown_surface_with_a_full_stop_is_named_whole() {
    let answer = sent("applications", "", "name,surface,area,rate\nbed,no. 4,4 m2,1 cm\n");
    let detail = answer.json()["errors"][0]["detail"].as_str().unwrap().to_owned();
    assert!(detail.contains("\"no. 4\" is not known here.") && detail.contains("\"rectangle\""), "{detail}");
}

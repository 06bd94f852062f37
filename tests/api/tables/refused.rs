//! Tables that are refused: every error by its line and column.

use super::{brief, demo_table, reported, sent};
use crate::support::get;

#[test]
fn every_error_of_a_table_is_reported_with_its_line_and_column() {
    let table = demo_table("refused-applications.csv");
    let answer = sent("applications", "?units=imperial&container=bucket", table);
    assert_eq!(answer.status, 422);
    crate::refusals::assert_problem(&answer);
    let wanted = [
        "container bad_text",
        "units unknown_value",
        "1:7 unknown_column",
        "2:3 unit_missing",
        "3:5 rate_does_not_fit",
        "4 missing_field",
        "5:5 bad_number",
        "6:1 repeated_id",
        "6:5 missing_field",
    ];
    assert_eq!(brief(&answer), wanted, "{}", answer.text());
    let details: Vec<String> = answer.json()["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| error["detail"].as_str().unwrap().to_owned())
        .collect();
    assert!(details[3].starts_with("Line 2 ('carrots'), column length: "), "{details:#?}");
    assert_eq!(answer.json()["errors_total"], wanted.len());
}

#[test]
fn a_column_that_is_almost_a_known_one_or_like_one_of_an_answer_is_refused() {
    let bed = "2 m,1 m,1 cm";
    for (column, nearest) in
        [("lenght", "length"), ("band width", "band_width"), ("sufrace", "surface"), ("Rates", "rate")]
    {
        let answer = sent("applications", "", format!("area,{column}\n2 m2,1 cm\n"));
        let errors = &answer.json()["errors"];
        assert_eq!(
            (&errors[0]["code"], &errors[0]["nearest"]),
            (&"unknown_column".into(), &nearest.into()),
            "{column}"
        );
    }
    for own in ["note", "cost", "crop", "beds", "notes", "#", "", "needed", "price per L"] {
        let answer = sent("applications", "", format!("length,width,rate,{own}\n{bed},x\n"));
        assert_eq!(answer.status, 200, "{own}: {}", answer.text());
    }
    let table = format!("length,width,rate,castings_barrow,depth_of_water\n{bed},1,2\n");
    assert_eq!(reported("applications", "", &table), ["1:4 unknown_column", "1:5 unknown_column"]);
    assert_eq!(reported("applications", "?container=barrow:80 L", &table), ["1:5 unknown_column"]);
    let twice = format!("length,width,rate,Rate,castings_L,castings_L\n{bed},1 cm,,\n");
    assert_eq!(reported("applications", "", &twice), ["1:4 repeated_column", "1:6 repeated_column"]);
}

#[test]
fn remedies_are_those_of_a_table() {
    for (question, table, wanted) in [
        (
            "balances",
            "row,amount,on\nstock,1 bucket,2027-01-01\ndemand,,\n",
            vec![
                "or name the container in the address, as in container=bucket:12 L.",
                "Line 2, column on: A row like this one has no on. Leave the cell empty. This row takes id, name, amount, ready_on, use_by.",
                "Line 3: Give either the amount, or a place with its rate; one of the two.",
            ],
        ),
        (
            "applications",
            "id,length,width,rate\na,2 m,1 m,1 cm\n,,,\na,2 m,1 m,1 cm\n",
            vec!["Line 4 ('a'), column id: The id is already that of line 2; give each row its own."],
        ),
        (
            "harvests",
            "row,heap,height,material_depth,length,width\nheap,cone,,,,\n,,,,2 m,1 m\n",
            vec![
                "Line 2, column height: This cell is empty, and the row needs it. Fill it in.",
                "Line 2: The table has no column diameter, and the row needs it. Add the column.",
                "give material_depth and finished_share.",
            ],
        ),
    ] {
        let answer = sent(question, "", table).json();
        let errors = answer["errors"].as_array().unwrap();
        let details: Vec<&str> = errors.iter().map(|error| error["detail"].as_str().unwrap()).collect();
        assert_eq!(details.len(), wanted.len(), "{details:#?}");
        for (detail, wanted) in details.iter().zip(&wanted) {
            assert!(detail.ends_with(wanted) && !detail.contains('{'), "{details:#?}");
        }
        let about =
            get("/openapi.json").json()["paths"][format!("/v1/{question}/table")]["post"]["requestBody"].to_string();
        for error in errors.iter().filter(|error| error["code"] != "unknown_unit") {
            for name in error["allowed"].as_array().into_iter().flatten() {
                assert!(about.contains(&format!("`{}`", name.as_str().unwrap())), "{name} is no column");
            }
        }
    }
}

#[test]
fn errors_of_one_line_without_a_column_are_all_reported() {
    let table = "row,heap,count\nheap,counted,\n";
    assert_eq!(reported("harvests", "", table), ["2:3 missing_field", "2 missing_field"]);
    let table = "row,name,length,rate,amount\ndemand,a,2 m,1 cm,1 L\n";
    assert_eq!(reported("balances", "", table), ["2 missing_field", "2 exactly_one_of"]);
}

#[test]
fn no_column_of_the_callers_is_taken_for_one_of_the_answer() {
    for (question, columns, row) in [
        ("applications", "length,width,rate,castings_in", "2 m,1 m,1 cm,shed"),
        ("applications", "length,width,rate,castings_m2", "2 m,1 m,1 cm,3"),
        ("applications", "length,width,rate,nitrogen_kg", "2 m,1 m,1 cm,3"),
        ("applications", "length,width,rate,surface_area_m2_low", "2 m,1 m,1 cm,3"),
        ("harvests", "length,width,material_depth,finished_share", "2 m,1 m,20 cm,80 %"),
        ("harvests", "length,width,material_depth,finished_share,stored_in", "2 m,1 m,20 cm,80 %,barn"),
        ("balances", "row,amount,allocated_in", "demand,3 L,April"),
    ] {
        let answer = sent(question, "", format!("{columns}\n{row}\n"));
        if answer.status == 422 {
            assert_eq!(brief(&answer), [format!("1:{} unknown_column", columns.split(',').count())], "{columns}");
        } else {
            let kept = super::rows(answer.text(), b',');
            for (column, cell) in columns.split(',').zip(row.split(',')) {
                assert_eq!(kept[0][column], cell, "{columns}");
            }
        }
    }
}

#[test]
fn a_container_cannot_be_named_like_a_bound() {
    let bed = "length,width,rate\n2 m,1 m,1 cm\n";
    for name in ["L low", "kg HIGH", "low", "my  High"] {
        let query = format!("?container={name}:12 L");
        assert_eq!(reported("applications", &query, bed), ["container bad_text"], "{name}");
    }
    for name in ["low bucket", "flow", "high-low one"] {
        let answer = sent("applications", &format!("?container={name}:12 L"), bed);
        assert_eq!(answer.status, 200, "{name}: {}", answer.text());
    }
}

#[test]
fn what_is_no_csv_is_refused_with_400() {
    for (table, wanted) in [
        (&b""[..], "1 not_csv"),
        (b"\n\n", "1 not_csv"),
        (b"name,rate\na\n", "2 not_csv"),
        (b"name,rate\na,b,c\n", "2 not_csv"),
        (b"name,rate\n\"a,b\n", "2:1 not_csv"),
        (b"name,rate\na,6\"\n", "2:2 not_csv"),
        (b"name,rate\n\"a\"b,c\n", "2:1 not_csv"),
        (b"name,rate\na,\xff\n", "2 not_csv"),
        (b"\xff\xfen\0a\0", "1 not_csv"),
        (b"name;ra\"te\n", "1:2 not_csv"),
        (b"sep=;\nname;rate\na,1\n", "3 not_csv"),
    ] {
        let answer = sent("applications", "", table);
        assert_eq!((answer.status, brief(&answer)), (400, vec![wanted.to_owned()]), "{}", answer.text());
        assert_eq!(answer.json()["type"], "/problems/not-csv");
        crate::refusals::assert_problem(&answer);
    }
    let ragged = sent("applications", "", "name,rate\na\nb,1 cm\nc,d,e\n");
    assert_eq!(brief(&ragged), ["2 not_csv", "4 not_csv"]);
}

#[test]
fn a_name_that_cannot_be_one_is_reported_in_one_line() {
    let answer = sent("applications", "", "name,length,width,rate\n\"two\nlines\",2 m,1 m,1 cm\nb,2 m,1,1 cm\n");
    // The second row begins on line 4 of the file.
    assert_eq!(brief(&answer), ["2:1 bad_text", "4:3 unit_missing"]);
    let details = answer.json()["errors"][0]["detail"].to_string();
    assert!(details.starts_with("\"Line 2 ('two lines'), column name: "), "{details}");
}

#[test]
fn tables_that_are_too_large_are_refused() {
    let rows = |count: usize| format!("length,width,rate\n{}", "2 m,1 m,1 cm\n".repeat(count));
    assert_eq!(reported("applications", "", &rows(10_001)), ["1 wrong_length"]);
    assert_eq!(
        reported("applications", "", &format!("length,width,rate\n{}", "\n".repeat(20_001))),
        ["20002 too_large"]
    );
    assert_eq!(reported("applications", "", &format!("rate{}\n", ",x".repeat(100))), ["1 too_large"]);
    let answer = sent("applications", "", "x".repeat(4 * 1024 * 1024 + 1));
    assert_eq!(answer.status, 413);
    assert_eq!(reported("applications", "", "length,width,rate\n"), ["1 wrong_length"]);
    assert_eq!(
        reported("applications", "?decimal=comma&delimiter=comma&width=2", "rate\n1 cm\n"),
        ["width out_of_range", "delimiter not_allowed_here"]
    );
}

/// Headers of a spreadsheet that has its units in them, or nothing that is known.
#[test]
fn columns_that_are_not_known_are_answered_with_names_that_are() {
    let details = |question: &str, table: &str| -> Vec<String> {
        let answer = sent(question, "", table.to_owned()).json();
        answer["errors"].as_array().unwrap().iter().map(|error| error["detail"].as_str().unwrap().to_owned()).collect()
    };
    let unknown = details("applications", "Bed,Long,Wide\nnorth,6,2\n");
    assert_eq!(unknown.len(), 1, "{unknown:?}");
    assert!(unknown[0].starts_with("No column is known here. Name the columns as in the first line"), "{unknown:?}");
    assert!(
        unknown[0].contains("(name,surface,count,length,width,") && unknown[0].contains("6 m,,20 cm"),
        "{unknown:?}"
    );
    for (header, field, unit) in
        [("Length (m)", "length", "m"), ("width [cm]", "width", "cm"), ("area_m2", "area", "m2")]
    {
        let found = details("applications", &format!("name,{header}\na,6\n"));
        let wanted = format!("call this column {field}, and write the unit in each cell, as in 2 {unit}.");
        assert!(found[0].contains(&wanted), "{found:?}");
        // Where the field says the place by itself, its cells are read too, and lack their unit.
        assert!(field != "area" || found.iter().any(|detail| detail.contains("6 has no unit")), "{found:?}");
    }
    // No unit, no field: a column of the caller's.
    let own = sent(
        "applications",
        "",
        "name (latin),length (of stay),price (per kg),length,width,rate\n,,,2 m,1 m,1 cm\n".to_owned(),
    );
    assert_eq!(own.status, 200, "{}", own.text());
    let beds = details("applications", "name,rate\n,\n");
    assert_eq!(beds, ["All rows are empty. Add a row for each item below the names of the columns."]);
}

#[test]
fn a_table_without_the_column_row_is_reported_once_and_its_cells_are_checked() {
    let table = "name,amount,on,ready_on\na,10 L,20.04.2027,\nb,20,2027-04-01,\nc,5 L,,20.03.2027\n";
    let answer = sent("balances", "", table.to_owned());
    assert_eq!(
        brief(&answer),
        ["1 missing_field", "2:3 bad_date", "3:2 unit_missing", "4:4 bad_date"],
        "{}",
        answer.text()
    );
    assert_eq!(
        answer.json()["errors"][0]["detail"],
        "Line 1: Add a column row that says what each line is. Write stock or demand in the column row."
    );
}

/// The errors of a table of one row, in full.
fn details(question: &str, table: &str) -> Vec<String> {
    let answer = sent(question, "", table);
    assert_eq!(answer.status, 422, "{}", answer.text());
    let errors = answer.json()["errors"].as_array().unwrap().clone();
    errors.iter().map(|error| error["detail"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn an_error_says_what_to_write_into_the_table_that_was_sent() {
    let lot = "row,name,amount,length\nstock,a,,\ndemand,b,5 L,\n";
    assert_eq!(details("balances", lot), ["Line 2 ('a'): Fill in the amount, such as 60 L."]);
    let heap = "row,name,length,width\nheap,c,3 m,1 m\n";
    let wanted = ["Line 2 ('c'): The table has no column heap, and the row needs it. Add the column."];
    assert_eq!(details("harvests", heap), wanted);
    let place = "row,amount,length,width,rate\nstock,50 L,,,\ndemand,,2 m,1 m,\n";
    let wanted =
        ["Line 3, column rate: How much? Give a rate, such as 2 cm, or the amount for the whole place, such as 60 L."];
    assert_eq!(details("balances", place), wanted);
    for (column, field) in [("castings", "amount"), ("need_on", "on"), ("Datum", "on"), ("prio", "priority")] {
        let table = format!("row,id,{column}\ndemand,a,5 L\n");
        let said = &details("balances", &table)[0];
        assert!(said.contains(&format!("did you mean {field}?")), "{said}");
    }
}

/// The unit of a rate decides its kind also where it is one of the caller's or a US one.
#[test]
fn a_rate_in_us_units_or_containers_is_read_as_in_a_body() {
    let rate = |rate: &str| format!("length,band_width,count,rate\n10 ft,1 ft,2,{rate}\n");
    let plain = super::answered("applications", "?units=us", rate("0.1 US gal/ft"));
    let of =
        |query: &str, text: &str| super::column(&super::answered("applications", query, rate(text)), "castings_ft3");
    let wanted = super::column(&plain, "castings_ft3");
    assert_eq!(of("?units=us", "0.1 gal/ft"), wanted);
    assert_eq!(of("?units=us&container=pail:5 gal", "0.02 pail/ft"), wanted);
}

/// An error of a cell says what to write into it.
#[test]
fn a_table_gives_examples_as_in_a_cell() {
    let found = details("harvests", "length,width,material_depth\n2 m,1 m,20 cm\n");
    assert!(found[0].contains("give it, as in finished_share 80 %"), "{found:?}");
    let found = details("applications", "area,rate\n6 m2,1.5 L\n");
    assert!(found[0].ends_with("Write another, such as 2 cm or 5 L/m2 or 3 kg/m2."), "{found:?}");
    let found = details("harvests", "material_depth,finished_share,count\n25 cm,80 %,3\n");
    assert!(found[0].ends_with("length and band_width, diameter, or area."), "{found:?}");
}

/// The cells of a row that are wrong, each with what is said of it.
fn said(question: &str, query: &str, table: &str) -> Vec<(String, String)> {
    let answer = sent(question, query, table);
    let details = answer.json()["errors"].as_array().unwrap().clone();
    let details = details.iter().map(|error| error["detail"].as_str().unwrap().to_owned());
    brief(&answer).into_iter().zip(details).collect()
}

#[test]
fn a_cell_is_reported_once_with_all_that_its_row_takes() {
    let found = said("harvests", "", "name,diameter,height\na,2 m,1 m\n");
    let of_cell: Vec<&(String, String)> = found.iter().filter(|(at, _)| at.starts_with("2:3")).collect();
    let [(_, detail)] = of_cell[..] else { panic!("{found:#?}") };
    for part in [
        "This row takes count, diameter,",
        "material_depth",
        "write heap in a column row",
        "bay or bin in a column heap",
    ] {
        assert!(detail.contains(part), "{detail}");
    }
    // As it says.
    let table = "row,heap,name,diameter,height\nheap,cone,a,2 m,1 m\n";
    assert_eq!(sent("harvests", "", table).status, 200);
}

/// As pandas and spreadsheets write whole numbers beside empty cells.
#[test]
fn counts_with_zeros_behind_the_mark_are_whole() {
    for (query, count) in [("", "4.0"), ("?decimal=comma&delimiter=semicolon", "4,0"), ("", "4.00")] {
        let rows = format!("length;band_width;count;rate\n6 m;20 cm;{count};1 cm\n");
        let table = if query.is_empty() { rows.replace(';', ",") } else { rows };
        let answer = sent("applications", query, table);
        assert!(answer.status == 200 && answer.text().contains("48"), "{}", answer.text());
    }
    let balance = |priority: &str| format!("row,amount,priority\nstock,9 L,\ndemand,1 L,{priority}\n");
    assert_eq!(sent("balances", "", balance("2.0")).status, 200);
    assert_eq!(reported("balances", "", &balance("1.5")), ["3:3 not_an_integer"]);
    assert_eq!(reported("balances", "", &balance("1.000")), ["3:3 bad_number"]);
}

#[test]
fn what_follows_from_a_container_or_does_not_fit_is_not_advised() {
    let table = "name,count,rate\na,5,5 buckets\nb,4,3\nc,4,\n";
    let found = said("applications", "?container=bucket:12", table);
    let at: Vec<&str> = found.iter().map(|(at, _)| at.as_str()).collect();
    assert_eq!(at, ["container unit_missing", "3:3 unit_missing", "4:3 missing_field"]);
    assert!(found[1].1.contains("write a volume per plant") && found[2].1.contains("such as 250 mL"), "{found:#?}");
}

#[test]
fn a_day_that_does_not_exist_gets_what_is_wrong() {
    let table = "row,amount,on\nstock,9 L,\ndemand,1 L,2027-02-29\ndemand,1 L,2027-13-01\n";
    let found = said("balances", "", table);
    assert!(found[0].1.ends_with("there is no 29 Feb 2027; that month has 28 days."), "{found:#?}");
    assert!(found[1].1.ends_with("a month is from 01 to 12."), "{found:#?}");
}

//! How tables are written by those who send them, and that nothing of theirs is lost.

use super::{answered, column, demo_table, reported, rows, sent, sent_as};

const TABLE: &str = "name,length,width,rate\nbed,2.5 m,1 m,1 cm\n";

#[test]
fn delimiters_byte_order_marks_line_ends_and_the_case_and_order_of_columns_do_not_matter() {
    let wanted = rows(answered("applications", "", TABLE), b',');
    for (table, delimiter) in [
        (TABLE.replace(',', ";"), b';'),
        (TABLE.replace(',', "\t"), b'\t'),
        (TABLE.replace('\n', "\r\n"), b','),
        (TABLE.replace('\n', "\r"), b','),
        (format!("\u{feff}{TABLE}"), b','),
        (TABLE.trim_end().to_owned(), b','),
        (
            TABLE
                .replace(',', "\",\"")
                .replace('\n', "\"\n\"")
                .replacen("name", "\"name", 1)
                .trim_end_matches('"')
                .to_owned(),
            b',',
        ),
    ] {
        assert_eq!(rows(answered("applications", "", table.as_str()), delimiter), wanted, "{table}");
    }
    let other = answered("applications", "", "RATE, Width ,LENGTH,Name\n1 cm,1 m,2.5 m,bed\n");
    assert_eq!(column(&other, "castings_L"), ["25"]);
    assert!(other.starts_with("RATE, Width ,LENGTH,Name,"), "{other}");
    let given = answered("applications", "?delimiter=semicolon&bom=true", TABLE.replace(',', ";"));
    assert!(given.starts_with("\u{feff}name;length;"), "{given}");
}

#[test]
fn a_decimal_comma_is_read_and_written() {
    let table = "name;length;width;rate;my own\nbed 1,5;2,5 m;1 m;1,5 cm;-2,5\n";
    let answer = answered("applications", "?decimal=comma", table);
    let cells = &rows(&answer, b';')[0];
    assert_eq!((cells["castings_L"].as_str(), cells["castings_kg"].as_str()), ("37,5", "22,5"));
    assert_eq!(
        (cells["name"].as_str(), cells["length"].as_str(), cells["my own"].as_str()),
        ("bed 1,5", "2,5 m", "-2,5")
    );
    assert_eq!(answered("applications", "?decimal=comma", answer.as_str()), answer);
    // Commas between cells cannot be decimal marks too: the answer has semicolons.
    let quoted = answered("applications", "?decimal=comma", "name,length,width,rate\nbed,\"2,5 m\",1 m,1 cm\n");
    assert_eq!(rows(&quoted, b';')[0]["castings_L"], "25");
    let refused = sent("applications", "", table);
    assert_eq!(refused.status, 422);
    assert!(refused.text().contains("To read it as 2.5 m, add decimal=comma to the address."), "{}", refused.text());
}

#[test]
fn a_point_between_digits_is_refused_where_the_decimal_mark_is_a_comma() {
    let table = "row;name;amount;on;length;width;rate;count;priority\n\
        stock;1.000;1.000 L;;;;;;\n\
        demand;a;;05.04.2027;1.500 m;1 m;1.000,5 cm;1.000;1.000\n\
        demand;b;1,5 L;2027-04-05;;;;;1,5\n";
    let wanted = [
        "2:3 bad_number",
        "3:4 bad_date",
        "3:5 bad_number",
        "3:7 bad_number",
        "3:8 bad_number",
        "3:9 bad_number",
        "4:9 not_an_integer",
    ];
    assert_eq!(reported("balances", "?decimal=comma", table), wanted);
    let detail = |column: usize| {
        let answer = sent("balances", "?decimal=comma", table).json();
        let errors = answer["errors"].as_array().unwrap();
        errors.iter().find(|error| error["column"] == column).unwrap()["detail"].as_str().unwrap().to_owned()
    };
    assert!(detail(3).contains("write \"1,000 L\" or \"1000 L\""), "{}", detail(3));
    assert!(detail(8).contains("1 or 1000"), "{}", detail(8));
    assert_eq!(
        reported("applications", "", "count,volume,rate\n1.000,3 L,20 %\n\"1,000\",3 L,20 %\n"),
        ["2:1 bad_number", "3:1 bad_number"]
    );
}

#[test]
fn the_decimal_mark_of_a_table_is_that_of_its_address_too() {
    let table = "length;width;rate\n2 m;1 m;1 cm\n";
    let query = "?decimal=comma&container=bucket:12,5 L&assume=castings.bulk_density:612,5 kg/m3";
    let cells = &rows(answered("applications", query, table), b';')[0];
    assert_eq!((cells["castings_bucket"].as_str(), cells["castings_kg"].as_str()), ("1,6", "12,25"));
    let query = "?decimal=comma&container=bucket:1.000 L&assume=castings.bulk_density:1.000 kg/m3";
    assert_eq!(reported("applications", query, table), ["container bad_number", "assume bad_number"]);
}

#[test]
fn a_table_in_windows_1252_is_read_where_it_is_declared() {
    let table = b"name,length,width,rate,preis\nM\xf6hren,2 m,1 m,\xbd in,5 \x80\n";
    let kinds = ["text/csv; charset=windows-1252", "text/csv;charset=CP1252", "text/csv; charset=iso-8859-1"];
    for kind in kinds {
        let answer = sent_as("applications", "", &[("content-type", kind)], table);
        assert_eq!((answer.status, column(answer.text(), "name")), (200, vec!["Möhren".to_owned()]), "{kind}");
        assert_eq!(column(answer.text(), "preis"), ["5 €"]);
    }
    let answer = sent("applications", "", table);
    assert_eq!(answer.status, 400);
    assert!(answer.text().contains("charset=windows-1252"), "{}", answer.text());
    for kind in ["text/csv; charset=utf-16", "text/csv; charset=klingon", "application/json", "text/plain", "nonsense"]
    {
        let answer = sent_as("applications", "", &[("content-type", kind)], TABLE);
        assert_eq!((answer.status, answer.header("accept")), (415, "text/csv"), "{kind}");
    }
    assert_eq!(sent_as("applications", "", &[], TABLE).status, 415);
}

#[test]
fn cells_of_the_caller_come_back_as_they_were() {
    let long = "x".repeat(5_000);
    let cells = [
        "007",
        "1.10",
        "03/04/2027",
        "2027-04-03",
        " spaces ",
        "6 ft 4\"",
        "one\nline\r\nmore",
        "a;b,c\td",
        "1e5",
        "TRUE",
        "½",
        "'tis",
        "''",
        "-5",
        "+43",
        "\u{202e}abc",
        long.as_str(),
    ];
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(["own"].into_iter().chain(["length", "width", "rate", "OWN 2"])).unwrap();
    for cell in cells {
        writer.write_record([cell, "2 m", "1 m", "1 cm", cell]).unwrap();
    }
    let answer = answered("applications", "", writer.into_inner().unwrap());
    assert_eq!(
        (column(&answer, "own").as_slice(), column(&answer, "OWN 2")),
        (cells.map(str::to_owned).as_slice(), cells.map(str::to_owned).to_vec())
    );
    assert_eq!(answered("applications", "", answer.as_str()), answer);
}

#[test]
fn what_a_spreadsheet_would_compute_is_guarded_and_comes_back_as_it_was() {
    let table = "name,length,width,rate,=own\n=1+1,2 m,1 m,1 cm,@SUM(A1)\n-a,2 m,1 m,1 cm,-5\n";
    let answer = answered("applications", "", table);
    assert!(answer.starts_with("name,length,width,rate,'=own,"), "{answer}");
    assert_eq!(column(&answer, "name"), ["'=1+1", "'-a"]);
    assert_eq!(column(&answer, "'=own"), ["'@SUM(A1)", "-5"]);
    assert_eq!(answered("applications", "", answer.as_str()), answer);
    // The name that is answered is the one that was meant.
    let json = super::as_json("applications", "", &answer);
    assert_eq!(json["areas"][0]["name"], "=1+1");
}

#[test]
fn what_hides_a_sign_does_not_hide_a_formula() {
    let table = "\u{feff}\u{feff}=own,length,width,rate,note\n\u{1}=1,2 m,1 m,1 cm,\u{200b}@a\n";
    let answer = answered("applications", "", table);
    assert!(answer.starts_with("'\u{feff}=own,"), "{answer}");
    assert!(answer.contains("\r\n'\u{1}=1,2 m,1 m,1 cm,'\u{200b}@a,"), "{answer}");
    // A program that splits at other marks finds no formula either.
    let split = answered("applications", "", "note;length;width;rate\n\"a,=1\tb\";2 m;1 m;1 cm\n");
    assert!(split.contains("\r\n\"a,=1\tb\";2 m;"), "{split}");
}

#[test]
fn a_line_that_says_what_separates_cells_is_taken_off_and_lines_of_spaces_are_blank() {
    let table = "sep=;\nlength;width;rate;note\n2 m;1 m;1 cm;a,b\n   \n2 m;1 m;1 cm;c\n";
    let answer = answered("applications", "", table);
    assert!(answer.starts_with("length;width;rate;note;"), "{answer}");
    let cells: Vec<String> = rows(&answer, b';').iter().map(|row| row["castings_L"].clone()).collect();
    assert_eq!(cells, ["20", "", "20"]);
    let wrong = "sep=;\nlength;width;rate;rate\n2;1 m;1 cm;\n";
    assert_eq!(reported("applications", "", wrong), ["2:4 repeated_column", "3:1 unit_missing"]);
}

#[test]
fn the_demo_tables_are_answered_as_they_were() {
    let answer = answered("applications", "?container=bucket:12 L", demo_table("applications.csv"));
    crate::demo_data::assert_kept("tables/applications.csv", &answer);
}

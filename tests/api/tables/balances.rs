//! Tables of stock and demands.

use super::{answered, assert_same, column, demo_table, reported, rows, sent};
use crate::support::{Numbers, demo};
use serde_json::json;

/// The amounts among words have the decimal mark of the others; names keep what they have.
#[test]
fn amounts_of_allocations_have_the_decimal_mark_of_the_table() {
    let table = "row;name;amount;ready_on;on\nstock;bin 2.5;22,5 L;2027-03-01;\nstock;north;10 L;2027-03-01;\n\
                 demand;beds;30,25 L;;2027-04-05\n";
    let answer = answered("balances", "?decimal=comma", table.to_owned());
    assert!(
        answer.contains(";22,5 L from bin 2.5 on 2027-04-05; 7,75 L from north on 2027-04-05;")
            || answer.contains("\"22,5 L from bin 2.5 on 2027-04-05; 7,75 L from north on 2027-04-05\""),
        "{answer}"
    );
    let answer = answered("balances", "?decimal=point", table.replace(',', "."));
    assert!(answer.contains("22.5 L from bin 2.5 on 2027-04-05; 7.75 L from north"), "{answer}");
}

#[test]
fn the_worked_table_says_who_gets_what() {
    let table = answered("balances", "", demo_table("balances.csv"));
    assert_eq!(column(&table, "needed_L"), ["", "", "40", "48", "57.6", "6", "20"]);
    assert_eq!(column(&table, "allocated_L"), ["90", "26", "40", "22.727", "27.273", "6", "20"]);
    assert_eq!(column(&table, "shortfall_L"), ["", "", "0", "25.273", "30.327", "0", "0"]);
    assert_eq!(column(&table, "remaining_L"), ["0", "34", "", "", "", "", ""]);
    assert_eq!(column(&table, "expired_L"), ["0", "0", "", "", "", "", ""]);
    assert_eq!(column(&table, "share_allocated_%")[3], "47.3479167");
    assert_eq!(column(&table, "allocations")[3], "22.727 L from cured bin on 2027-04-05");
    let header = table.lines().next().unwrap();
    let added = "needed_L,allocated_L,shortfall_L,share_allocated_%,would_have_been_allocated_L,share_supplied_%,allocations,incorporate_by,remaining_L,expired_L,cautions,assumed,cautions_of_request";
    assert!(header.ends_with(added), "{header}");
    assert_eq!(answered("balances", "", table.as_str()), table);
    crate::demo_data::assert_kept("tables/balances.csv", &table);
}

#[test]
fn a_table_of_stock_and_demands_and_a_body_are_answered_alike() {
    let body = demo("balances/two-lots.json");
    let body = json!({"stock": body["stock"], "demands": body["demands"]});
    assert_same("balances", "", (&demo_table("balances.csv"), &body));
    let table = "row,id,amount,priority,minimum,on\ndemand,a,10 L,1,50 %,2027-04-05\nstock,s,3 kg,,,\n,,,,,\ndemand,b,9 L,2,,\n";
    let body = json!({"stock": [{"id": "s", "amount": "3 kg"}],
                      "demands": [{"id": "a", "amount": "10 L", "priority": 1, "minimum": "50 %", "on": "2027-04-05"},
                                  {"id": "b", "amount": "9 L", "priority": 2}]});
    assert_same("balances", "", (table, &body));
}

/// Millilitres of a text in litres, digit for digit.
fn millilitres(litres: &str) -> u64 {
    let (whole, rest) = litres.split_once('.').unwrap_or((litres, ""));
    assert!(rest.len() <= 3, "{litres}");
    whole.parse::<u64>().unwrap() * 1_000 + format!("{rest:0<3}").parse::<u64>().unwrap()
}

#[test]
fn what_is_allocated_and_what_is_short_are_what_is_needed_digit_for_digit() {
    let mut numbers = Numbers(7);
    let mut table = String::from("row,name,amount,ready_on,on,priority\n");
    for lot in 0..5 {
        table +=
            &format!("stock,lot {lot},{}.{:03} L,2027-0{}-01,,\n", numbers.next() % 90, numbers.next() % 1000, lot + 1);
    }
    for demand in 0..200 {
        let (litres, rest, month) = (numbers.next() % 9, numbers.next() % 999 + 1, numbers.next() % 6 + 1);
        table += &format!("demand,d{demand},{litres}.{rest:03} L,,2027-0{month}-15,{}\n", numbers.next() % 3 + 1);
    }
    let table = answered("balances", "", table);
    let mut short = 0;
    for row in rows(&table, b',') {
        let of = |name: &str| millilitres(&row[name]);
        if row["row"] == "stock" {
            let amount = millilitres(row["amount"].trim_end_matches(" L"));
            assert_eq!(of("allocated_L") + of("remaining_L") + of("expired_L"), amount, "{row:?}");
        } else {
            assert_eq!(of("needed_L"), millilitres(row["amount"].trim_end_matches(" L")));
            assert_eq!(of("allocated_L") + of("shortfall_L"), of("needed_L"), "{row:?}");
            short += u32::from(of("shortfall_L") > 0);
        }
    }
    assert!(short > 0);
}

#[test]
fn rows_that_are_neither_and_fields_that_do_not_fit_are_refused() {
    let table = "row,name,amount,ready_on,on,length,width,rate\n\
        lot,a,1 L,,,,,\n\
        ,b,1 L,,,,,\n\
        stock,c,1 L,,2027-01-01,,,\n\
        demand,d,1 L,2027-01-01,,,,\n\
        stock,e,1 L,,,2 m,,\n\
        demand,f,1 L,,,2 m,1 m,1 cm\n\
        demand,g,,,2027-13-01,2 m,1 m,\n";
    let wanted = [
        "2:1 unknown_value",
        "3:1 missing_field",
        "4:5 unknown_field",
        "5:4 unknown_field",
        "6:6 unknown_field",
        "7 exactly_one_of",
        "8:5 bad_date",
        "8:8 missing_field",
    ];
    assert_eq!(reported("balances", "", table), wanted);
    assert_eq!(
        reported("balances", "", "row,amount,date\nstock,1 L,\ndemand,1 L,2027-01-01\n"),
        ["1:3 unknown_column"]
    );
    assert_eq!(reported("balances", "", "row,amount\nstock,1 L\n"), ["1:1 wrong_length"]);
}

#[test]
fn a_missing_kind_of_row_is_said_once_and_words_may_be_in_any_case() {
    let details = |table: &str| {
        let answer = sent("balances", "", table).json();
        let errors = answer["errors"].as_array().unwrap().clone();
        errors.iter().map(|error| error["detail"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(
        details("row,amount\nstock,1 L\n"),
        ["No row is a demand. Add at least one with demand in the column row."]
    );
    // A row that was refused may have been the one.
    let lost = details("row,amount\nstock,1 L\nneed,2 L\n");
    assert_eq!(lost, ["Line 3, column row: \"need\" is not known here. Write stock or demand in the column row."]);
    assert_eq!(
        details("amount\n1 L\n"),
        ["Line 1: Add a column row that says what each line is. Write stock or demand in the column row."]
    );
    let table = answered("balances", "", "row,amount\nStock,3 L\nDEMAND,2 L\n");
    assert_eq!(column(&table, "allocated_L"), ["2", "2"]);
}

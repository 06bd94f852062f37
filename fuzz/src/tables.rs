//! Tables: answered, or refused with each error's line and column; and the answer may be sent again.

use barrowful::garden::work::Work;
use barrowful::http::resources::applications::Applications;
use barrowful::http::resources::balances::Balances;
use barrowful::http::resources::calibrations::Calibrations;
use barrowful::http::resources::harvests::Harvests;
use barrowful::http::resources::tables::{Tabular, table_within};

/// The most work of one input: a few milliseconds.
const MOST: Work = Work::steps(400_000);

/// The first byte says which question and how numbers are written, the rest is its table.
pub fn tables(data: &[u8]) {
    let Some((first, table)) = data.split_first() else { return };
    let query = if first & 8 == 0 { "" } else { "decimal=comma&delimiter=semicolon" };
    match first % 4 {
        0 => answer::<Applications>(query, table),
        1 => answer::<Harvests>(query, table),
        2 => answer::<Balances>(query, table),
        // Its draws are always more than the most work: the table is read and checked.
        _ => answer::<Calibrations>(query, table),
    }
}

fn answer<T: Tabular>(query: &str, table: &[u8]) {
    match table_within::<T>(query, table, MOST) {
        Ok(None) => {}
        Ok(Some(answer)) => match table_within::<T>(query, &answer, MOST) {
            Ok(again) => assert!(
                again.is_none_or(|again| again == answer),
                "sent again it is another table: {}",
                String::from_utf8_lossy(&answer)
            ),
            Err(problem) => {
                let problem = serde_json::to_value(problem).expect("a problem is written");
                panic!("its own answer is refused: {}\n{problem}", String::from_utf8_lossy(&answer));
            }
        },
        Err(problem) => {
            let problem = serde_json::to_value(problem).expect("a problem is written");
            assert!(problem["status"] == 422 || problem["status"] == 400, "{problem}");
            assert!(
                problem["status"] == 400 || problem["errors"].as_array().is_some_and(|all| !all.is_empty()),
                "{problem}"
            );
        }
    }
}

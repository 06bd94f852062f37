//! Answers as tables to read, at most 100 columns wide.
//!
//! Everything is read from the answer field by field, and a field that is not there leaves its cell empty: an answer from a
//! newer or older service is shown as far as it goes.

mod applications;
mod balances;
mod brews;
mod feeds;
mod grid;
mod harvests;
mod notes;
mod prepare;
mod seasons;
mod words;

use serde_json::Value;

use super::Resource;

pub(super) use words::{clean, list};

/// The whole page: the tables of this question, then the cautions, then how many assumptions were defaults.
/// `request` fills in the dates that an answer does not repeat; null when there is none.
pub(super) fn page(resource: Resource, answer: &Value, request: &Value) -> String {
    let tables = match resource {
        Resource::Applications => applications::tables(answer),
        Resource::Harvests => harvests::tables(answer),
        Resource::Brews => brews::tables(answer),
        Resource::Balances => balances::tables(answer, request),
        Resource::Feeds => feeds::tables(answer),
        Resource::Seasons => seasons::tables(answer, request),
    };
    format!("{}\n", words::joined(&[tables, notes::cautions(answer), notes::assumptions(answer)], "\n\n"))
}

#[cfg(test)]
mod tests;

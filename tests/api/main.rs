//! The service over real HTTP: started on a free port, asked as a caller asks it.
#![cfg(feature = "client")]
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::too_many_lines,
    reason = "a test may stop at whatever is wrong, and tells its whole case in one place"
)]

mod all_errors;
mod applications;
mod ask;
mod assumptions;
mod balances;
mod batch;
mod bed_feed;
mod brews;
mod brief;
mod calendars;
mod calibrations;
mod cautions;
mod cells;
mod charts;
mod contract;
mod correlations;
mod cost;
mod demo_data;
mod docs;
mod dry_matter;
mod every_form;
mod exactly_enough;
mod explain;
mod fed_mixes;
mod feeds;
#[path = "../garden/files.rs"]
mod files;
mod forms;
mod growers;
mod harvests;
mod headers;
mod hostile_names;
mod in_flight;
mod limits;
mod link;
mod lint;
mod listed;
mod monitoring;
mod mutations;
mod option_texts;
mod options;
mod page;
mod people;
#[path = "../garden/plain.rs"]
mod plain;
mod possible_days;
mod process;
mod protocol;
mod quantities;
mod raw_production;
mod refusals;
mod repeats;
mod round_trip;
mod salt;
mod season_chart;
mod seasons;
mod settings;
mod sheets;
mod short_requests;
mod skip;
mod stopping;
mod support;
mod syntax;
mod tables;
mod texts;
mod variants;
mod waiting;
mod worm_beds;

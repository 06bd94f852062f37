//! Barrowful: how much worm castings each row, bed, pot and brew gets, where stock falls short of demand and when, and what
//! would close the shortfall.
//!
//! Two floors. [`garden`] is the core: pure computation, built and tested without the rest. [`http`] is the front: routes,
//! document, reading and writing. [`ask`] is the client.
//!
//! ```text
//! garden   closed_list, refusal, glossary, interrupt, linear <- units, dates, work, cautions <- formulas <- figures <- assumptions, areas
//!          <- applications, containers, draws, feeds, harvests, brews <- beds <- balances <- seasons <- calibrations
//! http     limits, connections <- wire (bytes -> tree -> types, all errors) <- settings <- query, negotiate, monitor, etag
//!          <- input (wire -> core), output (core -> wire) <- problem <- in_flight <- chunks
//!          <- body, present (one description -> text, html, csv, svg, calendar) <- resources
//!          <- health, document, docs, page <- server
//! ask      question -> send
//! ```
#![forbid(unsafe_code)]
#![warn(missing_docs)]

pub mod garden;

#[cfg(feature = "http")]
pub mod http;

#[cfg(feature = "client")]
pub mod ask;

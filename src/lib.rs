//! Barrowful: how much worm castings each row, bed, pot and brew gets, where stock falls short of demand and when, and what
//! would close the shortfall.
//!
//! Two floors. [`garden`] is the core: pure computation, built and tested without the rest. [`http`] is the front: routes,
//! document, reading and writing. [`ask`] is the client.
//!
//! ```text
//! garden   refusal <- units, dates, work, cautions <- formulas <- figures <- assumptions, areas <- draws, applications, feeds, harvests,
//!          brews <- beds <- balances <- seasons
//! http     limits <- wire (bytes -> tree -> types, all errors) <- input (wire -> core) <- resources -> output (core -> wire),
//!          present (one description -> text, html, csv, svg, calendar)
//!          problem, negotiate, connections, in_flight, chunks, body, answer, document, docs, page, server, settings, health, limits
//! ask      question -> send
//! ```
#![forbid(unsafe_code)]
#![warn(missing_docs)]

pub mod garden;

#[cfg(feature = "http")]
pub mod http;

#[cfg(feature = "client")]
pub mod ask;

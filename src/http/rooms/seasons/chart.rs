//! The season as a chart: castings come, wanted and on hand over time.

use super::SeasonsAnswer;
use crate::http::rooms::sheets::{Ledger, chart};

/// Draws the chart.
#[must_use]
pub fn svg(answer: &SeasonsAnswer) -> String {
    chart::document(&Ledger::from(answer))
}

//! The bed at the end of a forecast, and as another forecast takes it.

use super::running::{RunningBedOut, RunningBedRequest};
use crate::garden::beds::EndState;
use crate::http::output::QuantityOut;
use crate::http::output::enums::phases;
use crate::http::output::quantity::{Role, View};
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// The bed at the end of the forecast, by the likely values.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedEnd)]
pub struct EndOut {
    /// The morning after the last day, or of the day on which the worms die.
    pub on: NaiveDate,
    /// What it is doing: `working`, `waiting` (for feed), `finishing`, `drying` or `done`.
    #[schema(schema_with = phases)]
    pub phase: &'static str,
    /// Feed that the worms have not eaten, as dry matter.
    pub uneaten_feed: QuantityOut,
    /// Castings in it, dry matter.
    pub castings: QuantityOut,
    /// Feed and castings, moist: the `running` of a bed of harvests or seasons, beside feed not laid yet. Left out where the bed is empty.
    #[schema(value_type = Option<RunningBedRequest>)]
    pub running: Option<RunningBedOut>,
    /// How deep it lies.
    pub depth: QuantityOut,
    /// Live worms; those before they die, if they do.
    pub worms: QuantityOut,
    /// Feed not laid, come or to come, dry matter; left out where it comes as needed.
    pub feed_left: Option<QuantityOut>,
}

impl EndOut {
    /// The last day that is planned: the forecast ends on the morning after it.
    pub fn last_day(&self) -> NaiveDate {
        self.on.pred_opt().unwrap_or(self.on)
    }

    /// Writes it.
    pub(super) fn new(end: &EndState, view: &View<'_>) -> Self {
        Self {
            on: end.on,
            phase: end.phase.as_str(),
            uneaten_feed: view.estimate(Role::Mass, end.uneaten_feed),
            castings: view.estimate(Role::Mass, end.castings),
            running: end.moist.map(|of| RunningBedOut::new(&of, view)),
            depth: view.estimate(Role::Depth, end.depth),
            worms: view.estimate(Role::Mass, end.worms),
            feed_left: end.feed_left.map(|left| view.estimate(Role::Mass, left)),
        }
    }
}

//! Forecasts that are made one after the other, until they have too many layers together.

use super::Forecast;
use crate::garden::refusal::{Reason, Refusal};

/// The most layers of all forecasts of one request together: the answer lists each. Source: limit of this service.
pub const MAX_LAYERS_TOGETHER: usize = 3_000;

/// The layers of the forecasts made so far.
#[derive(Debug, Default)]
pub struct ForecastBatch {
    layers: usize,
}

impl ForecastBatch {
    /// Makes one forecast more; `None` without making it once those before have too many layers.
    ///
    /// # Errors
    /// `too_large` for the first with which there are more than [`MAX_LAYERS_TOGETHER`]; what `make` refuses.
    pub fn next(&mut self, make: impl FnOnce() -> Result<Forecast, Refusal>) -> Option<Result<Forecast, Refusal>> {
        if self.layers > MAX_LAYERS_TOGETHER {
            return None;
        }
        let made = make();
        self.layers = self.layers.saturating_add(match &made {
            Ok(forecast) => forecast.layers.len(),
            // One alone has more than all together may have.
            Err(refusal) if refusal.reason == Reason::TooLarge => MAX_LAYERS_TOGETHER + 1,
            Err(_) => 0,
        });
        if made.is_ok() && self.layers > MAX_LAYERS_TOGETHER {
            return Some(Err(too_many()));
        }
        Some(made)
    }
}

fn too_many() -> Refusal {
    let detail = format!(
        "up to this bed the forecasts have more than {MAX_LAYERS_TOGETHER} layers; use thicker layers or fewer days, \
         or split the request"
    );
    Refusal::new(Reason::TooLarge, detail)
}

//! The calibrated values as `assumptions` of a later request.

use crate::garden::assumptions::{Assumption, Correlation, MAX_CORRELATION, Overrides};
use crate::garden::calibrations::{Calibrated, Calibration};
use crate::garden::refusal::Refusal;
use crate::http::output::{Number, QuantityOut};
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

/// The values of castings of which two give the third.
const OF_CASTINGS: [Assumption; 4] =
    [Assumption::Moisture, Assumption::MoistureDryBasis, Assumption::BulkDensity, Assumption::DryBulkDensity];

/// The block: values by the id of the assumption, and how they go together.
#[derive(Debug)]
pub struct BlockOut {
    values: Vec<(&'static str, BlockValueOut)>,
    correlations: Vec<CorrelationOut>,
}

/// A value of the block.
#[derive(Debug, Serialize)]
struct BlockValueOut {
    value: Number,
    #[serde(skip_serializing_if = "Option::is_none")]
    low: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    high: Option<Number>,
    unit: String,
    source: String,
    observations: u32,
}

/// How two values go together.
#[derive(Debug, Serialize)]
struct CorrelationOut {
    first: &'static str,
    second: &'static str,
    rank_correlation: Number,
}

impl Serialize for BlockOut {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let more = usize::from(!self.correlations.is_empty());
        let mut map = serializer.serialize_map(Some(self.values.len().saturating_add(more)))?;
        for (id, value) in &self.values {
            map.serialize_entry(id, value)?;
        }
        if more > 0 {
            map.serialize_entry("correlations", &self.correlations)?;
        }
        map.end()
    }
}

impl BlockOut {
    /// Writes the block; `written` has its values as they are written, in their order.
    pub fn new(calibration: &Calibration, written: &[QuantityOut], source: &str) -> Self {
        let value = |(calibrated, written): (&Calibrated, &QuantityOut)| {
            let QuantityOut { value, low, high, unit, .. } = written.clone();
            let (unit, source) = (unit.to_string(), source.to_owned());
            let observations = calibrated.observations;
            (calibrated.assumption.id(), BlockValueOut { value, low, high, unit, source, observations })
        };
        let correlation = |of: Correlation| CorrelationOut {
            first: of.first.id(),
            second: of.second.id(),
            rank_correlation: Number::rounded(of.rank_correlation),
        };
        Self {
            values: calibration.values.iter().zip(written).map(value).collect(),
            correlations: pairs(calibration).map(correlation).collect(),
        }
    }

    /// Whether it holds nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.values.is_empty()
    }
}

/// How the values go together, as far as a request may say it.
fn pairs(calibration: &Calibration) -> impl Iterator<Item = Correlation> {
    let within = |of: f64| of.clamp(-MAX_CORRELATION, MAX_CORRELATION);
    calibration.correlations.iter().map(move |of| Correlation { rank_correlation: within(of.rank_correlation), ..*of })
}

/// The assumptions of a request with the block beside them: what the request says itself stays.
///
/// # Errors
/// What [`Overrides::set`] and [`Overrides::correlate`] refuse.
pub(super) fn merged(calibration: &Calibration, own: &Overrides) -> Result<Overrides, Refusal> {
    let mut merged = own.clone();
    let has_castings = OF_CASTINGS.iter().any(|one| own.get(*one).is_some());
    let is_free = |which: Assumption| own.get(which).is_none() && !(has_castings && OF_CASTINGS.contains(&which));
    for value in calibration.values.iter().filter(|value| is_free(value.assumption)) {
        merged.set(value.assumption, value.after)?;
    }
    if own.copula().is_none() {
        let pairs: Vec<Correlation> =
            pairs(calibration).filter(|pair| is_free(pair.first) && is_free(pair.second)).collect();
        let wrong = merged.correlate(&pairs).err().unwrap_or_default();
        wrong.into_iter().next().map_or(Ok(()), |(_, refusal)| Err(refusal))?;
    }
    Ok(merged)
}

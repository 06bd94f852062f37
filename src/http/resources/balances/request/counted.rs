//! What lots know better of their castings, and what demands count castings by.

use super::{DemandRequest, Source, StockRequest};
use crate::garden::assumptions::{Assumption, Castings, Overrides};
use crate::garden::balances::lot_analysis::{Basis, CountedBy};
use crate::garden::figures::Off;
use crate::garden::units::Dimension;
use crate::http::input::RequestContext;
use crate::http::input::quantity::{Due, VolumeOrMassInput};
use crate::http::wire::JsonPath;

/// What castings hold besides their weight.
const OF_CONTENT: [Assumption; 5] = [
    Assumption::Nitrogen,
    Assumption::AvailableNitrogen,
    Assumption::CarbonToNitrogen,
    Assumption::Phosphorus,
    Assumption::Potassium,
];

impl StockRequest {
    /// Its castings, where it knows better what they weigh or hold: `Some(None)` where it does not.
    pub(super) fn castings(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<Castings>> {
        let heap = place.field("heap");
        let (input, at) = match &self.heap {
            Some(of_heap) => (of_heap.common().assumptions, heap),
            None => (self.assumptions.as_ref(), place),
        };
        let own = context.overrides(input, at.field("assumptions"));
        let counts = |which: Assumption| Assumption::OF_WEIGHT.contains(&which) || OF_CONTENT.contains(&which);
        if !own.iter().any(|(which, _)| counts(which)) {
            return Some(None);
        }
        // What reading the heap refuses already is not refused twice: it stands at the same place.
        let values = at.field("assumptions");
        let refused_at = if self.heap.is_some() { values } else { at };
        context.with_known(refused_at, &own, |known| Castings::known(known, Off)).map(Some)
    }
}

impl DemandRequest {
    /// What it counts castings by, and how much of that those hold that it was computed with; `None` where it counts volumes. Only
    /// asked once it was read without an error.
    pub(in crate::http::resources) fn basis(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        source: &Source,
    ) -> Option<Basis> {
        let at = place.field("application");
        let (by, own) = match (source, &self.application, &self.amount) {
            (Source::Application(order, _), Some(it), _) => {
                (CountedBy::rate(&order.rate)?, context.overrides(it.assumptions.as_ref(), at.field("assumptions")))
            }
            (Source::Amount(_), _, None) => (CountedBy::DryMass, Overrides::default()),
            (Source::Amount(_), _, Some(amount)) => {
                let due = Due::any(VolumeOrMassInput::DIMENSIONS).from(0.0);
                let (dimension, _) = context.span(&amount.0, due, place.field("amount"))?;
                ((dimension == Dimension::Mass).then_some(CountedBy::Mass)?, Overrides::default())
            }
            _ => return None,
        };
        let castings = context.with_known(place, &own, |known| Castings::known(known, Off))?;
        Some(Basis::of(by, &castings))
    }
}

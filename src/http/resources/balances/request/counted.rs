//! What lots know better of their castings, and what demands count castings by.

use super::{DemandRequest, Source, StockRequest};
use crate::garden::applications::Application;
use crate::garden::assumptions::{Assumed, Assumption, Castings, CountedBy, Overrides};
use crate::garden::balances::lot_analysis::Basis;
use crate::garden::units::quantity::OfMass;
use crate::garden::units::{Dimension, Estimate, Mass};
use crate::http::input::RequestContext;
use crate::http::input::quantity::{Due, VolumeOrMassInput};
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;

/// What castings hold besides their weight.
const OF_CONTENT: [Assumption; 5] = [
    Assumption::Nitrogen,
    Assumption::AvailableNitrogen,
    Assumption::CarbonToNitrogen,
    Assumption::Phosphorus,
    Assumption::Potassium,
];

/// What a demand uses of the assumptions of its place: what the volume depends on, and the weight where a minimum is weighed.
pub(super) fn used_by_place(application: &Application, is_weighed: bool) -> Vec<Assumed> {
    let mut used = application.assumed_for_volume.clone();
    let weight = application.assumed_for_weight.iter().filter(|one| is_weighed && !used.contains(one));
    let weight: Vec<Assumed> = weight.copied().collect();
    used.extend(weight);
    used
}

/// Whether a demand uses an assumption of its tea: all but the weight of the castings, which counts where a minimum is weighed.
pub(super) fn used_by_tea(assumed: &Assumed, is_weighed: bool) -> bool {
    is_weighed || assumed.assumption != Assumption::BulkDensity
}

impl StockRequest {
    /// Its castings, where it knows better what they weigh or hold: `Some(None)` where it does not.
    pub(super) fn castings(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<Castings>> {
        let own = self.own(context, place);
        let counts = |which: Assumption| Assumption::OF_WEIGHT.contains(&which) || OF_CONTENT.contains(&which);
        if !own.iter().any(|(which, _)| counts(which)) {
            return Some(None);
        }
        // What reading the heap refuses already is not refused twice: it is at the same place.
        let heap = place.field("heap");
        let refused_at = if self.heap.is_some() { heap.field("assumptions") } else { place };
        context.with_known(refused_at, &own, |known| Castings::known(known, context.book())).map(Some)
    }

    /// What it knows better, or its heap does.
    pub(super) fn own(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Overrides {
        let heap = place.field("heap");
        let (input, at) = match &self.heap {
            Some(of_heap) => (of_heap.common().assumptions, heap),
            None => (self.assumptions.as_ref(), place),
        };
        context.overrides(input, at.field("assumptions"))
    }
}

impl DemandRequest {
    /// What it counts castings by, how much of that it needs, and the castings that its volume was computed with; `None` where it counts
    /// volumes. Only asked once it was read without an error.
    pub(in crate::http::resources) fn basis(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        source: &Source,
    ) -> Option<Basis> {
        let at = place.field("application");
        let (by, needed, own) = match (source, &self.application) {
            (Source::Application(order, application), Some(it)) => {
                let by = order.rate.counted_by()?;
                let own = context.overrides(it.assumptions.as_ref(), at.field("assumptions"));
                (by, by.asked(order, application, context.book())?, own)
            }
            (Source::Amount(_), _) => {
                let (by, needed) = self.mass_needed(context, place)?;
                (by, needed, Overrides::default())
            }
            _ => return None,
        };
        let castings = context.with_known(place, &own, |known| Castings::known(known, context.book()))?;
        Some(Basis { by, needed, castings })
    }

    /// The mass or the dry mass that it asks for; `None` where it is a volume.
    fn mass_needed(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<(CountedBy, Estimate<OfMass>)> {
        let (by, input, field) = match (&self.amount, &self.dry_mass) {
            (Some(amount), _) => (CountedBy::Mass, &amount.0, "amount"),
            (None, mass) => (CountedBy::DryMass, &mass.as_ref()?.0, "dry_mass"),
        };
        let due = Due::any(VolumeOrMassInput::DIMENSIONS).from(0.0);
        let (dimension, span) = context.span(input, due, place.field(field))?;
        let mass = Mass::from_base(span.likely);
        (dimension == Dimension::Mass).then(|| (by, context.asked(Role::Mass, mass, place.field(field))))
    }
}

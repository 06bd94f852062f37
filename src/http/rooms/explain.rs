//! What the explanations of several questions share: castings in store, the caller's measures.

use crate::garden::assumptions::Assumption;
use crate::garden::formulas::Formula;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Holds;
use crate::http::input::Crossing;
use crate::http::limits::MAX_EXPLAINED;
use crate::http::output::explain::{Explainer, Given};
use crate::http::output::quantity::{Role, View};
use crate::http::wire::Place;

/// Refuses to explain more items than an answer holds explanations for.
pub fn few_enough(explain: Option<bool>, items: usize, crossing: &Crossing<'_>) -> Option<()> {
    if explain != Some(true) || items <= MAX_EXPLAINED {
        return Some(());
    }
    let detail = format!(
        "{items} items are to be explained; a request may have {MAX_EXPLAINED}: leave explain out, or split the request"
    );
    let root = Place::root();
    crossing.refuse(root.field("explain"), Refusal::new(Reason::TooLarge, detail));
    None
}

/// What assumptions say of the castings of one item, for short formulas.
#[derive(Clone)]
pub struct Lying {
    /// Bulk density.
    pub rho: Option<Given>,
    /// Dry bulk density.
    pub rho_d: Option<Given>,
}

impl Lying {
    /// In store.
    pub fn in_store(explainer: &Explainer<'_>, item: &str) -> Self {
        Self {
            rho: explainer.assumption(Assumption::BulkDensity, item),
            rho_d: explainer.assumption(Assumption::DryBulkDensity, item),
        }
    }
}

/// Explains castings in the caller's measures: a list of the answer, and the volume and mass it measures.
pub fn measures(explainer: &mut Explainer<'_>, list: &str, (volume, mass): (&str, &str), view: &View<'_>) {
    for (i, measure) in view.measures.iter().enumerate() {
        let (of, at) = (format!("{list}/{i}"), format!("/measures/{i}/holds"));
        match measure.holds {
            Holds::Volume(holds) => {
                let with = [explainer.answer(volume), explainer.request(Role::Bulk, holds, at)];
                explainer.explain(of, Formula::MeasuresOfVolume, with);
            }
            Holds::Mass(holds) => {
                let with = [explainer.answer(mass), explainer.request(Role::Mass, holds, at)];
                explainer.explain(of, Formula::MeasuresOfMass, with);
            }
        }
    }
}

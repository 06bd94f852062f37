//! What the explanations of several questions share: ground, the caller's measures.

use crate::garden::areas::{Ground, Shape, turns};
use crate::garden::assumptions::Assumption;
use crate::garden::figures::Off;
use crate::garden::formulas::Formula;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfLength;
use crate::garden::units::{Estimate, Holds};
use crate::http::input::Crossing;
use crate::http::limits::MAX_EXPLAINED;
use crate::http::output::explain::{Explainer, Given, one};
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

/// How many alike: from the count, or from the shape itself where there is one only.
fn counted(explainer: &Explainer<'_>, count: f64, shape: &str) -> Option<Given> {
    let at = if count > 1.0 { format!("{shape}/count") } else { shape.to_owned() };
    explainer.count(count, at)
}

/// Explains an area of the answer by the ground at a pointer into the request.
pub fn ground(explainer: &mut Explainer<'_>, of: &str, ground: &Ground, at: &str) {
    let count = counted(explainer, ground.count.likely().number(), at);
    let length = |length: Estimate<OfLength>, field: &str| {
        explainer.request(Role::Length, length.likely(), format!("{at}/{field}"))
    };
    match &ground.shape {
        Shape::Rectangle { length: long, width } => {
            let with = [count, length(*long, "length"), length(*width, "width")];
            explainer.explain(of, Formula::Rectangle, with);
        }
        Shape::Rows { length: long, band } => {
            let with = [count, length(*long, "length"), length(*band, "band")];
            explainer.explain(of, Formula::Rows, with);
        }
        Shape::Circle { diameter } => {
            let with = [count, length(*diameter, "diameter")];
            explainer.explain(of, Formula::Circle, with);
        }
        Shape::Ring { diameter, inner_diameter } => {
            let with = [count, length(*diameter, "diameter"), length(*inner_diameter, "inner_diameter")];
            explainer.explain(of, Formula::Ring, with);
        }
        Shape::Polygon(corners) => {
            let turns = turns(corners, Off).unwrap_or_default().into_iter().enumerate();
            let turns =
                turns.map(|(i, turn)| explainer.request(Role::Area, turn.likely(), format!("{at}/corners/{i}")));
            let turns: Option<Vec<Given>> = turns.collect();
            explainer.explain_lists(of, Formula::Polygon, [one(count), turns]);
        }
        Shape::Plain(area) => {
            // The count stands beside the area of one.
            let with = [count, explainer.request(Role::Area, area.likely(), format!("{at}/area"))];
            explainer.explain(of, Formula::PlainArea, with);
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

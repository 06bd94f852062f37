//! What the explanations of several questions share: ground, surfaces, the caller's measures.

use crate::garden::areas::{Ground, Shape, Surface};
use crate::garden::assumptions::Assumption;
use crate::garden::formulas::Formula;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Area, Holds, Length};
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
fn counted(explainer: &Explainer<'_>, count: u32, shape: &str) -> Option<Given> {
    let at = if count == 1 { shape.to_owned() } else { format!("{shape}/count") };
    explainer.count(f64::from(count), at)
}

/// Explains an area of the answer by the ground at a pointer into the request.
pub fn ground(explainer: &mut Explainer<'_>, of: &str, ground: &Ground, at: &str) {
    let count = counted(explainer, ground.count, at);
    let length = |length: Length, field: &str| explainer.request(Role::Length, length, format!("{at}/{field}"));
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
            let turns = ground_turns(corners).into_iter().enumerate().map(|(i, turn)| {
                explainer.request(Role::Area, Area::from_square_metres(turn), format!("{at}/corners/{i}"))
            });
            let turns: Option<Vec<Given>> = turns.collect();
            explainer.explain_lists(of, Formula::Polygon, [one(count), turns]);
        }
        Shape::Plain(area) => {
            // The count stands beside the area of one.
            let with = [count, explainer.request(Role::Area, *area, format!("{at}/area"))];
            explainer.explain(of, Formula::PlainArea, with);
        }
    }
}

/// For each side, twice the signed area of its triangle with the first corner.
fn ground_turns(corners: &[(f64, f64)]) -> Vec<f64> {
    let first = corners.first().copied().unwrap_or_default();
    let sides = corners.iter().zip(corners.iter().cycle().skip(1));
    sides.map(|(a, b)| (a.0 - first.0) * (b.1 - first.1) - (a.1 - first.1) * (b.0 - first.0)).collect()
}

/// Explains what a surface comes to: the figures of the answer at `out`, the surface of the request at `at`.
pub fn surface(explainer: &mut Explainer<'_>, out: &str, surface: &Surface, at: &str) {
    let length =
        |it: &Explainer<'_>, length: Length, field: &str| it.request(Role::Length, length, format!("{at}/{field}"));
    let mix = format!("{out}/mix");
    match surface {
        Surface::Ground(it) => {
            ground(explainer, &format!("{out}/surface_area"), it, at);
            if let Shape::Rows { length: long, .. } = it.shape {
                let with = [counted(explainer, it.count, at), length(explainer, long, "length")];
                explainer.explain(format!("{out}/row_length"), Formula::RowLength, with);
            }
        }
        Surface::Plants(_) => {}
        Surface::PlantedRows(count, long, spacing) => {
            let (rows, long) = (counted(explainer, *count, at), length(explainer, *long, "length"));
            let with = [rows.clone(), long.clone(), length(explainer, *spacing, "spacing")];
            explainer.explain(format!("{out}/plants"), Formula::PlantsInRows, with);
            explainer.explain(format!("{out}/row_length"), Formula::RowLength, [rows, long]);
        }
        Surface::Pots(count, volume) => {
            let volume = explainer.request(Role::Bulk, *volume, format!("{at}/volume"));
            explainer.explain(mix, Formula::Pots, [counted(explainer, *count, at), volume]);
        }
        Surface::TaperedPots(count, top, bottom, height) => {
            let [height, top, bottom] = [(height, "height"), (top, "top_diameter"), (bottom, "bottom_diameter")]
                .map(|(long, field)| length(explainer, *long, field));
            explainer.explain(mix, Formula::TaperedPots, [counted(explainer, *count, at), height, top, bottom]);
        }
        Surface::Fill(it, depth) => {
            let area = it.area().ok().and_then(|area| explainer.request(Role::Area, area, format!("{at}/ground")));
            let depth = explainer.request(Role::Depth, *depth, format!("{at}/depth"));
            explainer.explain(mix, Formula::Layer, [area, depth]);
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

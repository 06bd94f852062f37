//! The mix, its water and its layers.

use super::{Material, water};
use crate::garden::assumptions::{Assumption, PARTICLE_DENSITY};
use crate::garden::formulas::Formula;
use crate::garden::units::{Density, Share};
use crate::http::input::Crossing;
use crate::http::output::Explainer;
use crate::http::output::explain::{Given, one};
use crate::http::output::quantity::{Role, View};
use crate::http::rooms::explain::{ground, measures};
use crate::http::rooms::feeds::FeedsRequest;
use crate::http::wire::Place;

const LIST: &str = "/materials";

/// Explains the mix.
pub fn explain(
    it: &mut Explainer<'_>,
    request: &FeedsRequest,
    parts: &[Material<'_>],
    (crossing, view): (&Crossing<'_>, &View<'_>),
) {
    added(it, request, parts, crossing);
    extra(it, request, crossing);
    let (mass, volume) = ("/mix/mass", "/mix/volume");
    let each = |it: &Explainer<'_>, field: &str| it.each(LIST, field);
    let with = [each(it, "/mass"), each(it, "/water_added"), one(it.answer("/water/extra")), one(water(it))];
    it.explain_lists(mass, Formula::MixMass, with);
    let packing = it.assumption(Assumption::Packing, "");
    it.explain_lists(volume, Formula::MixVolume, [each(it, "/volume"), one(packing)]);
    measures(it, "/mix/in_measures", (volume, mass), view);
    it.explain_lists("/mix/dry_matter", Formula::TotalMass, [each(it, "/dry_matter")]);
    it.explain("/mix/bulk_density", Formula::MixDensity, [it.answer(mass), it.answer(volume)]);
    it.explain("/mix/moisture", Formula::Moisture, [it.answer("/mix/dry_matter"), it.answer(mass)]);
    let (carbon, nitrogen) = shares(it, parts);
    let dry = each(it, "/dry_matter");
    it.explain_lists("/mix/carbon_to_nitrogen", Formula::MixRatio, [dry.clone(), carbon, nitrogen.clone()]);
    it.explain_lists("/mix/nitrogen", Formula::MixNitrogen, [dry, nitrogen]);
    let particles = Density::from_kilograms_per_cubic_metre(PARTICLE_DENSITY);
    let particles = it.constant(Role::Density, particles, "PARTICLE_DENSITY");
    let likely = |it: &Explainer<'_>, of: &str| it.answer(of).map(Given::likely);
    let with = [likely(it, "/mix/dry_matter"), likely(it, volume), likely(it, mass), particles, water(it)];
    it.explain("/mix/air_space", Formula::AirSpace, with);
    layers(it, request, crossing);
}

/// Carbon and nitrogen of each material.
pub fn shares(it: &Explainer<'_>, parts: &[Material<'_>]) -> (Option<Vec<Given>>, Option<Vec<Given>>) {
    (parts.iter().map(|part| part.carbon(it)).collect(), parts.iter().map(|part| part.nitrogen(it)).collect())
}

/// Water of soaks and rehydration; nothing is told of what there is not.
fn added(it: &mut Explainer<'_>, request: &FeedsRequest, parts: &[Material<'_>], crossing: &Crossing<'_>) {
    let of = |it: &Explainer<'_>, wanted: fn(&Material<'_>) -> bool| -> Option<Vec<Given>> {
        let some = parts.iter().filter(|part| wanted(part)).map(|part| part.own(it, "water_added"));
        some.collect::<Option<Vec<_>>>().filter(|list| !list.is_empty())
    };
    let (root, none) = (Place::root(), Share::from_fraction(0.0));
    let soak = root.field("soak");
    let starter = request.soak.as_ref().and_then(|soak| soak.starter.as_ref()).and_then(|input| {
        let at = soak.field("starter");
        let dose: Share = crossing.exact_between(&input.0, (0.0, 1.0), at)?;
        it.request(Role::Share, dose, at.to_pointer())
    });
    // Without a starter the request as a whole says so.
    let starter = starter.or_else(|| it.request(Role::Share, none, ""));
    let soaked = of(it, |part| part.asked.soak == Some(true));
    let some = soaked.is_some();
    it.explain_lists("/water/soak", Formula::SoakWater, [soaked, one(starter.clone())]);
    if some {
        it.explain("/water/starter", Formula::StarterInSoak, [it.answer("/water/soak"), starter]);
    }
    let rehydrated = of(it, |part| part.asked.rehydrate.is_some());
    it.explain_lists("/water/rehydration", Formula::TotalVolume, [rehydrated]);
}

/// Water to add when mixing, where it brings the mix to the moisture wanted.
fn extra(it: &mut Explainer<'_>, request: &FeedsRequest, crossing: &Crossing<'_>) {
    let (root, goal) = (Place::root(), request.goals.as_ref().and_then(|goals| goals.moisture.as_ref()));
    let goals = root.field("goals");
    let at = goals.field("moisture");
    let Some(goal) = goal.and_then(|input| crossing.exact_between(&input.0, (0.0, 1.0), at)) else { return };
    if it.answer("/water/extra").is_none_or(|extra| extra.is(0.0)) {
        return;
    }
    let goal: Share = goal;
    let likely = |it: &Explainer<'_>, field: &str| -> Option<Vec<Given>> {
        it.each(LIST, field).map(|list| list.into_iter().map(Given::likely).collect())
    };
    let with = [
        likely(it, "/dry_matter"),
        one(it.request(Role::Share, goal, at.to_pointer())),
        likely(it, "/mass"),
        likely(it, "/moisture"),
        likely(it, "/water_added"),
        one(water(it)),
    ];
    it.explain_lists("/water/extra", Formula::ExtraWater, with);
}

fn layers(it: &mut Explainer<'_>, request: &FeedsRequest, crossing: &Crossing<'_>) {
    let root = Place::root();
    let read = request.ground.as_ref().and_then(|ground| crossing.ground(ground, root.field("ground")));
    let Some(read) = read else { return };
    ground(it, "/layers/surface_area", &read, "/ground");
    let area = it.answer("/layers/surface_area");
    let depth = |it: &Explainer<'_>, assumption| it.assumption(assumption, "").map(Given::likely);
    let all = it.answer("/mix/volume").map(Given::likely);
    let with = [area.clone(), depth(it, Assumption::FirstLayer), all.clone()];
    it.explain("/layers/first/volume", Formula::FirstLayer, with);
    let with = [area.clone(), depth(it, Assumption::LaterLayer)];
    it.explain("/layers/each/volume", Formula::Layer, with);
    let volume = |it: &Explainer<'_>, which: &str| it.answer(&format!("/layers/{which}/volume"));
    let with = [all, volume(it, "first"), it.answer("/layers/later"), volume(it, "each")];
    it.explain("/layers/last/volume", Formula::LastLayer, with);
    for which in ["first", "each", "last"] {
        let with = [volume(it, which), area.clone()];
        it.explain(format!("/layers/{which}/depth"), Formula::Depth, with);
    }
}

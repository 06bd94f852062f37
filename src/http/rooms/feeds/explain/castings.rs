//! The castings to expect.

use super::Material;
use super::mix::shares;
use crate::garden::assumptions::Assumption;
use crate::garden::feeds::FeedPlan;
use crate::garden::formulas::Formula;
use crate::http::output::Explainer;
use crate::http::output::explain::one;
use crate::http::output::quantity::{Role, View};
use crate::http::rooms::explain::{Lying, measures};
use crate::http::rooms::feeds::FeedsRequest;

/// Explains the castings.
pub fn explain(
    it: &mut Explainer<'_>,
    (request, plan): (&FeedsRequest, &FeedPlan),
    parts: &[Material<'_>],
    view: &View<'_>,
) {
    let assumed = |it: &Explainer<'_>, assumption| it.assumption(assumption, "");
    let (loss, kept) = (assumed(it, Assumption::OrganicMatterLoss), assumed(it, Assumption::NitrogenRetained));
    // The ash follows from the carbon of all materials.
    let ash = it.from("request", it.estimated(Role::Mass, plan.mix.ash), "/materials");
    let (mixed, dry_in) = (it.answer("/mix/dry_matter"), "/castings/dry_matter_in");
    if request.hot_stage.is_some() {
        let with = [mixed.clone(), assumed(it, Assumption::HotStageLoss), ash.clone()];
        it.explain(dry_in, Formula::AfterHotStage, with);
    } else {
        it.explain_lists(dry_in, Formula::TotalMass, [it.each("/materials", "/dry_matter")]);
    }
    let fed = it.answer(dry_in);
    it.explain("/castings/dry_matter_out", Formula::LeftOfFeed, [fed.clone(), ash.clone(), loss.clone()]);
    let (dry, pass) = (it.answer("/castings/dry_matter_out"), assumed(it, Assumption::SievePass));
    it.explain("/castings/in_bed", Formula::InBed, [dry.clone(), assumed(it, Assumption::BedDryDensity)]);
    let Lying { rho, rho_d } = Lying::in_store(it, "");
    let (volume, mass) = ("/castings/stored/volume", "/castings/stored/mass");
    it.explain(volume, Formula::SievedInStore, [dry.clone(), pass.clone(), rho_d.clone()]);
    it.explain(mass, Formula::SievedMass, [dry, pass, rho.clone(), rho_d.clone()]);
    measures(it, "/castings/stored/in_measures", (volume, mass), view);
    it.explain("/castings/store_moisture", Formula::StoreMoisture, [rho_d, rho]);
    let (_, nitrogen) = shares(it, parts);
    let with = [it.each("/materials", "/dry_matter"), nitrogen, one(kept.clone())];
    it.explain_lists("/castings/nitrogen", Formula::NitrogenLeft, with);
    let with = [it.answer("/mix/carbon_to_nitrogen"), fed, ash, loss, mixed, kept];
    it.explain("/castings/carbon_to_nitrogen", Formula::RatioLeft, with);
}

//! Beds by what was fed.

use crate::garden::assumptions::Assumption;
use crate::garden::beds::Fed;
use crate::garden::formulas::{Formula, MixNitrogen, Row};
use crate::garden::units::{Dimension, Share, Volume};
use crate::http::input::Crossing;
use crate::http::input::quantity::{Due, VolumeOrMassInput};
use crate::http::output::Explainer;
use crate::http::output::explain::Given;
use crate::http::output::quantity::{Role, View};
use crate::http::rooms::explain::{Lying, measures};
use crate::http::rooms::harvests::fed::FedRequest;
use crate::http::rooms::harvests::request::{Bed, WormBedRequest};
use crate::http::wire::Place;

/// Explains what comes of what was fed.
pub fn explain(
    it: &mut Explainer<'_>,
    (asked, bed): (&WormBedRequest, &Bed),
    (crossing, place): (&Crossing<'_>, Place<'_>),
    view: &View<'_>,
) {
    let Some(list) = &asked.fed else { return };
    let (bed_at, feeds) = (place.to_pointer(), place.field("fed"));
    for (i, (asked, read)) in list.iter().zip(&bed.fed).enumerate() {
        one(it, (asked, read), (crossing, feeds.index(i)), &format!("{bed_at}/from_feed/fed/{i}"));
    }
    together(it, &bed_at);
    let ash = mean(it, &bed.fed, &bed_at, |feed| Some(feed.ash));
    loss(it, asked, ash.clone(), (crossing, place));
    castings(it, ash.clone(), &bed_at, view);
    analysis(it, (&bed.fed, ash), &bed_at);
    comparison(it, &bed_at);
}

/// One feed: its mass where it was given by volume, and its dry matter.
fn one(
    it: &mut Explainer<'_>,
    (asked, read): (&FedRequest, &Fed),
    (crossing, place): (&Crossing<'_>, Place<'_>),
    out: &str,
) {
    let at = place.to_pointer();
    let amount = crossing.span(&asked.amount.0, Due::any(VolumeOrMassInput::DIMENSIONS), place.field("amount"));
    let density = asked.bulk_density.as_ref().and_then(|it| crossing.exact(&it.0, place.field("bulk_density")));
    if let (Some((Dimension::Volume, span)), Some(density)) = (amount, density) {
        let volume = it.request(Role::Bulk, Volume::from_base(span.likely), format!("{at}/amount"));
        let density: crate::garden::units::Density = density;
        let with = [volume, it.request(Role::Density, density, format!("{at}/bulk_density"))];
        it.explain(format!("{out}/mass"), Formula::MassOfVolume, with);
    }
    let with = [it.answer(&format!("{out}/mass")), it.request(Role::Share, read.moisture, format!("{at}/moisture"))];
    it.explain(format!("{out}/dry_matter"), Formula::DryMatter, with);
}

fn together(it: &mut Explainer<'_>, bed: &str) {
    let (list, at) = (format!("{bed}/from_feed/fed"), format!("{bed}/from_feed"));
    it.explain_lists(format!("{at}/fed_mass"), Formula::TotalMass, [it.each(&list, "/mass")]);
    it.explain_lists(format!("{at}/fed_dry_matter"), Formula::TotalMass, [it.each(&list, "/dry_matter")]);
    let with = [it.answer(&format!("{at}/fed_dry_matter")), it.answer(&format!("{at}/fed_mass"))];
    it.explain(format!("{at}/fed_moisture"), Formula::Moisture, with);
}

/// The mean of a share over all feeds, weighted by dry matter; told by the list of feeds.
fn mean(it: &Explainer<'_>, feeds: &[Fed], bed: &str, part: impl Fn(&Fed) -> Option<Share>) -> Option<Given> {
    let dry = |feed: &Fed| feed.fresh.times(1.0 - feed.moisture.fraction()).into();
    let shares: Option<Vec<_>> = feeds.iter().map(|feed| part(feed).map(Into::into)).collect();
    let mean = MixNitrogen { D: feeds.iter().map(dry).collect(), n: shares? }.likely();
    it.request(Role::Share, mean, format!("{bed}/fed"))
}

fn loss(
    it: &mut Explainer<'_>,
    asked: &WormBedRequest,
    ash: Option<Given>,
    (crossing, place): (&Crossing<'_>, Place<'_>),
) {
    let Some(after) = &asked.ash_after else { return };
    let after: Option<Share> = crossing.exact(&after.0, place.field("ash_after"));
    let bed = place.to_pointer();
    let after = after.and_then(|after| it.request(Role::Share, after, format!("{bed}/ash_after")));
    it.explain(format!("{bed}/from_feed/organic_matter_loss"), Formula::LossByAsh, [ash, after]);
}

fn castings(it: &mut Explainer<'_>, ash: Option<Given>, bed: &str, view: &View<'_>) {
    let own = |it: &Explainer<'_>, field: &str| it.answer(&format!("{bed}/from_feed/{field}"));
    let of = |field: &str| format!("{bed}/from_feed/{field}");
    let pass = it.assumption(Assumption::SievePass, bed);
    let Lying { rho, rho_d } = Lying::in_store(it, bed);
    let (fed, lost) = (own(it, "fed_dry_matter"), own(it, "organic_matter_loss"));
    it.explain(of("of_dry_feed"), Formula::Kept, [ash.clone(), lost.clone()]);
    it.explain(of("dry_matter"), Formula::DryCastings, [fed, ash, lost]);
    let dry = own(it, "dry_matter");
    it.explain(of("castings_dry_matter"), Formula::SievedDry, [dry.clone(), pass.clone()]);
    let (volume, mass) = (of("castings/volume"), of("castings/mass"));
    it.explain(volume.as_str(), Formula::SievedInStore, [dry.clone(), pass.clone(), rho_d.clone()]);
    it.explain(mass.as_str(), Formula::SievedMass, [dry.clone(), pass.clone(), rho.clone(), rho_d.clone()]);
    measures(it, &of("castings/in_measures"), (&volume, &mass), view);
    it.explain(of("sieved_off"), Formula::HeldBack, [dry.clone(), pass, rho_d.clone()]);
    it.explain(of("castings_moisture"), Formula::StoreMoisture, [rho_d.clone(), rho.clone()]);
    let with = [dry, rho, rho_d, own(it, "fed_mass")];
    it.explain(of("of_fresh_feed"), Formula::OfFreshFeed, with);
}

fn analysis(it: &mut Explainer<'_>, (feeds, ash): (&[Fed], Option<Given>), bed: &str) {
    let of = |field: &str| format!("{bed}/from_feed/analysis/{field}");
    let kept = it.answer(&format!("{bed}/from_feed/of_dry_feed"));
    it.explain(of("ash"), Formula::Concentrated, [ash.clone(), kept.clone()]);
    let phosphorus = mean(it, feeds, bed, |feed| feed.phosphorus);
    it.explain(of("phosphorus"), Formula::Concentrated, [phosphorus, kept.clone()]);
    let potassium = mean(it, feeds, bed, |feed| feed.potassium);
    it.explain(of("potassium"), Formula::Concentrated, [potassium, kept.clone()]);
    let nitrogen = mean(it, feeds, bed, |feed| feed.nitrogen);
    let retained = it.assumption(Assumption::NitrogenRetained, bed);
    it.explain(of("nitrogen"), Formula::NitrogenKept, [nitrogen.clone(), retained.clone(), kept]);
    let lost = it.answer(&format!("{bed}/from_feed/organic_matter_loss"));
    it.explain(of("carbon_to_nitrogen"), Formula::RatioOfCastings, [ash, lost, nitrogen, retained]);
}

fn comparison(it: &mut Explainer<'_>, bed: &str) {
    let of = |field: &str| format!("{bed}/comparison/{field}");
    let with = [it.answer(&format!("{bed}/castings")), it.assumption(Assumption::BedDryDensity, bed)];
    it.explain(of("by_depth"), Formula::DryInVolume, with);
    let with = [it.answer(&format!("{bed}/from_feed/dry_matter")), it.assumption(Assumption::SievePass, bed)];
    it.explain(of("by_feed"), Formula::SievedDry, with);
    let (depth, feed) = (it.answer(&of("by_depth")), it.answer(&of("by_feed")));
    // The gap is that of the likely values.
    let (depth, feed) = (depth.map(Given::likely), feed.map(Given::likely));
    it.explain(of("gap"), Formula::Gap, [depth.clone(), feed.clone()]);
    let gap = it.answer(&of("gap"));
    it.explain(of("gap_share"), Formula::GapShare, [gap, depth, feed]);
}

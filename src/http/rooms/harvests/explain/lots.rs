//! Beds to come: lots and layers. Dates, worms and water follow from the warm-day clock day by day; they have no formula of one
//! line and are not explained.

use crate::garden::assumptions::Assumption;
use crate::garden::beds::{Forecast, Laid, Lot};
use crate::garden::formulas::Formula;
use crate::http::input::Crossing;
use crate::http::output::Explainer;
use crate::http::output::explain::Given;
use crate::http::output::quantity::{Role, View};
use crate::http::rooms::explain::{Lying, measures};
use crate::http::rooms::harvests::forecast::BedFeedRequest;
use crate::http::rooms::harvests::request::{Bed, WormBedRequest};
use crate::http::wire::Place;

/// Explains what a bed to come gives.
pub fn explain(
    it: &mut Explainer<'_>,
    (asked, bed): (&WormBedRequest, &Bed),
    (crossing, place): (&Crossing<'_>, Place<'_>),
    view: &View<'_>,
) {
    let (Some(asked), Some(forecast)) = (&asked.forecast, &bed.forecast) else { return };
    let plan = place.field("forecast");
    let planned = Planned { feed: &asked.feed, runs: asked.running.is_some(), forecast };
    explain_forecast(it, &planned, (crossing, place, plan.field("feed")), view);
}

/// A bed's forecast, with the feed it was made for.
pub(in crate::http::rooms) struct Planned<'a> {
    pub feed: &'a BedFeedRequest,
    /// True if something lay in the bed at the start.
    pub runs: bool,
    pub forecast: &'a Forecast,
}

/// Explains the `forecast` of the bed at a place; its feed stands at another.
pub(in crate::http::rooms) fn explain_forecast(
    it: &mut Explainer<'_>,
    planned: &Planned<'_>,
    (crossing, place, at): (&Crossing<'_>, Place<'_>, Place<'_>),
    view: &View<'_>,
) {
    let Some(read) = planned.feed.analysis(crossing, at) else { return };
    let feed = Feed {
        bed: place.to_pointer(),
        laid: &planned.forecast.layers,
        ash: it.request(Role::Share, read.ash, at.field(ash_field(planned.feed)).to_pointer()),
        nitrogen: read.nitrogen.and_then(|n| it.request(Role::Share, n, at.field("nitrogen").to_pointer())),
        moisture: it.request(Role::Share, read.moisture, at.field("moisture").to_pointer()),
    };
    for (i, lot) in planned.forecast.lots.iter().enumerate() {
        // Castings that lay in the bed at the start are in its first lot.
        let whole = lot.cycle > 1 || !planned.runs;
        feed.lot(it, (i, lot, whole), view);
    }
    for i in 0..planned.forecast.layers.len() {
        feed.layer(it, i, view);
    }
}

/// The field that says how much ash there is.
const fn ash_field(feed: &BedFeedRequest) -> &'static str {
    match (&feed.ash, &feed.organic_matter) {
        (Some(_), _) => "ash",
        (None, Some(_)) => "organic_matter",
        (None, None) => "carbon",
    }
}

struct Feed<'a> {
    bed: String,
    laid: &'a [Laid],
    ash: Option<Given>,
    nitrogen: Option<Given>,
    moisture: Option<Given>,
}

impl Feed<'_> {
    fn lot(&self, it: &mut Explainer<'_>, (i, lot, whole): (usize, &Lot, bool), view: &View<'_>) {
        let of = |field: &str| format!("{}/forecast/lots/{i}/{field}", self.bed);
        let assumed = |it: &Explainer<'_>, assumption| it.assumption(assumption, &self.bed);
        let (loss, pass) = (assumed(it, Assumption::OrganicMatterLoss), assumed(it, Assumption::SievePass));
        let retained = assumed(it, Assumption::NitrogenRetained);
        let Lying { rho, rho_d } = Lying::in_store(it, &self.bed);
        if whole {
            let fed = it.answer(&of("feed_dry_matter"));
            let with = [fed.clone(), self.ash.clone(), loss.clone(), pass.clone()];
            it.explain(of("castings_dry_matter"), Formula::SievedOfFeed, with);
            let with = [fed.clone(), self.ash.clone(), loss.clone(), assumed(it, Assumption::BedDryDensity)];
            it.explain(of("in_bed"), Formula::LotInBed, with);
            let with = [fed, self.ash.clone(), loss.clone(), pass, rho_d.clone()];
            it.explain(of("sieved_off"), Formula::LotHeldBack, with);
            self.fed(it, of("feed_dry_matter"), lot.cycle);
        }
        let dry = it.answer(&of("castings_dry_matter"));
        let (volume, mass) = (of("castings/volume"), of("castings/mass"));
        it.explain(volume.as_str(), Formula::DryInStore, [dry.clone(), rho_d.clone()]);
        it.explain(mass.as_str(), Formula::DryInStoreMass, [dry, rho.clone(), rho_d.clone()]);
        measures(it, &of("castings/in_measures"), (&volume, &mass), view);
        it.explain(of("castings_moisture"), Formula::StoreMoisture, [rho_d, rho]);
        let with = [self.nitrogen.clone(), retained.clone(), self.ash.clone(), loss.clone()];
        it.explain(of("nitrogen"), Formula::NitrogenOfLot, with);
        let with = [self.ash.clone(), loss, self.nitrogen.clone(), retained];
        it.explain(of("carbon_to_nitrogen"), Formula::RatioOfCastings, with);
    }

    /// The feed of a lot: all layers of its cycle.
    fn fed(&self, it: &mut Explainer<'_>, of: String, cycle: u32) {
        let of_cycle = self.laid.iter().enumerate().filter(|(_, laid)| laid.cycle == cycle);
        let dry = of_cycle.map(|(i, _)| it.answer(&format!("{}/forecast/layers/{i}/dry_matter", self.bed))).collect();
        it.explain_lists(of, Formula::TotalMass, [dry]);
    }

    fn layer(&self, it: &mut Explainer<'_>, i: usize, view: &View<'_>) {
        let of = |field: &str| format!("{}/forecast/layers/{i}/{field}", self.bed);
        let (volume, mass) = (of("volume"), of("mass"));
        let with = [it.answer(&format!("{}/surface_area", self.bed)), it.answer(&of("depth"))];
        it.explain(volume.as_str(), Formula::Layer, with);
        let with = [it.answer(&mass), self.moisture.clone()];
        it.explain(of("dry_matter"), Formula::DryMatter, with);
        measures(it, &of("in_measures"), (&volume, &mass), view);
    }
}

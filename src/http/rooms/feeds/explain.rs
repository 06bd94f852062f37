//! How the figures of the answer came about. Amounts that the service chooses come out of a linear programme and have no formula.

mod castings;
mod mix;

use super::answer::FeedsAnswer;
use super::request::{FeedsRequest, MaterialRequest};
use crate::garden::assumptions::{Assumption, WATER_DENSITY};
use crate::garden::feeds::{FeedPlan, Feedstock, Prepared, Rehydration};
use crate::garden::formulas::Formula;
use crate::garden::units::quantity::OfShare;
use crate::garden::units::{Density, Dimension, Estimate, Volume};
use crate::http::input::Crossing;
use crate::http::input::quantity::{Due, VolumeOrMassInput};
use crate::http::output::explain::Given;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{Explainer, ExplanationOut};
use crate::http::rooms::explain::measures;
use crate::http::wire::Place;

/// Explains an answer.
pub fn write(
    (request, answer): (&FeedsRequest, &FeedsAnswer),
    plan: &FeedPlan,
    (crossing, view): (&Crossing<'_>, &View<'_>),
) -> Vec<ExplanationOut> {
    let mut explainer = Explainer::of(answer, view);
    let root = Place::root();
    let list = root.field("materials");
    let mut parts = Vec::with_capacity(plan.ingredients.len());
    for (i, (asked, part)) in request.materials.iter().zip(&plan.ingredients).enumerate() {
        let place = list.index(i);
        let material = Material { at: place.to_pointer(), asked, part };
        material.amount(&mut explainer, (crossing, place));
        material.ratio(&mut explainer);
        material.water(&mut explainer, (crossing, place));
        let (mass, volume) = (material.of("mass"), material.of("volume"));
        measures(&mut explainer, &material.of("in_measures"), (&volume, &mass), view);
        parts.push(material);
    }
    mix::explain(&mut explainer, request, &parts, (crossing, view));
    castings::explain(&mut explainer, (request, plan), &parts, view);
    explainer.done()
}

/// One material.
struct Material<'a> {
    at: String,
    asked: &'a MaterialRequest,
    part: &'a Prepared,
}

/// The density of water: what 1 kg is 1 L means.
fn water(it: &Explainer<'_>) -> Option<Given> {
    it.constant(Role::Density, Density::from_kilograms_per_cubic_metre(WATER_DENSITY), "WATER_DENSITY")
}

impl Material<'_> {
    fn of(&self, field: &str) -> String {
        format!("{}/{field}", self.at)
    }

    fn own(&self, it: &Explainer<'_>, field: &str) -> Option<Given> {
        it.answer(&self.of(field))
    }

    /// A share of what it is made of: from the field of the request if there is one, else from the table.
    fn made_of(&self, it: &Explainer<'_>, share: Estimate<OfShare>, field: Option<&str>) -> Option<Given> {
        let value = it.estimated(Role::Share, share);
        match (field, &self.asked.material) {
            (Some(field), _) => it.from("request", value, self.of(field)),
            (None, Some(row)) => it.from("material", value, Feedstock::find(row)?.id),
            (None, None) => None,
        }
    }

    fn nitrogen(&self, it: &Explainer<'_>) -> Option<Given> {
        let field = self.asked.nitrogen.as_ref().map(|_| "nitrogen");
        self.made_of(it, self.part.material.nitrogen(), field)
    }

    fn carbon(&self, it: &Explainer<'_>) -> Option<Given> {
        let asked = self.asked;
        let fields = [
            (asked.carbon.is_some(), "carbon"),
            (asked.ash.is_some(), "ash"),
            (asked.carbon_to_nitrogen.is_some(), "carbon_to_nitrogen"),
        ];
        let field = fields.into_iter().find(|(is, _)| *is).map(|(_, field)| field);
        self.made_of(it, self.part.material.carbon(), field)
    }

    /// True if the request speaks of its volume.
    fn by_volume(&self, (crossing, place): (&Crossing<'_>, Place<'_>)) -> bool {
        let asked = self.asked;
        let amounts = [(&asked.amount, "amount"), (&asked.at_least, "at_least"), (&asked.at_most, "at_most")];
        let first = amounts.into_iter().find_map(|(input, field)| input.as_ref().map(|input| (input, field)));
        first.is_some_and(|(input, field)| {
            let due = Due::any(VolumeOrMassInput::DIMENSIONS).from(0.0);
            crossing.span(&input.0, due, place.field(field)).is_some_and(|(it, _)| it == Dimension::Volume)
        })
    }

    fn amount(&self, it: &mut Explainer<'_>, read: (&Crossing<'_>, Place<'_>)) {
        let (mass, volume) = (self.own(it, "mass"), self.own(it, "volume"));
        let by_volume = self.by_volume(read);
        let density = self.part.material.bulk_density().and_then(|density| {
            let value = it.estimated(Role::Density, density);
            match (&self.asked.bulk_density, &self.asked.material) {
                (Some(_), _) => it.from("request", value, self.of("bulk_density")),
                (None, row) => it.from("material", value, Feedstock::find(row.as_ref()?)?.id),
            }
        });
        let usual = it.assumption(Assumption::FeedDryDensity, "");
        let moist = self.own(it, "moisture").map(Given::likely);
        match (by_volume, density) {
            (false, Some(density)) => it.explain(self.of("volume"), Formula::VolumeOfMass, [mass, Some(density)]),
            (true, Some(density)) => it.explain(self.of("mass"), Formula::MassOfVolume, [volume, Some(density)]),
            (false, None) => it.explain(self.of("volume"), Formula::VolumeOfFeed, [mass, moist, usual]),
            (true, None) => it.explain(self.of("mass"), Formula::MassOfFeed, [volume, moist, usual]),
        }
        let with = [self.own(it, "mass"), self.own(it, "moisture")];
        it.explain(self.of("dry_matter"), Formula::DryMatter, with);
    }

    fn ratio(&self, it: &mut Explainer<'_>) {
        if self.asked.carbon_to_nitrogen.is_none() {
            let with = [self.carbon(it), self.nitrogen(it)];
            it.explain(self.of("carbon_to_nitrogen"), Formula::RatioOfMaterial, with);
        }
    }

    fn water(&self, it: &mut Explainer<'_>, (crossing, place): (&Crossing<'_>, Place<'_>)) {
        let (mass, moist) = (self.own(it, "mass"), self.own(it, "moisture"));
        let of = self.of("water_added");
        if self.asked.soak == Some(true) {
            let soaked = it.assumption(Assumption::SoakMoisture, "");
            it.explain(of, Formula::Soak, [mass.clone(), moist.clone(), soaked, water(it)]);
        } else {
            let each = self.water_for_each(it, (crossing, place));
            it.explain(of, Formula::Rehydration, [mass.clone(), each]);
        }
        // Of nothing there is no moisture to tell.
        if mass.as_ref().is_some_and(|mass| mass.is(0.0)) {
            return;
        }
        let with = [moist, mass, self.own(it, "water_added"), water(it)];
        it.explain(self.of("moisture_mixed"), Formula::MoistureMixed, with);
    }

    /// Water for each kilogram: as asked, the usual, or none.
    fn water_for_each(&self, it: &Explainer<'_>, (crossing, place): (&Crossing<'_>, Place<'_>)) -> Option<Given> {
        let Some(own) = &self.asked.rehydrate else {
            return it.request(Role::Water, Volume::from_litres(0.0), self.at.as_str());
        };
        match &own.water_per_kilogram {
            Some(input) => {
                let (below, bounds) = (place.field("rehydrate"), (0.0, Rehydration::MOST.litres()));
                let at = below.field("water_per_kilogram");
                let read: Volume = crossing.exact_between(&input.0, bounds, at)?;
                it.request(Role::Water, read, at.to_pointer())
            }
            None => it.constant(Role::Water, Rehydration::COMMON.water_per_kilogram, "COMMON"),
        }
    }
}

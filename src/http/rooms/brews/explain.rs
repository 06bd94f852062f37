//! How the figures of the answer came about.

use super::answer::BrewsAnswer;
use super::request::{BrewRequest, BrewsRequest};
use crate::garden::assumptions::Assumption;
use crate::garden::formulas::Formula;
use crate::garden::units::{Dimension, Volume, VolumePerArea, VolumePerLength};
use crate::http::input::Crossing;
use crate::http::input::ground::counted;
use crate::http::input::quantity::{CoverageInput, Due};
use crate::http::output::explain::{Given, plain};
use crate::http::output::quantity::{Role, View};
use crate::http::output::{Explainer, ExplanationOut};
use crate::http::rooms::explain::{Lying, measures};
use crate::http::wire::Place;

/// Explains an answer. The request is known to be sound by now, so reading parts of it again tells no faults.
pub fn write(
    (request, answer): (&BrewsRequest, &BrewsAnswer),
    (crossing, view): (&Crossing<'_>, &View<'_>),
) -> Vec<ExplanationOut> {
    let mut explainer = Explainer::of(answer, view);
    let root = Place::root();
    let list = root.field("brews");
    for (i, asked) in request.brews.iter().enumerate() {
        let place = list.index(i);
        let mut brew = Item { at: place.to_pointer(), asked, place, crossing, explainer: &mut explainer };
        brew.water();
        brew.castings(view);
        brew.batches();
    }
    explainer.done()
}

struct Item<'e, 'a> {
    at: String,
    asked: &'e BrewRequest,
    place: Place<'e>,
    crossing: &'e Crossing<'e>,
    explainer: &'e mut Explainer<'a>,
}

impl Item<'_, '_> {
    fn of(&self, field: &str) -> String {
        format!("{}/{field}", self.at)
    }

    fn own(&self, field: &str) -> Option<Given> {
        self.explainer.answer(&self.of(field))
    }

    /// Water for one part of tea; none unless given, which the brew itself tells.
    fn dilution(&self) -> Option<Given> {
        let Some(input) = &self.asked.dilution else { return self.explainer.count(0.0, self.at.as_str()) };
        let at = self.place.field("dilution");
        let span = self.crossing.parts(input, super::request::DILUTIONS, at)?;
        self.explainer.count(1.0 / span.likely, at.to_pointer())
    }

    fn water(&mut self) {
        let (water, tea, dilution) = (self.own("water"), self.own("tea"), self.dilution());
        if self.asked.water.is_some() {
            self.explainer.explain(self.of("tea"), Formula::Tea, [water.clone(), dilution.clone()]);
        } else {
            self.explainer.explain(self.of("water"), Formula::BrewWater, [tea, dilution.clone()]);
            self.covered();
        }
        self.explainer.explain(self.of("dilution_water"), Formula::DilutionWater, [water, dilution]);
    }

    /// Tea for a place: by what the coverage is for each of.
    fn covered(&mut self) {
        let (Some(coverage), Some(surface)) = (&self.asked.coverage, &self.asked.surface) else { return };
        let (at, below) = (self.place.field("coverage"), self.place.field("surface"));
        let read = self.crossing.span(&coverage.0, Due::any(CoverageInput::DIMENSIONS), at);
        let extent = self.crossing.surface(surface, below).and_then(|surface| surface.extent().ok());
        let (Some((dimension, span)), Some(extent)) = (read, extent) else { return };
        let (it, place) = (&self.explainer, below.to_pointer());
        let pointer = at.to_pointer();
        let (formula, with) = match dimension {
            Dimension::VolumePerArea => {
                let area = extent.area.and_then(|area| it.request(Role::Area, area, place));
                let rate = it.request(Role::WaterPerArea, VolumePerArea::from_base(span.likely), pointer);
                (Formula::VolumePerArea, [area, rate])
            }
            Dimension::VolumePerLength => {
                let length = extent.row_length.and_then(|length| it.request(Role::Length, length, place));
                let rate = it.request(Role::BulkPerLength, VolumePerLength::from_base(span.likely), pointer);
                (Formula::VolumePerLength, [length, rate])
            }
            _ => {
                let count = extent.plant_count().and_then(|count| it.count(count, place));
                (Formula::VolumePerPlant, [count, it.request(Role::Water, Volume::from_base(span.likely), pointer)])
            }
        };
        self.explainer.explain(self.of("tea"), formula, with);
    }

    fn castings(&mut self, view: &View<'_>) {
        let (volume, mass) = (self.of("castings/volume"), self.of("castings/mass"));
        let strength = self.explainer.assumption(Assumption::TeaStrength, &self.at);
        self.explainer.explain(volume.as_str(), Formula::CastingsForTea, [self.own("water"), strength]);
        let with = [self.explainer.answer(&volume), Lying::in_store(self.explainer, &self.at).rho];
        self.explainer.explain(mass.as_str(), Formula::MassOfVolume, with);
        measures(self.explainer, &self.of("castings/in_measures"), (&volume, &mass), view);
    }

    /// All batches are equal: each is explained alike. Their castings are split in whole millilitres.
    fn batches(&mut self) {
        let Some(brewer) = &self.asked.brewer else { return };
        let at = self.place.field("brewer");
        let holds: Option<Volume> = self.crossing.exact(&brewer.holds.0, at.field("holds"));
        let holds = holds.and_then(|holds| self.explainer.request(Role::Water, holds, at.field("holds").to_pointer()));
        // One vessel unless the request says more.
        let count = f64::from(counted(brewer.count));
        let told = if brewer.count.is_some() { at.field("count").to_pointer() } else { at.to_pointer() };
        let count = self.explainer.from("request", plain(count), told);
        let water = self.own("water");
        let batches = (0..).map(|i| self.of(&format!("batches/{i}/water")));
        let batches: Vec<String> = batches.take_while(|of| self.explainer.has(of)).collect();
        for of in batches {
            self.explainer.explain(of, Formula::Batch, [water.clone(), holds.clone()]);
        }
        self.explainer.explain(self.of("rounds"), Formula::Rounds, [water, holds.clone(), count.clone()]);
        self.explainer.explain(self.of("stronger/water"), Formula::OneRound, [holds, count]);
        let round = self.own("stronger/water");
        let with = [self.own("castings/volume").map(Given::likely), round.clone()];
        self.explainer.explain(self.of("stronger/castings_per_water"), Formula::Stronger, with);
        self.explainer.explain(self.of("stronger/then_add"), Formula::ThenAdd, [self.own("tea"), round]);
    }
}

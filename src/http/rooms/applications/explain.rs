//! How the figures of the answer came about.

use super::answer::ApplicationsAnswer;
use super::places::PlaceOut;
use crate::garden::applications::{Application, NITRATE_LIMIT, Order, Portion, Rate};
use crate::garden::assumptions::Assumption;
use crate::garden::cautions::Rule;
use crate::garden::formulas::Formula;
use crate::garden::units::Share;
use crate::http::output::explain::{Given, one};
use crate::http::output::quantity::{Role, View};
use crate::http::output::{Explainer, ExplanationOut};
use crate::http::rooms::explain::{Lying, measures, surface};

/// The nutrients with a share of their own.
const NUTRIENTS: [(&str, Assumption); 3] =
    [("nitrogen", Assumption::Nitrogen), ("phosphorus", Assumption::Phosphorus), ("potassium", Assumption::Potassium)];
/// All figures of nutrients.
const ALL: [&str; 6] = ["nitrogen", "available_nitrogen", "phosphorus", "phosphate", "potassium", "potash"];

/// Explains an answer.
pub fn write(answer: &ApplicationsAnswer, solved: &[(Order, Application)], view: &View<'_>) -> Vec<ExplanationOut> {
    let mut explainer = Explainer::of(answer, view);
    total(&mut explainer, view);
    for (i, (order, application)) in solved.iter().enumerate() {
        let mut item = Item { at: format!("/areas/{i}"), order, explainer: &mut explainer };
        surface(item.explainer, &item.at, &order.surface, &format!("{}/surface", item.at));
        item.castings();
        item.depth();
        item.nutrients(application.cautions.contains(&Rule::NitrogenTieUp));
        let castings = format!("{}/castings", item.at);
        let parts = (format!("{castings}/volume"), format!("{castings}/mass"));
        measures(item.explainer, &format!("{castings}/in_measures"), (&parts.0, &parts.1), view);
    }
    for (i, place) in answer.places.iter().enumerate() {
        together(&mut explainer, &format!("/places/{i}"), place);
    }
    explainer.done()
}

/// What a place gets in a year.
fn together(it: &mut Explainer<'_>, at: &str, place: &PlaceOut) {
    let each = |it: &Explainer<'_>, below: &str| -> Vec<Given> {
        place.of.iter().filter_map(|of| it.answer(&format!("/areas/{}{below}", of.index))).collect()
    };
    let grounds = each(it, "/surface_area");
    it.explain_lists(format!("{at}/surface_area"), Formula::LargestGround, [Some(grounds)]);
    let ground = it.answer(&format!("{at}/surface_area"));
    let volumes = each(it, "/castings/volume");
    it.explain_lists(format!("{at}/depth"), Formula::DepthTogether, [Some(volumes), one(ground.clone())]);
    for name in ALL {
        let masses = each(it, &format!("/nutrients/{name}/mass"));
        let of = format!("{at}/nutrients/{name}");
        it.explain_lists(format!("{of}/mass"), Formula::TotalMass, [Some(masses)]);
        let mass = it.answer(&format!("{of}/mass"));
        it.explain(format!("{of}/per_area"), Formula::PerArea, [mass, ground.clone()]);
    }
    let limit = it.constant(Role::NutrientPerArea, NITRATE_LIMIT, "NITRATE_LIMIT");
    let nitrogen = it.answer(&format!("{at}/nutrients/nitrogen/mass"));
    it.explain(format!("{at}/of_nitrate_limit"), Formula::TimesLimit, [nitrogen, ground.clone(), limit]);
    let phosphorus = it.answer(&format!("{at}/nutrients/phosphorus/mass"));
    let removal = it.assumption(Assumption::PhosphorusRemoval, "");
    it.explain(format!("{at}/of_phosphorus_removal"), Formula::TimesLimit, [phosphorus, ground, removal]);
}

fn total(it: &mut Explainer<'_>, view: &View<'_>) {
    let (volume, mass) = ("/castings/volume", "/castings/mass");
    it.explain_lists(format!("/total{volume}"), Formula::TotalVolume, [it.each("/areas", volume)]);
    it.explain_lists(format!("/total{mass}"), Formula::TotalMass, [it.each("/areas", mass)]);
    measures(it, "/total/castings/in_measures", ("/total/castings/volume", "/total/castings/mass"), view);
    for name in ALL {
        let below = format!("/nutrients/{name}/mass");
        it.explain_lists(format!("/total{below}"), Formula::TotalMass, [it.each("/areas", &below)]);
    }
}

/// One place. Each figure is told from what fixes it, so that each assumption stands in its formula once and the bounds are
/// the formula at the ends of what is put in.
struct Item<'e, 'a> {
    at: String,
    order: &'e Order,
    explainer: &'e mut Explainer<'a>,
}

impl Item<'_, '_> {
    fn own(&self, field: &str) -> Option<Given> {
        self.explainer.answer(&format!("{}/{field}", self.at))
    }

    fn assumed(&self, assumption: Assumption) -> Option<Given> {
        self.explainer.assumption(assumption, &self.at)
    }

    fn lying(&self) -> Lying {
        Lying::in_store(self.explainer, &self.at)
    }

    /// Plants or pots.
    fn plants(&self) -> Option<Given> {
        self.own("plants").or_else(|| self.own("pots"))
    }

    fn rate(&self) -> Option<Given> {
        let (it, at) = (&self.explainer, format!("{}/rate/amount", self.at));
        match self.order.rate {
            Rate::Depth(depth) => it.request(Role::Depth, depth, at),
            Rate::MassPerArea(rate) => it.request(Role::MassPerArea, rate, at),
            Rate::VolumePerArea(rate) => it.request(Role::BulkPerArea, rate, at),
            Rate::AvailableNitrogen(rate) => it.request(Role::NutrientPerArea, rate, at),
            Rate::VolumePerLength(rate) => it.request(Role::BulkPerLength, rate, at),
            Rate::PerPlant(Portion::Volume(each)) => it.request(Role::Bulk, each, at),
            Rate::PerPlant(Portion::Mass(each)) => it.request(Role::Mass, each, at),
            Rate::Share(share) => it.request(Role::Share, share, at),
        }
    }

    fn settling(&self) -> Option<Given> {
        let given = self.order.settling.fraction() > 0.0;
        let at = format!("{}/settling", self.at);
        given.then(|| self.explainer.request(Role::Share, self.order.settling, at)).flatten()
    }

    fn castings(&mut self) {
        let (volume, mass) = (format!("{}/castings/volume", self.at), format!("{}/castings/mass", self.at));
        let (area, rate, Lying { rho, rho_d }) = (self.own("surface_area"), self.rate(), self.lying());
        let (made, weighs) = (self.explainer.answer(&volume), self.explainer.answer(&mass));
        match self.order.rate {
            Rate::Depth(_) => match self.settling() {
                Some(settling) => {
                    self.explainer.explain(volume, Formula::SettledLayer, [area, rate, Some(settling)]);
                }
                None => self.explainer.explain(volume, Formula::Layer, [area, rate]),
            },
            Rate::VolumePerArea(_) => self.explainer.explain(volume, Formula::VolumePerArea, [area, rate]),
            Rate::VolumePerLength(_) => {
                let with = [self.own("row_length"), rate];
                self.explainer.explain(volume, Formula::VolumePerLength, with);
            }
            Rate::PerPlant(Portion::Volume(_)) => {
                let with = [self.plants(), rate];
                self.explainer.explain(volume, Formula::VolumePerPlant, with);
            }
            Rate::Share(_) => {
                let with = [self.own("mix"), rate];
                self.explainer.explain(volume, Formula::ShareOfMix, with);
            }
            Rate::MassPerArea(_) | Rate::PerPlant(Portion::Mass(_)) => {
                self.explainer.explain(volume, Formula::VolumeOfMass, [weighs, rho.clone()]);
            }
            Rate::AvailableNitrogen(_) => {
                let (n, a) = (self.assumed(Assumption::Nitrogen), self.assumed(Assumption::AvailableNitrogen));
                self.explainer.explain(volume, Formula::VolumeByNitrogen, [area, rate, rho_d, n, a]);
            }
        }
        self.mass(mass, (made, rho));
    }

    fn mass(&mut self, of: String, (made, rho): (Option<Given>, Option<Given>)) {
        let (area, rate) = (self.own("surface_area"), self.rate());
        match self.order.rate {
            Rate::MassPerArea(_) => self.explainer.explain(of, Formula::MassPerArea, [area, rate]),
            Rate::PerPlant(Portion::Mass(_)) => {
                let with = [self.plants(), rate];
                self.explainer.explain(of, Formula::MassPerPlant, with);
            }
            Rate::AvailableNitrogen(_) => {
                let (n, a) = (self.assumed(Assumption::Nitrogen), self.assumed(Assumption::AvailableNitrogen));
                let with = [area, rate, rho, self.lying().rho_d, n, a];
                self.explainer.explain(of, Formula::MassByNitrogen, with);
            }
            _ => self.explainer.explain(of, Formula::MassOfVolume, [made, rho]),
        }
    }

    fn depth(&mut self) {
        let (volume, area) = (self.own("castings/volume"), self.own("surface_area"));
        let of = format!("{}/depth", self.at);
        match self.settling() {
            Some(settling) => self.explainer.explain(of, Formula::SettledDepth, [volume, area, Some(settling)]),
            None => self.explainer.explain(of, Formula::Depth, [volume, area]),
        }
        let rho_d = self.lying().rho_d;
        let removal = self.assumed(Assumption::PhosphorusRemoval);
        let of = format!("{}/phosphorus_limited_depth", self.at);
        let with = [removal, rho_d.clone(), self.assumed(Assumption::Phosphorus)];
        self.explainer.explain(of, Formula::DepthThatBrings, with);
        let limit = self.explainer.constant(Role::NutrientPerArea, NITRATE_LIMIT, "NITRATE_LIMIT");
        let of = format!("{}/nitrate_limit_depth", self.at);
        let with = [limit, rho_d, self.assumed(Assumption::Nitrogen)];
        self.explainer.explain(of, Formula::DepthThatBrings, with);
    }

    fn nutrients(&mut self, tied_up: bool) {
        for (name, assumption) in NUTRIENTS {
            let of = format!("{}/nutrients/{name}/mass", self.at);
            self.nutrient(of, assumption);
        }
        self.available(tied_up);
        for (of, formula, pure) in
            [("phosphate", Formula::Phosphate, "phosphorus"), ("potash", Formula::Potash, "potassium")]
        {
            let pure = self.own(&format!("nutrients/{pure}/mass"));
            self.explainer.explain(format!("{}/nutrients/{of}/mass", self.at), formula, [pure]);
        }
        for name in ALL {
            let with = [self.own(&format!("nutrients/{name}/mass")), self.own("surface_area")];
            self.explainer.explain(format!("{}/nutrients/{name}/per_area", self.at), Formula::PerArea, with);
        }
    }

    fn nutrient(&mut self, of: String, assumption: Assumption) {
        let (share, Lying { rho, rho_d }) = (self.assumed(assumption), self.lying());
        match self.order.rate {
            Rate::AvailableNitrogen(_) => {
                let (area, rate) = (self.own("surface_area"), self.rate());
                let available = self.assumed(Assumption::AvailableNitrogen);
                if assumption == Assumption::Nitrogen {
                    self.explainer.explain(of, Formula::NitrogenByAvailable, [area, rate, available]);
                } else {
                    let n = self.assumed(Assumption::Nitrogen);
                    self.explainer.explain(of, Formula::NutrientByAvailable, [area, rate, share, n, available]);
                }
            }
            Rate::MassPerArea(_) | Rate::PerPlant(Portion::Mass(_)) => {
                let with = [self.own("castings/mass"), rho_d, share, rho];
                self.explainer.explain(of, Formula::NutrientInMass, with);
            }
            _ => {
                let with = [self.own("castings/volume"), rho_d, share];
                self.explainer.explain(of, Formula::NutrientInVolume, with);
            }
        }
    }

    fn available(&mut self, tied_up: bool) {
        let of = format!("{}/nutrients/available_nitrogen/mass", self.at);
        let (n, Lying { rho, rho_d }) = (self.assumed(Assumption::Nitrogen), self.lying());
        // Above a ratio of 25 castings tie nitrogen up, and none counts as available.
        let available = if tied_up {
            let none = self.explainer.written(Role::Share, Share::from_fraction(0.0));
            self.explainer.from("assumption", none, Assumption::CarbonToNitrogen.id())
        } else {
            self.assumed(Assumption::AvailableNitrogen)
        };
        match self.order.rate {
            Rate::AvailableNitrogen(_) => {
                let with = [self.own("surface_area"), self.rate()];
                self.explainer.explain(of, Formula::MassPerArea, with);
            }
            Rate::MassPerArea(_) | Rate::PerPlant(Portion::Mass(_)) => {
                let with = [self.own("castings/mass"), rho_d, n, available, rho];
                self.explainer.explain(of, Formula::AvailableInMass, with);
            }
            _ => {
                let with = [self.own("castings/volume"), rho_d, n, available];
                self.explainer.explain(of, Formula::AvailableInVolume, with);
            }
        }
    }
}

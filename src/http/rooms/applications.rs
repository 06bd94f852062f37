//! `POST /v1/applications`: how much each row, bed and pot takes.

use super::{COMPUTED_WITH, CastingsOut, Frame, Question, Sample, Units, cell, column};
use crate::garden::applications::{Application, Nutrients, Order, apply};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfMass;
use crate::garden::units::{Area, Estimate, Mass, Share, Volume};
use crate::http::answer::{Accepted, respond};
use crate::http::body::Body;
use crate::http::input::Crossing;
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::list::List;
use crate::http::input::measures::MeasureList;
use crate::http::input::quantity::ShareInput;
use crate::http::input::rate::RateInput;
use crate::http::input::surface::SurfaceInput;
use crate::http::input::text::no_control;
use crate::http::limits::{MAX_ITEMS, MAX_NAME, MAX_SETTLING};
use crate::http::negotiate::Media;
use crate::http::output::quantity::{Role, System, View};
use crate::http::output::{AssumptionOut, CautionOut, QuantityOut, Report};
use crate::http::problem::{AskProblems, Problem};
use crate::http::wire::Place;
use actix_web::{HttpResponse, post};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::Validate;

/// Places and rates.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ApplicationsRequest {
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub id: Option<String>,
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// Units of the answer; `metric` unless given.
    pub units: Option<Units>,
    /// The caller's measures.
    #[validate(nested)]
    #[schema(inline)]
    pub measures: Option<MeasureList>,
    /// What is known better than the defaults, for all areas.
    pub assumptions: Option<AssumptionsInput>,
    /// The places.
    #[validate(nested)]
    #[schema(inline)]
    pub areas: Areas,
}

/// The places.
pub type Areas = List<AreaRequest, 1, { MAX_ITEMS }>;

/// A place and its rate.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AreaRequest {
    /// Unique in the list, echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub id: Option<String>,
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// Where.
    #[validate(nested)]
    pub surface: SurfaceInput,
    /// How much.
    #[validate(nested)]
    pub rate: RateInput,
    /// The share of its depth that a layer loses by settling; 0 % unless given.
    pub settling: Option<ShareInput>,
    /// True on land declared a nitrate vulnerable zone.
    pub nitrate_vulnerable_zone: Option<bool>,
    /// What is known better for this place.
    pub assumptions: Option<AssumptionsInput>,
}

/// The question's marker.
pub struct Applications;

const SAMPLES: &[Sample] = &[
    Sample {
        name: "one_bed",
        summary: "How much for this bed?",
        body: include_str!("../../../demo-data/applications/one-bed.json"),
    },
    Sample {
        name: "kitchen_garden",
        summary: "Rows, a bed, plants and pots, in litres and buckets",
        body: include_str!("../../../demo-data/applications/kitchen-garden.json"),
    },
    Sample {
        name: "every_shape",
        summary: "A polygon, pots, a filled bed and other shapes, with rates of every kind",
        body: include_str!("../../../demo-data/applications/every-shape.json"),
    },
    Sample {
        name: "by_nitrogen_in_us_units",
        summary: "By available nitrogen, with a weighed bucket, in US units",
        body: include_str!("../../../demo-data/applications/by-nitrogen.json"),
    },
];

/// The fields that say where and how much, wherever they stand.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Parts<'a> {
    /// Where.
    pub surface: &'a SurfaceInput,
    /// How much.
    pub rate: &'a RateInput,
    /// Settling.
    pub settling: Option<&'a ShareInput>,
    /// A nitrate vulnerable zone.
    pub nitrate_zone: Option<bool>,
    /// What is known better.
    pub assumptions: Option<&'a AssumptionsInput>,
}

impl Parts<'_> {
    fn read(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Order> {
        let surface = crossing.surface(self.surface, place.field("surface"));
        let rate = crossing.rate(self.rate, place.field("rate"));
        let settling = match self.settling {
            Some(input) => crossing.exact_between(&input.0, (0.0, MAX_SETTLING), place.field("settling")),
            None => Some(Share::from_fraction(0.0)),
        };
        let nitrate_zone = self.nitrate_zone.unwrap_or(false);
        Some(Order { surface: surface?, rate: rate?, settling: settling?, nitrate_zone })
    }

    /// Refuses what is said of a layer or of land where there is no ground.
    fn only_on_ground(&self, order: &Order, crossing: &Crossing<'_>, place: Place<'_>) -> Option<()> {
        if order.surface.extent().is_ok_and(|extent| extent.area.is_some()) {
            return Some(());
        }
        let mut sound = Some(());
        for (field, given) in
            [("settling", self.settling.is_some()), ("nitrate_vulnerable_zone", self.nitrate_zone.is_some())]
        {
            if given {
                let detail =
                    "this belongs to open ground (rectangle, circle, ring, rows, polygon, area); leave it out here";
                crossing.refuse(place.field(field), Refusal::new(Reason::NotAllowedHere, detail));
                sound = None;
            }
        }
        sound
    }

    /// Reads one place and computes it.
    pub(crate) fn solve(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<(Order, Application)> {
        let overrides = crossing.overrides(self.assumptions, place.field("assumptions"));
        let order = self.read(crossing, place)?;
        if let Err(refusal) = order.surface.extent() {
            crossing.refuse(place.field("surface"), refusal);
            return None;
        }
        self.only_on_ground(&order, crossing, place)?;
        let application = crossing.with_known(place, &overrides, |known| apply(&order, known))?;
        crossing.note_used(place, &overrides, &application.assumed);
        Some((order, application))
    }
}

impl AreaRequest {
    const fn parts(&self) -> Parts<'_> {
        Parts {
            surface: &self.surface,
            rate: &self.rate,
            settling: self.settling.as_ref(),
            nitrate_zone: self.nitrate_vulnerable_zone,
            assumptions: self.assumptions.as_ref(),
        }
    }
}

/// Reads and computes all places.
pub(crate) fn solve(request: &ApplicationsRequest, crossing: &Crossing<'_>) -> Option<Vec<Application>> {
    let root = Place::root();
    let list = root.field("areas");
    crossing.unique_ids(request.areas.iter().map(|a| a.id.as_deref()), list);
    let solve =
        |(i, area): (usize, &AreaRequest)| area.parts().solve(crossing, list.index(i)).map(|(_, solved)| solved);
    let solved: Vec<_> = request.areas.iter().enumerate().map(solve).collect();
    solved.into_iter().collect()
}

/// How much each place takes, and what that carries.
#[derive(Debug, Serialize, ToSchema)]
pub struct ApplicationsAnswer {
    /// The program and its version.
    pub computed_with: &'static str,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<String>,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
    /// The system of units.
    #[schema(schema_with = crate::http::output::words::systems)]
    pub units: &'static str,
    /// All places together.
    pub total: TotalOut,
    /// The places, in the order of the request.
    pub areas: Vec<AreaOut>,
    /// What was assumed.
    pub assumptions: Vec<AssumptionOut>,
    /// What to mind.
    pub cautions: Vec<CautionOut>,
}

/// All places together.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ApplicationsTotal)]
pub struct TotalOut {
    /// Castings.
    pub castings: CastingsOut,
    /// What they carry.
    pub nutrients: NutrientsOut,
}

/// What one place takes.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Area)]
pub struct AreaOut {
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<String>,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
    /// Ground to spread on.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub surface_area: Option<QuantityOut>,
    /// The length of all rows together.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub row_length: Option<QuantityOut>,
    /// Plants, where they are counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub plants: Option<u64>,
    /// Pots.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub pots: Option<u64>,
    /// The volume filled with a mix.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub mix: Option<QuantityOut>,
    /// The depth of the layer once settled.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub depth: Option<QuantityOut>,
    /// Castings.
    pub castings: CastingsOut,
    /// What they carry.
    pub nutrients: NutrientsOut,
    /// The depth that brings as much phosphorus as a year's crop carries away, to compare with.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub phosphorus_limited_depth: Option<QuantityOut>,
    /// The depth that brings 170 kg of total nitrogen to the hectare, the yearly limit for manure nitrogen in nitrate
    /// vulnerable zones (91/676/EEC), to compare with.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub nitrate_limit_depth: Option<QuantityOut>,
    /// The rules of the cautions that this place gives reason for.
    pub cautions: Vec<&'static str>,
}

/// What castings carry.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Nutrients)]
pub struct NutrientsOut {
    /// Total N.
    pub nitrogen: NutrientOut,
    /// N available in the first season.
    pub available_nitrogen: NutrientOut,
    /// P.
    pub phosphorus: NutrientOut,
    /// P2O5.
    pub phosphate: NutrientOut,
    /// K.
    pub potassium: NutrientOut,
    /// K2O.
    pub potash: NutrientOut,
}

/// One nutrient.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Nutrient)]
pub struct NutrientOut {
    /// In all.
    pub mass: QuantityOut,
    /// Over the ground, where there is ground.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub per_area: Option<QuantityOut>,
}

impl NutrientsOut {
    fn new(view: &View<'_>, nutrients: &Nutrients, area: Option<Area>) -> Self {
        let one = |mass: Estimate<OfMass>| NutrientOut {
            mass: view.estimate(Role::Nutrient, mass),
            per_area: area.map(|area| view.estimate(Role::NutrientPerArea, mass / Estimate::exactly(area))),
        };
        Self {
            nitrogen: one(nutrients.nitrogen),
            available_nitrogen: one(nutrients.available_nitrogen),
            phosphorus: one(nutrients.phosphorus),
            phosphate: one(nutrients.phosphate()),
            potassium: one(nutrients.potassium),
            potash: one(nutrients.potash()),
        }
    }
}

impl AreaOut {
    fn new(request: &AreaRequest, solved: &Application, view: &View<'_>, cautions: Vec<&'static str>) -> Self {
        let extent = &solved.extent;
        let counted = |potted| extent.plants.filter(|_| extent.potted == potted);
        Self {
            id: request.id.clone(),
            name: request.name.clone(),
            surface_area: extent.area.map(|area| view.exact(Role::Area, area)),
            row_length: extent.row_length.map(|length| view.exact(Role::Length, length)),
            plants: counted(false),
            pots: counted(true),
            mix: extent.mix.map(|mix| view.exact(Role::Bulk, mix)),
            depth: solved.depth.map(|depth| view.estimate(Role::Depth, depth)),
            castings: CastingsOut::new(view, solved.carried.volume, solved.carried.mass),
            nutrients: NutrientsOut::new(view, &solved.carried.nutrients, extent.area),
            phosphorus_limited_depth: solved.phosphorus_limited_depth.map(|d| view.estimate(Role::Depth, d)),
            nitrate_limit_depth: solved.nitrate_limit_depth.map(|d| view.estimate(Role::Depth, d)),
            cautions,
        }
    }
}

fn total(solved: &[Application], view: &View<'_>) -> TotalOut {
    let nothing = Estimate::exactly(Mass::from_kilograms(0.0));
    let none = Nutrients { nitrogen: nothing, available_nitrogen: nothing, phosphorus: nothing, potassium: nothing };
    let start = (Estimate::exactly(Volume::from_litres(0.0)), nothing, none);
    let (volume, mass, nutrients) = solved.iter().fold(start, |(volume, mass, nutrients), a| {
        let c = &a.carried;
        (volume.plus(c.volume), mass.plus(c.mass), nutrients.plus(c.nutrients))
    });
    TotalOut { castings: CastingsOut::new(view, volume, mass), nutrients: NutrientsOut::new(view, &nutrients, None) }
}

impl Question for Applications {
    type Request = ApplicationsRequest;
    type Answer = ApplicationsAnswer;
    const NAME: &'static str = "applications";
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv];

    fn samples() -> &'static [Sample] {
        SAMPLES
    }

    fn frame(request: &Self::Request) -> Frame<'_> {
        Frame { units: request.units, measures: request.measures.as_ref(), assumptions: request.assumptions.as_ref() }
    }

    fn answer(request: &Self::Request, crossing: &Crossing<'_>, view: &View<'_>) -> Option<Self::Answer> {
        let solved = solve(request, crossing)?;
        let mut report = Report::of_castings();
        let root = Place::root();
        let list = root.field("areas");
        let mut areas = Vec::with_capacity(solved.len());
        for (i, (item, application)) in request.areas.iter().zip(&solved).enumerate() {
            report.used(&application.assumed, list.index(i));
            let cautions = report.cautions(&application.cautions, list.index(i));
            areas.push(AreaOut::new(item, application, view, cautions));
        }
        let (assumptions, cautions) = report.write(crossing, view);
        Some(ApplicationsAnswer {
            computed_with: COMPUTED_WITH,
            id: request.id.clone(),
            name: request.name.clone(),
            units: view.system.as_str(),
            total: total(&solved, view),
            areas,
            assumptions,
            cautions,
        })
    }

    fn table(answer: &Self::Answer) -> Option<Vec<Vec<String>>> {
        let first = answer.areas.first()?;
        let system = if answer.units == System::Us.as_str() { System::Us } else { System::Metric };
        let volume = &first.castings.volume.unit;
        let mass = &first.castings.mass.unit;
        let nutrient = &first.nutrients.nitrogen.mass.unit;
        let mut header = vec!["id".to_owned(), "name".to_owned()];
        header.push(column("surface_area", system.unit(Role::Area).0));
        header.push(column("depth", system.unit(Role::Depth).0));
        for (name, unit) in [("castings", volume), ("castings", mass)] {
            header.extend([column(name, unit), column(name, unit) + "_low", column(name, unit) + "_high"]);
        }
        header.extend(first.castings.in_measures.iter().map(|m| column("castings", &m.unit)));
        for name in ["nitrogen", "available_nitrogen", "phosphorus", "phosphate", "potassium", "potash"] {
            header.push(column(name, nutrient));
        }
        header.push("cautions".to_owned());
        Some(std::iter::once(header).chain(answer.areas.iter().map(row)).collect())
    }
}

fn row(area: &AreaOut) -> Vec<String> {
    let mut row = vec![area.id.clone().unwrap_or_default(), area.name.clone().unwrap_or_default()];
    row.extend([cell(area.surface_area.as_ref()), cell(area.depth.as_ref())]);
    for quantity in [&area.castings.volume, &area.castings.mass] {
        let bound = |b: Option<crate::http::output::Number>| b.unwrap_or(quantity.value).to_string();
        row.extend([quantity.value.to_string(), bound(quantity.low), bound(quantity.high)]);
    }
    row.extend(area.castings.in_measures.iter().map(|m| m.value.to_string()));
    let n = &area.nutrients;
    for one in [&n.nitrogen, &n.available_nitrogen, &n.phosphorus, &n.phosphate, &n.potassium, &n.potash] {
        row.push(one.mass.value.to_string());
    }
    row.push(area.cautions.join(" "));
    row
}

/// How much each place takes
///
/// Area times rate for rows, beds, plants, pots and fills: castings by volume, mass and the caller's measures, and the
/// nutrients they carry. `V = A d / (1 - settling)` by depth, `A r / density` by mass per area, `A r` by volume per area,
/// `A r / (dry density x nitrogen x available share)` by available nitrogen, `count x r` per row length, plant or pot,
/// `mix x share` for mixes.
#[utoipa::path(
    tag = "applications",
    operation_id = "calculate_applications",
    request_body(content = ApplicationsRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "Castings and nutrients for each place", content(
            (ApplicationsAnswer = "application/json"), (String = "text/csv"))),
        AskProblems,
    )
)]
#[post("/v1/applications")]
pub async fn calculate_applications(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<Applications>(accepted, body).await
}

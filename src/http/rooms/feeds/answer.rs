//! The answer, and writing it.

use super::request::{FeedsRequest, MaterialRequest};
use crate::garden::feeds::{Expected, FeedPlan, Goal, Instead, Layer, Layers, Mix, OutOfReach, Prepared, Step};
use crate::http::input::Crossing;
use crate::http::input::bounded::echoed;
use crate::http::output::quantity::{CountOut, Role, View};
use crate::http::output::{Answer, Echo, Part, QuantityOut, Report};
use crate::http::rooms::{CastingsOut, ReferenceOut, close};
use crate::http::wire::Place;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// The mix, its water, layers, steps and castings.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedsAnswer)]
pub struct FeedsPart {
    /// The materials, in the order of the request.
    pub materials: Vec<MaterialOut>,
    /// Water and starter.
    pub water: WaterOut,
    /// The mix.
    pub mix: MixOut,
    /// Goals that cannot be met with these amounts; the mix is then the nearest that can.
    pub out_of_reach: Vec<OutOfReachOut>,
    /// Where the ratio stands in the way of the moisture: the mix that meets the moisture alone.
    pub instead: Option<InsteadOut>,
    /// The mix laid on the ground of the bed.
    pub layers: Option<LayersOut>,
    /// What to do, in order.
    pub steps: Vec<StepOut>,
    /// What castings come of it.
    pub castings: ExpectedOut,
}

/// The answer.
pub type FeedsAnswer = Answer<FeedsPart>;

impl Part for FeedsPart {
    const EXPLAINED: &'static str =
        "How each figure came about, where the request asks for it; amounts that the service chooses have no formula.";
}

/// A material as it goes into the mix.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedMaterial)]
pub struct MaterialOut {
    /// Echoed.
    pub id: Option<String>,
    /// Echoed.
    pub name: Option<String>,
    /// The material of the table, echoed.
    pub material: Option<String>,
    /// True if the service chose the amount.
    pub chosen: bool,
    /// How much to take, by mass, before any water is added.
    pub mass: QuantityOut,
    /// How much to take, by volume as it lies.
    pub volume: QuantityOut,
    /// How much to take, in the caller's measures.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub in_measures: Vec<QuantityOut>,
    /// Its dry matter.
    pub dry_matter: QuantityOut,
    /// Its moisture before any water is added, wet basis.
    pub moisture: QuantityOut,
    /// Carbon over nitrogen, by mass.
    pub carbon_to_nitrogen: QuantityOut,
    /// Water that soaking or rehydration adds.
    pub water_added: QuantityOut,
    /// Its moisture when it is mixed.
    pub moisture_mixed: QuantityOut,
}

/// Water and starter.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedWater)]
pub struct WaterOut {
    /// Water that soaked materials take up.
    pub soak: QuantityOut,
    /// Liquid starter in it.
    pub starter: QuantityOut,
    /// Water for rehydration.
    pub rehydration: QuantityOut,
    /// Water to add when mixing.
    pub extra: QuantityOut,
}

/// The mix.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedMix)]
pub struct MixOut {
    /// Its mass.
    pub mass: QuantityOut,
    /// Its volume: less than the sum, since fines fill voids.
    pub volume: QuantityOut,
    /// Its volume or mass in the caller's measures.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub in_measures: Vec<QuantityOut>,
    /// Its bulk density.
    pub bulk_density: QuantityOut,
    /// Its dry matter.
    pub dry_matter: QuantityOut,
    /// Its moisture, wet basis.
    pub moisture: QuantityOut,
    /// Carbon over nitrogen, by mass.
    pub carbon_to_nitrogen: QuantityOut,
    /// N over dry matter.
    pub nitrogen: QuantityOut,
    /// The share of air in its volume.
    pub air_space: QuantityOut,
}

/// A goal that cannot be met.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = OutOfReach)]
pub struct OutOfReachOut {
    /// `carbon_to_nitrogen` or `moisture`.
    #[schema(schema_with = crate::http::output::words::goals)]
    pub goal: &'static str,
    /// What was wanted.
    pub wanted: QuantityOut,
    /// The nearest that can be had; the mix has it.
    pub nearest: QuantityOut,
    /// How far that is from what was wanted.
    pub by: QuantityOut,
    /// True if it could be met without the other goal: both cannot hold at once.
    pub without_the_other: bool,
    /// The same in words.
    pub text: String,
    /// What kind of material would mend it: `carbon_rich`, `nitrogen_rich` or `dry`.
    #[schema(schema_with = crate::http::output::words::remedies)]
    pub remedy: &'static str,
    /// Materials of the table that would do.
    pub would_do: Vec<&'static str>,
}

/// The mix that meets the moisture and lets the ratio go.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = InsteadMix)]
pub struct InsteadOut {
    /// The mass of each material, in the order of the request.
    pub materials: Vec<QuantityOut>,
    /// Water to add when mixing.
    pub extra_water: QuantityOut,
    /// Its ratio.
    pub carbon_to_nitrogen: QuantityOut,
    /// Its moisture.
    pub moisture: QuantityOut,
}

/// The mix laid on the bed: first + later x each + last.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedLayers)]
pub struct LayersOut {
    /// The ground of the bed.
    pub surface_area: QuantityOut,
    /// The first layer.
    pub first: LayerOut,
    /// How many full later layers.
    #[schema(value_type = u32)]
    pub later: CountOut,
    /// Each of them.
    pub each: LayerOut,
    /// What is left for a last, shallower one.
    pub last: Option<LayerOut>,
}

/// One layer.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedLayer)]
pub struct LayerOut {
    /// How deep.
    pub depth: QuantityOut,
    /// How much of the mix.
    pub volume: QuantityOut,
}

/// A step of the work.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedStep)]
pub struct StepOut {
    /// What is done.
    #[schema(schema_with = crate::http::output::words::steps)]
    pub kind: &'static str,
    /// In words.
    pub text: &'static str,
    /// Where the rule is from.
    pub source: &'static str,
    /// Days after the start on which it begins.
    pub starts_day: u32,
    /// Days after the start on which it ends.
    pub ends_day: u32,
    /// The date on which it begins.
    pub starts_on: Option<NaiveDate>,
    /// The date on which it ends.
    pub ends_on: Option<NaiveDate>,
    /// Which materials; all of them where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<ReferenceOut>,
}

/// What castings come of it.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ExpectedCastings)]
pub struct ExpectedOut {
    /// Dry matter of the feed when the worms get it.
    pub dry_matter_in: QuantityOut,
    /// Dry matter that is left, before the sieve.
    pub dry_matter_out: QuantityOut,
    /// Castings in the bed, before the sieve.
    pub in_bed: QuantityOut,
    /// Their moisture there.
    pub bed_moisture: QuantityOut,
    /// Sieved castings in store.
    pub stored: CastingsOut,
    /// Their moisture there.
    pub store_moisture: QuantityOut,
    /// Nitrogen in the castings, before the sieve.
    pub nitrogen: QuantityOut,
    /// Carbon over nitrogen.
    pub carbon_to_nitrogen: QuantityOut,
}

/// Writes the answer.
pub fn write(request: &FeedsRequest, plan: &FeedPlan, (crossing, view): (&Crossing<'_>, &View<'_>)) -> FeedsAnswer {
    let mut report = Report::of_castings();
    report.used(&plan.assumed, Place::root());
    report.told(&plan.cautions);
    let water = |volume| view.estimate(Role::Water, volume);
    let materials = request.materials.iter().zip(&plan.ingredients);
    let part = FeedsPart {
        materials: materials.map(|(item, part)| material(item, part, view)).collect(),
        water: WaterOut {
            soak: water(plan.soak_water),
            starter: water(plan.starter),
            rehydration: water(plan.rehydration_water),
            extra: water(plan.extra_water),
        },
        mix: mix(&plan.mix, view),
        out_of_reach: plan.out_of_reach.iter().map(|missed| out_of_reach(missed, view)).collect(),
        instead: plan.instead.as_ref().map(|other| instead(other, view)),
        layers: plan.layers.as_ref().map(|laid| layers(laid, view)),
        steps: plan.steps.iter().map(|one| step(one, request)).collect(),
        castings: expected(&plan.castings, view),
    };
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (crossing, view))
}

fn material(item: &MaterialRequest, part: &Prepared, view: &View<'_>) -> MaterialOut {
    MaterialOut {
        id: echoed(item.id.as_ref()),
        name: echoed(item.name.as_ref()),
        material: item.material.clone(),
        chosen: part.chosen,
        mass: view.estimate(Role::Mass, part.mass),
        volume: view.estimate(Role::Bulk, part.volume),
        in_measures: view.in_measures(part.volume, Some(part.mass)),
        dry_matter: view.estimate(Role::Mass, part.dry),
        moisture: view.estimate(Role::Share, part.material.moisture()),
        carbon_to_nitrogen: view.estimate(Role::Ratio, part.material.carbon_to_nitrogen()),
        water_added: view.estimate(Role::Water, part.added_water),
        moisture_mixed: view.estimate(Role::Share, part.moisture_mixed),
    }
}

fn mix(mix: &Mix, view: &View<'_>) -> MixOut {
    MixOut {
        mass: view.estimate(Role::Mass, mix.mass),
        volume: view.estimate(Role::Bulk, mix.volume),
        in_measures: view.in_measures(mix.volume, Some(mix.mass)),
        bulk_density: view.estimate(Role::Density, mix.bulk_density),
        dry_matter: view.estimate(Role::Mass, mix.dry),
        moisture: view.estimate(Role::Share, mix.moisture),
        carbon_to_nitrogen: view.estimate(Role::Ratio, mix.carbon_to_nitrogen),
        nitrogen: view.estimate(Role::Share, mix.nitrogen_share),
        air_space: view.estimate(Role::Share, mix.air_space),
    }
}

fn out_of_reach(missed: &OutOfReach, view: &View<'_>) -> OutOfReachOut {
    let role = match missed.goal {
        Goal::CarbonToNitrogen => Role::Ratio,
        Goal::Moisture => Role::Share,
    };
    let ((low, high), exactly) = (missed.wanted, |value: f64| view.values(role, [value; 3]));
    OutOfReachOut {
        goal: missed.goal.as_str(),
        wanted: view.values(role, [low, low, high]),
        nearest: exactly(missed.nearest),
        by: exactly(missed.by),
        without_the_other: missed.alone,
        text: crate::http::wire::capital(&missed.text()),
        remedy: missed.remedy.as_str(),
        would_do: missed.would_do.iter().map(|row| row.id).collect(),
    }
}

fn instead(other: &Instead, view: &View<'_>) -> InsteadOut {
    InsteadOut {
        materials: other.masses.iter().map(|mass| view.exact(Role::Mass, *mass)).collect(),
        extra_water: view.exact(Role::Water, other.extra_water),
        carbon_to_nitrogen: view.exact(Role::Ratio, other.carbon_to_nitrogen),
        moisture: view.exact(Role::Share, other.moisture),
    }
}

fn layers(laid: &Layers, view: &View<'_>) -> LayersOut {
    let layer = |layer: &Layer| LayerOut {
        depth: view.estimate(Role::Depth, layer.depth),
        volume: view.estimate(Role::Bulk, layer.volume),
    };
    LayersOut {
        surface_area: view.estimate(Role::Area, laid.area),
        first: layer(&laid.first),
        later: CountOut::new(laid.later),
        each: layer(&laid.each),
        last: laid.last.as_ref().map(layer),
    }
}

fn step(step: &Step, request: &FeedsRequest) -> StepOut {
    let reference = |index: &usize| {
        let item = request.materials.get(*index);
        let name = item.and_then(|m| echoed(m.name.as_ref()).or_else(|| m.material.clone()));
        ReferenceOut { index: *index, id: item.and_then(|m| echoed(m.id.as_ref())), name }
    };
    StepOut {
        kind: step.kind.as_str(),
        text: step.kind.text(),
        source: step.kind.source(),
        starts_day: step.from_day,
        ends_day: step.to_day,
        starts_on: step.from,
        ends_on: step.to,
        materials: step.of.iter().map(reference).collect(),
    }
}

fn expected(e: &Expected, view: &View<'_>) -> ExpectedOut {
    ExpectedOut {
        dry_matter_in: view.estimate(Role::Mass, e.dry_in),
        dry_matter_out: view.estimate(Role::Mass, e.dry_out),
        in_bed: view.estimate(Role::Bulk, e.in_bed),
        bed_moisture: view.estimate(Role::Share, e.bed_moisture),
        stored: CastingsOut::new(view, e.stored, e.mass),
        store_moisture: view.estimate(Role::Share, e.store_moisture),
        nitrogen: view.estimate(Role::Nutrient, e.nitrogen),
        carbon_to_nitrogen: view.estimate(Role::Ratio, e.carbon_to_nitrogen),
    }
}

//! Writing the answer.

use super::answer::{
    ExpectedOut, FeedsAnswer, FeedsPart, HotCompostedOut, InsteadOut, LayerOut, LayersOut, MaterialOut, MixOut,
    OutOfReachOut, StepOut, WaterOut,
};
use super::laid::Laying;
use super::request::{FeedsRequest, MaterialRequest};
use crate::garden::feeds::{
    ADD_WATER_SLOWLY, Expected, FeedPlan, Goal, HotComposted, Instead, Layer, Layers, Mix, OutOfReach, Prepared, Step,
    StepKind, ThinLayer, layer_by_layer,
};
use crate::http::input::RequestContext;
use crate::http::input::bounded::echoed;
use crate::http::output::quantity::{CountOut, Role, System, View};
use crate::http::output::{Echo, Report};
use crate::http::present::words::shown;
use crate::http::resources::collected::CollectedFeed;
use crate::http::resources::harvests::LayerOut as DatedLayerOut;
use crate::http::resources::{CastingsOut, ReferenceOut, close};
use crate::http::wire::JsonPath;

/// Writes the answer.
pub fn write(
    request: &FeedsRequest,
    (plan, laying): (&FeedPlan, &Laying),
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> FeedsAnswer {
    let mut report = Report::of_castings();
    report.used(&plan.assumed, JsonPath::root());
    report.used(&laying.assumed, JsonPath::root());
    report.reported(&plan.cautions);
    report.reported(&laying.cautions);
    let water = |volume| view.estimate(Role::Water, volume);
    let materials = request.materials.iter().zip(&plan.ingredients);
    let part = FeedsPart {
        materials: materials.map(|(item, part)| material(item, part, view)).collect(),
        water: WaterOut {
            soak: water(plan.soak_water),
            starter: water(plan.starter),
            rehydration: water(plan.rehydration_water),
            extra: water(plan.extra_water),
            to_usual_moisture: plan.water_to_usual.map(water),
        },
        mix: mix(&plan.mix, view),
        out_of_reach: plan.out_of_reach.iter().map(|missed| out_of_reach(missed, view)).collect(),
        instead: plan.instead.as_ref().map(|other| instead(other, view)),
        hot_composting: plan.hot.as_ref().map(|hot| hot_composted(hot, view)),
        layers: plan.layers.as_ref().map(|laid| LayersOut {
            thin_last: laying.thin_last(plan).map(|thin| thin_last(thin, view)),
            ..layers((laid, laying), view)
        }),
        steps: plan.steps.iter().map(|one| step(one, request, (plan, laying), view)).collect(),
        castings: expected(&plan.castings, view),
    };
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (context, view))
}

fn material(item: &MaterialRequest, part: &Prepared, view: &View<'_>) -> MaterialOut {
    MaterialOut {
        id: echoed(item.id.as_ref()),
        name: echoed(item.name.as_ref()),
        material: item.material.clone(),
        chosen: part.chosen,
        mass: view.estimate(Role::Mass, part.mass),
        volume: view.estimate(Role::Bulk, part.volume),
        volume_shredded: part.volume_shredded.map(|volume| view.estimate(Role::Bulk, volume)),
        volume_mixed: view.estimate(Role::Bulk, part.volume_mixed),
        in_containers: view.in_containers(part.volume, Some(part.mass)),
        dry_matter: view.estimate(Role::Mass, part.dry),
        moisture: view.estimate(Role::Share, part.material.moisture()),
        carbon_to_nitrogen: view.estimate(Role::Ratio, part.material.carbon_to_nitrogen()),
        water_added: view.estimate(Role::Water, part.added_water),
        moisture_mixed: view.estimate(Role::Share, part.moisture_mixed),
        size_mixed: part.size.as_str(),
    }
}

fn mix(mix: &Mix, view: &View<'_>) -> MixOut {
    MixOut {
        mass: view.estimate(Role::Mass, mix.mass),
        volume: view.estimate(Role::Bulk, mix.volume),
        in_containers: view.in_containers(mix.volume, Some(mix.mass)),
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
        Goal::Moisture | Goal::AirSpace => Role::Share,
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

fn hot_composted(hot: &HotComposted, view: &View<'_>) -> HotCompostedOut {
    HotCompostedOut {
        dry_matter_lost: view.estimate(Role::Mass, hot.dry_lost),
        carbon_lost: view.estimate(Role::Mass, hot.carbon_lost),
        nitrogen_lost: view.estimate(Role::Nutrient, hot.nitrogen_lost),
        dry_matter: view.estimate(Role::Mass, hot.dry),
        volume: view.estimate(Role::Bulk, hot.volume),
        carbon_to_nitrogen: view.estimate(Role::Ratio, hot.carbon_to_nitrogen),
        water_evaporated: view.estimate(Role::Water, hot.evaporated),
        water_to_add: view.estimate(Role::Water, hot.water_to_add),
        moisture: view.estimate(Role::Share, hot.moisture),
        cooling_time: view.estimate(Role::Days, hot.cooling),
    }
}

fn layers((laid, laying): (&Layers, &Laying), view: &View<'_>) -> LayersOut {
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
        before_harvest: laying.before_harvest,
        all_fit: laying.all_fit,
        dated: laying.dated.iter().map(|laid| DatedLayerOut::new(laid, &CollectedFeed::default(), view)).collect(),
        missing_for_dates: laying.missing.clone(),
        worms_die_on: laying.worms_die_on,
        thin_last: None,
    }
}

/// What to do with a last layer that is too thin to spread.
fn thin_last(thin: ThinLayer, view: &View<'_>) -> String {
    let depth = |depth| shown(&view.exact(Role::Depth, depth));
    let how = match thin {
        ThinLayer::WithFirst(both) => format!("lay its feed with the first, {} deep in all", depth(both)),
        ThinLayer::TwoAlike(each) => {
            format!("lay its feed and that of the one before as two layers of {}", depth(each))
        }
    };
    format!("The last layer is too thin to spread by itself: {how}.")
}

fn step(step: &Step, request: &FeedsRequest, of: (&FeedPlan, &Laying), view: &View<'_>) -> StepOut {
    let reference = |index: &usize| {
        let item = request.materials.get(*index);
        let name = item.and_then(|m| echoed(m.name.as_ref()).or_else(|| m.material.clone()));
        ReferenceOut { index: *index, id: item.and_then(|m| echoed(m.id.as_ref())), name }
    };
    let by_layer = by_layer(step, of);
    StepOut {
        kind: step.kind.as_str(),
        is_by_layer: by_layer.is_some(),
        text: std::iter::once(step_text(step, of, view)).chain(by_layer).collect::<Vec<_>>().join(" "),
        source: step.kind.source(),
        starts_day: step.from_day,
        ends_day: step.to_day,
        starts_on: step.from,
        ends_on: step.to,
        materials: step.of.iter().map(reference).collect(),
    }
}

/// What to do with a last layer that is too thin, and how many worms the days of the layers go by.
fn step_text(step: &Step, (plan, laying): (&FeedPlan, &Laying), view: &View<'_>) -> String {
    let text = step.kind.text(view.system == System::Us);
    match step.kind {
        StepKind::IntroduceWorms => {
            let worms = laying.worms.map(|worms| shown(&view.exact(Role::Mass, worms.likely())));
            worms.map_or_else(|| text.clone(), |worms| format!("{}: {worms}.", text.trim_end_matches('.')))
        }
        StepKind::Mix => {
            let slowly = (plan.extra_water.likely().litres() > 0.0).then(|| ADD_WATER_SLOWLY.to_owned());
            std::iter::once(text).chain(slowly).collect::<Vec<_>>().join(" ")
        }
        StepKind::FirstLayer => {
            let thin = laying.thin_last(plan).map(|thin| thin_last(thin, view));
            std::iter::once(text).chain(thin).collect::<Vec<_>>().join(" ")
        }
        _ => text,
    }
}

/// That a step is done for each layer by itself; what is composted hot is one heap.
fn by_layer(step: &Step, (plan, laying): (&FeedPlan, &Laying)) -> Option<String> {
    let mix = plan.steps.iter().find(|step| step.kind == StepKind::Mix).filter(|_| plan.hot.is_none());
    layer_by_layer(step.kind, mix?.to?, laying.dated.iter().map(|laid| laid.on))
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

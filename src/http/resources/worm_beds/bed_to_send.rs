//! The bed as `POST /v1/seasons` and `POST /v1/harvests` take it.

use super::answer::WormBedOut;
use super::read::Solved;
use super::request::WormBedsRequest;
use crate::garden::assumptions::{Assumed, Assumption, SetBy};
use crate::garden::beds::{Climate, Delivery, Supply};
use crate::garden::feeds::{Prepared, Size};
use crate::garden::formulas::{MoistOfDry, Row};
use crate::garden::units::quantity::OfShare;
use crate::garden::units::{Estimate, Measured};
use crate::http::input::RequestContext;
use crate::http::output::quantity::{Role, View};
use crate::http::output::report;
use crate::http::output::{Number, QuantityOut};
use crate::http::resources::harvests::{AnalysisFields, FeedPartRequest, analysis_fields};
use serde_json::{Map, Value, json};

/// Writes the bed for both.
pub(super) fn write(
    request: &WormBedsRequest,
    solved: &Solved,
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> WormBedOut {
    let bed = &solved.sized.bed;
    let ground = json!({"kind": "area", "area": exact(view, Role::Area, bed.area.likely())});
    let mut plan = Map::new();
    plan.insert("start_on".to_owned(), json!(bed.start_on));
    if let Some(worms) = bed.worms {
        plan.insert("worms".to_owned(), exact(view, Role::Mass, worms.likely()));
    }
    let counts = [("layers_per_cycle", bed.layers_per_cycle), ("cycles", bed.cycles)];
    plan.extend(counts.into_iter().filter_map(|(name, count)| Some((name.to_owned(), json!(count?)))));
    plan.insert("feed".to_owned(), feed(request, solved, view));
    plan.insert("climate".to_owned(), climate(&solved.climate));
    let (mut seasons, mut harvests) = (Map::new(), Map::new());
    for bed in [&mut seasons, &mut harvests] {
        if let Some(name) = &request.name {
            bed.insert("name".to_owned(), json!(name.0));
        }
        bed.insert("ground".to_owned(), ground.clone());
    }
    seasons.extend(plan.clone());
    plan.insert("until".to_owned(), json!(solved.until));
    harvests.insert("forecast".to_owned(), Value::Object(plan));
    let assumptions = assumptions(solved, (context, view));
    if !assumptions.is_empty() {
        for bed in [&mut seasons, &mut harvests] {
            bed.insert("assumptions".to_owned(), Value::Object(assumptions.clone()));
        }
    }
    WormBedOut { seasons: Value::Object(seasons), harvests: Value::Object(harvests) }
}

/// A quantity without a range.
fn exact<D: Measured>(view: &View<'_>, role: Role, value: crate::garden::units::Quantity<D>) -> Value {
    object(&view.exact(role, value))
}

fn object(quantity: &QuantityOut) -> Value {
    serde_json::to_value(quantity).unwrap_or_default()
}

/// What the bed is fed: its material as it was named, with what was given of it, or its materials; and how much comes when.
fn feed(request: &WormBedsRequest, solved: &Solved, view: &View<'_>) -> Value {
    let (asked, fed) = (&request.feed_supply, &solved.sized.bed.feed);
    let mut feed = Map::new();
    match (&asked.materials, &solved.collected.mixed) {
        (Some(materials), Some(mixed)) => {
            let parts = materials.iter().zip(&mixed.materials);
            let parts: Vec<Value> = parts.map(|(asked, (_, prepared))| part(asked, prepared, view)).collect();
            feed.insert("materials".to_owned(), Value::Array(parts));
        }
        _ => {
            let asked = analysis_fields!(asked);
            feed.extend(given(asked, (fed.moisture, fed.ash, fed.nitrogen), view));
        }
    }
    if let Some(density) = solved.own_density {
        feed.insert("bulk_density".to_owned(), object(&view.estimate(Role::Density, density)));
    }
    if let Supply::OnDates(list) = &fed.supply {
        let w = fed.moisture;
        let delivery = |one: &Delivery| {
            let moist = MoistOfDry { D: one.dry_matter, w }.likely();
            json!({"on": one.on, "amount": exact(view, Role::Mass, moist)})
        };
        let deliveries: Vec<Value> = list.iter().map(delivery).collect();
        feed.insert("supply".to_owned(), json!({"kind": "deliveries", "deliveries": deliveries}));
    }
    Value::Object(feed)
}

/// A material of the mix, with what was given of it.
fn part(asked: &FeedPartRequest, prepared: &Prepared, view: &View<'_>) -> Value {
    let material = &prepared.material;
    let mut part =
        given(analysis_fields!(asked), (material.moisture(), material.ash(), Some(material.nitrogen())), view);
    for (name, text) in [("id", &asked.id), ("name", &asked.name)] {
        part.extend(text.as_ref().map(|text| (name.to_owned(), json!(text.0))));
    }
    part.extend(asked.size.map(|size| ("size".to_owned(), json!(Size::from(size).as_str()))));
    part.extend(asked.parts.map(|parts| ("parts".to_owned(), json!(Number::rounded(parts.0)))));
    if asked.amount.is_some() {
        part.insert("amount".to_owned(), exact(view, Role::Mass, prepared.mass.likely()));
    }
    let density = material.bulk_density().filter(|_| asked.bulk_density.is_some());
    part.extend(density.map(|rho| ("bulk_density".to_owned(), exact(view, Role::Density, rho.likely()))));
    Value::Object(part)
}

/// The material as it was named, and what was given of its analysis.
fn given(
    asked: AnalysisFields<'_>,
    (moisture, ash, nitrogen): (Estimate<OfShare>, Estimate<OfShare>, Option<Estimate<OfShare>>),
    view: &View<'_>,
) -> Map<String, Value> {
    let mut found = Map::new();
    found.extend(asked.material.map(|material| ("material".to_owned(), json!(material))));
    let shares = [
        ("moisture", asked.moisture.map(|_| moisture)),
        ("ash", asked.ash.iter().any(Option::is_some).then_some(ash)),
        ("nitrogen", nitrogen.filter(|_| asked.nitrogen.is_some())),
    ];
    for (name, share) in shares {
        found.extend(share.map(|share| (name.to_owned(), exact(view, Role::Share, share.likely()))));
    }
    found
}

fn climate(climate: &Climate) -> Value {
    let number = |value: f64| json!(Number::rounded(value));
    match climate {
        Climate::Fixed(temperature) => json!({"unit": "C", "fixed": number(temperature.celsius())}),
        Climate::Daily { first_day, values } => {
            let values: Vec<Value> = values.iter().map(|value| number(value.celsius())).collect();
            json!({"unit": "C", "daily": {"first_day": first_day, "values": values}})
        }
        Climate::MonthlyMeans { means, offset } => {
            let means = means.map(|mean| number(mean.celsius()));
            json!({"unit": "C", "monthly_means": means, "offset": number(offset.kelvins())})
        }
    }
}

/// What holds of this bed alone, and what the request knows better than the defaults, as far as this bed depends on it.
fn assumptions(solved: &Solved, (context, view): (&RequestContext<'_>, &View<'_>)) -> Map<String, Value> {
    let used = &solved.sized.forecast.assumed;
    let of_request = context.overrides.iter().filter(|(which, _)| used.iter().any(|one| one.assumption == *which));
    // How dense the feed lies follows from what is said of the feed.
    let own = solved.sized.own.iter().filter(|(which, _)| *which != Assumption::FeedDryDensity);
    let mut found = Map::new();
    for (assumption, span) in of_request.chain(own) {
        let value = report::value(&Assumed { assumption, span, set_by: SetBy::Item }, view);
        found.insert(assumption.id().to_owned(), object(&value));
    }
    found
}

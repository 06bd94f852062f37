//! The answer described: what to take, what to do on which day, layers, castings to expect.

use super::FeedsAnswer;
use super::answer::{HotCompostedOut, LayerOut, LayersOut, MaterialOut, StepOut};
use crate::garden::assumptions::Assumption;
use crate::garden::cautions::Rule;
use crate::garden::feeds::Goal;
use crate::http::output::QuantityOut;
use crate::http::output::quantity::Role;
use crate::http::present::words::{day, days, digits, name_of, shown};
use crate::http::present::{Cell, Column, Description, Part, Rows, Table};
use crate::http::resources::calendar::likely;
use crate::http::resources::collected::materials_in_words;
use crate::http::wire::capitalised;

/// Describes the answer.
pub fn describe(answer: &FeedsAnswer) -> Description<'_> {
    let mut description = Description::of(answer, "Feed for worms");
    if !answer.out_of_reach.is_empty() {
        description.heading("Goals out of reach");
        description.parts.push(Part::List(answer.out_of_reach.iter().map(|missed| missed.text.clone()).collect()));
    }
    chosen(answer, &mut description);
    description.section("What to take", materials(answer));
    water_and_mix(answer, &mut description);
    description.section("What to do", steps(answer));
    if let Some(hot) = &answer.hot_composting {
        description.heading("Hot composting");
        description.paragraph(hot_composted(hot));
    }
    if let Some(laid) = &answer.layers {
        description.heading("Layers");
        description.paragraph(layers(laid, answer));
    }
    description.heading("Castings to expect");
    let castings = &answer.castings;
    description.paragraph(format!(
        "{} in store, or {}, at {} moisture, from {} of dry feed.",
        capitalised(&shown(&castings.stored.volume)),
        shown(&castings.stored.mass),
        shown(&castings.store_moisture),
        shown(&castings.dry_matter_in)
    ));
    description
}

pub fn name((index, item): (usize, &MaterialOut)) -> String {
    let material = item.material.as_deref().map(materials_in_words);
    name_of(item.name.as_deref().or(item.id.as_deref()), material.as_deref(), "material", index)
}

fn materials(answer: &FeedsAnswer) -> Table {
    let unit = |role| answer.units.unit(role).0;
    let (water, mass, bulk) = (unit(Role::Water), unit(Role::Mass), unit(Role::Bulk));
    let chosen = |is: bool| if is { " (chosen)" } else { "" };
    Rows::of(answer.materials.iter().enumerate(), ["material", "materials"])
        .named("materials")
        .about(|item| ("materials", item.0, name(*item)))
        .column(Column::data("id"), |(_, item)| &item.id)
        .column(Column::data("name"), |(_, item)| &item.name)
        .column(Column::data("material"), |(_, item)| &item.material)
        .column(Column::data("chosen"), |(_, item)| Cell::yes(item.chosen))
        .column(Column::words("", "material"), |item| format!("{}{}", name(*item), chosen(item.1.chosen)))
        .column(Column::quantity("mass", "take", mass).bounded(), |(_, item)| &item.mass)
        .column(Column::quantity("volume", "or", bulk).bounded(), |(_, item)| &item.volume)
        .column(Column::containers("volume"), |(_, item)| &item.in_containers)
        .column(Column::data_in("dry_matter", mass).bounded(), |(_, item)| &item.dry_matter)
        .column(Column::data_in("volume_shredded", bulk).bounded(), |(_, item)| &item.volume_shredded)
        .column(Column::quantity("volume_mixed", "mixed", bulk).bounded(), |(_, item)| &item.volume_mixed)
        .column(Column::quantity("moisture", "moisture", "%").bounded(), |(_, item)| &item.moisture)
        .column(Column::quantity("carbon_to_nitrogen", "C:N", "").bounded(), |(_, item)| &item.carbon_to_nitrogen)
        .column(Column::quantity("water_added", "add\nwater", water).bounded(), |(_, item)| &item.water_added)
        .column(Column::data_in("moisture_mixed", "%").bounded(), |(_, item)| &item.moisture_mixed)
        .column(Column::data("size_mixed"), |(_, item)| item.size_mixed)
        .done()
}

/// How much of what the service was free to choose.
fn chosen(answer: &FeedsAnswer, description: &mut Description<'_>) {
    let chosen = answer.materials.iter().enumerate().filter(|(_, item)| item.chosen);
    let amount = |item: (usize, &MaterialOut)| {
        if item.1.mass.value.get() > 0.0 {
            format!("{} or {} of {}", shown(&item.1.mass), shown(&item.1.volume), name(item))
        } else {
            format!("no {}", name(item))
        }
    };
    let amounts: Vec<String> = chosen.map(amount).collect();
    if !amounts.is_empty() {
        description.paragraph(format!("Add {}.", amounts.join(", and ")));
    }
}

fn water_and_mix(answer: &FeedsAnswer, description: &mut Description<'_>) {
    let (water, mix) = (&answer.water, &answer.mix);
    let is_some = |amount: &&QuantityOut| amount.value.get() > 0.0;
    let starter = Some(&water.starter).filter(is_some).map(|of| format!(" with {} of starter", shown(of)));
    let soak = format!("for the soak{}", starter.unwrap_or_default());
    let parts = [(&water.soak, soak.as_str()), (&water.rehydration, "for dry manure"), (&water.extra, "when mixing")];
    let parts = parts.into_iter().filter(|(amount, _)| is_some(amount));
    let parts: Vec<String> = parts.map(|(amount, what)| format!("{} {what}", shown(amount))).collect();
    let unusual = [moisture(answer), ratio(answer)].into_iter().flatten().collect::<Vec<_>>().join(" ");
    match (unusual.is_empty(), parts.is_empty()) {
        (false, true) => {}
        (true, true) => description.paragraph("Water: none is added."),
        (_, false) => description.paragraph(format!("Water: {}.", parts.join(", "))),
    }
    description.paragraph(format!(
        "The mix: {}, {}, moisture {}, carbon to nitrogen {}, air {}.",
        shown(&mix.mass),
        shown(&mix.volume),
        shown(&mix.moisture),
        shown(&mix.carbon_to_nitrogen),
        shown(&mix.air_space)
    ));
    if !unusual.is_empty() {
        description.paragraph(unusual);
    }
}

/// The usual range of what a caution is about.
fn usual(answer: &FeedsAnswer, rule: Rule, assumption: Assumption) -> Option<&QuantityOut> {
    answer.cautions.iter().find(|caution| caution.rule == rule.text().rule)?;
    assumed(answer, assumption)
}

/// What the answer assumes.
fn assumed(answer: &FeedsAnswer, assumption: Assumption) -> Option<&QuantityOut> {
    answer.assumptions.iter().find(|one| one.id == assumption.id()).map(|one| &one.value)
}

/// What to do about a mix that is drier or wetter than usual; where its goal is out of reach, that says it.
fn moisture(answer: &FeedsAnswer) -> Option<String> {
    if answer.out_of_reach.iter().any(|missed| missed.goal == Goal::Moisture.as_str()) {
        return None;
    }
    let usual = usual(answer, Rule::MixMoisture, Assumption::BedMoisture)?;
    let (low, high) = (usual.low?.get(), usual.high?.get());
    let range = format!("worms need {} to {} %", digits(low), digits(high));
    let now = answer.mix.moisture.value.get();
    let mend = match &answer.water.to_usual_moisture {
        Some(water) => format!(
            "Add {} of water, which brings it to {}; the figures here are without it.",
            shown(water),
            shown(&likely(usual, 1))
        ),
        None if now < low => {
            "Let it soak up water, in parts, and mix in coarse material, so that it keeps air in it.".to_owned()
        }
        None => "Mix in dry material.".to_owned(),
    };
    let wrong = if now < low { "dry" } else { "wet" };
    Some(format!("This mix is too {wrong} ({} %): {range}. {mend}", digits(now)))
}

/// What to do about a ratio of carbon to nitrogen that is higher or lower than usual.
fn ratio(answer: &FeedsAnswer) -> Option<String> {
    let usual = usual(answer, Rule::MixRatio, Assumption::MixCarbonToNitrogen)?;
    let (low, high) = (usual.low?.get(), usual.high?.get());
    let ratio = answer.mix.carbon_to_nitrogen.value.get();
    let mend = if ratio < low {
        "more leaves, straw or cardboard raise it"
    } else {
        "grass, kitchen scraps or manure lower it"
    };
    let (now, low, high) = (digits(ratio), digits(low), digits(high));
    Some(format!("{low} to {high} is usual for carbon to nitrogen; this mix has {now}: {mend}."))
}

fn of(step: &StepOut) -> String {
    let names = step.materials.iter().filter_map(|m| m.name.as_deref().or(m.id.as_deref()).map(materials_in_words));
    names.collect::<Vec<_>>().join(", ")
}

/// `2–6 Nov 2026`, or `day 0 to day 4` where nothing is dated.
fn when(step: &StepOut) -> String {
    match (step.starts_on, step.ends_on) {
        (Some(first), Some(last)) => days(first, last),
        (Some(on), None) | (None, Some(on)) => day(on),
        (None, None) if step.starts_day == step.ends_day => format!("day {}", step.starts_day),
        (None, None) => format!("day {} to day {}", step.starts_day, step.ends_day),
    }
}

fn steps(answer: &FeedsAnswer) -> Table {
    Rows::of(&answer.steps, ["step", "steps"])
        .named("steps")
        .to_tick()
        .column(Column::words("", "when"), |step: &&StepOut| when(step))
        .column(Column::data("starts_day"), |step| step.starts_day)
        .column(Column::data("ends_day"), |step| step.ends_day)
        .column(Column::data("starts_on"), |step| step.starts_on)
        .column(Column::data("ends_on"), |step| step.ends_on)
        .column(Column::words("kind", "step"), |step| Cell::either(step.kind, step.kind.replace('_', " ")))
        .column(Column::words("text", "what").sentences().below(), |step| &step.text)
        .column(Column::words("materials", "of").below(), |step| of(step))
        .done()
}

fn hot_composted(hot: &HotCompostedOut) -> String {
    format!(
        "It loses {} of dry matter and {} of nitrogen; {} are left, carbon to nitrogen {}. Add {} of water during this time. It cools in {}.",
        shown(&hot.dry_matter_lost),
        shown(&hot.nitrogen_lost),
        shown(&hot.volume),
        shown(&hot.carbon_to_nitrogen),
        shown(&hot.water_to_add),
        shown(&hot.cooling_time)
    )
}

fn layers(laid: &LayersOut, answer: &FeedsAnswer) -> String {
    let layer = |layer: &LayerOut| format!("{} ({})", shown(&layer.depth), shown(&layer.volume));
    let last = laid.last.as_ref().map(|last| format!(", and a last one of {}", layer(last))).unwrap_or_default();
    let is_some = laid.later.get() > 0;
    let later = if is_some { format!(", then {} of {}", laid.later.get(), layer(&laid.each)) } else { String::new() };
    let has_next = is_some || laid.last.is_some();
    let next = if has_next { format!(" Lay the next {}.", lay_next(answer)) } else { String::new() };
    format!("On {}: first {}{later}{last}.{next}", shown(&laid.surface_area), layer(&laid.first),) + &full(laid)
}

/// `when 20 % of the one before is left`
pub(super) fn lay_next(answer: &FeedsAnswer) -> String {
    let share = assumed(answer, Assumption::NextLayerAt).map(|share| shown(&likely(share, 1)));
    format!("when {} of the one before is left", share.unwrap_or_else(|| "little".to_owned()))
}

/// When the bed is full, and the days of the later layers.
fn full(laid: &LayersOut) -> String {
    let full = match laid.all_fit {
        true => String::new(),
        false => format!(" The bed takes {} layers at most: harvest it before you go on.", laid.before_harvest),
    };
    let dates: Vec<String> = laid.dated.iter().map(|layer| day(layer.on)).collect();
    let dates = if dates.is_empty() { String::new() } else { format!(" Later layers: {}.", dates.join(", ")) };
    let dates = match laid.missing_for_dates.as_slice() {
        [] => dates,
        missing => format!("{dates} Add {} to get the days of later layers.", missing.join(" and ")),
    };
    let deadly = |on| format!(" Frost or heat kills the worms on {}.", day(on));
    full + &dates + &laid.worms_die_on.map(deadly).unwrap_or_default()
}

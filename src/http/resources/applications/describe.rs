//! The answer described: what each row, bed, plant and pot takes, and what that carries.

mod salt;
mod soil;

use super::ApplicationsAnswer;
use super::answer::{AreaOut, EachTimeOut};
use super::nutrients::{NutrientOut, NutrientsOut};
use super::places::PlaceOut;
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{CountOut, Role};
use crate::http::present::counted::containers;
use crate::http::present::words::{days, name_of, number_of, shown};
use crate::http::present::{Cell, Column, Description, Rows, Table};

/// The most characters that a cell of a spreadsheet keeps.
const MAX_IN_A_CELL: usize = 32_767;

/// Describes the answer.
pub fn describe(answer: &ApplicationsAnswer) -> Description<'_> {
    let mut description = Description::of(answer, "How much each place takes");
    let castings = &answer.total.castings;
    description.stressed(shown(&castings.volume), format!("of castings in all, or {}.", shown(&castings.mass)));
    if let Some(counted) = containers(castings.in_containers.iter()) {
        description.paragraph(format!("{counted}."));
    }
    description.section("What each place takes", areas(answer));
    soil::describe(answer, &mut description);
    salt::describe(answer, &mut description);
    description.section("What they carry", nutrients(answer));
    description.section("What each place gets in a year", places(answer));
    description
}

fn name((index, area): (usize, &AreaOut)) -> String {
    name_of(area.name.as_deref(), area.id.as_deref(), "place", index)
}

fn areas(answer: &ApplicationsAnswer) -> Table {
    let unit = |role| answer.units.unit(role).0;
    let total = &answer.total;
    let nitrogen = |nutrients: &NutrientsOut| [&nutrients.nitrogen, &nutrients.available_nitrogen].map(mass);
    let [all, available] = nitrogen(&total.nutrients);
    let rate = |name, role| Column::data_in(name, unit(role)).bounded();
    let rows = Rows::of(answer.areas.iter().enumerate(), ["place", "places"])
        .named("areas")
        .to_tick()
        .about(|area| ("areas", area.0, name(*area)))
        .column(Column::data("id"), |(_, area)| &area.id)
        .column(Column::data("name"), |(_, area)| &area.name)
        .column(Column::data_in("surface_area", unit(Role::Area)), |(_, area)| &area.surface_area)
        .column(Column::data_in("depth", unit(Role::Depth)).bounded(), |(_, area)| &area.depth)
        .column(rate("volume_per_length", Role::BulkPerLength), |(_, area)| made(area, "volume_per_length"))
        .column(rate("per_plant", Role::Bulk), |(_, area)| made(area, "per_plant"))
        .column(rate("share_of_mix", Role::Share), |(_, area)| made(area, "share_of_mix"))
        .column(Column::words("", "where"), |area| name(*area))
        .column(Column::words("", "size").below(), |(_, area)| extent(area).join(", "))
        .column(Column::quantity("castings", "castings", unit(Role::Bulk)).bounded().main(), |(_, area)| {
            &area.castings.volume
        })
        .column(Column::quantity("castings", "by mass", unit(Role::Mass)).bounded().main(), |(_, area)| {
            &area.castings.mass
        })
        .column(Column::containers("castings"), |(_, area)| &area.castings.in_containers)
        .column(Column::data("count"), |(_, area)| area.count.map(CountOut::get))
        .column(Column::data_in("castings_each", unit(Role::Bulk)).bounded(), |(_, area)| &area.castings_each);
    let rows = carried(rows, [unit(Role::Nutrient), unit(Role::Mass)]);
    repeated(salt::columns(rows, [unit(Role::Conductivity), unit(Role::Share)]), unit(Role::Bulk))
        .sum([
            ("where", "total".into()),
            ("castings", (&total.castings.volume).into()),
            ("by mass", (&total.castings.mass).into()),
            ("in containers", (&total.castings.in_containers).into()),
            ("N", all),
            ("available\nN", available),
        ])
        .done()
}

/// Adds what it carries.
fn carried<'a>(rows: Rows<(usize, &'a AreaOut)>, [unit, of_organic]: [&'static str; 2]) -> Rows<(usize, &'a AreaOut)> {
    let data = |name| Column::data_in(name, unit).bounded();
    rows.column(Column::quantity("nitrogen", "N", unit).bounded(), |(_, area)| mass(&area.nutrients.nitrogen))
        .column(Column::quantity("available_nitrogen", "available\nN", unit).bounded(), |(_, area)| {
            mass(&area.nutrients.available_nitrogen)
        })
        .column(data("phosphorus"), |(_, area)| mass(&area.nutrients.phosphorus))
        .column(data("phosphate"), |(_, area)| mass(&area.nutrients.phosphate))
        .column(data("potassium"), |(_, area)| mass(&area.nutrients.potassium))
        .column(data("potash"), |(_, area)| mass(&area.nutrients.potash))
        .column(Column::data_in("organic_matter", of_organic).bounded(), |(_, area)| {
            mass(&area.nutrients.organic_matter)
        })
}

/// Adds on which days it goes out.
fn repeated<'a>(rows: Rows<(usize, &'a AreaOut)>, unit: &'static str) -> Rows<(usize, &'a AreaOut)> {
    rows.column(Column::data("on"), |(_, area)| area.on)
        .column(Column::data("times"), |(_, area)| area.each_time.as_ref().map(|of| of.times.get()))
        .column(Column::data("last_on"), |(_, area)| area.each_time.as_ref().and_then(|of| of.days.last().copied()))
        .column(Column::data("days"), |(_, area)| area.each_time.as_deref().and_then(all_days))
        .column(Column::data_in("castings_each_time", unit).bounded(), |(_, area)| {
            area.each_time.as_ref().map(|of| &of.castings.volume)
        })
}

/// The rate of this kind that castings given for the whole place make.
fn made<'a>(area: &'a AreaOut, kind: &str) -> Option<&'a QuantityOut> {
    area.rates.iter().find(|rate| rate.kind == kind).map(|rate| &rate.amount)
}

fn mass(nutrient: &NutrientOut) -> Cell {
    (&nutrient.mass).into()
}

/// How large it is, and how deep the castings lie.
fn extent(area: &AreaOut) -> Vec<String> {
    let mut list: Vec<String> = [&area.surface_area, &area.row_length].into_iter().flatten().map(shown).collect();
    list.extend(area.plants.map(|count| number_of(count.get(), ["plant", "plants"])));
    list.extend(area.pots.map(|count| number_of(count.get(), ["pot", "pots"])));
    list.extend(area.mix.as_ref().map(|mix| format!("{} of mix", shown(mix))));
    list.extend(area.depth.as_ref().map(|depth| format!("{} deep", shown(depth))));
    let each = area.count.zip(area.castings_each.as_ref());
    let time = if area.each_time.is_some() { ", each time" } else { "" };
    list.extend(each.map(|(count, each)| format!("{} places, {} each{time}", count.get(), shown(each))));
    for (kind, words) in [("volume_per_length", ""), ("per_plant", " for each"), ("share_of_mix", " of the mix")] {
        list.extend(made(area, kind).map(|amount| format!("{}{words}", shown(amount))));
    }
    list.extend(area.each_time.as_deref().map(each_time));
    list.extend(area.typical_rate.as_ref().map(|rate| format!("typical rate {}", shown(&rate.amount))));
    list
}

/// `4 times 12 L (1 bucket), 5 Apr–9 Aug 2027`
fn each_time(of: &EachTimeOut) -> String {
    let days = of.days.first().zip(of.days.last()).map(|(first, last)| format!(", {}", days(*first, *last)));
    let days = days.unwrap_or_default();
    let amount = shown(&of.castings.volume);
    let counted = containers(of.castings.in_containers.iter()).map(|text| format!(" ({text})")).unwrap_or_default();
    let times = of.times.get();
    let often = if times == 1 { "once".to_owned() } else { format!("{times} times") };
    format!("{often} {amount}{counted}{days}")
}

/// The days on which it goes out, for data; nothing where they are more than a cell holds, since the first, the last and their number say
/// the same.
fn all_days(of: &EachTimeOut) -> Option<String> {
    let days = of.days.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
    (days.len() <= MAX_IN_A_CELL).then_some(days)
}

/// The nutrients and the organic matter of all places together.
fn nutrients(answer: &ApplicationsAnswer) -> Table {
    let all = &answer.total.nutrients;
    let rows = [
        ("nitrogen (N)", &all.nitrogen),
        ("nitrogen available in the first season", &all.available_nitrogen),
        ("phosphorus (P)", &all.phosphorus),
        ("as phosphate (P2O5)", &all.phosphate),
        ("potassium (K)", &all.potassium),
        ("as potash (K2O)", &all.potash),
        ("organic matter", &all.organic_matter),
    ];
    Rows::of(rows, ["nutrient", "nutrients"])
        .column(Column::words("", "in all places"), |(name, _)| *name)
        .column(Column::shown("mass"), |(_, nutrient)| mass(nutrient))
        .done()
}

/// What each place gets in a year, all its dressings together.
fn places(answer: &ApplicationsAnswer) -> Table {
    Rows::of(&answer.places, ["place in a year", "places in a year"])
        .column(Column::words("", "place"), |place: &&PlaceOut| &place.place)
        .column(Column::words("", "year"), |place| place.year.map(|year| year.to_string()))
        .column(Column::words("", "what goes there").below(), |place| {
            place.of.iter().map(|of| of.called("place")).collect::<Vec<_>>().join(", ")
        })
        .column(Column::shown("depth"), |place| &place.depth)
        .column(Column::shown("N"), |place| mass(&place.nutrients.nitrogen))
        .column(Column::shown("times the\nnitrate limit"), |place| &place.share_of_nitrate_limit)
        .column(Column::shown("times the P\na crop takes"), |place| &place.share_of_phosphorus_removal)
        .done()
}

//! What each place gets in a year, all its dressings together.

use super::nutrients::NutrientsOut;
use crate::garden::applications::{Dressing, Yearly, in_a_year};
use crate::garden::assumptions::{Assumption, Known, Overrides};
use crate::garden::cautions::Rule;
use crate::garden::figures::Off;
use crate::http::input::RequestContext;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{QuantityOut, Report};
use crate::http::resources::ReferenceOut;
use crate::http::wire::JsonPath;
use serde::Serialize;
use serde_with::skip_serializing_none;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// What a place gets in a year, with two reference values that show when more is too much.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = PlaceInAYear)]
pub struct PlaceOut {
    /// The place that the areas name.
    pub place: String,
    /// The year, where it is known.
    pub year: Option<i32>,
    /// What goes there.
    pub of: Vec<ReferenceOut>,
    /// Its ground: the largest of what goes there; rows within a bed lie on the ground of the bed.
    pub surface_area: Option<QuantityOut>,
    /// All castings over that ground.
    pub depth: Option<QuantityOut>,
    /// What they carry together.
    pub nutrients: NutrientsOut,
    /// How many times 170 kg of total nitrogen to the hectare, the yearly limit for manure nitrogen in nitrate vulnerable zones (91/676/EEC);
    /// elsewhere a reference value.
    pub share_of_nitrate_limit: Option<QuantityOut>,
    /// How many times the phosphorus that a year's crop carries away: above 1 it builds up in the soil.
    pub share_of_phosphorus_removal: Option<QuantityOut>,
    /// The rules of the cautions that apply to all of it together.
    pub cautions: Vec<&'static str>,
}

/// One dressing with its place and year.
pub(in crate::http::resources) struct PlacedApplication<'a> {
    pub place: &'a str,
    pub year: Option<i32>,
    pub of: ReferenceOut,
    /// Its own cautions, which are reported already.
    pub reported: &'a [Rule],
    pub dressing: Dressing,
}

/// Adds up by place and year, in the order in which they first come; cautions go to the report at each item of `list`.
pub(in crate::http::resources) fn by_place(
    placed: &[PlacedApplication<'_>],
    (context, view): (&RequestContext<'_>, &View<'_>),
    (report, list): (&mut Report, JsonPath<'_>),
) -> Vec<PlaceOut> {
    let mut groups: Vec<Vec<&PlacedApplication<'_>>> = Vec::new();
    let mut known_places: BTreeMap<(&str, Option<i32>), usize> = BTreeMap::new();
    for one in placed {
        let group = *known_places.entry((one.place, one.year)).or_insert(groups.len());
        if group == groups.len() {
            groups.push(Vec::new());
        }
        groups.get_mut(group).into_iter().for_each(|list| list.push(one));
    }
    let none = Overrides::default();
    let known = Known { request: &context.overrides, item: &none };
    let (removal, _) = known.figure(Assumption::PhosphorusRemoval, view.book());
    let each = |here: Vec<&PlacedApplication<'_>>| {
        let dressings: Vec<Dressing> = here.iter().map(|one| one.dressing.clone()).collect();
        let yearly = in_a_year(&dressings, removal, view.book())?;
        for one in &here {
            let new = yearly.cautions.iter().copied().filter(|rule| !one.reported.contains(rule));
            let _ = report.cautions(&new.collect::<Vec<_>>(), list.index(one.of.index));
        }
        Some(write(here.as_slice(), &yearly, view))
    };
    groups.into_iter().filter_map(each).collect()
}

/// The cautions of what goes to one place in a year, alone.
pub(super) fn cautions_in_a_year(dressing: Dressing, context: &RequestContext<'_>) -> Vec<Rule> {
    let none = Overrides::default();
    let known = Known { request: &context.overrides, item: &none };
    let (removal, _) = known.figure(Assumption::PhosphorusRemoval, Off);
    in_a_year(&[dressing], removal, Off).map(|yearly| yearly.cautions).unwrap_or_default()
}

fn write(here: &[&PlacedApplication<'_>], yearly: &Yearly, view: &View<'_>) -> PlaceOut {
    PlaceOut {
        place: here.first().map(|one| one.place.to_owned()).unwrap_or_default(),
        year: here.first().and_then(|one| one.year),
        of: here.iter().map(|one| one.of.clone()).collect(),
        surface_area: yearly.area.map(|area| view.estimate(Role::Area, area)),
        depth: yearly.depth.map(|depth| view.estimate(Role::Depth, depth)),
        nutrients: NutrientsOut::new(view, &yearly.nutrients, yearly.area),
        share_of_nitrate_limit: yearly.share_of_nitrate_limit.map(|times| view.estimate(Role::Ratio, times)),
        share_of_phosphorus_removal: yearly.share_of_phosphorus_removal.map(|times| view.estimate(Role::Ratio, times)),
        cautions: yearly.cautions.iter().map(|rule| rule.text().rule).collect(),
    }
}

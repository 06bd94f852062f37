//! What is noted beside the figures of an application: what to mind, and which assumptions its volume and its weight depend on.

use super::{Carried, NITRATE_LIMIT, Order, Salt};
use crate::garden::areas::Extent;
use crate::garden::assumptions::{Assumed, Assumption, Castings};
use crate::garden::cautions::Rule;
use crate::garden::units::quantity::OfLength;
use crate::garden::units::{Estimate, Length, MassPerArea, ROUNDING_TOLERANCE};

/// An inch, the layer of a year above which there is a caution. Source: University of Minnesota Extension ("about an inch or
/// less"); 25.4 mm exact by definition.
pub(super) const INCH: Length = Length::from_metres(0.0254);

/// What the volume depends on, by the rate, with what the cautions do (those of the weight, of nitrogen that is tied up, and of a nitrate
/// zone); and what the weight depends on.
pub(super) fn assumed_for(
    (order, extent): (&Order, &Extent),
    (castings, cautions): (&Castings, &[Rule]),
) -> (Vec<Assumed>, Vec<Assumed>) {
    let in_zone = order.nitrate_zone && extent.area.is_some();
    let by_nitrogen = |which| which == Assumption::Nitrogen || castings.weighs_by(Assumption::DryBulkDensity, which);
    let counts = |a: &&Assumed| {
        let which = a.assumption;
        order.rate.counted_by().is_some_and(|by| by.depends_on(which, castings))
            || which == Assumption::CarbonToNitrogen
            || (in_zone && by_nitrogen(which))
            || (cautions.contains(&Rule::TooWet) && Assumption::OF_WEIGHT.contains(&which))
    };
    let weighs = |a: &&Assumed| castings.weighs_by(Assumption::BulkDensity, a.assumption);
    let assumed_where = |some: &dyn Fn(&&Assumed) -> bool| castings.assumed.iter().filter(some).copied().collect();
    (assumed_where(&counts), assumed_where(&weighs))
}

/// The depth of a layer, what its castings carry, and what they do to a mix.
type Came<'a> = (Option<Estimate<OfLength>>, &'a Carried, Option<Salt>);

/// What to mind with an application.
pub(super) fn cautions(
    order: &Order,
    extent: &Extent,
    castings: &Castings,
    (depth, carried, salt): Came<'_>,
) -> Vec<Rule> {
    let mut cautions = castings.cautions.clone();
    if depth.is_some_and(|d| d.likely().metres() > INCH.metres() * (1.0 + ROUNDING_TOLERANCE)) {
        cautions.push(Rule::ThickLayer);
    }
    if salt.is_some_and(|salt| salt.is_strong()) {
        cautions.push(Rule::StrongMix);
    }
    let per_area = extent.area.map(|area| carried.nutrients.nitrogen.high() / area.likely());
    let over = |n: MassPerArea| n.base() > NITRATE_LIMIT.base() * (1.0 + ROUNDING_TOLERANCE);
    if order.nitrate_zone && per_area.is_some_and(over) {
        cautions.push(Rule::NitrateLimit);
    }
    cautions.sort_unstable();
    cautions
}

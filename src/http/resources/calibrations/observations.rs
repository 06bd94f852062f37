//! Reading what was observed of a bed.

use super::request::{ContainerWeighedRequest, HarvestedRequest, LayerEatenRequest, RecordRequest};
use crate::garden::assumptions::MAX_ASH;
use crate::garden::assumptions::weighed;
use crate::garden::beds::Observation;
use crate::garden::beds::yields::WETTEST;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Density, Dimension, Mass, Share, Volume};
use crate::http::input::RequestContext;
use crate::http::input::quantity::{Due, ShareInput, VolumeOrMassInput};
use crate::http::limits::MIN_SHARE;
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

/// The place of an observation in its record, by the positions of the request.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Source {
    /// A field of a harvest.
    Harvest(usize, &'static str),
    /// A day of a layer.
    Layer(usize, &'static str),
    /// A weighing of worms.
    Worms(usize),
    /// A weighed container.
    Container(usize),
}

impl Source {
    /// Does something with its place.
    pub fn at<T>(self, record: JsonPath<'_>, then: impl FnOnce(JsonPath<'_>) -> T) -> T {
        let (list, index, field) = match self {
            Self::Harvest(index, field) => ("harvested", index, field),
            Self::Layer(index, field) => ("layers_eaten", index, field),
            Self::Worms(index) => ("worms_weighed", index, "on"),
            Self::Container(index) => ("containers_weighed", index, "full"),
        };
        then(record.field(list).index(index).field(field))
    }
}

/// An observation, its place, and the number of what is recorded of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Observed {
    pub what: Observation,
    pub source: Source,
    pub node: u32,
}

/// Where the feedings and the harvests of a record lie once they are in the order of their days.
pub(super) struct Places {
    pub fed: Vec<usize>,
    pub harvested: Vec<usize>,
}

/// The place of an item of the request in the order of days.
fn place(order: &[usize], index: usize) -> usize {
    order.iter().position(|at| *at == index).unwrap_or(index)
}

/// Reads all that was observed of a bed but the days of its harvests.
pub(super) fn read(
    record: &RecordRequest,
    places: &Places,
    (context, at): (&RequestContext<'_>, JsonPath<'_>),
) -> Option<Vec<Observed>> {
    let mut all = Vec::new();
    let mut fine = true;
    let mut add = |read: Option<Vec<Observed>>| match read {
        Some(read) => all.extend(read),
        None => fine = false,
    };
    let list = at.field("harvested");
    for (i, harvest) in record.harvested.as_deref().unwrap_or_default().iter().enumerate() {
        add(harvest.read((i, place(&places.harvested, i)), (context, list.index(i))));
    }
    let list = at.field("layers_eaten");
    for (i, layer) in record.layers_eaten.as_deref().unwrap_or_default().iter().enumerate() {
        add(layer.read((i, places), (context, list.index(i))).map(|one| vec![one]));
    }
    let list = at.field("worms_weighed");
    for (i, weighed) in record.worms_weighed.as_deref().unwrap_or_default().iter().enumerate() {
        let item = list.index(i);
        let on = context.calendar_date(&weighed.on, item.field("on"));
        let worms = context.figure(Role::Mass, &weighed.worms.0, item.field("worms"));
        let both = on.zip(worms);
        add(both.map(|(on, worms)| {
            let what = Observation::WormsWeighed { on, worms: worms.likely() };
            vec![Observed { what, source: Source::Worms(i), node: worms.node() }]
        }));
    }
    let list = at.field("containers_weighed");
    for (i, container) in record.containers_weighed.as_deref().unwrap_or_default().iter().enumerate() {
        add(container.read(i, (context, list.index(i))));
    }
    fine.then_some(all)
}

impl HarvestedRequest {
    fn read(
        &self,
        (index, harvest): (usize, usize),
        (context, at): (&RequestContext<'_>, JsonPath<'_>),
    ) -> Option<Vec<Observed>> {
        let (least, _) = crate::garden::units::Dimension::Volume.bounds();
        let amount = castings((&self.amount, least), harvest, (context, at.field("amount")));
        let ready = context.day(self.ready_on.as_deref(), at.field("ready_on"));
        let sieve = share(self.sieve_yield.as_ref(), (MIN_SHARE, 1.0), (context, at.field("sieve_yield")));
        let ash = share(self.ash.as_ref(), (MIN_SHARE, MAX_ASH), (context, at.field("ash")));
        let ((castings, node), ready, sieve, ash) = (amount?, ready?, sieve?, ash?);
        let observed = |what, field, node| Observed { what, source: Source::Harvest(index, field), node };
        let ready = ready.map(|on| observed(Observation::Ready { harvest, on }, "ready_on", 0));
        let sieve = sieve.map(|(share, node)| observed(Observation::SieveYield(share), "sieve_yield", node));
        let ash = ash.map(|(share, node)| observed(Observation::Ash(share), "ash", node));
        Some(std::iter::once(observed(castings, "amount", node)).chain(ready).chain(sieve).chain(ash).collect())
    }
}

/// The castings of a harvest, measured or weighed, and the number of what is recorded of them.
fn castings(
    (input, least): (&VolumeOrMassInput, f64),
    harvest: usize,
    (context, at): (&RequestContext<'_>, JsonPath<'_>),
) -> Option<(Observation, u32)> {
    let (dimension, span) = context.span(&input.0, Due::any(VolumeOrMassInput::DIMENSIONS).from(least), at)?;
    context.note_range(span, at);
    if dimension == Dimension::Mass {
        let castings = context.asked(Role::Mass, Mass::from_base(span.likely), at);
        return Some((Observation::HarvestedMass { harvest, castings: castings.likely() }, castings.node()));
    }
    let castings = context.asked(Role::Bulk, Volume::from_base(span.likely), at);
    Some((Observation::Harvested { harvest, castings: castings.likely() }, castings.node()))
}

/// A share that may be left out, and the number of what is recorded of it.
fn share(
    input: Option<&ShareInput>,
    bounds: (f64, f64),
    (context, at): (&RequestContext<'_>, JsonPath<'_>),
) -> Option<Option<(Share, u32)>> {
    let Some(input) = input else { return Some(None) };
    let share = context.figure_between(Role::Share, (&input.0, bounds), at)?;
    Some(Some((share.likely(), share.node())))
}

impl LayerEatenRequest {
    fn read(
        &self,
        (index, places): (usize, &Places),
        (context, at): (&RequestContext<'_>, JsonPath<'_>),
    ) -> Option<Observed> {
        let on = context.day(self.on.as_deref(), at.field("on"));
        let not_yet = context.day(self.not_yet_on.as_deref(), at.field("not_yet_on"));
        let feeding = self.feeding(places, (context, at));
        let (found, field): (fn(usize, NaiveDate) -> Observation, _) = match (&self.on, &self.not_yet_on) {
            (Some(_), None) => (|feeding, on| Observation::Eaten { feeding, on }, "on"),
            (None, Some(_)) => (|feeding, on| Observation::NotEaten { feeding, on }, "not_yet_on"),
            (None, None) => {
                let detail = "say when this layer was found eaten (on), or a day on which it was not (not_yet_on)";
                let refusal = Refusal::new(Reason::MissingField, detail).allowed(["on", "not_yet_on"]);
                context.refuse(at.field("on"), refusal);
                return None;
            }
            (Some(_), Some(_)) => {
                let detail =
                    "one look at a layer finds it eaten (on) or not (not_yet_on); give each look an entry of its own";
                context.refuse(at, Refusal::new(Reason::ExactlyOneOf, detail).allowed(["on", "not_yet_on"]));
                return None;
            }
        };
        let day = on?.or(not_yet?)?;
        Some(Observed { what: found(feeding?, day), source: Source::Layer(index, field), node: 0 })
    }

    /// The place of its feeding in the order of days.
    fn feeding(&self, places: &Places, (context, at): (&RequestContext<'_>, JsonPath<'_>)) -> Option<usize> {
        // A number outside its bounds has been reported already.
        if !self.layer.is_within() {
            return None;
        }
        let count = places.fed.len();
        let index = usize::try_from(self.layer.0).ok()?.checked_sub(1)?;
        if index >= count {
            let detail = format!("there is no feeding {} in fed, which has {count}; count from 1", self.layer.0);
            context.refuse(at.field("layer"), Refusal::new(Reason::ImpossibleValue, detail));
            return None;
        }
        Some(place(&places.fed, index))
    }
}

impl ContainerWeighedRequest {
    /// Its bulk density, and with the moisture the dry bulk density.
    fn read(&self, index: usize, (context, at): (&RequestContext<'_>, JsonPath<'_>)) -> Option<Vec<Observed>> {
        let full = context.exact(&self.full.0, at.field("full"));
        let empty = context.exact(&self.empty.0, at.field("empty"));
        let capacity = context.exact(&self.capacity.0, at.field("capacity"));
        let moisture = share(self.moisture.as_ref(), (0.0, WETTEST), (context, at.field("moisture")));
        let density: Density = context.keep(at, weighed(full?, empty?, capacity?))?;
        let density = context.asked(Role::Density, density, at);
        let observed = |what| Observed { what, source: Source::Container(index), node: density.node() };
        let dry = moisture?.map(|(water, _)| {
            let dry = density.likely().kilograms_per_cubic_metre() * (1.0 - water.fraction());
            observed(Observation::DryBulkDensity(Density::from_kilograms_per_cubic_metre(dry)))
        });
        Some(std::iter::once(observed(Observation::BulkDensity(density.likely()))).chain(dry).collect())
    }
}

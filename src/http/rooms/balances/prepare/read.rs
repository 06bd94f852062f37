//! Reading what there is to prepare with, and running it.

use super::PrepareRequest;
use crate::garden::assumptions::{Known, Overrides};
use crate::garden::balances::prepare::{
    Means, Plan, Recipe, Shortage, bed_overrides, by_date, first_day, last_day, prepare,
};
use crate::garden::balances::{Balance, Missing};
use crate::garden::beds::{Climate, Clocks};
use crate::garden::feeds::{FeedPlan, plan};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Area, Mass};
use crate::http::input::Crossing;
use crate::http::rooms::feeds::RecipeFields;
use crate::http::wire::Place;
use chrono::{Days, NaiveDate};

/// What there is to prepare with, read.
#[derive(Debug)]
pub(in crate::http::rooms) struct Preparing {
    feed: FeedPlan,
    climate: Option<Climate>,
    area: Option<Area>,
    worms: Option<Mass>,
    layers: Option<u32>,
    materials_from: Option<NaiveDate>,
    bed_from: Option<NaiveDate>,
    overrides: Overrides,
}

/// What is to be prepared.
#[derive(Debug)]
pub(in crate::http::rooms) struct Prepared {
    /// One for each date on which something is short.
    pub plans: Vec<Plan>,
    /// The feed as it was given.
    pub feed: FeedPlan,
    /// The same for each amount of dry matter.
    pub recipe: Recipe,
    /// What holds of the bed besides what the request knows.
    pub bed: Overrides,
    /// What each material is called.
    pub materials: Vec<(Option<String>, Option<String>)>,
}

impl PrepareRequest {
    /// Reads it.
    pub(in crate::http::rooms) fn read(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Preparing> {
        let overrides = crossing.overrides(self.assumptions.as_ref(), place.field("assumptions"));
        let fields = RecipeFields {
            materials: &self.materials,
            goals: self.goals.as_ref(),
            soak: self.soak.as_ref(),
            hot_stage: self.hot_stage.as_ref(),
        };
        let order = fields.read(crossing, place);
        let climate = match &self.climate {
            Some(climate) => crossing.climate(climate, place.field("climate")).map(Some),
            None => Some(None),
        };
        let at = place.field("ground");
        let area = match &self.ground {
            Some(ground) => crossing.ground(ground, at).and_then(|g| crossing.keep(at, g.area())).map(Some),
            None => Some(None),
        };
        let worms = crossing.optional(self.worms.as_ref().map(|it| &it.0), place.field("worms"));
        let materials_from = crossing.day(self.materials_from.as_deref(), place.field("materials_from"));
        let bed_from = crossing.day(self.bed_from.as_deref(), place.field("bed_from"));
        let order = order?;
        let feed = crossing.with_known(place, &overrides, |known| plan(&order, known))?;
        crossing.note_used(place, &Overrides::default(), &feed.assumed);
        let (climate, area, worms) = (climate?, area?, worms?);
        let (materials_from, bed_from) = (materials_from?, bed_from?);
        Some(Preparing { feed, climate, area, worms, layers: self.layers, materials_from, bed_from, overrides })
    }

    /// What each material is called.
    fn names(&self) -> Vec<(Option<String>, Option<String>)> {
        let name = |m: &crate::http::rooms::feeds::MaterialRequest| m.name.clone().or_else(|| m.material.clone());
        self.materials.iter().map(|m| (m.id.clone(), name(m))).collect()
    }
}

impl Preparing {
    /// Plans for what is short. `climate` is used where the preparation has none of its own.
    pub(in crate::http::rooms) fn run(
        self,
        (request, crossing): (&PrepareRequest, &Crossing<'_>),
        (shortages, as_of): (&[Shortage], Option<NaiveDate>),
        (climate, runs): (Option<&Climate>, (u32, u64)),
    ) -> Option<Prepared> {
        let root = Place::root();
        let place = root.field("prepare");
        let recipe = Recipe::of(&self.feed);
        let nothing = |plans, bed| Prepared { plans, feed: self.feed.clone(), recipe, bed, materials: request.names() };
        let Some(climate) = self.climate.as_ref().or(climate) else {
            let detail = "say how warm the bed is: a climate with fixed, daily or monthly_means";
            crossing.refuse(place.field("climate"), Refusal::new(Reason::MissingField, detail));
            return None;
        };
        let (Some(first), Some(last)) = (first_day(as_of, shortages), last_day(as_of, shortages)) else {
            return Some(nothing(Vec::new(), Overrides::default()));
        };
        let known = Known { request: &crossing.overrides, item: &self.overrides };
        let days = within(climate, (first, last));
        let clocks = Clocks::new(climate, days, known).map_err(|e| refuse(crossing, place, e)).ok()?;
        let missing = shortages.iter().find(|s| s.by > clocks.last() || s.by < clocks.first());
        if let Some(shortage) = missing {
            let detail =
                format!("there is no temperature up to {}, when castings are short; give more days", shortage.by);
            crossing.refuse(place.field("climate"), Refusal::new(Reason::MissingField, detail));
            return None;
        }
        let means = Means {
            recipe,
            area: self.area,
            worms: self.worms,
            layers: self.layers,
            materials_from: self.materials_from,
            bed_from: self.bed_from,
            as_of,
            clocks: &clocks,
            known,
            runs,
        };
        let plans = prepare(shortages, &means).map_err(|e| refuse(crossing, place, e)).ok()?;
        Some(nothing(plans, bed_overrides(&means)))
    }
}

/// The days for which there are temperatures.
fn within(climate: &Climate, (first, last): (NaiveDate, NaiveDate)) -> (NaiveDate, NaiveDate) {
    let Climate::Daily { first_day, values } = climate else { return (first, last) };
    let count = u64::try_from(values.len()).unwrap_or(u64::MAX).saturating_sub(1);
    let end = first_day.checked_add_days(Days::new(count)).unwrap_or(*first_day);
    let from = first.max(*first_day).min(end);
    (from, last.min(end).max(from))
}

/// Tells a refusal of the core at the field that it is about.
fn refuse(crossing: &Crossing<'_>, place: Place<'_>, refusal: Refusal) {
    match refusal.field {
        Some("assumptions") => crossing.refuse(Place::root(), refusal),
        _ => crossing.refuse(place, refusal),
    }
}

/// What is short by which day. What is short without a last day is due on `end`; `Err` names the first demand for which there is
/// no day at all.
pub(in crate::http::rooms) fn shortages(balance: &Balance, end: Option<NaiveDate>) -> Result<Vec<Shortage>, usize> {
    let dated = |missing: &Missing| {
        let by = missing.last.or(end).ok_or(missing.want)?;
        Ok(Shortage { by, amount: missing.amount })
    };
    balance.missing.iter().map(dated).collect::<Result<Vec<_>, _>>().map(by_date)
}

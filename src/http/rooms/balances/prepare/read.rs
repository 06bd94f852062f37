//! Reading what there is to prepare with, and running it.

use super::PrepareRequest;
use crate::garden::assumptions::{Assumed, Assumption, Castings, Known, Overrides};
use crate::garden::balances::prepare::{
    LOOK_AHEAD_DAYS, MOST_CHOICES, Means, Plan, Recipe, Shortage, bed_overrides, by_date, first_day, last_day, prepare,
    stretches,
};
use crate::garden::balances::{Balance, Missing};
use crate::garden::beds::{Climate, Clocks};
use crate::garden::dates::MAX_SPAN_DAYS;
use crate::garden::feeds::{Family, FeedPlan, Ingredient, plan};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfMassPerArea;
use crate::garden::units::{Area, Estimate, Mass};
use crate::http::input::Crossing;
use crate::http::limits::{MAX_LOTS_DRAWN, MAX_WORK};
use crate::http::rooms::feeds::RecipeFields;
use crate::http::wire::Place;
use chrono::{Days, NaiveDate};

/// What there is to prepare with, read.
#[derive(Debug)]
pub(in crate::http::rooms) struct Preparing {
    feed: FeedPlan,
    of_bed: Vec<Assumed>,
    climate: Option<Climate>,
    area: Option<Area>,
    worms: Option<Mass>,
    layers: Option<u32>,
    materials_from: Option<NaiveDate>,
    bed_from: Option<NaiveDate>,
    overrides: Overrides,
    clean: bool,
}

/// What is to be prepared.
#[derive(Debug)]
pub(in crate::http::rooms) struct Prepared {
    /// One for each date on which something is short.
    pub plans: Vec<Plan>,
    /// The feed as it was given.
    pub feed: FeedPlan,
    /// What was assumed of the bed.
    pub of_bed: Vec<Assumed>,
    /// The feed for each amount of dry matter.
    pub recipe: Recipe,
    /// What holds of the bed besides what the request knows.
    pub bed: Overrides,
    /// What each material is called.
    pub materials: Vec<(Option<String>, Option<String>)>,
    /// True if none of the materials is or may be manure.
    pub clean: bool,
    /// True if more worms are put in than the ground carries for good.
    pub crowded: bool,
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
        let known = Known { request: &crossing.overrides, item: &overrides };
        let of_bed = of_bed(known, self.worms.is_some()).map_err(|e| refuse(crossing, place, e)).ok()?;
        let mut used = feed.assumed.clone();
        used.extend(&of_bed);
        crossing.note_used(place, &overrides, &used);
        let (climate, area, worms) = (climate?, area?, worms?);
        let (materials_from, bed_from) = (materials_from?, bed_from?);
        let manure = |i: &Ingredient| matches!(i.family, Family::Manure | Family::PoultryManure | Family::Other);
        let clean = !order.ingredients.iter().any(manure);
        let layers = self.layers;
        Some(Preparing { feed, of_bed, climate, area, worms, layers, materials_from, bed_from, overrides, clean })
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
        let joined = joined(shortages, self.area.is_some() || self.worms.is_some());
        let shortages = joined.as_slice();
        let recipe = Recipe::of(&self.feed);
        let known = Known { request: &crossing.overrides, item: &self.overrides };
        let nothing = |plans: Vec<Plan>, bed| Prepared {
            crowded: crowded(known, &plans),
            clean: self.clean,
            plans,
            feed: self.feed.clone(),
            of_bed: self.of_bed.clone(),
            recipe,
            bed,
            materials: request.names(),
        };
        let Some(climate) = self.climate.as_ref().or(climate) else {
            let detail = "say how warm the bed is: a climate with fixed, daily or monthly_means";
            crossing.refuse(place.field("climate"), Refusal::new(Reason::MissingField, detail));
            return None;
        };
        let (Some(first), Some(last)) = (first_day(as_of, shortages), last_day(as_of, shortages)) else {
            return Some(nothing(Vec::new(), Overrides::default()));
        };
        let choices = if self.layers.or(self.area.map(|_| 1)).is_some() { 1 } else { MOST_CHOICES };
        check_draws(crossing, runs.0, (shortages.len(), u64::from(choices)), MAX_LOTS_DRAWN)?;
        check_span(crossing, (first, last), as_of)?;
        let days = within(climate, (first, last));
        let clocks = Clocks::new(climate, days, known).map_err(|e| refuse(crossing, place, e)).ok()?;
        let missing = shortages.iter().find(|s| s.by > clocks.last() || s.by < clocks.first());
        if let Some(shortage) = missing {
            let detail = format!(
                "there is no temperature for {}, when castings are short; give one for each day up to it, or monthly_means",
                shortage.by
            );
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
        let looks = u64::try_from(stretches(&means)).unwrap_or(u64::MAX).max(1);
        check_draws(crossing, runs.0, (shortages.len(), u64::from(choices).saturating_mul(looks)), MAX_WORK)?;
        let plans = prepare(shortages, &means).map_err(|e| refuse(crossing, place, e)).ok()?;
        Some(nothing(plans, bed_overrides(&means)))
    }
}

/// True if more worms go in than the ground carries for good.
fn crowded(known: Known<'_>, plans: &[Plan]) -> bool {
    let (carries, _): (Estimate<OfMassPerArea>, _) = known.estimate(Assumption::CarryingDensity);
    plans.iter().any(|plan| plan.likely.worms > carries.likely() * plan.likely.area)
}

/// One bed, or one lot of worms, can only be promised once: all that is short is then prepared for the first day.
fn joined(shortages: &[Shortage], one_bed: bool) -> Vec<Shortage> {
    let Some(first) = shortages.first().filter(|_| one_bed) else { return shortages.to_vec() };
    by_date(shortages.iter().map(|shortage| Shortage { by: first.by, ..*shortage }))
}

/// What the size and the dates of a bed hang on, besides its feed.
fn of_bed(known: Known<'_>, has_worms: bool) -> Result<Vec<Assumed>, Refusal> {
    let castings = Castings::known(known).map_err(|e| e.at("assumptions"))?.assumed.into_iter();
    let mut used: Vec<Assumed> = OF_BED.iter().filter_map(|which| known.get(*which)).collect();
    used.extend((!has_worms).then(|| known.get(Assumption::Stocking)).flatten());
    used.extend(castings.filter(|a| Assumption::OF_WEIGHT.contains(&a.assumption)));
    Ok(used)
}

const OF_BED: [Assumption; 14] = [
    Assumption::StoppedBelow,
    Assumption::ComfortLow,
    Assumption::ComfortHigh,
    Assumption::StoppedAbove,
    Assumption::CarryingDensity,
    Assumption::DoublingTime,
    Assumption::FeedRate,
    Assumption::Finishing,
    Assumption::Drying,
    Assumption::OrganicMatterLoss,
    Assumption::SievePass,
    Assumption::FirstLayer,
    Assumption::LaterLayer,
    Assumption::MaxDepth,
];

/// Refuses more draws than can be kept: each day on which castings are short keeps one date for each number of layers.
fn check_draws(crossing: &Crossing<'_>, runs: u32, (days, choices): (usize, u64), limit: u64) -> Option<()> {
    let each = u64::try_from(days).unwrap_or(u64::MAX).saturating_mul(choices).max(1);
    if u64::from(runs).saturating_mul(each) <= limit {
        return Some(());
    }
    let most = limit / each;
    let detail = format!(
        "castings are short on {days} days; to prepare for as many there may be at most {most} draws; ask for fewer, or give the \
         layers of prepare"
    );
    let most = f64::from(u32::try_from(most).unwrap_or(u32::MAX));
    crossing.refuse(Place::root().field("draws"), Refusal::new(Reason::TooLarge, detail).between(0.0, most));
    None
}

/// Refuses days that lie too far apart to look for starts on all of them.
fn check_span(crossing: &Crossing<'_>, (first, last): (NaiveDate, NaiveDate), as_of: Option<NaiveDate>) -> Option<()> {
    if last.signed_duration_since(first).num_days() <= MAX_SPAN_DAYS {
        return Some(());
    }
    let root = Place::root();
    let of_today = as_of.is_some_and(|today| {
        let without = today.checked_add_days(Days::new(LOOK_AHEAD_DAYS)).is_some_and(|day| day >= last);
        today <= first || without
    });
    let (at, detail) = if of_today {
        let detail = "as_of lies more than ten years from a day on which castings are short, so no start can be found"
            .to_owned();
        (root.field("as_of"), detail)
    } else {
        let detail = format!(
            "to find starts for all that is short takes the days from {first} to {last}, more than ten years; split the request"
        );
        (root.field("prepare"), detail)
    };
    crossing.refuse(at, Refusal::new(Reason::OutOfRange, detail));
    None
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
        // How many layers a bed takes hangs on its feed: that is no bound of the field itself.
        Some("layers") => crossing.refuse(place, Refusal { min: None, max: None, ..refusal }),
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

//! Reading a season.

mod beds;
mod shared_feed;

use super::request::SeasonsRequest;
use crate::garden::assumptions::Overrides;
use crate::garden::balances::Requirement;
use crate::garden::balances::additional_production::Offer;
use crate::garden::balances::allocation::Lot;
use crate::garden::beds::{Climate, Clocks, Forecast};
use crate::garden::cautions::Rule;
use crate::garden::cautions::waiting::Manure;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::seasons::beds::{BedOrder, FedBed, FedBeds, Shared};
use crate::garden::seasons::{Amount, BedPlan, Season, dates};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::OfArea;
use crate::http::input::{RequestContext, optionally};
use crate::http::resources::balances::{
    BalanceFields, DemandRequest, ParsedBalance, ProductionRead, ReadBalance, runs_from,
};
use crate::http::resources::collected::CollectedFeed;
use crate::http::resources::season_beds::SeasonBedRequest;
use crate::http::wire::JsonPath;
use beds::{ReadBeds, beds, on_clocks};
use chrono::NaiveDate;
use shared_feed::{collected, shared_feed};

impl SeasonsRequest {
    /// What a season has in common with a balance.
    pub(super) fn fields(&self) -> BalanceFields<'_> {
        BalanceFields {
            as_of: self.as_of.as_deref(),
            stock: self.stock.as_deref().unwrap_or_default(),
            demands: &self.demands,
            sack: self.sack.as_ref(),
            enforce_application_to_harvest_interval: self.enforce_application_to_harvest_interval.unwrap_or(false),
        }
    }
}

/// A season as it was read.
pub struct Read {
    /// Stock, demands and sack.
    pub asked: ParsedBalance,
    /// The last day.
    pub until: NaiveDate,
    /// The climate of the season.
    pub climate: Option<Climate>,
    /// What there is to produce with.
    pub producing: Option<ProductionRead>,
    /// How many runs, from which seed.
    pub runs: (u32, u64),
    beds: FedBeds,
    /// What is collected for the feed of each bed.
    collected: Vec<CollectedFeed>,
    stock: Vec<(Lot, Amount)>,
    requirements: Vec<(Requirement, Amount)>,
}

impl Read {
    /// The season for the core.
    pub fn season<'a>(&'a self, context: &'a RequestContext<'_>) -> Option<Season<'a>> {
        let bed = |bed: &'a FedBed| {
            let clocks = self.beds.clocks.get(bed.clocks)?;
            Some(BedPlan { bed: bed.bed.clone(), clocks, overrides: &bed.overrides, manure: bed.manure })
        };
        Some(Season {
            beds: self.beds.beds.iter().map(bed).collect::<Option<_>>()?,
            stock: self.stock.clone(),
            requirements: self.requirements.clone(),
            until: self.until,
            as_of: self.asked.as_of,
            sack: self.asked.sack,
            request: &context.overrides,
            beside: context.beside,
        })
    }

    /// Refuses beds that are said to get no manure and are fed some.
    pub fn check_manure(&self, context: &RequestContext<'_>) {
        let root = JsonPath::root();
        let list = root.field("worm_beds");
        for (index, bed) in self.beds.beds.iter().enumerate() {
            if bed.manure == Manure::NoManure && bed.bed.feed.cautions.contains(&Rule::RawManure) {
                let detail = "this bed is fed manure, so \"none\" is wrong: remove the manure from its feed, or write \
                              {\"kind\": \"untreated\"}, or \"treated\" with how it was composted hot";
                context.refuse(list.index(index).field("manure"), Refusal::new(Reason::ImpossibleValue, detail));
            }
        }
    }

    /// The days of all climates of the beds together.
    pub fn climate_days(&self) -> usize {
        self.beds.clocks.iter().map(Clocks::count).sum()
    }

    /// What each bed knows better.
    pub fn overrides(&self, bed: usize) -> Option<&Overrides> {
        self.beds.beds.get(bed).map(|bed| &bed.overrides)
    }

    /// What is collected for the feed of a bed.
    pub fn collected(&self, bed: usize) -> &CollectedFeed {
        const NOTHING: &CollectedFeed = &CollectedFeed { name: None, bulk_density: None, mixed: None };
        self.collected.get(bed).unwrap_or(NOTHING)
    }

    /// What to mind with a bed, without what its statement of manure rules out.
    pub fn cautions(&self, bed: usize, forecast: &Forecast) -> Vec<Rule> {
        let waits = self.beds.beds.get(bed).is_none_or(|bed| bed.manure.has_wait());
        forecast.cautions.iter().copied().filter(|rule| waits || *rule != Rule::RawManure).collect()
    }

    /// Of a running bed, the day on which what lies in it was observed.
    pub fn observed_on(&self, bed: usize) -> Option<NaiveDate> {
        self.beds.beds.get(bed).map(|bed| &bed.bed).filter(|bed| bed.running.is_some()).map(|bed| bed.start_on)
    }

    /// The ground of each bed.
    pub fn areas(&self) -> impl Iterator<Item = Estimate<OfArea>> + '_ {
        self.beds.beds.iter().map(|bed| bed.bed.area)
    }
}

/// Reads the request. What is checked later is checked of all that could be read, so that all errors come at once.
pub fn read(request: &SeasonsRequest, context: &RequestContext<'_>) -> Option<Read> {
    let root = JsonPath::root();
    let asked = request.fields().read(context);
    let until = context.day(request.until.as_deref(), root.field("until"));
    let climate = optionally(request.climate.as_ref(), |climate| context.climate(climate, root.field("climate")));
    let currency = request.sack.as_ref().and_then(|sack| sack.currency.as_deref());
    let producing = optionally(request.additional_production.as_ref(), |produce| {
        produce.read(context, root.field("additional_production"), currency)
    });
    check_completeness(request, context);
    let end = until.flatten();
    let early = end.is_none_or(|until| begins(request, context, until).is_some());
    let climate_of_all = climate.as_ref().and_then(Option::as_ref);
    let mut beds = beds(request, context, (climate_of_all, end));
    // After the beds: only then it is known whether a volume of it is needed.
    let all = request.worm_beds.as_deref().unwrap_or_default();
    let shared =
        optionally(request.feed_supply.as_ref(), |it| shared_feed(it, all, context, root.field("feed_supply")));
    let until = last_day(until?, &asked, context)?;
    let in_span = spans((request, context), (&asked, &beds), until);
    let fits = within(request, context, &asked, until);
    idle(request, context, &beds);
    let shared_by_all = shared.as_ref().and_then(Option::as_ref);
    let collected = collected(&mut beds, shared_by_all, context);
    let feed = shared_by_all.map(|shared| &shared.feed);
    let of_all = Shared { feed, climate: climate_of_all, until, request: &context.overrides };
    let beds = on_clocks(request, context, beds, of_all);
    let (mut asked, beds) = (asked.all()?, beds?);
    shared?;
    fits.and(in_span).filter(|()| early)?;
    asked.open_from_today(Some(until));
    let runs = runs_from(request.simulation_runs, request.seed);
    let (stock, requirements) = amounts(request, context, &asked, runs.0 > 0);
    Some(Read { stock, collected, requirements, until, climate: climate?, producing: producing?, runs, beds, asked })
}

/// Refuses a season of which it can be seen at once that its last day, or the temperature of a bed to produce, is missing.
fn check_completeness(request: &SeasonsRequest, context: &RequestContext<'_>) {
    let root = JsonPath::root();
    let is_dated = |demand: &DemandRequest| {
        let brewed = demand.brew.as_ref().and_then(|brew| brew.use_at.as_ref());
        [&demand.on, &demand.earliest, &demand.latest].into_iter().any(Option::is_some) || brewed.is_some()
    };
    if request.until.is_none() && !request.demands.is_empty() && !request.demands.iter().any(is_dated) {
        context.refuse(root.field("until"), without_end());
    }
    let produces = request.additional_production.as_ref().is_some_and(|produce| produce.climate.is_none());
    if produces && request.climate.is_none() {
        context.refuse(root.field("additional_production"), Offer::without_climate());
    }
}

fn without_end() -> Refusal {
    let detail = "say how long the season is: until, its last day, as in \"2027-10-31\", or a date of a demand";
    Refusal::new(Reason::MissingField, detail)
}

/// Items, each with how its amount varies.
type Varying<T> = Vec<(T, Amount)>;

/// The lots and demands with how their amounts vary. Without runs nothing is drawn, and the ranges of amounts are not used.
fn amounts(
    request: &SeasonsRequest,
    context: &RequestContext<'_>,
    asked: &ParsedBalance,
    is_drawn: bool,
) -> (Varying<Lot>, Varying<Requirement>) {
    let root = JsonPath::root();
    let (stock_list, demand_list) = (root.field("stock"), root.field("demands"));
    let drawn = |amount: &dyn Fn() -> Amount| if is_drawn { amount() } else { Amount::default() };
    let stock = request.stock.as_deref().unwrap_or_default();
    let lots = asked.lots.iter().zip(stock).zip(&asked.stock).enumerate().map(|(i, ((lot, item), of))| {
        (*lot, drawn(&|| item.uncertain(context, stock_list.index(i), of.heap.as_ref())))
    });
    let requirements = asked.requirements.iter().zip(request.demands.iter()).zip(&asked.sources).enumerate();
    let requirements = requirements.map(|(i, ((requirement, item), source))| {
        (requirement.clone(), drawn(&|| item.uncertain(context, demand_list.index(i), Some(source))))
    });
    (lots.collect(), requirements.collect())
}

/// The last day: as given, or the last date of the demands, where all of them could be read.
fn last_day(until: Option<NaiveDate>, asked: &ReadBalance, context: &RequestContext<'_>) -> Option<NaiveDate> {
    if until.is_some() || !asked.has_all_demands() {
        return until;
    }
    let last = dates::last_day(asked.requirements());
    if last.is_none() && asked.requirements().next().is_some() {
        context.refuse(JsonPath::root().field("until"), without_end());
    }
    last
}

/// Refuses demands whose first day is seen to lie after the last day, and seasons seen to be longer than ten years, whatever else is wrong.
fn begins(request: &SeasonsRequest, context: &RequestContext<'_>, until: NaiveDate) -> Option<()> {
    let root = JsonPath::root();
    let list = root.field("demands");
    let check = |(i, item): (usize, &DemandRequest)| {
        let checked = dates::check_begin(item.begin(), until);
        checked.map_err(|refusal| item.refuse_begin(context, list.index(i), refusal)).is_ok()
    };
    let late = request.demands.iter().enumerate().map(check).filter(|in_time| !in_time).count();
    let starts = request.worm_beds.as_deref().unwrap_or_default().iter().filter_map(SeasonBedRequest::begin);
    let fields = request.fields();
    let days = fields.dates().chain(starts);
    // What lies too far apart without the season is refused by itself.
    let spans = if fields.are_too_far_apart() { None } else { context.keep(root, dates::check_span(days, until)) };
    spans.filter(|()| late == 0)
}

/// Refuses demands that begin after the last day, of those that could be read.
fn within(request: &SeasonsRequest, context: &RequestContext<'_>, asked: &ReadBalance, until: NaiveDate) -> Option<()> {
    let root = JsonPath::root();
    let list = root.field("demands");
    let mut fits = true;
    for (i, requirement) in asked.placed_requirements() {
        let Some(item) = request.demands.get(i) else { continue };
        let begin = dates::begin(requirement);
        // Of what repeats, the first time has been looked at.
        let checked = if requirement.repeats() && dates::check_begin(item.begin(), until).is_ok() {
            let checked = dates::check_last_time(begin, until);
            checked.map_err(|refusal| context.refuse(list.index(i).field("repeat"), refusal))
        } else {
            let first = if requirement.repeats() { item.begin() } else { begin };
            let checked = dates::check_begin(first, until);
            checked.map_err(|refusal| item.refuse_begin(context, list.index(i), refusal))
        };
        fits &= checked.is_ok();
    }
    fits.then_some(())
}

/// Refuses a season longer than ten years, by all that could be read.
fn spans(
    (request, context): (&SeasonsRequest, &RequestContext<'_>),
    (asked, beds): (&ReadBalance, &ReadBeds),
    until: NaiveDate,
) -> Option<()> {
    let lots = asked.lots().map(|lot| lot.window);
    let parts = asked.requirements().flat_map(|requirement| requirement.parts.iter().map(|part| part.window));
    let days = lots.chain(parts).flat_map(|window| [window.first, window.last]).flatten();
    let days = days.chain(beds.orders.iter().map(BedOrder::first_day));
    if request.fields().are_too_far_apart() {
        return None;
    }
    context.keep(JsonPath::root(), dates::check_span(days, until))
}

/// Notes what was given for the whole season and is of no use to any bed.
fn idle(request: &SeasonsRequest, context: &RequestContext<'_>, beds: &ReadBeds) {
    let root = JsonPath::root();
    let produces = request.additional_production.as_ref().is_some_and(|produce| produce.climate.is_none());
    if request.climate.is_some() && !produces && beds.orders.iter().all(|bed| bed.climate.is_some()) {
        context.may_be_idle(root.field("climate"));
    }
    if request.feed_supply.is_some() && beds.orders.iter().all(|bed| bed.feed.is_some()) {
        context.may_be_idle(root.field("feed_supply"));
    }
    if request.seed.is_some() && request.simulation_runs.is_some_and(|draws| draws.0 == 0) {
        context.may_be_idle(root.field("seed"));
    }
}

//! Reading a season.

mod beds;

use super::request::SeasonsRequest;
use crate::garden::assumptions::Overrides;
use crate::garden::balances::Want;
use crate::garden::balances::allocation::Lot;
use crate::garden::beds::{Climate, Clocks};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::seasons::beds::{BedOrder, FedBed, FedBeds, Shared};
use crate::garden::seasons::{Amount, BedPlan, Season, dates};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::OfArea;
use crate::http::input::Crossing;
use crate::http::rooms::balances::{Asked, BalanceFields, Preparing, runs_from};
use crate::http::wire::Place;
use beds::{beds, feed_of, on_clocks};
use chrono::NaiveDate;

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
    pub asked: Asked,
    /// The last day.
    pub until: NaiveDate,
    /// The climate of the season.
    pub climate: Option<Climate>,
    /// What there is to prepare with.
    pub preparing: Option<Preparing>,
    /// How many runs, from which seed.
    pub runs: (u32, u64),
    beds: FedBeds,
    stock: Vec<(Lot, Amount)>,
    wants: Vec<(Want, Amount)>,
}

impl Read {
    /// The season for the core.
    pub fn season<'a>(&'a self, crossing: &'a Crossing<'_>) -> Option<Season<'a>> {
        let bed = |bed: &'a FedBed| {
            let clocks = self.beds.clocks.get(bed.clocks)?;
            Some(BedPlan { bed: bed.bed.clone(), clocks, overrides: &bed.overrides, manure: bed.manure })
        };
        Some(Season {
            beds: self.beds.beds.iter().map(bed).collect::<Option<_>>()?,
            stock: self.stock.clone(),
            wants: self.wants.clone(),
            until: self.until,
            sack: self.asked.sack,
            request: &crossing.overrides,
        })
    }

    /// The days of all climates of the beds together.
    pub fn climate_days(&self) -> usize {
        self.beds.clocks.iter().map(Clocks::count).sum()
    }

    /// What each bed knows better.
    pub fn overrides(&self, bed: usize) -> Option<&Overrides> {
        self.beds.beds.get(bed).map(|bed| &bed.overrides)
    }

    /// The ground of each bed.
    pub fn areas(&self) -> impl Iterator<Item = Estimate<OfArea>> + '_ {
        self.beds.beds.iter().map(|bed| bed.bed.area)
    }
}

/// Reads the request.
pub fn read(request: &SeasonsRequest, crossing: &Crossing<'_>) -> Option<Read> {
    let root = Place::root();
    let asked = request.fields().read(crossing);
    let until = crossing.day(request.until.as_deref(), root.field("until"));
    let climate = match &request.climate {
        Some(climate) => crossing.climate(climate, root.field("climate")).map(Some),
        None => Some(None),
    };
    let shared = match &request.feed_supply {
        Some(feed) => feed_of(feed, crossing, root.field("feed_supply")).map(Some),
        None => Some(None),
    };
    let preparing = match &request.additional_production {
        Some(prepare) => prepare.read(crossing, root.field("additional_production")).map(Some),
        None => Some(None),
    };
    let said = beds(request, crossing);
    let (asked, until, climate, said) = (asked?, until?, climate?, said?);
    let until = last_day(until, &asked, crossing)?;
    within(request, crossing, (&asked, &said), until)?;
    idle(request, crossing, &said);
    let shared = shared?;
    let of_all = Shared { feed: shared.as_ref(), climate: climate.as_ref(), until, request: &crossing.overrides };
    let beds = on_clocks(request, crossing, said, of_all)?;
    let runs = runs_from(request.simulation_runs, request.seed);
    let (stock, wants) = amounts(request, crossing, &asked, runs.0 > 0);
    Some(Read { stock, wants, until, climate, preparing: preparing?, runs, beds, asked })
}

/// Items, each with how its amount varies.
type Varying<T> = Vec<(T, Amount)>;

/// The lots and demands with how their amounts vary. Without runs nothing is drawn, and the ranges of amounts are not used.
fn amounts(
    request: &SeasonsRequest,
    crossing: &Crossing<'_>,
    asked: &Asked,
    is_drawn: bool,
) -> (Varying<Lot>, Varying<Want>) {
    let root = Place::root();
    let (stock_list, demand_list) = (root.field("stock"), root.field("demands"));
    let drawn = |amount: &dyn Fn() -> Amount| if is_drawn { amount() } else { Amount::default() };
    let stock = request.stock.as_deref().unwrap_or_default();
    let lots = asked.lots.iter().zip(stock).zip(&asked.stock).enumerate().map(|(i, ((lot, item), of))| {
        (*lot, drawn(&|| item.uncertain(crossing, stock_list.index(i), of.heap.as_ref())))
    });
    let wants = asked.wants.iter().zip(request.demands.iter()).zip(&asked.sources).enumerate();
    let wants = wants.map(|(i, ((want, item), source))| {
        (want.clone(), drawn(&|| item.uncertain(crossing, demand_list.index(i), Some(source))))
    });
    (lots.collect(), wants.collect())
}

/// The last day: as given, or the last date of the demands.
fn last_day(until: Option<NaiveDate>, asked: &Asked, crossing: &Crossing<'_>) -> Option<NaiveDate> {
    let last = until.or_else(|| dates::last_day(&asked.wants));
    if last.is_none() && !asked.wants.is_empty() {
        let detail = "say how long the season is: until, its last day, or a date of a demand";
        crossing.refuse(Place::root().field("until"), Refusal::new(Reason::MissingField, detail));
    }
    last
}

/// Refuses demands that begin after the last day, and seasons longer than ten years.
fn within(
    request: &SeasonsRequest,
    crossing: &Crossing<'_>,
    (asked, said): (&Asked, &[BedOrder]),
    until: NaiveDate,
) -> Option<()> {
    let root = Place::root();
    let list = root.field("demands");
    let mut fits = true;
    for (i, (item, want)) in request.demands.iter().zip(&asked.wants).enumerate() {
        if let Err(refusal) = dates::check_begin(want, until) {
            item.refuse_begin(crossing, list.index(i), refusal);
            fits = false;
        }
    }
    let (lots, starts) = (asked.lots.iter().map(|lot| lot.window), said.iter().map(|bed| bed.start_on));
    crossing.keep(root, dates::check_span(&asked.wants, lots, starts, until)).filter(|()| fits)
}

/// Notes what was given for the whole season and is of no use to any bed.
fn idle(request: &SeasonsRequest, crossing: &Crossing<'_>, said: &[BedOrder]) {
    let root = Place::root();
    let prepares = request.additional_production.as_ref().is_some_and(|prepare| prepare.climate.is_none());
    if request.climate.is_some() && !prepares && said.iter().all(|bed| bed.climate.is_some()) {
        crossing.may_be_idle(root.field("climate"));
    }
    if request.feed_supply.is_some() && said.iter().all(|bed| bed.feed.is_some()) {
        crossing.may_be_idle(root.field("feed_supply"));
    }
    if request.seed.is_some() && request.simulation_runs.is_some_and(|draws| draws.0 == 0) {
        crossing.may_be_idle(root.field("seed"));
    }
}

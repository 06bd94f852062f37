//! The question as the core takes it.

use super::days::{days, ends, span};
use super::repeat::few_parts;
use super::{BalancesRequest, DemandRequest, LEAST, SackRequest, StockRequest, minimum};
use crate::garden::applications::{Application, Order};
use crate::garden::assumptions::{Assumed, Assumption, Castings};
use crate::garden::balances::additional_production::{Offer, shortages};
use crate::garden::balances::allocation::Lot;
use crate::garden::balances::figures::{Availability, BalanceFigures, StockFigure};
use crate::garden::balances::size::Size;
use crate::garden::balances::{Balance, Requirement, balance, total};
use crate::garden::brews::Brew;
use crate::garden::dates::date;
use crate::garden::draws::{DEFAULT_RUNS, DEFAULT_SEED, MOST_RUNS};
use crate::garden::figures::{Recorder, WholeVolume};
use crate::garden::harvests::Harvest;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfVolume;
use crate::garden::units::{Estimate, Millilitres};
use crate::garden::work::Work;
use crate::http::input::RequestContext;
use crate::http::input::bounded::{Seed, SimulationRuns};
use crate::http::resources::Named;
use crate::http::resources::balances::additional_production::{PlannedProduction, ProductionRead};
use crate::http::resources::brews::STEPS_FOR_BATCH;
use crate::http::wire::{JsonPath, RequestErrors};
use chrono::NaiveDate;
use std::collections::BTreeSet;

/// What a lot was made of.
#[derive(Debug)]
pub struct Stocked {
    /// How much.
    pub amount: WholeVolume,
    /// The harvest of its heap, for its assumptions and cautions.
    pub heap: Option<Harvest>,
    /// What was assumed of its castings to turn its mass into a volume.
    pub assumed: Vec<Assumed>,
    /// Its castings, where the lot knows better what they weigh or hold.
    pub castings: Option<Castings>,
}

impl Stocked {
    /// Whether its amount was read by this assumption.
    #[must_use]
    pub fn assumes(&self, which: Assumption) -> bool {
        let of_heap = self.heap.iter().flat_map(|heap| &heap.assumed);
        self.assumed.iter().chain(of_heap).any(|assumed| assumed.assumption == which)
    }
}

/// What a demand was made of.
#[derive(Debug)]
pub enum Source {
    /// An amount.
    Amount(Estimate<OfVolume>),
    /// A place and a rate.
    Application(Box<Order>, Box<Application>),
    /// A tea.
    Brew(Box<Brew>),
}

impl Source {
    /// The castings that it takes.
    pub fn amount(&self) -> WholeVolume {
        WholeVolume::nearest(match self {
            Self::Amount(volume) => *volume,
            Self::Application(_, application) => application.carried.volume,
            Self::Brew(brew) => brew.castings,
        })
    }

    /// The tea that it is.
    pub fn brew(&self) -> Option<&Brew> {
        if let Self::Brew(brew) = self { Some(brew) } else { None }
    }
}

/// The question as the core takes it.
#[derive(Debug)]
pub struct ParsedBalance {
    /// The lots.
    pub lots: Vec<Lot>,
    /// What each was made of.
    pub stock: Vec<Stocked>,
    /// The demands.
    pub requirements: Vec<Requirement>,
    /// What each was made of.
    pub sources: Vec<Source>,
    /// What a sack holds.
    pub sack: Option<Millilitres>,
    /// The caller's today.
    pub as_of: Option<NaiveDate>,
}

impl ParsedBalance {
    /// Computes the balance, or refuses one that takes too long.
    pub fn balance(&self, context: &RequestContext<'_>) -> Option<Balance> {
        context.keep(JsonPath::root(), Size::of(&self.lots, &self.requirements).check(context.beside))?;
        Some(balance(&self.lots, &self.requirements, self.sack))
    }

    /// The amounts of its balance, as figures.
    pub fn figures(&self, balance: &Balance, recorder: impl Recorder) -> BalanceFigures {
        let (wanted, stock) = self.amounts();
        let lots = stock.into_iter().zip(&self.lots);
        let stock: Vec<_> =
            lots.map(|(amount, lot)| StockFigure { amount, availability: Availability::of(lot, self.as_of) }).collect();
        BalanceFigures::of(balance, (&wanted, &stock), recorder)
    }

    /// What is wanted and what there is, as figures.
    pub fn amounts(&self) -> (Vec<WholeVolume>, Vec<WholeVolume>) {
        let wanted = self.sources.iter().map(Source::amount).collect();
        (wanted, self.stock.iter().map(|stocked| stocked.amount).collect())
    }
}

/// The parts of a balance that stand in more than one question.
#[derive(Clone, Copy)]
pub(in crate::http::resources) struct BalanceFields<'a> {
    pub as_of: Option<&'a str>,
    pub stock: &'a [StockRequest],
    pub demands: &'a [DemandRequest],
    pub sack: Option<&'a SackRequest>,
    pub enforce_application_to_harvest_interval: bool,
}

impl BalancesRequest {
    pub(in crate::http::resources) fn fields(&self) -> BalanceFields<'_> {
        let (stock, demands): (&[StockRequest], &[DemandRequest]) = (&self.stock, &self.demands);
        let enforce_application_to_harvest_interval = self.enforce_application_to_harvest_interval.unwrap_or(false);
        BalanceFields {
            as_of: self.as_of.as_deref(),
            stock,
            demands,
            sack: self.sack.as_ref(),
            enforce_application_to_harvest_interval,
        }
    }
}

/// Reads the request.
pub fn read(request: &BalancesRequest, context: &RequestContext<'_>) -> Option<ParsedBalance> {
    request.fields().read(context)
}

impl BalanceFields<'_> {
    /// How many lots, and demands each time they are asked, as far as can be seen ahead.
    pub fn items(&self, context: &RequestContext<'_>) -> usize {
        let errors = RequestErrors::default();
        let ahead = context.apart(&errors);
        self.demands.iter().map(|demand| demand.times(&ahead)).sum::<usize>().saturating_add(self.stock.len())
    }

    /// At most so much work it is to read and share, as far as can be seen ahead.
    pub fn work(&self, ahead: &RequestContext<'_>) -> Work {
        let (size, batches) = self.size(ahead);
        size.work().and(Work::of(batches, STEPS_FOR_BATCH))
    }

    /// How large the balance is, before any of its parts is made, and the batches of its brews.
    fn size(&self, ahead: &RequestContext<'_>) -> (Size, usize) {
        let batches_of = |demand: &DemandRequest| demand.brew.as_ref().map_or(0, |brew| brew.batches(ahead));
        let (mut batches, mut parts, mut minimums) = (0_usize, 0_usize, 0_usize);
        for demand in self.demands {
            let (times, brewed) = (demand.times(ahead), batches_of(demand));
            batches = batches.saturating_add(brewed);
            parts = parts.saturating_add(times.saturating_mul(brewed.saturating_add(1)));
            minimums = minimums.saturating_add(if demand.minimum.is_some() { times } else { 0 });
        }
        let size = Size {
            lots: self.stock.len(),
            parts,
            priorities: self.demands.iter().map(|demand| demand.priority.map(|p| p.0)).collect::<BTreeSet<_>>().len(),
            minimums,
            portions: self.demands.iter().any(|demand| demand.whole_portions == Some(true)),
            barred: self.enforce_application_to_harvest_interval,
        };
        (size, batches)
    }

    /// The dates of lots and demands that can be read, whatever else is wrong with them; without those of brews, which their batches have.
    pub fn dates(&self) -> impl Iterator<Item = NaiveDate> + '_ {
        let of_lots = self.stock.iter().flat_map(|lot| [lot.ready_on.as_deref(), lot.use_by.as_deref()]);
        of_lots.flatten().filter_map(|text| date(text).ok()).chain(self.demands.iter().flat_map(DemandRequest::dates))
    }

    /// Reads stock, demands and sack.
    pub fn read(&self, context: &RequestContext<'_>) -> Option<ParsedBalance> {
        let root = JsonPath::root();
        let (stock_list, demand_list) = (root.field("stock"), root.field("demands"));
        let unheard = RequestErrors::default();
        few_parts(self.size(&context.apart(&unheard)).0.parts, context, demand_list)?;
        context.unique_ids(self.stock.iter().map(StockRequest::id), stock_list);
        context.unique_ids(self.demands.iter().map(DemandRequest::id), demand_list);
        let few = minimum::count(self.demands, context, demand_list);
        let as_of = context.day(self.as_of, root.field("as_of"));
        let sack = match self.sack {
            Some(sack) => {
                context.amount_of_castings(&sack.capacity, LEAST, root.field("sack").field("capacity")).map(Some)
            }
            None => Some(None),
        };
        let stock: Vec<_> =
            self.stock.iter().enumerate().map(|(i, stock)| stock.read(i, context, stock_list.index(i))).collect();
        let demands: Vec<_> =
            self.demands.iter().enumerate().map(|(i, demand)| demand.read(context, demand_list.index(i))).collect();
        // What is wrong with several items together is reported beside what is wrong with one.
        let amounts = stock.iter().flatten().map(|(lot, _): &(Lot, Stocked)| lot.amount);
        let supply = context.keep(stock_list, total(amounts));
        let amounts = demands.iter().flatten().map(|(requirement, _)| Requirement::amount(requirement));
        let needed = context.keep(demand_list, total(amounts));
        let dates = context.keep(root, span(self.dates()));
        let (lots, stock): (Vec<_>, Vec<_>) = stock.into_iter().collect::<Option<Vec<_>>>()?.into_iter().unzip();
        let demands = demands.into_iter().collect::<Option<Vec<_>>>()?;
        let (mut requirements, sources): (Vec<Requirement>, Vec<_>) = demands.into_iter().unzip();
        if self.enforce_application_to_harvest_interval {
            requirements.iter_mut().for_each(Requirement::enforce_application_to_harvest_interval);
        }
        supply.and(needed).and(dates).and(few)?;
        context.keep(root, span(days(&lots, &requirements)))?;
        let sack = sack?.map(|volume| Millilitres::nearest(volume.likely()));
        Some(ParsedBalance { lots, stock, requirements, sources, sack, as_of: as_of? })
    }
}

/// What there is to produce with; `Some(None)` where nothing was said about it.
pub fn producing(request: &BalancesRequest, context: &RequestContext<'_>) -> Option<Option<ProductionRead>> {
    let root = JsonPath::root();
    let place = root.field("additional_production");
    if request.simulation_runs.is_some() && request.additional_production.is_none() {
        context.may_be_idle(root.field("simulation_runs"));
    }
    if request.seed.is_some()
        && (request.additional_production.is_none() || request.simulation_runs.is_some_and(|runs| runs.0 == 0))
    {
        context.may_be_idle(root.field("seed"));
    }
    match &request.additional_production {
        Some(produce) => {
            if produce.climate.is_none() && !context.errors.touches(place.field("climate")) {
                context.refuse(place, Offer::without_climate());
            }
            let currency = request.sack.as_ref().and_then(|sack| sack.currency.as_deref());
            produce.read(context, place, currency).map(Some)
        }
        None => Some(None),
    }
}

/// How many runs, from which seed. Those outside their bounds have been reported already.
pub(in crate::http::resources) fn runs_from(runs: Option<SimulationRuns>, seed: Option<Seed>) -> (u32, u64) {
    let runs = runs.map_or(Some(DEFAULT_RUNS), |runs| u32::try_from(runs.0).ok()).filter(|runs| *runs <= MOST_RUNS);
    let seed = seed.and_then(|seed| u64::try_from(seed.0).ok());
    (runs.unwrap_or(0), seed.unwrap_or(DEFAULT_SEED))
}

/// Plans what to produce for what is short.
pub fn production(
    (request, asked): (&BalancesRequest, &ParsedBalance),
    context: &RequestContext<'_>,
    producing: Option<ProductionRead>,
    balance: &Balance,
) -> Option<Option<PlannedProduction>> {
    let (Some(producing), Some(with)) = (producing, &request.additional_production) else { return Some(None) };
    let root = JsonPath::root();
    let end = ends(&asked.lots, &asked.requirements).max();
    let short = match shortages(balance, end) {
        Ok(short) => short,
        Err(demand) => {
            let detail = "this demand is short and no date is given anywhere; say by when it is needed, so that a start can be found";
            let list = root.field("demands");
            context.refuse(list.index(demand).field("latest"), Refusal::new(Reason::MissingField, detail));
            return None;
        }
    };
    let (runs, seed) = runs_from(request.simulation_runs, request.seed);
    // A request with errors gets no answer, so nothing is drawn for it.
    let runs = (if context.errors.is_empty() { runs } else { 0 }, seed);
    let sharing = Size::of(&asked.lots, &asked.requirements).work();
    let most_steps = sharing.and(context.beside).runs_beside();
    producing.run((with, context), (&short, asked.as_of), (None, runs, most_steps)).map(Some)
}

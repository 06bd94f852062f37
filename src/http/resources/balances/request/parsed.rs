//! The question as the core takes it.

use super::BalancesRequest;
use super::days::ends;
use crate::garden::applications::{Application, Order};
use crate::garden::assumptions::{Assumed, Assumption, Castings};
use crate::garden::balances::additional_production::{Offer, shortfalls};
use crate::garden::balances::allocation::Lot;
use crate::garden::balances::figures::{Availability, BalanceFigures, StockFigure};
use crate::garden::balances::size::Size;
use crate::garden::balances::{Balance, Requirement, Terms, balance_with, open_from};
use crate::garden::brews::Brew;
use crate::garden::draws::{DEFAULT_RUNS, DEFAULT_SEED, MAX_RUNS};
use crate::garden::figures::{Recorder, WholeVolume};
use crate::garden::harvests::Harvest;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Millilitres;
use crate::http::input::RequestContext;
use crate::http::input::bounded::{Seed, SimulationRuns};
use crate::http::resources::balances::additional_production::{PlannedProduction, ProductionRead};
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

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
    Amount(WholeVolume),
    /// A place and a rate.
    Application(Box<Order>, Box<Application>),
    /// A tea.
    Brew(Box<Brew>),
}

impl Source {
    /// The castings that it takes.
    pub fn amount(&self) -> WholeVolume {
        match self {
            Self::Amount(volume) => *volume,
            Self::Application(_, application) => WholeVolume::needed(application.carried.volume),
            Self::Brew(brew) => WholeVolume::needed(brew.castings),
        }
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
        let terms = Terms { sack: self.sack, until: None, as_of: self.as_of };
        Some(balance_with(&self.lots, &self.requirements, terms))
    }

    /// Opens the demands that lie ahead today at the earliest; a season that is over by then is looked back at.
    pub fn open_from_today(&mut self, until: Option<NaiveDate>) {
        let today = self.as_of.filter(|today| until.is_none_or(|until| *today <= until));
        if let Some(today) = today {
            open_from(&mut self.requirements, today);
        }
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
    let runs = runs.map_or(Some(DEFAULT_RUNS), |runs| u32::try_from(runs.0).ok()).filter(|runs| *runs <= MAX_RUNS);
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
    let end = ends(asked.lots.iter(), asked.requirements.iter()).max();
    let all = (asked.lots.as_slice(), asked.requirements.as_slice(), balance);
    let short = match shortfalls(all, producing.is_untreated(), end) {
        Ok(short) => short,
        Err(demand) => {
            let detail = "this demand is short and no date is given anywhere; give the day by which it is needed, so that a start can be found";
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

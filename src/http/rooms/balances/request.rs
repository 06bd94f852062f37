//! The request, and reading it.

mod crop;
mod least;

pub use crop::CropRequest;

use crate::garden::applications::{Application, Order, Portion, Rate};
use crate::garden::assumptions::Assumption;
use crate::garden::balances::allocation::{Lot, Window};
use crate::garden::balances::untreated::{Grown, Waits, check_size};
use crate::garden::balances::{Balance, Part, Want, add, balance, balance_barred, parts_of_brew, total};
use crate::garden::brews::Brew;
use crate::garden::cautions::waiting::Manure;
use crate::garden::dates::{MAX_SPAN_DAYS, date};
use crate::garden::draws::{DEFAULT_RUNS, DEFAULT_SEED, MOST_RUNS};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::seasons::{Amount, Factor};
use crate::garden::units::{Dimension, Millilitres, Volume};
use crate::http::input::Crossing;
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::heap::HeapInput;
use crate::http::input::list::List;
use crate::http::input::manure::ManureInput;
use crate::http::input::measures::MeasureList;
use crate::http::input::quantity::{Due, ShareInput, VolumeMassOrShareInput, VolumeOrMassInput};
use crate::http::input::rate::RateInput;
use crate::http::input::surface::SurfaceInput;
use crate::http::input::text::no_control;
use crate::http::limits::{MAX_DRAWS, MAX_ITEMS, MAX_NAME, MAX_PRICE, MAX_PRIORITY, MAX_SEED, MAX_STOCK};
use crate::http::rooms::Units;
use crate::http::rooms::applications::Parts;
use crate::http::rooms::balances::prepare::{PrepareRequest, Prepared, Preparing, shortages};
use crate::http::rooms::brews::BrewRequest;
use crate::http::wire::Place;
use chrono::NaiveDate;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Stock and demands.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BalancesRequest {
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub id: Option<String>,
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// Units of the answer; `metric` unless given.
    pub units: Option<Units>,
    /// The caller's today. Without it nothing is called past.
    #[schema(format = Date)]
    pub as_of: Option<String>,
    /// The caller's measures.
    #[validate(nested)]
    #[schema(inline)]
    pub measures: Option<MeasureList>,
    /// What is known better than the defaults.
    pub assumptions: Option<AssumptionsInput>,
    /// The lots of castings in stock or to come.
    #[validate(nested)]
    #[schema(inline)]
    pub stock: Lots,
    /// Who wants castings.
    #[validate(nested)]
    #[schema(inline)]
    pub demands: Demands,
    /// True if the waits after raw manure are kept: stock that is not said to be free of manure or treated then goes to a demand with a
    /// `crop` only up to the day from which the wait ends at its first picking, and not at all where it is not dug in. What is free of
    /// manure or treated goes to those crops instead. Sacks to buy, and what is to be prepared, count as such: mind that they are. False
    /// unless given: the waits are then told and change nothing. Lots x demands, times 1 + a fifth of the demands with a `least`, may be
    /// 200,000 at most.
    pub keep_waits: Option<bool>,
    /// What a bought sack holds and costs; without it no sacks are counted.
    #[validate(nested)]
    pub sack: Option<SackRequest>,
    /// What there is to prepare with; without it nothing is said about preparing.
    #[validate(nested)]
    pub prepare: Option<PrepareRequest>,
    /// Runs for the chances of what to prepare; 2,000 unless given; 0 for the likely values alone.
    #[validate(range(min = 0, max = MAX_DRAWS))]
    #[schema(minimum = 0, maximum = 100_000)]
    pub draws: Option<i64>,
    /// The seed of these runs; 1 unless given. The same seed gives the same answer.
    #[validate(range(min = 0, max = MAX_SEED))]
    #[schema(minimum = 0, maximum = 9_007_199_254_740_991_i64)]
    pub seed: Option<i64>,
    /// True adds how amounts given, short and left come about; for at most 200 demands and lots.
    pub explain: Option<bool>,
}

/// The lots.
pub type Lots = List<StockRequest, 0, { MAX_STOCK }>;

/// The demands.
pub type Demands = List<DemandRequest, 1, { MAX_ITEMS }>;

/// A lot of castings: an amount, or a heap to measure.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StockRequest {
    /// Unique in the list, echoed; the heap's own unless given.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub id: Option<String>,
    /// Echoed; the heap's own unless given.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// How much, by volume, or by mass with the bulk density. Either this or `heap`.
    pub amount: Option<VolumeOrMassInput>,
    /// A heap to measure.
    #[validate(nested)]
    pub heap: Option<HeapInput>,
    /// The first day on which it can be used; from the start unless given.
    #[schema(format = Date)]
    pub ready_on: Option<String>,
    /// The last day on which it can be used; it does not expire unless given.
    #[schema(format = Date)]
    pub use_by: Option<String>,
    /// What is known of manure in what the worms were fed; unless given it is unknown, which counts as untreated.
    #[validate(nested)]
    pub manure: Option<ManureInput>,
}

/// A demand: an amount, an application or a brew.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DemandRequest {
    /// Unique in the list, echoed; the brew's own unless given.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub id: Option<String>,
    /// Echoed; the brew's own unless given.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// How much, by volume, or by mass with the bulk density. Exactly one of this, `application` and `brew`.
    pub amount: Option<VolumeOrMassInput>,
    /// A place and a rate.
    #[validate(nested)]
    pub application: Option<ApplicationRequest>,
    /// A tea; with `use_at`, its castings are drawn on the days on which its batches start.
    #[validate(nested)]
    pub brew: Option<BrewRequest>,
    /// The day. Either this, or `earliest` and/or `latest`, or none: any day will do.
    #[schema(format = Date)]
    pub on: Option<String>,
    /// The first day.
    #[schema(format = Date)]
    pub earliest: Option<String>,
    /// The last day.
    #[schema(format = Date)]
    pub latest: Option<String>,
    /// Served from 1 upwards; 1 unless given.
    #[validate(range(min = 1, max = MAX_PRIORITY))]
    #[schema(minimum = 1, maximum = 99)]
    pub priority: Option<u8>,
    /// True if only whole plants, pots or batches are of use.
    pub whole: Option<bool>,
    /// The smallest amount that is of use, by volume, by mass, or as a share of all that this demand asks; any amount is
    /// unless given. A demand that would get less is dropped and gets nothing. At most 100 demands of a request may have
    /// one.
    pub least: Option<VolumeMassOrShareInput>,
    /// What is grown there; without it nothing is said of waits.
    #[validate(nested)]
    pub crop: Option<CropRequest>,
}

/// A place and its rate.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ApplicationRequest {
    /// Where.
    #[validate(nested)]
    pub surface: SurfaceInput,
    /// How much.
    #[validate(nested)]
    pub rate: RateInput,
    /// The share of its depth that a layer loses by settling; 0 % unless given.
    pub settling: Option<ShareInput>,
    /// True on land declared a nitrate vulnerable zone.
    pub nitrate_vulnerable_zone: Option<bool>,
    /// What is known better for this place.
    pub assumptions: Option<AssumptionsInput>,
}

/// A sack of castings to buy.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SackRequest {
    /// What it holds, by volume, or by mass with the bulk density.
    pub holds: VolumeOrMassInput,
    /// What it costs.
    #[validate(range(min = 0.0, max = MAX_PRICE))]
    #[schema(minimum = 0, maximum = 1_000_000)]
    pub price: Option<f64>,
    /// In which currency; echoed.
    #[validate(length(min = 1, max = 10), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 10, example = "EUR")]
    pub currency: Option<String>,
}

/// What a demand was made of.
#[derive(Debug)]
pub enum Source {
    /// An amount.
    Amount,
    /// A place and a rate.
    Application(Order, Box<Application>),
    /// A tea.
    Brew(Box<Brew>),
}

/// The question as the core takes it.
#[derive(Debug)]
pub struct Asked {
    /// The lots.
    pub lots: Vec<Lot>,
    /// The harvest of each heap, for its assumptions and cautions.
    pub heaps: Vec<Option<crate::garden::harvests::Harvest>>,
    /// The demands.
    pub wants: Vec<Want>,
    /// What each was made of.
    pub sources: Vec<Source>,
    /// What a sack holds.
    pub sack: Option<Millilitres>,
    /// The caller's today.
    pub as_of: Option<NaiveDate>,
    /// What is known of manure, and of crops.
    pub waits: Waits,
    /// Whether the waits are kept.
    pub keep_waits: bool,
}

impl Asked {
    /// Computes the balance, or refuses one that takes too long.
    pub fn balance(&self, crossing: &Crossing<'_>) -> Option<Balance> {
        if !self.keep_waits {
            return Some(balance(&self.lots, &self.wants, self.sack));
        }
        let bars = self.waits.bars(&self.wants);
        crossing.keep(Place::root().field("keep_waits"), check_size(self.lots.len(), &self.wants, &bars))?;
        Some(balance_barred((&self.lots, &bars), &self.wants, self.sack))
    }
}

/// The smallest amount that can be asked: a millilitre, or a gram.
const LEAST: f64 = 1e-3;

/// The parts of a balance that stand in more than one question.
#[derive(Clone, Copy)]
pub(in crate::http::rooms) struct BalanceFields<'a> {
    pub as_of: Option<&'a str>,
    pub stock: &'a [StockRequest],
    pub demands: &'a [DemandRequest],
    pub sack: Option<&'a SackRequest>,
    pub keep_waits: bool,
}

impl BalancesRequest {
    fn fields(&self) -> BalanceFields<'_> {
        let (stock, demands): (&[StockRequest], &[DemandRequest]) = (&self.stock, &self.demands);
        let keep_waits = self.keep_waits.unwrap_or(false);
        BalanceFields { as_of: self.as_of.as_deref(), stock, demands, sack: self.sack.as_ref(), keep_waits }
    }
}

/// Reads the request.
pub fn read(request: &BalancesRequest, crossing: &Crossing<'_>) -> Option<Asked> {
    request.fields().read(crossing)
}

impl BalanceFields<'_> {
    /// Reads stock, demands and sack.
    pub fn read(&self, crossing: &Crossing<'_>) -> Option<Asked> {
        let root = Place::root();
        let (stock_list, demand_list) = (root.field("stock"), root.field("demands"));
        crossing.unique_ids(self.stock.iter().map(StockRequest::id), stock_list);
        crossing.unique_ids(self.demands.iter().map(DemandRequest::id), demand_list);
        let few = least::count(self.demands, crossing, demand_list);
        let as_of = crossing.day(self.as_of, root.field("as_of"));
        let sack = match self.sack {
            Some(sack) => crossing.amount_of_castings(&sack.holds, LEAST, root.field("sack").field("holds")).map(Some),
            None => Some(None),
        };
        let stock: Vec<_> =
            self.stock.iter().enumerate().map(|(i, stock)| stock.read(crossing, stock_list.index(i))).collect();
        let demands: Vec<_> =
            self.demands.iter().enumerate().map(|(i, demand)| demand.read(crossing, demand_list.index(i))).collect();
        let manure: Vec<_> =
            self.stock.iter().enumerate().map(|(i, it)| it.manure(crossing, stock_list.index(i))).collect();
        let (lots, heaps): (Vec<_>, Vec<_>) = stock.into_iter().collect::<Option<Vec<_>>>()?.into_iter().unzip();
        let demands = demands.into_iter().collect::<Option<Vec<_>>>()?;
        let (asked, grown): (Vec<_>, Vec<_>) = demands.into_iter().unzip();
        let (wants, sources): (Vec<_>, Vec<_>) = asked.into_iter().unzip();
        crossing.keep(stock_list, total(lots.iter().map(|lot: &Lot| lot.amount)))?;
        crossing.keep(demand_list, total(wants.iter().map(Want::amount)))?;
        crossing.keep(root, span(&lots, &wants, &grown))?;
        few?;
        let sack = sack?.map(|volume: Volume| Millilitres::nearest(volume));
        let waits = Waits { lots: manure.into_iter().collect::<Option<_>>()?, demands: grown };
        Some(Asked { lots, heaps, wants, sources, sack, as_of: as_of?, waits, keep_waits: self.keep_waits })
    }
}

/// What there is to prepare with; `Some(None)` where nothing was said about it.
pub fn preparing(request: &BalancesRequest, crossing: &Crossing<'_>) -> Option<Option<Preparing>> {
    let root = Place::root();
    let place = root.field("prepare");
    if request.draws.is_some() && request.prepare.is_none() {
        crossing.may_be_idle(root.field("draws"));
    }
    if request.seed.is_some() && (request.prepare.is_none() || request.draws == Some(0)) {
        crossing.may_be_idle(root.field("seed"));
    }
    match &request.prepare {
        Some(prepare) => {
            if prepare.climate.is_none() && !crossing.faults.touches(place.field("climate")) {
                let detail = "say how warm the bed is: a climate with fixed, daily or monthly_means";
                crossing.refuse(place.field("climate"), Refusal::new(Reason::MissingField, detail));
            }
            prepare.read(crossing, place).map(Some)
        }
        None => Some(None),
    }
}

/// How many runs, from which seed. Those outside their bounds have been told already.
pub(in crate::http::rooms) fn runs_from(draws: Option<i64>, seed: Option<i64>) -> (u32, u64) {
    let draws = draws.map_or(Some(DEFAULT_RUNS), |draws| u32::try_from(draws).ok()).filter(|runs| *runs <= MOST_RUNS);
    let seed = seed.and_then(|seed| u64::try_from(seed).ok());
    (draws.unwrap_or(0), seed.unwrap_or(DEFAULT_SEED))
}

/// Plans what to prepare for what is short.
pub fn prepared(
    (request, asked): (&BalancesRequest, &Asked),
    crossing: &Crossing<'_>,
    preparing: Option<Preparing>,
    balance: &Balance,
) -> Option<Option<Prepared>> {
    let (Some(preparing), Some(with)) = (preparing, &request.prepare) else { return Some(None) };
    let root = Place::root();
    let windows =
        asked.lots.iter().map(|l| l.window).chain(asked.wants.iter().flat_map(|w| w.parts.iter().map(|p| p.window)));
    let end = windows.flat_map(|w| [w.first, w.last]).flatten().max();
    let short = match shortages(balance, end) {
        Ok(short) => short,
        Err(demand) => {
            let detail = "this demand is short and no date is given anywhere; say by when it is wanted, so that a start can be found";
            let list = root.field("demands");
            crossing.refuse(list.index(demand).field("latest"), Refusal::new(Reason::MissingField, detail));
            return None;
        }
    };
    let (runs, seed) = runs_from(request.draws, request.seed);
    // A request with faults gets no answer, so nothing is drawn for it.
    let runs = (if crossing.faults.is_empty() { runs } else { 0 }, seed);
    preparing.run((with, crossing), (&short, asked.as_of), (None, runs)).map(Some)
}

/// Refuses dates that lie further apart than ten years.
fn span(lots: &[Lot], wants: &[Want], grown: &[Option<Grown>]) -> Result<(), Refusal> {
    let windows = lots.iter().map(|l| l.window).chain(wants.iter().flat_map(|w| w.parts.iter().map(|p| p.window)));
    let pickings = grown.iter().flatten().filter_map(|grown| grown.crop.first_picking);
    let days: Vec<NaiveDate> = windows.flat_map(|w| [w.first, w.last]).flatten().chain(pickings).collect();
    match (days.iter().min(), days.iter().max()) {
        (Some(first), Some(last)) if (*last - *first).num_days() > MAX_SPAN_DAYS => {
            let detail = format!("the dates run from {first} to {last}; one request covers at most ten years");
            Err(Refusal::new(Reason::OutOfRange, detail))
        }
        _ => Ok(()),
    }
}

impl StockRequest {
    /// Its id, or the heap's.
    pub fn id(&self) -> Option<&str> {
        self.id.as_deref().or_else(|| self.heap.as_ref().and_then(|heap| heap.common().id))
    }

    /// Its name, or the heap's.
    pub fn name(&self) -> Option<&str> {
        self.name.as_deref().or_else(|| self.heap.as_ref().and_then(|heap| heap.common().name))
    }

    fn manure(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Manure> {
        crossing.manure(self.manure.as_ref(), place.field("manure"))
    }

    fn read(
        &self,
        crossing: &Crossing<'_>,
        place: Place<'_>,
    ) -> Option<(Lot, Option<crate::garden::harvests::Harvest>)> {
        let ready = crossing.day(self.ready_on.as_deref(), place.field("ready_on"));
        let use_by = crossing.day(self.use_by.as_deref(), place.field("use_by"));
        let window = crossing.window((ready?, use_by?), place.field("use_by"), "use_by lies before ready_on");
        let (amount, heap) = match (&self.amount, &self.heap) {
            (Some(amount), None) => (crossing.amount_of_castings(amount, 0.0, place.field("amount"))?, None),
            (None, Some(heap)) => {
                let harvest = heap.solve(crossing, place.field("heap"))?;
                (harvest.stored.likely(), Some(harvest))
            }
            _ => {
                let detail = "a lot has either an amount or a heap";
                crossing.refuse(place, Refusal::new(Reason::ExactlyOneOf, detail).allowed(["amount", "heap"]));
                return None;
            }
        };
        Some((Lot { amount: Millilitres::nearest(amount), window: window? }, heap))
    }
}

impl Crossing<'_> {
    /// Reads an optional date.
    pub(in crate::http::rooms) fn day(&self, text: Option<&str>, place: Place<'_>) -> Option<Option<NaiveDate>> {
        text.map_or(Some(None), |text| self.keep(place, date(text)).map(Some))
    }

    fn window(
        &self,
        (first, last): (Option<NaiveDate>, Option<NaiveDate>),
        at: Place<'_>,
        detail: &str,
    ) -> Option<Window> {
        let window = Window { first, last };
        if window.holds_a_day() {
            return Some(window);
        }
        self.refuse(at, Refusal::new(Reason::DatesOutOfOrder, detail));
        None
    }
}

impl DemandRequest {
    /// Its id, or the brew's.
    pub fn id(&self) -> Option<&str> {
        self.id.as_deref().or_else(|| self.brew.as_ref().and_then(|brew| brew.id.as_deref()))
    }

    /// Its name, or the brew's.
    pub fn name(&self) -> Option<&str> {
        self.name.as_deref().or_else(|| self.brew.as_ref().and_then(|brew| brew.name.as_deref()))
    }

    fn read(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<((Want, Source), Option<Grown>)> {
        let window = self.window(crossing, place);
        let said = self.said_least(crossing, place);
        let crop = self.said_crop(crossing, place);
        let (parts, source) = self.parts(crossing, window, place)?;
        let least = said.and_then(|said| least::least(said, (&parts, &source), crossing, place));
        let grown = crop.and_then(|crop| match crop {
            Some(crop) => crop::grown(crop, (&parts, &source), crossing, place).map(Some),
            None => Some(None),
        });
        let (priority, whole) = (self.priority.unwrap_or(1), self.whole.unwrap_or(false));
        let want = Want { parts, priority, whole, least: least.flatten() };
        if want.whole && want.pieces().is_none() {
            let detail = "only plants, pots and batches of tea can be served whole";
            crossing.refuse(place.field("whole"), Refusal::new(Reason::NotAllowedHere, detail));
            return None;
        }
        window?;
        least?;
        Some(((want, source), grown?))
    }

    fn window(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Window> {
        let on = crossing.day(self.on.as_deref(), place.field("on"));
        let earliest = crossing.day(self.earliest.as_deref(), place.field("earliest"));
        let latest = crossing.day(self.latest.as_deref(), place.field("latest"));
        let (on, earliest, latest) = (on?, earliest?, latest?);
        if on.is_some() && (earliest.is_some() || latest.is_some()) {
            let detail = "give either on, or earliest and latest";
            crossing.refuse(
                place.field("on"),
                Refusal::new(Reason::ExactlyOneOf, detail).allowed(["on", "earliest and latest"]),
            );
            return None;
        }
        crossing.window((on.or(earliest), on.or(latest)), place.field("latest"), "latest lies before earliest")
    }

    fn parts(&self, crossing: &Crossing<'_>, window: Option<Window>, place: Place<'_>) -> Option<(Vec<Part>, Source)> {
        let one = |volume: Volume, pieces| {
            vec![Part { amount: Millilitres::nearest(volume), window: window.unwrap_or_default(), pieces }]
        };
        match (&self.amount, &self.application, &self.brew) {
            (Some(amount), None, None) => {
                Some((one(crossing.amount_of_castings(amount, LEAST, place.field("amount"))?, None), Source::Amount))
            }
            (None, Some(it), None) => {
                let (order, application) = it.parts().solve(crossing, place.field("application"))?;
                let pieces = application.extent.plants.and_then(|n| u32::try_from(n).ok());
                let parts = one(application.carried.volume.likely(), pieces);
                Some((parts, Source::Application(order, Box::new(application))))
            }
            (None, None, Some(it)) => {
                if it.use_at.is_some() {
                    self.refuse_dates(crossing, place);
                }
                let brew = it.solve(crossing, place.field("brew"))?;
                Some((parts_of_brew(&brew, window.unwrap_or_default()), Source::Brew(Box::new(brew))))
            }
            _ => {
                let detail = "a demand has exactly one of amount, application and brew";
                let refusal = Refusal::new(Reason::ExactlyOneOf, detail).allowed(["amount", "application", "brew"]);
                crossing.refuse(place, refusal);
                None
            }
        }
    }

    /// Tells a refusal of its first day where that day stands.
    pub(in crate::http::rooms) fn refuse_begin(&self, crossing: &Crossing<'_>, place: Place<'_>, refusal: Refusal) {
        let brew = place.field("brew");
        let at = match (&self.on, &self.earliest) {
            (Some(_), _) => place.field("on"),
            (None, Some(_)) => place.field("earliest"),
            (None, None) => brew.field("use_at"),
        };
        crossing.refuse(at, refusal);
    }

    /// A brew with `use_at` has its dates already.
    fn refuse_dates(&self, crossing: &Crossing<'_>, place: Place<'_>) {
        for (field, given) in [("on", &self.on), ("earliest", &self.earliest), ("latest", &self.latest)] {
            if given.is_some() {
                let detail = "the brew's use_at already says when its batches start; leave one of the two out";
                crossing.refuse(place.field(field), Refusal::new(Reason::NotAllowedHere, detail));
            }
        }
    }
}

impl ApplicationRequest {
    const fn parts(&self) -> Parts<'_> {
        Parts {
            surface: &self.surface,
            rate: &self.rate,
            settling: self.settling.as_ref(),
            nitrate_zone: self.nitrate_vulnerable_zone,
            assumptions: self.assumptions.as_ref(),
        }
    }
}

impl StockRequest {
    /// What makes its amount uncertain: a range, a mass, a heap. Only asked once it was read without a fault.
    pub(in crate::http::rooms) fn uncertain(
        &self,
        crossing: &Crossing<'_>,
        place: Place<'_>,
        heap: Option<&crate::garden::harvests::Harvest>,
    ) -> Amount {
        let mut amount = Amount::default();
        if let Some(input) = &self.amount {
            amount.factors = factors(input, crossing, place.field("amount"));
        }
        amount.factors.extend(heap.map(|harvest| Factor::Range(harvest.stored.into())));
        amount
    }
}

impl DemandRequest {
    /// What makes its amount uncertain: a range, a mass, nitrogen, the strength of a tea. Only asked once it was read without a fault.
    pub(in crate::http::rooms) fn uncertain(
        &self,
        crossing: &Crossing<'_>,
        place: Place<'_>,
        source: Option<&Source>,
    ) -> Amount {
        let mut amount = Amount::default();
        if let Some(input) = &self.amount {
            amount.factors = factors(input, crossing, place.field("amount"));
        }
        if let (Some(application), Some(Source::Application(order, _))) = (&self.application, source) {
            let at = place.field("application");
            amount.overrides = crossing.overrides(application.assumptions.as_ref(), at.field("assumptions"));
            amount.factors.extend(match order.rate {
                Rate::MassPerArea(_) | Rate::PerPlant(Portion::Mass(_)) => Some(Factor::ByMass),
                Rate::AvailableNitrogen(_) => Some(Factor::ByNitrogen),
                _ => None,
            });
        }
        if let Some(Source::Brew(brew)) = source
            && amount.overrides.set(Assumption::TeaStrength, brew.strength.into()).is_ok()
        {
            amount.factors.push(Factor::ByStrength);
        }
        amount
    }
}

/// What makes an amount of castings uncertain.
fn factors(input: &VolumeOrMassInput, crossing: &Crossing<'_>, place: Place<'_>) -> Vec<Factor> {
    let due = Due::any(VolumeOrMassInput::DIMENSIONS).from(0.0);
    let Some((dimension, span)) = crossing.span(&input.0, due, place) else { return Vec::new() };
    let mut factors = Vec::new();
    if span.low < span.high {
        crossing.range_is_used(place);
        factors.push(Factor::Range(span));
    }
    if dimension == Dimension::Mass {
        factors.push(Factor::ByMass);
    }
    factors
}

/// The sum of a list of amounts that was checked before.
pub fn sum(amounts: impl Iterator<Item = Millilitres>) -> Millilitres {
    amounts.fold(Millilitres::ZERO, add)
}

//! The answer, and writing it.

use super::request::{Asked, BalancesRequest, DemandRequest, Source, StockRequest, sum};
use crate::garden::applications::{Portion, Rate};
use crate::garden::balances::allocation::{Draw, Lot, Window};
use crate::garden::balances::ledger::{DayRow, LotState};
use crate::garden::balances::{Balance, Served, Want};
use crate::garden::units::quantity::OfDensity;
use crate::garden::units::{Dimension, Estimate, Millilitres, Share, whole};
use crate::http::input::Crossing;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{AssumptionOut, CautionOut, Number, QuantityOut, Report};
use crate::http::rooms::{COMPUTED_WITH, ReferenceOut, cell, column};
use crate::http::wire::Place;
use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;

/// Who gets what, what is short and when, and what would close the gap.
#[derive(Debug, Serialize, ToSchema)]
pub struct BalancesAnswer {
    /// The program and its version.
    pub computed_with: &'static str,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<String>,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
    /// The system of units.
    #[schema(schema_with = crate::http::output::words::systems)]
    pub units: &'static str,
    /// All demands and all stock together.
    pub total: BalanceTotal,
    /// The share that everybody could get alike, whatever the priority.
    pub even_share: QuantityOut,
    /// The last day on which the first shortage could have been met.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, value_type = Option<NaiveDate>)]
    pub first_short_on: Option<NaiveDate>,
    /// The demands, in the order of the request.
    pub demands: Vec<DemandOut>,
    /// The lots, in the order of the request.
    pub stock: Vec<StockOut>,
    /// On hand before the first date: stock without a date, less what was drawn from it without a date.
    pub opening: QuantityOut,
    /// The days on which something happens.
    pub by_date: Vec<DayOut>,
    /// What would close the gap.
    pub close_the_gap: GapOut,
    /// What was assumed.
    pub assumptions: Vec<AssumptionOut>,
    /// What to mind.
    pub cautions: Vec<CautionOut>,
}

/// All together: given + short = wanted, given + left + expired = stock.
#[derive(Debug, Serialize, ToSchema)]
pub struct BalanceTotal {
    /// Asked.
    pub wanted: QuantityOut,
    /// There or to come.
    pub stock: QuantityOut,
    /// Given.
    pub given: QuantityOut,
    /// Missing.
    pub short: QuantityOut,
    /// Left over.
    pub left: QuantityOut,
    /// Not used by its use-by.
    pub expired: QuantityOut,
}

/// What one demand gets: given + short = wanted.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Demand)]
pub struct DemandOut {
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<String>,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
    /// Its place in the queue.
    pub priority: u8,
    /// The first day on which it can be served.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub earliest: Option<NaiveDate>,
    /// The last day on which it can be served.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub latest: Option<NaiveDate>,
    /// True if its last day lies before `as_of`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// Asked.
    pub wanted: QuantityOut,
    /// Given.
    pub given: QuantityOut,
    /// Missing.
    pub short: QuantityOut,
    /// Given over wanted.
    pub share_given: QuantityOut,
    /// Given, in the caller's measures.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub in_measures: Vec<QuantityOut>,
    /// Whole plants, pots or batches given, where only whole ones are of use.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub whole: Option<WholeOut>,
    /// The rate that what is given comes to.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub rate_given: Option<RateOut>,
    /// From which lots, and when.
    pub draws: Vec<DrawOut>,
    /// The rules of the cautions that this demand gives reason for.
    pub cautions: Vec<&'static str>,
}

/// Whole plants, pots or batches.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = WholePieces)]
pub struct WholeOut {
    /// Asked.
    pub wanted: u32,
    /// Given.
    pub given: u32,
}

/// A rate.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RateGiven)]
pub struct RateOut {
    /// Its kind.
    #[schema(schema_with = crate::http::output::words::rate_kinds)]
    pub kind: &'static str,
    /// How much.
    pub amount: QuantityOut,
}

/// A draw from a lot.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Draw)]
pub struct DrawOut {
    /// Which lot.
    pub stock: ReferenceOut,
    /// The first day both allow.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub on: Option<NaiveDate>,
    /// How much.
    pub given: QuantityOut,
}

/// What becomes of one lot: given + left + expired = amount.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Stock)]
pub struct StockOut {
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<String>,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
    /// The first day.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub ready_on: Option<NaiveDate>,
    /// The last day.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub use_by: Option<NaiveDate>,
    /// True if its last day lies before `as_of`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// All of it.
    pub amount: QuantityOut,
    /// Given.
    pub given: QuantityOut,
    /// Left over.
    pub left: QuantityOut,
    /// Not used by its use-by.
    pub expired: QuantityOut,
}

/// A day on which something happens: left = left before + arrived - given - expired.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Day)]
pub struct DayOut {
    /// The day.
    pub date: NaiveDate,
    /// Ready from this day.
    pub arrived: QuantityOut,
    /// Given.
    pub given: QuantityOut,
    /// No longer usable from this day.
    pub expired: QuantityOut,
    /// On hand after this day.
    pub left: QuantityOut,
}

/// What would close the gap.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CloseTheGap)]
pub struct GapOut {
    /// Give everybody this share alike.
    pub even_share: QuantityOut,
    /// Or buy these sacks; empty where nobody is short or no sack was described.
    pub sacks: Vec<SackOut>,
}

/// Sacks to buy.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Sacks)]
pub struct SackOut {
    /// By this day; any day will do where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub by: Option<NaiveDate>,
    /// True if that day lies before `as_of`: too late to buy.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// How many.
    pub count: u64,
    /// What each holds.
    pub holds: QuantityOut,
    /// What they cost together.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<f64>, nullable = false)]
    pub cost: Option<Number>,
    /// In which currency.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub currency: Option<String>,
}

type Context<'a, 'b, 'c> = (&'a Crossing<'b>, &'a View<'c>);

/// Writes the answer.
pub fn write(
    request: &BalancesRequest,
    asked: &Asked,
    balance: &Balance,
    (crossing, view): Context<'_, '_, '_>,
) -> BalancesAnswer {
    let mut report = Report::of_castings();
    let root = Place::root();
    let demand_list = root.field("demands");
    let by_mass = view.measures.iter().any(|measure| measure.dimension() == Dimension::Mass);
    let density = if by_mass { crossing.bulk_density(root) } else { None };
    let mut demands = Vec::with_capacity(asked.wants.len());
    for (i, (item, served)) in request.demands.iter().zip(&balance.demands).enumerate() {
        let cautions = tell(&mut report, asked.sources.get(i), demand_list.index(i));
        demands.extend(
            asked.wants.get(i).map(|want| demand((item, want, served), (request, asked), i, (view, density, cautions))),
        );
    }
    for (i, heap) in asked.heaps.iter().enumerate() {
        if let Some(harvest) = heap {
            let root = Place::root();
            let place = root.field("stock");
            report.used(&harvest.assumed, place.index(i));
            let _ = report.cautions(&harvest.cautions, place.index(i));
        }
    }
    let lots = request.stock.iter().zip(&asked.lots).zip(&balance.stock);
    let stock = lots.map(|((item, lot), state)| stock(item, (lot, state), asked.as_of, view)).collect();
    let (assumptions, cautions) = report.write(crossing, view);
    let even_share = view.exact(Role::Share, Share::from_fraction(balance.even_share.unwrap_or(1.0)));
    BalancesAnswer {
        computed_with: COMPUTED_WITH,
        id: request.id.clone(),
        name: request.name.clone(),
        units: view.system.as_str(),
        total: total(asked, balance, view),
        even_share: even_share.clone(),
        first_short_on: balance.first_short_on,
        demands,
        stock,
        opening: view.whole(balance.opening),
        by_date: balance.by_date.iter().map(|row| day(row, view)).collect(),
        close_the_gap: GapOut { even_share, sacks: sacks(request, asked, balance, view) },
        assumptions,
        cautions,
    }
}

fn tell(report: &mut Report, source: Option<&Source>, place: Place<'_>) -> Vec<&'static str> {
    match source {
        Some(Source::Application(_, application)) => {
            report.used(&application.assumed, place);
            report.cautions(&application.cautions, place)
        }
        Some(Source::Brew(brew)) => {
            report.used(&brew.assumed, place);
            report.cautions(&brew.cautions, place)
        }
        _ => Vec::new(),
    }
}

fn total(asked: &Asked, balance: &Balance, view: &View<'_>) -> BalanceTotal {
    let served = |pick: fn(&Served) -> Millilitres| view.whole(sum(balance.demands.iter().map(pick)));
    let kept = |pick: fn(&LotState) -> Millilitres| view.whole(sum(balance.stock.iter().map(pick)));
    BalanceTotal {
        wanted: view.whole(sum(asked.wants.iter().map(Want::amount))),
        stock: view.whole(sum(asked.lots.iter().map(|lot| lot.amount))),
        given: served(|d| d.given),
        short: served(|d| d.short),
        left: kept(|s| s.left),
        expired: kept(|s| s.expired),
    }
}

/// The window of a whole demand: from the first day of its first part to the last day of its last.
fn window(want: &Want) -> Window {
    let first = want.parts.iter().map(|p| p.window.first).min().flatten();
    let open = want.parts.iter().any(|p| p.window.last.is_none());
    let last = want.parts.iter().filter_map(|p| p.window.last).max().filter(|_| !open);
    Window { first, last }
}

type Item<'a> = (&'a DemandRequest, &'a Want, &'a Served);

fn demand(
    (item, want, served): Item<'_>,
    (request, asked): (&BalancesRequest, &Asked),
    index: usize,
    (view, density, cautions): (&View<'_>, Option<Estimate<OfDensity>>, Vec<&'static str>),
) -> DemandOut {
    let wanted = want.amount();
    let share = if wanted == Millilitres::ZERO { 1.0 } else { whole(served.given.get()) / whole(wanted.get()) };
    let window = window(want);
    let rate_given = match asked.sources.get(index) {
        Some(Source::Application(order, _)) => Some(rate(&order.rate.scaled(share), view)),
        _ => None,
    };
    let pieces = want.pieces().zip(served.pieces);
    DemandOut {
        id: item.id().map(str::to_owned),
        name: item.name().map(str::to_owned),
        priority: want.priority,
        earliest: window.first,
        latest: window.last,
        past: past(window, asked.as_of),
        wanted: view.whole(wanted),
        given: view.whole(served.given),
        short: view.whole(served.short),
        share_given: view.exact(Role::Share, Share::from_fraction(share)),
        in_measures: in_measures(served.given, density, view),
        whole: pieces.map(|(wanted, given)| WholeOut { wanted, given }),
        rate_given,
        draws: served.draws.iter().map(|draw| draw_out(draw, request, view)).collect(),
        cautions,
    }
}

fn in_measures(given: Millilitres, density: Option<Estimate<OfDensity>>, view: &View<'_>) -> Vec<QuantityOut> {
    let volume = Estimate::exactly(given.volume());
    view.in_measures(volume, density.map(|density| volume * density))
}

fn past(window: Window, as_of: Option<NaiveDate>) -> bool {
    window.last.zip(as_of).is_some_and(|(last, today)| last < today)
}

fn draw_out(draw: &Draw, request: &BalancesRequest, view: &View<'_>) -> DrawOut {
    let lot = request.stock.get(draw.lot);
    DrawOut {
        stock: ReferenceOut {
            index: draw.lot,
            id: lot.and_then(StockRequest::id).map(str::to_owned),
            name: lot.and_then(StockRequest::name).map(str::to_owned),
        },
        on: draw.on,
        given: view.whole(draw.amount),
    }
}

/// A rate in the unit of its role.
fn rate(rate: &Rate, view: &View<'_>) -> RateOut {
    let amount = match *rate {
        Rate::Depth(x) => view.exact(Role::Depth, x),
        Rate::MassPerArea(x) => view.exact(Role::MassPerArea, x),
        Rate::VolumePerArea(x) => view.exact(Role::BulkPerArea, x),
        Rate::AvailableNitrogen(x) => view.exact(Role::NutrientPerArea, x),
        Rate::VolumePerLength(x) => view.exact(Role::BulkPerLength, x),
        Rate::PerPlant(Portion::Volume(x)) => view.exact(Role::Bulk, x),
        Rate::PerPlant(Portion::Mass(x)) => view.exact(Role::Mass, x),
        Rate::Share(x) => view.exact(Role::Share, x),
    };
    RateOut { kind: rate.kind(), amount }
}

fn stock(item: &StockRequest, (lot, state): (&Lot, &LotState), as_of: Option<NaiveDate>, view: &View<'_>) -> StockOut {
    StockOut {
        id: item.id().map(str::to_owned),
        name: item.name().map(str::to_owned),
        ready_on: lot.window.first,
        use_by: lot.window.last,
        past: past(lot.window, as_of),
        amount: view.whole(lot.amount),
        given: view.whole(state.given),
        left: view.whole(state.left),
        expired: view.whole(state.expired),
    }
}

fn day(row: &DayRow, view: &View<'_>) -> DayOut {
    DayOut {
        date: row.date,
        arrived: view.whole(row.arrived),
        given: view.whole(row.given),
        expired: view.whole(row.expired),
        left: view.whole(row.left),
    }
}

fn sacks(request: &BalancesRequest, asked: &Asked, balance: &Balance, view: &View<'_>) -> Vec<SackOut> {
    let (Some(sack), Some(holds)) = (&request.sack, asked.sack) else { return Vec::new() };
    balance
        .sacks
        .iter()
        .map(|purchase| SackOut {
            by: purchase.by,
            past: past(Window { first: None, last: purchase.by }, asked.as_of),
            count: purchase.count,
            holds: view.whole(holds),
            cost: sack.price.map(|price| Number::rounded(price * whole(purchase.count))),
            currency: sack.currency.clone(),
        })
        .collect()
}

impl BalancesAnswer {
    /// The demands, then the lots, as rows.
    pub fn table(&self) -> Vec<Vec<String>> {
        let unit = &self.total.wanted.unit;
        let mut header: Vec<String> =
            ["row", "id", "name", "first_day", "last_day", "priority"].map(str::to_owned).to_vec();
        for name in ["wanted", "given", "short"] {
            header.push(column(name, unit));
        }
        header.push("share_given_%".to_owned());
        for name in ["left", "expired"] {
            header.push(column(name, unit));
        }
        header.push("draws".to_owned());
        let measures = self.demands.first().map(|d| d.in_measures.as_slice()).unwrap_or_default();
        header.extend(measures.iter().map(|measure| column("given", &measure.unit)));
        header.push("cautions".to_owned());
        let width = header.len();
        let demands = self.demands.iter().map(demand_row);
        let lots = self.stock.iter().map(|lot| {
            let mut row = stock_row(lot);
            row.resize(width, String::new());
            row
        });
        std::iter::once(header).chain(demands).chain(lots).collect()
    }
}

fn text(date: Option<NaiveDate>) -> String {
    date.map(|d| d.to_string()).unwrap_or_default()
}

fn demand_row(d: &DemandOut) -> Vec<String> {
    let draws = d.draws.iter().map(|draw| {
        let lot = draw
            .stock
            .name
            .clone()
            .or_else(|| draw.stock.id.clone())
            .unwrap_or_else(|| format!("lot {}", draw.stock.index + 1));
        let on = draw.on.map(|on| format!(" on {on}")).unwrap_or_default();
        format!("{} {} from {lot}{on}", draw.given.value, draw.given.unit)
    });
    let mut row = vec![
        "demand".to_owned(),
        d.id.clone().unwrap_or_default(),
        d.name.clone().unwrap_or_default(),
        text(d.earliest),
        text(d.latest),
        d.priority.to_string(),
        cell(Some(&d.wanted)),
        cell(Some(&d.given)),
        cell(Some(&d.short)),
        cell(Some(&d.share_given)),
        String::new(),
        String::new(),
        draws.collect::<Vec<_>>().join("; "),
    ];
    row.extend(d.in_measures.iter().map(|measure| measure.value.to_string()));
    row.push(d.cautions.join(" "));
    row
}

fn stock_row(s: &StockOut) -> Vec<String> {
    vec![
        "stock".to_owned(),
        s.id.clone().unwrap_or_default(),
        s.name.clone().unwrap_or_default(),
        text(s.ready_on),
        text(s.use_by),
        String::new(),
        String::new(),
        cell(Some(&s.given)),
        String::new(),
        String::new(),
        cell(Some(&s.left)),
        cell(Some(&s.expired)),
        String::new(),
    ]
}

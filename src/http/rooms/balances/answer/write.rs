//! Writing the answer.

use super::parts::BalanceParts;
use super::{
    BalanceTotal, BalancesAnswer, BalancesPart, DayOut, DemandOut, DrawOut, DroppedOut, GapOut, RateOut, SackOut,
    StockOut, WholeOut, gap, series, wait,
};
use crate::garden::applications::{Portion, Rate};
use crate::garden::balances::allocation::{Lot, LotSource, Window};
use crate::garden::balances::ledger::{DayRow, LotState};
use crate::garden::balances::{Allocated, Balance, Served, Want};
use crate::garden::units::quantity::OfDensity;
use crate::garden::units::{Dimension, Estimate, Millilitres, Share, whole};
use crate::http::input::Crossing;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{Echo, Number, QuantityOut, Report};
use crate::http::rooms::balances::prepare::Prepared;
use crate::http::rooms::balances::request::{
    Asked, BalancesRequest, DemandRequest, SackRequest, Source, StockRequest, sum,
};
use crate::http::rooms::{ReferenceOut, close};
use crate::http::wire::Place;
use chrono::NaiveDate;

type Context<'a, 'b, 'c> = (&'a Crossing<'b>, &'a View<'c>);

/// What lots and demands are called.
pub(in crate::http::rooms) struct Labels<'a> {
    pub stock: &'a [StockRequest],
    pub demands: &'a [DemandRequest],
    pub sack: Option<&'a SackRequest>,
    /// The worm beds.
    pub beds: &'a [ReferenceOut],
}

/// Writes the answer.
pub fn write(
    request: &BalancesRequest,
    (asked, prepared): (&Asked, Option<&Prepared>),
    balance: &Balance,
    (crossing, view): Context<'_, '_, '_>,
) -> BalancesAnswer {
    let mut report = Report::of_castings();
    let labels = Labels { stock: &request.stock, demands: &request.demands, sack: request.sack.as_ref(), beds: &[] };
    let mut ledger = balance_parts(&labels, (asked, &asked.lots, balance), &mut report, (crossing, view));
    if let Some(prepared) = prepared {
        ledger.close_the_gap.prepare =
            prepared.write(&labels, (&asked.wants, &asked.lots, balance), (&mut report, view));
    }
    ledger.without_manure(&asked.lots, &mut report);
    let part = BalancesPart {
        total: ledger.total,
        even_share: ledger.even_share,
        first_short_on: ledger.first_short_on,
        demands: ledger.demands,
        stock: ledger.stock,
        opening: ledger.opening,
        by_date: ledger.by_date,
        series: series(balance, (&asked.wants, &asked.lots), None, view),
        close_the_gap: ledger.close_the_gap,
    };
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (crossing, view))
}

/// What each demand gets, with its cautions and what the waits after raw manure come to.
fn demand_list(
    labels: &Labels<'_>,
    (asked, lots, balance): (&Asked, &[Lot], &Balance),
    report: &mut Report,
    (crossing, view): Context<'_, '_, '_>,
) -> Vec<DemandOut> {
    let root = Place::root();
    let list = root.field("demands");
    let by_mass = view.measures.iter().any(|measure| measure.dimension() == Dimension::Mass);
    let density = if by_mass { crossing.bulk_density(root) } else { None };
    let mut demands = Vec::with_capacity(asked.wants.len());
    for (i, (item, served)) in labels.demands.iter().zip(&balance.demands).enumerate() {
        let Some(want) = asked.wants.get(i) else { continue };
        let mut cautions = tell(report, asked.sources.get(i), list.index(i));
        let waits = wait::of_draws(want, served, lots);
        cautions.extend(report.cautions(&wait::rules(&waits), list.index(i)));
        let mut out = demand((item, want, served), (labels, asked), i, (view, density, cautions));
        for (draw, wait) in out.draws.iter_mut().zip(waits) {
            draw.wait(wait);
        }
        demands.push(out);
    }
    demands
}

/// Writes what every balance has. `lots` are those of the stock, then those of beds.
pub(in crate::http::rooms) fn balance_parts(
    labels: &Labels<'_>,
    (asked, lots, balance): (&Asked, &[Lot], &Balance),
    report: &mut Report,
    (crossing, view): Context<'_, '_, '_>,
) -> BalanceParts {
    let root = Place::root();
    let demands = demand_list(labels, (asked, lots, balance), report, (crossing, view));
    let place = root.field("stock");
    for (i, harvest) in asked.heaps.iter().enumerate() {
        if let Some(harvest) = harvest {
            report.used(&harvest.assumed, place.index(i));
            let _ = report.cautions(&harvest.cautions, place.index(i));
        }
    }
    let states = labels.stock.iter().zip(lots).zip(&balance.stock);
    let stock = states.map(|((item, lot), state)| stock(item, (lot, state), asked.as_of, view)).collect();
    let even_share = view.exact(Role::Share, Share::from_fraction(balance.even_share.unwrap_or(1.0)));
    BalanceParts {
        total: total((asked, lots), balance, view),
        even_share: even_share.clone(),
        first_short_on: balance.first_short_on,
        demands,
        stock,
        opening: view.whole(balance.opening),
        by_date: balance.by_date.iter().map(|row| day(row, view)).collect(),
        close_the_gap: GapOut {
            even_share,
            sacks: sacks(labels, asked, balance, view),
            moved: gap::moved(labels.demands, &balance.moved, view),
            wait: gap::waits(labels.demands, &balance.waits, view),
            prepare: Vec::new(),
        },
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

fn total((asked, lots): (&Asked, &[Lot]), balance: &Balance, view: &View<'_>) -> BalanceTotal {
    let served = |pick: fn(&Served) -> Millilitres| view.whole(sum(balance.demands.iter().map(pick)));
    let kept = |pick: fn(&LotState) -> Millilitres| view.whole(sum(balance.stock.iter().map(pick)));
    BalanceTotal {
        wanted: view.whole(sum(asked.wants.iter().map(Want::amount))),
        stock: view.whole(sum(lots.iter().map(|lot| lot.amount))),
        given: served(|d| d.given),
        short: served(|d| d.short),
        left: kept(|s| s.left),
        expired: kept(|s| s.expired),
    }
}

/// The window of a whole demand: from the first day of its first part to the last day of its last.
fn window(want: &Want) -> Window {
    let first = want.parts.iter().map(|p| p.window.first).min().flatten();
    Window { first, last: want.last_day() }
}

type Item<'a> = (&'a DemandRequest, &'a Want, &'a Served);

fn demand(
    (item, want, served): Item<'_>,
    (labels, asked): (&Labels<'_>, &Asked),
    index: usize,
    (view, density, cautions): (&View<'_>, Option<Estimate<OfDensity>>, Vec<&'static str>),
) -> DemandOut {
    let wanted = want.amount();
    let share = if wanted == Millilitres::ZERO { 1.0 } else { whole(served.given.get()) / whole(wanted.get()) };
    let window = window(want);
    let rate_given = match asked.sources.get(index) {
        Some(Source::Application(order, _)) if share > 0.0 => Some(rate(&order.rate.scaled(share), view)),
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
        chance: None,
        in_measures: in_measures(served.given, density, view),
        whole: pieces.map(|(wanted, given)| WholeOut { wanted, given }),
        dropped: served.dropped.map(|dropped| DroppedOut {
            least: view.whole(dropped.least),
            would_have_given: view.whole(dropped.would_have_given),
        }),
        rate_given,
        dig_in_by: want.grown.as_ref().and_then(|grown| grown.crop.dig_in_by()),
        draws: served.draws.iter().map(|draw| draw_out(draw, labels, view)).collect(),
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

fn draw_out(draw: &Allocated, labels: &Labels<'_>, view: &View<'_>) -> DrawOut {
    let (stock, bed, cycle) = match draw.source {
        LotSource::Stock(index) => (labels.stock.get(index).map(|lot| (index, lot)), None, None),
        LotSource::Bed { bed, cycle } => (None, labels.beds.get(bed), Some(cycle)),
    };
    DrawOut {
        stock: stock.map(|(index, lot)| ReferenceOut {
            index,
            id: lot.id().map(str::to_owned),
            name: lot.name().map(str::to_owned),
        }),
        worm_bed: bed.cloned(),
        cycle,
        on: draw.on,
        given: view.whole(draw.amount),
        harvest_from: None,
        too_late: false,
        not_met: None,
    }
}

/// A rate in the unit of its role.
fn rate(rate: &Rate, view: &View<'_>) -> RateOut {
    let amount = match *rate {
        Rate::Depth(x) => view.estimate(Role::Depth, x),
        Rate::MassPerArea(x) => view.estimate(Role::MassPerArea, x),
        Rate::VolumePerArea(x) => view.estimate(Role::BulkPerArea, x),
        Rate::AvailableNitrogen(x) => view.estimate(Role::NutrientPerArea, x),
        Rate::VolumePerLength(x) => view.estimate(Role::BulkPerLength, x),
        Rate::PerPlant(Portion::Volume(x)) => view.estimate(Role::Bulk, x),
        Rate::PerPlant(Portion::Mass(x)) => view.estimate(Role::Mass, x),
        Rate::Share(x) => view.estimate(Role::Share, x),
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

fn sacks(labels: &Labels<'_>, asked: &Asked, balance: &Balance, view: &View<'_>) -> Vec<SackOut> {
    let (Some(sack), Some(holds)) = (labels.sack, asked.sack) else { return Vec::new() };
    balance
        .sacks
        .iter()
        .map(|purchase| SackOut {
            by: purchase.by,
            past: past(Window { first: None, last: purchase.by }, asked.as_of),
            count: purchase.count,
            holds: view.whole(holds),
            cost: sack.price.map(|price| Number::rounded(price.0 * whole(purchase.count))),
            currency: sack.currency.as_deref().map(str::to_owned),
        })
        .collect()
}

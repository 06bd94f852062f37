//! Writing the answer.

use super::lots::{Brought, LotAnalyses};
use super::occasions::{dropped, occasions, past, rate_allocated};
use super::parts::{BalanceParts, short_on};
use super::{
    AllocationOut, BalanceTotal, BalancesAnswer, BalancesPart, DayOut, DemandOut, ShortfallOptionsOut, StockOut,
    WholeOut, gap, interval, series,
};
use crate::garden::assumptions::Castings;
use crate::garden::balances::allocation::{Lot, LotSource, Window};
use crate::garden::balances::figures::{BalanceFigures, DayFigures, DemandFigures, LotFigures, TotalFigures};
use crate::garden::balances::storage::long_stored;
use crate::garden::balances::{Allocated, Balance, Requirement, Served};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::MassOfVolume;
use crate::garden::units::quantity::{OfDensity, OfVolume};
use crate::garden::units::{Dimension, Estimate, Share};
use crate::http::input::RequestContext;
use crate::http::output::quantity::{Role, View};
use crate::http::output::skipped::with_left_out;
use crate::http::output::{Echo, InContainers, Report};
use crate::http::resources::balances::additional_production::PlannedProduction;
use crate::http::resources::balances::request::{
    BalancesRequest, DemandRequest, ParsedBalance, SackRequest, Source, StockRequest,
};
use crate::http::resources::{Named, ReferenceOut, close};
use crate::http::wire::JsonPath;

type Context<'a, 'b, 'c> = (&'a RequestContext<'b>, &'a View<'c>);

/// What lots and demands are called.
pub(in crate::http::resources) struct Labels<'a> {
    pub stock: &'a [StockRequest],
    pub demands: &'a [DemandRequest],
    pub sack: Option<&'a SackRequest>,
    /// The worm beds.
    pub beds: &'a [ReferenceOut],
}

/// A balance, what its lots and demands are called, and how its amounts came.
pub(in crate::http::resources) struct Balanced<'a> {
    pub labels: &'a Labels<'a>,
    pub asked: &'a ParsedBalance,
    /// The lots of the stock, then those of beds.
    pub lots: &'a [Lot],
    pub balance: &'a Balance,
    pub figures: &'a BalanceFigures,
    /// What the lots of beds hold, in their order, where that is known.
    pub harvests: &'a [Option<Castings>],
}

/// Writes the answer.
pub fn write(
    request: &BalancesRequest,
    (asked, production): (&ParsedBalance, Option<&PlannedProduction>),
    balance: &Balance,
    (context, view): Context<'_, '_, '_>,
) -> BalancesAnswer {
    let mut report = Report::of_castings();
    let labels = Labels { stock: &request.stock, demands: &request.demands, sack: request.sack.as_ref(), beds: &[] };
    let figures = &asked.figures(balance, view.book());
    let balanced = Balanced { labels: &labels, asked, lots: &asked.lots, balance, figures, harvests: &[] };
    let ledger = balanced.parts(production, &mut report, (context, view));
    ledger.without_manure(&asked.lots, &mut report);
    let series = series(balance, (&asked.requirements, &asked.lots), (None, ledger.first_short_on()), view);
    let part = BalancesPart {
        headline: with_left_out(ledger.headline(None), &context.skipped),
        total: ledger.total,
        pro_rata_share: ledger.pro_rata_share,
        first_shortfall_on: ledger.first_shortfall_on,
        demands: ledger.demands,
        stock: ledger.stock,
        opening_stock: ledger.opening_stock,
        by_date: ledger.by_date,
        series,
        shortfall_options: ledger.shortfall_options,
        variants: Vec::new(),
    };
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (context, view))
}

impl Balanced<'_> {
    /// Writes what every balance has.
    pub fn parts(
        &self,
        production: Option<&PlannedProduction>,
        report: &mut Report,
        (context, view): Context<'_, '_, '_>,
    ) -> BalanceParts {
        let Self { labels, asked, balance, figures, .. } = self;
        let demands = self.demands(report, (context, view));
        self.report_stock(report);
        let stock = labels.stock.iter().zip(self.lots).zip(&figures.stock);
        let stock = stock.map(|((item, lot), of)| self.stock(item, (lot, of), view)).collect();
        let pro_rata_share = view.exact(Role::Share, Share::from_fraction(balance.pro_rata_share.unwrap_or(1.0)));
        let balanced = (asked.requirements.as_slice(), self.lots, *balance);
        let mut shortfall_options = ShortfallOptionsOut {
            options: Vec::new(),
            reach_90_percent: Vec::new(),
            out_of_reach: Vec::new(),
            pro_rata_share: pro_rata_share.clone(),
            sacks: self.sacks(view),
            served_later: gap::served_later(labels.demands, &balance.served_later, view),
            later_supply: gap::later_supply(labels.demands, &balance.later_supply, view),
            additional_production: production.map(|it| it.write(labels, balanced, (report, view))).unwrap_or_default(),
        };
        shortfall_options.options = self.options(&shortfall_options, production, view);
        BalanceParts {
            total: total(&figures.total, view),
            pro_rata_share,
            first_shortfall_on: balance.first_shortfall_on,
            short_on: short_on(&asked.requirements, balance),
            demands,
            stock,
            opening_stock: view.whole(figures.opening_stock),
            by_date: figures.by_date.iter().map(|row| day(row, view)).collect(),
            shortfall_options,
        }
    }

    /// What the lots assumed, and the cautions of heaps.
    fn report_stock(&self, report: &mut Report) {
        let root = JsonPath::root();
        let place = root.field("stock");
        for (i, stocked) in self.asked.stock.iter().enumerate() {
            report.used(&stocked.assumed, place.index(i));
        }
        let heaps = self.asked.stock.iter().enumerate().filter_map(|(i, stocked)| Some((i, stocked.heap.as_ref()?)));
        for (i, harvest) in heaps {
            report.used(&harvest.assumed, place.index(i));
            let _ = report.cautions(&harvest.cautions, place.index(i));
        }
    }

    /// What each demand gets, with its cautions and what the waits after raw manure come to.
    fn demands(&self, report: &mut Report, (context, view): Context<'_, '_, '_>) -> Vec<DemandOut> {
        let root = JsonPath::root();
        let list = root.field("demands");
        let by_mass = view.containers.iter().any(|measure| measure.dimension() == Dimension::Mass);
        let density = if by_mass { context.bulk_density(root) } else { None };
        let mut analyses = LotAnalyses::of(&self.asked.stock, self.harvests);
        let made = self.asked.requirements.iter().zip(&self.asked.sources).zip(&self.balance.demands);
        let items = self.labels.demands.iter().zip(made).zip(&self.figures.demands).enumerate();
        let write = |(i, ((item, ((requirement, source), served)), amounts))| {
            let mut cautions = tell(report, source, list.index(i));
            let waits = interval::of_allotments((requirement, served), self.lots, self.asked.as_of);
            let of_store = long_stored((requirement, &served.allocations), self.lots, self.asked.as_of);
            let asked = (item, requirement, source);
            let brought = analyses.as_mut().map(|it| it.brought(asked, (served, amounts), (context, list.index(i))));
            let brought = brought.unwrap_or_default();
            let rules: Vec<Rule> = interval::rules(&waits).into_iter().chain(of_store).chain(brought.rules()).collect();
            cautions.extend(report.cautions(&rules, list.index(i)));
            let mut out = self.demand(asked, (served, amounts, &brought), (view, density, cautions));
            for (allotment, wait) in out.allocations.iter_mut().zip(waits) {
                allotment.wait(wait);
            }
            brought.write(&mut out.allocations, view);
            if out.takes_though_past() {
                out.cautions.extend(report.cautions(&[Rule::PastDemand], list.index(i)));
            }
            out
        };
        let demands = items.map(write).collect();
        if let Some(analyses) = analyses {
            analyses.report((self.labels.stock, self.asked, self.lots), context, report);
        }
        demands
    }

    fn demand(
        &self,
        (item, requirement, source): (&DemandRequest, &Requirement, &Source),
        (served, amounts, brought): (&Served, &DemandFigures, &Brought),
        (view, density, cautions): (&View<'_>, Option<Estimate<OfDensity>>, Vec<&'static str>),
    ) -> DemandOut {
        let window = requirement.window();
        let once = Some(amounts.share_allocated).filter(|_| served.occasions.is_empty());
        let times = (served.occasions.as_slice(), amounts.occasions.as_slice());
        let occasion = |part: usize| requirement.parts.get(part).map(|part| part.occasion).filter(|time| *time > 0);
        let one = |allotment: &Allocated| allocation(allotment, occasion(allotment.part), (self.labels, view));
        let incorporate_by = requirement.grown.as_ref().and_then(|grown| grown.crop.incorporate_by());
        let whole = requirement.pieces().zip(served.pieces).map(|pieces| WholeOut::new(pieces, source));
        DemandOut {
            id: item.id().map(str::to_owned),
            name: item.name().map(str::to_owned),
            priority: requirement.priority,
            earliest: window.first,
            latest: window.last,
            past: past(window, self.asked.as_of),
            needed: view.whole(amounts.needed),
            allocated: view.whole(amounts.allocated),
            shortfall: view.whole(amounts.shortfall),
            share_allocated: view.estimate(Role::Share, amounts.share_allocated),
            chance_full: None,
            chance_allocated: None,
            in_containers: in_containers(amounts.allocated.figure(), density, view),
            rate_allocated: once
                .and_then(|share| rate_allocated((source, whole.as_ref()), (share, brought.in_all), view)),
            whole_portions: whole,
            dropped: dropped(served.dropped, view),
            content: brought.out(brought.in_all, view),
            occasions: occasions(times, (source, brought), (self.asked.as_of, view)),
            incorporate_by,
            too_late_to_incorporate: past(Window { first: None, last: incorporate_by }, self.asked.as_of),
            castings_barred: self.barred((requirement, served), source, view),
            allocations: served.allocations.iter().map(one).collect(),
            cautions,
        }
    }

    fn stock(&self, item: &StockRequest, (lot, amounts): (&Lot, &LotFigures), view: &View<'_>) -> StockOut {
        StockOut {
            id: item.id().map(str::to_owned),
            name: item.name().map(str::to_owned),
            ready_on: lot.window.first,
            use_by: lot.window.last,
            past: past(lot.window, self.asked.as_of),
            amount: view.whole(amounts.amount),
            in_containers: view.in_containers(amounts.amount.figure(), None),
            allocated: view.whole(amounts.allocated),
            remaining: view.whole(amounts.remaining),
            expired: view.whole(amounts.expired),
        }
    }
}

fn tell(report: &mut Report, source: &Source, place: JsonPath<'_>) -> Vec<&'static str> {
    match source {
        Source::Application(_, application) => {
            report.used(&application.assumed, place);
            report.cautions(&application.cautions, place)
        }
        Source::Brew(brew) => {
            report.used(&brew.assumed, place);
            report.cautions(&brew.cautions, place)
        }
        Source::Amount(_) => Vec::new(),
    }
}

fn total(total: &TotalFigures, view: &View<'_>) -> BalanceTotal {
    BalanceTotal {
        needed: view.whole(total.needed),
        supply: view.whole(total.supply),
        on_hand: total.on_hand.map(|amount| view.whole(amount)),
        stock_to_come: total.stock_to_come.map(|amount| view.whole(amount)),
        expected_harvest: total.expected_harvest.map(|amount| view.whole(amount)),
        allocated: view.whole(total.allocated),
        shortfall: view.whole(total.shortfall),
        remaining: view.whole(total.remaining),
        expired: view.whole(total.expired),
    }
}

#[expect(non_snake_case, reason = "the symbols of the formulas")]
fn in_containers(V: Estimate<OfVolume>, density: Option<Estimate<OfDensity>>, view: &View<'_>) -> InContainers {
    view.in_containers(V, density.map(|rho| view.book().figure(MassOfVolume { V, rho })))
}

fn allocation(allotment: &Allocated, occasion: Option<u32>, (labels, view): (&Labels<'_>, &View<'_>)) -> AllocationOut {
    let (stock, bed, cycle) = match allotment.source {
        LotSource::Stock(index) => (Some(ReferenceOut::to(labels.stock, index)), None, None),
        LotSource::Bed { bed, cycle } => (None, labels.beds.get(bed), Some(cycle)),
    };
    AllocationOut {
        lot: stock,
        worm_bed: bed.cloned(),
        cycle,
        on: allotment.on,
        occasion,
        amount: view.whole(allotment.amount),
        supplied: None,
        earliest_crop_harvest: None,
        begins_interval: false,
        interval_not_met: false,
        interval_not_met_because: None,
    }
}

fn day(row: &DayFigures, view: &View<'_>) -> DayOut {
    DayOut {
        date: row.date,
        received: view.whole(row.received),
        allocated: view.whole(row.allocated),
        expired: view.whole(row.expired),
        closing_stock: view.whole(row.closing_stock),
    }
}

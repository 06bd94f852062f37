//! What draws bring by what each lot says of its castings.

use crate::garden::assumptions::{Assumed, Assumption, Castings, SetBy};
use crate::garden::balances::Requirement;
use crate::garden::balances::figures::DemandFigures;
use crate::garden::balances::lot_analysis::{Basis, own_castings};
use crate::garden::balances::{Allocated, Served};
use crate::garden::cautions::Rule;
use crate::garden::units::Share;
use crate::http::input::RequestContext;
use crate::http::output::Report;
use crate::http::resources::balances::request::{DemandRequest, Source, StockRequest, Stocked};
use crate::http::wire::JsonPath;
use std::collections::BTreeSet;

/// What a demand is brought by what its lots hold, as a share of what it asks; `None` where volumes say it.
#[derive(Debug, Default)]
pub struct Brought {
    /// All together.
    pub in_all: Option<Share>,
    /// Of a demand that repeats, each time.
    pub each_time: Vec<Option<Share>>,
}

impl Brought {
    /// The caution that follows.
    pub fn rule(&self) -> Option<Rule> {
        let differs = self.in_all.is_some() || self.each_time.iter().any(Option::is_some);
        differs.then_some(Rule::LotAnalysis)
    }
}

/// The castings of the stock that knows them better, and which of their assumptions the demands made use of.
pub struct LotAnalyses {
    castings: Vec<Option<Castings>>,
    used: BTreeSet<(usize, Assumption)>,
}

impl LotAnalyses {
    /// Of the stock of a balance; `None` where no lot knows anything better.
    pub fn of(stock: &[Stocked]) -> Option<Self> {
        let castings: Vec<_> = stock.iter().map(|stocked| stocked.castings.clone()).collect();
        castings.iter().any(Option::is_some).then(|| Self { castings, used: BTreeSet::new() })
    }

    /// What a demand is brought.
    pub fn brought(
        &mut self,
        (item, requirement, source): (&DemandRequest, &Requirement, &Source),
        (served, amounts): (&Served, &DemandFigures),
        (context, place): (&RequestContext<'_>, JsonPath<'_>),
    ) -> Brought {
        let Some(basis) = item.basis(context, place, source) else { return Brought::default() };
        self.note(&basis, &served.allocations);
        let of = |time: u32| {
            let this = move |draw: &&Allocated| requirement.parts.get(draw.part).is_some_and(|p| p.occasion == time);
            served.allocations.iter().filter(this)
        };
        let times = (1..).zip(&amounts.occasions);
        Brought {
            in_all: basis.brought(served.allocations.iter(), amounts.needed.volume, &self.castings),
            each_time: times.map(|(time, one)| basis.brought(of(time), one.needed.volume, &self.castings)).collect(),
        }
    }

    /// Notes which assumptions of lots count for these draws.
    fn note(&mut self, basis: &Basis, draws: &[Allocated]) {
        for draw in draws {
            let own = own_castings(draw, &self.castings).into_iter().flat_map(|castings| &castings.assumed);
            let counts = |a: &&Assumed| a.set_by == SetBy::Item && basis.by.depends_on(a.assumption);
            self.used.extend(own.filter(counts).map(|a| (draw.lot, a.assumption)));
        }
    }

    /// Reports the assumptions of lots that demands made use of, beside those that their amounts were read by.
    pub fn report(
        self,
        (items, stock): (&[StockRequest], &[Stocked]),
        context: &RequestContext<'_>,
        report: &mut Report,
    ) {
        let root = JsonPath::root();
        let list = root.field("stock");
        for (lot, which) in self.used {
            let Some((item, stocked)) = items.get(lot).zip(stock.get(lot)) else { continue };
            let (place, read) = (list.index(lot), stocked.assumed.iter());
            let heap = place.field("heap");
            let at = if item.heap.is_some() { heap } else { place };
            context.took_effect(at, which);
            let known = read.chain(stocked.heap.iter().flat_map(|heap| &heap.assumed)).any(|a| a.assumption == which);
            let own = self.castings.get(lot).and_then(Option::as_ref).map_or(&[][..], |castings| &castings.assumed);
            let new: Vec<Assumed> = own.iter().filter(|a| a.assumption == which && !known).copied().collect();
            report.used(&new, place);
        }
    }
}

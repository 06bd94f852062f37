//! What draws bring by what each lot says of its castings.

use crate::garden::assumptions::{Assumed, Assumption, Castings, SetBy};
use crate::garden::balances::Requirement;
use crate::garden::balances::allocation::{Lot, LotSource};
use crate::garden::balances::figures::DemandFigures;
use crate::garden::balances::lot_analysis::{Basis, CountedBy, own_castings};
use crate::garden::balances::{Allocated, Served};
use crate::garden::cautions::Rule;
use crate::garden::units::Share;
use crate::http::input::RequestContext;
use crate::http::output::Report;
use crate::http::resources::balances::request::{DemandRequest, ParsedBalance, Source, StockRequest, Stocked};
use crate::http::wire::JsonPath;
use std::collections::{BTreeMap, BTreeSet};

/// What a demand is brought by what its lots hold, as a share of what it asks; `None` where volumes say it.
#[derive(Debug, Default)]
pub struct Brought {
    /// All together.
    pub in_all: Option<Share>,
    /// Of a demand that repeats, each time.
    pub each_time: Vec<Option<Share>>,
    /// Whether it counts nitrogen and draws on castings that tie nitrogen up.
    ties_up: bool,
}

impl Brought {
    /// The cautions that follow.
    pub fn rules(&self) -> impl Iterator<Item = Rule> {
        let differs = self.in_all.is_some() || self.each_time.iter().any(Option::is_some);
        let analysis = differs.then_some(Rule::LotAnalysis);
        analysis.into_iter().chain(self.ties_up.then_some(Rule::NitrogenTieUp))
    }
}

/// The castings of the lots that know them better, and which of their assumptions the demands made use of.
pub struct LotAnalyses {
    castings: Vec<Option<Castings>>,
    used: BTreeSet<(usize, Assumption)>,
}

impl LotAnalyses {
    /// Of the stock of a balance and the harvests after it; `None` where no lot knows anything better.
    pub fn of(stock: &[Stocked], harvests: &[Option<Castings>]) -> Option<Self> {
        let castings: Vec<_> = stock.iter().map(|stocked| &stocked.castings).chain(harvests).cloned().collect();
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
        let mut by_time: BTreeMap<u32, Vec<&Allocated>> = BTreeMap::new();
        for draw in &served.allocations {
            let time = requirement.parts.get(draw.part).map_or(0, |part| part.occasion);
            by_time.entry(time).or_default().push(draw);
        }
        let of = |time: u32| by_time.get(&time).into_iter().flatten().copied();
        let times = (1..).zip(&amounts.occasions);
        Brought {
            in_all: basis.brought(served.allocations.iter(), amounts.needed.volume, &self.castings),
            each_time: times.map(|(time, one)| basis.brought(of(time), one.needed.volume, &self.castings)).collect(),
            ties_up: basis.by == CountedBy::AvailableNitrogen && self.tie_up(&served.allocations),
        }
    }

    /// Whether any of these draws is of castings that tie nitrogen up.
    fn tie_up(&self, draws: &[Allocated]) -> bool {
        let ties_up = |castings: &Castings| castings.cautions.contains(&Rule::NitrogenTieUp);
        draws.iter().filter_map(|draw| own_castings(draw, &self.castings)).any(ties_up)
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
        (items, asked, lots): (&[StockRequest], &ParsedBalance, &[Lot]),
        context: &RequestContext<'_>,
        report: &mut Report,
    ) {
        let root = JsonPath::root();
        let (stock, beds) = (root.field("stock"), root.field("worm_beds"));
        for (lot, which) in self.used {
            let (place, is_heap, known) = match lots.get(lot).map(|lot| lot.source) {
                Some(LotSource::Stock(index)) => {
                    let is_heap = items.get(index).is_some_and(|item| item.heap.is_some());
                    (stock.index(index), is_heap, asked.stock.get(index).is_some_and(|lot| lot.assumes(which)))
                }
                Some(LotSource::Bed { bed, .. }) => (beds.index(bed), false, report.knows(which, beds.index(bed))),
                None => continue,
            };
            let heap = place.field("heap");
            context.took_effect(if is_heap { heap } else { place }, which);
            let own = self.castings.get(lot).and_then(Option::as_ref).map_or(&[][..], |castings| &castings.assumed);
            let new: Vec<Assumed> = own.iter().filter(|a| a.assumption == which && !known).copied().collect();
            report.used(&new, place);
        }
    }
}

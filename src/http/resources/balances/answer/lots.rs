//! What allotments bring by what each lot says of its castings.

use super::AllocationOut;
use crate::garden::assumptions::{Assumed, Assumption, Castings, CountedBy, SetBy};
use crate::garden::balances::Requirement;
use crate::garden::balances::allocation::{Lot, LotSource};
use crate::garden::balances::figures::DemandFigures;
use crate::garden::balances::lot_analysis::{Content, Supplied, own_castings};
use crate::garden::balances::{Allocated, Served};
use crate::garden::cautions::Rule;
use crate::http::input::RequestContext;
use crate::http::output::enums::words;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{QuantityOut, Report};
use crate::http::present::words::shown;
use crate::http::resources::balances::request::{DemandRequest, ParsedBalance, Source, StockRequest, Stocked};
use crate::http::wire::JsonPath;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

/// From this share on, in percent, what is supplied counts as all: below it the whole number shown is less than 100. Source: how this
/// service works.
const ENOUGH: f64 = 99.5;

/// What the allocations of a demand bring of what it counts, by what its lots hold; nothing where volumes say it.
#[derive(Debug, Default)]
pub struct Brought {
    /// What it counts.
    by: Option<CountedBy>,
    /// All together.
    pub in_all: Option<Content>,
    /// Of a demand that repeats, each time.
    pub each_time: Vec<Option<Content>>,
    /// Each allocation.
    pub allotments: Vec<Supplied>,
    /// Whether it counts nitrogen and draws on castings that tie nitrogen up.
    ties_up: bool,
}

impl Brought {
    /// The cautions that follow.
    pub fn rules(&self) -> impl Iterator<Item = Rule> {
        let analysis = self.in_all.map(|_| Rule::LotAnalysis);
        analysis.into_iter().chain(self.ties_up.then_some(Rule::NitrogenTieUp))
    }

    /// It as it is written.
    pub fn out(&self, content: Option<Content>, view: &View<'_>) -> Option<ContentOut> {
        Some(ContentOut::new(self.by?, &content?, view))
    }

    /// Writes to each allocation what it brings.
    pub fn write(&self, allocations: &mut [AllocationOut], view: &View<'_>) {
        let Some(by) = self.by else { return };
        for (allotment, of) in allocations.iter_mut().zip(&self.allotments) {
            allotment.amount = view.whole(of.volume);
            allotment.supplied = Some(view.estimate(role(by), of.content));
        }
    }
}

/// How what a demand counts is written.
const fn role(by: CountedBy) -> Role {
    match by {
        CountedBy::Mass | CountedBy::DryMass => Role::Mass,
        CountedBy::AvailableNitrogen | CountedBy::Phosphorus | CountedBy::Potassium => Role::Nutrient,
    }
}

/// What the lots and harvests allocated to a demand bring of the mass, the dry mass or the nutrient that it counts, each by its own analysis.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Content)]
pub struct ContentOut {
    /// What the demand counts.
    #[schema(schema_with = counted)]
    pub counted_by: &'static str,
    /// How much of it is needed.
    pub needed: QuantityOut,
    /// How much of it the allocations bring.
    pub supplied: QuantityOut,
    /// Supplied over needed: above 100 % it is more than needed.
    pub share_supplied: QuantityOut,
}

impl ContentOut {
    fn new(by: CountedBy, content: &Content, view: &View<'_>) -> Self {
        Self {
            counted_by: by.as_str(),
            needed: view.estimate(role(by), content.needed),
            supplied: view.estimate(role(by), content.supplied),
            share_supplied: view.estimate(Role::Share, content.share_supplied),
        }
    }

    /// Whether at the likely values the allocations bring all that is needed.
    pub fn is_enough(&self) -> bool {
        self.share_supplied.value.get() >= ENOUGH
    }

    /// In words: `supplies 36 g (25 to 50) of the 45 g of available nitrogen needed`.
    pub fn in_words(&self) -> String {
        let counted_by = self.counted_by.replace('_', " ");
        let counted_by = if counted_by == "mass" { String::new() } else { format!(" of {counted_by}") };
        format!("supplies {} of the {}{counted_by} needed", shown(&self.supplied), shown(&self.needed))
    }
}

fn counted() -> RefOr<Schema> {
    let meaning = "What the demand counts: phosphorus also for a rate of phosphate, potassium also for one of potash.";
    words(meaning, CountedBy::words())
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
        self.note(basis.by, &served.allocations);
        let ties_up = basis.by == CountedBy::AvailableNitrogen && self.tie_up(&served.allocations);
        if !basis.differs(served.allocations.iter(), &self.castings) {
            return Brought { ties_up, ..Brought::default() };
        }
        let recorder = context.book();
        let supplied = |allotment| basis.supplied((allotment, amounts.needed), &self.castings, recorder);
        let allotments: Vec<Supplied> = served.allocations.iter().map(supplied).collect();
        let mut by_time: BTreeMap<u32, Vec<(&Allocated, &Supplied)>> = BTreeMap::new();
        for (allotment, brings) in served.allocations.iter().zip(&allotments) {
            let time = requirement.parts.get(allotment.part).map_or(0, |part| part.occasion);
            by_time.entry(time).or_default().push((allotment, brings));
        }
        let at = |time: u32| {
            let of_time = by_time.get(&time)?;
            let differs = basis.differs(of_time.iter().map(|(allotment, _)| *allotment), &self.castings);
            differs.then(|| basis.content(of_time.iter().map(|(_, brings)| *brings), None, recorder))
        };
        let times = u32::try_from(amounts.occasions.len()).unwrap_or(u32::MAX);
        let each_time = (1..=times).map(at).collect();
        let in_all = Some(basis.content(allotments.iter(), Some(times).filter(|times| *times > 0), recorder));
        Brought { by: Some(basis.by), in_all, each_time, allotments, ties_up }
    }

    /// Whether any of these allotments is of castings that tie nitrogen up.
    fn tie_up(&self, allotments: &[Allocated]) -> bool {
        let ties_up = |castings: &Castings| castings.cautions.contains(&Rule::NitrogenTieUp);
        allotments.iter().filter_map(|allotment| own_castings(allotment, &self.castings)).any(ties_up)
    }

    /// Notes which assumptions of lots count for these allotments.
    fn note(&mut self, by: CountedBy, allotments: &[Allocated]) {
        for allotment in allotments {
            let Some(own) = own_castings(allotment, &self.castings) else { continue };
            let counts = |a: &&Assumed| a.set_by == SetBy::Item && by.depends_on(a.assumption, own);
            self.used.extend(own.assumed.iter().filter(counts).map(|a| (allotment.lot, a.assumption)));
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

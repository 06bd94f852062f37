//! What is drawn for the runs of a season, and its amounts in one run.

use super::counted::{Counted, drawn, own_castings};
use super::plan::{Amount, Factor, Season, SeasonPlan};
use crate::garden::assumptions::CountedBy;
use crate::garden::assumptions::{Assumption, Castings, Known, Overrides};
use crate::garden::balances::Allocated;
use crate::garden::beds::{BedSimulator, ClockDrawn};
use crate::garden::draws::{Drawn, Run, Variable, Variables};
use crate::garden::figures::Off;
use crate::garden::refusal::Refusal;
use crate::garden::units::whole;
use std::collections::BTreeMap;

/// An amount as drawn: the likely one times its factors over their likely values.
#[derive(Debug, Clone)]
pub(super) struct DrawnAmount {
    /// The likely amount, mL.
    pub likely: f64,
    range: Option<Drawn>,
    counted: Option<Counted>,
    by_strength: Option<Drawn>,
}

impl DrawnAmount {
    pub fn new(
        likely: f64,
        (amount, own): (&Amount, Variable),
        request: &Overrides,
        variables: &mut Variables,
    ) -> Result<Self, Refusal> {
        let known = Known { request, item: &amount.overrides };
        let mut drawn = Self { likely, range: None, counted: None, by_strength: None };
        for factor in &amount.factors {
            match factor {
                Factor::Range(span) => drawn.range = Some(variables.take(own, *span)),
                Factor::By(by) => {
                    drawn.counted = Some(Counted::new(*by, (&Castings::known(known, Off)?, known), variables));
                }
                Factor::ByStrength => {
                    let which = Assumption::TeaStrength;
                    let span = known.get(which).map(|assumed| assumed.span);
                    drawn.by_strength = span.map(|span| variables.take(Variable::Assumption(which), span));
                }
            }
        }
        Ok(drawn)
    }

    /// Counts what the plan allocates from lots that know their castings better by what these hold.
    fn drawn_from(
        mut self,
        draws: &[Allocated],
        (season, plan): (&Season<'_>, &SeasonPlan),
        variables: &mut Variables,
    ) -> Result<Self, Refusal> {
        let Some(counted) = &mut self.counted else { return Ok(self) };
        let all: f64 = draws.iter().map(|draw| whole(draw.amount.get())).sum();
        let mut lots: BTreeMap<usize, (&Allocated, f64)> = BTreeMap::new();
        for draw in draws {
            lots.entry(draw.lot).or_insert((draw, 0.0)).1 += whole(draw.amount.get());
        }
        for (draw, amount) in lots.into_values() {
            let Some((castings, known)) = own_castings(draw, counted.by, (season, plan))? else { continue };
            counted.lots.push((amount / all, drawn(counted.by, (&castings, known), variables)));
        }
        Ok(self)
    }

    /// True if it is the same in every run.
    pub fn is_known(&self) -> bool {
        [self.range, self.by_strength].iter().flatten().all(Drawn::is_known) && self.counted.is_none()
    }

    /// True if it is weighed out: it then takes more or less room as castings are lighter or heavier.
    pub fn is_weighed(&self) -> bool {
        self.counted.as_ref().is_some_and(|counted| counted.by == CountedBy::Mass)
    }

    /// The litres in a run over those at the likely values, as far as the bulk density makes them differ.
    pub fn weighed(&self, run: &Run<'_>) -> f64 {
        self.counted.as_ref().filter(|_| self.is_weighed()).map_or(1.0, |counted| counted.times(run))
    }

    /// The amount in a run, whole mL.
    pub fn of(&self, run: &Run<'_>) -> f64 {
        let mut amount = self.likely * self.weighed(run);
        for drawn in [self.range, self.by_strength].into_iter().flatten() {
            amount *= drawn.of(run) / drawn.likely();
        }
        if let Some(counted) = self.counted.as_ref().filter(|_| !self.is_weighed()) {
            amount *= counted.times(run);
        }
        amount.round_ties_even()
    }
}

/// Everything that is drawn.
pub(super) struct DrawnSeason {
    pub variables: Variables,
    /// One for each bed.
    pub clocks: Vec<ClockDrawn>,
    pub beds: Vec<BedSimulator>,
    pub stock: Vec<DrawnAmount>,
    pub requirements: Vec<DrawnAmount>,
}

/// All amounts in one run, mL.
#[derive(Debug, Clone, Default)]
pub(super) struct Amounts {
    pub stock: Vec<f64>,
    pub requirements: Vec<f64>,
}

impl Amounts {
    /// Those of a run.
    pub fn draw(&mut self, draws: &DrawnSeason, run: &Run<'_>) {
        for (values, drawn) in [(&mut self.stock, &draws.stock), (&mut self.requirements, &draws.requirements)] {
            values.clear();
            values.extend(drawn.iter().map(|amount| amount.of(run)));
        }
    }

    pub fn stock(&self, place: usize) -> f64 {
        self.stock.get(place).copied().unwrap_or(0.0)
    }

    pub fn requirement(&self, place: usize) -> f64 {
        self.requirements.get(place).copied().unwrap_or(0.0)
    }
}

impl DrawnSeason {
    /// The amounts at the likely values.
    pub fn likely(&self) -> Amounts {
        let mut amounts = Amounts::default();
        amounts.draw(self, &Run::LIKELY);
        amounts
    }

    pub fn new(season: &Season<'_>, plan: &SeasonPlan) -> Result<Self, Refusal> {
        let mut variables = Variables::correlated(season.request.copula());
        let (mut clocks, mut beds) = (Vec::new(), Vec::new());
        for bed in &season.beds {
            let known = Known { request: season.request, item: bed.overrides };
            clocks.push(ClockDrawn::new(bed.clocks, known, &mut variables));
            beds.push(BedSimulator::new(&bed.bed, bed.clocks, known, &mut variables)?);
        }
        let mut stock = Vec::with_capacity(season.stock.len());
        for (i, (lot, amount)) in season.stock.iter().enumerate() {
            let litres = whole(lot.amount.get());
            stock.push(DrawnAmount::new(litres, (amount, Variable::Stock(i)), season.request, &mut variables)?);
        }
        let mut requirements = Vec::with_capacity(season.requirements.len());
        for (i, (requirement, (_, amount))) in plan.requirements.iter().zip(&season.requirements).enumerate() {
            let asked = whole(requirement.amount().get());
            let drawn = DrawnAmount::new(asked, (amount, Variable::Demand(i)), season.request, &mut variables)?;
            let draws = plan.balance.demands.get(i).map(|served| served.allocations.as_slice()).unwrap_or_default();
            requirements.push(drawn.drawn_from(draws, (season, plan), &mut variables)?);
        }
        Ok(Self { variables, clocks, beds, stock, requirements })
    }
}

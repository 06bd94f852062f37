//! What is drawn for the runs of a season, and its amounts in one run.

use super::plan::{Amount, Factor, Season, SeasonPlan};
use crate::garden::assumptions::{Assumption, Castings, Known, Overrides};
use crate::garden::beds::{BedSimulator, ClockDrawn};
use crate::garden::draws::{CastingsDrawn, Drawn, Run, Variable, Variables};
use crate::garden::figures::Off;
use crate::garden::refusal::Refusal;

/// An amount as drawn: the likely one times its factors over their likely values.
#[derive(Debug, Clone)]
pub(super) struct DrawnAmount {
    /// The likely amount, mL.
    pub likely: f64,
    range: Option<Drawn>,
    by_mass: Option<CastingsDrawn>,
    by_nitrogen: Option<CastingsDrawn>,
    /// By dry mass, or by a nutrient in it.
    by_dry_matter: Option<CastingsDrawn>,
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
        let mut drawn =
            Self { likely, range: None, by_mass: None, by_nitrogen: None, by_dry_matter: None, by_strength: None };
        let castings = || Castings::known(known, Off);
        for factor in &amount.factors {
            match factor {
                Factor::Range(span) => drawn.range = Some(variables.take(own, *span)),
                Factor::ByMass => {
                    drawn.by_mass = Some(CastingsDrawn::new(&castings()?, known, variables));
                }
                Factor::ByNitrogen => {
                    drawn.by_nitrogen = Some(CastingsDrawn::new(&castings()?, known, variables));
                }
                Factor::ByDryMass => {
                    drawn.by_dry_matter = Some(CastingsDrawn::new(&castings()?, known, variables));
                }
                Factor::ByNutrient { phosphorus } => {
                    let (of, phosphorus) = (castings()?, *phosphorus);
                    let both = CastingsDrawn::new(&of, known, variables).with_nutrient(&of, phosphorus, variables);
                    drawn.by_dry_matter = Some(both);
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

    /// True if it is the same in every run.
    pub fn is_known(&self) -> bool {
        let known = [self.range, self.by_strength].iter().flatten().all(Drawn::is_known);
        known && [self.by_mass, self.by_nitrogen, self.by_dry_matter].iter().all(Option::is_none)
    }

    /// True if it is weighed out: it then takes more or less room as castings are lighter or heavier.
    pub fn is_weighed(&self) -> bool {
        self.by_mass.is_some()
    }

    /// The litres in a run over those at the likely values, as far as the bulk density makes them differ.
    pub fn weighed(&self, run: &Run<'_>) -> f64 {
        self.by_mass.map_or(1.0, |castings| castings.densities(&Run::LIKELY).0 / castings.densities(run).0)
    }

    /// The amount in a run, whole mL.
    pub fn of(&self, run: &Run<'_>) -> f64 {
        let mut amount = self.likely * self.weighed(run);
        for drawn in [self.range, self.by_strength].into_iter().flatten() {
            amount *= drawn.of(run) / drawn.likely();
        }
        if let Some(castings) = self.by_nitrogen {
            amount *= castings.available_nitrogen(&Run::LIKELY) / castings.available_nitrogen(run);
        }
        if let Some(castings) = self.by_dry_matter {
            amount *= castings.dry_matter_or_nutrient(&Run::LIKELY) / castings.dry_matter_or_nutrient(run);
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
            let litres = crate::garden::units::whole(lot.amount.get());
            stock.push(DrawnAmount::new(litres, (amount, Variable::Stock(i)), season.request, &mut variables)?);
        }
        let mut requirements = Vec::with_capacity(season.requirements.len());
        for (i, (requirement, (_, amount))) in plan.requirements.iter().zip(&season.requirements).enumerate() {
            let asked = crate::garden::units::whole(requirement.amount().get());
            requirements.push(DrawnAmount::new(asked, (amount, Variable::Demand(i)), season.request, &mut variables)?);
        }
        Ok(Self { variables, clocks, beds, stock, requirements })
    }
}

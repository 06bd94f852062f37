//! The castings of a run: only independent values are drawn, the rest is derived.

use super::{Drawn, Run, Variable, Variables};
use crate::garden::assumptions::{Assumption, Castings, Known, Span};

/// What is drawn of the weight and dry matter of castings: two of bulk density, dry bulk density and moisture; the third follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CastingsDrawn {
    bulk: Density,
    dry: Density,
    solids: Option<Drawn>,
    nitrogen: Drawn,
    available: Drawn,
    phosphorus: Option<Drawn>,
    potassium: Option<Drawn>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Density {
    /// Drawn itself.
    Own(Drawn),
    /// From the other one and the moisture.
    Derived,
}

impl CastingsDrawn {
    /// By what is known of the castings.
    #[must_use]
    pub fn new(castings: &Castings, known: Known<'_>, variables: &mut Variables) -> Self {
        let given = |which| known.given(which).is_some();
        let by_moisture = Assumption::OF_MOISTURE.into_iter().any(given);
        let mut take = |which, span: Span| variables.take(Variable::Assumption(which), span);
        let derived_bulk = by_moisture && given(Assumption::DryBulkDensity) && !given(Assumption::BulkDensity);
        let derived_dry = by_moisture && !given(Assumption::DryBulkDensity);
        let bulk = match derived_bulk {
            true => Density::Derived,
            false => Density::Own(take(Assumption::BulkDensity, castings.bulk_density.into())),
        };
        let dry = match derived_dry {
            true => Density::Derived,
            false => Density::Own(take(Assumption::DryBulkDensity, castings.dry_bulk_density.into())),
        };
        let solids = (derived_bulk || derived_dry).then(|| take(Assumption::Moisture, castings.solids.into()));
        Self {
            bulk,
            dry,
            solids,
            nitrogen: take(Assumption::Nitrogen, castings.nitrogen.into()),
            available: take(Assumption::AvailableNitrogen, castings.available.into()),
            phosphorus: None,
            potassium: None,
        }
    }

    /// Bulk density and dry bulk density in a run, kg/m3. There is never more dry matter than castings.
    #[must_use]
    pub fn densities(&self, run: &Run<'_>) -> (f64, f64) {
        let solids = self.solids.map_or(1.0, |solids| solids.of(run));
        match (self.bulk, self.dry) {
            (Density::Own(bulk), Density::Own(dry)) => {
                let bulk = bulk.of(run);
                (bulk, dry.of(run).min(bulk))
            }
            (Density::Own(bulk), Density::Derived) => (bulk.of(run), bulk.of(run) * solids),
            (Density::Derived, Density::Own(dry)) => (dry.of(run) / solids, dry.of(run)),
            (Density::Derived, Density::Derived) => (0.0, 0.0),
        }
    }

    /// The same, with phosphorus or potassium drawn too.
    #[must_use]
    pub fn with_nutrient(self, castings: &Castings, phosphorus: bool, variables: &mut Variables) -> Self {
        let mut take = |which, span: Span| Some(variables.take(Variable::Assumption(which), span));
        if phosphorus {
            return Self { phosphorus: take(Assumption::Phosphorus, castings.phosphorus.into()), ..self };
        }
        Self { potassium: take(Assumption::Potassium, castings.potassium.into()), ..self }
    }

    /// Dry matter in a litre of castings in a run, kg, or the phosphorus or potassium in it where that is drawn: `rho_d p`.
    #[must_use]
    pub fn dry_matter_or_nutrient(&self, run: &Run<'_>) -> f64 {
        let share = self.phosphorus.or(self.potassium).map_or(1.0, |drawn| drawn.of(run));
        self.densities(run).1 / 1000.0 * share
    }

    /// Available nitrogen in a litre of castings in a run, kg: `rho_d n a`.
    #[must_use]
    pub fn available_nitrogen(&self, run: &Run<'_>) -> f64 {
        self.densities(run).1 / 1000.0 * self.nitrogen.of(run) * self.available.of(run)
    }
}

//! What the service says to a row: at the likely values, and in 80 of 100 runs with the ranges of the defaults and of what print
//! leaves open.

use super::trials::{Input, Row};
use crate::beds::{bed, fixed, kg, reported, share, square_metres, weighing};
use crate::support::{on, with};
use barrowful::garden::assumptions::{Assumption, Overrides, Span};
use barrowful::garden::beds::{Bed, Fed, Feed, FromFeed, Pace, Supply, from_feed, measured_loss};
use barrowful::garden::draws::{DEFAULT_RUNS, DEFAULT_SEED, Drawn, Run, Variable, Variables, percentiles};
use barrowful::garden::figures::Off;
use barrowful::garden::units::quantity::OfShare;
use barrowful::garden::units::{Estimate, Quantity};
use chrono::TimeDelta;

/// The trial of Thang ran from 4 to 31 August 2003, both days counted.
const TRIAL: (&str, i64) = ("2003-08-04", 28);

/// What is asked of a row.
pub struct Question {
    pub id: &'static str,
    /// What is compared.
    pub compared: &'static str,
    pub unit: &'static str,
    /// What is drawn of the defaults.
    assumptions: &'static [Assumption],
    answer: fn(&Values) -> f64,
}

use Assumption::{
    BedDryDensity, BedMoisture, BulkDensity, CarryingCapacity, ComfortHigh, ComfortLow, DoublingTime, DryBulkDensity,
    FeedDryDensity, FeedRate, Finishing, NitrogenRetained, OrganicMatterLoss, StoppedAbove, StoppedBelow,
};

/// Every question.
pub const QUESTIONS: &[Question] = &[
    Question {
        id: "residue",
        compared: "what lies in the bed after 28 days, castings and uneaten feed, moist, of the fresh feed",
        unit: "%",
        assumptions: &[
            FeedRate,
            DoublingTime,
            CarryingCapacity,
            OrganicMatterLoss,
            StoppedBelow,
            ComfortLow,
            ComfortHigh,
            StoppedAbove,
            FeedDryDensity,
            BedDryDensity,
            BedMoisture,
            Finishing,
        ],
        answer: residue,
    },
    Question {
        id: "dry_loss",
        compared: "dry matter lost on the way to castings",
        unit: "%",
        assumptions: &[OrganicMatterLoss],
        answer: |of| 100.0 * (1.0 - of.castings(0.0).of_dry_feed.fraction()),
    },
    Question {
        id: "organic_loss",
        compared: "organic matter lost on the way to castings",
        unit: "%",
        assumptions: &[OrganicMatterLoss],
        answer: |of| 100.0 * of.assumed(OrganicMatterLoss),
    },
    Question {
        id: "ratio",
        compared: "C:N of the castings",
        unit: "",
        assumptions: &[OrganicMatterLoss, NitrogenRetained],
        answer: ratio,
    },
    Question {
        id: "moist_castings",
        compared: "castings that a kilogram of worms makes in a warm day, moist",
        unit: "kg",
        assumptions: &[FeedRate, OrganicMatterLoss, BedMoisture],
        answer: |of| of.eaten_by_a_kilogram() * of.castings(0.0).of_dry_feed.fraction() / of.solids_in_the_bed(),
    },
    Question {
        id: "dry_castings",
        compared: "castings that a kilogram of worms makes in a warm day, dry matter",
        unit: "kg",
        assumptions: &[FeedRate, OrganicMatterLoss],
        answer: |of| of.eaten_by_a_kilogram() * of.castings(0.0).of_dry_feed.fraction(),
    },
    Question {
        id: "fresh_residue",
        compared: "castings in the bed, moist, of the fresh feed",
        unit: "%",
        assumptions: &[OrganicMatterLoss, BedMoisture],
        answer: |of| {
            let w = of.input("moisture");
            100.0 * (1.0 - w) * of.castings(w).of_dry_feed.fraction() / of.solids_in_the_bed()
        },
    },
    Question {
        id: "fresh_yield",
        compared: "castings in store, moist, of the fresh feed",
        unit: "%",
        assumptions: &[OrganicMatterLoss, BulkDensity, DryBulkDensity],
        answer: |of| {
            let (w, solids) = (of.input("moisture"), of.assumed(DryBulkDensity) / of.assumed(BulkDensity));
            100.0 * (1.0 - w) * of.castings(w).of_dry_feed.fraction() / solids.min(1.0)
        },
    },
    Question {
        id: "growth",
        compared: "worms gained, of their mass at the start",
        unit: "%",
        assumptions: &[DoublingTime],
        answer: |of| {
            let pace = Pace::new(kg(1.0), kg(1e9), of.known(DoublingTime), of.known(FeedRate));
            100.0 * (pace.worms_after(of.input("days")).kilograms() - 1.0)
        },
    },
    Question {
        id: "capacity",
        compared: "worms that a square metre carries",
        unit: "kg/m2",
        assumptions: &[CarryingCapacity],
        answer: |of| of.assumed(CarryingCapacity),
    },
    Question {
        id: "volume",
        compared: "castings in store over fresh feed, by volume",
        unit: "",
        assumptions: &[OrganicMatterLoss, DryBulkDensity],
        answer: |of| {
            let dry = of.input("fresh_kg_m3") * (1.0 - of.input("moisture"));
            dry * of.castings(0.0).of_dry_feed.fraction() / of.assumed(DryBulkDensity)
        },
    },
    Question {
        id: "height",
        compared: "castings in the bed over feed in the bed, by height",
        unit: "",
        assumptions: &[OrganicMatterLoss, FeedDryDensity, BedDryDensity],
        answer: |of| {
            let densities = of.assumed(FeedDryDensity) / of.assumed(BedDryDensity);
            of.castings(0.0).of_dry_feed.fraction() * densities
        },
    },
    Question {
        id: "fresh_rate",
        compared: "fresh feed that a kilogram of worms eats in a warm day",
        unit: "kg",
        assumptions: &[FeedRate],
        answer: |of| of.eaten_by_a_kilogram() / (1.0 - of.input("moisture")),
    },
    Question {
        id: "volatile_rate",
        compared: "organic matter that a kilogram of worms eats in a warm day",
        unit: "kg",
        assumptions: &[FeedRate],
        answer: |of| of.eaten_by_a_kilogram() * (1.0 - of.input("ash")),
    },
    Question {
        id: "eaten",
        compared: "share of the feed that is eaten",
        unit: "%",
        assumptions: &[FeedRate, DoublingTime],
        answer: |of| {
            let pace = Pace::new(kg(of.input("worms_kg")), kg(1e9), of.known(DoublingTime), of.known(FeedRate));
            let dry = of.input("feed_kg") * (1.0 - of.input("moisture"));
            100.0 * (pace.worked_after(of.input("days")).kilograms() / dry).min(1.0)
        },
    },
];

/// The question of a row.
pub fn question(row: &Row) -> &'static Question {
    QUESTIONS.iter().find(|one| one.id == row.question).unwrap_or_else(|| panic!("{}: {}", row.id, row.question))
}

/// The values of one run.
struct Values {
    inputs: Vec<(String, f64)>,
    overrides: Overrides,
}

impl Values {
    fn input(&self, name: &str) -> f64 {
        let found = self.inputs.iter().find(|(other, _)| other == name);
        found.unwrap_or_else(|| panic!("the row lacks {name}")).1
    }

    fn assumed(&self, which: Assumption) -> f64 {
        self.overrides.get(which).unwrap().likely
    }

    /// As a quantity; where it is not drawn, its default.
    fn known<D: barrowful::garden::units::Measured>(&self, which: Assumption) -> Quantity<D> {
        with(&self.overrides, |known| known.estimate::<D>(which).0.likely())
    }

    fn share(&self, name: &str) -> Estimate<OfShare> {
        share(self.input(name))
    }

    /// What becomes of feed: of 100 kg with this moisture, and the ash of the row, if it has one.
    fn castings(&self, moisture: f64) -> FromFeed {
        self.castings_of(moisture, self.input("ash"), None)
    }

    fn castings_of(&self, moisture: f64, ash: f64, nitrogen: Option<f64>) -> FromFeed {
        castings(100.0, (moisture, ash, nitrogen), &self.overrides)
    }

    /// Dry feed that a kilogram of worms eats in a warm day: one that neither grows nor shrinks.
    fn eaten_by_a_kilogram(&self) -> f64 {
        let pace = Pace::new(kg(1.0), kg(1.0), self.known(DoublingTime), self.known(FeedRate));
        pace.worked_after(1.0).kilograms()
    }

    fn solids_in_the_bed(&self) -> f64 {
        1.0 - self.assumed(BedMoisture)
    }
}

/// The C:N of the castings. The ash of the feed cancels out, so any will do.
fn ratio(of: &Values) -> f64 {
    let ash = 0.15;
    let nitrogen = (1.0 - ash) / 1.8 / of.input("ratio");
    of.castings_of(0.0, ash, Some(nitrogen)).carbon_to_nitrogen.unwrap().likely().number()
}

/// All that lies in the basket at the end of the trial.
fn residue(of: &Values) -> f64 {
    let (start, days) = (on(TRIAL.0), TRIAL.1);
    let dry = of.input("feed_kg") * (1.0 - of.input("moisture"));
    let supply = Supply::AllAtOnce(weighing(dry));
    let feed = Feed { moisture: of.share("moisture"), ash: of.share("ash"), nitrogen: None, ..bed(supply).feed };
    let bed = Bed {
        area: square_metres(of.input("area_m2")),
        worms: Some(weighing(of.input("worms_kg"))),
        start_on: start,
        feed,
        ..bed(Supply::AsNeeded)
    };
    let last = (start + TimeDelta::days(days - 1)).to_string();
    let forecast = reported(&bed, &fixed(of.input("celsius")), &last, &of.overrides).unwrap();
    let taken: f64 = forecast.lots.iter().map(|lot| lot.yields.dry_matter.likely().kilograms()).sum();
    let left = forecast.end.uneaten_feed.likely() + forecast.end.castings.likely();
    100.0 * (left.kilograms() + taken) / of.solids_in_the_bed() / of.input("feed_kg")
}

/// What the service says to a row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Said {
    /// At the likely values.
    pub likely: f64,
    /// The middle 80 of 100 runs.
    pub runs: [f64; 2],
    /// What was observed, from and to.
    pub observed: [f64; 2],
}

impl Said {
    /// True if all that print gives lies within the runs.
    pub fn inside(&self) -> bool {
        let [low, high] = self.runs;
        self.observed.iter().all(|seen| (low..=high).contains(seen))
    }
}

/// What a row observed.
fn observed(row: &Row) -> [f64; 2] {
    row.printed.unwrap_or_else(|| {
        let (before, after) = (share(row.given("ash_before")), share(row.given("ash_after")));
        [100.0 * measured_loss(before, after, Off).unwrap().organic_matter.fraction(); 2]
    })
}

/// Answers a row.
pub fn said(row: &Row) -> Said {
    let question = question(row);
    let mut variables = Variables::default();
    let inputs: Vec<(String, Drawn)> = row
        .inputs
        .iter()
        .enumerate()
        .map(|(i, (name, Input { span, .. }))| (name.clone(), variables.take(Variable::Stock(i), *span)))
        .collect();
    let assumed: Vec<(Assumption, Drawn)> = question
        .assumptions
        .iter()
        .map(|which| {
            let [low, likely, high] = which.definition().default.unwrap();
            (*which, variables.take(Variable::Assumption(*which), Span { low, likely, high }))
        })
        .collect();
    let values = |run: &Run<'_>| {
        let mut overrides = Overrides::default();
        for (which, drawn) in &assumed {
            overrides.set(*which, Span::exactly(drawn.of(run))).unwrap();
        }
        Values { inputs: inputs.iter().map(|(name, drawn)| (name.clone(), drawn.of(run))).collect(), overrides }
    };
    let mut answers = Vec::new();
    variables.each_run(DEFAULT_SEED, (0, DEFAULT_RUNS), |_, run| answers.push((question.answer)(&values(run))));
    let [low, _, high] = percentiles(&mut answers, [10, 50, 90]).unwrap();
    let likely = (question.answer)(&values(&Run::LIKELY));
    Said { likely, runs: [low, high], observed: observed(row) }
}

/// What becomes of so many kilograms of feed with this moisture, ash and nitrogen.
pub fn castings(fresh: f64, (moisture, ash, nitrogen): (f64, f64, Option<f64>), request: &Overrides) -> FromFeed {
    let fed = Fed {
        fresh: weighing(fresh),
        moisture: share(moisture),
        ash: share(ash),
        nitrogen: nitrogen.map(share),
        phosphorus: None,
        potassium: None,
        cautions: &[],
    };
    with(request, |known| from_feed(&[fed], None, known, Off)).unwrap()
}

//! What to produce for a shortfall: by hand from the closed forms, and fed back to the forecast, the balance and the runs.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test may stop at whatever is wrong"
)]

mod by_hand;
mod fed_back;
mod start;

use crate::beds::{fixed, kg};
use crate::seasons::{exact_but, ml, requirement};
use crate::support::{on, with};
use barrowful::garden::assumptions::{Assumption, Known, Overrides, Span};
use barrowful::garden::balances::additional_production::{
    Batch, Means, ProductionPlan, Recipe, Shortfall, bed_overrides, first_day, last_day, produce,
};
use barrowful::garden::balances::allocation::{Lot, Window};
use barrowful::garden::balances::balance;
use barrowful::garden::beds::{Bed, Climate, Clocks, Feed, Forecast, Supply};
use barrowful::garden::units::{Density, Millilitres, Share};
use chrono::{Days, NaiveDate};

pub fn recipe() -> Recipe {
    Recipe {
        heats: false,
        dry: kg(100.0),
        moisture: Share::from_fraction(0.7),
        ash: Share::from_fraction(0.15),
        nitrogen: Share::from_fraction(0.018),
        dry_density: Density::from_base(130.0),
        days: 10,
    }
}

pub fn short(litres: f64, by: &str) -> Shortfall {
    Shortfall { by: on(by), amount: ml(litres) }
}

fn earlier(day: NaiveDate, days: u64) -> NaiveDate {
    day.checked_sub_days(Days::new(days)).unwrap()
}

/// Asks with changes to the means: nothing given but the recipe, no runs.
fn asked(
    shortfalls: &[Shortfall],
    climate: &Climate,
    request: &Overrides,
    change: impl Fn(Means<'_>) -> Means<'_>,
) -> Vec<ProductionPlan> {
    let none = Overrides::default();
    let known = Known { request, item: &none };
    let clocks = clocks(shortfalls, climate, request);
    produce(shortfalls, &change(plain(&clocks, known))).unwrap()
}

pub fn clocks(shortfalls: &[Shortfall], climate: &Climate, request: &Overrides) -> Clocks {
    let days = (first_day(None, shortfalls).unwrap(), last_day(None, shortfalls).unwrap());
    with(request, |known| Clocks::new(climate, days, known)).unwrap()
}

pub fn plain<'a>(clocks: &'a Clocks, known: Known<'a>) -> Means<'a> {
    Means {
        recipe: recipe(),
        area: None,
        worms: None,
        layers: None,
        materials_from: None,
        bed_from: None,
        as_of: None,
        clocks,
        known,
        runs: (0, 1),
    }
}

/// The produced bed, as whoever follows the plan would send it.
fn as_bed(batch: &Batch, start_on: NaiveDate) -> Bed {
    Bed {
        area: batch.area.into(),
        worms: Some(batch.worms.into()),
        running: None,
        start_on,
        feed: Feed {
            moisture: recipe().moisture.into(),
            ash: recipe().ash.into(),
            nitrogen: Some(recipe().nitrogen.into()),
            supply: Supply::AllAtOnce(batch.feed.into()),
            cautions: Vec::new(),
            assumed: Vec::new(),
        },
        layers_per_cycle: Some(batch.layers),
        cycles: None,
    }
}

/// The request with what the produced bed knows better.
fn of_production(request: &Overrides) -> Overrides {
    let none = Overrides::default();
    let clocks = clocks(&[short(1.0, "2027-09-01")], &fixed(20.0), request);
    let mut all = request.clone();
    for (which, span) in bed_overrides(&plain(&clocks, Known { request, item: &none })).iter() {
        all.set(which, span).unwrap();
    }
    all
}

/// What is still short of the shortfall once the bed is forecast to a day.
fn still_short(forecast: &Forecast, shortfall: Shortfall) -> Millilitres {
    let lots = forecast.lots.iter().map(|lot| Lot {
        amount: Millilitres::nearest(lot.yields.castings.likely()),
        window: Window { first: Some(lot.ready.likely), last: None },
        ..Lot::default()
    });
    let by = shortfall.by.to_string();
    let litres = shortfall.amount.volume().litres();
    balance(&lots.collect::<Vec<_>>(), &[requirement(litres, ("", &by), 1)], None).demands[0].shortfall
}

/// Everything at its likely value, but for a loss of 40 %.
fn losing_40_percent() -> Overrides {
    exact_but(&[(Assumption::OrganicMatterLoss, Span::exactly(0.4))])
}

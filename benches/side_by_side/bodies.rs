//! What is asked.

use barrowful::garden::balances::allocation::{Demand, Lot, Window};
use barrowful::garden::units::Millilitres;
use barrowful::http::limits::MAX_SIMULATION_RUNS;
use chrono::{Days, NaiveDate};
use serde_json::{Value, json};

/// Four areas.
pub const SMALL: &str = include_str!("../../demo-data/applications/kitchen-garden.json");

/// A season of as many runs as may be asked for: it takes about as long as any question that is accepted.
pub fn longest() -> Vec<u8> {
    let mut body: Value = serde_json::from_str(include_str!("../../demo-data/seasons/kitchen-garden.json")).unwrap();
    body.as_object_mut().unwrap().insert("simulation_runs".to_owned(), json!(MAX_SIMULATION_RUNS));
    body.to_string().into_bytes()
}

/// So many areas, of the four kinds of [`SMALL`].
pub fn areas(count: usize) -> Vec<u8> {
    let mut body: Value = serde_json::from_str(SMALL).unwrap();
    let areas: Vec<Value> =
        body.get("areas").and_then(Value::as_array).unwrap().iter().cycle().take(count).cloned().collect();
    body.as_object_mut().unwrap().insert("areas".to_owned(), Value::Array(areas));
    body.to_string().into_bytes()
}

/// A small seeded generator.
struct Chance(u64);

impl Chance {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit
    }
}

fn day(days: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 1, 1).unwrap() + Days::new(days)
}

/// Lots over 250 days, half of them with a last day, and demands of up to 30 days and three priorities that want about what there is.
pub fn shares(lots: usize, demands: usize) -> (Vec<Lot>, Vec<Demand>) {
    let mut chance = Chance(7);
    let most = u64::try_from(200 * 1_000 * 1_000 * lots / 50 / demands).unwrap().max(2);
    let lot = |chance: &mut Chance| {
        let first = chance.below(250);
        let last = (chance.below(2) == 0).then(|| day(first + 10 + chance.below(60)));
        let window = Window { first: Some(day(first)), last };
        Lot { amount: Millilitres::new(20_000 + chance.below(200_000)), window, ..Lot::default() }
    };
    let lots = (0..lots).map(|_| lot(&mut chance)).collect();
    let demand = |chance: &mut Chance| {
        let first = chance.below(300);
        let window = Window { first: Some(day(first)), last: Some(day(first + chance.below(30))) };
        let priority = u8::try_from(1 + chance.below(3)).unwrap();
        let amount = Millilitres::new(1 + chance.below(most));
        Demand { amount, window, priority, portions: None, eligibility: Default::default() }
    };
    (lots, (0..demands).map(|_| demand(&mut chance)).collect())
}

/// The same as a request.
pub fn balance(lots: usize, demands: usize) -> Vec<u8> {
    let (lots, demands) = shares(lots, demands);
    let litres = |amount: Millilitres| format!("{} mL", amount.get());
    let stock = lots.iter().map(|lot| {
        let mut stock = json!({"amount": litres(lot.amount), "ready_on": lot.window.first});
        if let (Some(last), Some(fields)) = (lot.window.last, stock.as_object_mut()) {
            fields.insert("use_by".to_owned(), json!(last));
        }
        stock
    });
    let asked = demands.iter().map(|demand| {
        let (first, last) = (demand.window.first, demand.window.last);
        json!({"amount": litres(demand.amount), "earliest": first, "latest": last, "priority": demand.priority})
    });
    json!({"stock": stock.collect::<Vec<_>>(), "demands": asked.collect::<Vec<_>>()}).to_string().into_bytes()
}

//! What calibrating on half of the trials does to the forecast of the other half: the trials that report what is lost on the way to castings.

use super::Answered;
use super::page::shown;
use super::trials::Row;
use crate::sources::table;
use barrowful::garden::assumptions::{Assumption, Known, Overrides};
use barrowful::garden::beds::{Climate, Clocks, History, Observation};
use barrowful::garden::calibrations::{DAYS_AFTER, Gathered, Record, calibrate};
use barrowful::garden::draws::split_triangle;
use barrowful::garden::units::{Area, Mass, Share, Temperature};
use chrono::{Days, NaiveDate};

/// A trial with the ash of its feed and of its castings, at the likely values.
struct Loss<'a> {
    row: &'a Row,
    before: f64,
    after: f64,
}

/// The trials that report a loss of dry matter, or ash before and after. Ash is neither made nor lost: what is left of the dry matter is the ash
/// before over the ash after.
fn losses(answered: &[Answered]) -> Vec<Loss<'_>> {
    let loss = |(row, said): &'_ Answered| match row.question.as_str() {
        "dry_loss" => Some((row.given("ash"), row.given("ash") / (1.0 - said.observed[0] / 100.0))),
        "organic_loss" => Some((row.given("ash_before"), row.given("ash_after"))),
        _ => None,
    };
    let rows = answered.iter().filter_map(|answered| Some((&answered.0, loss(answered)?)));
    rows.map(|(row, (before, after))| Loss { row, before, after }).collect()
}

impl Loss<'_> {
    /// Organic matter lost, by ash.
    fn organic(&self) -> f64 {
        1.0 - self.before * (1.0 - self.after) / (self.after * (1.0 - self.before))
    }

    fn record(&self, day: NaiveDate) -> Record {
        let history = History {
            area: Area::from_square_metres(1.0),
            worms: Some(Mass::from_kilograms(1.0)),
            start_on: day,
            ash: Share::from_fraction(self.before),
            fed: vec![(day, Mass::from_kilograms(1.0))],
            harvested_on: Vec::new(),
        };
        Record { history, observations: vec![Observation::Ash(Share::from_fraction(self.after))], clocks: 0 }
    }
}

/// 10, 50 and 90 of 100 of the organic matter lost, in percent, as these trials say; as the default says where there are none.
fn learned(from: &[&Loss<'_>]) -> [f64; 3] {
    let none = Overrides::default();
    let known = Known { request: &none, item: &none };
    let day: NaiveDate = "2026-04-01".parse().unwrap();
    let climate = Climate::Fixed(Temperature::from_celsius(21.0));
    let clocks = [Clocks::new(&climate, (day, day + Days::new(DAYS_AFTER)), known).unwrap()];
    let records: Vec<Record> = from.iter().map(|loss| loss.record(day)).collect();
    let found = calibrate(&records, &Gathered { clocks: &clocks, request: &none, seed: 1 }).unwrap();
    let span = known.get(Assumption::OrganicMatterLoss).unwrap().span;
    let (values, draws) = (&found.draws.values, found.draws.rows());
    let Some(column) = values.iter().position(|which| *which == Assumption::OrganicMatterLoss) else {
        return [0.1, 0.5, 0.9].map(|u| 100.0 * split_triangle(span, u));
    };
    let mut sorted: Vec<(f64, f64)> = draws.iter().map(|(row, weight)| (row[column], *weight)).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    [0.1, 0.5, 0.9].map(|share| {
        let mut sum = 0.0;
        let found = sorted.iter().find(|(_, weight)| {
            sum += weight;
            sum >= share
        });
        100.0 * split_triangle(span, found.unwrap().0)
    })
}

/// The table: each trial, forecast by default and by the trials of the other half.
pub fn halves(answered: &[Answered]) -> String {
    let losses = losses(answered);
    let before = learned(&[]);
    let half = |of: usize| losses.iter().enumerate().filter(move |(i, _)| i % 2 == of).map(|(_, loss)| loss);
    let by_half = [0, 1].map(|of| learned(&half(1 - of).collect::<Vec<_>>()));
    let range = |[low, likely, high]: [f64; 3]| format!("{} % ({} to {})", shown(likely), shown(low), shown(high));
    let inside = |[low, _, high]: [f64; 3], seen: f64| if (low..=high).contains(&seen) { "yes" } else { "**no**" };
    let row = |(i, loss): (usize, &Loss<'_>)| {
        let (seen, after) = (100.0 * loss.organic(), by_half[i % 2]);
        vec![
            format!("`{}`", loss.row.id),
            format!("{} %", shown(seen)),
            range(before),
            inside(before, seen).to_owned(),
            range(after),
            inside(after, seen).to_owned(),
        ]
    };
    let head = ["row", "organic matter lost", "by default", "inside", "by the other half", "inside"];
    table(&head, losses.iter().enumerate().map(row))
}

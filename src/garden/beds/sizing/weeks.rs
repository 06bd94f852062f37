//! What a bed does week by week: feed that comes, is eaten and waits, and the worms.

use super::super::clocks::Clocks;
use super::super::inputs::Inputs;
use super::super::layers::LayerPlanner;
use super::super::simulator::{Basis, Simulator};
use super::super::{Bed, Delivery, Laid};
use super::Feeding;
use crate::garden::assumptions::Known;
use crate::garden::figures::Off;
use crate::garden::interrupt::check;
use crate::garden::refusal::Refusal;
use crate::garden::units::quantity::OfMass;
use crate::garden::units::{Estimate, Mass, ROUNDING_TOLERANCE};
use chrono::{Days, NaiveDate};

/// Days of a week. Source: exact by definition.
pub const WEEK: u32 = 7;

/// A week of a plan, at the likely values. All feed that has come by its end is eaten by then or waits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Week {
    /// Its first day.
    pub start_on: NaiveDate,
    /// Its last day.
    pub end_on: NaiveDate,
    /// The warm days that it counts.
    pub warm_days: f64,
    /// Feed that comes, dry matter.
    pub comes: Mass,
    /// Feed that the worms eat, dry matter.
    pub eaten: Mass,
    /// Feed that has come and is not eaten at the end, in the bed or in store, dry matter.
    pub waits: Mass,
    /// Live worms at its end.
    pub worms: Mass,
}

impl Week {
    /// Whether the bed takes feed in it.
    #[must_use]
    pub fn takes_feed(&self) -> bool {
        self.eaten.kilograms() > 0.0
    }
}

/// When most feed waits: of a bed that is fed in layers, feed that is not laid yet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Waiting {
    /// The last day of that week.
    pub on: NaiveDate,
    /// How much, dry matter.
    pub most: Mass,
}

/// The longest time without any warmth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winter {
    /// Its first day.
    pub start_on: NaiveDate,
    /// Its last day.
    pub end_on: NaiveDate,
    /// Feed that waits at its end, dry matter.
    pub waits: Mass,
}

/// The first days of weeks, from the first day of the clocks to the last.
fn first_days(clocks: &Clocks) -> impl Iterator<Item = NaiveDate> + '_ {
    let step = usize::try_from(WEEK).unwrap_or(usize::MAX);
    clocks.first().iter_days().step_by(step).take_while(|day| *day <= clocks.last())
}

/// Feed that comes on the first day of each week; in a last week that is cut short, for its days alone.
pub(super) fn each_week(clocks: &Clocks, feed: Estimate<OfMass>) -> Vec<Delivery> {
    let dry_matter = |on: NaiveDate| {
        let days = (clocks.last() - on).num_days() + 1;
        let share = u32::try_from(days).unwrap_or(0).min(WEEK);
        if share == WEEK { feed } else { feed.times(f64::from(share) / f64::from(WEEK)) }
    };
    first_days(clocks).map(|on| Delivery { on, dry_matter: dry_matter(on) }).collect()
}

/// What a bed has eaten by a time, and its worms then.
#[derive(Debug, Clone, Copy)]
struct State {
    eaten: f64,
    worms: Mass,
}

/// The weeks of a bed on clocks that start with its plan, until they end or the worms die. Where feed comes as needed, what is eaten comes.
pub(super) fn weeks(
    bed: &Bed,
    comes: Option<&[Delivery]>,
    (clocks, known): (&Clocks, Known<'_>),
) -> Result<Vec<Week>, Refusal> {
    let basis = Basis::new(bed, clocks, &mut Inputs::new(known, Off))?;
    let last = clocks.last();
    let starts: Vec<NaiveDate> = first_days(clocks).filter(|day| clocks.time(*day) < basis.until.end).collect();
    let end_of = |day: &NaiveDate| day.checked_add_days(Days::new(u64::from(WEEK) - 1)).unwrap_or(last).min(last);
    let after = |day: &NaiveDate| (clocks.time(end_of(day)) + 1.0).min(basis.until.end);
    let marks: Vec<f64> = starts.iter().map(after).collect();
    let states = states(&basis, &marks)?;
    let come_by = |time: f64| -> f64 {
        let there = comes.unwrap_or_default().iter().filter(|delivery| clocks.time(delivery.on) < time);
        there.map(|delivery| delivery.dry_matter.kilograms()).sum()
    };
    let (mut found, mut eaten, mut come) = (Vec::with_capacity(starts.len()), 0.0, 0.0);
    for ((start_on, mark), state) in starts.iter().zip(&marks).zip(states) {
        check();
        let by_now = if comes.is_some() { come_by(*mark) } else { state.eaten };
        let clock = clocks.likely();
        // What rounding leaves is nothing.
        let left = |mass: f64| Mass::from_kilograms(if mass > ROUNDING_TOLERANCE * by_now { mass } else { 0.0 });
        found.push(Week {
            start_on: *start_on,
            end_on: end_of(start_on),
            warm_days: clock.at(*mark) - clock.at(clocks.time(*start_on)),
            comes: left(by_now - come),
            eaten: left(state.eaten - eaten),
            waits: left(by_now - state.eaten),
            // None are there before they are put in.
            worms: if *mark > basis.until.start { state.worms } else { Mass::from_kilograms(0.0) },
        });
        (eaten, come) = (state.eaten, by_now);
    }
    Ok(found)
}

/// The state at each mark, by the simulator of the forecast at the likely values.
fn states(basis: &Basis<'_>, marks: &[f64]) -> Result<Vec<State>, Refusal> {
    let mut planner = LayerPlanner::new(basis.bed, &basis.rules);
    let [_, mut simulator, _] = basis.simulators();
    let mut found: Vec<State> = Vec::with_capacity(marks.len());
    let mut state = State { eaten: 0.0, worms: simulator.pace.start() };
    while found.len() < marks.len() {
        state.worms = simulator.pace.start();
        let runs = simulator.starts.is_some_and(|starts| starts <= basis.until.end);
        let Some(cycle) = (if runs { planner.next()? } else { None }) else { break };
        let Some(timeline) = simulator.cycle(&cycle, true) else { break };
        let Simulator { course, starts, .. } = simulator;
        let within = marks.iter().skip(found.len()).take_while(|mark| starts.is_none_or(|next| **mark <= next));
        let at = |mark: &f64| {
            let eaten = course.worked_at(&timeline, *mark);
            State { eaten: state.eaten + eaten, worms: timeline.pace.worms_having_worked(Mass::from_kilograms(eaten)) }
        };
        let more: Vec<State> = within.map(at).collect();
        found.extend(more);
        state.eaten += timeline.feed;
    }
    found.resize(marks.len(), found.last().copied().unwrap_or(state));
    Ok(found)
}

/// When most feed waits: to be eaten, or to be laid where it is fed in layers; `None` where none does.
pub(super) fn most_waiting(weeks: &[Week], (feeding, layers): (Feeding, &[Laid])) -> Option<Waiting> {
    if feeding == Feeding::Layers {
        return most_not_laid(weeks, layers);
    }
    let most = weeks.iter().reduce(|a, b| if b.waits > a.waits { b } else { a })?;
    (most.waits > Mass::from_kilograms(0.0)).then_some(Waiting { on: most.end_on, most: most.waits })
}

/// When most feed waits that is not laid yet; `None` where all is laid in the week in which it comes.
fn most_not_laid(weeks: &[Week], layers: &[Laid]) -> Option<Waiting> {
    let mut layers = layers.iter().peekable();
    let (mut come, mut laid) = (0.0, 0.0);
    let mut found: Option<Waiting> = None;
    for week in weeks {
        come += week.comes.kilograms();
        while let Some(layer) = layers.next_if(|layer| layer.on <= week.end_on) {
            laid += layer.dry_matter.kilograms();
        }
        let waits = come - laid;
        let most = found.map_or(ROUNDING_TOLERANCE * come, |most| most.most.kilograms());
        if waits > most {
            found = Some(Waiting { on: week.end_on, most: Mass::from_kilograms(waits) });
        }
    }
    found
}

/// The longest time of a week or more in which no day counts as warm.
pub(super) fn winter(clocks: &Clocks, weeks: &[Week]) -> Option<Winter> {
    let last = weeks.last()?.end_on;
    let is_cold = |day: &NaiveDate| day.succ_opt().is_some_and(|next| clocks.warm_days(*day, next) <= 0.0);
    let (mut longest, mut from): (Option<(NaiveDate, NaiveDate)>, Option<NaiveDate>) = (None, None);
    let length = |(first, last): (NaiveDate, NaiveDate)| (last - first).num_days().saturating_add(1);
    for day in clocks.first().iter_days().take_while(|day| *day <= last) {
        from = from.or(Some(day)).filter(|_| is_cold(&day));
        let run = from.map(|from| (from, day));
        longest = if run.map(length) > longest.map(length) { run } else { longest };
    }
    let (start_on, end_on) = longest.filter(|run| length(*run) >= i64::from(WEEK))?;
    let waits = weeks.iter().find(|week| week.end_on >= end_on).map(|week| week.waits)?;
    Some(Winter { start_on, end_on, waits })
}

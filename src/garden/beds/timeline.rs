//! One cycle on one clock: when each portion is started and eaten through, when the next is laid, when the castings are finished
//! and dry.

use super::clock::{Clock, morning};
use super::clocks::Clocks;
use super::layers::{Cycle, Portion};
use super::pacing::Pacing;
use super::worms::Pace;
use crate::garden::interrupt::check;
use crate::garden::units::Mass;

/// A portion being worked. Times in days since the clock's first morning.
#[derive(Debug, Clone, Copy)]
pub(super) struct WorkedPortion {
    /// Worms turn to it.
    pub begins: f64,
    /// It is worked through; `None` if not before the end.
    pub ends: Option<f64>,
    /// Feed of the cycle worked before it and with it, kg.
    pub worked: (f64, f64),
    /// Warm days with feed before it and with it.
    warm: (f64, f64),
}

/// A cycle on one clock.
#[derive(Debug, Clone)]
pub(super) struct Timeline {
    /// Worms at its start and what they do.
    pub pace: Pace,
    /// It starts.
    pub starts: f64,
    /// The portions started before the end.
    pub worked_portions: Vec<WorkedPortion>,
    /// All is eaten; `None` if not before the end.
    pub eaten: Option<f64>,
    /// The castings are finished; `None` if not before the end.
    pub finished: Option<f64>,
    /// The morning on which they are dry.
    pub ready: Option<f64>,
    /// All its feed, kg.
    pub feed: f64,
}

/// Where and until when a cycle goes, and what sets its pace.
#[derive(Debug, Clone, Copy)]
pub(super) struct Course<'a> {
    pub clocks: &'a Clocks,
    pub clock: &'a Clock,
    /// The end of the forecast, or the first deadly morning.
    pub end: f64,
    /// Feed in a layer over that at the likely bulk density.
    pub scale: f64,
    pub pacing: Pacing,
}

impl Course<'_> {
    /// Runs a cycle: its feed is worked, then finishing on warm days, drying on calendar days. Its steps are recorded, or left out.
    pub fn run(&self, cycle: &Cycle, (pace, starts): (Pace, f64), record: bool) -> Timeline {
        check();
        let mut timeline =
            Timeline { pace, starts, worked_portions: Vec::new(), eaten: None, finished: None, ready: None, feed: 0.0 };
        timeline.feed = cycle.portions.iter().map(|portion| scaled(portion, self.scale)).sum();
        let worked = if record || cycle.waits() {
            self.work(cycle, &mut timeline, record)
        } else {
            // All of it is there from the start, so that nothing depends on the portions.
            self.clock.after(starts, pace.warm_days_for(Mass::from_kilograms(timeline.feed)), self.end)
        };
        timeline.eaten = worked.map(|now| cycle.eaten_on.map_or(now, |on| self.clocks.time(on).min(now)));
        let finished = timeline.eaten.and_then(|eaten| self.clock.after(eaten, self.pacing.finishing, self.end));
        // What lies in the bed when it starts is harvested then at the earliest.
        timeline.finished = finished.map(|finished| finished.max(starts));
        timeline.ready = timeline.finished.map(|finished| morning(finished) + self.pacing.drying);
        timeline
    }

    /// When the last portion is worked through. `tau(S_k)` warm days with feed lie between the start and the end of the k-th portion; a
    /// bed left empty does not change until the next portion comes.
    fn work(&self, cycle: &Cycle, timeline: &mut Timeline, record: bool) -> Option<f64> {
        timeline.worked_portions.reserve(if record { cycle.portions.len() } else { 0 });
        let (mut now, mut worked, mut warm) = (timeline.starts, 0.0, 0.0);
        for portion in &cycle.portions {
            let begins = now.max(self.there(portion));
            if begins > self.end {
                return None;
            }
            let through = worked + scaled(portion, self.scale);
            let needs = timeline.pace.warm_days_for(Mass::from_kilograms(through));
            let ends = self.clock.after(begins, needs - warm, self.end);
            if record {
                timeline.worked_portions.push(WorkedPortion {
                    begins,
                    ends,
                    worked: (worked, through),
                    warm: (warm, needs),
                });
            }
            (now, worked, warm) = (ends?, through, needs);
        }
        Some(now)
    }

    fn there(&self, portion: &Portion) -> f64 {
        portion.there_on.map_or(f64::NEG_INFINITY, |on| self.clocks.time(on))
    }

    /// When portion `i` is laid: once a share of the one before it is left, it fits and it is there.
    pub fn laid_at(&self, cycle: &Cycle, timeline: &Timeline, (i, left): (usize, f64)) -> Option<f64> {
        let portion = cycle.portions.get(i)?;
        let Some(before) = i.checked_sub(1) else {
            return timeline.worked_portions.first().map(|step| step.begins);
        };
        let step = timeline.worked_portions.get(before)?;
        let (from, to) = step.worked;
        let wanted = (to - left * (to - from)).max(portion.fits_from).clamp(from, to);
        let warm = timeline.pace.warm_days_for(Mass::from_kilograms(wanted)).clamp(step.warm.0, step.warm.1);
        let free = match step.ends {
            Some(ends) if wanted >= to => ends,
            _ => self.clock.after(step.begins, warm - step.warm.0, self.end)?,
        };
        Some(free.max(self.there(portion))).filter(|laid| *laid <= self.end)
    }

    /// Feed of the cycle worked by a time, kg.
    pub fn worked_at(&self, timeline: &Timeline, time: f64) -> f64 {
        let mut worked = 0.0;
        for step in &timeline.worked_portions {
            if step.begins > time {
                break;
            }
            worked = match step.ends {
                Some(ends) if ends <= time => step.worked.1,
                _ => {
                    let warm = step.warm.0 + self.clock.at(time) - self.clock.at(step.begins);
                    timeline.pace.worked_after(warm).kilograms().clamp(step.worked.0, step.worked.1)
                }
            };
        }
        worked
    }
}

/// What is laid by depth goes by the bulk density of feed; what is in the bed is known.
fn scaled(portion: &Portion, scale: f64) -> f64 {
    if portion.laid() { portion.dry * scale } else { portion.dry }
}

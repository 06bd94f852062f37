//! Writes one cycle down: layers, worms, water, the lot.

use super::assemble::{Assembly, Run};
use super::forecast::{Laid, Lot, Ready, WormsOn};
use super::layers::Closed;
use super::timeline::Timeline;
use super::water::Turnover;
use super::worms::Pace;
use crate::garden::cautions::Rule;
use crate::garden::units::quantity::OfMass;
use crate::garden::units::{Estimate, Length, Mass, Share};

/// A bed that stands empty for less than this, in days, is not told about. Source: assumption: no published figure found.
const IDLE: f64 = 1.0;

impl Assembly<'_> {
    /// Writes down layers, worms, water and what was laid.
    pub(super) fn write(&mut self, run: &Run<'_>) {
        let (course, timeline) = (run.course, &run.likely);
        self.worms_on(run, timeline.starts, 0.0);
        let mut marks = Vec::with_capacity(run.cycle.portions.len() + 2);
        let before = run.cycle.portions.iter().filter(|p| !p.laid).map(|p| p.dry).sum::<f64>();
        if run.cycle.castings + before > 0.0 {
            marks.push((timeline.starts, 0.0));
        }
        let mut in_cycle = before;
        let mut through = 0.0;
        let mut now = timeline.starts;
        for (i, portion) in run.cycle.portions.iter().enumerate() {
            through += portion.dry;
            if portion.laid {
                let Some(laid) = course.laid_at(run.cycle, timeline, (i, self.basis.rules.left)) else { break };
                in_cycle += portion.dry;
                marks.push((laid, portion.dry));
                self.laid(run, (laid, i), in_cycle);
            }
            let Some(step) = timeline.steps.get(i) else { continue };
            if step.begins > now + IDLE {
                self.caution(Rule::BedEmpty);
            }
            let Some(ends) = step.ends else { continue };
            now = ends;
            self.worms_on(run, ends, through);
        }
        self.tally.feed(in_cycle);
        if run.cycle.closed == Closed::Depth && !timeline.steps.is_empty() {
            self.caution(Rule::DepthReached);
        }
        self.water(run, &marks);
    }

    fn laid(&mut self, run: &Run<'_>, (laid, i): (f64, usize), in_cycle: f64) {
        let Some(portion) = run.cycle.portions.get(i) else { return };
        let dry = Mass::from_kilograms(portion.dry);
        let volume = dry / self.basis.rules.feed_density.likely();
        let worked = run.course.worked_at(&run.likely, laid);
        let castings = run.cycle.castings + self.basis.rules.kept * worked;
        self.told.layers.push(Laid {
            on: self.basis.clocks.on_day(laid),
            cycle: run.number,
            depth: volume / self.basis.bed.area,
            volume,
            dry_matter: dry,
            mass: dry / Share::from_fraction(1.0 - self.basis.bed.feed.moisture.fraction()),
            bed_depth: self.depth(in_cycle - worked, castings),
            worked_on: run
                .likely
                .steps
                .get(i)
                .and_then(|step| step.ends)
                .map(|ends| self.basis.clocks.by_morning(ends)),
        });
    }

    pub(super) fn depth(&self, unworked: f64, castings: f64) -> Length {
        let feed = Mass::from_kilograms(unworked.max(0.0)) / self.basis.rules.feed_density.likely();
        let castings = Mass::from_kilograms(castings) / self.basis.rules.castings_density.likely();
        (feed + castings) / self.basis.bed.area
    }

    /// The worms once so much of the cycle's feed is worked.
    fn worms_on(&mut self, run: &Run<'_>, time: f64, worked: f64) {
        let share = if run.likely.feed > 0.0 { worked / run.likely.feed } else { 0.0 };
        let at = |pace: Pace, timeline: Option<&Timeline>| {
            pace.worms_having_worked(Mass::from_kilograms(timeline.map_or(worked, |t| t.feed * share)))
        };
        let [slow, likely, quick] = run.paces;
        let (a, b) = (at(slow, run.slow.as_ref()), at(quick, run.quick.as_ref()));
        let likely = at(likely, Some(&run.likely));
        self.told.worms.push(WormsOn { on: self.basis.clocks.on_day(time), mass: hull(a, likely, b) });
    }

    /// Water from mark to mark, then to the end of finishing or of the forecast.
    fn water(&mut self, run: &Run<'_>, marks: &[(f64, f64)]) {
        let (course, timeline) = (run.course, &run.likely);
        let last = timeline.finished.unwrap_or(self.basis.until.end);
        let nexts = marks.iter().skip(1).map(|(time, _)| *time).chain([last]);
        for ((from, laid), to) in marks.iter().copied().zip(nexts) {
            if laid == 0.0 && to <= from {
                continue;
            }
            let turnover = Turnover {
                from: self.basis.clocks.on_day(from),
                to: self.basis.clocks.on_day(to),
                days: to - from,
                laid,
                worked: course.worked_at(timeline, to) - course.worked_at(timeline, from),
            };
            let period = self.water_rules.period(&turnover);
            self.tally.water(&period);
            self.told.water.push(period);
        }
    }

    pub(super) fn lot(&mut self, run: &Run<'_>, ready: f64) {
        let feed = run.likely.feed;
        let worked = run.likely.steps.last().and_then(|step| step.ends).unwrap_or(run.likely.starts);
        let dry_matter = self.dry_matter(run);
        self.tally.lot(feed, dry_matter.likely().kilograms());
        let nitrogen = self.basis.bed.feed.nitrogen;
        let ratio = nitrogen.map(|n| self.basis.keeps.carbon_to_nitrogen(n));
        if ratio.is_some_and(|ratio| ratio.likely().number() > crate::garden::assumptions::TIE_UP) {
            self.caution(Rule::NitrogenTieUp);
        }
        let by_last =
            |timeline: Option<&Timeline>| timeline.and_then(|t| t.ready).filter(|t| *t <= self.basis.until.last);
        let latest = by_last(run.slow.as_ref()).map(|t| self.basis.clocks.on_day(t.max(ready)));
        let earliest = by_last(run.quick.as_ref()).map_or(ready, |t| t.min(ready));
        self.told.lots.push(Lot {
            cycle: run.number,
            feed: Mass::from_kilograms(feed),
            closed: run.cycle.closed,
            worked_on: self.basis.clocks.by_morning(worked),
            finished_on: self.basis.clocks.by_morning(run.likely.finished.unwrap_or(ready)),
            ready: Ready {
                earliest: self.basis.clocks.on_day(earliest),
                likely: self.basis.clocks.on_day(ready),
                latest,
            },
            in_bed: dry_matter / self.basis.rules.castings_density,
            bed_moisture: self.water_rules.moisture(),
            yields: self.basis.store.takes(dry_matter),
            nitrogen: nitrogen.map(|n| self.basis.keeps.nitrogen_in_castings(n)),
            carbon_to_nitrogen: ratio,
        });
    }

    /// The castings of a cycle: those it began with, and those of its feed.
    fn dry_matter(&self, run: &Run<'_>) -> Estimate<OfMass> {
        let kept = self.basis.keeps.dry();
        let of = |scale, kept: Share| Mass::from_kilograms(run.cycle.castings_of(scale, kept.fraction()));
        let [more, one, less] = self.basis.scales;
        hull(of(less, kept.low()), of(one, kept.likely()), of(more, kept.high()))
    }

    /// Notes a caution once.
    pub(super) fn caution(&mut self, rule: Rule) {
        if !self.cautions.contains(&rule) {
            self.cautions.push(rule);
        }
    }
}

/// An estimate that holds three values, whatever their order.
fn hull(a: Mass, likely: Mass, b: Mass) -> Estimate<OfMass> {
    let (a, b, mid) = (a.kilograms(), b.kilograms(), likely.kilograms());
    let (low, high) = (a.min(b).min(mid), a.max(b).max(mid));
    Estimate::between(Mass::from_kilograms(low), likely, Mass::from_kilograms(high))
        .unwrap_or_else(|| Estimate::exactly(likely))
}

//! Writes one cycle down: layers, worms, water, the lot.

#![expect(non_snake_case, reason = "the symbols of the formulas")]

use super::Supply;
use super::assemble::{Assembly, Run};
use super::forecast::{Laid, Lot, Ready, WormsOn};
use super::layers::{Closed, Kind, Portion, in_order};
use super::timeline::Timeline;
use super::water::Turnover;
use super::worms::Pace;
use super::yields::SievedParts;
use crate::garden::cautions::Rule;
use crate::garden::figures::{Off, Recorder};
use crate::garden::formulas::{
    BedDepth, Depth, DryInFeed, HeldBack, Layer, LeftToLay, LotHeldBack, LotInBed, MoistOfDry, NitrogenOfLot, Row,
    RunningHeldBack, RunningInBed, SievedOfFeed, SievedOfRunning, TotalMass, VolumeOfDry, WormsAfter, WormsBack,
};
use crate::garden::units::quantity::{OfLength, OfMass, OfVolume};
use crate::garden::units::{End, Estimate, Mass, Share};

/// A bed that is empty for less than this, in days, is not reported. Source: assumption: no published figure found.
const IDLE: f64 = 1.0;

/// A layer of a cycle, laid at a time.
struct Placed<'c> {
    portion: &'c Portion,
    /// Its place in the cycle.
    index: usize,
    at: f64,
    /// The feed of the cycle with it, kg.
    in_cycle: f64,
}

/// A time at which water is counted, and what is laid then.
type Mark = (f64, Option<Estimate<OfMass>>);

impl<R: Recorder> Assembly<'_, R> {
    /// Writes down layers, worms, water and what was laid.
    pub(super) fn write(&mut self, run: &Run<'_>) {
        let (course, timeline) = (run.course, &run.likely);
        self.worms_on(run, (timeline.starts, 0.0), None);
        self.reported.in_cycle.clear();
        let mut marks: Vec<Mark> = Vec::with_capacity(run.cycle.portions.len() + 2);
        let before = run.cycle.portions.iter().filter(|p| !p.laid()).map(|p| p.dry).sum::<f64>();
        if run.cycle.castings + before > 0.0 {
            marks.push((timeline.starts, None));
        }
        let (mut in_cycle, mut through, mut now) = (before, 0.0, timeline.starts);
        for (index, portion) in run.cycle.portions.iter().enumerate() {
            through += portion.dry;
            let mut dry =
                self.basis.bed.running.map_or(Mass::from_kilograms(0.0).into(), |running| running.uneaten_feed);
            if portion.laid() {
                let Some(at) = course.laid_at(run.cycle, timeline, (index, self.basis.rules.left)) else { break };
                in_cycle += portion.dry;
                dry = self.laid(run, &Placed { portion, index, at, in_cycle });
                marks.push((at, Some(dry)));
            }
            self.reported.in_cycle.push(dry);
            let Some(step) = timeline.worked_portions.get(index) else { continue };
            self.reported.fed.again(step.begins, self.basis.clocks);
            if step.begins > now + IDLE {
                self.inputs.caution(Rule::BedEmpty);
            }
            let Some(ends) = step.ends else { continue };
            now = ends;
            self.reported.fed.eaten(ends);
            self.worms_on(run, (ends, through), Some(dry));
        }
        if timeline.eaten.is_some() {
            self.reported.fed.finishing(timeline.finished);
        }
        self.tally.feed(in_cycle);
        if run.cycle.closed == Closed::Depth && !timeline.worked_portions.is_empty() {
            self.inputs.caution(Rule::DepthReached);
        }
        self.water(run, &marks);
    }

    /// Writes a layer down; its dry matter.
    fn laid(&mut self, run: &Run<'_>, placed: &Placed<'_>) -> Estimate<OfMass> {
        let (depth, volume, D) = self.layer(placed.portion.kind);
        let worked = run.course.worked_at(&run.likely, placed.at);
        let castings = run.cycle.castings + self.basis.rules.kept * worked;
        let uneaten_feed = Mass::from_kilograms((placed.in_cycle - worked).max(0.0));
        let ends = run.likely.worked_portions.get(placed.index).and_then(|step| step.ends);
        self.reported.layers.push(Laid {
            on: self.basis.clocks.on_day(placed.at),
            cycle: run.number,
            number: self.layers_laid(run).saturating_add(1),
            depth,
            volume,
            dry_matter: D,
            mass: self.inputs.recorder.figure(MoistOfDry { D, w: self.basis.bed.feed.moisture }),
            bed_depth: self.depth(uneaten_feed.into(), Mass::from_kilograms(castings).into()).likely(),
            eaten_on: ends.map(|ends| self.basis.clocks.by_morning(ends)),
        });
        D
    }

    /// Depth, volume and dry matter of a layer.
    fn layer(&self, kind: Kind) -> (Estimate<OfLength>, Estimate<OfVolume>, Estimate<OfMass>) {
        let (recorder, A) = (self.inputs.recorder, self.basis.bed.area);
        let rho_f = self.basis.rules.feed_density.only(End::Likely);
        if let Kind::Full(on) = kind {
            let d = self.basis.rules.depth(on);
            let V = recorder.figure(Layer { A, d });
            return (d, V, recorder.figure(DryInFeed { V, rho_f }));
        }
        let D = self.feed_left().unwrap_or_else(|| Mass::from_kilograms(0.0).into());
        let V = recorder.figure(VolumeOfDry { D, rho_f });
        (recorder.figure(Depth { V, A }), V, D)
    }

    /// The feed that is not laid yet, dry matter; `None` if it comes as needed.
    pub(super) fn feed_left(&self) -> Option<Estimate<OfMass>> {
        let F = match &self.basis.bed.feed.supply {
            Supply::AsNeeded => return None,
            Supply::AllAtOnce(mass) => vec![*mass],
            Supply::OnDates(list) => in_order(list).iter().map(|delivery| delivery.dry_matter).collect(),
        };
        let u = self.reported.layers.iter().map(|laid| laid.dry_matter).collect();
        Some(self.inputs.recorder.figure(LeftToLay { F, u }))
    }

    /// How deep a bed is that holds so much feed and castings, dry matter.
    pub(super) fn depth(&self, U: Estimate<OfMass>, C: Estimate<OfMass>) -> BedDepth {
        let (rules, likely) = (&self.basis.rules, End::Likely);
        let (rho_f, rho_b) = (rules.feed_density.only(likely), rules.castings_density.only(likely));
        BedDepth { U, C, rho_f, rho_b, A: self.basis.bed.area }
    }

    /// The worms as a cycle starts, or once they have worked one portion of its feed more; all that is worked then.
    fn worms_on(&mut self, run: &Run<'_>, (time, worked): (f64, f64), portion: Option<Estimate<OfMass>>) {
        let share = if run.likely.feed > 0.0 { worked / run.likely.feed } else { 0.0 };
        let at = |pace: Pace, timeline: Option<&Timeline>| {
            pace.worms_having_worked(Mass::from_kilograms(timeline.map_or(worked, |t| t.feed * share)))
        };
        let [slow, likely, quick] = run.paces;
        let (a, b) = (at(slow, run.slow.as_ref()), at(quick, run.quick.as_ref()));
        let bounds = hull(a, at(likely, Some(&run.likely)), b);
        let (recorder, rates) = (self.inputs.recorder, &self.basis.rates);
        let (k, A, T, f) = (rates.carrying, rates.area, rates.doubling, rates.feed_rate);
        let mass = match (self.reported.worms.last().map(|last| last.mass), portion) {
            (None, _) => rates.start,
            (Some(B), None) => recorder.figure_within(WormsBack { B, q: rates.recovered }, bounds),
            (Some(b), Some(w)) => recorder.figure_within(WormsAfter { b, k, A, w, T, f }, bounds),
        };
        self.reported.worms.push(WormsOn { on: self.basis.clocks.on_day(time), mass });
    }

    /// The worms with which the next cycle would start, at the likely values.
    pub(super) fn worms_at_start(&self) -> Estimate<OfMass> {
        let (rates, likely) = (&self.basis.rates, End::Likely);
        let back = |last: &WormsOn| WormsBack { B: last.mass.only(likely), q: rates.recovered.only(likely) };
        let back = self.reported.worms.last().map(|last| self.inputs.recorder.figure(back(last)));
        back.unwrap_or_else(|| rates.start.likely().into())
    }

    /// Water from mark to mark, then to the end of finishing or of the forecast.
    fn water(&mut self, run: &Run<'_>, marks: &[Mark]) {
        let (course, timeline) = (run.course, &run.likely);
        let last = timeline.finished.unwrap_or(self.basis.until.end);
        let nexts = marks.iter().skip(1).map(|(time, _)| *time).chain([last]);
        for ((from, laid), to) in marks.iter().copied().zip(nexts) {
            if laid.is_none() && to <= from {
                continue;
            }
            let turnover = Turnover {
                from: self.basis.clocks.on_day(from),
                to: self.basis.clocks.on_day(to),
                days: to - from,
                laid,
                worked: course.worked_at(timeline, to) - course.worked_at(timeline, from),
            };
            let period = self.water_rules.period(&turnover, self.inputs.recorder);
            self.tally.water(&period);
            self.reported.water.push(period);
        }
    }

    pub(super) fn lot(&mut self, run: &Run<'_>, ready: f64) {
        let recorder = self.inputs.recorder;
        let eaten_on = self.basis.clocks.by_morning(run.likely.eaten.unwrap_or(ready));
        let D = recorder.figure(TotalMass { u: self.reported.in_cycle.clone() });
        let (in_bed, sieved) = self.castings_of(run, D);
        self.tally.lot(run.likely.feed, sieved.dry_matter.kilograms());
        let (keeps, nitrogen) = (self.basis.keeps, self.basis.bed.feed.nitrogen);
        let (x, lambda, r) = (keeps.ash, keeps.loss, keeps.nitrogen);
        self.reported.lots.push(Lot {
            cycle: run.number,
            feed: D,
            closed: run.cycle.closed,
            eaten_on,
            let_finish_on: Some(eaten_on).filter(|on| *on >= self.basis.bed.start_on),
            finished_on: self.basis.clocks.by_morning(run.likely.finished.unwrap_or(ready)),
            ready: self.ready(run, ready),
            in_bed,
            bed_moisture: self.water_rules.moisture(),
            yields: self.basis.store.takes(sieved, recorder),
            nitrogen: nitrogen.map(|n| recorder.figure(NitrogenOfLot { n, r, x, lambda })),
            carbon_to_nitrogen: keeps.carbon_to_nitrogen(nitrogen, &mut self.inputs),
        });
    }

    /// The days on which a lot is ready.
    fn ready(&self, run: &Run<'_>, ready: f64) -> Ready {
        let (clocks, last) = (self.basis.clocks, self.basis.until.last);
        let by_last = |timeline: Option<&Timeline>| timeline.and_then(|t| t.ready).filter(|t| *t <= last);
        Ready {
            earliest: clocks.on_day(by_last(run.quick.as_ref()).map_or(ready, |t| t.min(ready))),
            likely: clocks.on_day(ready),
            latest: by_last(run.slow.as_ref()).map(|t| clocks.on_day(t.max(ready))),
        }
    }

    /// The castings of a cycle that worked this feed: as they lie in the bed, and sieved. Those with which it began count too. Their
    /// bounds are those of the simulation.
    fn castings_of(&self, run: &Run<'_>, D: Estimate<OfMass>) -> (Estimate<OfVolume>, SievedParts) {
        let (recorder, store) = (self.inputs.recorder, &self.basis.store);
        let (x, lambda, p) = (self.basis.keeps.ash, self.basis.keeps.loss, store.sieve);
        let (rho_b, rho_d) = (self.basis.rules.castings_density, store.castings.dry_bulk_density);
        let dry_matter = self.dry_matter(run);
        let (sieved, in_bed_bounds) = (dry_matter * p, dry_matter / rho_b);
        let off = Off.figure(HeldBack { C: dry_matter, p, rho_d });
        let running = self.basis.bed.running.filter(|_| run.cycle.castings > 0.0);
        let (in_bed, passes, held_back) = match running.map(|running| running.castings) {
            Some(C) => (
                recorder.figure_within(RunningInBed { C, D, x, lambda, rho_b }, in_bed_bounds),
                recorder.figure_within(SievedOfRunning { C, D, x, lambda, p }, sieved),
                recorder.figure_within(RunningHeldBack { C, D, x, lambda, p, rho_d }, off),
            ),
            None => (
                recorder.figure_within(LotInBed { D, x, lambda, rho_b }, in_bed_bounds),
                recorder.figure_within(SievedOfFeed { D, x, lambda, p }, sieved),
                recorder.figure_within(LotHeldBack { D, x, lambda, p, rho_d }, off),
            ),
        };
        (in_bed, SievedParts { dry_matter, passes, held_back })
    }

    /// The castings of a cycle: those it began with, and those of its feed.
    fn dry_matter(&self, run: &Run<'_>) -> Estimate<OfMass> {
        let kept = self.basis.keeps.dry(Off);
        let castings_at = |scale, kept: Share| Mass::from_kilograms(run.cycle.castings_of(scale, kept.fraction()));
        let [more, one, less] = self.basis.scales;
        hull(castings_at(less, kept.low()), castings_at(one, kept.likely()), castings_at(more, kept.high()))
    }
}

/// An estimate that holds three values, whatever their order.
fn hull(a: Mass, likely: Mass, b: Mass) -> Estimate<OfMass> {
    let (a, b, mid) = (a.kilograms(), b.kilograms(), likely.kilograms());
    let (low, high) = (a.min(b).min(mid), a.max(b).max(mid));
    Estimate::between(Mass::from_kilograms(low), likely, Mass::from_kilograms(high))
        .unwrap_or_else(|| Estimate::exactly(likely))
}

//! What is done at a bed of which all is planned, and the tasks that it makes in a calendar.

use super::{EndOut, LayerOut, LotOut, WaterOut, WithoutFeedOut};
use crate::garden::seasons::work::{TaskKind, takes_worms_back};
use crate::http::output::quantity::System;
use crate::http::output::{Answer, CautionOut, QuantityOut};
use crate::http::present::calendar::Task;
use crate::http::resources::calendar::{CautionsByItem, Ids, UNFED, Work, heading, scope, worms_unfed};
use crate::http::resources::collected::ProductionMaterialOut;
use chrono::NaiveDate;
use std::iter::once;

/// A bed of which layers, water and harvests are planned.
pub(in crate::http::resources) struct PlannedWork<'a> {
    /// What the bed is called; empty where it has no name.
    pub name: String,
    /// What its feed is called.
    pub feed: Option<&'a str>,
    /// The layers to lay.
    pub layers: &'a [LayerOut],
    /// Water from layer to layer.
    pub water: &'a [WaterOut],
    /// The castings of each cycle.
    pub lots: &'a [LotOut],
    /// The bed at the end.
    pub end: &'a EndOut,
}

impl<'a> PlannedWork<'a> {
    /// Introducing these worms on this day.
    pub fn worms(&self, on: NaiveDate, mass: &'a QuantityOut) -> Work<'a> {
        Work { mass: Some(mass), ..self.on(on, TaskKind::IntroduceWorms) }
    }

    /// The layers to lay, each with its cycle, from 1.
    pub fn layers(&self) -> impl Iterator<Item = (u32, Work<'a>)> {
        self.layers.iter().map(move |layer| {
            let work = Work {
                layer: Some(layer.number),
                takes_worms_back: takes_worms_back(layer.cycle, layer.number),
                volume: Some(&layer.volume),
                mass: Some(&layer.mass),
                depth: Some(&layer.depth),
                in_containers: &layer.in_containers,
                feed: self.feed,
                collect: layer.collect.as_ref(),
                materials: ProductionMaterialOut::all_by_mass(&layer.materials),
                ..self.on(layer.on, TaskKind::LayFeed)
            };
            (layer.cycle, work)
        })
    }

    /// Watering, until the last day of the plan.
    pub fn water(&self) -> impl Iterator<Item = Work<'a>> {
        let last = self.end.last_day();
        self.water.iter().filter(|period| period.to_add.value.get() > 0.0).map(move |period| Work {
            until: Some(period.end_on.min(last)),
            volume: Some(&period.to_add),
            ..self.on(period.start_on, TaskKind::Water)
        })
    }

    /// What is done with the castings of each cycle, from 1.
    pub fn harvests(&self) -> impl Iterator<Item = (u32, Work<'a>)> {
        self.lots.iter().flat_map(|lot| {
            let take = |on, kind, volume: &'a QuantityOut| Work { volume: Some(volume), ..self.on(on, kind) };
            let castings = &lot.castings;
            let work = [
                take(lot.finished_on, TaskKind::Harvest, &lot.in_bed),
                Work {
                    mass: Some(&castings.mass),
                    in_containers: &castings.in_containers,
                    ..take(lot.ready.likely, TaskKind::SieveAndStore, &castings.volume)
                },
            ];
            let finishing = lot.let_finish_on.map(|on| self.on(on, TaskKind::LetFinish));
            finishing.into_iter().chain(work).map(|work| (lot.cycle, work))
        })
    }

    fn on(&self, on: NaiveDate, kind: TaskKind) -> Work<'a> {
        Work::new(self.name.clone(), on, kind)
    }
}

/// The tasks of an answer on beds, each with its id and with the cautions that are about it.
pub(in crate::http::resources) struct BedTasks<'a> {
    scope: String,
    cautions: &'a [CautionOut],
    by_item: CautionsByItem,
    units: System,
    ids: Ids,
    tasks: Vec<(NaiveDate, Task)>,
}

impl<'a> BedTasks<'a> {
    /// None yet, of this answer to this question.
    pub fn of<T>(answer: &'a Answer<T>, question: &str) -> Self {
        Self {
            scope: format!("{question} {}", scope(answer.id.as_deref(), answer.name.as_deref())),
            cautions: &answer.cautions,
            by_item: CautionsByItem::of(&answer.cautions),
            units: answer.units,
            ids: Ids::default(),
            tasks: Vec::new(),
        }
    }

    /// The id of a task that these parts tell from others of the answer.
    pub fn id(&mut self, parts: &[&str]) -> String {
        self.ids.next(once(self.scope.as_str()).chain(parts.iter().copied()))
    }

    /// Adds a task of this day.
    pub fn push(&mut self, on: NaiveDate, task: Task) {
        self.tasks.push((on, task));
    }

    /// Adds work that these parts and its kind tell from others, at these parts of the request.
    pub fn add(&mut self, work: Work<'_>, parts: &[&str], at: &[(&str, Option<usize>)]) {
        let id = self.id(&[parts, &[work.kind.as_str()]].concat());
        let cautions = self.by_item.about(work.kind, at);
        let work = work.minding(cautions, self.units);
        self.push(work.on, work.task(id, self.cautions));
    }

    /// Adds the last day to feed the worms of a bed of this name, where they are without feed for long.
    pub fn add_unfed(&mut self, unfed: Option<&WithoutFeedOut>, name: &str, parts: &[&str]) {
        let Some(unfed) = unfed else { return };
        let id = self.id(&[parts, &[UNFED]].concat());
        self.push(unfed.start_on, worms_unfed(id, name, (unfed.start_on, unfed.in_words(), false)));
    }

    /// What is to be minded with work of this kind, by the headings of the cautions that are about it.
    pub fn headings(&self, kind: TaskKind) -> Vec<String> {
        self.by_item.about(kind, &[]).iter().filter_map(|rule| heading(rule, self.cautions)).collect()
    }

    /// All of them by their days.
    pub fn sorted(mut self) -> Vec<Task> {
        self.tasks.sort_by_key(|(on, _)| *on);
        self.tasks.into_iter().map(|(_, task)| task).collect()
    }
}

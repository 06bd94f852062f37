//! What to do on which day.

use super::plan::{Season, SeasonPlan};
use crate::garden::balances::additional_production::{ProductionPlan, follows_90_percent};
use crate::garden::beds::Forecast;
use crate::garden::cautions::Rule;
use crate::garden::dates::weeks;
use crate::garden::units::quantity::OfVolume;
use crate::garden::units::{Estimate, Length, Mass, Millilitres, Volume};
use chrono::{Days, NaiveDate};
use std::collections::BTreeMap;

/// What comes next is the work of so many days. Source: how this service works.
const NEXT_DAYS: u64 = 30;

/// What is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TaskKind {
    /// The last day to begin producing for a shortage.
    StartProduction,
    /// The last day to buy sacks for a shortage.
    BuySacks,
    /// Lay a layer of feed.
    LayFeed,
    /// Introduce the worms into a bed, on top of the feed that was laid that day.
    IntroduceWorms,
    /// Water a bed over these days.
    Water,
    /// All is worked through: no more feed, let it finish.
    LetFinish,
    /// Take the castings out and spread them to dry.
    Harvest,
    /// Sieve them and put them in store.
    SieveAndStore,
    /// Give castings to a demand.
    Apply,
}

/// The rules of cautions that are about applying castings or tea.
const OF_APPLYING: &[Rule] = &[
    Rule::Handling,
    Rule::RawManure,
    Rule::IntervalTooShort,
    Rule::NotIncorporated,
    Rule::NitrateLimit,
    Rule::ThickLayer,
    Rule::StrongMix,
    Rule::NitrogenTieUp,
    Rule::TeaAdditives,
    Rule::TeaWater,
    Rule::TeaSafety,
    Rule::TeaShortBrew,
    Rule::TeaKept,
    Rule::TeaRounds,
];

impl TaskKind {
    /// Every kind.
    pub const ALL: &'static [Self] = &[
        Self::StartProduction,
        Self::BuySacks,
        Self::LayFeed,
        Self::IntroduceWorms,
        Self::Water,
        Self::LetFinish,
        Self::Harvest,
        Self::SieveAndStore,
        Self::Apply,
    ];

    /// The word on the wire.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        self.words().0
    }

    /// What to do, in a few words.
    #[must_use]
    pub const fn text(self) -> &'static str {
        self.words().1
    }

    /// The rules of cautions that are about doing this.
    #[must_use]
    pub const fn cautions(self) -> &'static [Rule] {
        match self {
            Self::StartProduction => &[
                Rule::Shredding,
                Rule::FeedHeat,
                Rule::Ammonia,
                Rule::PersistentHerbicides,
                Rule::LeaveOut,
                Rule::SoakWater,
            ],
            Self::IntroduceWorms => &[Rule::FeedHeat, Rule::Ammonia, Rule::WormsAboveCarrying],
            Self::LayFeed => &[
                Rule::Handling,
                Rule::FeedHeat,
                Rule::Ammonia,
                Rule::PersistentHerbicides,
                Rule::LeaveOut,
                Rule::KitchenScraps,
                Rule::BedFrost,
                Rule::BedHeat,
                Rule::DepthReached,
                Rule::BedEmpty,
            ],
            Self::Harvest | Self::SieveAndStore => &[Rule::Handling],
            Self::Apply => OF_APPLYING,
            Self::BuySacks | Self::Water | Self::LetFinish => &[],
        }
    }

    /// Over how many weeks the amount of such a task is spread evenly: of watering the nearest number, else one.
    #[must_use]
    pub fn weeks(self, on: NaiveDate, until: Option<NaiveDate>) -> u32 {
        until.filter(|_| self == Self::Water).map_or(1, |last| weeks(on, last))
    }

    const fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::StartProduction => ("start_production", "latest day to start the additional production"),
            Self::BuySacks => ("buy_sacks", "latest day to buy sacks"),
            Self::IntroduceWorms => ("introduce_worms", "introduce the worms"),
            Self::LayFeed => ("lay_feed", "lay feed"),
            Self::Water => ("water", "water, in all over these days"),
            Self::LetFinish => ("let_finish", "lay no more feed, let the bed finish"),
            Self::Harvest => ("harvest", "take the castings out and spread them to dry"),
            Self::SieveAndStore => ("sieve_and_store", "sieve the castings and store them"),
            Self::Apply => ("apply", "apply castings"),
        }
    }
}

/// A piece of work. Amounts are those of the likely values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Task {
    /// The day, or the first of several.
    pub on: NaiveDate,
    /// The last of several.
    pub until: Option<NaiveDate>,
    /// What is done.
    pub kind: TaskKind,
    /// At which bed, and in which of its cycles, from 1.
    pub bed: Option<(usize, u32)>,
    /// Which layer of that cycle, from 1.
    pub layer: Option<u32>,
    /// For which demand.
    pub demand: Option<usize>,
    /// Of a demand that repeats, which time, from 1.
    pub occasion: Option<u32>,
    /// By volume: feed, castings, water.
    pub volume: Option<Volume>,
    /// By mass: feed, worms.
    pub mass: Option<Mass>,
    /// How deep a layer is when fresh.
    pub depth: Option<Length>,
    /// How many sacks.
    pub sacks: Option<u64>,
    /// Of a start, the dry matter of the feed to make.
    pub feed: Option<Mass>,
    /// True if a start is for a chance of 90 %, and not only at the likely values.
    pub sure: bool,
    /// The day by which what is produced or bought is wanted.
    pub by: Option<NaiveDate>,
}

impl Task {
    /// Whether its last day is before today.
    #[must_use]
    pub fn is_overdue(&self, today: Option<NaiveDate>) -> bool {
        today.is_some_and(|today| self.until.unwrap_or(self.on) < today)
    }

    /// Its amount in each week, where it takes several.
    #[must_use]
    pub fn each_week(&self) -> Option<Volume> {
        let weeks = self.kind.weeks(self.on, self.until);
        self.volume.filter(|_| weeks > 1).map(|volume| volume.times(1.0 / f64::from(weeks)))
    }

    fn new(on: NaiveDate, kind: TaskKind) -> Self {
        Self {
            on,
            until: None,
            kind,
            bed: None,
            layer: None,
            demand: None,
            occasion: None,
            volume: None,
            mass: None,
            depth: None,
            sacks: None,
            feed: None,
            sure: false,
            by: None,
        }
    }
}

/// The work of a season in order of its days; on one day in the order of [`TaskKind`], then of the lists.
#[must_use]
pub fn work(season: &Season<'_>, plan: &SeasonPlan, produce: &[ProductionPlan]) -> Vec<Task> {
    let mut tasks = Vec::new();
    for (bed, (planned, forecast)) in season.beds.iter().zip(&plan.forecasts).enumerate() {
        // A running bed has its worms.
        let worms = forecast.worms.first().filter(|_| planned.bed.running.is_none());
        tasks.extend(worms.map(|worms| Task {
            bed: Some((bed, 1)),
            mass: Some(worms.mass.likely()),
            ..Task::new(planned.bed.start_on, TaskKind::IntroduceWorms)
        }));
        of_bed(bed, forecast, season.until, &mut tasks);
    }
    for (demand, (asked, served)) in plan.requirements.iter().zip(&plan.balance.demands).enumerate() {
        let mut days: BTreeMap<(NaiveDate, u32), Millilitres> = BTreeMap::new();
        for draw in &served.allocations {
            // What may be taken on any day falls on the last day of the demand, or of the season.
            let part = asked.parts.get(draw.part);
            if let Some(on) = draw.on.or_else(|| part.and_then(|part| part.window.last)).or(Some(season.until)) {
                let sum = days.entry((on, part.map_or(0, |part| part.occasion))).or_default();
                *sum = crate::garden::balances::add(*sum, draw.amount);
            }
        }
        let apply = |((on, occasion), amount): ((NaiveDate, u32), Millilitres)| Task {
            demand: Some(demand),
            occasion: Some(occasion).filter(|time| *time > 0),
            volume: Some(amount.volume()),
            ..Task::new(on, TaskKind::Apply)
        };
        tasks.extend(days.into_iter().map(apply));
    }
    let sure = follows_90_percent(produce);
    tasks.extend(produce.iter().filter_map(|plan| production(plan, sure)));
    let buy = |purchase: &crate::garden::balances::ledger::SackPurchase| {
        let by = purchase.by.unwrap_or(season.until);
        Task { sacks: Some(purchase.count), by: Some(by), ..Task::new(by, TaskKind::BuySacks) }
    };
    tasks.extend(plan.balance.sacks.iter().map(buy));
    tasks.sort_by_key(|task| (task.on, task.kind, task.bed, task.layer, task.demand, task.occasion));
    tasks
}

/// The days of the work that comes next, first and last: from `today`, else from the first of these tasks.
#[must_use]
pub fn next_days(tasks: &[Task], today: Option<NaiveDate>) -> Option<(NaiveDate, NaiveDate)> {
    let first = today.or_else(|| tasks.first().map(|task| task.on))?;
    let last = first.checked_add_days(Days::new(NEXT_DAYS))?.pred_opt()?;
    Some((first, last))
}

/// The last day to begin, with what to make; none where it is too late.
fn production(plan: &ProductionPlan, sure: bool) -> Option<Task> {
    let batch = if sure { plan.at_90_percent.as_ref()? } else { &plan.likely };
    let on = batch.start_on.filter(|_| batch.is_in_time())?;
    let (volume, by) = (Some(batch.castings.volume()), Some(plan.shortage.by));
    Some(Task { volume, by, feed: Some(batch.feed), sure, ..Task::new(on, TaskKind::StartProduction) })
}

fn of_bed(bed: usize, forecast: &Forecast, until: NaiveDate, tasks: &mut Vec<Task>) {
    let mut last = (0, 0);
    for laid in &forecast.layers {
        last = if last.0 == laid.cycle { (laid.cycle, last.1 + 1) } else { (laid.cycle, 1) };
        tasks.push(Task {
            bed: Some((bed, laid.cycle)),
            layer: Some(last.1),
            volume: Some(laid.volume.likely()),
            mass: Some(laid.mass.likely()),
            depth: Some(laid.depth.likely()),
            ..Task::new(laid.on, TaskKind::LayFeed)
        });
    }
    for period in &forecast.water {
        let cycle = forecast.layers.iter().rev().find(|laid| laid.on <= period.from).map_or(1, |laid| laid.cycle);
        let litres: Estimate<OfVolume> = period.to_add;
        if litres.likely().litres() > 0.0 {
            tasks.push(Task {
                // A forecast ends on the morning after the last day.
                until: Some(period.to.min(until)),
                bed: Some((bed, cycle)),
                volume: Some(litres.likely()),
                ..Task::new(period.from, TaskKind::Water)
            });
        }
    }
    for lot in &forecast.lots {
        let at = |on, kind, volume| Task { bed: Some((bed, lot.cycle)), volume, ..Task::new(on, kind) };
        tasks.push(at(lot.eaten_on, TaskKind::LetFinish, None));
        tasks.push(at(lot.finished_on, TaskKind::Harvest, Some(lot.in_bed.likely())));
        tasks.push(at(lot.ready.likely, TaskKind::SieveAndStore, Some(lot.yields.castings.likely())));
    }
}

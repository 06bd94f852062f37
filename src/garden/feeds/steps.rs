//! What to do, in order, with dates.

use super::hot::HotComposted;
use super::line::Prepared;
use super::water::{Soak, Treatment};
use super::{Ingredient, Order};
use crate::garden::cautions::Rule;
use crate::garden::closed_list::closed_list;
use crate::garden::dates::MAX_YEAR;
use crate::garden::formulas::DAY;
use crate::garden::refusal::{Reason, Refusal};
use chrono::{Datelike, Days, NaiveDate};

/// After the first layer the bed waits so long, in days, to see whether it heats. Source: common practice, no source.
pub const WAIT_FOR_HEAT_DAYS: u32 = 2;
/// The rules of cautions on feed that worms are put onto only after that wait.
const RULES_OF_FRESH_FEED: [Rule; 2] = [Rule::FeedHeat, Rule::Ammonia];
/// Moist feed lies no longer than so many weeks until it is laid. Source: common practice, no source.
const MIX_KEEPS_WEEKS: i64 = 2;
/// What soaks no longer than this, in hours, is started on the day of mixing. Source: assumption: a day of work.
const WITHIN_A_DAY: f64 = 8.0;

closed_list! {
    /// What is done in a step.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum StepKind {
        /// Shred.
        Shred = "shred",
        /// Lay into water, with starter if there is one.
        Soak = "soak",
        /// Stir the soak.
        StirDaily = "stir_daily",
        /// Shred what was soaked once more.
        ShredAgain = "shred_again",
        /// Stir dry manure into water.
        RehydrateManure = "rehydrate_manure",
        /// Mix everything, with the extra water.
        Mix = "mix",
        /// Keep the heap hot.
        HotComposting = "hot_composting",
        /// Let it cool below 30 C.
        Cool = "cool",
        /// Lay the first layer.
        FirstLayer = "first_layer",
        /// Put the worms in.
        IntroduceWorms = "introduce_worms",
    }
}

impl StepKind {
    /// What to do, in a sentence: SI units with US customary ones in brackets, or the other way round.
    #[must_use]
    pub fn text(self, us_first: bool) -> String {
        let mut text = String::new();
        for part in self.rule().0.split('}') {
            let (words, measures) = part.split_once('{').unwrap_or((part, ""));
            text += words;
            if let Some((si, us)) = measures.split_once('|') {
                let (first, second) = if us_first { (us, si) } else { (si, us) };
                text += &format!("{first} ({second})");
            }
        }
        text
    }

    /// Where the rule is from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        self.rule().1
    }

    /// Its sentence with measures as `{30 C|86 F}`, and its source.
    const fn rule(self) -> (&'static str, &'static str) {
        const TRADE: &str = "common practice, no source";
        match self {
            Self::Shred => ("Shred: worms eat small pieces sooner, and these take up water.", TRADE),
            Self::Soak => (
                "Put into water, with the starter if you use one, and weigh down. Three to five days are usual.",
                TRADE,
            ),
            Self::StirDaily => ("Stir the soak once a day, so that it does not smell.", TRADE),
            Self::ShredAgain => ("Drain, and shred or chop once more.", TRADE),
            Self::RehydrateManure => ("Stir dry manure into its water and leave it for some hours.", TRADE),
            Self::Mix => ("Mix well. It is moist enough when it is like a wrung-out sponge.", TRADE),
            Self::HotComposting => (
                "Keep the heap hot. Only {55 to 77 C|131 to 170 F} for 3 days in a vessel or static aerated pile, or for 15 days with five \
                 turnings, counts as treated.",
                "7 CFR 205.203(c)(2)",
            ),
            Self::Cool => (
                "Let it cool until the middle stays below {30 C|86 F}, and moisten it again.",
                "30 C limit: Edwards & Arancon 2004, Table 18.3",
            ),
            Self::FirstLayer => (
                FIRST_LAYER,
                "Sreenivasan, Handbook of Vermicomposting, ch. 6; thinner ones: Sherman, The Worm Farmer's Handbook",
            ),
            Self::IntroduceWorms => (
                "If the middle stays below {30 C|86 F} and does not smell of ammonia, put the worms on top.",
                "30 C limit: Edwards & Arancon 2004, Table 18.3; the wait: common practice, no source",
            ),
        }
    }
}

/// What to do in a step where so much time passes from the mixing to a layer, or from one layer to the next, that wet feed does not keep; `None`
/// where it does, or where the step wets nothing.
#[must_use]
pub fn layer_by_layer(kind: StepKind, mixed_on: NaiveDate, laid_on: impl Iterator<Item = NaiveDate>) -> Option<String> {
    let what = match kind {
        StepKind::Soak => "soak only what the next one takes, and keep the rest dry until before its day",
        StepKind::StirDaily | StepKind::ShredAgain => "do this for each by itself",
        StepKind::RehydrateManure => "stir in only what the next one takes, and keep the rest dry until before its day",
        StepKind::Mix => "mix only what the next one takes, and leave the rest unmixed until its day",
        _ => return None,
    };
    let mut last = mixed_on;
    let mut gaps = laid_on.map(|on| (on - std::mem::replace(&mut last, on)).num_weeks());
    let are_apart = gaps.any(|weeks| weeks >= MIX_KEEPS_WEEKS);
    are_apart.then(|| format!("Layers lie {MIX_KEEPS_WEEKS} weeks or more apart: {what}."))
}

/// What to do before worms go onto feed with these cautions; `None` where that neither heats up nor gives off ammonia.
#[must_use]
pub fn before_worms(cautions: &[&str], us_first: bool) -> Option<String> {
    let is_fresh = RULES_OF_FRESH_FEED.iter().any(|rule| cautions.contains(&rule.text().rule));
    let days = WAIT_FOR_HEAT_DAYS;
    is_fresh.then(|| {
        let check = StepKind::IntroduceWorms.text(us_first);
        format!("Lay the first feed {days} days earlier, or introduce the worms {days} days later. {check}")
    })
}

/// What to do before the worms of a harvest go onto the first feed after it, where that has these cautions; `None` where nothing is.
#[must_use]
pub fn before_worms_go_back(cautions: &[&str], us_first: bool) -> Option<String> {
    before_worms(cautions, us_first).map(|wait| format!("The worms of the harvest go onto this feed. {wait}"))
}

/// What to do besides where water is added when mixing. Source: common practice, no source.
pub const ADD_WATER_SLOWLY: &str = "Add the water slowly.";

/// How the first layer is laid.
const FIRST_LAYER: &str = "Lay the first layer: {10 to 15 cm|4 to 6 in} is usual, less where there is less feed. Later layers are at \
                           most {10 cm|4 in}, and thinner where fresh feed heats up.";

/// A step of the work.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What is done.
    pub kind: StepKind,
    /// Days after the start on which it begins.
    pub from_day: u32,
    /// Days after the start on which it ends; the same day for work of one day.
    pub to_day: u32,
    /// The date on which it begins, if a start was given.
    pub from: Option<NaiveDate>,
    /// The date on which it ends.
    pub to: Option<NaiveDate>,
    /// Which materials, by their place in the list; all of them where this is empty.
    pub of: Vec<usize>,
}

/// The steps in order. A material of which nothing is taken has none.
pub(super) fn of(order: &Order, parts: &[Prepared], hot: Option<&HotComposted>) -> Result<Vec<Step>, Refusal> {
    let mut list = List { order, parts, steps: Vec::new() };
    list.some(StepKind::Shred, (0, 0), |i| i.shred);
    let soaked = list.soak();
    let mixing = list.rehydrate(soaked);
    list.all(StepKind::Mix, (mixing, mixing));
    let cool = list.hot_composting(mixing, hot);
    list.all(StepKind::FirstLayer, (cool, cool));
    list.all(StepKind::IntroduceWorms, (cool + WAIT_FOR_HEAT_DAYS, cool + WAIT_FOR_HEAT_DAYS));
    list.check()?;
    Ok(list.steps)
}

/// How many days before the mixing something that soaks so long is started.
fn nights(hours: f64) -> u32 {
    (1..=4).find(|n| hours <= WITHIN_A_DAY + f64::from(n - 1) * DAY).map_or(4, |n: u32| n - 1)
}

struct List<'a> {
    order: &'a Order,
    parts: &'a [Prepared],
    steps: Vec<Step>,
}

impl List<'_> {
    /// A step of some materials; none where there are none.
    fn some(&mut self, kind: StepKind, days: (u32, u32), wanted: impl Fn(&Ingredient) -> bool) {
        let materials = self.which(wanted);
        if !materials.is_empty() {
            self.push(kind, days, materials);
        }
    }

    fn all(&mut self, kind: StepKind, days: (u32, u32)) {
        self.push(kind, days, Vec::new());
    }

    /// Which materials, of those of which something is taken.
    fn which(&self, wanted: impl Fn(&Ingredient) -> bool) -> Vec<usize> {
        let all = self.order.ingredients.iter().zip(self.parts).enumerate();
        all.filter(|(_, (i, p))| wanted(i) && p.mass.kilograms() > 0.0).map(|(at, _)| at).collect()
    }

    /// The soak, and the day on which it is done.
    fn soak(&mut self) -> u32 {
        let soaked = |i: &Ingredient| i.treatment == Treatment::Soaked;
        if self.which(soaked).is_empty() {
            return 0;
        }
        let days = self.order.soak.unwrap_or(Soak::COMMON).days;
        self.some(StepKind::Soak, (0, days), soaked);
        if days > 1 {
            self.some(StepKind::StirDaily, (1, days - 1), soaked);
        }
        self.some(StepKind::ShredAgain, (days, days), |i| soaked(i) && i.shred);
        days
    }

    /// Manure in water, started so that it is done when the soak is, and the day on which both are done.
    fn rehydrate(&mut self, soaked: u32) -> u32 {
        let soaking = |i: &Ingredient| match i.treatment {
            Treatment::Rehydrated(r) => Some(r.soaking_time.hours()),
            _ => None,
        };
        let taken = self.which(|i| soaking(i).is_some());
        if taken.is_empty() {
            return soaked;
        }
        let taken = taken.iter().filter_map(|at| self.order.ingredients.get(*at));
        let ahead = nights(taken.filter_map(soaking).fold(0.0, f64::max));
        let from = soaked.saturating_sub(ahead);
        let done = soaked.max(from + ahead);
        self.some(StepKind::RehydrateManure, (from, done), |i| soaking(i).is_some());
        done
    }

    /// Hot composting after the mixing, and the day on which the heap is cool.
    fn hot_composting(&mut self, mixing: u32, hot: Option<&HotComposted>) -> u32 {
        let (Some(stage), Some(hot)) = (self.order.hot_composting, hot) else { return mixing };
        let (done, cool) = (mixing + stage.days, mixing + stage.days + hot.cooling_days());
        self.all(StepKind::HotComposting, (mixing, done));
        self.all(StepKind::Cool, (done, cool));
        cool
    }

    fn push(&mut self, kind: StepKind, (from_day, to_day): (u32, u32), of: Vec<usize>) {
        let start = self.order.start_on;
        let on = |day: u32| start.and_then(|start| start.checked_add_days(Days::new(u64::from(day))));
        self.steps.push(Step { kind, from_day, to_day, from: on(from_day), to: on(to_day), of });
    }

    fn check(&self) -> Result<(), Refusal> {
        let late = |step: &Step| self.order.start_on.is_some() && step.to.is_none_or(|to| to.year() > MAX_YEAR);
        if self.steps.iter().any(late) {
            let detail = format!("the work would end after {MAX_YEAR}; give an earlier start_on");
            return Err(Refusal::new(Reason::OutOfRange, detail).at("start_on"));
        }
        Ok(())
    }
}

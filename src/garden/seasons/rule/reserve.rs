//! What a grower keeps back for demands that open later.
//!
//! On a day `t` there is kept for the demands of some priorities, over all later opening days `s`, the most of: what the plan allots to
//! those that open after `t` and up to `s`, less the lots that have not come yet, are planned for a day after `t` and up to `s`, and last
//! to `s`. For `s` only castings that last to `s` are kept. A lot that is overdue counts nothing, one that came early is stock.
//!
//! The use-by dates part the opening days into stretches: within one, all castings on hand last alike. For each stretch the most of its
//! rest is known, so a look takes as many steps as there are stretches.

use super::hand::{Arrival, Hand};

/// A lot of the plan that a grower expects.
#[derive(Debug, Clone, Copy)]
pub(super) struct Expected {
    /// Its likely day.
    pub day: f64,
    /// Its likely amount, mL.
    pub amount: f64,
    /// The place of its use-by date.
    pub class: usize,
    /// Whether some demands may not draw on it.
    pub raw: bool,
    /// The first opening day on which it is there.
    from: usize,
}

/// What the plan allots to a demand that opens on some day.
#[derive(Debug, Clone, Copy)]
pub(super) struct Allotted {
    /// The place of its first day among the opening days.
    pub opens: usize,
    /// The rank of its priority.
    pub rank: usize,
    /// How much, mL.
    pub amount: f64,
    /// Whether it may draw on raw castings when it opens.
    pub takes_raw: bool,
}

/// What does not change from run to run.
#[derive(Debug, Clone)]
pub(super) struct Outlook {
    /// The opening days, in order.
    pub days: Vec<f64>,
    /// The end of each stretch among them: one for each use-by date, then the rest.
    ends: Vec<usize>,
    /// The lots of the plan, in its order.
    lots: Vec<Expected>,
    /// Their places by their days.
    order: Vec<usize>,
    /// Whether some lots are closed to some demands.
    pub barred: bool,
}

impl Outlook {
    /// `use_by` are the use-by dates in order, `lots` those of the plan.
    pub fn new(days: Vec<f64>, use_by: &[f64], lots: &[Arrival], barred: bool) -> Self {
        let before = |last: &f64| days.partition_point(|day| day <= last);
        let ends = use_by.iter().map(before).chain([days.len()]).collect();
        let from = |day: f64| days.partition_point(|other| *other < day);
        let expected = |lot: &Arrival| Expected {
            day: lot.day,
            amount: lot.amount,
            class: lot.class,
            raw: lot.raw,
            from: from(lot.day),
        };
        let lots: Vec<Expected> = lots.iter().map(expected).collect();
        let day = |place: usize| lots.get(place).map_or(f64::INFINITY, |lot| lot.day);
        let mut order: Vec<usize> = (0..lots.len()).collect();
        order.sort_by(|a, b| day(*a).total_cmp(&day(*b)));
        Self { days, ends, lots, order, barred }
    }

    /// The lots of the plan that are there on each opening day, mL.
    fn coming(&self, with_raw: bool) -> Vec<f64> {
        let mut coming = vec![0.0; self.days.len()];
        for lot in self.lots.iter().filter(|lot| with_raw || !lot.raw) {
            let end = self.ends.get(lot.class).copied().unwrap_or(0);
            coming.iter_mut().take(end).skip(lot.from).for_each(|sum| *sum += lot.amount);
        }
        coming
    }

    /// The stretch that holds an opening day: its number, its first place, and the place after its last.
    fn stretch(&self, place: usize) -> (usize, usize, usize) {
        let class = self.ends.partition_point(|end| *end <= place);
        let start = class.checked_sub(1).and_then(|before| self.ends.get(before)).copied().unwrap_or(0);
        (class, start, self.ends.get(class).copied().unwrap_or(start))
    }
}

/// What is kept of all lots, or of those that are not raw for those who may only draw on these.
#[derive(Debug, Clone)]
struct Table {
    with_raw: bool,
    /// The lots of the plan that are there on each opening day.
    coming: Vec<f64>,
    /// For each rank: allotted to it and to earlier ones, up to each opening day.
    sums: Vec<Vec<f64>>,
    /// The same less the lots that are still expected.
    open: Vec<Vec<f64>>,
    /// The most of that from each opening day to the end of its stretch.
    peaks: Vec<Vec<f64>>,
    /// For each stretch: what has to be added, since lots are not expected any more.
    more: Vec<f64>,
}

/// What is kept, and which lots are still expected; the buffers are reused by the next run.
#[derive(Debug, Clone)]
pub(super) struct Kept {
    /// Of all lots, and of those that are not raw where some are barred.
    tables: Vec<Table>,
    /// Those that came, or whose day has passed.
    gone: Vec<bool>,
    /// The next of them whose day comes.
    next: usize,
    /// True if a lot came early.
    changed: bool,
}

impl Kept {
    /// Nothing, for so many priorities.
    pub fn new(outlook: &Outlook, ranks: usize) -> Self {
        let nothing = || vec![vec![0.0; outlook.days.len()]; ranks];
        let more = || vec![0.0; outlook.ends.len()];
        let empty = |with_raw| Table {
            with_raw,
            coming: outlook.coming(with_raw),
            sums: nothing(),
            open: nothing(),
            peaks: nothing(),
            more: more(),
        };
        let tables = if outlook.barred { vec![empty(true), empty(false)] } else { vec![empty(true)] };
        Self { tables, gone: vec![false; outlook.lots.len()], next: 0, changed: false }
    }

    /// The start of a run in which the plan allots these amounts.
    pub fn allot(&mut self, outlook: &Outlook, allotted: &[Allotted]) {
        self.tables.iter_mut().for_each(|table| table.fill(outlook, allotted));
        self.restart();
    }

    /// The start of another run with the amounts of `start`.
    pub fn begin(&mut self, start: &Self) {
        if self.changed {
            for (table, first) in self.tables.iter_mut().zip(&start.tables) {
                table.open.clone_from(&first.open);
                table.peaks.clone_from(&first.peaks);
            }
        }
        self.restart();
    }

    fn restart(&mut self) {
        self.gone.fill(false);
        self.tables.iter_mut().for_each(|table| table.more.fill(0.0));
        (self.next, self.changed) = (0, false);
    }

    /// From this day on, a lot planned for it or for an earlier day is not expected any more.
    pub fn pass(&mut self, outlook: &Outlook, day: f64) {
        while let Some((place, lot)) = outlook.order.get(self.next).and_then(|i| Some((*i, outlook.lots.get(*i)?))) {
            if lot.day > day {
                break;
            }
            self.next += 1;
            if !self.leaves(place) {
                continue;
            }
            // All later opening days to which it would have lasted.
            for table in self.tables.iter_mut().filter(|table| table.counts(lot)) {
                table.more.iter_mut().take(lot.class + 1).for_each(|more| *more += lot.amount);
            }
        }
    }

    /// A lot has come: it is not expected any more.
    pub fn came(&mut self, outlook: &Outlook, place: usize) {
        let Some(lot) = outlook.lots.get(place).filter(|_| self.leaves(place)) else { return };
        self.changed = true;
        let (class, start, end) = outlook.stretch(lot.from);
        for table in self.tables.iter_mut().filter(|table| table.counts(lot)) {
            for (open, peaks) in table.open.iter_mut().zip(&mut table.peaks) {
                open.iter_mut().take(end).skip(lot.from).for_each(|open| *open += lot.amount);
                crest(open, peaks, (start, end));
            }
            table.more.iter_mut().take(lot.class + 1).skip(class + 1).for_each(|more| *more += lot.amount);
        }
    }

    /// Strikes a lot off those that are expected; false if it was not.
    fn leaves(&mut self, place: usize) -> bool {
        self.gone.get_mut(place).is_some_and(|gone| !std::mem::replace(gone, true))
    }

    /// How much is kept, mL, for demands of the first so many ranks that open later than the first `opened` opening days. `with_raw`:
    /// of all that is on hand, else only of what is not raw.
    pub fn held(&self, outlook: &Outlook, (ranks, opened): (usize, usize), (hand, with_raw): (&Hand, bool)) -> f64 {
        let Some(table) = self.tables.iter().find(|table| table.with_raw == with_raw) else { return 0.0 };
        let last = ranks.checked_sub(1).and_then(|last| table.sums.get(last).zip(table.peaks.get(last)));
        let Some((sums, peaks)) = last else { return 0.0 };
        let before = opened.checked_sub(1).and_then(|last| sums.get(last)).copied().unwrap_or(0.0);
        let (mut lasts, mut most, mut start) = (hand.total(with_raw), 0.0_f64, opened);
        for (class, (end, more)) in outlook.ends.iter().zip(&table.more).enumerate().skip(hand.first) {
            if lasts <= most {
                break;
            }
            if start < *end {
                let peak = peaks.get(start).copied().unwrap_or(f64::NEG_INFINITY);
                most = most.max((peak + more - before).min(lasts));
                start = *end;
            }
            lasts -= hand.of_class(class, with_raw);
        }
        most
    }
}

impl Table {
    fn counts(&self, lot: &Expected) -> bool {
        self.with_raw || !lot.raw
    }

    fn fill(&mut self, outlook: &Outlook, allotted: &[Allotted]) {
        self.sums.iter_mut().for_each(|sums| sums.fill(0.0));
        for one in allotted.iter().filter(|one| self.with_raw || !one.takes_raw) {
            if let Some(sum) = self.sums.get_mut(one.rank).and_then(|sums| sums.get_mut(one.opens)) {
                *sum += one.amount;
            }
        }
        let mut earlier: Option<&Vec<f64>> = None;
        for sums in &mut self.sums {
            let mut sum = 0.0;
            for (place, value) in sums.iter_mut().enumerate() {
                sum += *value;
                *value = sum + earlier.and_then(|earlier| earlier.get(place)).copied().unwrap_or(0.0);
            }
            earlier = Some(sums);
        }
        for ((sums, open), peaks) in self.sums.iter().zip(&mut self.open).zip(&mut self.peaks) {
            open.clear();
            open.extend(sums.iter().zip(&self.coming).map(|(sum, coming)| sum - coming));
            let mut start = 0;
            for end in &outlook.ends {
                crest(open, peaks, (start, *end));
                start = *end;
            }
        }
    }
}

/// The most from each place on, up to the end of a stretch.
fn crest(open: &[f64], peaks: &mut [f64], (start, end): (usize, usize)) {
    let (Some(open), Some(peaks)) = (open.get(start..end), peaks.get_mut(start..end)) else { return };
    let mut most = f64::NEG_INFINITY;
    for (open, peak) in open.iter().zip(peaks).rev() {
        most = most.max(*open);
        *peak = most;
    }
}

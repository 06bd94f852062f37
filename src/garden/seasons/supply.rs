//! Castings ready against castings wanted, date by date, in one run.

use super::plan::{Draws, Season, SeasonPlan};
use crate::garden::balances::allocation::Window;
use crate::garden::draws::Run;
use crate::garden::units::whole;
use chrono::NaiveDate;

/// A rounding of less than half a millilitre is no shortage. Source: tolerance of computing.
pub(super) const HALF: f64 = 0.5;

/// A demand, or a part of it, with the dates between which it can be served; days since the first date.
#[derive(Debug, Clone, Copy)]
struct Need {
    first: f64,
    last: f64,
    want: usize,
    /// Of what the demand asks in all.
    share: f64,
}

/// A lot of the stock.
#[derive(Debug, Clone, Copy)]
struct Lot {
    first: f64,
    last: f64,
    stock: usize,
}

/// Supply and demand by date.
#[derive(Debug)]
pub(super) struct Sheet {
    epoch: NaiveDate,
    /// The days on which something is due, in order.
    pub dates: Vec<NaiveDate>,
    due: Vec<f64>,
    /// Sorted by their last day.
    needs: Vec<Need>,
    /// Stock that keeps, and stock that does not, by its last day.
    keeps: Vec<Lot>,
    expires: Vec<Lot>,
    /// What is due on each date once expiring stock is used up, and expiring stock on hand, where no run changes it.
    settled: Option<(Vec<f64>, Vec<f64>)>,
}

impl Sheet {
    pub fn new(season: &Season<'_>, plan: &SeasonPlan, draws: &Draws) -> Self {
        let windows = season.stock.iter().map(|(lot, _)| lot.window);
        let wanted = plan.wants.iter().flat_map(|want| want.parts.iter().map(|part| part.window));
        let all = windows.chain(wanted).flat_map(|w| [w.first, w.last]).flatten();
        let starts = season.beds.iter().map(|bed| bed.bed.start_on);
        let epoch = all.chain(starts).chain([season.until]).min().unwrap_or(season.until);
        let mut sheet = Self {
            epoch,
            dates: Vec::new(),
            due: Vec::new(),
            needs: Vec::new(),
            keeps: Vec::new(),
            expires: Vec::new(),
            settled: None,
        };
        sheet.fill(season, plan);
        let known = |stock: &usize| draws.stock.get(*stock).is_some_and(|amount| amount.is_known());
        let fixed = sheet.expires.iter().all(|lot| known(&lot.stock)) && draws.wants.iter().all(|want| want.is_known());
        sheet.settled = fixed.then(|| sheet.settle(draws, &Run::LIKELY));
        sheet
    }

    fn fill(&mut self, season: &Season<'_>, plan: &SeasonPlan) {
        for (want, demand) in plan.wants.iter().enumerate() {
            let all = whole(demand.amount().get());
            for part in demand.parts.iter().filter(|_| all > 0.0) {
                let (first, last) = self.days(part.window, season.until);
                self.needs.push(Need { first, last, want, share: whole(part.amount.get()) / all });
            }
        }
        self.needs.sort_by(|a, b| a.last.total_cmp(&b.last).then(a.want.cmp(&b.want)));
        self.due = self.needs.iter().map(|need| need.last).collect();
        self.due.dedup();
        self.dates = self.due.iter().map(|day| self.date(*day)).collect();
        for (stock, (lot, _)) in season.stock.iter().enumerate() {
            let (first, last) = self.days(lot.window, season.until);
            let list = if lot.window.last.is_some() { &mut self.expires } else { &mut self.keeps };
            list.push(Lot { first, last, stock });
        }
        self.expires.sort_by(|a, b| a.last.total_cmp(&b.last).then(a.first.total_cmp(&b.first)));
    }

    /// What is open at the end is due on the last day of the season.
    fn days(&self, window: Window, until: NaiveDate) -> (f64, f64) {
        (window.first.map_or(0.0, |day| self.day(day)), window.last.map_or(self.day(until), |day| self.day(day)))
    }

    /// Days since the first date.
    pub fn day(&self, date: NaiveDate) -> f64 {
        i32::try_from(date.signed_duration_since(self.epoch).num_days()).map_or(f64::MAX, f64::from)
    }

    pub fn date(&self, day: f64) -> NaiveDate {
        #[expect(clippy::as_conversions, reason = "a whole number of days between dates of the calendar")]
        let days = chrono::Days::new(day.max(0.0) as u64);
        self.epoch.checked_add_days(days).unwrap_or(self.epoch)
    }

    /// The first due date on or after a day.
    fn place(&self, day: f64) -> usize {
        self.due.partition_point(|due| *due < day)
    }

    /// Wanted by each date in the plan, mL.
    pub fn wanted(&self, draws: &Draws) -> Vec<f64> {
        let mut sums = vec![0.0; self.due.len()];
        for need in &self.needs {
            add(&mut sums, self.place(need.last), need.amount(draws, &Run::LIKELY));
        }
        running(&sums)
    }

    /// Castings ready less castings wanted by each date, mL. Stock that expires goes first, to what is due soonest; what is left
    /// of it counts while it is usable.
    pub fn margins(&self, draws: &Draws, run: &Run<'_>, beds: &[(f64, f64)]) -> Vec<f64> {
        let fresh;
        let (due, on_hand) = match &self.settled {
            Some(settled) => settled,
            None => {
                fresh = self.settle(draws, run);
                &fresh
            }
        };
        let mut margins = vec![0.0; self.due.len()];
        for lot in &self.keeps {
            add(&mut margins, self.place(lot.first), draws.stock.get(lot.stock).map_or(0.0, |a| a.of(run)));
        }
        for (ready, amount) in beds {
            add(&mut margins, self.place(*ready), *amount);
        }
        for (margin, due) in margins.iter_mut().zip(due) {
            *margin -= due;
        }
        let mut margins = running(&margins);
        for (margin, on_hand) in margins.iter_mut().zip(on_hand) {
            *margin += on_hand;
        }
        margins
    }

    /// Uses up the stock that expires; what is still due by date, and what is on hand of it.
    fn settle(&self, draws: &Draws, run: &Run<'_>) -> (Vec<f64>, Vec<f64>) {
        let mut open: Vec<f64> = self.needs.iter().map(|need| need.amount(draws, run)).collect();
        let mut on_hand = vec![0.0; self.due.len()];
        for lot in &self.expires {
            let mut rest = draws.stock.get(lot.stock).map_or(0.0, |a| a.of(run));
            let (from, to) = (self.place(lot.first), self.place(lot.last + 1.0));
            let mut left: Vec<f64> = vec![0.0; to.saturating_sub(from)];
            for (need, open) in self.needs.iter().zip(&mut open) {
                if need.last < lot.first || need.first > lot.last {
                    continue;
                }
                let taken = rest.min(*open);
                (rest, *open) = (rest - taken, *open - taken);
                // Taken for this demand: on hand until its date.
                let until = self.place(need.last).saturating_sub(from).min(left.len());
                left.iter_mut().take(until).for_each(|hand| *hand += taken);
            }
            for (hand, left) in on_hand.iter_mut().skip(from).zip(left) {
                *hand += left + rest;
            }
        }
        let mut due = vec![0.0; self.due.len()];
        for (need, open) in self.needs.iter().zip(open) {
            add(&mut due, self.place(need.last), open);
        }
        (due, on_hand)
    }

    /// Castings ready by some days, mL: all that came by then.
    pub fn ready(&self, days: &[f64], (draws, run): (&Draws, &Run<'_>), beds: &[(f64, f64)]) -> Vec<f64> {
        let mut sums = vec![0.0; days.len()];
        let place = |day: f64| days.partition_point(|other| *other < day);
        for lot in self.keeps.iter().chain(&self.expires) {
            add(&mut sums, place(lot.first), draws.stock.get(lot.stock).map_or(0.0, |a| a.of(run)));
        }
        for (ready, amount) in beds {
            add(&mut sums, place(*ready), *amount);
        }
        running(&sums)
    }
}

impl Need {
    fn amount(&self, draws: &Draws, run: &Run<'_>) -> f64 {
        draws.wants.get(self.want).map_or(0.0, |want| want.of(run) * self.share)
    }
}

fn add(sums: &mut [f64], place: usize, amount: f64) {
    if let Some(sum) = sums.get_mut(place) {
        *sum += amount;
    }
}

fn running(values: &[f64]) -> Vec<f64> {
    let mut sum = 0.0;
    values
        .iter()
        .map(|value| {
            sum += value;
            sum
        })
        .collect()
}

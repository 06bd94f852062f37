//! Castings ready against castings wanted, date by date, in one run.

use super::days::Days;
use super::drawn::{Amounts, DrawnSeason};
use super::plan::{Season, SeasonPlan};
use crate::garden::units::whole;
use chrono::NaiveDate;

/// A rounding of less than half a millilitre is no shortfall. Source: tolerance of computing.
pub(super) const HALF: f64 = 0.5;

/// Ready day and amount in mL of each bed lot, in the order of beds and cycles.
pub(super) type Lots = Vec<Vec<(f64, f64)>>;

/// Ready day and amount of one cycle (from 1) of a bed.
pub(super) fn lot_of_cycle(lots: &Lots, bed: usize, cycle: u32) -> Option<(f64, f64)> {
    let cycle = usize::try_from(cycle).unwrap_or(usize::MAX).checked_sub(1)?;
    lots.get(bed)?.get(cycle).copied()
}

/// A demand, or a part of it, with the dates between which it can be served; days since the first date.
#[derive(Debug, Clone, Copy)]
struct Need {
    first: f64,
    last: f64,
    requirement: usize,
    /// Of what the demand asks in all.
    share: f64,
    /// The place of its last day among the due dates.
    due: usize,
}

/// A lot of the stock that keeps.
#[derive(Debug, Clone, Copy)]
struct Keeps {
    stock: usize,
    /// The first due date on which it is there.
    from: usize,
}

/// A lot of the stock that expires.
#[derive(Debug)]
struct Expires {
    stock: usize,
    first: f64,
    last: f64,
    /// The first due date on which it is there, and the first on which it is no more.
    there: (usize, usize),
    /// The first of the needs that end when it is there, or later.
    from: usize,
}

/// Supply and demand by date.
#[derive(Debug)]
pub(super) struct Sheet {
    pub days: Days,
    /// The days on which something is needed, in order.
    pub dates: Vec<NaiveDate>,
    due: Vec<f64>,
    /// Sorted by their last day.
    needs: Vec<Need>,
    keeps: Vec<Keeps>,
    /// By their last day.
    expires: Vec<Expires>,
    /// True if no run changes what is needed and how much the expiring stock serves.
    settled: bool,
}

/// The balances of one run, mL; the buffers are reused by the next run.
#[derive(Debug, Clone)]
pub(super) struct Account {
    /// Still open of each need once expiring stock is used up.
    open: Vec<f64>,
    /// The same by due date.
    due: Vec<f64>,
    /// Expiring stock on hand, as the change from one due date to the next.
    change: Vec<f64>,
    /// Castings ready less castings wanted by each due date.
    pub margins: Vec<f64>,
}

impl Sheet {
    pub fn new(season: &Season<'_>, plan: &SeasonPlan, draws: &DrawnSeason, days: Days) -> Self {
        let mut sheet = Self {
            days,
            dates: Vec::new(),
            due: Vec::new(),
            needs: Vec::new(),
            keeps: Vec::new(),
            expires: Vec::new(),
            settled: false,
        };
        sheet.add_needs(plan);
        sheet.add_stock(season);
        let is_certain = |lot: &Expires| draws.stock.get(lot.stock).is_some_and(|amount| amount.is_known());
        sheet.settled =
            sheet.expires.iter().all(is_certain) && draws.requirements.iter().all(|requirement| requirement.is_known());
        sheet
    }

    /// Adds what the demands need, by their last day.
    fn add_needs(&mut self, plan: &SeasonPlan) {
        for (requirement, demand) in plan.requirements.iter().enumerate() {
            let all = whole(demand.amount().get());
            for part in demand.parts.iter().filter(|_| all > 0.0) {
                let (first, last) = self.days.span(part.window);
                self.needs.push(Need { first, last, requirement, share: whole(part.amount.get()) / all, due: 0 });
            }
        }
        self.needs.sort_by(|a, b| a.last.total_cmp(&b.last).then(a.requirement.cmp(&b.requirement)));
        self.due = self.needs.iter().map(|need| need.last).collect();
        self.due.dedup();
        self.dates = self.due.iter().map(|day| self.days.date(*day)).collect();
        for need in &mut self.needs {
            need.due = self.due.partition_point(|due| *due < need.last);
        }
    }

    /// Adds the lots of the stock: those that keep, and those that expire by their last day.
    fn add_stock(&mut self, season: &Season<'_>) {
        for (stock, (lot, _)) in season.stock.iter().enumerate() {
            let (first, last) = self.days.span(lot.window);
            let from = self.place(first);
            if lot.window.last.is_none() {
                self.keeps.push(Keeps { stock, from });
                continue;
            }
            let there = (from, self.place(last + 1.0).max(from));
            let from = self.needs.partition_point(|need| need.last < first);
            self.expires.push(Expires { stock, first, last, there, from });
        }
        self.expires.sort_by(|a, b| a.last.total_cmp(&b.last).then(a.first.total_cmp(&b.first)));
    }

    /// The first due date on or after a day.
    fn place(&self, day: f64) -> usize {
        self.due.partition_point(|due| *due < day)
    }

    /// An account for runs to come.
    pub fn account(&self, likely: &Amounts) -> Account {
        let dates = self.due.len();
        let mut account = Account {
            open: Vec::with_capacity(self.needs.len()),
            due: vec![0.0; dates],
            change: vec![0.0; dates + 1],
            margins: vec![0.0; dates],
        };
        self.settle(likely, &mut account);
        account
    }

    /// Computes castings ready less castings wanted by each date. Stock that expires goes first, to what is needed soonest; what is left
    /// of it counts while it is usable.
    pub fn margins(&self, amounts: &Amounts, beds: &Lots, account: &mut Account) {
        if !self.settled {
            self.settle(amounts, account);
        }
        let margins = &mut account.margins;
        margins.fill(0.0);
        for lot in &self.keeps {
            add(margins, lot.from, amounts.stock(lot.stock));
        }
        for (ready, amount) in beds.iter().flatten() {
            add(margins, self.place(*ready), *amount);
        }
        let (mut sum, mut on_hand) = (0.0, 0.0);
        for ((margin, due), change) in margins.iter_mut().zip(&account.due).zip(&account.change) {
            sum += *margin - due;
            on_hand += change;
            *margin = sum + on_hand;
        }
    }

    /// Uses up the stock that expires. Answers what is still needed by date, and what is on hand.
    fn settle(&self, amounts: &Amounts, account: &mut Account) {
        let Account { open, due, change, .. } = account;
        open.clear();
        open.extend(self.needs.iter().map(|need| amounts.requirement(need.requirement) * need.share));
        change.fill(0.0);
        for lot in &self.expires {
            let mut rest = amounts.stock(lot.stock);
            add(change, lot.there.0, rest);
            let needs = self.needs.iter().zip(open.iter_mut()).skip(lot.from);
            for (need, open) in needs.filter(|(need, _)| need.first <= lot.last) {
                let taken = rest.min(*open);
                (rest, *open) = (rest - taken, *open - taken);
                // Taken for this demand: on hand until its date, or until it expires.
                add(change, need.due.min(lot.there.1), -taken);
                if rest <= 0.0 {
                    break;
                }
            }
            add(change, lot.there.1, -rest);
        }
        due.fill(0.0);
        for (need, open) in self.needs.iter().zip(open) {
            add(due, need.due, *open);
        }
    }
}

/// Adds an amount at a place; beyond the last one it is of no use.
pub(super) fn add(sums: &mut [f64], place: usize, amount: f64) {
    if let Some(sum) = sums.get_mut(place) {
        *sum += amount;
    }
}

/// Turns amounts into their running sums.
pub(super) fn run_up(values: &mut [f64]) {
    let mut sum = 0.0;
    for value in values {
        sum += *value;
        *value = sum;
    }
}

//! One run of the rule, day by day.

use super::super::days::NEVER;
use super::super::drawn::{Amounts, DrawnSeason};
use super::super::supply::{HALF, Lots};
use super::hand::{Arrival, Hand};
use super::level::{Buffers, raise};
use super::open_claim::{EarlyClaim, NOTHING, OpenClaim, Spare};
use super::reserve::{Allotted, Kept};
use super::{Claim, Rule};
use crate::garden::draws::Run;
use crate::garden::interrupt::check;

/// The state of one run of the rule; the buffers are reused by the next run.
#[derive(Debug)]
pub(in super::super) struct RunState {
    /// What each claim needs and has got, mL.
    needed: Vec<f64>,
    got: Vec<f64>,
    /// By rank: the claims that opened and may still take something.
    pub(super) active: Vec<Vec<usize>>,
    pub(super) hand: Hand,
    kept: Kept,
    /// What becomes ready, by day, and how many of them have arrived.
    arrivals: Vec<Arrival>,
    arrived: usize,
    /// How many claims, and how many opening days, have opened.
    opened: (usize, usize),
    allotted: Vec<Allotted>,
    pub(super) open_claims: Vec<OpenClaim>,
    /// Those that wait, and may take what they cannot use later.
    pub(super) early: Vec<EarlyClaim>,
    pub(super) buffers: Buffers,
    /// For each demand, whether it got all that it needs, and what the plan allots to it.
    pub served: Vec<Served>,
    /// The place of the first last day, from today on, on which somebody had not got all that it needs.
    pub first_short: usize,
}

/// What became of a demand in a run.
#[derive(Debug, Clone, Copy)]
pub(in super::super) struct Served {
    /// It got all that it needs.
    pub full: bool,
    /// It got what the plan allots to it.
    pub allocated: bool,
}

impl Rule {
    /// The buffers for runs of so many demands.
    pub fn run_state(&self, demands: usize) -> RunState {
        RunState {
            needed: Vec::new(),
            got: Vec::new(),
            active: vec![Vec::new(); self.ranks],
            hand: Hand::default(),
            kept: self.kept.clone(),
            arrivals: Vec::new(),
            arrived: 0,
            opened: (0, 0),
            allotted: Vec::new(),
            open_claims: Vec::new(),
            early: Vec::new(),
            buffers: Buffers::default(),
            served: vec![Served { full: true, allocated: true }; demands],
            first_short: 0,
        }
    }

    /// Plays a run with these amounts and lots of beds.
    pub fn play(
        &self,
        (draws, run): (&DrawnSeason, &Run<'_>),
        (amounts, beds): (&Amounts, &Lots),
        state: &mut RunState,
    ) {
        self.begin((draws, run), (amounts, beds), state);
        loop {
            let opens = self.outlook.days.get(state.opened.1).copied().unwrap_or(NEVER);
            let arrives = state.arrivals.get(state.arrived).map_or(NEVER, |arrival| arrival.day);
            let day = opens.min(arrives);
            if day >= NEVER {
                break;
            }
            check();
            self.advance_to(day, state);
            for rank in 0..self.ranks {
                if state.hand.total(true) <= NOTHING {
                    break;
                }
                self.serve(rank, day, state);
            }
            if self.takes_early {
                (0..self.ranks).for_each(|rank| self.raise_early((rank, day), (self.ranks, |_| 1.0), state));
            }
        }
        self.record_outcomes(state);
    }

    fn begin(&self, (draws, run): (&DrawnSeason, &Run<'_>), (amounts, beds): (&Amounts, &Lots), state: &mut RunState) {
        state.needed.clear();
        state.needed.extend(self.claims.iter().map(|claim| amounts.requirement(claim.requirement) * claim.part));
        state.got.clear();
        state.got.resize(self.claims.len(), 0.0);
        state.active.iter_mut().for_each(Vec::clear);
        state.hand.clear(self.use_by.len() + 1);
        state.arrivals.clear();
        let stock = self.stock.iter().enumerate();
        state.arrivals.extend(stock.map(|(place, lot)| Arrival { amount: amounts.stock(place), ..*lot }));
        for (lots, (planned, raw)) in beds.iter().zip(&self.beds) {
            let arrival = |(cycle, (day, amount)): (usize, &(f64, f64))| Arrival {
                day: *day,
                amount: *amount,
                class: self.use_by.len(),
                raw: *raw,
                lot: planned.get(cycle).copied().flatten(),
            };
            state.arrivals.extend(lots.iter().enumerate().map(arrival).filter(|arrival| arrival.day < NEVER));
        }
        state.arrivals.sort_by(|a, b| a.day.total_cmp(&b.day));
        (state.arrived, state.opened) = (0, (0, 0));
        if self.weighed {
            state.allotted.clear();
            let times =
                |requirement: usize| draws.requirements.get(requirement).map_or(1.0, |amount| amount.weighed(run));
            state.allotted.extend(self.allotted(times));
            state.kept.allot(&self.outlook, &state.allotted);
        } else {
            state.kept.begin(&self.kept);
        }
    }

    /// Advances to a day: what expires before it, arrives by it, and opens on it.
    fn advance_to(&self, day: f64, state: &mut RunState) {
        state.hand.expire(&self.use_by, day);
        state.kept.pass(&self.outlook, day);
        while let Some(arrival) = state.arrivals.get(state.arrived).filter(|arrival| arrival.day <= day) {
            state.hand.receive(arrival);
            if let Some(lot) = arrival.lot {
                state.kept.came(&self.outlook, lot);
            }
            state.arrived += 1;
        }
        while let Some(claim) = self.claims.get(state.opened.0).filter(|claim| claim.opens <= day) {
            if let Some(active) = state.active.get_mut(claim.rank) {
                active.push(state.opened.0);
            }
            state.opened.0 += 1;
        }
        state.opened.1 += self.outlook.days.iter().skip(state.opened.1).take_while(|opens| **opens <= day).count();
    }

    /// Both steps of the rule for one priority.
    fn serve(&self, rank: usize, day: f64, state: &mut RunState) {
        let Some(active) = state.active.get_mut(rank) else { return };
        let (needed, got) = (&state.needed, &state.got);
        let open = |place: &usize| -> bool {
            let lacks = needed.get(*place).zip(got.get(*place)).is_some_and(|(needed, got)| needed - got > NOTHING);
            lacks && self.claims.get(*place).is_some_and(|claim| claim.closes >= day)
        };
        active.retain(open);
        if active.is_empty() {
            return;
        }
        if self.takes_early {
            self.raise_early((rank, day), (rank, |claim| claim.early), state);
        }
        self.raise((rank, day), (rank, |claim| claim.planned), state);
        self.raise((rank, day), (rank + 1, |_| 1.0), state);
    }

    /// Raises the demands of a rank up to their caps by what is on hand less what is reserved for the first so many ranks.
    fn raise(
        &self,
        rank_and_day: (usize, f64),
        (reserved_ranks, cap): (usize, fn(&Claim) -> f64),
        state: &mut RunState,
    ) {
        let spare = self.spare(reserved_ranks, state);
        if spare.all > NOTHING {
            self.collect_claims(rank_and_day, cap, state);
            Self::distribute(spare, state);
        }
    }

    /// What is on hand less what is reserved for the first so many ranks.
    pub(super) fn spare(&self, ranks: usize, state: &RunState) -> Spare {
        let held = |with_raw| state.kept.held(&self.outlook, (ranks, state.opened.1), (&state.hand, with_raw));
        let (all, of_all) = (state.hand.total(true), held(true));
        if !self.outlook.barred {
            return Spare { all: all - of_all, not_raw: all - of_all };
        }
        let not_raw = held(false);
        Spare { all: all - of_all.max(not_raw), not_raw: state.hand.total(false) - not_raw }
    }

    /// Collects what the demands of a rank that do not wait can still take up to their caps.
    fn collect_claims(&self, (rank, day): (usize, f64), cap: fn(&Claim) -> f64, state: &mut RunState) {
        let mut open_claims = std::mem::take(&mut state.open_claims);
        open_claims.clear();
        for place in state.active.get(rank).into_iter().flatten() {
            let Some(claim) = self.claims.get(*place).filter(|claim| claim.waits <= day) else { continue };
            open_claims.extend(state.open_claim((*place, claim), cap(claim), day));
        }
        state.open_claims = open_claims;
    }

    /// Distributes what is spare evenly among the open claims, and takes it from stock.
    fn distribute(spare: Spare, state: &mut RunState) {
        raise(&mut state.open_claims, spare, &mut state.buffers);
        let takes = |of_raw: bool| {
            state.open_claims.iter().filter(|claim| claim.takes_raw == of_raw).map(OpenClaim::takes).sum::<f64>()
        };
        let (by_all, not_raw) = (takes(true), takes(false));
        state.take_up();
        state.hand.take(by_all, not_raw);
    }

    /// Records which demands got all that they need, and which what the plan allots to them.
    fn record_outcomes(&self, state: &mut RunState) {
        state.served.fill(Served { full: true, allocated: true });
        state.first_short = self.due.len();
        for ((claim, needed), got) in self.claims.iter().zip(&state.needed).zip(&state.got) {
            let Some(served) = state.served.get_mut(claim.requirement) else { continue };
            if *got < needed - HALF {
                served.full = false;
                if claim.due >= self.passed {
                    state.first_short = state.first_short.min(claim.due);
                }
            }
            served.allocated &= *got >= claim.planned * needed - HALF;
        }
    }
}

impl RunState {
    /// What a claim can still take up to its cap; `None` where that is nothing.
    pub(super) fn open_claim(&self, (place, claim): (usize, &Claim), cap: f64, day: f64) -> Option<OpenClaim> {
        let (needed, got) = (*self.needed.get(place)?, self.got.get(place)?);
        let got = got / needed;
        let Claim { portions, minimum, leaves, .. } = *claim;
        let takes_raw = claim.raw_until >= day;
        let claim = OpenClaim { place, needed, got, cap, to: got, takes_raw, portions, minimum, leaves };
        ((cap - got) * needed > NOTHING).then_some(claim)
    }

    /// Gives the open claims what they are raised to; how much that is, mL.
    pub(super) fn take_up(&mut self) -> f64 {
        let mut sum = 0.0;
        for claim in &self.open_claims {
            let takes = claim.takes();
            sum += takes;
            if let Some(got) = self.got.get_mut(claim.place) {
                *got += takes;
            }
        }
        sum
    }
}

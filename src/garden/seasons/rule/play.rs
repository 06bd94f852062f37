//! One run of the rule, day by day.

use super::super::days::NEVER;
use super::super::drawn::{Amounts, DrawnSeason};
use super::super::supply::{HALF, Lots};
use super::hand::{Arrival, Hand};
use super::kept::{Allotted, Kept};
use super::level::{Spare, Wish, raise};
use super::{Claim, Rule};
use crate::garden::draws::Run;
use crate::garden::interrupt::check;

/// Less than this is nothing, mL. Source: tolerance of computing.
const NOTHING: f64 = 1e-6;

/// One run of the rule; the room is used again for the next.
#[derive(Debug)]
pub(in super::super) struct Play {
    /// What each claim needs and has got, mL.
    needed: Vec<f64>,
    got: Vec<f64>,
    /// By rank: the claims that opened and may still take something.
    active: Vec<Vec<usize>>,
    hand: Hand,
    kept: Kept,
    /// What comes, by day, and how many of it have come.
    arrivals: Vec<Arrival>,
    come: usize,
    /// How many claims, and how many opening days, have opened.
    opened: (usize, usize),
    allotted: Vec<Allotted>,
    wishes: Vec<Wish>,
    edges: Vec<(f64, f64)>,
    /// For each demand, whether it got all that it needs, and what the plan allots to it.
    pub served: Vec<Served>,
    /// The place of the first last day on which somebody had not got all that it needs.
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
    /// The room for runs of so many demands.
    pub fn room(&self, demands: usize) -> Play {
        Play {
            needed: Vec::new(),
            got: Vec::new(),
            active: vec![Vec::new(); self.ranks],
            hand: Hand::default(),
            kept: self.kept.clone(),
            arrivals: Vec::new(),
            come: 0,
            opened: (0, 0),
            allotted: Vec::new(),
            wishes: Vec::new(),
            edges: Vec::new(),
            served: vec![Served { full: true, allocated: true }; demands],
            first_short: 0,
        }
    }

    /// Plays a run with these amounts and lots of beds.
    pub fn play(&self, (draws, run): (&DrawnSeason, &Run<'_>), (amounts, beds): (&Amounts, &Lots), play: &mut Play) {
        self.begin((draws, run), (amounts, beds), play);
        loop {
            let opens = self.claims.get(play.opened.0).map_or(NEVER, |claim| claim.opens);
            let comes = play.arrivals.get(play.come).map_or(NEVER, |arrival| arrival.day);
            let day = opens.min(comes);
            if day >= NEVER {
                break;
            }
            check();
            self.come_to(day, play);
            for rank in 0..self.ranks {
                if play.hand.total(true) <= NOTHING {
                    break;
                }
                self.serve(rank, day, play);
            }
        }
        self.judge(play);
    }

    fn begin(&self, (draws, run): (&DrawnSeason, &Run<'_>), (amounts, beds): (&Amounts, &Lots), play: &mut Play) {
        play.needed.clear();
        play.needed.extend(self.claims.iter().map(|claim| amounts.requirement(claim.requirement) * claim.part));
        play.got.clear();
        play.got.resize(self.claims.len(), 0.0);
        play.active.iter_mut().for_each(Vec::clear);
        play.hand.clear(self.use_by.len() + 1);
        play.arrivals.clear();
        let stock = self.stock.iter().enumerate();
        play.arrivals.extend(stock.map(|(place, lot)| Arrival { amount: amounts.stock(place), ..*lot }));
        for (lots, (planned, raw)) in beds.iter().zip(&self.beds) {
            let arrival = |(cycle, (day, amount)): (usize, &(f64, f64))| Arrival {
                day: *day,
                amount: *amount,
                class: self.use_by.len(),
                raw: *raw,
                lot: planned.get(cycle).copied().flatten(),
            };
            play.arrivals.extend(lots.iter().enumerate().map(arrival).filter(|arrival| arrival.day < NEVER));
        }
        play.arrivals.sort_by(|a, b| a.day.total_cmp(&b.day));
        (play.come, play.opened) = (0, (0, 0));
        if self.weighed {
            play.allotted.clear();
            let times =
                |requirement: usize| draws.requirements.get(requirement).map_or(1.0, |amount| amount.weighed(run));
            play.allotted.extend(self.allotted(times));
            play.kept.allot(&self.outlook, &play.allotted);
        } else {
            play.kept.begin(&self.kept);
        }
    }

    /// What expires before a day, comes by it, and opens on it.
    fn come_to(&self, day: f64, play: &mut Play) {
        play.hand.expire(&self.use_by, day);
        play.kept.pass(&self.outlook, day);
        while let Some(arrival) = play.arrivals.get(play.come).filter(|arrival| arrival.day <= day) {
            play.hand.receive(arrival);
            if let Some(lot) = arrival.lot {
                play.kept.came(&self.outlook, lot);
            }
            play.come += 1;
        }
        while let Some(claim) = self.claims.get(play.opened.0).filter(|claim| claim.opens <= day) {
            if let Some(active) = play.active.get_mut(claim.rank) {
                active.push(play.opened.0);
            }
            play.opened.0 += 1;
        }
        play.opened.1 += self.outlook.days.iter().skip(play.opened.1).take_while(|opens| **opens <= day).count();
    }

    /// Both steps of the rule for one priority.
    fn serve(&self, rank: usize, day: f64, play: &mut Play) {
        let Some(active) = play.active.get_mut(rank) else { return };
        let (needed, got) = (&play.needed, &play.got);
        let open = |place: &usize| -> bool {
            let lacks = needed.get(*place).zip(got.get(*place)).is_some_and(|(needed, got)| needed - got > NOTHING);
            lacks && self.claims.get(*place).is_some_and(|claim| claim.closes >= day)
        };
        active.retain(open);
        if active.is_empty() {
            return;
        }
        self.step((rank, day), (rank, |claim| claim.planned), play);
        self.step((rank, day), (rank + 1, |_| 1.0), play);
    }

    /// Raises the demands of a rank up to their caps by what is on hand less what is kept for the first so many ranks.
    fn step(&self, of: (usize, f64), (kept_for, cap): (usize, fn(&Claim) -> f64), play: &mut Play) {
        let spare = self.spare(kept_for, play);
        if spare.all > NOTHING {
            self.wish(of, cap, play);
            self.give(spare, play);
        }
    }

    /// What is on hand less what is kept for the first so many ranks.
    fn spare(&self, ranks: usize, play: &Play) -> Spare {
        let held = |with_raw| play.kept.held(&self.outlook, (ranks, play.opened.1), (&play.hand, with_raw));
        let (all, of_all) = (play.hand.total(true), held(true));
        if !self.outlook.barred {
            return Spare { all: all - of_all, not_raw: all - of_all };
        }
        let not_raw = held(false);
        Spare { all: all - of_all.max(not_raw), not_raw: play.hand.total(false) - not_raw }
    }

    /// Gathers what the demands of a rank take up to their caps.
    fn wish(&self, (rank, day): (usize, f64), cap: fn(&Claim) -> f64, play: &mut Play) {
        play.wishes.clear();
        for place in play.active.get(rank).into_iter().flatten() {
            let Some(claim) = self.claims.get(*place) else { continue };
            let (Some(needed), Some(got)) = (play.needed.get(*place), play.got.get(*place)) else { continue };
            let (got, cap) = (got / needed, cap(claim));
            if (cap - got) * needed > NOTHING {
                let Claim { portions, minimum, closes, .. } = *claim;
                let takes_raw = claim.raw_until >= day;
                let wish =
                    Wish { claim: *place, needed: *needed, got, cap, to: got, takes_raw, portions, minimum, closes };
                play.wishes.push(wish);
            }
        }
    }

    /// Raises those who wish by what is spare, and takes it.
    fn give(&self, spare: Spare, play: &mut Play) {
        let Play { wishes, edges, got, hand, .. } = play;
        raise(wishes, spare, edges);
        let (mut by_all, mut not_raw) = (0.0, 0.0);
        for wish in wishes {
            let takes = wish.takes();
            if let Some(got) = got.get_mut(wish.claim) {
                *got += takes;
            }
            if wish.takes_raw {
                by_all += takes;
            } else {
                not_raw += takes;
            }
        }
        hand.take(by_all, not_raw);
    }

    /// Who got all, and what the plan allots.
    fn judge(&self, play: &mut Play) {
        play.served.fill(Served { full: true, allocated: true });
        play.first_short = self.due.len();
        for ((claim, needed), got) in self.claims.iter().zip(&play.needed).zip(&play.got) {
            let Some(served) = play.served.get_mut(claim.requirement) else { continue };
            if *got < needed - HALF {
                served.full = false;
                play.first_short = play.first_short.min(claim.due);
            }
            served.allocated &= *got >= claim.planned * needed - HALF;
        }
    }
}

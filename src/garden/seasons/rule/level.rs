//! Raising demands evenly by what is there for them.

/// Shares closer than this are one. Source: tolerance of computing.
const SAME: f64 = 1e-9;
/// A level that rises by less is reached. Source: tolerance of computing.
const NO_RISE: f64 = 1e-13;
/// Passes over the demands before their edges are put in order instead. Source: how this service works.
const MOST_PASSES: u32 = 16;

/// A demand that is raised; what it has got and may get are shares of what it needs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wish {
    /// The place of the demand.
    pub claim: usize,
    /// What it needs, mL.
    pub needed: f64,
    /// What it has got.
    pub got: f64,
    /// Up to where it is raised.
    pub cap: f64,
    /// To where it is raised.
    pub to: f64,
    /// Whether it may draw on raw castings.
    pub takes_raw: bool,
    /// How many whole portions it comes in; 0: any amount will do.
    pub portions: f64,
    /// Below this it takes nothing; 0: any amount will do.
    pub minimum: f64,
    /// Its last day.
    pub closes: f64,
}

/// What is there for those who are raised, mL.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spare {
    /// For all together.
    pub all: f64,
    /// For those of them who may not draw on raw castings.
    pub not_raw: f64,
}

impl Wish {
    /// What it takes in this step, mL.
    pub fn takes(&self) -> f64 {
        self.needed * (self.to - self.got)
    }

    fn is_whole(&self) -> bool {
        self.portions > 0.0
    }

    fn fails(&self) -> bool {
        self.to > self.got && self.to < self.minimum - SAME
    }

    /// How many of its portions this share is.
    fn pieces(&self, share: f64) -> f64 {
        (share * self.portions + SAME).floor()
    }
}

impl Spare {
    fn less(self, wishes: &[Wish], which: fn(&Wish) -> bool) -> Self {
        wishes.iter().filter(|wish| which(wish)).fold(self, |spare, wish| spare.without(wish, wish.takes()))
    }

    fn without(self, wish: &Wish, amount: f64) -> Self {
        Self { all: self.all - amount, not_raw: self.not_raw - if wish.takes_raw { 0.0 } else { amount } }
    }

    /// The most that this demand can take of it.
    fn for_one(self, wish: &Wish) -> f64 {
        if wish.takes_raw { self.all } else { self.all.min(self.not_raw) }
    }
}

/// Raises demands by what is spare: evenly in shares, each up to its cap. What has a minimum takes nothing rather than stay below
/// it: the one with the smallest share goes first (of equals the later last day, then the later in the list), then all are
/// raised anew.
pub(super) fn raise(wishes: &mut [Wish], spare: Spare, edges: &mut Vec<(f64, f64)>) {
    loop {
        if wishes.iter().any(Wish::is_whole) {
            in_portions(wishes, spare, edges);
        } else {
            evenly(wishes, |_| true, spare, edges);
        }
        let failing = wishes.iter_mut().filter(|wish| wish.fails());
        let order = |a: &&mut Wish, b: &&mut Wish| {
            a.to.total_cmp(&b.to).then(b.closes.total_cmp(&a.closes)).then(b.claim.cmp(&a.claim))
        };
        match failing.min_by(order) {
            Some(wish) => wish.cap = wish.got,
            None => return,
        }
    }
}

/// The most even shares of some demands: who may not draw on raw castings stays behind where there are too few others.
fn evenly(wishes: &mut [Wish], which: fn(&Wish) -> bool, spare: Spare, edges: &mut Vec<(f64, f64)>) {
    let all = level(wishes.iter().filter(|wish| which(wish)), spare.all, edges);
    let (mut of_all, mut of_bound) = (all, all);
    let bound = |wish: &&Wish| which(wish) && !wish.takes_raw;
    let take =
        wishes.iter().filter(bound).map(|wish| wish.needed * (wish.cap.min(all) - wish.got).max(0.0)).sum::<f64>();
    if take > spare.not_raw {
        of_bound = level(wishes.iter().filter(bound), spare.not_raw, edges);
        let free = wishes.iter().filter(|wish| which(wish) && wish.takes_raw);
        of_all = level(free, spare.all - spare.not_raw.max(0.0), edges);
    }
    for wish in wishes.iter_mut().filter(|wish| which(wish)) {
        let level = if wish.takes_raw { of_all } else { of_bound };
        wish.to = wish.cap.min(level).max(wish.got);
    }
}

/// The share to which so much raises these demands evenly; 1 if all reach their caps.
fn level<'a>(wishes: impl Iterator<Item = &'a Wish> + Clone, amount: f64, edges: &mut Vec<(f64, f64)>) -> f64 {
    let takes =
        |level: f64| wishes.clone().map(|wish| wish.needed * (wish.cap.min(level) - wish.got).max(0.0)).sum::<f64>();
    if takes(1.0) <= amount {
        return 1.0;
    }
    let ends = wishes.clone().fold((1.0_f64, 0.0_f64), |(low, high), wish| (low.min(wish.got), high.max(wish.got)));
    let quick = if ends.1 - ends.0 < SAME { from_one_share(wishes.clone(), (ends.1, amount)) } else { None };
    quick.unwrap_or_else(|| by_edges(wishes, amount, edges))
}

/// All have got the same share: the level rises by what is left over those whose cap it has not passed, until nothing is left. `None` if that
/// takes too many passes.
fn from_one_share<'a>(wishes: impl Iterator<Item = &'a Wish> + Clone, (share, amount): (f64, f64)) -> Option<f64> {
    let mut level = share;
    for _ in 0..MOST_PASSES {
        let raised = |(sum, slope): (f64, f64), wish: &Wish| {
            let takes = wish.needed * (wish.cap.min(level) - share).max(0.0);
            (sum + takes, slope + if wish.cap > level { wish.needed } else { 0.0 })
        };
        let (sum, slope) = wishes.clone().fold((0.0, 0.0), raised);
        let rise = if slope > 0.0 { (amount - sum) / slope } else { 0.0 };
        if rise <= NO_RISE {
            return Some(level);
        }
        level += rise;
    }
    None
}

/// Those that have got different shares: from edge to edge, where somebody is reached or has reached its cap.
fn by_edges<'a>(wishes: impl Iterator<Item = &'a Wish>, amount: f64, edges: &mut Vec<(f64, f64)>) -> f64 {
    edges.clear();
    edges.extend(wishes.flat_map(|wish| [(wish.got, wish.needed), (wish.cap, -wish.needed)]));
    edges.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let (mut sum, mut slope, mut at) = (0.0, 0.0, 0.0);
    for (edge, change) in edges {
        let rise = slope * (*edge - at);
        if slope > 0.0 && sum + rise >= amount {
            return at + (amount - sum).max(0.0) / slope;
        }
        (sum, slope, at) = (sum + rise, slope + *change, *edge);
    }
    at
}

/// The same where some take whole portions only: their even share is cut down to whole portions; by the largest part of a portion cut
/// off each gets one more if it is there; the others are raised anew by what is left; what then is left goes to whole portions in
/// the same order.
fn in_portions(wishes: &mut [Wish], spare: Spare, edges: &mut Vec<(f64, f64)>) {
    evenly(wishes, |_| true, spare, edges);
    let mut cut: Vec<(f64, usize)> = Vec::new();
    for (place, wish) in wishes.iter_mut().enumerate().filter(|(_, wish)| wish.is_whole()) {
        let whole = (wish.pieces(wish.to) / wish.portions).max(wish.got);
        cut.push(((wish.to - whole) * wish.portions, place));
        wish.to = whole;
    }
    cut.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut left = spare.less(wishes, |_| true);
    for (_, place) in cut.iter().filter(|(part, _)| *part > SAME) {
        left = more(wishes.get_mut(*place), 1.0, left);
    }
    evenly(wishes, |wish| !wish.is_whole(), spare.less(wishes, Wish::is_whole), edges);
    let mut left = spare.less(wishes, |_| true);
    for (_, place) in cut {
        left = more(wishes.get_mut(place), f64::INFINITY, left);
    }
}

/// Gives a demand at most so many whole portions more; what is left then.
fn more(wish: Option<&mut Wish>, most: f64, left: Spare) -> Spare {
    let Some(wish) = wish else { return left };
    let there = wish.pieces((left.for_one(wish) / wish.needed).max(0.0));
    let pieces = (wish.pieces(wish.cap) - wish.pieces(wish.to)).min(there).min(most).max(0.0);
    wish.to = (wish.to + pieces / wish.portions).min(1.0);
    left.without(wish, wish.needed * pieces / wish.portions)
}

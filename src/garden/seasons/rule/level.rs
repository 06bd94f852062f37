//! Raising demands evenly by what is there for them.

/// Shares closer than this are one. Source: tolerance of computing.
const SAME: f64 = 1e-9;
/// A level that rises by less is reached. Source: tolerance of computing.
const NO_RISE: f64 = 1e-13;
/// Passes over the demands before their edges are put in order instead. Source: how this service works.
const MAX_PASSES: u32 = 16;

/// A demand that still takes something; what it has got and may get are shares of what it needs.
#[derive(Debug, Clone, Copy)]
pub(super) struct OpenClaim {
    /// The place of the demand.
    pub place: usize,
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

impl OpenClaim {
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
    fn less(self, claims: &[OpenClaim], which: fn(&OpenClaim) -> bool) -> Self {
        claims.iter().filter(|claim| which(claim)).fold(self, |spare, claim| spare.without(claim, claim.takes()))
    }

    fn without(self, claim: &OpenClaim, amount: f64) -> Self {
        Self { all: self.all - amount, not_raw: self.not_raw - if claim.takes_raw { 0.0 } else { amount } }
    }

    /// The most that this demand can take of it.
    fn for_one(self, claim: &OpenClaim) -> f64 {
        if claim.takes_raw { self.all } else { self.all.min(self.not_raw) }
    }
}

/// Raises demands by what is spare: evenly in shares, each up to its cap. What has a minimum takes nothing rather than stay below
/// it: the one with the smallest share goes first (of equals the later last day, then the later in the list), then all are
/// raised anew.
pub(super) fn raise(claims: &mut [OpenClaim], spare: Spare, edges: &mut Vec<(f64, f64)>) {
    loop {
        if claims.iter().any(OpenClaim::is_whole) {
            in_portions(claims, spare, edges);
        } else {
            evenly(claims, |_| true, spare, edges);
        }
        let failing = claims.iter_mut().filter(|claim| claim.fails());
        let order = |a: &&mut OpenClaim, b: &&mut OpenClaim| {
            a.to.total_cmp(&b.to).then(b.closes.total_cmp(&a.closes)).then(b.place.cmp(&a.place))
        };
        match failing.min_by(order) {
            Some(claim) => claim.cap = claim.got,
            None => return,
        }
    }
}

/// The most even shares of some demands: who may not draw on raw castings stays behind where there are too few others.
fn evenly(claims: &mut [OpenClaim], which: fn(&OpenClaim) -> bool, spare: Spare, edges: &mut Vec<(f64, f64)>) {
    let all = level(claims.iter().filter(|claim| which(claim)), spare.all, edges);
    let (mut of_all, mut of_bound) = (all, all);
    let bound = |claim: &&OpenClaim| which(claim) && !claim.takes_raw;
    let take =
        claims.iter().filter(bound).map(|claim| claim.needed * (claim.cap.min(all) - claim.got).max(0.0)).sum::<f64>();
    if take > spare.not_raw {
        of_bound = level(claims.iter().filter(bound), spare.not_raw, edges);
        let free = claims.iter().filter(|claim| which(claim) && claim.takes_raw);
        of_all = level(free, spare.all - spare.not_raw.max(0.0), edges);
    }
    for claim in claims.iter_mut().filter(|claim| which(claim)) {
        let level = if claim.takes_raw { of_all } else { of_bound };
        claim.to = claim.cap.min(level).max(claim.got);
    }
}

/// The share to which so much raises these demands evenly; 1 if all reach their caps.
fn level<'a>(claims: impl Iterator<Item = &'a OpenClaim> + Clone, amount: f64, edges: &mut Vec<(f64, f64)>) -> f64 {
    let takes = |level: f64| {
        claims.clone().map(|claim| claim.needed * (claim.cap.min(level) - claim.got).max(0.0)).sum::<f64>()
    };
    if takes(1.0) <= amount {
        return 1.0;
    }
    let ends = claims.clone().fold((1.0_f64, 0.0_f64), |(low, high), claim| (low.min(claim.got), high.max(claim.got)));
    let quick = if ends.1 - ends.0 < SAME { from_one_share(claims.clone(), (ends.1, amount)) } else { None };
    quick.unwrap_or_else(|| by_edges(claims, amount, edges))
}

/// All have got the same share: the level rises by what is left over those whose cap it has not passed, until nothing is left. `None` if that
/// takes too many passes.
fn from_one_share<'a>(claims: impl Iterator<Item = &'a OpenClaim> + Clone, (share, amount): (f64, f64)) -> Option<f64> {
    let mut level = share;
    for _ in 0..MAX_PASSES {
        let raised = |(sum, slope): (f64, f64), claim: &OpenClaim| {
            let takes = claim.needed * (claim.cap.min(level) - share).max(0.0);
            (sum + takes, slope + if claim.cap > level { claim.needed } else { 0.0 })
        };
        let (sum, slope) = claims.clone().fold((0.0, 0.0), raised);
        let rise = if slope > 0.0 { (amount - sum) / slope } else { 0.0 };
        if rise <= NO_RISE {
            return Some(level);
        }
        level += rise;
    }
    None
}

/// Those that have got different shares: from edge to edge, where somebody is reached or has reached its cap.
fn by_edges<'a>(claims: impl Iterator<Item = &'a OpenClaim>, amount: f64, edges: &mut Vec<(f64, f64)>) -> f64 {
    edges.clear();
    edges.extend(claims.flat_map(|claim| [(claim.got, claim.needed), (claim.cap, -claim.needed)]));
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
fn in_portions(claims: &mut [OpenClaim], spare: Spare, edges: &mut Vec<(f64, f64)>) {
    evenly(claims, |_| true, spare, edges);
    let mut cut: Vec<(f64, usize)> = Vec::new();
    for (place, claim) in claims.iter_mut().enumerate().filter(|(_, claim)| claim.is_whole()) {
        let whole = (claim.pieces(claim.to) / claim.portions).max(claim.got);
        cut.push(((claim.to - whole) * claim.portions, place));
        claim.to = whole;
    }
    cut.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut left = spare.less(claims, |_| true);
    for (_, place) in cut.iter().filter(|(part, _)| *part > SAME) {
        left = more(claims.get_mut(*place), 1.0, left);
    }
    evenly(claims, |claim| !claim.is_whole(), spare.less(claims, OpenClaim::is_whole), edges);
    let mut left = spare.less(claims, |_| true);
    for (_, place) in cut {
        left = more(claims.get_mut(place), f64::INFINITY, left);
    }
}

/// Gives a demand at most so many whole portions more; what is left then.
fn more(claim: Option<&mut OpenClaim>, most: f64, left: Spare) -> Spare {
    let Some(claim) = claim else { return left };
    let there = claim.pieces((left.for_one(claim) / claim.needed).max(0.0));
    let pieces = (claim.pieces(claim.cap) - claim.pieces(claim.to)).min(there).min(most).max(0.0);
    claim.to = (claim.to + pieces / claim.portions).min(1.0);
    left.without(claim, claim.needed * pieces / claim.portions)
}

//! A demand that still takes something, and what there is for it.

/// Less than this is nothing, mL. Source: tolerance of computing.
pub(super) const NOTHING: f64 = 1e-6;
/// Shares closer than this are one. Source: tolerance of computing.
pub(super) const SAME: f64 = 1e-9;

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
    /// Its place among those who leave one after the other where there is not enough for their minimums.
    pub leaves: usize,
}

/// A demand that waits, with what decides which castings it cannot use later.
#[derive(Debug, Clone, Copy)]
pub(super) struct EarlyClaim {
    /// The day until which it waits.
    pub waits: f64,
    /// Whether it may draw on raw castings now, and when it has waited.
    pub takes_raw: (bool, bool),
    pub claim: OpenClaim,
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

    /// Whether it takes whole portions only.
    pub fn is_whole(&self) -> bool {
        self.portions > 0.0
    }

    /// Whether it may take any more.
    pub fn is_open(&self) -> bool {
        self.cap > self.got
    }

    /// It takes no more.
    pub fn close(&mut self) {
        (self.cap, self.to) = (self.got, self.got);
    }

    /// Whether this share is below its minimum: whole portions reach it with the first that is not below it.
    pub fn is_below_minimum(&self, share: f64) -> bool {
        let share = if self.is_whole() { self.pieces(share) / self.portions } else { share };
        share < self.minimum - SAME
    }

    /// How many of its portions this share is.
    pub fn pieces(&self, share: f64) -> f64 {
        (share * self.portions + SAME).floor()
    }
}

impl Spare {
    /// What is left when these have taken theirs.
    pub fn less(self, claims: &[OpenClaim]) -> Self {
        claims.iter().fold(self, |spare, claim| spare.without(claim, claim.takes()))
    }

    /// What is left when a demand has taken so much.
    pub fn without(self, claim: &OpenClaim, amount: f64) -> Self {
        Self { all: self.all - amount, not_raw: self.not_raw - if claim.takes_raw { 0.0 } else { amount } }
    }

    /// The most that this demand can take of it.
    pub fn for_one(self, claim: &OpenClaim) -> f64 {
        if claim.takes_raw { self.all } else { self.all.min(self.not_raw) }
    }
}

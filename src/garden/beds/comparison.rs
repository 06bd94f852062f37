//! One harvest by two ways, compared in dry matter.

use super::FromFeed;
use crate::garden::assumptions::{Assumption, Known};
use crate::garden::closed_list::closed_list;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{DryInVolume, Gap, GapShare};
use crate::garden::harvests::Harvest;
use crate::garden::units::quantity::{OfMass, OfShare};
use crate::garden::units::{End, Estimate};
use std::cmp::Ordering;

closed_list! {
    /// Which of two ways to measure a harvest says more.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Larger {
        /// The depth of the bed.
        ByDepth = "by_depth",
        /// What was fed.
        ByFeed = "by_feed",
        /// Both say the same.
        Neither = "neither",
    }
}

/// One harvest by two ways, in dry matter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// By the depth of the bed.
    pub by_depth: Estimate<OfMass>,
    /// By what was fed.
    pub by_feed: Estimate<OfMass>,
    /// What one says more than the other, at the likely values.
    pub gap: Estimate<OfMass>,
    /// The gap over the larger of the two.
    pub gap_share: Estimate<OfShare>,
    /// Which says more.
    pub larger: Larger,
    /// True if the two ranges meet: the gap is then within the ranges of the assumptions.
    pub ranges_meet: bool,
}

/// Answers "do the depth of the bed and what was fed tell the same?" Sieved castings, dry matter: neither moisture plays in.
/// `by depth = castings in the bed's litres x rho_d,bed`, `by feed = D_out x sieve yield`.
#[must_use]
pub fn compare(by_depth: &Harvest, by_feed: &FromFeed, known: Known<'_>, recorder: impl Recorder) -> Comparison {
    let (rho_b, _) = known.figure(Assumption::BedDryDensity, recorder);
    let depth = recorder.figure(DryInVolume { C: by_depth.castings, rho_b });
    let feed = by_feed.yields.sieved_dry_matter;
    let (a, b) = (depth.only(End::Likely), feed.only(End::Likely));
    let g = recorder.figure(Gap { a, b });
    let larger = match feed.likely().partial_cmp(&depth.likely()) {
        Some(Ordering::Greater) => Larger::ByFeed,
        Some(Ordering::Less) => Larger::ByDepth,
        _ => Larger::Neither,
    };
    Comparison {
        by_depth: depth,
        by_feed: feed,
        gap: g,
        gap_share: recorder.figure(GapShare { g, a, b }),
        larger,
        ranges_meet: depth.low() <= feed.high() && feed.low() <= depth.high(),
    }
}

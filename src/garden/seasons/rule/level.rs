//! Raising demands evenly by what is there for them.

use super::minimums::{self, close_below_minimum};
use super::open_claim::{OpenClaim, SAME, Spare};

/// A level that rises by less is reached. Source: tolerance of computing.
const NO_RISE: f64 = 1e-13;
/// Passes over the demands before their edges are put in order instead. Source: how this service works.
const MAX_PASSES: u32 = 16;

/// What is reused from one raise to the next.
#[derive(Debug, Default)]
pub(super) struct Buffers {
    edges: Vec<(f64, f64)>,
    minimums: minimums::Buffers,
}

/// Raises demands by what is spare: evenly in shares, each up to its cap. Who would stay below its minimum takes nothing.
pub(super) fn raise(claims: &mut [OpenClaim], spare: Spare, Buffers { edges, minimums }: &mut Buffers) {
    claims.iter_mut().filter(|claim| claim.is_below_minimum(claim.cap)).for_each(OpenClaim::close);
    evenly(claims, spare, edges);
    if claims.iter().any(|claim| claim.is_open() && claim.is_below_minimum(claim.to)) {
        close_below_minimum(claims, spare, minimums);
        evenly(claims, spare, edges);
    }
    if claims.iter().any(OpenClaim::is_whole) {
        in_portions(claims, spare, edges);
    }
}

/// The most even shares: who may not draw on raw castings stays behind where there are too few others.
fn evenly(claims: &mut [OpenClaim], spare: Spare, edges: &mut Vec<(f64, f64)>) {
    let all = level(claims.iter(), spare.all, edges);
    let (mut of_all, mut of_bound) = (all, all);
    let bound = |claim: &&OpenClaim| !claim.takes_raw;
    let take =
        claims.iter().filter(bound).map(|claim| claim.needed * (claim.cap.min(all) - claim.got).max(0.0)).sum::<f64>();
    if take > spare.not_raw {
        of_bound = level(claims.iter().filter(bound), spare.not_raw, edges);
        let free = claims.iter().filter(|claim| claim.takes_raw);
        of_all = level(free, spare.all - spare.not_raw.max(0.0), edges);
    }
    for claim in claims {
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

/// The even shares where some take whole portions only: the share of these is cut down to whole portions; by the largest part of a portion
/// cut off each gets one more if it is there; the others are raised on by what is left; what then is left goes to whole portions in the same
/// order. So nobody falls below its minimum: no portion is cut off that reaches it, and the others lose nothing.
fn in_portions(claims: &mut [OpenClaim], spare: Spare, edges: &mut Vec<(f64, f64)>) {
    let mut cut: Vec<(f64, usize)> = Vec::new();
    for (place, claim) in claims.iter_mut().enumerate().filter(|(_, claim)| claim.is_whole()) {
        let whole = (claim.pieces(claim.to) / claim.portions).max(claim.got);
        cut.push(((claim.to - whole) * claim.portions, place));
        claim.to = whole;
    }
    cut.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut left = spare.less(claims);
    for (_, place) in cut.iter().filter(|(part, _)| *part > SAME) {
        left = more(claims.get_mut(*place), 1.0, left);
    }
    let others = |claim: &&OpenClaim| !claim.is_whole();
    let mut raised: Vec<OpenClaim> =
        claims.iter().filter(others).map(|claim| OpenClaim { got: claim.to, ..*claim }).collect();
    evenly(&mut raised, left, edges);
    let others = claims.iter_mut().filter(|claim| !claim.is_whole());
    others.zip(&raised).for_each(|(claim, raised)| claim.to = raised.to);
    let mut left = spare.less(claims);
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

#[cfg(test)]
mod tests {
    use super::*;

    /// 18 L for four of 10 L each, 6 L of them not raw. Evenly, two get 30 % and two 60 %. The one portion of the third is cut off; the
    /// fourth gets a second one of its three, 66.7 %. What is left, 2.33 L, goes to the first alone, 53.3 %: the second keeps its
    /// 60 %, and less than 58 % would be of no use to it. By hand.
    #[test]
    fn portions_bring_nobody_below_its_minimum() {
        let claim = |place, takes_raw, portions, minimum| OpenClaim {
            place,
            needed: 10.0,
            got: 0.0,
            cap: 1.0,
            to: 0.0,
            takes_raw,
            portions,
            minimum,
            leaves: 10 - place,
        };
        let mut claims =
            [claim(0, false, 0.0, 0.0), claim(1, true, 0.0, 0.58), claim(2, false, 1.0, 0.0), claim(3, true, 3.0, 0.0)];
        raise(&mut claims, Spare { all: 18.0, not_raw: 6.0 }, &mut Buffers::default());
        let wanted = [16.0 / 30.0, 0.6, 0.0, 2.0 / 3.0];
        for (claim, wanted) in claims.iter().zip(wanted) {
            assert!((claim.to - wanted).abs() < 1e-9, "{} is not {wanted}", claim.to);
        }
    }
}

//! Demands that are only served in whole portions.

use super::board::Board;
use super::fraction::Fraction;
use super::network::Network;
use super::round::{self, Rise, longest_start, small};
use super::{fair, flow};
use crate::garden::interrupt::check;

/// In one turn a demand takes its number of portions divided by this, at least
/// one portion. It bounds the number of turns.
const TURNS: u32 = 64;

/// A demand in portions, and how many it has been given.
struct PortionedDemand {
    rank: usize,
    index: usize,
    needed: u64,
    portions: u32,
    /// The portions given.
    count: u32,
    /// Whether its fair share goes beyond `count`.
    is_cropped: bool,
    /// The portions it tries for in one turn.
    stride: u32,
}

/// Serves a priority in which some demands come in portions, by the rule of
/// [`allocate`](super::allocate).
pub(super) fn fill(board: &mut Board, shares: &[(usize, Fraction)]) {
    let mut pots = Vec::new();
    let mut plain = Vec::new();
    for &(rank, share) in shares {
        if board.portions(rank) > 0 {
            let pot = PortionedDemand::new(board, rank, share);
            board.give(rank, pot.amount(pot.count));
            pots.push(pot);
        } else {
            board.give(rank, small(share.times(board.needed(rank)).0));
            plain.push(rank);
        }
    }
    pots.sort_unstable_by_key(PortionedDemand::turn);
    round_up(board, &mut pots);
    for &rank in &plain {
        board.give(rank, 0);
    }
    let again = fair::shares(board, &plain);
    round::fill(board, &again);
    if hand_out(board, pots) && !plain.is_empty() {
        // Beside the portions that were handed out last the others may share otherwise, by less than a millilitre.
        for (rank, share) in fair::shares(board, &plain) {
            board.note_share(rank, share);
        }
    }
}

/// One portion more for each demand that lost a part of one, where feasible, the smallest share first.
fn round_up(board: &mut Board, pots: &mut [PortionedDemand]) {
    let cropped = pots.partition_point(|pot| pot.is_cropped);
    let list: Vec<Rise> = pots.iter().take(cropped).map(PortionedDemand::next).collect();
    let possible = longest_start(board, &list);
    for pot in pots.iter_mut().take(possible) {
        pot.count = pot.count.saturating_add(1);
    }
    let mut network = flow::network(board);
    for pot in pots.iter_mut().take(cropped).skip(possible) {
        pot.advance(board, &mut network, 1);
    }
}

/// Further portions in turns, until nobody can take one; whether anybody took one.
fn hand_out(board: &mut Board, pots: Vec<PortionedDemand>) -> bool {
    let mut network = flow::network(board);
    let mut inputs = pots;
    let mut any = false;
    for pot in &inputs {
        pot.note(board);
    }
    while !inputs.is_empty() {
        inputs.retain_mut(|pot| {
            check();
            let lacking = pot.portions.saturating_sub(pot.count);
            let stride = pot.stride.min(lacking);
            if stride == 0 {
                return false;
            }
            if pot.advance(board, &mut network, stride) {
                pot.note(board);
                any = true;
                return true;
            }
            pot.stride = stride / 2;
            pot.stride > 0
        });
    }
    any
}

impl PortionedDemand {
    /// The demand with its share rounded down to whole portions.
    fn new(board: &Board, rank: usize, share: Fraction) -> Self {
        let portions = board.portions(rank);
        let (count, cut_off) = share.times(u64::from(portions));
        Self {
            rank,
            index: board.index(rank),
            needed: board.needed(rank),
            portions,
            count: u32::try_from(count).unwrap_or(portions),
            is_cropped: cut_off > Fraction::ZERO,
            stride: (portions / TURNS).max(1),
        }
    }

    /// Those that lost a part of a portion come first: the smallest share of whole portions before others, of equals the one of fewer
    /// portions, which gains more by one, then list order.
    fn turn(&self) -> (bool, Fraction, u32, usize) {
        let share = Fraction::new(u128::from(self.count), u128::from(self.portions)).unwrap_or(Fraction::ONE);
        (!self.is_cropped, share, self.portions, self.index)
    }

    /// Notes its portions over all that it asks; of portions below a millilitre the fewest that are as much.
    fn note(&self, board: &mut Board) {
        let (given, portions) = (u128::from(self.amount(self.count)), u128::from(self.portions));
        let count = given.saturating_mul(portions).div_ceil(u128::from(self.needed).max(1));
        board.note_share(self.rank, Fraction::new(count, portions).unwrap_or(Fraction::ONE));
    }

    /// So many portions in millilitres: floor(needed * count / portions).
    fn amount(&self, count: u32) -> u64 {
        let product = u128::from(self.needed) * u128::from(count);
        small(product.checked_div(u128::from(self.portions)).unwrap_or(0))
    }

    /// One portion more than it has.
    fn next(&self) -> Rise {
        Rise { rank: self.rank, from: self.amount(self.count), to: self.amount(self.count.saturating_add(1)) }
    }

    /// Gives so many portions more if the lots allow.
    fn advance(&mut self, board: &mut Board, network: &mut Network, more: u32) -> bool {
        let count = self.count.saturating_add(more).min(self.portions);
        let (now, then) = (self.amount(self.count), self.amount(count));
        let possible = network.add(self.rank, then.saturating_sub(now));
        if possible {
            self.count = count;
            board.give(self.rank, then);
        }
        possible
    }
}

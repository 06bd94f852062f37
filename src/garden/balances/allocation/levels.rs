//! The shortest exchanges by which demands that are short can be served more.

use super::cut::Finder;
use super::network::Network;
use crate::garden::interrupt::check;

/// Not reached.
const NOWHERE: usize = usize::MAX;

/// Serves demands as much of what they lack as is possible, all of them together, with everybody else keeping what they have;
/// `needs` is left with what they still lack.
///
/// A largest flow by blocking flows (Dinic 1970): each round looks for the shortest exchanges, of which there are fewer lengths
/// than lots.
pub(super) fn serve(network: &mut Network, needs: &mut [u128]) {
    serve_from(&mut network.all_lots(), network, needs);
}

/// The same from the lots that a finder holds. In the end it holds only those that may still serve somebody more: what nobody can pass
/// on now, nobody ever can, whatever else is asked.
pub(super) fn serve_from(open: &mut Finder, network: &mut Network, needs: &mut [u128]) {
    while let Some(mut levels) = Levels::search(network, needs, open) {
        for (demand, need) in needs.iter_mut().enumerate().filter(|(_, need)| **need > 0) {
            *need -= levels.send(network, (demand, 0), *need);
        }
    }
}

/// How far lots and demands are from those that are short: the lots that these can use are at 0, the demands that these lots serve at
/// 1, the further lots that those can use at 1, and so on up to the first lots with something to spare.
struct Levels {
    demands: Vec<usize>,
    /// The lots of each level that may still pass something on.
    lots: Vec<Level>,
    /// The demands that each lot served when the search came to it, and how many of them have been tried.
    served: Vec<(Vec<usize>, usize)>,
}

/// Lots as far from those that are short.
struct Level {
    /// Their places in the network, in order.
    places: Vec<usize>,
    /// Those that may still pass something on, by their place in the list above.
    finder: Finder,
}

impl Level {
    fn new(network: &Network, mut places: Vec<usize>) -> Self {
        places.sort_unstable();
        let finder = network.finder(&places);
        Self { places, finder }
    }

    /// The first of them that a demand can use: its place here and in the network.
    fn find(&self, network: &Network, demand: usize) -> Option<(usize, usize)> {
        let place = network.find(&self.finder, demand)?;
        Some((place, *self.places.get(place)?))
    }
}

impl Levels {
    /// Searches from the demands that lack something; `None` if nothing more can be had for any of them, and the lots searched in vain
    /// are then no longer open.
    fn search(network: &Network, needs: &[u128], open: &mut Finder) -> Option<Self> {
        let mut levels = Self {
            demands: vec![NOWHERE; needs.len()],
            lots: Vec::new(),
            served: vec![(Vec::new(), 0); network.count()],
        };
        let mut unseen = open.clone();
        let mut reached: Vec<usize> =
            (0..needs.len()).filter(|demand| needs.get(*demand).is_some_and(|n| *n > 0)).collect();
        while !reached.is_empty() {
            let level = levels.lots.len();
            let (mut here, mut next, mut spare) = (Vec::new(), Vec::new(), false);
            for demand in &reached {
                check();
                levels.set(*demand, level);
                while let Some(lot) = network.find(&unseen, *demand) {
                    unseen.remove(lot);
                    here.push(lot);
                    spare |= network.spare(lot) > 0;
                    let served: Vec<usize> = network.served(lot).collect();
                    next.extend_from_slice(&served);
                    levels.served.get_mut(lot)?.0 = served;
                }
            }
            if here.is_empty() {
                break;
            }
            levels.lots.push(Level::new(network, here));
            if spare {
                return Some(levels);
            }
            next.sort_unstable();
            next.dedup();
            next.retain(|demand| levels.demands.get(*demand) == Some(&NOWHERE));
            reached = next;
        }
        *open = unseen;
        None
    }

    /// Sends up to so much to a demand of a level, and answers how much that is.
    fn send(&mut self, network: &mut Network, (demand, level): (usize, usize), amount: u128) -> u128 {
        let mut rest = amount;
        while rest > 0 {
            check();
            let Some((place, lot)) = self.lots.get(level).and_then(|lots| lots.find(network, demand)) else { break };
            let taken = network.spare(lot).min(rest);
            network.shift(lot, demand, taken);
            rest -= taken;
            rest -= self.exchange(network, (lot, level), (demand, rest));
            if rest > 0
                && let Some(lots) = self.lots.get_mut(level)
            {
                lots.finder.remove(place);
            }
        }
        amount - rest
    }

    /// Takes from those whom a lot serves, as far as they get the same from elsewhere, and gives it to a demand.
    fn exchange(
        &mut self,
        network: &mut Network,
        (lot, level): (usize, usize),
        (demand, amount): (usize, u128),
    ) -> u128 {
        let mut rest = amount;
        while rest > 0 {
            let Some(other) = self.served.get(lot).and_then(|(list, tried)| list.get(*tried)).copied() else { break };
            let has = if self.demands.get(other) == Some(&(level + 1)) { network.out(lot, other) } else { 0 };
            let wanted = has.min(rest);
            let sent = if wanted > 0 { self.send(network, (other, level + 1), wanted) } else { 0 };
            network.unshift(lot, other, sent);
            network.shift(lot, demand, sent);
            rest -= sent;
            if (sent < wanted || sent == has)
                && let Some((_, tried)) = self.served.get_mut(lot)
            {
                *tried += 1;
            }
        }
        amount - rest
    }

    fn set(&mut self, demand: usize, level: usize) {
        if let Some(slot) = self.demands.get_mut(demand) {
            *slot = level;
        }
    }
}

//! Materials of which any amount may be taken: what decides how much, and when nothing does.

use super::choose::Found;
use super::line::Line;
use super::mix::{Blend, Content, Pieces};
use super::notes::Notes;
use super::{Amount, Goals, Order};
use crate::garden::assumptions::Assumption;
use crate::garden::figures::Recorder;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfRatio;
use crate::garden::units::{End, Estimate};

/// A free material may weigh at most so many times what is in the mix in any case; more is taken for no end at all. Source: limit of
/// this service.
const PLENTY: f64 = 1_000.0;
/// How near to that counts as there, as a share. Source: tolerance of computing.
const THERE: f64 = 1e-3;

/// What the mix is to be like: where any amount of something may be taken and no goal says how much, the usual ratio.
pub(super) fn goals<R: Recorder>(order: &Order, notes: &mut Notes<'_, R>) -> Goals {
    let is_free = order.ingredients.iter().any(|i| matches!(i.amount, Amount::AtLeast(_)));
    if !is_free || order.goals.carbon_to_nitrogen.is_some() || order.goals.moisture.is_some() {
        return order.goals;
    }
    let usual: Estimate<OfRatio> = notes.take(Assumption::MixCarbonToNitrogen);
    let usual = usual.only(End::Likely);
    Goals { carbon_to_nitrogen: Some((usual, usual)), ..order.goals }
}

/// What the solver works with.
///
/// # Errors
/// `impossible_value` if nothing fixes the size of the mix.
pub(super) fn blend(lines: &[Line<'_>], packing: f64) -> Result<Blend, Refusal> {
    let mut base = Content::default();
    let mut free = Vec::new();
    let mut pieces = Pieces { base: Vec::new(), free: Vec::new(), packing };
    for line in lines {
        let (content, least, beyond) = line.likely();
        base = base.plus(content, least);
        free.extend(beyond.map(|beyond| (content, beyond)));
        pieces.base.extend((least > 0.0).then(|| line.size()));
        pieces.free.extend(beyond.map(|_| line.size()));
    }
    let mass = base.dry + base.water;
    if mass <= 0.0 {
        let detail =
            "nothing fixes the size of the mix: fix the amount of one material, or give a range that begins above 0";
        return Err(Refusal::new(Reason::ImpossibleValue, detail).at("materials"));
    }
    free.iter_mut().filter(|(_, beyond)| beyond.is_infinite()).for_each(|(_, beyond)| *beyond = PLENTY * mass);
    Ok(Blend { base, free, pieces })
}

/// Refuses a mix for which no amount of a free material is enough.
///
/// # Errors
/// `impossible_value`.
pub(super) fn check(order: &Order, lines: &[Line<'_>], (blend, found): (&Blend, &Found)) -> Result<(), Refusal> {
    let chosen = order.ingredients.iter().zip(lines).filter(|(_, line)| line.is_free());
    let taken = found.nearest.taken.iter().zip(&blend.free);
    for ((ingredient, _), (taken, (_, most))) in chosen.zip(taken) {
        if !matches!(ingredient.amount, Amount::AtLeast(_)) || *taken < most * (1.0 - THERE) {
            continue;
        }
        let name = &ingredient.name;
        let detail = match found.missed_by_nearest.first() {
            Some(missed) => {
                format!(
                    "no amount of {name} is enough: {}. Give at_most for it, and you get a mix within it",
                    missed.text()
                )
            }
            None => format!(
                "the goals take more than {PLENTY} times the rest of the mix of {name}: give at_most for it, or another goal"
            ),
        };
        return Err(Refusal::new(Reason::ImpossibleValue, detail).at("materials"));
    }
    Ok(())
}

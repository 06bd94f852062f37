//! What an analysis of dry matter cannot say.

use super::{Assumed, Assumption, Known};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{ROUNDING_TOLERANCE, Share};

/// The most ash in dry matter computed with. Source: limit of this service.
pub const MAX_ASH: f64 = 0.95;

/// Refuses ash and nitrogen of more than the whole: nitrogen is in the organic matter, which is what is not ash.
///
/// # Errors
/// `impossible_value`.
pub fn sums_up(ash: Share, nitrogen: Share) -> Result<(), Refusal> {
    let sum = ash.fraction() + nitrogen.fraction();
    if sum <= 1.0 + ROUNDING_TOLERANCE {
        return Ok(());
    }
    let detail = format!(
        "{:.1} % ash and {:.1} % nitrogen add up to {:.1} % of the dry matter, which is too much: nitrogen is in the \
         part that burns; check that both are shares of the dry matter",
        ash.fraction() * 100.0,
        nitrogen.fraction() * 100.0,
        sum * 100.0
    );
    Err(Refusal::new(Reason::ImpossibleValue, detail))
}

/// Refuses carbon of more than what is left beside the ash: carbon is in the organic matter.
///
/// # Errors
/// `impossible_value`.
fn carbon_fits(ash: Share, carbon: Share) -> Result<(), Refusal> {
    let left = 1.0 - ash.fraction();
    if carbon.fraction() <= left + ROUNDING_TOLERANCE {
        return Ok(());
    }
    let detail = format!(
        "nitrogen times carbon to nitrogen makes {:.1} % carbon in the dry matter, but {:.1} % ash leave {:.1} % for it; check that \
         nitrogen and ash are shares of the dry matter",
        carbon.fraction() * 100.0,
        ash.fraction() * 100.0,
        left * 100.0
    );
    Err(Refusal::new(Reason::ImpossibleValue, detail))
}

/// Refuses phosphorus and potassium of more than the ash that holds them.
///
/// # Errors
/// `impossible_value`.
pub fn parts_of_ash(ash: Share, (phosphorus, potassium): (Option<Share>, Option<Share>)) -> Result<(), Refusal> {
    let fraction_or_none = |share: Option<Share>| share.map_or(0.0, Share::fraction);
    let (sum, ash) = (fraction_or_none(phosphorus) + fraction_or_none(potassium), ash.fraction());
    if sum <= ash + ROUNDING_TOLERANCE {
        return Ok(());
    }
    let detail = format!(
        "phosphorus and potassium are {:.1} % of the dry matter, but they are part of its ash, which is {:.1} %; \
         check that both are given as elements and as shares of the dry matter",
        sum * 100.0,
        ash * 100.0
    );
    Err(Refusal::new(Reason::ImpossibleValue, detail))
}

/// Refuses an ash that somebody gave and that leaves no room for the nitrogen or the carbon given, or does not hold the phosphorus and
/// potassium given.
pub(super) fn check_ash(known: Known<'_>) -> Result<(), Refusal> {
    let share = |assumed: Assumed| Share::from_fraction(assumed.span.likely);
    let Some(ash) = known.given(Assumption::Ash).map(share) else { return Ok(()) };
    let given = |which| known.given(which).map(share);
    if let Some(nitrogen) = given(Assumption::Nitrogen) {
        sums_up(ash, nitrogen)?;
        let ratio = known.given(Assumption::CarbonToNitrogen);
        let carbon = ratio.map(|ratio| Share::from_fraction(nitrogen.fraction() * ratio.span.likely));
        carbon.map_or(Ok(()), |carbon| carbon_fits(ash, carbon))?;
    }
    parts_of_ash(ash, (given(Assumption::Phosphorus), given(Assumption::Potassium)))
}

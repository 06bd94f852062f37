//! What feed loses and keeps on its way to castings; a loss measured by ash.

use crate::garden::assumptions::{Assumed, Assumption, Known};
use crate::garden::figures::{Off, Recorder};
use crate::garden::formulas::{CarbonOfAsh, Kept, LossByAsh, Row};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfRatio, OfShare};
use crate::garden::units::{Estimate, Measured, Quantity, Ratio, Share};

/// Organic matter in one part of carbon: carbon = (1 - ash) / 1.8, as for feeds.
pub const ORGANIC_MATTER_IN_CARBON: f64 = crate::garden::formulas::ORGANIC_PER_CARBON;

/// A loss measured by the ash before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredLoss {
    /// Share of the organic matter that was lost.
    pub organic_matter: Share,
    /// Share of the dry matter that is left.
    pub dry_matter_left: Share,
}

/// Answers "how much organic matter was lost, if ash rose from this share of the dry matter to that?" Ash is neither made nor lost.
///
/// `lambda = 1 - x1 (1 - x2) / (x2 (1 - x1))`, `D2/D1 = x1/x2` (after Paredes et al. 2000, from memory; the identity stands by
/// itself). It holds if no soil came in and nothing leached.
///
/// # Errors
/// `out_of_range` unless both lie above 0 and below 100 %; `impossible_value` if ash fell.
///
/// ```
/// use barrowful::garden::{beds::measured_loss, units::Share};
/// let share = Share::from_fraction;
/// let loss = measured_loss(share(0.15), share(0.30)).unwrap();
/// assert!((loss.organic_matter.fraction() - 0.5882).abs() < 1e-4);
/// assert_eq!(loss.dry_matter_left.fraction(), 0.5);
/// assert!(measured_loss(share(0.30), share(0.15)).is_err());
/// ```
pub fn measured_loss(before: Share, after: Share) -> Result<MeasuredLoss, Refusal> {
    let (x1, x2) = (before.fraction(), after.fraction());
    if !(x1 > 0.0 && x1 < 1.0 && x2 > 0.0 && x2 < 1.0) {
        let detail = "ash before and after must lie above 0 and below 100 % of the dry matter";
        return Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, 100.0));
    }
    if x2 < x1 {
        let detail = format!(
            "ash cannot fall from {} to {} % of the dry matter: nothing takes it away; mix the sample and burn it again, or look \
             for soil in the first one",
            x1 * 100.0,
            x2 * 100.0
        );
        return Err(Refusal::new(Reason::ImpossibleValue, detail).at("ash_after"));
    }
    Ok(MeasuredLoss {
        organic_matter: LossByAsh { x: before.into(), y: after.into() }.likely(),
        dry_matter_left: Share::from_fraction(x1 / x2),
    })
}

/// What feed keeps on its way to castings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Keeps {
    ash: f64,
    loss: Estimate<OfShare>,
    nitrogen: Estimate<OfShare>,
}

impl Keeps {
    /// By the ash of the feed and what is known of the losses.
    pub fn known(ash: Share, known: Known<'_>, assumed: &mut Vec<Assumed>) -> Self {
        let (loss, by_loss) = known.estimate(Assumption::OrganicMatterLoss);
        let (nitrogen, by_nitrogen) = known.estimate(Assumption::NitrogenRetained);
        assumed.extend(by_loss);
        assumed.extend(by_nitrogen);
        Self { ash: ash.fraction(), loss, nitrogen }
    }

    /// The same with a loss that was measured.
    #[must_use]
    pub fn measured(self, loss: MeasuredLoss) -> Self {
        Self { loss: Estimate::exactly(loss.organic_matter), ..self }
    }

    /// Share of the organic matter lost.
    #[must_use]
    pub fn loss(&self) -> Estimate<OfShare> {
        self.loss
    }

    /// Castings from feed, dry matter: `ash + (1 - ash)(1 - lambda)`.
    #[must_use]
    pub fn dry(&self) -> Estimate<OfShare> {
        Off.figure(Kept { x: Share::from_fraction(self.ash).into(), lambda: self.loss })
    }

    /// Dry matter lost: `(1 - ash) lambda`.
    #[must_use]
    pub fn lost(&self) -> Estimate<OfShare> {
        self.loss.times(1.0 - self.ash)
    }

    /// Nitrogen kept.
    #[must_use]
    pub fn nitrogen(&self) -> Estimate<OfShare> {
        self.nitrogen
    }

    /// Carbon in the dry matter of the feed: `(1 - ash) / 1.8`.
    #[must_use]
    pub fn carbon_in_feed(&self) -> Share {
        CarbonOfAsh { x: Share::from_fraction(self.ash).into() }.likely()
    }

    /// A share of the feed's dry matter that is kept whole, as a share of the castings: ash, P, K.
    #[must_use]
    pub fn concentrated(&self, in_feed: Share) -> Estimate<OfShare> {
        Estimate::exactly(in_feed) / self.dry()
    }

    /// Nitrogen in the castings' dry matter: `n R_N / (ash + (1 - ash)(1 - lambda))`.
    #[must_use]
    pub fn nitrogen_in_castings(&self, in_feed: Share) -> Estimate<OfShare> {
        self.nitrogen.times(in_feed.fraction()) / self.dry()
    }

    /// `C:N_out = C:N_in (1 - lambda) / R_N`.
    #[must_use]
    pub fn carbon_to_nitrogen(&self, nitrogen_in_feed: Share) -> Estimate<OfRatio> {
        let in_feed = self.carbon_in_feed().fraction() / nitrogen_in_feed.fraction();
        let left: Estimate<OfShare> = falling(self.loss, |lambda| 1.0 - lambda);
        let at = |left: Share, kept: Share| Ratio::from_number(in_feed * left.fraction() / kept.fraction());
        let likely = at(left.likely(), self.nitrogen.likely());
        Estimate::between(at(left.low(), self.nitrogen.high()), likely, at(left.high(), self.nitrogen.low()))
            .unwrap_or_else(|| Estimate::exactly(likely))
    }
}

/// A formula that falls with its one assumption.
pub(super) fn falling<A: Measured, B: Measured>(of: Estimate<A>, formula: impl Fn(f64) -> f64) -> Estimate<B> {
    let at = |value: Quantity<A>| Quantity::from_base(formula(value.base()));
    Estimate::between(at(of.high()), at(of.likely()), at(of.low()))
        .unwrap_or_else(|| Estimate::exactly(at(of.likely())))
}

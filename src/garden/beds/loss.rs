//! What feed loses and keeps on its way to castings; a loss measured by ash.

use super::inputs::Inputs;
use crate::garden::assumptions::{Assumption, TIE_UP};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{CarbonOfAsh, Kept, LossByAsh, RatioOfCastings, Row};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfRatio, OfShare};
use crate::garden::units::round::few_digits;
use crate::garden::units::{Estimate, Share};

/// Organic matter in one part of carbon: carbon = (1 - ash) / 1.8, as for feeds.
pub const ORGANIC_MATTER_IN_CARBON: f64 = crate::garden::formulas::ORGANIC_PER_CARBON;

/// A loss measured by the ash before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredLoss {
    /// Share of the organic matter that was lost.
    pub organic_matter: Estimate<OfShare>,
    /// Share of the dry matter that is left.
    pub dry_matter_left: Share,
}

/// Answers "how much organic matter was lost, if ash rose from this share of the dry matter to that?" Ash is neither made nor lost.
///
/// `lambda = 1 - x1 (1 - x2) / (x2 (1 - x1))`, `D2/D1 = x1/x2` (after Paredes et al. 2000, from memory; the identity holds by
/// itself). It holds if no soil came in and nothing leached.
///
/// # Errors
/// `out_of_range` unless both lie above 0 and below 100 %; `impossible_value` if ash fell.
///
/// ```
/// use barrowful::garden::{beds::measured_loss, figures::Off, units::Share};
/// let share = |x| Share::from_fraction(x).into();
/// let loss = measured_loss(share(0.15), share(0.30), Off).unwrap();
/// assert!((loss.organic_matter.fraction() - 0.5882).abs() < 1e-4);
/// assert_eq!(loss.dry_matter_left.fraction(), 0.5);
/// assert!(measured_loss(share(0.30), share(0.15), Off).is_err());
/// ```
pub fn measured_loss(
    before: Estimate<OfShare>,
    after: Estimate<OfShare>,
    recorder: impl Recorder,
) -> Result<MeasuredLoss, Refusal> {
    let (x1, x2) = (before.fraction(), after.fraction());
    if !(x1 > 0.0 && x1 < 1.0 && x2 > 0.0 && x2 < 1.0) {
        let detail = "ash before and after must be above 0 and below 100 % of the dry matter, for example \"15 %\" \
                      and \"30 %\"";
        return Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, 100.0));
    }
    if x2 < x1 {
        let [before, after] = few_digits([x1 * 100.0, x2 * 100.0]);
        let detail = format!(
            "ash cannot fall from {before} to {after} % of the dry matter, because nothing removes it; mix the sample and burn \
             it again, or check the first sample for soil"
        );
        return Err(Refusal::new(Reason::ImpossibleValue, detail).at("ash_after"));
    }
    Ok(MeasuredLoss {
        organic_matter: recorder.figure(LossByAsh { x: before, y: after }),
        dry_matter_left: Share::from_fraction(x1 / x2),
    })
}

/// What feed keeps on its way to castings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Keeps {
    /// Ash in the dry matter of the feed.
    pub ash: Estimate<OfShare>,
    /// Share of the organic matter lost.
    pub loss: Estimate<OfShare>,
    /// Nitrogen kept.
    pub nitrogen: Estimate<OfShare>,
}

impl Keeps {
    /// By the ash of the feed and what is known of the losses.
    pub fn known<R: Recorder>(ash: Estimate<OfShare>, inputs: &mut Inputs<'_, R>) -> Self {
        let loss = inputs.take(Assumption::OrganicMatterLoss);
        Self { ash, loss, nitrogen: inputs.take(Assumption::NitrogenRetained) }
    }

    /// Castings from feed, dry matter: `ash + (1 - ash)(1 - lambda)`.
    #[must_use]
    pub fn dry(&self, recorder: impl Recorder) -> Estimate<OfShare> {
        recorder.figure(Kept { x: self.ash, lambda: self.loss })
    }

    /// Dry matter lost: `(1 - ash) lambda`.
    #[must_use]
    pub fn lost(&self) -> Estimate<OfShare> {
        self.loss.times(1.0 - self.ash.fraction())
    }

    /// Carbon in the dry matter of the feed: `(1 - ash) / 1.8`.
    #[must_use]
    pub fn carbon_in_feed(&self) -> Share {
        CarbonOfAsh { x: self.ash }.likely()
    }

    /// `C:N_out = C:N_in (1 - lambda) / R_N`, where the nitrogen of the feed is known; notes castings that tie nitrogen up.
    pub fn carbon_to_nitrogen<R: Recorder>(
        &self,
        nitrogen: Option<Estimate<OfShare>>,
        inputs: &mut Inputs<'_, R>,
    ) -> Option<Estimate<OfRatio>> {
        let row = RatioOfCastings { x: self.ash, lambda: self.loss, n: nitrogen?, r: self.nitrogen };
        let ratio = inputs.recorder.figure(row);
        if ratio.number() > TIE_UP {
            inputs.caution(Rule::NitrogenTieUp);
        }
        Some(ratio)
    }
}

//! The salts that castings bring to a mix, and whether it is strong for seedlings.

use super::Rate;
use crate::garden::assumptions::{Assumed, Assumption, Known, SetBy};
use crate::garden::figures::{Recorder, Source};
use crate::garden::formulas::{SaltOfMix, ShareInMix, ShareWithinSalt};
use crate::garden::units::quantity::{OfConductivity, OfShare, OfVolume};
use crate::garden::units::{Conductivity, Estimate, ROUNDING_TOLERANCE, Share};

/// The conductivity below which a mix for pots and seedlings is kept, in an extract of 1 part to 5 of water by volume. Source: Bunt 1988
/// and McLachlan et al. 2004, as quoted.
pub const SALT_LIMIT: Conductivity = Conductivity::from_decisiemens_per_metre(0.35);
/// The share of castings above which a mix is strong where nobody measured their salts. Source: Atiyeh et al. 2000, Bioresource
/// Technology 75:175-180.
const STRONG: Share = Share::from_fraction(0.20);

/// What castings do to the salts of a mix, by its conductivity in an extract of 1 part to 5 of water by volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Salt {
    /// What the castings bring; the other parts of the mix bring theirs.
    pub conductivity: Estimate<OfConductivity>,
    /// The largest share of castings at which they alone do not pass [`SALT_LIMIT`].
    pub largest_share: Estimate<OfShare>,
    /// The share that they are.
    share: Estimate<OfShare>,
    /// The conductivity of the castings themselves.
    pub(super) castings: Option<Assumed>,
}

impl Salt {
    /// The salts of a mix with so much castings at one of these rates.
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub(super) fn of_mix(
        (M, V): (Estimate<OfVolume>, Estimate<OfVolume>),
        mut rates: impl Iterator<Item = Rate>,
        known: Known<'_>,
        recorder: impl Recorder,
    ) -> Self {
        let stated = rates.find_map(|rate| if let Rate::Share(share) = rate { Some(share) } else { None });
        let p = stated.unwrap_or_else(|| recorder.figure(ShareInMix { V, M }));
        let (k, castings) = known.figure(Assumption::Conductivity, recorder);
        let l = recorder.source(Source::Constant("SALT_LIMIT"), SALT_LIMIT.into());
        Self {
            conductivity: recorder.figure(SaltOfMix { p, k }),
            largest_share: recorder.figure(ShareWithinSalt { l, k }),
            share: p,
            castings,
        }
    }

    /// Whether the mix is likely to be strong for seedlings: castings alone, else by the salts where somebody gave the conductivity of
    /// the castings, else by their share.
    pub(super) fn is_strong(&self) -> bool {
        let above = 1.0 + ROUNDING_TOLERANCE;
        if self.share.likely().fraction() * above >= 1.0 {
            return true;
        }
        if self.castings.is_some_and(|castings| castings.set_by != SetBy::Default) {
            return self.conductivity.likely().base() > SALT_LIMIT.base() * above;
        }
        self.share.likely().fraction() > STRONG.fraction() * above
    }
}

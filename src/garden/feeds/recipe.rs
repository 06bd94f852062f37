//! The feed of a production, per amount of dry matter.

use super::FeedPlan;
use crate::garden::units::{Density, Mass, Share};

/// A feed as planned, to be made larger or smaller as a whole. At its likely values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recipe {
    /// Dry matter that the worms get of the feed as it was planned (after hot composting).
    pub dry: Mass,
    /// Water in the mix, wet basis.
    pub moisture: Share,
    /// Ash in the dry matter that the worms get.
    pub ash: Share,
    /// Nitrogen in the dry matter that the worms get.
    pub nitrogen: Share,
    /// Dry matter in a volume of the mix.
    pub dry_density: Density,
    /// Whether it heats up on the bed.
    pub heats: bool,
    /// Days from the first step to the worms.
    pub days: u32,
}

impl Recipe {
    /// Of a planned feed. Hot composting loses organic matter and nitrogen, and the heap is moistened again afterwards.
    #[must_use]
    pub fn of(plan: &FeedPlan) -> Self {
        let dry = plan.castings.dry_in.likely();
        let (mix, castings) = (&plan.mix, dry.kilograms());
        let nitrogen = plan.hot.map_or(mix.nitrogen.likely(), |hot| mix.nitrogen.likely() - hot.nitrogen_lost.likely());
        let of_dry = |mass: Mass| Share::from_fraction((mass.kilograms() / castings).clamp(0.0, 1.0));
        Self {
            dry,
            moisture: plan.hot.map_or(mix.moisture, |hot| hot.moisture).likely(),
            ash: of_dry(mix.ash.likely()),
            nitrogen: of_dry(nitrogen),
            dry_density: mix.dry_bulk_density.likely(),
            heats: plan.heats,
            days: plan.steps.iter().map(|step| step.to_day).max().unwrap_or(0),
        }
    }

    /// How many times the planned feed makes this dry matter.
    #[must_use]
    pub fn times(&self, feed: Mass) -> f64 {
        feed.kilograms() / self.dry.kilograms()
    }

    /// The mass of the mix that holds this dry matter.
    #[must_use]
    pub fn moist(&self, feed: Mass) -> Mass {
        feed / Share::from_fraction(1.0 - self.moisture.fraction())
    }
}

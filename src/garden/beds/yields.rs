//! What becomes of feed: organic matter lost, a loss measured by ash, castings in store, and two ways compared in dry matter.

use super::loss::{Keeps, falling, measured_loss};
use super::within;
use crate::garden::areas::checked_volume;
use crate::garden::assumptions::{Assumed, Assumption, Castings, Known, LEAST, MOST_NUTRIENT, TIE_UP};
use crate::garden::cautions::Rule;
use crate::garden::feeds::{parts_of_ash, sums_up};
use crate::garden::figures::Off;
use crate::garden::harvests::Harvest;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfMass, OfRatio, OfShare, OfVolume};
use crate::garden::units::{Dimension, Estimate, Mass, Share};

/// The wettest feed computed with; beyond it there is next to no dry matter. Source: limit of this service.
pub const WETTEST: f64 = 0.99;
/// The most ash in feed computed with. Source: limit of this service.
pub const MOST_ASH: f64 = 0.95;

/// Castings out of a bed, dried and sieved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yield {
    /// All castings before the sieve, dry matter.
    pub dry_matter: Estimate<OfMass>,
    /// What passes the sieve, dry matter.
    pub sieved_dry_matter: Estimate<OfMass>,
    /// What passes the sieve, as it lies in store.
    pub castings: Estimate<OfVolume>,
    /// What the sieve holds back, at the moisture of the store.
    pub sieved_off: Estimate<OfVolume>,
    /// The mass of the castings in store.
    pub mass: Estimate<OfMass>,
    /// Their moisture, wet basis.
    pub moisture: Estimate<OfShare>,
}

/// How castings lie in store, and what passes the sieve.
#[derive(Debug, Clone)]
pub struct Store {
    castings: Castings,
    sieve: Estimate<OfShare>,
}

impl Store {
    /// By what is known of the castings.
    ///
    /// # Errors
    /// What [`Castings::known`] refuses.
    pub fn known(known: Known<'_>, assumed: &mut Vec<Assumed>, cautions: &mut Vec<Rule>) -> Result<Self, Refusal> {
        let castings = Castings::known(known, Off).map_err(|e| e.at("assumptions"))?;
        let (sieve, sieve_used) = known.estimate(Assumption::SievePass);
        assumed.extend(sieve_used);
        assumed.extend(castings.assumed.iter().filter(|a| Assumption::OF_WEIGHT.contains(&a.assumption)));
        cautions.extend(castings.cautions.iter().copied().filter(|rule| *rule != Rule::NitrogenTieUp));
        Ok(Self { castings, sieve })
    }

    /// What this dry matter of castings makes in store: `castings = D / rho_d x sieve pass`, mass by the moisture.
    #[must_use]
    pub fn takes(&self, dry_matter: Estimate<OfMass>) -> Yield {
        let sieved_dry_matter: Estimate<OfMass> = dry_matter * self.sieve;
        let off: Estimate<OfShare> = falling(self.sieve, |pass| 1.0 - pass);
        let held_back: Estimate<OfMass> = dry_matter * off;
        Yield {
            dry_matter,
            sieved_dry_matter,
            castings: sieved_dry_matter / self.castings.dry_bulk_density,
            sieved_off: held_back / self.castings.dry_bulk_density,
            mass: sieved_dry_matter / self.castings.solids,
            moisture: falling(self.castings.solids, |solids| 1.0 - solids),
        }
    }
}

/// Feed that was given to a bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fed {
    /// As it was given, moist.
    pub fresh: Mass,
    /// Water, wet basis.
    pub moisture: Share,
    /// Ash in the dry matter.
    pub ash: Share,
    /// Total N in the dry matter.
    pub nitrogen: Option<Share>,
    /// P in the dry matter.
    pub phosphorus: Option<Share>,
    /// K in the dry matter.
    pub potassium: Option<Share>,
}

/// What comes of what was fed.
#[derive(Debug, Clone, PartialEq)]
pub struct FromFeed {
    /// All that was fed, moist.
    pub fed: Mass,
    /// Its dry matter.
    pub fed_dry_matter: Mass,
    /// Its moisture, wet basis.
    pub fed_moisture: Share,
    /// Share of the organic matter lost.
    pub organic_matter_loss: Estimate<OfShare>,
    /// The castings.
    pub yields: Yield,
    /// Moist castings before the sieve over moist feed: the figure that is printed most, and says least without both moistures.
    pub of_fresh_feed: Estimate<OfShare>,
    /// Dry castings before the sieve over dry feed.
    pub of_dry_feed: Estimate<OfShare>,
    /// N in the castings' dry matter, where that of every feed is given.
    pub nitrogen: Option<Estimate<OfShare>>,
    /// P in the castings' dry matter, where that of every feed is given.
    pub phosphorus: Option<Estimate<OfShare>>,
    /// K in the castings' dry matter, where that of every feed is given.
    pub potassium: Option<Estimate<OfShare>>,
    /// Ash in the castings' dry matter.
    pub ash: Estimate<OfShare>,
    /// C:N of the castings, where the N of every feed is given.
    pub carbon_to_nitrogen: Option<Estimate<OfRatio>>,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
}

/// Answers "what castings come of this feed?" All of it is worked through. With the ash of the castings the loss is measured, not
/// assumed.
///
/// `D_out = D_in (ash + (1 - ash)(1 - lambda))`, `castings = D_out / rho_d x sieve pass`; N kept `R_N`; ash, P, K conserved.
///
/// # Errors
/// `missing_field` without feed; what [`measured_loss`] and [`Castings::known`] refuse; `out_of_range`, `too_large`.
pub fn from_feed(feeds: &[Fed], ash_after: Option<Share>, known: Known<'_>) -> Result<FromFeed, Refusal> {
    let mix = Mix::of(feeds)?;
    let (mut assumed, mut cautions) = (Vec::new(), Vec::new());
    let mut keeps = Keeps::known(mix.ash, known, &mut assumed);
    if let Some(after) = ash_after {
        keeps = keeps.measured(measured_loss(mix.ash, after)?);
        assumed.retain(|a| a.assumption != Assumption::OrganicMatterLoss);
    }
    if mix.nitrogen.is_none() {
        assumed.retain(|a| a.assumption != Assumption::NitrogenRetained);
    }
    let store = Store::known(known, &mut assumed, &mut cautions)?;
    let dry_matter: Estimate<OfMass> = Estimate::exactly(mix.dry) * keeps.dry();
    let yields = store.takes(dry_matter);
    checked_volume(yields.castings.high())?;
    let carbon_to_nitrogen = mix.nitrogen.map(|n| keeps.carbon_to_nitrogen(n));
    if carbon_to_nitrogen.is_some_and(|ratio| ratio.likely().number() > TIE_UP) {
        cautions.push(Rule::NitrogenTieUp);
    }
    let moist: Estimate<OfMass> = dry_matter / store.castings.solids;
    Ok(FromFeed {
        fed: mix.fresh,
        fed_dry_matter: mix.dry,
        fed_moisture: Share::from_fraction(1.0 - mix.dry.kilograms() / mix.fresh.kilograms()),
        organic_matter_loss: keeps.loss(),
        yields,
        of_fresh_feed: moist / Estimate::exactly(mix.fresh),
        of_dry_feed: keeps.dry(),
        nitrogen: mix.nitrogen.map(|n| keeps.nitrogen_in_castings(n)),
        phosphorus: mix.phosphorus.map(|p| keeps.concentrated(p)),
        potassium: mix.potassium.map(|k| keeps.concentrated(k)),
        ash: keeps.concentrated(mix.ash),
        carbon_to_nitrogen,
        cautions,
        assumed,
    })
}

/// Feeds together, weighted by dry matter.
struct Mix {
    fresh: Mass,
    dry: Mass,
    ash: Share,
    nitrogen: Option<Share>,
    phosphorus: Option<Share>,
    potassium: Option<Share>,
}

impl Mix {
    fn of(feeds: &[Fed]) -> Result<Self, Refusal> {
        if feeds.is_empty() {
            return Err(
                Refusal::new(Reason::MissingField, "say what was fed: at least one feed with its mass").at("fed")
            );
        }
        for feed in feeds {
            within("an amount of feed", feed.fresh.kilograms(), Dimension::Mass)?;
            check_analysis(feed.moisture, feed.ash, feed.nitrogen)?;
            parts_of_ash(feed.ash, (feed.phosphorus, feed.potassium))?;
        }
        let dry_of = |feed: &Fed| feed.fresh.kilograms() * (1.0 - feed.moisture.fraction());
        let dry: f64 = feeds.iter().map(dry_of).sum();
        let mean = |part: &dyn Fn(&Fed) -> Option<Share>| -> Option<Share> {
            let sum: Option<f64> = feeds.iter().map(|feed| Some(dry_of(feed) * part(feed)?.fraction())).sum();
            sum.map(|sum| Share::from_fraction(sum / dry))
        };
        Ok(Self {
            fresh: feeds.iter().map(|feed| feed.fresh).sum(),
            dry: Mass::from_kilograms(dry),
            ash: mean(&|feed| Some(feed.ash)).unwrap_or(Share::from_fraction(0.0)),
            nitrogen: mean(&|feed| feed.nitrogen),
            phosphorus: mean(&|feed| feed.phosphorus),
            potassium: mean(&|feed| feed.potassium),
        })
    }
}

/// Refuses an analysis of feed that cannot be.
pub(super) fn check_analysis(moisture: Share, ash: Share, nitrogen: Option<Share>) -> Result<(), Refusal> {
    let check = |what: &str, share: Share, (min, max): (f64, f64)| {
        if share.fraction() >= min && share.fraction() <= max {
            return Ok(());
        }
        let (min, max) = (min * 100.0, max * 100.0);
        Err(Refusal::new(Reason::OutOfRange, format!("{what} must lie between {min} and {max} %")).between(min, max))
    };
    check("the moisture of feed", moisture, (0.0, WETTEST)).map_err(|e| e.at("moisture"))?;
    check("the ash of feed", ash, (0.0, MOST_ASH)).map_err(|e| e.at("ash"))?;
    let Some(n) = nitrogen else { return Ok(()) };
    check("the nitrogen of feed", n, (LEAST, MOST_NUTRIENT)).map_err(|e| e.at("nitrogen"))?;
    sums_up(ash, n).map_err(|e| e.at("nitrogen"))
}

/// One harvest by two ways, in dry matter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// By the depth of the bed.
    pub by_depth: Estimate<OfMass>,
    /// By what was fed.
    pub by_feed: Estimate<OfMass>,
    /// By feed less by depth; below zero if the bed holds more.
    pub gap: Mass,
    /// The gap over what the depth says.
    pub gap_share: Share,
    /// True if the two ranges meet: the gap is then within what the assumptions leave open.
    pub ranges_meet: bool,
}

/// Answers "do the depth of the bed and what was fed tell the same?" Sieved castings, dry matter: neither moisture plays in.
/// `by depth = castings in the bed's litres x rho_d,bed`, `by feed = D_out x sieve pass`.
#[must_use]
pub fn compare(by_depth: &Harvest, by_feed: &FromFeed, known: Known<'_>) -> Comparison {
    let (density, _): (Estimate<OfDensity>, _) = known.estimate(Assumption::BedDryDensity);
    let (depth, feed): (Estimate<OfMass>, _) = (by_depth.castings * density, by_feed.yields.sieved_dry_matter);
    let gap = feed.likely() - depth.likely();
    Comparison {
        by_depth: depth,
        by_feed: feed,
        gap,
        gap_share: gap / depth.likely(),
        ranges_meet: depth.low() <= feed.high() && feed.low() <= depth.high(),
    }
}

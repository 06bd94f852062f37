//! What becomes of feed: organic matter lost, a loss measured by ash, castings in store.

#![expect(non_snake_case, reason = "the symbols of the formulas")]

use super::inputs::Inputs;
use super::loss::{Keeps, measured_loss};
use super::within;
use crate::garden::areas::checked_volume;
use crate::garden::assumptions::{
    Assumed, Assumption, Castings, Known, MAX_ASH, MAX_NUTRIENT, MIN_SHARE, parts_of_ash, sums_up,
};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{
    Concentrated, DryCastings, DryInStore, DryInStoreMass, DryMatter, HeldBack, MixNitrogen, Moisture, NitrogenKept,
    OfFreshFeed, SievedDry, StoreMoisture, TotalMass,
};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfMass, OfRatio, OfShare, OfVolume};
use crate::garden::units::text::outside;
use crate::garden::units::{Dimension, Estimate, Share};

/// The wettest feed computed with; beyond it there is next to no dry matter. Source: limit of this service.
pub const WETTEST: f64 = 0.99;

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
    pub oversize: Estimate<OfVolume>,
    /// The mass of the castings in store.
    pub mass: Estimate<OfMass>,
    /// Their moisture, wet basis.
    pub moisture: Estimate<OfShare>,
}

/// Castings that were sieved, not yet in store.
#[derive(Debug, Clone, Copy)]
pub(super) struct SievedParts {
    /// All of them before the sieve, dry matter.
    pub dry_matter: Estimate<OfMass>,
    /// What passes the sieve, dry matter.
    pub passes: Estimate<OfMass>,
    /// What the sieve holds back, at the moisture of the store.
    pub held_back: Estimate<OfVolume>,
}

/// How castings lie in store, and what passes the sieve.
#[derive(Debug, Clone)]
pub(super) struct Store {
    pub castings: Castings,
    pub sieve: Estimate<OfShare>,
}

impl Store {
    /// By what is known of the castings.
    ///
    /// # Errors
    /// What [`Castings::known`] refuses.
    pub fn known<R: Recorder>(inputs: &mut Inputs<'_, R>) -> Result<Self, Refusal> {
        let castings = Castings::known(inputs.known, inputs.recorder).map_err(|e| e.at("assumptions"))?;
        let sieve = inputs.take(Assumption::SieveYield);
        let of_weight = castings.assumed.iter().filter(|a| Assumption::OF_WEIGHT.contains(&a.assumption));
        inputs.assumed.extend(of_weight);
        inputs.cautions.extend(castings.cautions.iter().filter(|rule| **rule != Rule::NitrogenTieUp));
        Ok(Self { castings, sieve })
    }

    /// How castings lie in store: `V = S / rho_d`, and their mass by the moisture.
    pub fn takes(
        &self,
        SievedParts { dry_matter, passes: S, held_back }: SievedParts,
        recorder: impl Recorder,
    ) -> Yield {
        let ends = self.castings.moist_ends();
        let mass = ends.map(|(end, rho, rho_d)| DryInStoreMass { S: S.only(end), rho, rho_d });
        Yield {
            dry_matter,
            sieved_dry_matter: S,
            castings: recorder.figure(DryInStore { S, rho_d: self.castings.dry_bulk_density }),
            oversize: held_back,
            mass: recorder.figure_at(mass),
            moisture: recorder.figure_at(ends.map(|(_, rho, rho_d)| StoreMoisture { rho_d, rho })),
        }
    }

    /// Castings of this dry matter, moist, over moist feed.
    fn over_fresh(&self, C: Estimate<OfMass>, m: Estimate<OfMass>, recorder: impl Recorder) -> Estimate<OfShare> {
        let at = |(end, rho, rho_d)| OfFreshFeed { C: C.only(end), rho, rho_d, m };
        recorder.figure_at(self.castings.moist_ends().map(at))
    }
}

/// Feed that was given to a bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fed {
    /// As it was given, moist.
    pub fresh: Estimate<OfMass>,
    /// Water, wet basis.
    pub moisture: Estimate<OfShare>,
    /// Ash in the dry matter.
    pub ash: Estimate<OfShare>,
    /// Total N in the dry matter.
    pub nitrogen: Option<Estimate<OfShare>>,
    /// P in the dry matter.
    pub phosphorus: Option<Estimate<OfShare>>,
    /// K in the dry matter.
    pub potassium: Option<Estimate<OfShare>>,
    /// What to mind with this material.
    pub cautions: &'static [Rule],
}

/// How much of a feed was given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FedMass {
    /// Moist.
    pub mass: Estimate<OfMass>,
    /// Its dry matter.
    pub dry_matter: Estimate<OfMass>,
}

/// The yield of what was fed.
#[derive(Debug, Clone, PartialEq)]
pub struct FromFeed {
    /// Each feed, in the order given.
    pub feeds: Vec<FedMass>,
    /// All that was fed, moist.
    pub fed: Estimate<OfMass>,
    /// Its dry matter.
    pub fed_dry_matter: Estimate<OfMass>,
    /// Its moisture, wet basis.
    pub fed_moisture: Estimate<OfShare>,
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
/// `D_out = D_in (ash + (1 - ash)(1 - lambda))`, `castings = D_out x sieve yield / rho_d`; N kept `R_N`; ash, P, K conserved.
///
/// # Errors
/// `missing_field` without feed; what [`measured_loss`] and [`Castings::known`] refuse; `out_of_range`, `too_large`.
pub fn from_feed(
    feeds: &[Fed],
    ash_after: Option<Estimate<OfShare>>,
    known: Known<'_>,
    recorder: impl Recorder,
) -> Result<FromFeed, Refusal> {
    let mix = Mix::of(feeds, recorder)?;
    let mut inputs = Inputs::new(known, recorder);
    let mut keeps = Keeps::known(mix.ash, &mut inputs);
    if let Some(after) = ash_after {
        keeps.loss = measured_loss(mix.ash, after, recorder)?.organic_matter;
        inputs.forget(Assumption::OrganicMatterLoss);
    }
    if mix.nitrogen.is_none() {
        inputs.forget(Assumption::NitrogenRetained);
    }
    feeds.iter().flat_map(|feed| feed.cautions).for_each(|rule| inputs.caution(*rule));
    let store = Store::known(&mut inputs)?;
    let yields = sieved(&mix, &keeps, &store, recorder);
    checked_volume(yields.castings.high())?;
    let (m, f) = (mix.fresh, keeps.dry(recorder));
    let concentrated = |x| recorder.figure(Concentrated { x, f });
    Ok(FromFeed {
        feeds: mix.feeds,
        fed: m,
        fed_dry_matter: mix.dry,
        fed_moisture: recorder.figure(Moisture { D: mix.dry, m }),
        organic_matter_loss: keeps.loss,
        yields,
        of_fresh_feed: store.over_fresh(yields.dry_matter, m, recorder),
        of_dry_feed: f,
        nitrogen: mix.nitrogen.map(|n| recorder.figure(NitrogenKept { n, r: keeps.nitrogen, f })),
        phosphorus: mix.phosphorus.map(concentrated),
        potassium: mix.potassium.map(concentrated),
        ash: concentrated(mix.ash),
        carbon_to_nitrogen: keeps.carbon_to_nitrogen(mix.nitrogen, &mut inputs),
        cautions: inputs.cautions,
        assumed: inputs.assumed,
    })
}

fn sieved(mix: &Mix, keeps: &Keeps, store: &Store, recorder: impl Recorder) -> Yield {
    let (p, rho_d) = (store.sieve, store.castings.dry_bulk_density);
    let C = recorder.figure(DryCastings { D: mix.dry, x: keeps.ash, lambda: keeps.loss });
    let (passes, held_back) = (recorder.figure(SievedDry { C, p }), recorder.figure(HeldBack { C, p, rho_d }));
    store.takes(SievedParts { dry_matter: C, passes, held_back }, recorder)
}

/// Feeds together, weighted by dry matter.
struct Mix {
    feeds: Vec<FedMass>,
    fresh: Estimate<OfMass>,
    dry: Estimate<OfMass>,
    ash: Estimate<OfShare>,
    nitrogen: Option<Estimate<OfShare>>,
    phosphorus: Option<Estimate<OfShare>>,
    potassium: Option<Estimate<OfShare>>,
}

impl Mix {
    fn of(feeds: &[Fed], recorder: impl Recorder) -> Result<Self, Refusal> {
        if feeds.is_empty() {
            return Err(Refusal::new(
                Reason::MissingField,
                "add at least one feed with its mass, for example {\"mass\": \"40 kg\"}",
            )
            .at("fed"));
        }
        for feed in feeds {
            within("an amount of feed", feed.fresh.kilograms(), Dimension::Mass)?;
            let likely = |share: Option<Estimate<OfShare>>| share.map(Estimate::likely);
            check_analysis(feed.moisture.likely(), feed.ash.likely(), likely(feed.nitrogen))?;
            let of_ash = parts_of_ash(feed.ash.likely(), (likely(feed.phosphorus), likely(feed.potassium)));
            of_ash.map_err(|e| e.at("phosphorus"))?;
        }
        let masses = |feed: &Fed| {
            let (m, w) = (feed.fresh, feed.moisture);
            FedMass { mass: m, dry_matter: recorder.figure(DryMatter { m, w }) }
        };
        let masses: Vec<FedMass> = feeds.iter().map(masses).collect();
        let D: Vec<_> = masses.iter().map(|feed| feed.dry_matter).collect();
        // Nitrogen or another part of the dry matter: the mean is made in the same way.
        let mean = |part: fn(&Fed) -> Option<Estimate<OfShare>>| {
            let n = feeds.iter().map(part).collect::<Option<_>>()?;
            Some(recorder.figure(MixNitrogen { D: D.clone(), n }))
        };
        Ok(Self {
            fresh: recorder.figure(TotalMass { u: masses.iter().map(|feed| feed.mass).collect() }),
            dry: recorder.figure(TotalMass { u: D.clone() }),
            ash: mean(|feed| Some(feed.ash)).unwrap_or_else(|| Share::from_fraction(0.0).into()),
            nitrogen: mean(|feed| feed.nitrogen),
            phosphorus: mean(|feed| feed.phosphorus),
            potassium: mean(|feed| feed.potassium),
            feeds: masses,
        })
    }
}

/// Refuses an analysis of feed that cannot be.
pub(super) fn check_analysis(moisture: Share, ash: Share, nitrogen: Option<Share>) -> Result<(), Refusal> {
    let check = |what: &str, share: Share, (min, max): (f64, f64)| {
        if share.fraction() >= min && share.fraction() <= max {
            return Ok(());
        }
        Err(outside(what, (min * 100.0, max * 100.0), "%"))
    };
    check("the moisture of feed", moisture, (0.0, WETTEST)).map_err(|e| e.at("moisture"))?;
    check("the ash of feed", ash, (0.0, MAX_ASH)).map_err(|e| e.at("ash"))?;
    let Some(n) = nitrogen else { return Ok(()) };
    check("the nitrogen of feed", n, (MIN_SHARE, MAX_NUTRIENT)).map_err(|e| e.at("nitrogen"))?;
    sums_up(ash, n).map_err(|e| e.at("nitrogen"))
}

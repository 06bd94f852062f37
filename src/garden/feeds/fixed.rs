//! A mix of given amounts, as a bed is fed it: what it is made of, without any choice, water or dates.

use super::line::{Line, Prepared};
use super::notes::Notes;
use super::sum::{Mix, share_of_dry, sizes_differ};
use super::{Amount, Family, Ingredient, Load, MAX_INGREDIENTS, Material, Size, Treatment};
use crate::garden::assumptions::{Assumed, Assumption, Known, MIN_AIR};
use crate::garden::cautions::Rule;
use crate::garden::figures::{Off, Recorder};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfRatio, OfShare};
use crate::garden::units::{Estimate, Mass, Measured, ROUNDING_TOLERANCE, Volume};

/// A mix of given amounts.
#[derive(Debug, Clone, PartialEq)]
pub struct FixedMix {
    /// The materials, in the order given.
    pub parts: Vec<Prepared>,
    /// The mix.
    pub mix: Mix,
    /// Ash in its dry matter.
    pub ash: Estimate<OfShare>,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed, without the packing.
    pub assumed: Vec<Assumed>,
    /// The packing, where pieces of different size are mixed: only the bulk density depends on it.
    pub packing: Option<Assumed>,
}

impl FixedMix {
    /// Answers "what is this feed made of?": dry matter, ash, nitrogen and carbon are sums over the materials, the volume is less than
    /// the sum of theirs where pieces of different size are mixed.
    ///
    /// # Errors
    /// `missing_field` without materials; `too_large` above [`MAX_INGREDIENTS`] or past the largest volume; `out_of_range` at `amount`;
    /// `impossible_value` if the mix is denser than its pores allow.
    pub fn of(ingredients: &[Ingredient], known: Known<'_>, recorder: impl Recorder) -> Result<Self, Refusal> {
        if ingredients.is_empty() || ingredients.len() > MAX_INGREDIENTS {
            let detail = format!("a feed is mixed of 1 to {MAX_INGREDIENTS} materials");
            let reason = if ingredients.is_empty() { Reason::MissingField } else { Reason::TooLarge };
            return Err(Refusal::new(reason, detail));
        }
        let mut notes = Notes { known, recorder, assumed: Vec::new(), cautions: Vec::new() };
        // Nothing is soaked here.
        let (soaked, _) = known.estimate(Assumption::SoakMoisture);
        let lines = ingredients.iter().map(|i| Line::new(i, soaked, &mut notes)).collect::<Result<Vec<_>, _>>()?;
        let parts: Vec<Prepared> = lines.iter().map(|line| line.prepare(0.0, &[], recorder)).collect();
        let nothing = recorder.by_rule("no water is added", &[], Volume::from_litres(0.0).into());
        let packed = sizes_differ(&parts).then(|| known.figure(Assumption::Packing, recorder));
        let mix = Mix::of(&parts, nothing, packed.map(|(f, _)| f), recorder)?;
        let packing = packed.and_then(|(_, assumed)| assumed);
        let ash = share_of_dry(&parts, |p| p.material.ash(), recorder);
        let cautions = cautions(ingredients, &mix, &mut notes);
        notes.assumed.sort_by_key(|a| a.assumption);
        notes.assumed.dedup();
        Ok(Self { parts, mix, ash, cautions, assumed: notes.assumed, packing })
    }

    /// What to mind with a material that is fed alone, and what was assumed for that.
    #[must_use]
    pub fn alone(material: Material, (family, size): (Family, Size), known: Known<'_>) -> (Vec<Rule>, Vec<Assumed>) {
        let amount = Amount::Fixed(Load::Mass(Mass::from_kilograms(1.0).into()));
        let (name, treatment) = (String::new(), Treatment::AsItIs);
        let only = Ingredient { name, asked: 0, material, family, size, amount, treatment, shred: false };
        let found = Self::of(&[only], known, Off).map(|mix| (mix.cautions, mix.assumed));
        found.unwrap_or_else(|_| (family.cautions().to_vec(), Vec::new()))
    }
}

fn cautions<R: Recorder>(ingredients: &[Ingredient], mix: &Mix, notes: &mut Notes<'_, R>) -> Vec<Rule> {
    let mut cautions: Vec<Rule> = ingredients.iter().flat_map(|i| i.family.cautions()).copied().collect();
    cautions.extend(of_mix(mix, notes));
    cautions.sort_unstable();
    cautions.dedup();
    cautions
}

/// What to mind with the air of any mix, and with its carbon to nitrogen.
pub(super) fn of_mix<R: Recorder>(mix: &Mix, notes: &mut Notes<'_, R>) -> impl Iterator<Item = Rule> + use<R> {
    let usual: Estimate<OfRatio> = notes.take(Assumption::MixCarbonToNitrogen);
    let reported = [
        (mix.air_space.fraction() < MIN_AIR * (1.0 - ROUNDING_TOLERANCE), Rule::FeedTooWet),
        (is_outside(mix.carbon_to_nitrogen, usual), Rule::MixRatio),
    ];
    reported.into_iter().filter(|(is, _)| *is).map(|(_, rule)| rule)
}

/// Whether the likely value lies outside the range of what is usual.
pub(super) fn is_outside<D: Measured>(value: Estimate<D>, usual: Estimate<D>) -> bool {
    let value = value.likely().base();
    value < usual.low().base() * (1.0 - ROUNDING_TOLERANCE) || value > usual.high().base() * (1.0 + ROUNDING_TOLERANCE)
}

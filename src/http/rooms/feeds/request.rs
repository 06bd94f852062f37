//! The request, and reading it.

use crate::garden::areas::Ground;
use crate::garden::assumptions::{Overrides, Span};
use crate::garden::dates::date;
use crate::garden::feeds::{
    Amount, Carbon, Family, FeedPlan, Feedstock, Goals, HotStage, Ingredient, Load, Material, Order, Rehydration, Soak,
    Starter, Treatment, materials, plan,
};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfShare};
use crate::garden::units::{Dimension, Duration, Estimate, Mass, Ratio, Volume};
use crate::http::input::Crossing;
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::bounded::{CarbonRatio, CoolingDays, HotDays, ShortText, SoakDays, echoed};
use crate::http::input::ground::GroundInput;
use crate::http::input::list::List;
use crate::http::input::measures::MeasureList;
use crate::http::input::quantity::{DensityInput, Due, DurationInput, ShareInput, VolumeInput, VolumeOrMassInput};
use crate::http::limits::MAX_MATERIALS;
use crate::http::rooms::Units;
use crate::http::wire::{Place, nearest};
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Materials and goals.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FeedsRequest {
    /// Echoed.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Echoed.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// Units of the answer; `metric` unless given.
    pub units: Option<Units>,
    /// The caller's measures.
    #[validate(nested)]
    #[schema(inline)]
    pub measures: Option<MeasureList>,
    /// What is known better than the defaults.
    pub assumptions: Option<AssumptionsInput>,
    /// The materials. At least one amount is fixed, or a range that begins above nothing.
    #[validate(nested)]
    #[schema(inline)]
    pub materials: Materials,
    /// What the mix is to be like.
    #[validate(nested)]
    pub goals: Option<GoalsRequest>,
    /// How soaked materials are soaked; four days without starter unless given.
    #[validate(nested)]
    pub soak: Option<SoakRequest>,
    /// A hot stage before the worms.
    #[validate(nested)]
    pub hot_stage: Option<HotStageRequest>,
    /// The ground of the worm bed, for layers.
    #[validate(nested)]
    pub ground: Option<GroundInput>,
    /// The first day of work, for dates.
    #[schema(format = Date)]
    pub start_on: Option<String>,
    /// True adds how each figure came about.
    pub explain: Option<bool>,
}

/// The materials.
pub type Materials = List<MaterialRequest, 1, { MAX_MATERIALS }>;

/// A material: of the table, or by what it is made of.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MaterialRequest {
    /// Unique in the list, echoed.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Echoed.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// A material of `GET /v1/materials`, for all values that are not given. Without it, moisture, nitrogen and one of carbon,
    /// ash and carbon_to_nitrogen are needed.
    #[schema(example = "leaves_shredded", min_length = 1)]
    pub material: Option<String>,
    /// How much, by mass or volume, before any water. Either this, or `at_most` with or without `at_least`.
    pub amount: Option<VolumeOrMassInput>,
    /// The least the service may choose; nothing unless given.
    pub at_least: Option<VolumeOrMassInput>,
    /// The most the service may choose.
    pub at_most: Option<VolumeOrMassInput>,
    /// Water over the whole (wet basis).
    pub moisture: Option<ShareInput>,
    /// N over dry matter.
    pub nitrogen: Option<ShareInput>,
    /// C over dry matter.
    pub carbon: Option<ShareInput>,
    /// Ash over dry matter: carbon is (1 - ash)/1.8.
    pub ash: Option<ShareInput>,
    /// Carbon over nitrogen, by mass.
    #[validate(nested)]
    pub carbon_to_nitrogen: Option<CarbonRatio>,
    /// Mass over volume as it lies at its moisture.
    pub bulk_density: Option<DensityInput>,
    /// True if it is soaked with the others.
    pub soak: Option<bool>,
    /// Stirs it into its own water before mixing, as dry manure; empty for 2 L to the kilogram for four hours.
    #[validate(nested)]
    pub rehydrate: Option<RehydrateRequest>,
    /// True if it is shredded; leaves, straw, wood and paper are unless this says otherwise.
    pub shred: Option<bool>,
}

/// What the mix is to be like.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GoalsRequest {
    /// Carbon over nitrogen; met first.
    #[validate(nested)]
    pub carbon_to_nitrogen: Option<RatioGoal>,
    /// Water over the whole; met next.
    pub moisture: Option<ShareInput>,
}

/// A ratio to be met: between low and high.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RatioGoal {
    /// The lowest that will do.
    #[validate(nested)]
    pub low: CarbonRatio,
    /// The highest that will do; the lowest unless given.
    #[validate(nested)]
    pub high: Option<CarbonRatio>,
}

/// How soaked materials are soaked.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SoakRequest {
    /// How many days; three to five are usual.
    #[validate(nested)]
    pub days: Option<SoakDays>,
    /// Liquid starter for the water: `"40 mL/L"` is 200 mL in 5 L.
    pub starter: Option<ShareInput>,
}

/// A hot stage before the worms.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HotStageRequest {
    /// Days hot.
    #[validate(nested)]
    pub days: HotDays,
    /// Days until it is below 30 C.
    #[validate(nested)]
    pub cooling_days: Option<CoolingDays>,
}

/// Dry manure in water.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RehydrateRequest {
    /// Water for each kilogram; 2 L unless given.
    pub water_per_kilogram: Option<VolumeInput>,
    /// How long it stands; four hours unless given.
    pub stands: Option<DurationInput>,
}

type Composition = (Estimate<OfShare>, Estimate<OfShare>, Carbon, Option<Estimate<OfDensity>>);

/// The parts of a feed that stand in more than one question.
#[derive(Clone, Copy)]
pub(in crate::http::rooms) struct RecipeFields<'a> {
    pub materials: &'a Materials,
    pub goals: Option<&'a GoalsRequest>,
    pub soak: Option<&'a SoakRequest>,
    pub hot_stage: Option<&'a HotStageRequest>,
}

impl RecipeFields<'_> {
    /// Reads materials, goals, soak and hot stage that stand at a place; without ground and dates.
    pub fn read(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Order> {
        let list = place.field("materials");
        crossing.unique_ids(self.materials.iter().map(|m| m.id.as_deref()), list);
        let read = |(i, m): (usize, &MaterialRequest)| m.read(i, crossing, list.index(i));
        let ingredients: Vec<_> = self.materials.iter().enumerate().map(read).collect();
        let goals = self.goals.map_or(Some(Goals::default()), |g| g.read(crossing, place.field("goals")));
        let soak = match self.soak {
            Some(soak) => soak.read(crossing, place.field("soak")).map(Some),
            None => Some(None),
        };
        let stage =
            |h: &HotStageRequest| HotStage { days: h.days.0, cooling_days: h.cooling_days.map_or(0, |days| days.0) };
        // An empty list has been told already.
        if ingredients.is_empty() {
            return None;
        }
        Some(Order {
            ingredients: ingredients.into_iter().collect::<Option<_>>()?,
            goals: goals?,
            soak: soak?,
            hot_stage: self.hot_stage.map(stage),
            ground: None,
            start_on: None,
        })
    }
}

/// Reads and plans.
pub fn solve(request: &FeedsRequest, crossing: &Crossing<'_>) -> Option<FeedPlan> {
    let root = Place::root();
    let fields = RecipeFields {
        materials: &request.materials,
        goals: request.goals.as_ref(),
        soak: request.soak.as_ref(),
        hot_stage: request.hot_stage.as_ref(),
    };
    let order = fields.read(crossing, root);
    let ground: Option<Option<Ground>> = match &request.ground {
        Some(ground) => crossing.ground(ground, root.field("ground")).map(Some),
        None => Some(None),
    };
    let start_on = match &request.start_on {
        Some(text) => crossing.keep(root.field("start_on"), date(text)).map(Some),
        None => Some(None),
    };
    let order = Order { ground: ground?, start_on: start_on?, ..order? };
    let none = Overrides::default();
    let plan = crossing.with_known(root, &none, |known| plan(&order, known))?;
    crossing.note_used(root, &none, &plan.assumed);
    Some(plan)
}

impl GoalsRequest {
    fn read(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Goals> {
        let ratio = self.carbon_to_nitrogen.as_ref().map(|goal| (goal.low.0, goal.high.unwrap_or(goal.low).0));
        if ratio.is_some_and(|(low, high)| low > high) {
            let detail = "low must not be above high";
            let at = place.field("carbon_to_nitrogen");
            crossing.refuse(at, Refusal::new(Reason::OutOfRange, detail));
            return None;
        }
        let moisture = match &self.moisture {
            Some(input) => crossing.exact_between(&input.0, (0.0, 0.95), place.field("moisture")).map(Some),
            None => Some(None),
        };
        let number = Ratio::from_number;
        Some(Goals { carbon_to_nitrogen: ratio.map(|(low, high)| (number(low), number(high))), moisture: moisture? })
    }
}

impl SoakRequest {
    fn read(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Soak> {
        let starter = match &self.starter {
            Some(input) => {
                let dose = crossing.exact_between::<OfShare>(&input.0, (0.0, 1.0), place.field("starter"))?;
                Some(Starter { dose })
            }
            None => None,
        };
        Some(Soak { days: self.days.map_or(Soak::COMMON.days, |days| days.0), starter })
    }
}

impl RehydrateRequest {
    fn read(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Rehydration> {
        let water: Option<Volume> = match &self.water_per_kilogram {
            Some(input) => {
                let bounds = (0.0, Rehydration::MOST.litres());
                crossing.exact_between(&input.0, bounds, place.field("water_per_kilogram"))
            }
            None => Some(Rehydration::COMMON.water_per_kilogram),
        };
        let stands: Option<Duration> = match &self.stands {
            Some(input) => crossing.exact_between(&input.0, (0.0, 72.0), place.field("stands")),
            None => Some(Rehydration::COMMON.stands),
        };
        Some(Rehydration { water_per_kilogram: water?, stands: stands? })
    }
}

impl MaterialRequest {
    fn read(&self, index: usize, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Ingredient> {
        let row = self.row(crossing, place);
        let amount = self.amount(crossing, place);
        let treatment = self.treatment(crossing, place);
        let (moisture, nitrogen, carbon, density) = self.composition(row?, crossing, place)?;
        let material = crossing.keep(place, Material::new((moisture, nitrogen), carbon, density))?;
        let family = row?.map_or(Family::Other, |row| row.family);
        let coarse = matches!(family, Family::Leaves | Family::Straw | Family::Wood | Family::Paper);
        let own = echoed(self.name.as_ref()).or_else(|| row?.map(|row| row.name.to_owned()));
        Some(Ingredient {
            name: own.unwrap_or_else(|| format!("material {}", index + 1)),
            material,
            family,
            amount: amount?,
            treatment: treatment?,
            shred: self.shred.unwrap_or(coarse),
        })
    }

    /// The row of the table; `Some(None)` where none is named.
    fn row(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Option<&'static Feedstock>> {
        let Some(id) = &self.material else { return Some(None) };
        let row = Feedstock::find(id);
        if row.is_none() {
            let known: Vec<&str> = materials::ALL.iter().map(|row| row.id).collect();
            let shown = crate::garden::units::text::clip(id);
            let detail = format!(
                "there is no material \"{shown}\" in the table; GET /v1/materials lists them, or give its values"
            );
            let mut refusal = Refusal::new(Reason::UnknownValue, detail);
            refusal.nearest = nearest(id, &known).map(str::to_owned);
            crossing.refuse(place.field("material"), refusal.allowed(known));
        }
        row.map(Some)
    }

    fn amount(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Amount> {
        let load = |input: &VolumeOrMassInput, least: f64, field| {
            let at = place.field(field);
            let (dimension, span) = crossing.span(&input.0, Due::any(VolumeOrMassInput::DIMENSIONS).from(least), at)?;
            crossing.note_range(span, at);
            Some(match dimension {
                Dimension::Mass => Load::Mass(Mass::from_base(span.likely)),
                _ => Load::Volume(Volume::from_base(span.likely)),
            })
        };
        match (&self.amount, &self.at_least, &self.at_most) {
            (Some(amount), None, None) => load(amount, 1e-6, "amount").map(Amount::Fixed),
            (None, least, Some(most)) => {
                let most = load(most, 0.0, "at_most");
                let least = least.as_ref().map_or(Some(None), |input| load(input, 0.0, "at_least").map(Some));
                let nothing = match most? {
                    Load::Mass(_) => Load::Mass(Mass::from_kilograms(0.0)),
                    Load::Volume(_) => Load::Volume(Volume::from_litres(0.0)),
                };
                Some(Amount::Between(least?.unwrap_or(nothing), most?))
            }
            _ => {
                let detail =
                    "say how much: either amount, or at_most (with at_least if you like) to let the service choose";
                let refusal = Refusal::new(Reason::ExactlyOneOf, detail).allowed(["amount", "at_most"]);
                crossing.refuse(place, refusal);
                None
            }
        }
    }

    fn treatment(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Treatment> {
        match (self.soak.unwrap_or(false), &self.rehydrate) {
            (true, Some(_)) => {
                let detail = "a material is soaked with the others or stirred into its own water, not both";
                crossing.refuse(place.field("rehydrate"), Refusal::new(Reason::NotAllowedHere, detail));
                None
            }
            (true, None) => Some(Treatment::Soaked),
            (false, Some(own)) => own.read(crossing, place.field("rehydrate")).map(Treatment::Rehydrated),
            (false, None) => Some(Treatment::AsItIs),
        }
    }

    /// What it is made of: as given, else as the table has it.
    fn composition(&self, row: Option<&Feedstock>, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Composition> {
        let share = |input: Option<&ShareInput>, field| match input {
            Some(input) => crossing.span(&input.0, Due::share(0.0, 1.0), place.field(field)).map(|(_, s)| Some(s)),
            None => Some(None),
        };
        let (moisture, nitrogen) =
            (share(self.moisture.as_ref(), "moisture"), share(self.nitrogen.as_ref(), "nitrogen"));
        let carbon = self.carbon(crossing, place);
        let density = match &self.bulk_density {
            Some(input) => {
                let found = crossing.span(&input.0, Due::any(DensityInput::DIMENSIONS), place.field("bulk_density"));
                found.map(|(_, span)| Some(span.estimate()))
            }
            None => Some(None),
        };
        let given = |span: Option<Span>| span.map(Span::estimate);
        let moisture: Option<Estimate<OfShare>> = given(moisture?).or_else(|| row.map(Feedstock::moisture));
        let nitrogen: Option<Estimate<OfShare>> = given(nitrogen?).or_else(|| row.map(Feedstock::nitrogen));
        let carbon = carbon?.or_else(|| row.map(|row| Carbon::Carbon(row.carbon())));
        for (field, missing) in
            [("moisture", moisture.is_none()), ("nitrogen", nitrogen.is_none()), ("carbon", carbon.is_none())]
        {
            if missing {
                let detail = "a material that is not of the table needs moisture, nitrogen, and one of carbon, ash and carbon_to_nitrogen";
                crossing.refuse(place.field(field), Refusal::new(Reason::MissingField, detail));
            }
        }
        let moisture = moisture?;
        let of_table = |row: &Feedstock| row.material().ok()?.at_moisture(moisture).ok()?.bulk_density();
        Some((moisture, nitrogen?, carbon?, density?.or_else(|| row.and_then(of_table))))
    }

    fn carbon(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Option<Carbon>> {
        let share = |input: &ShareInput, field| {
            let found = crossing.span(&input.0, Due::share(0.0, 1.0), place.field(field));
            found.map(|(_, span)| span.estimate())
        };
        match (&self.carbon, &self.ash, self.carbon_to_nitrogen) {
            (None, None, None) => Some(None),
            (Some(input), None, None) => share(input, "carbon").map(|c| Some(Carbon::Carbon(c))),
            (None, Some(input), None) => share(input, "ash").map(|a| Some(Carbon::Ash(a))),
            (None, None, Some(ratio)) => Some(Some(Carbon::Ratio(Estimate::exactly(Ratio::from_number(ratio.0))))),
            _ => {
                let detail = "carbon, ash and carbon_to_nitrogen are three ways to say the same; give one";
                let words = ["carbon", "ash", "carbon_to_nitrogen"];
                crossing.refuse(place, Refusal::new(Reason::ExactlyOneOf, detail).allowed(words));
                None
            }
        }
    }
}

//! Reading the request.

use super::laid::{Laying, Setting};
use super::request::{
    FeedsRequest, GoalsRequest, HotCompostingRequest, MaterialRequest, Materials, RatioGoal, RehydrateRequest,
    SoakRequest,
};
use crate::garden::assumptions::Overrides;
use crate::garden::feeds::{
    Amount, Carbon, FeedPlan, Goals, HEAP, HotComposting, Ingredient, KnownMaterial, Load, MAX_AIR, Order, Rehydration,
    Soak, Treatment, plan,
};
use crate::garden::figures::{Recorder, Source};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfShare;
use crate::garden::units::{Estimate, Mass, Ratio, Share};
use crate::http::input::bounded::{CarbonRatio, CoolingDays, echoed};
use crate::http::input::quantity::{DensityInput, Due, ShareInput, VolumeOrMassInput};
use crate::http::input::{RequestContext, optionally};
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;

/// The parts of a feed that more than one question has.
#[derive(Clone, Copy)]
pub(in crate::http::resources) struct RecipeFields<'a> {
    pub materials: &'a Materials,
    pub goals: Option<&'a GoalsRequest>,
    pub soak: Option<&'a SoakRequest>,
    pub hot_composting: Option<&'a HotCompostingRequest>,
}

impl RecipeFields<'_> {
    /// Reads materials, goals, soak and hot composting at a place; without ground and dates.
    pub fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Order> {
        let list = place.field("materials");
        context.unique_ids(self.materials.iter().map(|m| m.id.as_deref()), list);
        let read = |(i, m): (usize, &MaterialRequest)| m.read(i, context, list.index(i));
        let ingredients: Vec<_> = self.materials.iter().enumerate().map(read).collect();
        let goals = self.goals.map_or(Some(Goals::default()), |g| g.read(context, place.field("goals")));
        let soak = SoakRequest::read(self.soak, context, place);
        let hot = optionally(self.hot_composting, |hot| hot.read(context, place.field("hot_composting")));
        // An empty list has been reported already.
        if ingredients.is_empty() {
            return None;
        }
        Some(Order {
            ingredients: ingredients.into_iter().collect::<Option<_>>()?,
            goals: goals?,
            soak: Some(soak?),
            hot_composting: hot?,
            ground: None,
            start_on: None,
        })
    }
}

/// Reads and plans.
pub fn solve(request: &FeedsRequest, context: &RequestContext<'_>) -> Option<(FeedPlan, Laying)> {
    let root = JsonPath::root();
    let fields = RecipeFields {
        materials: &request.materials,
        goals: request.goals.as_ref(),
        soak: request.soak.as_ref(),
        hot_composting: request.hot_composting.as_ref(),
    };
    let order = fields.read(context, root);
    let priced = request.materials.iter().enumerate().filter(|(_, material)| material.price.is_some());
    for (i, _) in priced {
        context.may_be_idle(root.field("materials").index(i).field("price"));
    }
    let ground = optionally(request.ground.as_ref(), |ground| context.ground(ground, root.field("ground")));
    let start_on = context.day(request.start_on.as_deref(), root.field("start_on"));
    let setting = Setting::read(request, context);
    let order = Order { ground: ground?, start_on: start_on?, ..order? };
    let none = Overrides::default();
    let plan = context.with_known(root, &none, |known| plan(&order, known, context.book()))?;
    let laying = setting?.lay(&plan, context)?;
    let used: Vec<_> = plan.assumed.iter().chain(&laying.assumed).copied().collect();
    context.note_used(root, &none, &used);
    Some((plan, laying))
}

impl GoalsRequest {
    fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Goals> {
        let at = place.field("carbon_to_nitrogen");
        let ratio = self.carbon_to_nitrogen.as_ref().map(|goal| (goal.low.0, goal.high.unwrap_or(goal.low).0));
        if ratio.is_some_and(|(low, high)| low > high) {
            context.refuse(at, Refusal::new(Reason::OutOfRange, "low must not be above high"));
            return None;
        }
        let moisture = optionally(self.moisture.as_ref(), |input| {
            context.figure_between(Role::Share, (&input.0, (0.0, 0.95)), place.field("moisture"))
        });
        let air_space = optionally(self.air_space.as_ref(), |input| {
            context.figure_between(Role::Share, (&input.0, (0.0, MAX_AIR)), place.field("air_space"))
        });
        // A number outside its bounds has been reported already, here and below.
        let is_within = |goal: &RatioGoal| goal.low.is_within() && goal.high.is_none_or(CarbonRatio::is_within);
        if !self.carbon_to_nitrogen.as_ref().is_none_or(is_within) {
            return None;
        }
        let number = |it: f64| context.asked(Role::Ratio, Ratio::from_number(it), at);
        let carbon_to_nitrogen = ratio.map(|(low, high)| (number(low), number(high)));
        Some(Goals { carbon_to_nitrogen, moisture: moisture?, air_space: air_space? })
    }
}

impl SoakRequest {
    /// Reads the soak at a place; the usual one where none is given.
    fn read(soak: Option<&Self>, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Soak> {
        let starter = soak.and_then(|soak| soak.starter.as_ref());
        let dose = optionally(starter, |input| {
            let at = place.field("soak");
            context.figure_between(Role::Share, (&input.0, (0.0, 1.0)), at.field("starter"))
        });
        let none = || context.asked(Role::Share, Share::from_fraction(0.0), place);
        let days = soak.and_then(|soak| soak.days);
        let days = days.map_or(Some(Soak::COMMON.days), |days| days.is_within().then_some(days.0))?;
        Some(Soak { days, starter: dose?.unwrap_or_else(none) })
    }
}

impl HotCompostingRequest {
    fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<HotComposting> {
        let temperature = optionally(self.temperature.as_ref(), |input| {
            context.figure_between(Role::Ratio, (&input.0, HEAP), place.field("temperature"))
        });
        let asked = context.recording.map_or(0, |it| it.number(Role::Days, place.to_pointer()));
        let cooling_days = self.cooling_days.map(|days| days.0);
        let counts = self.days.is_within() && self.cooling_days.is_none_or(CoolingDays::is_within);
        let temperature = temperature.filter(|_| counts)?;
        Some(HotComposting { days: self.days.0, temperature, cooling_days, asked })
    }
}

impl RehydrateRequest {
    fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Rehydration> {
        let usual = Rehydration::COMMON;
        let water = optionally(self.water_per_kilogram.as_ref(), |input| {
            let read = (&input.0, (0.0, Rehydration::MAX.litres()));
            context.figure_between(Role::Water, read, place.field("water_per_kilogram"))
        });
        let soaking_time = optionally(self.soaking_time.as_ref(), |input| {
            context.exact_between(&input.0, (0.0, Rehydration::LONGEST), place.field("soaking_time"))
        });
        let common = || context.book().source(Source::Constant("COMMON"), usual.water_per_kilogram);
        let (water, soaking_time) = (water?, soaking_time?);
        Some(Rehydration {
            water_per_kilogram: water.unwrap_or_else(common),
            soaking_time: soaking_time.unwrap_or(usual.soaking_time),
        })
    }
}

impl MaterialRequest {
    fn read(&self, index: usize, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Ingredient> {
        let row = optionally(self.material.as_deref(), |id| context.feedstock(id, place));
        let amount = self.amount(context, place).filter(|amount| context.keep(place, amount.check()).is_some());
        let treatment = self.treatment(context, place);
        let asked = context.recording.map_or(0, |it| it.number(Role::Water, place.to_pointer()));
        let given = self.given(context, place);
        let given = KnownMaterial { asked, row: row?, ..given? };
        let material = context.material(&given, place)?;
        let own = echoed(self.name.as_ref()).or_else(|| given.row.map(|row| row.name.to_owned()));
        Some(Ingredient {
            name: own.unwrap_or_else(|| format!("material {}", index + 1)),
            asked,
            material,
            family: given.family(),
            size: self.size.map_or_else(|| given.size(), Into::into),
            amount: amount?,
            treatment: treatment?,
            shred: self.shred.unwrap_or_else(|| given.is_usually_shredded()),
        })
    }

    fn amount(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Amount> {
        let load = |input: &VolumeOrMassInput, least, field| context.load(input, Some(least), place.field(field));
        let amount = self.amount.as_ref().map(|amount| load(amount, 1e-6, "amount").map(Amount::Fixed));
        let most = optionally(self.at_most.as_ref(), |input| load(input, 0.0, "at_most"));
        let least = optionally(self.at_least.as_ref(), |input| load(input, 0.0, "at_least"));
        let has_bounds = self.at_least.is_some() || self.at_most.is_some();
        if amount.is_none() && !has_bounds {
            let nothing = context.asked(Role::Mass, Mass::from_kilograms(0.0), place);
            return Some(Amount::AtLeast(Load::Mass(nothing)));
        }
        let between = has_bounds.then(|| {
            Some(match (least?, most?) {
                (least, Some(most)) => Amount::Between(least.unwrap_or(most.nothing()), most),
                (Some(least), None) => Amount::AtLeast(least),
                (None, None) => return None,
            })
        });
        let detail = "say how much in one way: amount, or at_least and at_most to let the service choose between them";
        context.only_way([amount, between], (place, detail), &["amount", "at_least and at_most"])
    }

    fn treatment(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Treatment> {
        match (self.soak.unwrap_or(false), &self.rehydrate) {
            (true, Some(_)) => {
                let detail = "a material is soaked with the others or stirred into its own water, not both";
                context.refuse(place.field("rehydrate"), Refusal::new(Reason::NotAllowedHere, detail));
                None
            }
            (true, None) => Some(Treatment::Soaked),
            (false, Some(own)) => own.read(context, place.field("rehydrate")).map(Treatment::Rehydrated),
            (false, None) => Some(Treatment::AsItIs),
        }
    }

    /// What is given of it, but for the row of the table.
    fn given(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<KnownMaterial> {
        let share =
            |input: Option<&ShareInput>, field| optionally(input, |it| read_share(it, context, place.field(field)));
        let (moisture, nitrogen) =
            (share(self.moisture.as_ref(), "moisture"), share(self.nitrogen.as_ref(), "nitrogen"));
        let carbon = self.carbon(context, place);
        let bulk_density = optionally(self.bulk_density.as_ref(), |input| {
            let due = Due::any(DensityInput::DIMENSIONS);
            context.range(Role::Density, (&input.0, due), place.field("bulk_density"))
        });
        let (moisture, nitrogen, carbon, bulk_density) = (moisture?, nitrogen?, carbon?, bulk_density?);
        Some(KnownMaterial { moisture, nitrogen, carbon, bulk_density, ..KnownMaterial::default() })
    }

    fn carbon(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<Carbon>> {
        let share =
            |input: Option<&ShareInput>, field| input.map(|input| read_share(input, context, place.field(field)));
        let (carbon, ash) = (share(self.carbon.as_ref(), "carbon"), share(self.ash.as_ref(), "ash"));
        let content = match (carbon, ash) {
            (None, None) => None,
            (Some(carbon), None) => Some(carbon.map(Carbon::Carbon)),
            (None, Some(ash)) => Some(ash.map(Carbon::Ash)),
            (Some(carbon), Some(ash)) => Some(carbon.zip(ash).map(|(carbon, ash)| Carbon::Both(carbon, ash))),
        };
        // A ratio outside its bounds has been reported already.
        let ratio = self.carbon_to_nitrogen.map(|ratio| {
            let at = place.field("carbon_to_nitrogen");
            ratio.is_within().then(|| Carbon::Ratio(context.asked(Role::Ratio, Ratio::from_number(ratio.0), at)))
        });
        if content.is_none() && ratio.is_none() {
            return Some(None);
        }
        let detail = "the ratio of carbon to nitrogen already says how much carbon there is: give it alone, or carbon, ash or both";
        let fields = ["carbon", "ash", "carbon and ash", "carbon_to_nitrogen"];
        context.only_way([content, ratio], (place, detail), &fields).map(Some)
    }
}

/// A share of a material, with its range.
fn read_share(input: &ShareInput, context: &RequestContext<'_>, at: JsonPath<'_>) -> Option<Estimate<OfShare>> {
    // An example that any of them may be, nitrogen too.
    let due = Due { example: Some("20 %"), ..Due::share(0.0, 1.0) };
    context.range(Role::Share, (&input.0, due), at)
}

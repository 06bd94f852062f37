//! Reads the means of additional production, and plans with them.

use super::AdditionalProductionRequest;
use crate::garden::assumptions::{Assumed, Assumption, Known, Overrides};
use crate::garden::balances::additional_production::{Batch, Offer, ProductionPlans, Recipe, Setting, Shortfall};
use crate::garden::balances::options::ProductionPrices;
use crate::garden::beds::Climate;
use crate::garden::cautions::Rule;
use crate::garden::feeds::{Family, FeedPlan, Ingredient, Load, OutOfReach, plan};
use crate::garden::figures::Off;
use crate::garden::refusal::Refusal;
use crate::garden::work::Work;
use crate::http::input::bounded::echoed;
use crate::http::input::{RequestContext, optionally};
use crate::http::present::words::digits;
use crate::http::resources::feeds::{MaterialRequest, RecipeFields};
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

/// What there is to produce with, read.
#[derive(Debug)]
pub(in crate::http::resources) struct ProductionRead {
    feed: FeedPlan,
    of_bed: Vec<Assumed>,
    climate: Option<Climate>,
    offer: Offer,
    given: Vec<Option<Load>>,
    overrides: Overrides,
    clean: bool,
    prices: ProductionPrices,
    currency: Option<String>,
}

/// What is to be produced, with what it is called.
#[derive(Debug)]
pub(in crate::http::resources) struct PlannedProduction {
    /// What the core found.
    pub found: ProductionPlans,
    /// The feed as it was given.
    pub feed: FeedPlan,
    /// What was assumed of the bed.
    pub of_bed: Vec<Assumed>,
    /// The feed for each amount of dry matter.
    pub recipe: Recipe,
    /// What each material is called.
    pub names: Vec<(Option<String>, Option<String>)>,
    /// How much of each material the request gives at the most, where it does.
    pub given: Vec<Option<Load>>,
    /// True if none of the materials is or may be manure.
    pub clean: bool,
    /// The currency of the prices.
    pub currency: Option<String>,
    /// Its own temperatures; those of the season where there are none.
    pub climate: Option<Climate>,
    prices: ProductionPrices,
}

impl PlannedProduction {
    /// What a batch costs; `None` where nothing has a price.
    pub fn cost(&self, batch: &Batch) -> Option<f64> {
        let times = self.recipe.times(batch.feed);
        let of_each = self.feed.ingredients.iter();
        let of_each = of_each.map(|of| (of.mass.likely().times(times), of.volume.likely().times(times)));
        self.prices.cost(batch.worms, of_each)
    }

    /// What its mix is not as it was to be, as an end of a sentence: `; its mix has a moisture of 77 % in place of 60 %`.
    #[must_use]
    pub fn misses(&self) -> Option<String> {
        let missed: Vec<String> = self.feed.out_of_reach.iter().map(OutOfReach::in_short).collect();
        if !missed.is_empty() {
            return Some(format!("; its mix has {}", missed.join(" and ")));
        }
        let is_unusual = self.feed.cautions.contains(&Rule::MixMoisture);
        let moisture = self.feed.mix.moisture.likely().fraction() * 100.0;
        is_unusual.then(|| format!("; at {} % its mix is outside the moisture that worms need", digits(moisture)))
    }
}

impl AdditionalProductionRequest {
    /// Reads it.
    pub(in crate::http::resources) fn read(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        sack_currency: Option<&str>,
    ) -> Option<ProductionRead> {
        let overrides = context.overrides(self.assumptions.as_ref(), place.field("assumptions"));
        let fields = RecipeFields {
            materials: &self.materials,
            goals: self.goals.as_ref(),
            soak: self.soak.as_ref(),
            hot_composting: self.hot_composting.as_ref(),
        };
        let order = fields.read(context, place);
        let prices = self.prices(context, place, sack_currency);
        let climate = match &self.climate {
            Some(climate) => context.climate(climate, place.field("climate")).map(Some),
            None => Some(None),
        };
        let at = place.field("ground");
        let area = match &self.ground {
            Some(ground) => {
                context.ground(ground, at).and_then(|g| context.keep(at, g.area(Off))).map(|area| Some(area.likely()))
            }
            None => Some(None),
        };
        let worms = context.optional(self.worms.as_ref().map(|it| &it.0), place.field("worms"));
        let materials_from = context.day(self.materials_from.as_deref(), place.field("materials_from"));
        let bed_from = context.day(self.bed_from.as_deref(), place.field("bed_from"));
        let order = order?;
        let feed = context.with_known(place, &overrides, |known| {
            plan(&order, known, Off).map_err(|refusal| self.without_amounts(refusal))
        })?;
        let known = Known { request: &context.overrides, item: &overrides };
        let of_bed = Offer::assumed_of_bed(known, (self.worms.is_some(), feed.heats))
            .map_err(|e| refuse(context, place, e))
            .ok()?;
        let (climate, area, worms) = (climate?, area?, worms?);
        let (materials_from, bed_from) = (materials_from?, bed_from?);
        let manure = |i: &Ingredient| matches!(i.family, Family::Manure | Family::PoultryManure | Family::Other);
        let clean = !order.ingredients.iter().any(manure);
        let given = order.ingredients.iter().map(|of| of.amount.most()).collect();
        let layers = self.layers.map(|layers| layers.0);
        let offer = Offer { recipe: Recipe::of(&feed), area, worms, layers, materials_from, bed_from };
        let (prices, currency) = prices?;
        Some(ProductionRead { feed, of_bed, climate, offer, given, overrides, clean, prices, currency })
    }

    /// The refusal of a mix without any amount, in the words of what amounts mean here.
    fn without_amounts(&self, refusal: Refusal) -> Refusal {
        let has_amount = |m: &MaterialRequest| m.amount.is_some() || m.at_least.is_some();
        if refusal.field != Some("materials") || self.materials.iter().any(has_amount) {
            return refusal;
        }
        let detail = "no material has an amount; here amounts only say in which proportion materials are mixed, so give one to at least \
                      one of them, as in \"amount\": \"100 kg\"";
        Refusal { detail: detail.to_owned(), ..refusal }
    }

    /// What worms and materials cost, and the currency of all prices.
    fn prices(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        sack_currency: Option<&str>,
    ) -> Option<(ProductionPrices, Option<String>)> {
        let (list, at) = (place.field("materials"), place.field("worms_price"));
        if self.worms.is_some() && self.worms_price.is_some() {
            context.may_be_idle(at);
        }
        let worms = optionally(self.worms_price.as_ref(), |price| price.by_mass(context, at));
        let read = |(i, material): (usize, &MaterialRequest)| {
            optionally(material.price.as_ref(), |price| price.read(context, list.index(i).field("price")))
        };
        let materials: Vec<_> = self.materials.iter().enumerate().map(read).collect();
        let mut currency = sack_currency;
        let mut agrees = true;
        for (i, price) in self.materials.iter().enumerate().filter_map(|(i, of)| Some((i, of.price.as_ref()?))) {
            agrees &= price.in_currency(&mut currency, context, list.index(i).field("price"));
        }
        if let Some(price) = &self.worms_price {
            agrees &= price.in_currency(&mut currency, context, at);
        }
        let worms = worms?.filter(|_| self.worms.is_none());
        let prices = ProductionPrices { worms, materials: materials.into_iter().collect::<Option<_>>()? };
        agrees.then(|| (prices, currency.map(str::to_owned)))
    }

    /// What each material is called.
    fn names(&self) -> Vec<(Option<String>, Option<String>)> {
        let name = |m: &MaterialRequest| echoed(m.name.as_ref()).or_else(|| m.material.clone());
        self.materials.iter().map(|m| (echoed(m.id.as_ref()), name(m))).collect()
    }
}

impl ProductionRead {
    /// Whether what it gives counts as raw manure.
    pub(in crate::http::resources) const fn is_untreated(&self) -> bool {
        !self.clean
    }

    /// Plans for what is short. `climate` is used where the production has none of its own.
    pub(in crate::http::resources) fn run(
        self,
        (request, context): (&AdditionalProductionRequest, &RequestContext<'_>),
        (shortfalls, as_of): (&[Shortfall], Option<NaiveDate>),
        (climate, runs, most_steps): (Option<&Climate>, (u32, u64), u64),
    ) -> Option<PlannedProduction> {
        let root = JsonPath::root();
        let place = root.field("additional_production");
        let known = Known { request: &context.overrides, item: &self.overrides };
        let setting = Setting { climate: self.climate.as_ref().or(climate), as_of, known, runs, most_steps };
        let found = self.offer.produce(shortfalls, setting).map_err(|e| refuse(context, place, e)).ok()?;
        context.spend(Work::of_runs(found.steps));
        let years_differ = runs.0 > 0 && setting.climate.is_some_and(Climate::years_differ);
        let weather = known.get(Assumption::YearToYear).filter(|_| years_differ);
        let of_bed: Vec<Assumed> = self.of_bed.iter().copied().chain(weather).collect();
        let used: Vec<Assumed> = self.feed.assumed.iter().chain(&of_bed).copied().collect();
        context.note_used(place, &self.overrides, &used);
        let Self { offer, feed, given, clean, prices, currency, climate: own, .. } = self;
        let names = request.names();
        Some(PlannedProduction {
            found,
            recipe: offer.recipe,
            feed,
            of_bed,
            names,
            given,
            clean,
            prices,
            currency,
            climate: own,
        })
    }
}

/// Tells a refusal of the core at the field that it is about.
fn refuse(context: &RequestContext<'_>, place: JsonPath<'_>, refusal: Refusal) {
    match refusal.field {
        Some("assumptions" | "simulation_runs" | "as_of" | "additional_production") => {
            context.refuse(JsonPath::root(), refusal)
        }
        // How many layers a bed takes depends on its feed: that is no bound of the field itself.
        Some("layers") => context.refuse(place, Refusal { min: None, max: None, ..refusal }),
        _ => context.refuse(place, refusal),
    }
}

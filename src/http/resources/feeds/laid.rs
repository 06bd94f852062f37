//! The layers of a planned feed on its bed.

use super::request::FeedsRequest;
use crate::garden::assumptions::{Assumed, Assumption, Known, Overrides};
use crate::garden::beds::{Climate, Laid, PlannedBed};
use crate::garden::cautions::Rule;
use crate::garden::feeds::{FeedPlan, ThinLayer};
use crate::garden::figures::Recorder;
use crate::garden::formulas::{Depth, DryInFeed, MoistOfDry};
use crate::garden::refusal::Refusal;
use crate::garden::units::quantity::{OfArea, OfMass};
use crate::garden::units::{End, Estimate, Length};
use crate::http::input::{RequestContext, optionally};
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

/// How later layers are found.
const FORECAST: &str =
    "the bed day by day, as a season forecasts it: a layer is laid once enough of the one before is eaten and it fits";

/// How a planned feed is laid.
#[derive(Default)]
pub struct Laying {
    /// How many layers before a harvest.
    pub before_harvest: u32,
    /// Whether that is all of them.
    pub all_fit: bool,
    /// The layers after the first, with their days.
    pub dated: Vec<Laid>,
    /// The worms that these days go by.
    pub worms: Option<Estimate<OfMass>>,
    /// The day on which the worms die, if one comes.
    pub worms_die_on: Option<NaiveDate>,
    /// The fields that are missing for their days.
    pub missing: Vec<&'static str>,
    /// What was assumed for their days.
    pub assumed: Vec<Assumed>,
    /// What to mind.
    pub cautions: Vec<Rule>,
}

impl Laying {
    /// What to do with a last layer that is too thin to spread: the last of all where they fit before a harvest, else the last that has a day.
    pub fn thin_last(&self, plan: &FeedPlan) -> Option<ThinLayer> {
        let layers = plan.layers.as_ref()?;
        if self.all_fit {
            return layers.thin_last();
        }
        let cycle = self.dated.last()?.cycle;
        let of_cycle = self.dated.iter().filter(|laid| laid.cycle == cycle);
        let depths: Vec<Length> = of_cycle.map(|laid| laid.depth.likely()).collect();
        let [earlier @ .., before, last] = depths.as_slice() else { return None };
        layers.thin(*last, (*before, earlier.is_empty()))
    }
}

/// What the days of layers go by.
pub struct Setting {
    climate: Option<Climate>,
    /// The fields without which there are no days.
    missing: Vec<&'static str>,
    worms: Option<Estimate<OfMass>>,
}

impl Setting {
    /// Reads climate and worms; they count with ground and start.
    pub fn read(request: &FeedsRequest, context: &RequestContext<'_>) -> Option<Self> {
        let root = JsonPath::root();
        let climate = optionally(request.climate.as_ref(), |climate| context.climate(climate, root.field("climate")));
        let worms = context.optional(request.worms.as_ref().map(|it| &it.0), root.field("worms"));
        let (climate, worms) = (climate?, worms?);
        let has_days = request.ground.is_some() && request.start_on.is_some();
        for (is_idle, field) in [
            (climate.is_some() && !has_days, "climate"),
            (worms.is_some() && !(has_days && climate.is_some()), "worms"),
        ] {
            if is_idle {
                context.may_be_idle(root.field(field));
            }
        }
        let worms = worms.map(|mass| context.asked(Role::Mass, mass, root.field("worms")));
        let needed = [("climate", climate.is_none()), ("start_on", request.start_on.is_none())];
        let missing = needed.into_iter().filter(|(_, is_missing)| *is_missing).map(|(field, _)| field).collect();
        Some(Self { climate: climate.filter(|_| has_days), missing, worms })
    }

    /// Lays the feed of a plan; nothing where there is no ground.
    pub fn lay(&self, plan: &FeedPlan, context: &RequestContext<'_>) -> Option<Laying> {
        let Some(layers) = &plan.layers else { return Some(Laying::default()) };
        let lay = || -> Result<Laying, Refusal> {
            let bed = PlannedBed::of(plan, (layers.area, self.worms))?;
            let (before_harvest, all_fit) = bed.before_harvest(&context.overrides)?;
            let has_later = before_harvest > 1 || layers.later.number() > 0.0 || layers.last.is_some();
            let missing = if has_later { self.missing.clone() } else { Vec::new() };
            let none = Overrides::default();
            let deepest = Known { request: &context.overrides, item: &none }.get(Assumption::MaxDepth);
            let mut assumed: Vec<Assumed> = deepest.filter(|_| has_later).into_iter().collect();
            let found = Laying { before_harvest, all_fit, missing, ..Laying::default() };
            let Some(climate) = &self.climate else { return Ok(Laying { assumed, ..found }) };
            let forecast = bed.forecast(climate, &context.overrides)?;
            let worms = forecast.worms.first().map(|worms| worms.mass);
            let goes_on = forecast.layers.iter().any(|laid| laid.cycle > 1);
            let dated = forecast.layers.into_iter().skip(1);
            let dated = dated.map(|laid| recorded(laid, (plan, layers.area), context)).collect();
            assumed.extend(forecast.assumed.into_iter().filter(|one| counts_for_days(one.assumption, goes_on)));
            // What comes after this feed is not asked.
            let cautions = forecast.cautions.into_iter().filter(|rule| *rule != Rule::WormsUnfed).collect();
            let worms_die_on = forecast.stopped.map(|stopped| stopped.on);
            Ok(Laying { dated, worms, worms_die_on, assumed, cautions, ..found })
        };
        // How many layers there are follows from the feed and its ground.
        let at_ground = |refusal: Refusal| match refusal.field {
            Some("layers_per_cycle") => refusal.at("ground"),
            _ => refusal,
        };
        lay().map_err(|refusal| context.refuse(JsonPath::root(), at_ground(refusal))).ok()
    }
}

/// Whether an assumption of a forecast counts for the days of layers. What a volume of this feed holds is that of the mix, and how deep it is
/// laid is noted with the plan; the end of a cycle counts where another one follows.
fn counts_for_days(which: Assumption, goes_on: bool) -> bool {
    use Assumption::{Drying, Evaporation, FeedDryDensity, Finishing, FirstLayer, LaterLayer, MaxDepth, Recovered};
    match which {
        FeedDryDensity | FirstLayer | LaterLayer | MaxDepth | Evaporation => false,
        Finishing | Drying | Recovered => goes_on,
        _ => true,
    }
}

/// A layer with how it came: how much of the feed is laid by the rule, and depth and masses from that.
#[expect(non_snake_case, reason = "the symbols of the formulas")]
fn recorded(laid: Laid, (plan, A): (&FeedPlan, Estimate<OfArea>), context: &RequestContext<'_>) -> Laid {
    let recorder = context.book();
    let mix = &plan.mix;
    let feed = plan.hot.map_or(mix.volume, |hot| hot.volume).node();
    let w = plan.hot.map_or(mix.moisture, |hot| hot.moisture).only(End::Likely);
    let V = recorder.by_rule(FORECAST, &[feed], laid.volume);
    let D = recorder.figure(DryInFeed { V, rho_f: mix.dry_bulk_density.only(End::Likely) });
    let depth = recorder.figure(Depth { V, A: A.only(End::Likely) });
    Laid { depth, volume: V, dry_matter: D, mass: recorder.figure(MoistOfDry { D, w }), ..laid }
}

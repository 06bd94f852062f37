//! The request, and reading it.

use crate::garden::applications::repeats::{InYear, Repeated, repeated};
use crate::garden::applications::{Application, Carried, Order, Rate, apply};
use crate::garden::assumptions::Assumed;
use crate::garden::figures::Off;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Share;
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::bounded::{PlaceName, ShortText, Year};
use crate::http::input::containers::ContainerList;
use crate::http::input::list::List;
use crate::http::input::quantity::{MassInput, ShareInput, VolumeOrMassInput};
use crate::http::input::rate::RateInput;
use crate::http::input::repeat::RepeatInput;
use crate::http::input::surface::SurfaceInput;
use crate::http::input::{RequestContext, optionally};
use crate::http::limits::{MAX_ITEMS, MAX_SETTLING};
use crate::http::output::Texts;
use crate::http::output::quantity::{Role, System};
use crate::http::resources::skip::OnError;
use crate::http::wire::JsonPath;
use chrono::{Datelike, NaiveDate};
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Places and rates.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct ApplicationsRequest {
    /// Your own id; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// `metric` unless given. With `us`, `gal qt pt fl oz bu ton` are the US ones.
    pub units: Option<System>,
    /// Your buckets, barrows or sacks; their names work as units.
    #[validate(nested)]
    pub containers: Option<ContainerList>,
    /// What you know better than the defaults, for all areas.
    pub assumptions: Option<AssumptionsInput>,
    /// The beds, rows, plants and pots that get castings.
    #[validate(nested)]
    pub areas: Areas,
    /// True adds how each figure is computed; for at most 200 areas.
    pub explain: Option<bool>,
    /// `brief` leaves out texts and sources of cautions and assumptions; `full` unless given.
    pub texts: Option<Texts>,
    /// `skip` leaves out areas, beds, heaps, brews, lots and demands with errors, and lists them in `skipped`; one of each must be left. `refuse` unless given.
    pub on_error: Option<OnError>,
}

/// The places.
pub type Areas = List<AreaRequest, 1, { MAX_ITEMS }>;

/// A place and its rate.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct AreaRequest {
    /// Your own id, unique in this list; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// Where the castings go: ground, rows, plants or pots.
    #[validate(nested)]
    pub surface: SurfaceInput,
    /// How much castings goes there: a depth, or an amount for the area, the row or the plant. This or `castings`.
    #[validate(nested)]
    pub rate: Option<RateInput>,
    /// The castings that are to go there in all, by volume or mass: the answer says which depth or rate that makes.
    pub castings: Option<VolumeOrMassInput>,
    /// The castings that are to go there in all, by the mass of their dry matter. In place of `rate` and `castings`.
    pub dry_mass: Option<MassInput>,
    /// The share of its depth that a layer loses by settling; 0 % unless given.
    pub settling: Option<ShareInput>,
    /// True on land declared a nitrate vulnerable zone.
    pub nitrate_vulnerable_zone: Option<bool>,
    /// The day, or where it repeats the first day.
    #[schema(format = Date)]
    pub on: Option<String>,
    /// Repeats it: `{"every": "6 weeks", "times": 4}`, or with `on` and `until`. The rate is that of each time; the castings and
    /// the nutrients in the answer are those of all times together.
    #[validate(nested)]
    pub repeat: Option<RepeatInput>,
    /// The place, if several dressings go to one place: those of the same place and year are also reported together.
    #[validate(nested)]
    pub place: Option<PlaceName>,
    /// The year; dressings of a place without a year count as one year's. Leave it out with `on`, which says it. Where it repeats without
    /// `on`, each twelve months from the first time count as a year: this one and the next, or without a year the first twelve months.
    #[validate(nested)]
    pub year: Option<Year>,
    /// What you know better than the defaults for this place.
    pub assumptions: Option<AssumptionsInput>,
}

/// The fields that say where and how much, in every request that has them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Parts<'a> {
    /// Where.
    pub surface: &'a SurfaceInput,
    /// How much, as a rate.
    pub rate: Option<&'a RateInput>,
    /// How much, in all.
    pub castings: Option<&'a VolumeOrMassInput>,
    /// How much, in all, by dry mass.
    pub dry_mass: Option<&'a MassInput>,
    /// Settling.
    pub settling: Option<&'a ShareInput>,
    /// A nitrate vulnerable zone.
    pub nitrate_zone: Option<bool>,
    /// What is known better.
    pub assumptions: Option<&'a AssumptionsInput>,
}

/// These fields of a request; they have the same names in each.
macro_rules! application_parts {
    ($place:expr) => {
        $crate::http::resources::applications::Parts {
            surface: &$place.surface,
            rate: $place.rate.as_ref(),
            castings: $place.castings.as_ref(),
            dry_mass: $place.dry_mass.as_ref(),
            settling: $place.settling.as_ref(),
            nitrate_zone: $place.nitrate_vulnerable_zone,
            assumptions: $place.assumptions.as_ref(),
        }
    };
}
pub(crate) use application_parts;

impl Parts<'_> {
    fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Order> {
        let surface = context.surface(self.surface, place.field("surface"));
        let rate = self.how_much(context, place);
        let settling = match self.settling {
            Some(input) => {
                let at = place.field("settling");
                let share = context.exact_between(&input.0, (0.0, MAX_SETTLING), at);
                share.map(|share| context.asked(Role::Share, share, at))
            }
            None => Some(Share::from_fraction(0.0).into()),
        };
        let nitrate_zone = self.nitrate_zone.unwrap_or(false);
        Some(Order { surface: surface?, rate: rate?, settling: settling?, nitrate_zone })
    }

    /// The rate, or the castings for the whole place.
    fn how_much(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Rate> {
        let fields = ["rate", "castings", "dry_mass"];
        if let (None, None, None) = (self.rate, self.castings, self.dry_mass) {
            if !context.errors.touches(place.field("rate")) {
                let rate = self.surface.sample_rate();
                let detail = format!(
                    "say how much: a rate, such as {rate}, or in its place the castings that there are, such as \"60 L\""
                );
                context.refuse(place.field("rate"), Refusal::new(Reason::MissingField, detail).allowed(fields));
            }
            return None;
        }
        let rate = self.rate.map(|rate| context.rate(rate, place.field("rate")));
        let castings =
            self.castings.map(|castings| context.portion(castings, place.field("castings")).map(Rate::Total));
        let dry_mass = self.dry_mass.map(|mass| context.dry_portion(mass, place.field("dry_mass")).map(Rate::Total));
        let detail = "give either the rate, or the castings that there are for the whole place, or their dry_mass";
        context.only_way([rate, castings, dry_mass], (place, detail), &fields)
    }

    /// Refuses what is said of a layer or of land where there is no ground.
    fn only_on_ground(&self, order: &Order, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<()> {
        if order.surface.extent(Off).is_ok_and(|extent| extent.area.is_some()) {
            return Some(());
        }
        let mut sound = Some(());
        for (field, given) in
            [("settling", self.settling.is_some()), ("nitrate_vulnerable_zone", self.nitrate_zone.is_some())]
        {
            if given {
                let detail =
                    "this belongs to open ground (rectangle, circle, ring, rows, polygon, area); leave it out here";
                context.refuse(place.field(field), Refusal::new(Reason::NotAllowedHere, detail));
                sound = None;
            }
        }
        sound
    }

    /// Reads one place and computes it; `used` says what of its assumptions counts for the answer.
    pub(crate) fn solve(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        used: impl Fn(&Application) -> Vec<Assumed>,
    ) -> Option<(Order, Application)> {
        let overrides = context.overrides(self.assumptions, place.field("assumptions"));
        let order = self.read(context, place)?;
        if let Err(refusal) = order.surface.extent(Off) {
            context.refuse(place.field("surface"), refusal);
            return None;
        }
        self.only_on_ground(&order, context, place)?;
        let application = context.with_known(place, &overrides, |known| apply(&order, known, context.book()))?;
        let assumed = used(&application);
        context.note_used(place, &overrides, &assumed);
        Some((order, Application { assumed, ..application }))
    }
}

/// A place as it was computed.
pub(crate) struct SolvedArea {
    /// What it takes each time.
    pub application: Application,
    /// The day, or the first one.
    pub on: Option<NaiveDate>,
    /// What it takes in all, where it repeats.
    pub repeated: Option<Repeated>,
}

impl SolvedArea {
    /// What it takes in all.
    pub fn carried(&self) -> Carried {
        self.repeated.as_ref().map_or(self.application.carried, |repeated| repeated.carried)
    }

    /// What it takes by year.
    pub fn by_year(&self) -> Vec<(InYear, Carried)> {
        let year = self.on.map_or(InYear::FromFirst(0), |on| InYear::Calendar(on.year()));
        let once = || vec![(year, self.application.carried)];
        self.repeated.as_ref().map_or_else(once, |repeated| repeated.by_year.clone())
    }
}

impl AreaRequest {
    fn solve(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<SolvedArea> {
        let on = context.day(self.on.as_deref(), place.field("on"));
        let at = place.field("repeat");
        let first = on.flatten();
        let days = optionally(self.repeat.as_ref(), |repeat| repeat.days_after(first, context, at));
        self.check_year(context, place);
        let (_, application) = application_parts!(self).solve(context, place, |found| found.assumed.clone())?;
        let days = days?;
        let repeated = optionally(days.as_deref(), |days| {
            context.keep(at, repeated(&application.carried, (first, days), context.book()))
        })?;
        Some(SolvedArea { application, on: on?, repeated })
    }

    /// A year belongs to a place, and not beside a day.
    fn check_year(&self, context: &RequestContext<'_>, place: JsonPath<'_>) {
        if self.year.is_some() && self.place.is_none() && !context.errors.touches(place) {
            let detail = "a year counts only together with a place: say which";
            context.refuse(place.field("place"), Refusal::new(Reason::MissingField, detail));
        }
        if self.year.is_some() && self.on.is_some() {
            let detail = "the day already says the year; leave one of the two out";
            context.refuse(place.field("year"), Refusal::new(Reason::NotAllowedHere, detail));
        }
    }
}

/// Reads and computes all places.
pub(crate) fn solve(request: &ApplicationsRequest, context: &RequestContext<'_>) -> Option<Vec<SolvedArea>> {
    let root = JsonPath::root();
    let list = root.field("areas");
    context.unique_ids(request.areas.iter().map(|a| a.id.as_deref()), list);
    let areas = request.areas.iter().enumerate();
    let solved: Vec<_> = areas.map(|(i, area)| area.solve(context, list.index(i))).collect();
    solved.into_iter().collect()
}

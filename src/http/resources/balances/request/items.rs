//! Reading one lot, one demand.

use super::counted::{used_by_place, used_by_tea};
use super::parsed::Stocked;
use super::{DemandRequest, Source, StockRequest, crop, minimum};
use crate::garden::assumptions::{Assumed, Overrides};
use crate::garden::balances::allocation::{Lot, LotSource, Window};
use crate::garden::balances::{Part, Requirement, parts_of_brew};
use crate::garden::dates::date;
use crate::garden::figures::WholeVolume;
use crate::garden::harvests::Harvest;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Dimension;
use crate::http::input::RequestContext;
use crate::http::input::castings::{Converted, needed, there};
use crate::http::limits::MIN_AMOUNT;
use crate::http::resources::Named;
use crate::http::resources::applications::application_parts;
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

impl Named for StockRequest {
    /// Its id, or the heap's.
    fn id(&self) -> Option<&str> {
        self.id.as_deref().or_else(|| self.heap.as_ref().and_then(|heap| heap.common().id))
    }

    /// Its name, or the heap's.
    fn name(&self) -> Option<&str> {
        self.name.as_deref().or_else(|| self.heap.as_ref().and_then(|heap| heap.common().name))
    }
}

impl StockRequest {
    pub(super) fn read(
        &self,
        position: usize,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
    ) -> Option<(Lot, Stocked)> {
        let ready = context.day(self.ready_on.as_deref(), place.field("ready_on"));
        let use_by = context.day(self.use_by.as_deref(), place.field("use_by"));
        let manure = context.manure(self.manure.as_ref(), place.field("manure"));
        let held = self.held(context, place);
        let castings = self.castings(context, place);
        let window = context.window((ready?, use_by?), place.field("use_by"), ("ready_on", "use_by"));
        let Held { amount, heap, assumed } = held?;
        let castings = castings?;
        let (untreated, source) = (manure?.has_wait(), LotSource::Stock(position));
        let stocked = Stocked { amount, heap, assumed, castings };
        Some((Lot { amount: amount.volume, window: window?, untreated, source }, stocked))
    }
}

/// How much a lot is, and of what.
struct Held {
    amount: WholeVolume,
    heap: Option<Harvest>,
    assumed: Vec<Assumed>,
}

impl StockRequest {
    /// How much it is, and the harvest of its heap.
    fn held(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Held> {
        let own = context.overrides(self.assumptions.as_ref(), place.field("assumptions"));
        let plain = |found: Converted| Held { amount: there(&found), heap: None, assumed: found.1 };
        let amount = self
            .amount
            .as_ref()
            .map(|amount| context.amount_of_own((amount, 0.0), (&own, place), place.field("amount")).map(plain));
        let dry_mass = self
            .dry_mass
            .as_ref()
            .map(|mass| context.castings_of_dry_mass((mass, 0.0), (&own, place), place.field("dry_mass")).map(plain));
        let heap = self.heap.as_ref().map(|heap| {
            context.note_used(place, &own, &[]);
            let harvest = heap.solve(context, place.field("heap"), false)?;
            Some(Held { amount: WholeVolume::nearest(harvest.stored), heap: Some(harvest), assumed: Vec::new() })
        });
        let detail = "a lot has exactly one of amount, dry_mass and heap";
        context.only_way([amount, dry_mass, heap], (place, detail), &["amount", "dry_mass", "heap"])
    }
}

impl RequestContext<'_> {
    /// The days from the first field to the last.
    fn window(
        &self,
        (first, last): (Option<NaiveDate>, Option<NaiveDate>),
        at: JsonPath<'_>,
        (from, to): (&str, &str),
    ) -> Option<Window> {
        let window = Window { first, last };
        if window.holds_a_day() {
            return Some(window);
        }
        let day = |day: Option<NaiveDate>| day.map(|day| day.to_string()).unwrap_or_default();
        let (first, last) = (day(first), day(last));
        let detail = format!("\"{to}\", {last}, is before \"{from}\", {first}; write a later day, or swap the two");
        self.refuse(at, Refusal::new(Reason::DatesOutOfOrder, detail));
        None
    }
}

impl Named for DemandRequest {
    /// Its id, or the brew's.
    fn id(&self) -> Option<&str> {
        self.id.as_deref().or_else(|| self.brew.as_ref().and_then(|brew| brew.id.as_deref()))
    }

    /// Its name, or the brew's.
    fn name(&self) -> Option<&str> {
        self.name.as_deref().or_else(|| self.brew.as_ref().and_then(|brew| brew.name.as_deref()))
    }
}

impl DemandRequest {
    pub(super) fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<(Requirement, Source)> {
        let window = self.window(context, place);
        let said_minimum = self.said_minimum(context, place);
        let days = self.days_after(context, place);
        let crop = self.said_crop(context, place);
        // What is known without the amount is reported also where that is wrong.
        if let (Some(Some(crop)), Some(window)) = (&crop, window) {
            crop::in_time(crop, window.first, context, place);
        }
        let not_whole = || {
            let detail = "only plants, pots and batches of tea can be served whole";
            context.refuse(place.field("whole_portions"), Refusal::new(Reason::NotAllowedHere, detail));
        };
        if self.whole_portions == Some(true)
            && self.application.is_none()
            && self.brew.is_none()
            && (self.amount.is_some() || self.dry_mass.is_some())
        {
            not_whole();
        }
        let is_weighed = said_minimum.flatten().is_some_and(|(dimension, _)| dimension == Dimension::Mass);
        let (parts, source) = self.parts(context, (window, is_weighed), place)?;
        let minimum = said_minimum.and_then(|given| minimum::in_millilitres(given, (&parts, &source), context, place));
        let grown = crop.and_then(|crop| match crop {
            Some(crop) => crop::grown(crop, (&parts, &source), context, place).map(Some),
            None => Some(None),
        });
        let (priority, whole) = (self.priority.map_or(1, |priority| priority.0), self.whole_portions.unwrap_or(false));
        let requirement =
            Requirement { parts, priority, whole_portions: whole, minimum: minimum.flatten(), grown: None };
        if requirement.whole_portions && requirement.pieces().is_none() {
            not_whole();
            return None;
        }
        window?;
        minimum?;
        let requirement = Requirement { grown: grown?, ..requirement };
        Some((requirement.repeated(&days?), source))
    }

    fn window(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Window> {
        let on = context.day(self.on.as_deref(), place.field("on"));
        let earliest = context.day(self.earliest.as_deref(), place.field("earliest"));
        let latest = context.day(self.latest.as_deref(), place.field("latest"));
        let (on, earliest, latest) = (on?, earliest?, latest?);
        if on.is_some() && (earliest.is_some() || latest.is_some()) {
            let detail = "give either \"on\", or \"earliest\" and \"latest\"";
            context.refuse(
                place.field("on"),
                Refusal::new(Reason::ExactlyOneOf, detail).allowed(["on", "earliest and latest"]),
            );
            return None;
        }
        context.window((on.or(earliest), on.or(latest)), place.field("latest"), ("earliest", "latest"))
    }

    fn parts(
        &self,
        context: &RequestContext<'_>,
        (window, is_weighed): (Option<Window>, bool),
        place: JsonPath<'_>,
    ) -> Option<(Vec<Part>, Source)> {
        let window = window.unwrap_or_default();
        let one =
            |source: &Source, pieces| vec![Part { amount: source.amount().volume, window, pieces, ..Part::default() }];
        let plain = |found: Converted| {
            let source = Source::Amount(needed(&found));
            (one(&source, None), source)
        };
        let (amount, dry_mass) = (self.volume_or_mass(context, place), self.dry_amount(context, place));
        let (amount, dry_mass) = (amount.map(|found| found.map(plain)), dry_mass.map(|found| found.map(plain)));
        let application = self.application.as_ref().map(|it| {
            let at = place.field("application");
            let (order, application) =
                application_parts!(it).solve(context, at, |found| used_by_place(found, is_weighed))?;
            let pieces = application.extent.pieces();
            let source = Source::Application(Box::new(order), Box::new(application));
            Some((one(&source, pieces), source))
        });
        let brew = self.brew.as_ref().map(|it| {
            if it.use_at.is_some() {
                self.refuse_dates(context, place);
            }
            let counts = |assumed: &Assumed| used_by_tea(assumed, is_weighed);
            let brew = it.solve(context, place.field("brew"), counts)?;
            Some((parts_of_brew(&brew, window), Source::Brew(Box::new(brew))))
        });
        let detail = "a demand has exactly one of amount, dry_mass, application and brew";
        let fields = ["amount", "dry_mass", "application", "brew"];
        context.only_way([amount, dry_mass, application, brew], (place, detail), &fields)
    }

    /// How much it is, where it says so by volume or mass: `Some(None)` after an error.
    fn volume_or_mass(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<Converted>> {
        let amount = self.amount.as_ref()?;
        Some(context.amount_of_castings(amount, MIN_AMOUNT, place.field("amount")))
    }

    /// The same by dry mass.
    fn dry_amount(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<Converted>> {
        let (mass, none) = (self.dry_mass.as_ref()?, Overrides::default());
        let found = context.castings_of_dry_mass((mass, MIN_AMOUNT), (&none, place), place.field("dry_mass"));
        Some(found.inspect(|(_, used)| context.assumed.borrow_mut().extend(used)))
    }

    /// Its first day, where that can be read and is not that of its brew.
    pub(in crate::http::resources) fn begin(&self) -> Option<NaiveDate> {
        self.on.as_deref().or(self.earliest.as_deref()).and_then(|text| date(text).ok())
    }

    /// Reports a refusal of its first day at the place of that day.
    pub(in crate::http::resources) fn refuse_begin(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        refusal: Refusal,
    ) {
        let brew = place.field("brew");
        let at = match (&self.on, &self.earliest) {
            (Some(_), _) => place.field("on"),
            (None, Some(_)) => place.field("earliest"),
            (None, None) => brew.field("use_at"),
        };
        context.refuse(at, refusal);
    }

    /// A brew with `use_at` has its dates already.
    fn refuse_dates(&self, context: &RequestContext<'_>, place: JsonPath<'_>) {
        for (field, given) in [("on", &self.on), ("earliest", &self.earliest), ("latest", &self.latest)] {
            if given.is_some() {
                let detail = "the brew's use_at already says when its batches start; leave one of the two out";
                context.refuse(place.field(field), Refusal::new(Reason::NotAllowedHere, detail));
            }
        }
    }
}

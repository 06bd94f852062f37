//! The smallest amount of a demand that is of use.

use super::{DemandRequest, Source};
use crate::garden::balances::minimum::share_of;
use crate::garden::balances::{Part, add};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Dimension, Mass, Millilitres, Share, Volume, whole};
use crate::http::input::RequestContext;
use crate::http::input::quantity::{Due, VolumeMassOrShareInput};
use crate::http::limits::{MAX_MINIMUMS, MIN_AMOUNT};
use crate::http::wire::{JsonPath, RequestErrors};

/// What `minimum` says, in base units, before it is known what the demand asks.
pub(super) type Parsed = Option<(Dimension, f64)>;

/// Refuses more demands with a `minimum` than are computed with.
pub fn count(demands: &[DemandRequest], context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<()> {
    let (errors, with_minimum) = (RequestErrors::default(), demands.iter().filter(|demand| demand.minimum.is_some()));
    let ahead = context.apart(&errors);
    let found: usize = with_minimum.map(|demand| demand.times(&ahead)).sum();
    if found <= MAX_MINIMUMS {
        return Some(());
    }
    let detail = format!(
        "{found} demands have a minimum, each time of a repeated one counted; a request may have at most {MAX_MINIMUMS}: keep it for those that are truly of no use below \
         it, or split the request"
    );
    context.refuse(place, Refusal::new(Reason::TooLarge, detail));
    None
}

impl DemandRequest {
    /// Reads `minimum` as far as this goes without the rest of the demand.
    pub(super) fn said_minimum(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Parsed> {
        let Some(input) = &self.minimum else { return Some(None) };
        let (place, due) = (place.field("minimum"), Due::any(VolumeMassOrShareInput::DIMENSIONS).from(MIN_AMOUNT));
        let (dimension, span) = context.span(&input.0, due, place)?;
        context.note_range(span, place);
        Some(Some((dimension, span.likely)))
    }
}

/// The minimum in millilitres: a mass by what the castings of this demand weigh, a share of all its parts of one time together.
pub(super) fn in_millilitres(
    said: Parsed,
    (parts, source): (&[Part], &Source),
    context: &RequestContext<'_>,
    place: JsonPath<'_>,
) -> Option<Option<Millilitres>> {
    let Some((dimension, amount)) = said else { return Some(None) };
    let wanted = parts.iter().fold(Millilitres::ZERO, |sum, part| add(sum, part.amount));
    let minimum = match dimension {
        Dimension::Share => share_of(wanted, Share::from_base(amount)),
        Dimension::Mass => Millilitres::needed(volume(Mass::from_base(amount), source, context)?),
        _ => Millilitres::nearest(Volume::from_base(amount)),
    };
    if minimum <= wanted {
        return Some(Some(minimum));
    }
    let litres = |amount: Millilitres| whole(amount.get()) / 1000.0;
    let (asked, most) = (litres(minimum), litres(wanted));
    let detail = format!(
        "a minimum of {asked} L is more than the {most} L that this demand asks at a time; make it {most} L or less, or ask for more"
    );
    context
        .refuse(place.field("minimum"), Refusal::new(Reason::OutOfRange, detail).between(MIN_AMOUNT.min(most), most));
    None
}

/// The volume of a mass of the castings that the demand is for.
fn volume(mass: Mass, source: &Source, context: &RequestContext<'_>) -> Option<Volume> {
    let density = match source {
        Source::Application(_, application) => application.carried.mass.likely() / application.carried.volume.likely(),
        Source::Brew(brew) => brew.mass.likely() / brew.castings.likely(),
        Source::Amount(_) => context.bulk_density(JsonPath::root())?.likely(),
    };
    Some(mass / density)
}

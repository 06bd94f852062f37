//! What lies in a running bed: as a request says it, and as the end of a forecast has it.

use crate::garden::assumptions::{Assumption, Known, Overrides};
use crate::garden::beds::{MoistInBed, Running};
use crate::garden::formulas::{DryInVolume, DryMatter, Row};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfMass;
use crate::garden::units::{Dimension, Estimate, Mass, Volume};
use crate::http::input::RequestContext;
use crate::http::input::bounded::LayersLaid;
use crate::http::input::quantity::{Due, VolumeOrMassInput};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{Role, View};
use crate::http::resources::harvests::{Analysis, moist};
use crate::http::wire::JsonPath;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;
use utoipa::ToSchema;
use validator::Validate;

/// What lies in a running bed.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct RunningBedRequest {
    /// Feed that the worms have not eaten yet, as moist as it was fed: by mass, or by volume with the bulk density of
    /// the feed; none unless given.
    pub uneaten_feed: Option<VolumeOrMassInput>,
    /// Castings as they lie in the bed: by volume (assumption `bed.castings_dry_density`), or by mass (`bed.moisture`); none
    /// unless given.
    pub castings: Option<VolumeOrMassInput>,
    /// How many layers of this cycle were laid; 0 unless given. So many fewer come before the bed is left to finish.
    #[validate(nested)]
    pub layers_laid: Option<LayersLaid>,
    /// The morning on which all feed was eaten. The bed has been finishing since then and takes no more layers.
    #[schema(format = Date)]
    pub eaten_on: Option<String>,
}

/// What lies in a bed, as a request takes it.
#[skip_serializing_none]
#[derive(Debug, Serialize)]
pub struct RunningBedOut {
    /// Feed that the worms have not eaten.
    pub uneaten_feed: QuantityOut,
    /// Castings in it.
    pub castings: QuantityOut,
    /// How many layers of its cycle were laid.
    pub layers_laid: u32,
    /// The morning on which all was eaten.
    pub eaten_on: Option<NaiveDate>,
}

impl RunningBedOut {
    /// Writes it.
    pub(super) fn new(of: &MoistInBed, view: &View<'_>) -> Self {
        Self {
            uneaten_feed: view.estimate(Role::Mass, of.uneaten_feed),
            castings: view.estimate(Role::Mass, of.castings),
            layers_laid: of.layers_laid,
            eaten_on: of.eaten_on,
        }
    }
}

impl RunningBedRequest {
    /// Reads what lies in a bed.
    pub(in crate::http::resources) fn read(
        &self,
        of: Option<&Analysis>,
        (context, item): (&RequestContext<'_>, &Overrides),
        (place, feed, on): (JsonPath<'_>, JsonPath<'_>, Option<NaiveDate>),
    ) -> Option<Running> {
        let nothing: Estimate<OfMass> = Mass::from_kilograms(0.0).into();
        let uneaten_feed = match &self.uneaten_feed {
            Some(input) => {
                let at = place.field("uneaten_feed");
                moist(of, input, Some(0.0), (context, at, feed)).zip(of).map(|(moist, of)| of.dry(moist, (context, at)))
            }
            None => Some(nothing),
        };
        let castings = match &self.castings {
            Some(input) => castings(input, (context, item), place.field("castings")),
            None => Some(nothing),
        };
        let layers_laid = self.layers_laid.map_or(0, |layers| layers.0);
        let (uneaten_feed, castings) = (uneaten_feed?, castings?);
        let eaten_on = self.eaten_on((uneaten_feed, castings), (context, place, on))?;
        Some(Running { uneaten_feed, castings, layers_laid, eaten_on })
    }

    /// Reads since when nothing is left to eat in a bed that holds this dry matter of feed and castings on a day.
    fn eaten_on(
        &self,
        (uneaten_feed, castings): (Estimate<OfMass>, Estimate<OfMass>),
        (context, place, on): (&RequestContext<'_>, JsonPath<'_>, Option<NaiveDate>),
    ) -> Option<Option<NaiveDate>> {
        let at = place.field("eaten_on");
        let refused = |at: JsonPath<'_>, reason, detail: String| {
            context.refuse(at, Refusal::new(reason, detail));
            None
        };
        let Some(text) = &self.eaten_on else { return Some(None) };
        let day = context.calendar_date(text, at)?;
        if uneaten_feed.kilograms() > 0.0 {
            let detail = "the bed still has feed that the worms have not eaten: leave out eaten_on or uneaten_feed";
            return refused(at, Reason::NotAllowedHere, detail.to_owned());
        }
        if castings.kilograms() <= 0.0 {
            let detail = "all feed is eaten, so say how many castings are in the bed, such as \"180 L\"";
            return refused(place.field("castings"), Reason::MissingField, detail.to_owned());
        }
        match on.filter(|on| *on < day) {
            Some(on) => {
                let detail = format!(
                    "all feed was eaten on {day}, but running is what is in the bed on {on}; give {on} or an earlier day, or the \
                     feed that is left as uneaten_feed"
                );
                refused(at, Reason::DatesOutOfOrder, detail)
            }
            None => Some(Some(day)),
        }
    }
}

/// The dry matter of castings in the bed.
fn castings(
    input: &VolumeOrMassInput,
    (context, item): (&RequestContext<'_>, &Overrides),
    at: JsonPath<'_>,
) -> Option<Estimate<OfMass>> {
    let (dimension, span) = context.span(&input.0, Due::any(VolumeOrMassInput::DIMENSIONS).from(0.0), at)?;
    context.note_range(span, at);
    let known = Known { request: &context.overrides, item };
    let dry = if dimension == Dimension::Mass {
        let (w, _) = known.estimate(Assumption::BedMoisture);
        DryMatter { m: Mass::from_base(span.likely).into(), w }.likely()
    } else {
        let (rho_b, _) = known.estimate(Assumption::BedDryDensity);
        DryInVolume { C: Volume::from_base(span.likely).into(), rho_b }.likely()
    };
    Some(context.asked(Role::Mass, dry, at))
}

//! What lies in a running bed: as a request says it, and as the end of a forecast has it.

use crate::garden::assumptions::{Assumption, Known, Overrides};
use crate::garden::beds::{MoistInBed, Running};
use crate::garden::formulas::{DryInVolume, DryMatter, Row};
use crate::garden::refusal::Refusal;
use crate::garden::units::quantity::OfMass;
use crate::garden::units::{Dimension, Estimate, Mass, Volume};
use crate::http::input::bounded::LayersLaid;
use crate::http::input::quantity::{Due, VolumeOrMassInput};
use crate::http::input::{RequestContext, optionally};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{Role, View};
use crate::http::resources::harvests::{Analysis, moist};
use crate::http::wire::JsonPath;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;
use utoipa::ToSchema;
use validator::Validate;

/// What is in a running bed.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct RunningBedRequest {
    /// Feed that the worms have not eaten yet, as moist as it was fed: by mass, or by volume with the bulk density of
    /// the feed; none unless given.
    pub uneaten_feed: Option<VolumeOrMassInput>,
    /// Castings as they lie in the bed: by volume (assumption `bed.castings_dry_density`), or by mass (`bed.moisture`); none
    /// unless given.
    pub castings: Option<VolumeOrMassInput>,
    /// Layers of this cycle laid so far; 0 unless given. That many fewer come before it is left to finish.
    #[validate(nested)]
    pub layers_laid: Option<LayersLaid>,
    /// The morning by which all feed was eaten, at most two years ago; needs `castings`, and temperatures from then on. It has been finishing
    /// since and takes no more layers.
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
        let eaten_on =
            optionally(self.eaten_on.as_deref(), |text| context.calendar_date(text, place.field("eaten_on")));
        let days = (eaten_on.flatten(), on);
        let faults = self.eaten_on.as_ref().map(|_| Running::faults_of_eaten((uneaten_feed, castings), days));
        let faults = faults.unwrap_or_default();
        let is_sound = faults.is_empty();
        for fault in faults {
            let field = fault.field.unwrap_or("eaten_on");
            context.refuse(place.field(field), Refusal { field: None, ..fault });
        }
        let running = Running { uneaten_feed: uneaten_feed?, castings: castings?, layers_laid, eaten_on: eaten_on? };
        is_sound.then_some(running)
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

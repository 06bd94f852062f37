//! What is known about manure in a lot of castings, on the wire.

use super::RequestContext;
use super::bounded::{HotDays, Turnings};
use super::enums::words;
use super::quantity::TemperatureInput;
use super::union::union;
use crate::garden::cautions::waiting::{HotComposting, Manure, Method};
use crate::garden::units::Temperature;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// There was no manure in what the worms were fed.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
#[schema(as = NoManure)]
pub struct NoManureInput {}

/// There was manure, and no hot composting is shown. Worms and time alone do not treat it.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
#[schema(as = UntreatedManure)]
pub struct UntreatedManureInput {}

/// There was manure, and it was composted hot: from 55 to 77 C, for 3 days in a vessel or a static aerated pile, or
/// for 15 days in a windrow turned five times (7 CFR 205.203(c)(2), which also asks for 25 to 40 parts of carbon to
/// one of nitrogen at the start; that is not checked here). Anything less is refused: give it as untreated.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
#[schema(as = TreatedManure)]
pub struct TreatedManureInput {
    /// How it was kept.
    pub method: CompostingMethodInput,
    /// For how many days.
    #[validate(nested)]
    pub days: HotDays,
    /// The lowest temperature on these days.
    pub lowest: TemperatureInput,
    /// The highest temperature on these days.
    pub highest: TemperatureInput,
    /// How many times the windrow was turned on these days; with `turned_windrow` only.
    #[validate(nested)]
    pub turnings: Option<Turnings>,
}

words! {
    /// How the hot composting was done: `in_vessel`: closed; `static_aerated_pile`: air is blown through, not turned; `turned_windrow`: a long
    /// heap, turned.
    CompostingMethodInput as CompostingMethod => Method {
        /// In a closed vessel.
        InVessel,
        /// In a heap that is blown through with air and not turned.
        StaticAeratedPile,
        /// In a long heap that is turned.
        TurnedWindrow,
    }
}

union! {
    /// What is known about manure in castings.
    ManureInput {
        "none" => None(NoManureInput),
        "untreated" => Untreated(UntreatedManureInput),
        "treated" => Treated(TreatedManureInput),
    }
}

impl RequestContext<'_> {
    /// Reads what is known of manure; unknown where nothing is said.
    pub fn manure(&self, input: Option<&ManureInput>, place: JsonPath<'_>) -> Option<Manure> {
        match input {
            None => Some(Manure::Unknown),
            Some(_) if self.errors.touches(place) => None,
            Some(ManureInput::None(_)) => Some(Manure::NoManure),
            Some(ManureInput::Untreated(_)) => Some(Manure::Untreated),
            Some(ManureInput::Treated(input)) => {
                let degrees = |input: &TemperatureInput, field| -> Option<Temperature> {
                    self.exact::<crate::garden::units::quantity::OfTemperature>(&input.0, place.field(field))
                };
                let (lowest, highest) = (degrees(&input.lowest, "lowest"), degrees(&input.highest, "highest"));
                // Counts outside their bounds have been reported already.
                let within = input.days.is_within() && input.turnings.is_none_or(Turnings::is_within);
                let method = input.method.into();
                let stage = HotComposting {
                    method,
                    days: input.days.0,
                    lowest: lowest?,
                    highest: highest?,
                    turnings: input.turnings.map(|it| it.0),
                };
                let refused = |all: Vec<crate::garden::refusal::Refusal>| {
                    all.into_iter().for_each(|refusal| self.refuse(place, refusal));
                };
                within.then_some(stage)?.check().map_err(refused).ok().map(Manure::Treated)
            }
        }
    }
}

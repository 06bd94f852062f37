//! The yield of what was fed, written.

use super::FedList;
use crate::garden::beds::{Comparison, FromFeed, Larger};
use crate::http::input::bounded::echoed;
use crate::http::output::QuantityOut;
use crate::http::output::enums::words;
use crate::http::output::quantity::{Role, View};
use crate::http::resources::CastingsOut;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// The castings from what was fed. In dry matter: castings = fed x (ash + (100 % - ash) x (100 % - loss)).
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = HarvestByFeed)]
pub struct FromFeedOut {
    /// The feeds, in the order of the request.
    pub fed: Vec<FedOut>,
    /// All feeds together, moist.
    pub fed_mass: QuantityOut,
    /// Their water, of the whole.
    pub fed_moisture: QuantityOut,
    /// Their dry matter.
    pub fed_dry_matter: QuantityOut,
    /// The share of the organic matter that was lost.
    pub organic_matter_loss: QuantityOut,
    /// The castings before the sieve, dry matter.
    pub dry_matter: QuantityOut,
    /// What passes the sieve, as it lies in store.
    pub castings: CastingsOut,
    /// Their water there, of the whole.
    pub castings_moisture: QuantityOut,
    /// What passes the sieve, dry matter.
    pub castings_dry_matter: QuantityOut,
    /// What the sieve holds back, at the moisture of the store.
    pub oversize: QuantityOut,
    /// Moist castings before the sieve over moist feed; it says little without both moistures.
    pub of_fresh_feed: QuantityOut,
    /// The same in dry matter.
    pub of_dry_feed: QuantityOut,
    /// What is in the castings.
    pub analysis: CastingsAnalysis,
}

/// One feed.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FedFeed)]
pub struct FedOut {
    /// Its id in the request.
    pub id: Option<String>,
    /// Its name in the request.
    pub name: Option<String>,
    /// As it was fed.
    pub mass: QuantityOut,
    /// What is left of it without its water.
    pub dry_matter: QuantityOut,
}

/// What is in the castings, of their dry matter. A nutrient is listed if every feed gives it.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
pub struct CastingsAnalysis {
    /// Ash, in the dry matter.
    pub ash: QuantityOut,
    /// Total nitrogen (N), in the dry matter.
    pub nitrogen: Option<QuantityOut>,
    /// Phosphorus (P), in the dry matter.
    pub phosphorus: Option<QuantityOut>,
    /// Potassium (K), in the dry matter.
    pub potassium: Option<QuantityOut>,
    /// Carbon over nitrogen, where the nitrogen of every feed is given.
    pub carbon_to_nitrogen: Option<QuantityOut>,
}

/// One harvest computed in two ways: sieved castings, dry matter, so that moisture has no influence.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = HarvestComparison)]
pub struct ComparisonOut {
    /// By the depth of the bed.
    pub by_depth: QuantityOut,
    /// By what was fed.
    pub by_feed: QuantityOut,
    /// How much more one says than the other.
    pub gap: QuantityOut,
    /// The difference, as a share of the larger of the two.
    pub gap_share: QuantityOut,
    /// Which says more: `by_depth`, `by_feed` or `neither`.
    #[schema(schema_with = larger)]
    pub larger: &'static str,
    /// True if the two ranges meet: the assumptions can then explain the difference.
    pub ranges_meet: bool,
}

fn larger() -> utoipa::openapi::RefOr<utoipa::openapi::Schema> {
    words("Which says more: `by_depth`, `by_feed`, or `neither` where they are equal.", Larger::words())
}

impl FromFeedOut {
    /// Writes it.
    pub(in super::super) fn new(list: &FedList, fed: &FromFeed, view: &View<'_>) -> Self {
        let percent = |share| view.estimate(Role::Share, share);
        let mass = |mass| view.estimate(Role::Mass, mass);
        let feeds = list.iter().zip(&fed.feeds).map(|(asked, found)| FedOut {
            id: echoed(asked.id.as_ref()),
            name: echoed(asked.name.as_ref()),
            mass: mass(found.mass),
            dry_matter: mass(found.dry_matter),
        });
        Self {
            fed: feeds.collect(),
            fed_mass: mass(fed.fed),
            fed_moisture: percent(fed.fed_moisture),
            fed_dry_matter: mass(fed.fed_dry_matter),
            organic_matter_loss: percent(fed.organic_matter_loss),
            dry_matter: mass(fed.yields.dry_matter),
            castings: CastingsOut::new(view, fed.yields.castings, fed.yields.mass),
            castings_moisture: percent(fed.yields.moisture),
            castings_dry_matter: mass(fed.yields.sieved_dry_matter),
            oversize: view.estimate(Role::Bulk, fed.yields.oversize),
            of_fresh_feed: percent(fed.of_fresh_feed),
            of_dry_feed: percent(fed.of_dry_feed),
            analysis: CastingsAnalysis {
                ash: percent(fed.ash),
                nitrogen: fed.nitrogen.map(percent),
                phosphorus: fed.phosphorus.map(percent),
                potassium: fed.potassium.map(percent),
                carbon_to_nitrogen: fed.carbon_to_nitrogen.map(|ratio| view.estimate(Role::Ratio, ratio)),
            },
        }
    }
}

impl ComparisonOut {
    /// Writes it.
    pub(in super::super) fn new(compared: &Comparison, view: &View<'_>) -> Self {
        Self {
            by_depth: view.estimate(Role::Mass, compared.by_depth),
            by_feed: view.estimate(Role::Mass, compared.by_feed),
            gap: view.estimate(Role::Mass, compared.gap),
            gap_share: view.estimate(Role::Share, compared.gap_share),
            larger: compared.larger.as_str(),
            ranges_meet: compared.ranges_meet,
        }
    }
}

//! The questions by name.

use super::Question;
use serde::Deserialize;

/// What follows for the question `Q` that a [`Resource`] names: `with_question!(resource, Q => ask::<Q>(tree))`.
macro_rules! with_question {
    ($resource:expr, $question:ident => $then:expr) => {
        with_question!($resource, $question => $then;
            Applications: applications, Harvests: harvests, Brews: brews, Balances: balances, Feeds: feeds, WormBeds: worm_beds,
            Calibrations: calibrations, Seasons: seasons)
    };
    ($resource:expr, $question:ident => $then:expr; $($name:ident: $room:ident),*) => {
        match $resource {
            $(
                $crate::http::resources::resource::Resource::$name => {
                    type $question = $crate::http::resources::$room::$name;
                    $then
                }
            )*
        }
    };
}
pub(crate) use with_question;

/// The fields that make demands a season: a balance has none of them.
pub(crate) const OF_A_SEASON: [&str; 5] = ["worm_beds", "feed_supply", "climate", "until", "revision"];

/// A question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, clap::ValueEnum)]
#[serde(rename_all = "kebab-case")]
pub enum Resource {
    /// How much each row, bed and pot takes (the file has `areas`)
    Applications,
    /// What worm beds and heaps yield (the file has `worm_beds` or `heaps`, and no `demands`)
    Harvests,
    /// Compost tea (the file has `brews`)
    Brews,
    /// Stock against demand (the file has `stock` or `demands`, and nothing of a season)
    Balances,
    /// What to shred, soak and mix (the file has `materials`)
    Feeds,
    /// How large a bed, and how many worms (the file has `feed_supply` or `castings_needed`, and no `demands`)
    WormBeds,
    /// What records of beds say of the assumptions (the file has `records`)
    Calibrations,
    /// Beds, stock and demands over a season (the file has `demands` and, say, `worm_beds`, `climate` or `until`)
    Seasons,
}

impl Resource {
    /// The name in the address: `POST /v1/<name>`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        with_question!(self, Q => Q::NAME)
    }
}

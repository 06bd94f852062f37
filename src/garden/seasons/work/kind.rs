//! What kinds of work there are, and which cautions are about each.

use crate::garden::cautions::Rule;
use crate::garden::closed_list::closed_list;
use crate::garden::dates::weeks;
use chrono::NaiveDate;

closed_list! {
    /// What is done.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum TaskKind {
        /// The last day to begin producing for a shortfall.
        StartProduction = "start_production",
        /// The last day to buy sacks for a shortfall.
        BuySacks = "buy_sacks",
        /// The last day to use what is left of a lot.
        UseLot = "use_lot",
        /// Lay a layer of feed.
        LayFeed = "lay_feed",
        /// Introduce the worms into a bed, on top of the feed that was laid that day.
        IntroduceWorms = "introduce_worms",
        /// Water a bed over these days.
        Water = "water",
        /// All is worked through: no more feed, let it finish.
        LetFinish = "let_finish",
        /// Take the castings out and spread them to dry.
        Harvest = "harvest",
        /// Sieve them and put them in store.
        SieveAndStore = "sieve_and_store",
        /// Give castings to a demand.
        Apply = "apply",
        /// Put castings into water for a tea.
        Brew = "brew",
        /// Dilute a tea and use it.
        UseTea = "use_tea",
    }
}

/// The rules of cautions that are about applying castings.
const OF_APPLYING: &[Rule] = &[
    Rule::Handling,
    Rule::RawManure,
    Rule::IntervalTooShort,
    Rule::NotIncorporated,
    Rule::NitrateLimit,
    Rule::ThickLayer,
    Rule::StrongMix,
    Rule::NitrogenTieUp,
];

/// The rules of cautions that are about using tea.
const OF_USING_TEA: &[Rule] = &[
    Rule::RawManure,
    Rule::IntervalTooShort,
    Rule::NotIncorporated,
    Rule::NitrogenTieUp,
    Rule::TeaAdditives,
    Rule::TeaWater,
    Rule::TeaSafety,
    Rule::TeaKept,
    Rule::TeaRounds,
];

impl TaskKind {
    /// What to do, in a few words.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::StartProduction => "latest day to start the additional production",
            Self::BuySacks => "latest day to buy sacks",
            Self::UseLot => "last day to use what no demand takes",
            Self::IntroduceWorms => "introduce the worms",
            Self::LayFeed => "lay feed",
            Self::Water => "water, in all over these days",
            Self::LetFinish => "lay no more feed, let the bed finish",
            Self::Harvest => "take the castings out and spread them to dry",
            Self::SieveAndStore => "sieve the castings and store them",
            Self::Apply => "apply castings",
            Self::Brew => "brew tea",
            Self::UseTea => "use the tea",
        }
    }

    /// The rules of cautions that are about doing this.
    #[must_use]
    pub const fn cautions(self) -> &'static [Rule] {
        match self {
            Self::StartProduction => &[
                Rule::Shredding,
                Rule::FeedHeat,
                Rule::Ammonia,
                Rule::PersistentHerbicides,
                Rule::LeaveOut,
                Rule::SoakWater,
            ],
            Self::IntroduceWorms => &[Rule::FeedHeat, Rule::Ammonia, Rule::WormsAboveCarrying],
            Self::LayFeed => &[
                Rule::Handling,
                Rule::FeedHeat,
                Rule::Ammonia,
                Rule::PersistentHerbicides,
                Rule::LeaveOut,
                Rule::KitchenScraps,
                Rule::BedFrost,
                Rule::BedHeat,
                Rule::DepthReached,
                Rule::BedEmpty,
            ],
            Self::Harvest | Self::SieveAndStore => &[Rule::Handling],
            Self::Apply => OF_APPLYING,
            Self::Brew => &[
                Rule::Handling,
                Rule::TeaAdditives,
                Rule::TeaWater,
                Rule::TeaSafety,
                Rule::TeaShortBrew,
                Rule::TeaRounds,
            ],
            Self::UseTea => OF_USING_TEA,
            Self::BuySacks | Self::UseLot | Self::Water | Self::LetFinish => &[],
        }
    }

    /// Over how many weeks the amount of such a task is spread evenly: of watering the nearest number, else one.
    #[must_use]
    pub fn weeks(self, on: NaiveDate, until: Option<NaiveDate>) -> u32 {
        until.filter(|_| self == Self::Water).map_or(1, |last| weeks(on, last))
    }
}

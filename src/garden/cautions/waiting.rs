//! Waiting times between raw manure and harvest, as dates: a rule of US organic certification, and a sensible floor elsewhere. Local
//! rules, labels and the certifier come first.
//!
//! Raw animal manure is worked into the soil at least 120 days before harvest where the edible part touches soil or soil splash (also
//! when that is not known), 90 days otherwise; there is no wait for crops that are not eaten. A layer left on top does not meet it.

use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{ROUNDING_TOLERANCE, Temperature};
use chrono::{Days, NaiveDate};

/// Days from incorporation to harvest where the edible part touches soil. Source: 7 CFR 205.203(c)(1)(ii).
pub const DAYS_TOUCHING: u64 = 120;
/// Days from incorporation to harvest where it does not. Source: 7 CFR 205.203(c)(1)(iii).
pub const DAYS_CLEAR: u64 = 90;
/// The least temperature of hot composting, C. Source: 7 CFR 205.203(c)(2), 131 F.
pub const STAGE_LOWEST: f64 = 55.0;
/// The greatest temperature of hot composting, C. Source: 7 CFR 205.203(c)(2), 170 F.
pub const STAGE_HIGHEST: f64 = 77.0;
/// Days in a vessel or a static aerated pile. Source: 7 CFR 205.203(c)(2).
pub const STAGE_DAYS: u32 = 3;
/// Days in a turned windrow. Source: 7 CFR 205.203(c)(2).
pub const WINDROW_DAYS: u32 = 15;
/// Turnings of a windrow within these days. Source: 7 CFR 205.203(c)(2).
pub const WINDROW_TURNINGS: u32 = 5;

/// How hot composting was kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Method {
    /// In a closed vessel.
    InVessel,
    /// In a heap that is blown through with air and not turned.
    StaticAeratedPile,
    /// In a long heap that is turned.
    TurnedWindrow,
}

impl Method {
    /// What it is called in a sentence.
    const fn words(self) -> &'static str {
        match self {
            Self::InVessel => "a vessel",
            Self::StaticAeratedPile => "a static aerated pile",
            Self::TurnedWindrow => "a turned windrow",
        }
    }

    /// How many days it must be kept hot.
    const fn days(self) -> u32 {
        match self {
            Self::InVessel | Self::StaticAeratedPile => STAGE_DAYS,
            Self::TurnedWindrow => WINDROW_DAYS,
        }
    }
}

/// Hot composting as it is stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HotComposting {
    /// How it was kept.
    pub method: Method,
    /// For how many days.
    pub days: u32,
    /// The lowest temperature on these days.
    pub lowest: Temperature,
    /// The highest temperature on these days.
    pub highest: Temperature,
    /// How many times the windrow was turned on these days.
    pub turnings: Option<u32>,
}

/// Hot composting that meets the rule; only [`HotComposting::check`] makes one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CompliantHotComposting(HotComposting);

impl CompliantHotComposting {
    /// How it was kept hot.
    #[must_use]
    pub const fn composting(&self) -> &HotComposting {
        &self.0
    }
}

impl HotComposting {
    /// Answers "does hot composting like this make raw manure treated?": 55 to 77 C, for 3 days in a vessel or a static aerated pile, or for 15
    /// days in a windrow with at least five turnings.
    ///
    /// # Errors
    /// Everything that is missing, each at its field: `inconsistent_assumptions`, also where the highest temperature is below the lowest;
    /// `missing_field` for the turnings of a windrow, `not_allowed_here` for those of anything else.
    pub fn check(self) -> Result<CompliantHotComposting, Vec<Refusal>> {
        let wrong: Vec<Refusal> =
            [self.too_short(), self.too_cool(), self.too_hot(), self.turned()].into_iter().flatten().collect();
        if wrong.is_empty() { Ok(CompliantHotComposting(self)) } else { Err(wrong) }
    }

    fn too_short(&self) -> Option<Refusal> {
        let (least, given, where_kept) = (self.method.days(), self.days, self.method.words());
        let detail = format!(
            "{where_kept} must stay hot for at least {least} days; this one has {given}; \
                              {OR_UNTREATED}"
        );
        (given < least).then(|| too_little(detail, "days"))
    }

    fn too_cool(&self) -> Option<Refusal> {
        let lowest = self.lowest.celsius();
        let detail = format!("hot composting must stay at {STAGE_LOWEST} C or above; {OR_UNTREATED}");
        (lowest < STAGE_LOWEST * (1.0 - ROUNDING_TOLERANCE)).then(|| too_little(detail, "lowest"))
    }

    fn too_hot(&self) -> Option<Refusal> {
        let (lowest, highest) = (self.lowest.celsius(), self.highest.celsius());
        if highest < lowest {
            return Some(too_little(
                "the highest temperature is below the lowest; swap them, as in \"lowest\": \"56 \
                                    C\", \"highest\": \"70 C\""
                    .to_owned(),
                "highest",
            ));
        }
        let detail = format!("hot composting must stay at {STAGE_HIGHEST} C or below; {OR_UNTREATED}");
        (highest > STAGE_HIGHEST * (1.0 + ROUNDING_TOLERANCE)).then(|| too_little(detail, "highest"))
    }

    fn turned(&self) -> Option<Refusal> {
        match (self.method, self.turnings) {
            (Method::TurnedWindrow, None) => {
                let detail =
                    format!("add how many times the windrow was turned: at least {WINDROW_TURNINGS}; {OR_UNTREATED}");
                Some(Refusal::new(Reason::MissingField, detail).at("turnings"))
            }
            (Method::TurnedWindrow, Some(given)) if given < WINDROW_TURNINGS => {
                let detail = format!(
                    "a windrow needs at least {WINDROW_TURNINGS} turnings; this one has {given}; \
                             {OR_UNTREATED}"
                );
                Some(too_little(detail, "turnings"))
            }
            (Method::InVessel | Method::StaticAeratedPile, Some(_)) => {
                let detail = "turnings belong to a turned_windrow; leave them out here";
                Some(Refusal::new(Reason::NotAllowedHere, detail).at("turnings"))
            }
            _ => None,
        }
    }
}

/// How to mend hot composting that does not meet the rule.
const OR_UNTREATED: &str = "if it did not, give the manure as untreated";

/// The hot composting contradicts the word `treated`; as a value of its own each may well be.
fn too_little(detail: String, field: &'static str) -> Refusal {
    Refusal::new(Reason::InconsistentAssumptions, detail).at(field)
}

/// What is known about manure in a lot of castings.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Manure {
    /// There was none in the feed.
    NoManure,
    /// It was kept hot as the rule says.
    Treated(CompliantHotComposting),
    /// There was, and no hot composting is shown. Worms and time alone do not treat it.
    Untreated,
    /// Nothing is said; counts as untreated.
    #[default]
    Unknown,
}

impl Manure {
    /// Whether the wait holds for castings of this lot.
    #[must_use]
    pub const fn has_wait(&self) -> bool {
        matches!(self, Self::Untreated | Self::Unknown)
    }
}

/// Where the edible part of a crop grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum EdiblePart {
    /// In soil, on it, or where soil splashes; also when it is not known.
    #[default]
    TouchesSoil,
    /// Well above it.
    NoSoilContact,
    /// Nothing of it is eaten.
    NotEaten,
}

/// What is grown where castings go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Crop {
    /// The day of the first harvest.
    pub first_crop_harvest: Option<NaiveDate>,
    /// Where the edible part grows.
    pub edible_part: EdiblePart,
    /// Whether the castings are worked into the soil on the day on which they are brought.
    pub incorporated: bool,
}

/// Up to which day castings may be brought.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Limit {
    /// On any day.
    #[default]
    Always,
    /// On this day at the latest.
    Until(NaiveDate),
    /// On no day.
    Never,
}

/// The result of the application-to-harvest interval for castings with a wait, brought on some day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Wait {
    /// Nothing of the crop is eaten.
    None,
    /// They are not incorporated, so the rule cannot be met.
    NotIncorporated,
    /// They are incorporated.
    Until {
        /// The earliest harvest: the day they are incorporated, plus 120 or 90 days; `None` where that day is not known.
        earliest_crop_harvest: Option<NaiveDate>,
        /// Whether the first harvest comes before it.
        too_late: bool,
    },
}

impl Crop {
    /// Answers "how many days from incorporation to harvest?": 120 where the edible part touches soil, 90 where it does not, `None` where
    /// nothing is eaten.
    ///
    /// ```
    /// use barrowful::garden::cautions::waiting::{Crop, EdiblePart};
    /// let days = |edible_part| Crop { edible_part, ..Crop::default() }.days();
    /// assert_eq!(days(EdiblePart::TouchesSoil), Some(120));
    /// assert_eq!(days(EdiblePart::NoSoilContact), Some(90));
    /// assert_eq!(days(EdiblePart::NotEaten), None);
    /// ```
    #[must_use]
    pub const fn days(&self) -> Option<u64> {
        match self.edible_part {
            EdiblePart::TouchesSoil => Some(DAYS_TOUCHING),
            EdiblePart::NoSoilContact => Some(DAYS_CLEAR),
            EdiblePart::NotEaten => None,
        }
    }

    /// Answers "on which day at the latest must castings with a wait be in the soil?": first harvest - 120 or 90 days. `None` where
    /// nothing is eaten or no first harvest is given.
    #[must_use]
    pub fn incorporate_by(&self) -> Option<NaiveDate> {
        let harvest = self.first_crop_harvest?;
        Some(harvest.checked_sub_days(Days::new(self.days()?)).unwrap_or(NaiveDate::MIN))
    }

    /// Answers "what does the wait make of castings incorporated on this day?", where they are incorporated at all. The day is that on which they
    /// come into the soil: of tea, the day on which it is used up.
    #[must_use]
    pub fn wait(&self, day: Option<NaiveDate>) -> Wait {
        let Some(days) = self.days() else { return Wait::None };
        if !self.incorporated {
            return Wait::NotIncorporated;
        }
        let earliest_crop_harvest = day.map(|day| day.checked_add_days(Days::new(days)).unwrap_or(NaiveDate::MAX));
        let too_late = earliest_crop_harvest.zip(self.first_crop_harvest).is_some_and(|(from, harvest)| from > harvest);
        Wait::Until { earliest_crop_harvest, too_late }
    }

    /// Answers "up to which day may castings with a wait be taken for this crop?", if they come into the soil `later` days after they
    /// are taken (tea has to brew first): never where they are not incorporated.
    #[must_use]
    pub fn limit(&self, later: u64) -> Limit {
        match self.incorporate_by() {
            _ if self.days().is_none() => Limit::Always,
            _ if !self.incorporated => Limit::Never,
            Some(day) => Limit::Until(day.checked_sub_days(Days::new(later)).unwrap_or(NaiveDate::MIN)),
            None => Limit::Always,
        }
    }
}

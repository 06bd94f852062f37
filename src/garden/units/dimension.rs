//! What quantities measure: words, units and bounds of each dimension.

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    /// Base unit m.
    Length,
    /// Base unit m2.
    Area,
    /// Base unit L.
    Volume,
    /// Base unit kg.
    Mass,
    /// Base unit h.
    Duration,
    /// Base unit C.
    Temperature,
    /// Base unit C.
    TemperatureDifference,
    /// Base unit 1 (`20 %` is 0.2).
    Share,
    /// Base unit kg/m2.
    MassPerArea,
    /// Base unit L/m2.
    VolumePerArea,
    /// Base unit L/m.
    VolumePerLength,
    /// Base unit L for each plant.
    VolumePerPlant,
    /// Base unit kg for each plant.
    MassPerPlant,
    /// Base unit kg/m3.
    Density,
    /// Base unit 1/d: kg of feed for each kg of worms and day.
    FeedRate,
    /// Base unit dS/m: what dissolved salts conduct.
    Conductivity,
    /// A pure number: a ratio of carbon to nitrogen.
    Ratio,
}

impl Dimension {
    /// Every dimension.
    pub const ALL: &'static [Self] = &[
        Self::Length,
        Self::Area,
        Self::Volume,
        Self::Mass,
        Self::Duration,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::Share,
        Self::MassPerArea,
        Self::VolumePerArea,
        Self::VolumePerLength,
        Self::VolumePerPlant,
        Self::MassPerPlant,
        Self::Density,
        Self::FeedRate,
        Self::Conductivity,
        Self::Ratio,
    ];

    /// Whether a container of the caller's, which holds a volume or a mass, is a unit of the dimension or makes one.
    #[must_use]
    pub const fn takes_container(self) -> bool {
        !matches!(
            self,
            Self::Length
                | Self::Area
                | Self::Duration
                | Self::Temperature
                | Self::TemperatureDifference
                | Self::Conductivity
                | Self::Ratio
        )
    }

    /// The dimension in words, for messages: "a length".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Volume => "a volume",
            Self::Mass => "a mass",
            Self::Duration => "a duration",
            Self::Temperature => "a temperature",
            Self::TemperatureDifference => "a temperature difference",
            Self::Share => "a share",
            Self::MassPerArea => "a mass per area",
            Self::VolumePerArea => "a volume per area",
            Self::VolumePerLength => "a volume per length",
            Self::VolumePerPlant => "a volume per plant",
            Self::MassPerPlant => "a mass per plant",
            Self::Density => "a bulk density",
            Self::FeedRate => "a feed rate",
            Self::Conductivity => "an electrical conductivity",
            Self::Ratio => "a ratio",
        }
    }

    /// The dimension as a word for lists: `mass_per_area`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Length => "length",
            Self::Area => "area",
            Self::Volume => "volume",
            Self::Mass => "mass",
            Self::Duration => "duration",
            Self::Temperature => "temperature",
            Self::TemperatureDifference => "temperature_difference",
            Self::Share => "share",
            Self::MassPerArea => "mass_per_area",
            Self::VolumePerArea => "volume_per_area",
            Self::VolumePerLength => "volume_per_length",
            Self::VolumePerPlant => "volume_per_plant",
            Self::MassPerPlant => "mass_per_plant",
            Self::Density => "bulk_density",
            Self::FeedRate => "feed_rate",
            Self::Conductivity => "conductivity",
            Self::Ratio => "ratio",
        }
    }

    /// The unit in which this dimension is held, as written on the wire.
    #[must_use]
    pub const fn base_unit(self) -> &'static str {
        match self {
            Self::Length => "m",
            Self::Area => "m2",
            Self::Volume | Self::VolumePerPlant => "L",
            Self::Mass | Self::MassPerPlant => "kg",
            Self::Duration => "h",
            Self::Temperature | Self::TemperatureDifference => "C",
            Self::Share => "%",
            Self::MassPerArea => "kg/m2",
            Self::VolumePerArea => "L/m2",
            Self::VolumePerLength => "L/m",
            Self::Density => "kg/m3",
            Self::FeedRate => "kg/kg/d",
            Self::Conductivity => "dS/m",
            Self::Ratio => "",
        }
    }

    /// Units of this dimension that are made of others, as examples: any that is made alike is read.
    #[must_use]
    pub const fn compounds(self) -> &'static [&'static str] {
        match self {
            Self::Share => &["mL/L"],
            Self::MassPerArea => &["kg/m2", "g/m2", "t/ha", "kg/ha", "lb/100 ft2", "lb/1000 ft2", "lb/acre"],
            Self::VolumePerArea => &["L/m2", "yd3/1000 ft2", "ft3/ft2"],
            Self::VolumePerLength => &["L/m", "mL/m", "ft3/ft"],
            Self::Density => &["kg/m3", "kg/L", "lb/yd3", "lb/ft3"],
            Self::FeedRate => &["kg/kg/d", "lb/lb/d"],
            Self::Conductivity => &["dS/m", "mS/cm", "mS/m", "uS/cm", "mmho/cm"],
            _ => &[],
        }
    }

    /// The least and greatest value computed with, in the base unit. Each end is chosen so that no garden or farm
    /// comes near it and no product of three quantities leaves the exact range of whole millilitres:
    /// a volume of 10^12 L is 10^15 mL, below 2^53.
    #[must_use]
    pub const fn bounds(self) -> (f64, f64) {
        match self {
            Self::Length => (1e-6, 1e5),
            Self::Area => (1e-6, 1e10),
            Self::Volume | Self::VolumePerPlant => (1e-3, 1e12),
            Self::Mass | Self::MassPerPlant => (1e-6, 1e12),
            Self::Duration => (1e-3, 87_660.0),
            Self::Temperature => (-60.0, 100.0),
            Self::TemperatureDifference => (-60.0, 60.0),
            Self::Share => (0.0, 1.0),
            Self::MassPerArea => (1e-9, 1e5),
            Self::VolumePerArea => (1e-6, 1e6),
            Self::VolumePerLength => (1e-6, 1e6),
            Self::Density => (1.0, 3_000.0),
            Self::FeedRate => (1e-4, 10.0),
            Self::Conductivity => (1e-3, 100.0),
            Self::Ratio => (1.0, 10_000.0),
        }
    }
}

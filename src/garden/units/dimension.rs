//! What quantities measure: words, units and bounds of each dimension.

use crate::garden::closed_list::closed_list;

macro_rules! dimensions {
    ($(
        $(#[$base:meta])*
        $value:ident = $word:literal, $text:literal: $unit:literal, $coherent:literal, $sample:literal, $bounds:expr, $container:literal,
        [$($compound:literal),*];
    )*) => {
        closed_list! {
            /// What a quantity measures; its word is the one for lists.
            #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
            pub enum Dimension {
                $($(#[$base])* $value = $word,)*
            }
        }

        impl Dimension {
            /// The dimension in words, for messages: "a length".
            #[must_use]
            pub const fn text(self) -> &'static str {
                match self { $(Self::$value => $text,)* }
            }

            /// The unit in which this dimension is held, as written on the wire.
            #[must_use]
            pub const fn base_unit(self) -> &'static str {
                match self { $(Self::$value => $unit,)* }
            }

            /// The unit of bare numbers in a formula: the coherent one; none for counts, ratios, and shares as fractions.
            #[must_use]
            pub const fn coherent_unit(self) -> &'static str {
                match self { $(Self::$value => $coherent,)* }
            }

            /// A value of the dimension, as people write it; none of a plain ratio.
            #[must_use]
            pub const fn sample(self) -> &'static str {
                match self { $(Self::$value => $sample,)* }
            }

            /// The least and greatest value computed with, in the base unit. Each end is chosen so that no garden or farm
            /// comes near it and no product of three quantities leaves the exact range of whole millilitres:
            /// a volume of 10^12 L is 10^15 mL, below 2^53.
            #[must_use]
            pub const fn bounds(self) -> (f64, f64) {
                match self { $(Self::$value => $bounds,)* }
            }

            /// Whether a container of the caller's, which holds a volume or a mass, is a unit of the dimension or makes one.
            #[must_use]
            pub const fn takes_container(self) -> bool {
                match self { $(Self::$value => $container,)* }
            }

            /// Units of this dimension that are made of others, as examples: any that is made alike is read.
            #[must_use]
            pub const fn compounds(self) -> &'static [&'static str] {
                match self { $(Self::$value => &[$($compound),*],)* }
            }
        }
    };
}

// Of each: its word, the same in a sentence, base unit, coherent unit, sample, bounds, whether it takes containers, compounds.
dimensions! {
    /// Base unit m.
    Length = "length", "a length": "m", "m", "20 cm", (1e-6, 1e5), false, [];
    /// Base unit m2.
    Area = "area", "an area": "m2", "m2", "6 m2", (1e-6, 1e10), false, [];
    /// Base unit L.
    Volume = "volume", "a volume": "L", "m3", "60 L", (1e-3, 1e12), true, [];
    /// Base unit kg.
    Mass = "mass", "a mass": "kg", "kg", "36 kg", (1e-6, 1e12), true, [];
    /// Base unit h.
    Duration = "duration", "a duration": "h", "h", "24 h", (1e-3, 87_660.0), false, [];
    /// Base unit 1 (`20 %` is 0.2).
    Share = "share", "a share": "%", "", "70 %", (0.0, 1.0), true, ["mL/L"];
    /// Base unit kg/m2.
    MassPerArea = "mass_per_area", "a mass per area": "kg/m2", "kg/m2", "2 kg/m2", (1e-9, 1e5), true,
        ["kg/m2", "g/m2", "t/ha", "kg/ha", "lb/100 ft2", "lb/1000 ft2", "lb/acre"];
    /// Base unit L/m2.
    VolumePerArea = "volume_per_area", "a volume per area": "L/m2", "m3/m2", "2 L/m2", (1e-6, 1e6), true,
        ["L/m2", "yd3/1000 ft2", "ft3/ft2"];
    /// Base unit L/m.
    VolumePerLength = "volume_per_length", "a volume per length": "L/m", "m3/m", "2 L/m", (1e-6, 1e6), true,
        ["L/m", "mL/m", "ft3/ft"];
    /// Base unit L for each plant.
    VolumePerPlant = "volume_per_plant", "a volume per plant": "L", "m3", "60 L", (1e-3, 1e12), true, [];
    /// Base unit kg for each plant.
    MassPerPlant = "mass_per_plant", "a mass per plant": "kg", "kg", "36 kg", (1e-6, 1e12), true, [];
    /// Base unit kg/m3.
    Density = "bulk_density", "a bulk density": "kg/m3", "kg/m3", "600 kg/m3", (1.0, 3_000.0), true,
        ["kg/m3", "kg/L", "lb/yd3", "lb/ft3"];
    /// Base unit C.
    Temperature = "temperature", "a temperature": "C", "C", "15 C", (-60.0, 100.0), false, [];
    /// Base unit C.
    TemperatureDifference = "temperature_difference", "a temperature difference": "C", "C", "15 C", (-60.0, 60.0), false, [];
    /// Base unit 1/d: kg of feed for each kg of worms and day.
    FeedRate = "feed_rate", "a feed rate": "kg/kg/d", "kg/kg/d", "0.5 kg/kg/d", (1e-4, 10.0), true, ["kg/kg/d", "lb/lb/d"];
    /// Base unit dS/m: what dissolved salts conduct.
    Conductivity = "conductivity", "an electrical conductivity": "dS/m", "dS/m", "1.2 dS/m", (1e-3, 100.0), false,
        ["dS/m", "mS/cm", "mS/m", "uS/cm", "mmho/cm"];
    /// A pure number: a ratio of carbon to nitrogen.
    Ratio = "ratio", "a ratio": "", "", "", (1.0, 10_000.0), false, [];
}

//! The table of formulas. A symbol means one thing within its formula; `[Mass]` is a list.

#![expect(non_snake_case, reason = "symbols are written as in the trade: A for an area, V for a volume")]

use super::constants::{
    CONE_ENDS, DAY, DAYS_OF_YEAR, DISC, DOUBLING, ELLIPSOID_ENDS, FRUSTUM, HALF_THEIR_WEIGHT, HOTTEST, MILD,
    ORGANIC_PER_CARBON, PACE_AT_55, PHOSPHATE, POTASH, POUND_ON_SQUARE_FOOT, QUICKER, TOO_HOT,
    WATER_FROM_ORGANIC_MATTER,
};
use super::functions::{abs, ceil, dot, exp, floor, gone, largest, ln, max, min, root, square, sum};
use super::row::{Held, Input, Row, Sign, coherent};
use super::{Definition, Symbol};
use crate::garden::units::{self, Dimension, End, Estimate, Quantified};
use std::f64::consts::PI;

macro_rules! held {
    ([$dimension:ident]) => { Vec<Estimate<<units::$dimension as Quantified>::Of>> };
    ($dimension:ident) => { Estimate<<units::$dimension as Quantified>::Of> };
}

macro_rules! plainly {
    ([$dimension:ident], $value:expr) => {
        $value.copied().unwrap_or_default()
    };
    ($dimension:ident, $value:expr) => {
        $value.and_then(|values| values.first()).copied().unwrap_or(f64::NAN)
    };
}

macro_rules! dimension {
    ([$dimension:ident]) => {
        Dimension::$dimension
    };
    ($dimension:ident) => {
        Dimension::$dimension
    };
}

macro_rules! sign {
    (+) => {
        Sign::Grows
    };
    (-) => {
        Sign::Falls
    };
    (~) => {
        Sign::Neither
    };
}

macro_rules! scale {
    () => {
        Some(1.0)
    };
    (coherent) => {
        None
    };
    ($scale:literal) => {
        Some($scale)
    };
}

macro_rules! formulas {
    ($(
        #[doc = $about:literal]
        $name:ident $id:literal: $result:ident $of:ident $said:literal
        = { $($sign:tt $symbol:ident: $kind:tt $meaning:literal),* $(,)? }
        $expression:expr, $(in $scale:tt,)? [$($constant:ident),*], [$($source:literal),+];
    )*) => {
        /// Which formula. The order is that of the list in the document.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Formula {
            $(#[doc = $about] $name,)*
        }

        impl Formula {
            /// Every formula.
            pub const ALL: &'static [Formula] = &[$(Formula::$name,)*];

            /// Its row of the table.
            #[must_use]
            pub const fn definition(self) -> &'static Definition {
                match self {
                    $(Self::$name => &Definition {
                        id: $id,
                        about: $about,
                        result: Symbol {
                            name: stringify!($result),
                            dimension: Dimension::$of,
                            many: false,
                            meaning: $said,
                            sign: Sign::Neither,
                        },
                        terms: &[$(Symbol {
                            name: stringify!($symbol),
                            dimension: dimension!($kind),
                            many: <held!($kind) as Held>::MANY,
                            meaning: $meaning,
                            sign: sign!($sign),
                        }),*],
                        sources: &[$($source),+],
                        evaluate: |values| {
                            let mut values = values.iter();
                            $(let $symbol = plainly!($kind, values.next());)*
                            $expression
                        },
                        scale: scale!($($scale)?),
                        expression: stringify!($expression),
                        constants: &[$((stringify!($constant), $constant)),*],
                    },)*
                }
            }
        }

        $(
            #[doc = $about]
            #[derive(Debug, Clone, PartialEq)]
            pub struct $name {
                $(#[doc = $meaning] pub $symbol: held!($kind),)*
            }

            impl Row for $name {
                type Of = <units::$of as Quantified>::Of;

                fn definition() -> &'static Definition {
                    const { Formula::$name.definition() }
                }

                fn at(&self, end: End) -> f64 {
                    const SCALE: Option<f64> = scale!($($scale)?);
                    $(let $symbol = Held::at(&self.$symbol, sign!($sign).turn(end), SCALE.is_none());)*
                    ($expression) * SCALE.unwrap_or(1.0 / coherent(Dimension::$of))
                }

                fn each_input(&self, mut tell: impl FnMut(usize, Input)) {
                    let mut term = 0;
                    $(
                        self.$symbol.each(|input| tell(term, input));
                        term += 1;
                    )*
                    let _ = term;
                }
            }
        )*
    };
}

formulas! {
    /// The ground of rectangles.
    Rectangle "rectangle": A Area "ground"
    = { +k: Ratio "how many", +L: Length "length", +W: Length "width" }
    k * L * W, [], ["identity, plane geometry"];
    /// The ground of circles.
    Circle "circle": A Area "ground"
    = { +k: Ratio "how many", +d: Length "diameter" }
    k * PI * square(d) / DISC, [DISC], ["identity, plane geometry"];
    /// The ground of rings.
    Ring "ring": A Area "ground"
    = { +k: Ratio "how many", +D: Length "diameter", -d: Length "inner diameter" }
    k * PI * (square(D) - square(d)) / DISC, [DISC], ["identity, plane geometry"];
    /// The treated bands of rows.
    Rows "rows": A Area "ground"
    = { +k: Ratio "how many rows", +L: Length "length of a row", +b: Length "width of the band" }
    k * L * b, [], ["identity, plane geometry"];
    /// The ground of polygons, by triangles from the first corner (shoelace formula).
    Polygon "polygon": A Area "ground"
    = { +k: Ratio "how many", +t: [Area] "for each side, twice the signed area of its triangle with the first corner" }
    k * abs(sum(t)) / 2.0, [], ["identity, plane geometry"];
    /// Ground that was measured elsewhere.
    PlainArea "plain_area": A Area "ground"
    = { +k: Ratio "how many", +a: Area "area of one" }
    k * a, [], ["identity"];
    /// The length of all rows together.
    RowLength "row_length": R Length "length of all rows"
    = { +k: Ratio "how many rows", +L: Length "length of a row" }
    k * L, [], ["identity"];
    /// Plants in rows, each with its own spacing.
    PlantsInRows "plants_in_rows": N Ratio "plants"
    = { +k: Ratio "how many rows", +L: Length "length of a row", -s: Length "spacing" }
    k * floor(L / s), [], ["identity"];
    /// The mix in pots of one volume.
    Pots "pots": M Volume "mix"
    = { +k: Ratio "how many", +v: Volume "what one holds" }
    k * v, [], ["identity"];
    /// The mix in round pots that widen upwards.
    TaperedPots "tapered_pots": M Volume "mix"
    = { +k: Ratio "how many", +h: Length "height", +D: Length "top diameter", +d: Length "bottom diameter" }
    k * PI * h * (square(D) + D * d + square(d)) / FRUSTUM, in 1000.0, [FRUSTUM], ["identity, solid geometry"];
    /// What lies this deep on ground: a layer, a bed, a fill.
    Layer "layer": V Volume "volume"
    = { +A: Area "ground", +d: Length "depth" }
    A * d, in 1000.0, [], ["identity"];
    /// Castings for a layer that settles to this depth.
    SettledLayer "settled_layer": V Volume "castings, as stored"
    = { +A: Area "ground", +d: Length "depth once settled", +s: Share "share of its depth that the layer loses by settling" }
    A * d / (1.0 - s), in 1000.0, [], ["identity"];
    /// How deep a volume lies on ground.
    Depth "depth": d Length "depth"
    = { +V: Volume "volume", -A: Area "ground" }
    V / A, in 0.001, [], ["identity"];
    /// How deep castings lie once settled.
    SettledDepth "settled_depth": d Length "depth once settled"
    = { +V: Volume "castings, as stored", -A: Area "ground", -s: Share "share of its depth that the layer loses by settling" }
    V * (1.0 - s) / A, in 0.001, [], ["identity"];
    /// A volume over ground.
    VolumePerArea "volume_per_area": V Volume "volume"
    = { +A: Area "ground", +r: VolumePerArea "volume over ground" }
    A * r, [], ["identity"];
    /// A volume along rows.
    VolumePerLength "volume_per_length": V Volume "volume"
    = { +R: Length "length of all rows", +r: VolumePerLength "volume along rows" }
    R * r, [], ["identity"];
    /// A volume for each plant, pot or container.
    VolumePerPlant "volume_per_plant": V Volume "volume"
    = { +k: Ratio "how many", +v: Volume "volume for each" }
    k * v, [], ["identity"];
    /// A volume that goes out several times.
    VolumeOfTimes "volume_of_times": V Volume "volume of all times"
    = { +t: Ratio "how many times", +v: Volume "volume each time" }
    t * v, [], ["identity"];
    /// A mass that goes out several times.
    MassOfTimes "mass_of_times": m Mass "mass of all times"
    = { +t: Ratio "how many times", +u: Mass "mass each time" }
    t * u, [], ["identity"];
    /// Castings as a share of a mix.
    ShareOfMix "share_of_mix": V Volume "castings, as stored"
    = { +M: Volume "mix", +p: Share "castings in the mix, by volume" }
    M * p, [], ["identity"];
    /// The volume along rows that an amount makes.
    AlongRows "along_rows": r VolumePerLength "volume along rows"
    = { +V: Volume "volume", -R: Length "length of all rows" }
    V / R, [], ["identity"];
    /// What an amount makes for each plant, pot or container.
    ForEach "for_each": v Volume "volume for each"
    = { +V: Volume "volume", -k: Ratio "how many" }
    V / k, [], ["identity"];
    /// The share of a mix that an amount of castings makes.
    ShareInMix "share_in_mix": p Share "castings in the mix, by volume"
    = { +V: Volume "castings, as stored", -M: Volume "mix" }
    V / M, [], ["identity"];
    /// The salts that castings bring to a mix: volumes and salts add, and in 5 parts of water the conductivity goes with the salts.
    SaltOfMix "salt_of_mix": K Conductivity "what the castings bring to the mix"
    = { +p: Share "castings in the mix, by volume", +k: Conductivity "castings" }
    k * min(p, 1.0), [], ["mass balance; the extract, 1 part by volume to 5 of water: EN 13038"];
    /// The largest share of castings at which they alone stay below the limit.
    ShareWithinSalt "share_within_salt": p Share "castings in the mix, by volume"
    = { +l: Conductivity "the limit for the mix", -k: Conductivity "castings" }
    min(l / k, 1.0), [], ["mass balance; the extract, 1 part by volume to 5 of water: EN 13038"];
    /// A mass over ground.
    MassPerArea "mass_per_area": m Mass "mass"
    = { +A: Area "ground", +r: MassPerArea "mass over ground" }
    A * r, [], ["identity"];
    /// A mass for each plant or pot.
    MassPerPlant "mass_per_plant": m Mass "mass"
    = { +k: Ratio "how many", +u: Mass "mass for each" }
    k * u, [], ["identity"];
    /// The volume of a mass.
    VolumeOfMass "volume_of_mass": V Volume "volume"
    = { +m: Mass "mass", -rho: Density "bulk density" }
    m / rho, in 1000.0, [], ["identity"];
    /// The mass of a volume.
    MassOfVolume "mass_of_volume": m Mass "mass"
    = { +V: Volume "volume", +rho: Density "bulk density" }
    V * rho, in 0.001, [], ["identity"];
    /// Castings that bring so much nitrogen available in the first season.
    VolumeByNitrogen "volume_by_nitrogen": V Volume "castings, as stored"
    = { +A: Area "ground", +r: MassPerArea "available nitrogen over ground", -rho_d: Density "dry matter in a volume of castings",
        -n: Share "nitrogen in the dry matter", -a: Share "share of the nitrogen available in the first season" }
    A * r / (rho_d * n * a), in 1000.0, [], ["identity"];
    /// The mass of castings that bring so much nitrogen available in the first season.
    MassByNitrogen "mass_by_nitrogen": m Mass "castings, moist"
    = { +A: Area "ground", +r: MassPerArea "available nitrogen over ground", +rho: Density "bulk density of castings",
        -rho_d: Density "dry matter in a volume of castings", -n: Share "nitrogen in the dry matter",
        -a: Share "share of the nitrogen available in the first season" }
    A * r * rho / (rho_d * n * a), [], ["identity"];
    /// A nutrient in a volume of castings.
    NutrientInVolume "nutrient_in_volume": N Mass "the nutrient"
    = { +V: Volume "castings, as stored", +rho_d: Density "dry matter in a volume of castings", +n: Share "the nutrient in the dry matter" }
    V * rho_d * n, in 0.001, [], ["identity"];
    /// Nitrogen available in the first season in a volume of castings.
    AvailableInVolume "available_in_volume": N Mass "available nitrogen"
    = { +V: Volume "castings, as stored", +rho_d: Density "dry matter in a volume of castings", +n: Share "nitrogen in the dry matter",
        +a: Share "share of the nitrogen available in the first season" }
    V * rho_d * n * a, in 0.001, [], ["identity"];
    /// A nutrient in a mass of castings.
    NutrientInMass "nutrient_in_mass": N Mass "the nutrient"
    = { +m: Mass "castings, moist", +rho_d: Density "dry matter in a volume of castings", +n: Share "the nutrient in the dry matter",
        -rho: Density "bulk density of castings" }
    m * rho_d * n / rho, [], ["identity"];
    /// Nitrogen available in the first season in a mass of castings.
    AvailableInMass "available_in_mass": N Mass "available nitrogen"
    = { +m: Mass "castings, moist", +rho_d: Density "dry matter in a volume of castings", +n: Share "nitrogen in the dry matter",
        +a: Share "share of the nitrogen available in the first season", -rho: Density "bulk density of castings" }
    m * rho_d * n * a / rho, [], ["identity"];
    /// Organic matter in a volume of castings.
    OrganicInVolume "organic_in_volume": O Mass "organic matter"
    = { +V: Volume "castings, as stored", +rho_d: Density "dry matter in a volume of castings", -x: Share "ash in the dry matter" }
    V * rho_d * (1.0 - x), in 0.001, [], ["identity"];
    /// Organic matter in a mass of castings.
    OrganicInMass "organic_in_mass": O Mass "organic matter"
    = { +m: Mass "castings, moist", +rho_d: Density "dry matter in a volume of castings", -x: Share "ash in the dry matter",
        -rho: Density "bulk density of castings" }
    m * rho_d * (1.0 - x) / rho, [], ["identity"];
    /// Total nitrogen, where the available nitrogen is wanted.
    NitrogenByAvailable "nitrogen_by_available": N Mass "total nitrogen"
    = { +A: Area "ground", +r: MassPerArea "available nitrogen over ground", -a: Share "share of the nitrogen available in the first season" }
    A * r / a, [], ["identity"];
    /// Another nutrient, where the available nitrogen is wanted.
    NutrientByAvailable "nutrient_by_available": N Mass "the nutrient"
    = { +A: Area "ground", +r: MassPerArea "available nitrogen over ground", +p: Share "the nutrient in the dry matter",
        -n: Share "nitrogen in the dry matter", -a: Share "share of the nitrogen available in the first season" }
    A * r * p / (n * a), [], ["identity"];
    /// Organic matter, where the available nitrogen is wanted.
    OrganicByAvailable "organic_by_available": O Mass "organic matter"
    = { +A: Area "ground", +r: MassPerArea "available nitrogen over ground", -x: Share "ash in the dry matter",
        -n: Share "nitrogen in the dry matter", -a: Share "share of the nitrogen available in the first season" }
    A * r * (1.0 - x) / (n * a), [], ["identity"];
    /// Castings that bring so much of a nutrient.
    VolumeByNutrient "volume_by_nutrient": V Volume "castings, as stored"
    = { +A: Area "ground", +r: MassPerArea "the nutrient over ground", -rho_d: Density "dry matter in a volume of castings",
        -p: Share "the nutrient in the dry matter" }
    A * r / (rho_d * p), in 1000.0, [], ["identity"];
    /// The mass of castings that bring so much of a nutrient.
    MassByNutrient "mass_by_nutrient": m Mass "castings, moist"
    = { +A: Area "ground", +r: MassPerArea "the nutrient over ground", +rho: Density "bulk density of castings",
        -rho_d: Density "dry matter in a volume of castings", -p: Share "the nutrient in the dry matter" }
    A * r * rho / (rho_d * p), [], ["identity"];
    /// A nutrient that comes with so much of another.
    OtherNutrient "other_nutrient": N Mass "the nutrient"
    = { +A: Area "ground", +r: MassPerArea "the other nutrient over ground", +n: Share "the nutrient in the dry matter",
        -p: Share "the other nutrient in the dry matter" }
    A * r * n / p, [], ["identity"];
    /// Nitrogen available in the first season that comes with so much of another nutrient.
    AvailableByNutrient "available_by_nutrient": N Mass "available nitrogen"
    = { +A: Area "ground", +r: MassPerArea "the other nutrient over ground", +n: Share "nitrogen in the dry matter",
        +a: Share "share of the nitrogen available in the first season", -p: Share "the other nutrient in the dry matter" }
    A * r * n * a / p, [], ["identity"];
    /// Organic matter that comes with so much of a nutrient.
    OrganicByNutrient "organic_by_nutrient": O Mass "organic matter"
    = { +A: Area "ground", +r: MassPerArea "the nutrient over ground", -x: Share "ash in the dry matter",
        -p: Share "the nutrient in the dry matter" }
    A * r * (1.0 - x) / p, [], ["identity"];
    /// The phosphorus of a rate of phosphate (P2O5).
    PhosphorusOfPhosphate "phosphorus_of_phosphate": r MassPerArea "phosphorus over ground"
    = { +f: MassPerArea "phosphate over ground" }
    f / PHOSPHATE, [PHOSPHATE], ["standard atomic weights"];
    /// The potassium of a rate of potash (K2O).
    PotassiumOfPotash "potassium_of_potash": r MassPerArea "potassium over ground"
    = { +f: MassPerArea "potash over ground" }
    f / POTASH, [POTASH], ["standard atomic weights"];
    /// The volume of castings with so much dry matter.
    VolumeOfDryMass "volume_of_dry_mass": V Volume "castings, as stored"
    = { +D: Mass "dry matter", -rho_d: Density "dry matter in a volume of castings" }
    D / rho_d, in 1000.0, [], ["identity"];
    /// The moist mass of castings with so much dry matter.
    MassOfDryMass "mass_of_dry_mass": m Mass "castings, moist"
    = { +D: Mass "dry matter", +rho: Density "bulk density of castings", -rho_d: Density "dry matter in a volume of castings" }
    D * rho / rho_d, [], ["identity"];
    /// Dry matter in a volume of castings.
    DryInCastings "dry_in_castings": D Mass "dry matter"
    = { +V: Volume "castings, as stored", +rho_d: Density "dry matter in a volume of castings" }
    V * rho_d, in 0.001, [], ["identity"];
    /// A nutrient in a dry mass of castings.
    NutrientInDryMass "nutrient_in_dry_mass": N Mass "the nutrient"
    = { +D: Mass "dry matter", +n: Share "the nutrient in the dry matter" }
    D * n, [], ["identity"];
    /// Nitrogen available in the first season in a dry mass of castings.
    AvailableInDryMass "available_in_dry_mass": N Mass "available nitrogen"
    = { +D: Mass "dry matter", +n: Share "nitrogen in the dry matter", +a: Share "share of the nitrogen available in the first season" }
    D * n * a, [], ["identity"];
    /// Organic matter in a dry mass of castings.
    OrganicInDryMass "organic_in_dry_mass": O Mass "organic matter"
    = { +D: Mass "dry matter", -x: Share "ash in the dry matter" }
    D * (1.0 - x), [], ["identity"];
    /// Phosphate (P2O5) of phosphorus.
    Phosphate "phosphate": F Mass "phosphate"
    = { +P: Mass "phosphorus" }
    PHOSPHATE * P, [PHOSPHATE], ["standard atomic weights"];
    /// Potash (K2O) of potassium.
    Potash "potash": F Mass "potash"
    = { +K: Mass "potassium" }
    POTASH * K, [POTASH], ["standard atomic weights"];
    /// A mass over its ground.
    PerArea "per_area": q MassPerArea "mass over ground"
    = { +N: Mass "mass", -A: Area "ground" }
    N / A, [], ["identity"];
    /// The phosphate (P2O5) over ground of phosphorus on it.
    PhosphatePerArea "phosphate_per_area": q MassPerArea "phosphate over ground"
    = { +P: Mass "phosphorus", -A: Area "ground" }
    PHOSPHATE * P / A, [PHOSPHATE], ["standard atomic weights"];
    /// The potash (K2O) over ground of potassium on it.
    PotashPerArea "potash_per_area": q MassPerArea "potash over ground"
    = { +K: Mass "potassium", -A: Area "ground" }
    POTASH * K / A, [POTASH], ["standard atomic weights"];
    /// The mass that an amount makes for each plant or pot.
    MassForEach "mass_for_each": u Mass "mass for each"
    = { +m: Mass "mass", -k: Ratio "how many" }
    m / k, [], ["identity"];
    /// The depth of castings that brings so much of a nutrient.
    DepthThatBrings "depth_that_brings": d Length "depth"
    = { +u: MassPerArea "the nutrient over ground", -rho_d: Density "dry matter in a volume of castings", -n: Share "the nutrient in the dry matter" }
    u / (rho_d * n), [], ["identity"];
    /// Castings for each of several places alike.
    VolumeForEach "volume_for_each": v Volume "volume for each"
    = { +V: Volume "volume of all", -k: Ratio "how many" }
    V / k, [], ["identity"];
    /// A volume in one of the caller's containers.
    ContainersOfVolume "containers_of_volume": c Ratio "how many containers"
    = { +V: Volume "volume", -h: Volume "what one holds" }
    V / h, [], ["identity"];
    /// A mass in one of the caller's containers.
    ContainersOfMass "containers_of_mass": c Ratio "how many containers"
    = { +m: Mass "mass", -h: Mass "what one holds" }
    m / h, [], ["identity"];
    /// Volumes together.
    TotalVolume "total_volume": V Volume "all together"
    = { +v: [Volume] "each" }
    sum(v), [], ["identity"];
    /// Masses together.
    TotalMass "total_mass": m Mass "all together"
    = { +u: [Mass] "each" }
    sum(u), [], ["identity"];
    /// The ground of a place that is placed several times: rows within a bed lie on the ground of the bed.
    LargestGround "largest_ground": A Area "ground of the place"
    = { +a: [Area] "ground of each dressing" }
    largest(a), [], ["how this service works"];
    /// How deep all dressings of a place lie together.
    DepthTogether "depth_together": d Length "depth"
    = { +v: [Volume] "castings of each dressing", -A: Area "ground of the place" }
    sum(v) / A, in 0.001, [], ["identity"];
    /// How many times a limit a nutrient over ground is.
    TimesLimit "times_limit": T Ratio "times"
    = { +N: Mass "the nutrient", -A: Area "ground", -r: MassPerArea "the limit, or what crops carry away" }
    N / (A * r), [], ["identity"];
    /// The volume of a round heap.
    Cone "cone": V Volume "heap"
    = { +d: Length "diameter of the base", +h: Length "height" }
    PI * square(d) * h / FRUSTUM, in 1000.0, [FRUSTUM], ["identity, solid geometry"];
    /// The volume in an upright round bin.
    Bin "bin": V Volume "heap"
    = { +d: Length "diameter", +h: Length "height" }
    PI * square(d) * h / DISC, in 1000.0, [DISC], ["identity, solid geometry"];
    /// The volume of a heap between walls, open in front.
    Bay "bay": V Volume "heap"
    = { +L: Length "length half-way up", +w: Length "width", +h: Length "mean height" }
    L * w * h, in 1000.0, [], ["identity, solid geometry"];
    /// A windrow of triangular section with sloped ends.
    Windrow "windrow": V Volume "heap"
    = { +L: Length "length of the base", +w: Length "width of the base", +h: Length "height" }
    (L - CONE_ENDS * w) * w * h / 2.0, in 1000.0, [CONE_ENDS], ["identity, solid geometry: as long as wide it is a cone"];
    /// A windrow of triangular section between walls.
    SquareWindrow "square_windrow": V Volume "heap"
    = { +L: Length "length of the base", +w: Length "width of the base", +h: Length "height" }
    L * w * h / 2.0, in 1000.0, [], ["identity, solid geometry"];
    /// A windrow with a round back and sloped ends.
    RoundWindrow "round_windrow": V Volume "heap"
    = { +L: Length "length of the base", +w: Length "width of the base", +h: Length "height" }
    PI * (L - ELLIPSOID_ENDS * w) * w * h / DISC, in 1000.0, [ELLIPSOID_ENDS, DISC],
    ["identity, solid geometry: as long as wide it is half an ellipsoid"];
    /// A windrow with a round back between walls.
    SquareRoundWindrow "square_round_windrow": V Volume "heap"
    = { +L: Length "length of the base", +w: Length "width of the base", +h: Length "height" }
    PI * L * w * h / DISC, in 1000.0, [DISC], ["identity, solid geometry"];
    /// What is ready.
    Ready "ready": R Volume "ready"
    = { +V: Volume "everything in the bed", +q: Share "share that is finished" }
    V * q, [], ["identity"];
    /// What is not ready.
    Unfinished "unfinished": S Volume "not ready"
    = { +V: Volume "everything in the bed", -R: Volume "finished" }
    V - R, [], ["identity"];
    /// What passes the sieve.
    Sieved "sieved": C Volume "castings, as moist as they lie"
    = { +R: Volume "ready", +p: Share "share that passes the sieve" }
    R * p, [], ["identity"];
    /// What the sieve holds back.
    Oversize "oversize": S Volume "held back"
    = { +R: Volume "ready", -p: Share "share that passes the sieve" }
    R * (1.0 - p), [], ["identity"];
    /// Castings out of the bed, once they lie in store: dry matter is kept.
    Stored "stored": V Volume "castings in store"
    = { +C: Volume "castings in the bed", +rho_b: Density "dry matter in a volume in the bed", -rho_d: Density "dry matter in a volume in store" }
    C * rho_b / rho_d, [], ["identity: dry matter is kept"];
    /// Their mass in store.
    StoredMass "stored_mass": m Mass "castings in store, moist"
    = { +C: Volume "castings in the bed", +rho_b: Density "dry matter in a volume in the bed", +rho: Density "bulk density in store",
        -rho_d: Density "dry matter in a volume in store" }
    C * rho_b * rho / rho_d, in 0.001, [], ["identity: dry matter is kept"];
    /// Dry matter in a volume.
    DryInVolume "dry_in_volume": D Mass "dry matter"
    = { +C: Volume "castings in the bed", +rho_b: Density "dry matter in a volume in the bed" }
    C * rho_b, in 0.001, [], ["identity"];
    /// Dry matter in moist feed.
    DryMatter "dry_matter": D Mass "dry matter"
    = { +m: Mass "moist", -w: Share "moisture, wet basis" }
    m * (1.0 - w), [], ["identity"];
    /// Dry matter of all that a bed was fed.
    DryMatterFed "dry_matter_fed": D Mass "dry matter"
    = { +m: [Mass] "each feeding, moist", -w: Share "moisture, wet basis" }
    sum(m) * (1.0 - w), [], ["identity"];
    /// The moisture of what is moist.
    Moisture "moisture": w Share "moisture, wet basis"
    = { -D: Mass "dry matter", +m: Mass "moist" }
    1.0 - D / m, [], ["identity"];
    /// The moisture of castings in store.
    StoreMoisture "store_moisture": w Share "moisture, wet basis"
    = { -rho_d: Density "dry matter in a volume of castings", +rho: Density "bulk density of castings" }
    1.0 - rho_d / rho, [], ["identity"];
    /// Organic matter lost, measured by the ash before and after: ash is neither made nor lost.
    LossByAsh "loss_by_ash": lambda Share "share of the organic matter that was lost"
    = { -x: Share "ash in the dry matter of the feed", +y: Share "ash in the dry matter of the castings" }
    1.0 - x * (1.0 - y) / (y * (1.0 - x)), [], ["identity: ash is neither made nor lost; after Paredes et al. 2000"];
    /// Dry castings of dry feed: ash is kept, organic matter less its loss.
    Kept "kept": f Share "castings over feed, dry matter"
    = { +x: Share "ash in the dry matter of the feed", -lambda: Share "share of the organic matter that is lost" }
    x + (1.0 - x) * (1.0 - lambda), [], ["identity: ash is neither made nor lost"];
    /// The dry matter of castings, of what was fed.
    DryCastings "dry_castings": C Mass "castings before the sieve, dry matter"
    = { +D: Mass "feed, dry matter", +x: Share "ash in the dry matter of the feed", -lambda: Share "share of the organic matter that is lost" }
    D * (x + (1.0 - x) * (1.0 - lambda)), [], ["identity: ash is neither made nor lost"];
    /// The dry matter of sieved castings.
    SievedDry "sieved_dry": S Mass "sieved castings, dry matter"
    = { +C: Mass "castings before the sieve, dry matter", +p: Share "share that passes the sieve" }
    C * p, [], ["identity"];
    /// Sieved castings of feed, dry matter.
    SievedOfFeed "sieved_of_feed": S Mass "sieved castings, dry matter"
    = { +D: Mass "feed, dry matter", +x: Share "ash in the dry matter of the feed", -lambda: Share "share of the organic matter that is lost",
        +p: Share "share that passes the sieve" }
    D * (x + (1.0 - x) * (1.0 - lambda)) * p, [], ["identity: ash is neither made nor lost"];
    /// Sieved castings in store, by volume.
    SievedInStore "sieved_in_store": V Volume "castings in store"
    = { +C: Mass "castings before the sieve, dry matter", +p: Share "share that passes the sieve", -rho_d: Density "dry matter in a volume in store" }
    C * p / rho_d, in 1000.0, [], ["identity"];
    /// Sieved castings in store, by mass.
    SievedMass "sieved_mass": m Mass "castings in store, moist"
    = { +C: Mass "castings before the sieve, dry matter", +p: Share "share that passes the sieve", +rho: Density "bulk density in store",
        -rho_d: Density "dry matter in a volume in store" }
    C * p * rho / rho_d, [], ["identity"];
    /// What the sieve holds back, in store.
    HeldBack "held_back": V Volume "held back, in store"
    = { +C: Mass "castings before the sieve, dry matter", -p: Share "share that passes the sieve", -rho_d: Density "dry matter in a volume in store" }
    C * (1.0 - p) / rho_d, in 1000.0, [], ["identity"];
    /// Dry matter as it lies in store, by volume.
    DryInStore "dry_in_store": V Volume "castings in store"
    = { +S: Mass "sieved castings, dry matter", -rho_d: Density "dry matter in a volume in store" }
    S / rho_d, in 1000.0, [], ["identity"];
    /// Dry matter as it lies in store, by mass.
    DryInStoreMass "dry_in_store_mass": m Mass "castings in store, moist"
    = { +S: Mass "sieved castings, dry matter", +rho: Density "bulk density in store", -rho_d: Density "dry matter in a volume in store" }
    S * rho / rho_d, [], ["identity"];
    /// Castings before the sieve, as they lie in the bed.
    InBed "in_bed": V Volume "castings in the bed"
    = { +C: Mass "castings before the sieve, dry matter", -rho_b: Density "dry matter in a volume in the bed" }
    C / rho_b, in 1000.0, [], ["identity"];
    /// Castings of feed before the sieve, as they lie in the bed.
    LotInBed "lot_in_bed": V Volume "castings in the bed"
    = { +D: Mass "feed, dry matter", +x: Share "ash in the dry matter of the feed", -lambda: Share "share of the organic matter that is lost",
        -rho_b: Density "dry matter in a volume in the bed" }
    D * (x + (1.0 - x) * (1.0 - lambda)) / rho_b, in 1000.0, [], ["identity: ash is neither made nor lost"];
    /// What the sieve holds back of castings of feed, in store.
    LotHeldBack "lot_held_back": V Volume "held back, in store"
    = { +D: Mass "feed, dry matter", +x: Share "ash in the dry matter of the feed", -lambda: Share "share of the organic matter that is lost",
        -p: Share "share that passes the sieve", -rho_d: Density "dry matter in a volume in store" }
    D * (x + (1.0 - x) * (1.0 - lambda)) * (1.0 - p) / rho_d, in 1000.0, [], ["identity: ash is neither made nor lost"];
    /// Sieved castings of a bed that was running already, dry matter.
    SievedOfRunning "sieved_of_running": S Mass "sieved castings, dry matter"
    = { +C: Mass "castings in the bed at the start, dry matter", +D: Mass "feed, dry matter", +x: Share "ash in the dry matter of the feed",
        -lambda: Share "share of the organic matter that is lost", +p: Share "share that passes the sieve" }
    (C + D * (x + (1.0 - x) * (1.0 - lambda))) * p, [], ["identity: ash is neither made nor lost"];
    /// Castings before the sieve, as they lie in a bed that was running already.
    RunningInBed "running_in_bed": V Volume "castings in the bed"
    = { +C: Mass "castings in the bed at the start, dry matter", +D: Mass "feed, dry matter", +x: Share "ash in the dry matter of the feed",
        -lambda: Share "share of the organic matter that is lost", -rho_b: Density "dry matter in a volume in the bed" }
    (C + D * (x + (1.0 - x) * (1.0 - lambda))) / rho_b, in 1000.0, [], ["identity: ash is neither made nor lost"];
    /// What the sieve holds back of a bed that was running already, in store.
    RunningHeldBack "running_held_back": V Volume "held back, in store"
    = { +C: Mass "castings in the bed at the start, dry matter", +D: Mass "feed, dry matter", +x: Share "ash in the dry matter of the feed",
        -lambda: Share "share of the organic matter that is lost", -p: Share "share that passes the sieve",
        -rho_d: Density "dry matter in a volume in store" }
    (C + D * (x + (1.0 - x) * (1.0 - lambda))) * (1.0 - p) / rho_d, in 1000.0, [], ["identity: ash is neither made nor lost"];
    /// Dry matter in a volume of feed.
    DryInFeed "dry_in_feed": D Mass "feed, dry matter"
    = { +V: Volume "feed as it lies", +rho_f: Density "dry matter in a volume of feed" }
    V * rho_f, in 0.001, [], ["identity"];
    /// The volume of feed of which the dry matter is known.
    VolumeOfDry "volume_of_dry": V Volume "feed as it lies"
    = { +D: Mass "feed, dry matter", -rho_f: Density "dry matter in a volume of feed" }
    D / rho_f, in 1000.0, [], ["identity"];
    /// The moist mass of feed of which the dry matter is known.
    MoistOfDry "moist_of_dry": m Mass "feed, moist"
    = { +D: Mass "feed, dry matter", +w: Share "moisture, wet basis" }
    D / (1.0 - w), [], ["identity"];
    /// A bed's part of feed that beds share by their ground.
    PartByGround "part_by_ground": f Mass "feed of the bed, dry matter"
    = { +F: Mass "feed of all, dry matter", ~A: Area "ground of the bed", ~a: [Area] "ground of each" }
    F * (A / sum(a)), [], ["how this service works"];
    /// Feed that is not laid yet.
    LeftToLay "left_to_lay": D Mass "feed, dry matter"
    = { +F: [Mass] "all that comes, dry matter", -u: [Mass] "each layer so far, dry matter" }
    max(0.0, sum(F) - sum(u)), [], ["identity"];
    /// How deep a bed lies that holds feed and castings.
    BedDepth "bed_depth": d Length "depth of the bed"
    = { +U: Mass "feed not worked, dry matter", +C: Mass "castings, dry matter", -rho_f: Density "dry matter in a volume of feed",
        -rho_b: Density "dry matter in a volume in the bed", -A: Area "ground" }
    (U / rho_f + C / rho_b) / A, [], ["identity"];
    /// Water that comes in with feed.
    WaterInFeed "water_in_feed": W Volume "water"
    = { +D: Mass "feed, dry matter", +w: Share "moisture, wet basis", -rho_w: Density "density of water" }
    D * w / ((1.0 - w) * rho_w), in 1000.0, [], ["identity"];
    /// Worms once they have worked some feed: they grow in number towards what the ground carries.
    WormsAfter "worms_after": B Mass "worms"
    = { +b: Mass "worms before", ~k: MassPerArea "worms that the ground carries", ~A: Area "ground", ~w: Mass "feed worked since, dry matter",
        ~T: Duration "time in which few worms double, on warm days", ~f: FeedRate "dry feed worked by worms in a warm day" }
    b + (k * A - b) * gone(DOUBLING * w / T / f / k / A), [DOUBLING],
    ["logistic growth dB/dt = r B (1 - B/K) and feeding dW/dt = f B, with r = ln 2 / T and K = k A, and time taken out"];
    /// Worms that start the next cycle.
    WormsBack "worms_back": b Mass "worms"
    = { +B: Mass "worms at the end of the one before", +q: Share "share of them that is got back" }
    B * q, [], ["identity"];
    /// Feed a day, of what comes over some days.
    FeedADay "feed_a_day": D Mass "feed a day, dry matter"
    = { +F: Mass "feed of these days, dry matter", -n: Ratio "days" }
    F / n, [], ["identity"];
    /// Feed of a year, of what comes a day.
    FeedAYear "feed_a_year": F Mass "feed of a year, dry matter"
    = { +D: Mass "feed a day, dry matter" }
    D * DAYS_OF_YEAR, [DAYS_OF_YEAR], ["identity"];
    /// Feed of some weeks, of what comes a day.
    FeedAWeek "feed_a_week": F Mass "feed of a week, dry matter"
    = { +D: Mass "feed a day, dry matter", +n: Ratio "days" }
    D * n, [], ["identity"];
    /// Worms that eat steady feed as it comes.
    WormsToEat "worms_to_eat": B Mass "worms"
    = { +D: Mass "feed a day, dry matter", -f: FeedRate "dry feed eaten by worms in a warm day", -g: Share "warm days over all days" }
    D / (f * g), [], ["feeding f B g a day, set equal to what comes"];
    /// Worms that lack.
    WormsToBuy "worms_to_buy": b Mass "worms to buy"
    = { +B: Mass "worms wanted", -w: Mass "worms that are there" }
    max(0.0, B - w), [], ["identity"];
    /// Ground for worms.
    GroundForWorms "ground_for_worms": A Area "ground"
    = { +B: Mass "worms", -r: MassPerArea "worms over ground" }
    B / r, [], ["identity"];
    /// When worms are enough that grow in number towards what the ground carries.
    WarmDaysUntilEnough "warm_days_until_enough": t Duration "warm days with feed"
    = { ~T: Duration "time in which few worms double, on warm days", ~k: MassPerArea "worms that the ground carries", ~A: Area "ground",
        ~b: Mass "worms at the start", ~B: Mass "worms that are enough" }
    T * ln((k * A / b - 1.0) / (k * A / B - 1.0)) / ln(2.0), [],
    ["logistic growth dB/dt = r B (1 - B/K) with r = ln 2 / T and K = k A, solved for the time"];
    /// The ground of a bin that is filled to a depth.
    GroundOfBin "ground_of_bin": a Area "ground of a bin"
    = { +V: Volume "what it holds", -d: Length "depth of the bed" }
    V / d, in 0.001, [], ["identity"];
    /// Bins for ground.
    BinsForGround "bins_for_ground": n Ratio "bins"
    = { +A: Area "ground", -a: Area "ground of a bin" }
    ceil(A / a), [], ["identity"];
    /// The ground of bins.
    GroundOfBins "ground_of_bins": A Area "ground"
    = { +n: Ratio "bins", +a: Area "ground of a bin" }
    n * a, [], ["identity"];
    /// Worms for feed by a rule of thumb: half their weight a day, fresh.
    WormsByThumb "worms_by_thumb": B Mass "worms"
    = { +m: Mass "feed a day, moist" }
    m / HALF_THEIR_WEIGHT, [HALF_THEIR_WEIGHT], ["common practice, no source"];
    /// Ground for worms by a rule of thumb: a pound on a square foot.
    GroundByThumb "ground_by_thumb": A Area "ground"
    = { +B: Mass "worms" }
    B / POUND_ON_SQUARE_FOOT, [POUND_ON_SQUARE_FOOT], ["common practice, no source"];
    /// Moist castings before the sieve over moist feed.
    OfFreshFeed "of_fresh_feed": f Share "castings over feed, moist"
    = { +C: Mass "castings before the sieve, dry matter", +rho: Density "bulk density in store", -rho_d: Density "dry matter in a volume in store",
        -m: Mass "feed, moist" }
    C * rho / (rho_d * m), [], ["identity"];
    /// A part of the feed that is kept whole (ash, P, K), in the castings.
    Concentrated "concentrated": y Share "in the dry matter of the castings"
    = { +x: Share "in the dry matter of the feed", -f: Share "castings over feed, dry matter" }
    x / f, [], ["identity: it is neither made nor lost"];
    /// Nitrogen in the castings.
    NitrogenKept "nitrogen_kept": y Share "nitrogen in the dry matter of the castings"
    = { +n: Share "nitrogen in the dry matter of the feed", +r: Share "share of the nitrogen that is kept", -f: Share "castings over feed, dry matter" }
    n * r / f, [], ["identity"];
    /// Nitrogen in the castings, by the ash of the feed and its loss.
    NitrogenOfLot "nitrogen_of_lot": y Share "nitrogen in the dry matter of the castings"
    = { +n: Share "nitrogen in the dry matter of the feed", +r: Share "share of the nitrogen that is kept", -x: Share "ash in the dry matter of the feed",
        +lambda: Share "share of the organic matter that is lost" }
    n * r / (x + (1.0 - x) * (1.0 - lambda)), [], ["identity: ash is neither made nor lost"];
    /// Carbon in dry matter: all that is no ash is organic matter.
    CarbonOfAsh "carbon_of_ash": c Share "carbon in the dry matter"
    = { -x: Share "ash in the dry matter" }
    (1.0 - x) / ORGANIC_PER_CARBON, [ORGANIC_PER_CARBON], ["organic matter / carbon = 1.8: a rule of composting; attributed to Cornell"];
    /// Ash in dry matter: all that is no organic matter.
    AshOfCarbon "ash_of_carbon": x Share "ash in the dry matter"
    = { -c: Share "carbon in the dry matter" }
    max(0.0, 1.0 - ORGANIC_PER_CARBON * c), [ORGANIC_PER_CARBON],
    ["organic matter / carbon = 1.8: a rule of composting; attributed to Cornell"];
    /// Carbon over nitrogen of castings, of what was fed.
    RatioOfCastings "ratio_of_castings": R Ratio "carbon over nitrogen"
    = { -x: Share "ash in the dry matter of the feed", -lambda: Share "share of the organic matter that is lost",
        -n: Share "nitrogen in the dry matter of the feed", -r: Share "share of the nitrogen that is kept" }
    (1.0 - x) * (1.0 - lambda) / (ORGANIC_PER_CARBON * n * r), [ORGANIC_PER_CARBON],
    ["organic matter / carbon = 1.8: a rule of composting; attributed to Cornell"];
    /// The gap between two figures.
    Gap "gap": g Mass "gap"
    = { ~a: Mass "one figure", ~b: Mass "the other" }
    abs(a - b), [], ["identity"];
    /// The gap over the larger figure.
    GapShare "gap_share": s Share "gap over the larger"
    = { +g: Mass "gap", -a: Mass "one figure", -b: Mass "the other" }
    g / max(a, b), [], ["identity"];
    /// Water to brew with, where the tea is wanted.
    BrewWater "brew_water": W Volume "water to brew with"
    = { +T: Volume "tea after dilution", -k: Ratio "water added to one part of tea" }
    T / (1.0 + k), [], ["identity"];
    /// Tea after dilution; the water that castings hold back is not taken off.
    Tea "tea": T Volume "tea after dilution"
    = { +W: Volume "water to brew with", +k: Ratio "water added to one part of tea" }
    W * (1.0 + k), [], ["identity"];
    /// Water added to the tea before use.
    DilutionWater "dilution_water": U Volume "water to add"
    = { +W: Volume "water to brew with", +k: Ratio "water added to one part of tea" }
    W * k, [], ["identity"];
    /// Castings for tea.
    CastingsForTea "castings_for_tea": C Volume "castings"
    = { +W: Volume "water to brew with", +s: Share "castings over water, by volume" }
    W * s, [], ["identity"];
    /// The water of one of equal batches.
    Batch "batch": b Volume "water of one batch"
    = { ~W: Volume "water to brew with", +H: Volume "what a vessel holds" }
    W / ceil(W / H), [], ["identity"];
    /// How many times all vessels are filled.
    Rounds "rounds": z Ratio "rounds"
    = { +W: Volume "water to brew with", -H: Volume "what a vessel holds", -k: Ratio "how many vessels" }
    ceil(ceil(W / H) / k), [], ["identity"];
    /// The water of one round.
    OneRound "one_round": B Volume "water of one round"
    = { +H: Volume "what a vessel holds", +k: Ratio "how many vessels" }
    H * k, [], ["identity"];
    /// Castings over water, where all of them are brewed in one round.
    Stronger "stronger": s Share "castings over water, by volume"
    = { +C: Volume "castings", -B: Volume "water of one round" }
    C / B, [], ["identity"];
    /// Water to add to a stronger brew.
    ThenAdd "then_add": U Volume "water to add"
    = { +T: Volume "tea after dilution", -B: Volume "water of one round" }
    T - B, [], ["identity"];
    /// What a demand lacks.
    Short "short": s Volume "short"
    = { +w: Volume "wanted", -g: Volume "given" }
    w - g, [], ["identity"];
    /// Given over wanted.
    ShareAllocated "share_allocated": p Share "share given"
    = { +g: Volume "given", -w: Volume "wanted" }
    g / w, [], ["identity"];
    /// What lots bring of what a demand counts (mass, dry mass or a nutrient), over what it needs of it.
    ShareSupplied "share_supplied": p Share "share supplied"
    = { +s: Mass "what the lots bring", -w: Mass "needed" }
    s / w, [], ["identity"];
    /// What is left of a lot.
    LeftOver "left_over": l Volume "left over"
    = { +a: Volume "the lot", -g: Volume "given", -e: Volume "not used by its use-by" }
    a - g - e, [], ["identity"];
    /// What is left of a harvest.
    LeftOfHarvest "left_of_harvest": l Volume "left over"
    = { +a: Volume "the harvest", -g: Volume "given" }
    a - g, [], ["identity"];
    /// What is left of the width of a range once a value is known that a share of its variance comes from.
    RangeIfKnown "range_if_known": r Share "of the width"
    = { -S: Share "first-order share of the variance" }
    root(1.0 - S), [], ["identity: the width goes as the root of the variance"];
    /// What is on hand at the end of a day.
    OnHand "on_hand": l Volume "on hand"
    = { +b: Volume "on hand before", +a: Volume "arrived", -g: Volume "given", -e: Volume "not used by its use-by" }
    b + a - g - e, [], ["identity"];
    /// The volume of feed that nobody weighed.
    VolumeOfFeed "volume_of_feed": V Volume "feed as it lies"
    = { +m: Mass "feed, moist", -w: Share "moisture, wet basis", -rho_f: Density "dry matter in a volume of feed" }
    m * (1.0 - w) / rho_f, in 1000.0, [], ["identity"];
    /// The mass of feed that nobody weighed.
    MassOfFeed "mass_of_feed": m Mass "feed, moist"
    = { +V: Volume "feed as it lies", +w: Share "moisture, wet basis", +rho_f: Density "dry matter in a volume of feed" }
    V * rho_f / (1.0 - w), in 0.001, [], ["identity"];
    /// Carbon over nitrogen of a material.
    RatioOfMaterial "ratio_of_material": R Ratio "carbon over nitrogen"
    = { +c: Share "carbon in the dry matter", -n: Share "nitrogen in the dry matter" }
    c / n, [], ["identity"];
    /// Carbon of a material by its ratio.
    CarbonOfRatio "carbon_of_ratio": c Share "carbon in the dry matter"
    = { +n: Share "nitrogen in the dry matter", +q: Ratio "carbon over nitrogen" }
    n * q, [], ["identity"];
    /// Water that a material takes up when it is soaked.
    Soak "soak": W Volume "water taken up"
    = { +m: Mass "material, moist", -w: Share "its moisture", +s: Share "its moisture once soaked and drained", -rho_w: Density "density of water" }
    m * max(0.0, (1.0 - w) / (1.0 - s) - 1.0) / rho_w, in 1000.0, [], ["identity: the dry matter is kept"];
    /// Water that a material is stirred into.
    Rehydration "rehydration": W Volume "water"
    = { +m: Mass "material, moist", +u: Volume "water for each kilogram" }
    m * u, [], ["identity"];
    /// The moisture of a material when it is mixed.
    MoistureMixed "moisture_mixed": y Share "moisture when it is mixed"
    = { +w: Share "its moisture before", -m: Mass "material, moist", +W: Volume "water added", +rho_w: Density "density of water" }
    (w * m + W * rho_w) / (m + W * rho_w), in coherent, [], ["identity"];
    /// Water in a soak with starter.
    SoakWater "soak_water": S Volume "water for the soak"
    = { +W: [Volume] "what each soaked material takes up", -q: Share "starter over water" }
    sum(W) / (1.0 + q), [], ["identity"];
    /// Starter in a soak.
    StarterInSoak "starter": U Volume "starter"
    = { +S: Volume "water for the soak", +q: Share "starter over water" }
    S * q, [], ["identity"];
    /// Water to add when mixing, so that the mix has the moisture wanted.
    ExtraWater "extra_water": E Volume "water to add"
    = { +D: [Mass] "dry matter of each material", +g: Share "moisture wanted", -m: [Mass] "each material, moist", -w: [Share] "its moisture",
        -W: [Volume] "water added to it", ~rho_w: Density "density of water" }
    (sum(D) * g / (1.0 - g) - dot(m, w)) / rho_w - sum(W), in coherent, [], ["identity"];
    /// What solids and water of a material fill, without the air between its pieces.
    SolidsAndWater "solids_and_water": S Volume "solids and water"
    = { +m: Mass "material, moist", +w: Share "its moisture", +W: Volume "water added to it", -rho_p: Density "density of the particles",
        -rho_w: Density "density of water" }
    m * ((1.0 - w) / rho_p + w / rho_w) + W, in coherent, [], ["identity; the density of the particles is an assumption"];
    /// The volume of a material after a step that takes air from between its pieces: shredding, soaking.
    Settled "settled": v Volume "volume after the step"
    = { +V: Volume "volume before", +S: Volume "solids and water", +k: Share "share of the air that is left" }
    S + k * max(0.0, V - S), [], ["identity: solids and water keep their volume"];
    /// The volume of a material that is stirred into water: the water fills the pores first.
    StirredIn "stirred_in": v Volume "volume in its water"
    = { +V: Volume "volume before", +S: Volume "solids and water" }
    max(V, S), [], ["identity: solids and water keep their volume"];
    /// The mass of a mix.
    MixMass "mix_mass": M Mass "mix"
    = { +m: [Mass] "each material, moist", +W: [Volume] "water added to it", +E: Volume "water to add when mixing", +rho_w: Density "density of water" }
    sum(m) + (sum(W) + E) * rho_w, in coherent, [], ["identity"];
    /// The volume of a mix of pieces of different size: fines fill voids.
    MixVolume "mix_volume": V Volume "mix"
    = { +v: [Volume] "each material", +f: Share "volume of the mix over the summed volumes" }
    sum(v) * f, [], ["identity"];
    /// The bulk density of a mix.
    MixDensity "mix_density": rho Density "bulk density"
    = { +M: Mass "mix", -V: Volume "its volume" }
    M / V, in 1000.0, [], ["identity"];
    /// Carbon, nitrogen or ash of a mix.
    PartOfMix "part_of_mix": P Mass "the part in the mix"
    = { +D: [Mass] "dry matter of each material", +y: [Share] "the part in it" }
    dot(D, y), [], ["identity"];
    /// Carbon over nitrogen of a mix: a quotient of sums, never a mean of ratios.
    MixRatio "mix_ratio": R Ratio "carbon over nitrogen"
    = { ~D: [Mass] "dry matter of each material", +c: [Share] "carbon in it", -n: [Share] "nitrogen in it" }
    dot(D, c) / dot(D, n), [], ["identity"];
    /// Nitrogen in the dry matter of a mix.
    MixNitrogen "mix_nitrogen": N Share "nitrogen in the dry matter of the mix"
    = { ~D: [Mass] "dry matter of each material", +n: [Share] "nitrogen in it" }
    dot(D, n) / sum(D), [], ["identity"];
    /// The share of air in a mix.
    AirSpace "air_space": a Share "air over volume"
    = { ~D: Mass "dry matter", ~V: Volume "volume", -M: Mass "moist", +rho_p: Density "density of the particles", ~rho_w: Density "density of water" }
    1.0 - D / (V * rho_p) - (M - D) / (V * rho_w), in coherent, [], ["identity; the density of the particles is an assumption"];
    /// The first layer: as deep as usual, or all there is.
    FirstLayer "first_layer": v Volume "first layer"
    = { +A: Area "ground", +d: Length "depth", +V: Volume "mix" }
    min(A * d, V), in coherent, [], ["identity"];
    /// How many full layers there are after the first.
    LaterLayers "later_layers": k Ratio "later layers"
    = { +V: Volume "mix", -a: Volume "first layer", -b: Volume "each of them" }
    floor((V - a) / b), [], ["identity"];
    /// What is left for a last layer.
    LastLayer "last_layer": v Volume "last layer"
    = { +V: Volume "mix", -a: Volume "first layer", -k: Ratio "later layers", -b: Volume "each of them" }
    V - a - k * b, [], ["identity"];
    /// The pace of hot composting at a temperature, over that at 55 C.
    HeatPace "heat_pace": g Ratio "pace over that at 55 C"
    = { ~T: Temperature "temperature of the heap, C" }
    max(0.0, exp(QUICKER * (T - MILD)) - exp(TOO_HOT * (T - HOTTEST))) / PACE_AT_55, [QUICKER, MILD, TOO_HOT, HOTTEST, PACE_AT_55],
    ["Haug 1993, The Practical Handbook of Compost Engineering"];
    /// Dry matter when the worms get it: hot composting takes organic matter only, each day a share of what is left.
    AfterHotComposting "after_hot_composting": I Mass "dry matter after hot composting"
    = { +D: [Mass] "dry matter of each material", +y: [Share] "ash in it", -k: Share "share of the organic matter lost in a day at 55 C",
        -g: Ratio "pace over that at 55 C", -t: Duration "time of hot composting" }
    dot(D, y) + (sum(D) - dot(D, y)) / exp(k * g * t / DAY), [DAY], ["first-order loss; ash is neither made nor lost"];
    /// Carbon or nitrogen that hot composting loses, each day a share of what is left.
    LostInHeat "lost_in_heat": L Mass "lost in hot composting"
    = { +M: Mass "in the mix", +k: Share "share of it lost in a day at 55 C", +g: Ratio "pace over that at 55 C",
        +t: Duration "time of hot composting" }
    M * gone(k * g * t / DAY), [DAY], ["first-order loss"];
    /// Dry matter that hot composting loses.
    DryLostInHeat "dry_lost_in_heat": L Mass "dry matter lost in hot composting"
    = { +D: [Mass] "dry matter of each material", -y: [Share] "ash in it", +k: Share "share of the organic matter lost in a day at 55 C",
        +g: Ratio "pace over that at 55 C", +t: Duration "time of hot composting" }
    (sum(D) - dot(D, y)) * gone(k * g * t / DAY), [DAY], ["first-order loss; ash is neither made nor lost"];
    /// The volume after hot composting: as much dry matter in each litre as before.
    VolumeAfterHeat "volume_after_heat": v Volume "volume after hot composting"
    = { +V: Volume "mix", ~D: [Mass] "dry matter of each material", +y: [Share] "ash in it",
        -k: Share "share of the organic matter lost in a day at 55 C", -g: Ratio "pace over that at 55 C", -t: Duration "time of hot composting" }
    V * (dot(D, y) / sum(D) + (1.0 - dot(D, y) / sum(D)) / exp(k * g * t / DAY)), [DAY],
    ["assumption: the dry matter in a volume stays"];
    /// Water that a hot heap gives off.
    EvaporatedInHeat "evaporated_in_heat": E Volume "water evaporated"
    = { +L: Mass "dry matter lost in hot composting", +e: Ratio "water evaporated over dry matter lost", -rho_w: Density "density of water" }
    L * e / rho_w, in 1000.0, [], ["identity"];
    /// Water to add in hot composting, so that the heap is as moist at its end as the mix was; some comes of the organic matter that is lost.
    WaterInHeat "water_in_heat": U Volume "water to add in hot composting"
    = { +L: Mass "dry matter lost in hot composting", +e: Ratio "water evaporated over dry matter lost", -M: Mass "mix", +D: Mass "its dry matter",
        -rho_w: Density "density of water" }
    L * max(0.0, e - WATER_FROM_ORGANIC_MATTER - (M - D) / D) / rho_w, in 1000.0, [WATER_FROM_ORGANIC_MATTER],
    ["identity: water in = water out"];
    /// The moisture after hot composting.
    MoistureAfterHeat "moisture_after_heat": w Share "moisture after hot composting"
    = { +M: Mass "mix", -D: Mass "its dry matter", ~L: Mass "dry matter lost in hot composting", +U: Volume "water to add in hot composting",
        -E: Volume "water evaporated", ~rho_w: Density "density of water" }
    1.0 - (D - L) / (M - L + (U - E) * rho_w + WATER_FROM_ORGANIC_MATTER * L), in coherent, [WATER_FROM_ORGANIC_MATTER],
    ["identity: water in = water out"];
    /// Carbon over nitrogen after hot composting: each is lost at its own pace.
    RatioAfterHeat "ratio_after_heat": R Ratio "carbon over nitrogen after hot composting"
    = { +q: Ratio "carbon over nitrogen of the mix", -k: Share "share of the organic matter lost in a day at 55 C",
        +h: Share "share of the nitrogen lost in a day at 55 C", ~g: Ratio "pace over that at 55 C", ~t: Duration "time of hot composting" }
    q * exp((h - k) * g * t / DAY), [DAY], ["first-order loss; carbon goes as the organic matter goes"];
    /// Dry matter that is left.
    LeftOfFeed "left_of_feed": O Mass "castings before the sieve, dry matter"
    = { +I: Mass "dry matter in", +a: Mass "ash in it", -lambda: Share "share of the organic matter that is lost" }
    a + (I - a) * (1.0 - lambda), [], ["identity: ash is neither made nor lost"];
    /// Nitrogen that is left.
    NitrogenLeft "nitrogen_left": N Mass "nitrogen in the castings"
    = { +D: [Mass] "dry matter of each material", +n: [Share] "nitrogen in it", +r: Share "share of the nitrogen that is kept" }
    dot(D, n) * r, [], ["identity"];
    /// Nitrogen that is left where the feed was hot composted first.
    NitrogenLeftAfterHeat "nitrogen_left_after_heat": N Mass "nitrogen in the castings"
    = { +D: [Mass] "dry matter of each material", +n: [Share] "nitrogen in it", -h: Share "share of the nitrogen lost in a day at 55 C",
        -g: Ratio "pace over that at 55 C", -t: Duration "time of hot composting", +r: Share "share of the nitrogen that is kept" }
    dot(D, n) * r / exp(h * g * t / DAY), [DAY], ["first-order loss"];
    /// Carbon over nitrogen of castings, of a feed: carbon goes as the organic matter goes.
    RatioLeft "ratio_left": R Ratio "carbon over nitrogen of the castings"
    = { +q: Ratio "carbon over nitrogen of the feed", -lambda: Share "share of the organic matter that is lost",
        -r: Share "share of the nitrogen that is kept" }
    q * (1.0 - lambda) / r, [], ["identity: carbon goes as the organic matter goes"];
}

#[cfg(test)]
mod tests {
    #![expect(dead_code, reason = "tables of one row use little of what the macro makes")]

    /// Two rows that differ in their expression alone.
    mod one {
        use super::super::*;
        formulas! {
            /// Half.
            Part "part": h Mass "a part" = { +m: Mass "mass" } m / 2.0, [], ["identity"];
        }
    }
    mod other {
        use super::super::*;
        formulas! {
            /// A third.
            Part "part": h Mass "a part" = { +m: Mass "mass" } m / 3.0, [], ["identity"];
        }
    }

    /// Whoever changes an expression changes what is computed, what is recorded and what is reported.
    #[test]
    fn what_computes_is_what_explains() {
        use super::super::Row;
        use crate::garden::figures::{Book, Origin, Recorder};
        use crate::garden::units::Mass;
        let m = Mass::from_kilograms(6.0).into();
        let book = Book::default();
        let recorder = Some(&book);
        for (figure, kilograms, text) in [
            (recorder.figure(one::Part { m }), 3.0, "h = m / 2"),
            (recorder.figure(other::Part { m }), 2.0, "h = m / 3"),
        ] {
            assert_eq!(figure.likely().kilograms(), kilograms);
            let Some(Origin::Formula { definition, .. }) = book.entry(figure.node()).map(|entry| entry.origin) else {
                panic!("{text} is not recorded")
            };
            assert_eq!((definition.text().as_str(), (definition.evaluate)(&[&[6.0]])), (text, kilograms));
        }
        assert_eq!((one::Part::definition().id, other::Part::definition().id), ("part", "part"));
    }
}

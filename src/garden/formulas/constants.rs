//! Constants of formulas.

use std::f64::consts::{LN_2, PI};

/// Phosphate (P2O5) in phosphorus, by mass: 141.9445 / (2 x 30.973762). Source: standard atomic weights, from memory.
pub const PHOSPHATE: f64 = 2.2914;
/// Potash (K2O) in potassium, by mass: 94.196 / (2 x 39.0983). Source: standard atomic weights, from memory.
pub const POTASH: f64 = 1.2046;
/// Divides `pi h (D^2 + D d + d^2)` to the volume of a frustum; `pi h d^2` to that of a cone. Source: identity, solid geometry.
pub const FRUSTUM: f64 = 12.0;
/// Divides `pi d^2` to the area of a disc. Source: identity, plane geometry.
pub const DISC: f64 = 4.0;
/// Organic matter over carbon: `carbon = (1 - ash)/1.8`. Source: common practice, no source; attributed to
/// Cornell from memory.
pub const ORGANIC_PER_CARBON: f64 = 1.8;
/// What two sloped ends take off the length of a windrow of triangular section, over its width: as long as wide it is a cone.
/// Source: identity, solid geometry.
pub const CONE_ENDS: f64 = 1.0 - PI / 6.0;
/// What two sloped ends take off the length of a windrow of half-elliptic section, over its width: as long as wide it is half an
/// ellipsoid. Source: identity, solid geometry.
pub const ELLIPSOID_ENDS: f64 = 1.0 / 3.0;
/// Growth in a day of what doubles in so many hours, times these hours: 24 ln 2. Source: identity.
pub const DOUBLING: f64 = 24.0 * LN_2;
/// Hours in a day. Source: identity.
pub const DAY: f64 = 24.0;
/// How the pace of hot composting grows with the temperature: ln 1.066 for each C. Source: Haug 1993, The Practical Handbook of
/// Compost Engineering, from memory.
pub const QUICKER: f64 = 0.063_913_325_743_652_85;
/// How it falls in too great heat: ln 1.21 for each C. Source: Haug 1993, The Practical Handbook of Compost Engineering, from memory.
pub const TOO_HOT: f64 = 0.190_620_359_608_649_7;
/// The temperature from which the pace of hot composting grows, C. Source: Haug 1993, The Practical Handbook of Compost Engineering, from
/// memory.
pub const MILD: f64 = 20.0;
/// The temperature from which too great heat counts, C. Source: Haug 1993, The Practical Handbook of Compost Engineering, from memory.
pub const HOTTEST: f64 = 60.0;
/// The pace at 55 C, which other temperatures are compared with: `exp(35 ln 1.066) - exp(-5 ln 1.21)`. Source: Haug 1993, The Practical
/// Handbook of Compost Engineering, from memory.
pub const PACE_AT_55: f64 = 8.979_335_576_313_186;
/// Water set free by each kg of organic matter lost, kg. Source: assumption: no published figure found; sugar (C6H12O6) gives
/// 6 x 18 / 180 = 0.6.
pub const WATER_FROM_ORGANIC_MATTER: f64 = 0.55;
/// Days of a year. Source: common practice, no source; leap days are left out.
pub const DAYS_OF_YEAR: f64 = 365.0;
/// The part of their own weight that worms are said to eat in a day, fresh. Source: common practice, no source.
pub const HALF_THEIR_WEIGHT: f64 = 0.5;
/// A pound on a square foot, kg/m2: 0.45359237 / 0.09290304. Source: exact by definition; as a rule of thumb for worms: common
/// practice, no source.
pub const POUND_ON_SQUARE_FOOT: f64 = 0.453_592_37 / 0.092_903_04;

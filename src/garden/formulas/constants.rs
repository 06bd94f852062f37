//! Constants that stand in formulas.

use std::f64::consts::{LN_2, PI};

/// Phosphate (P2O5) in phosphorus, by mass: 141.9445 / (2 x 30.973762). Source: standard atomic weights, from memory.
pub const PHOSPHATE: f64 = 2.2914;
/// Potash (K2O) in potassium, by mass: 94.196 / (2 x 39.0983). Source: standard atomic weights, from memory.
pub const POTASH: f64 = 1.2046;
/// Divides `pi h (D^2 + D d + d^2)` to the volume of a frustum; `pi h d^2` to that of a cone. Source: identity, solid geometry.
pub const FRUSTUM: f64 = 12.0;
/// Divides `pi d^2` to the area of a disc. Source: identity, plane geometry.
pub const DISC: f64 = 4.0;
/// Organic matter over carbon: `carbon = (1 - ash)/1.8`. Source: a rule of composting, read in a stored copy; attributed to Cornell
/// from memory.
pub const ORGANIC_PER_CARBON: f64 = 1.8;
/// What two sloped ends take off the length of a windrow of triangular section, over its width: as long as wide it is a cone.
/// Source: identity, solid geometry.
pub const CONE_ENDS: f64 = 1.0 - PI / 6.0;
/// What two sloped ends take off the length of a windrow of half-elliptic section, over its width: as long as wide it is half an
/// ellipsoid. Source: identity, solid geometry.
pub const ELLIPSOID_ENDS: f64 = 1.0 / 3.0;
/// Growth in a day of what doubles in so many hours, times these hours: 24 ln 2. Source: identity.
pub const DOUBLING: f64 = 24.0 * LN_2;

//! What a quantity means, and the unit in which it is therefore written.

use crate::garden::closed_list::closed_list;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

closed_list! {
    /// The units of the answer.
    #[must_use]
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
    #[serde(rename_all = "snake_case")]
    #[schema(as = Units)]
    pub enum System {
        /// SI units; the default.
        #[default]
        Metric = "metric",
        /// US customary units.
        Us = "us",
    }
}

macro_rules! roles {
    ($($(#[$about:meta])* $role:ident: $metric:literal, $in_metric:expr; $us:literal, $in_us:expr;)*) => {
        /// A role: what a quantity means decides its unit ([`System::unit`]).
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Role {
            $($(#[$about])* $role,)*
        }

        impl System {
            /// The unit of a role, and how many base units it has.
            #[must_use]
            pub const fn unit(self, role: Role) -> (&'static str, f64) {
                match (role, self) {
                    $(
                        (Role::$role, Self::Metric) => ($metric, $in_metric),
                        (Role::$role, Self::Us) => ($us, $in_us),
                    )*
                }
            }
        }
    };
}

roles! {
    /// Castings and feed by bulk.
    Bulk: "L", 1.0; "ft3", FT3;
    /// Water and tea.
    Water: "L", 1.0; "US gal", GAL;
    /// Castings and worms by mass.
    Mass: "kg", 1.0; "lb", LB;
    /// Nutrients by mass.
    Nutrient: "g", 0.001; "oz", LB / 16.0;
    /// Nutrients over ground.
    NutrientPerArea: "g/m2", 0.001; "lb/1000 ft2", LB / (1000.0 * FT2);
    /// Castings by mass over ground.
    MassPerArea: "kg/m2", 1.0; "lb/100 ft2", LB / (100.0 * FT2);
    /// Castings by volume over ground.
    BulkPerArea: "L/m2", 1.0; "yd3/1000 ft2", 27.0 * FT3 / (1000.0 * FT2);
    /// Castings along rows.
    BulkPerLength: "L/m", 1.0; "ft3/ft", FT3 / FT;
    /// Ground.
    Area: "m2", 1.0; "ft2", FT2;
    /// Lengths.
    Length: "m", 1.0; "ft", FT;
    /// Depths.
    Depth: "mm", 0.001; "in", FT / 12.0;
    /// Bulk densities.
    Density: "kg/m3", 1.0; "lb/yd3", LB / (27.0 * FT3 / 1000.0);
    /// Shares.
    Share: "%", 0.01; "%", 0.01;
    /// Times in hours.
    Hours: "h", 1.0; "h", 1.0;
    /// Times in days.
    Days: "d", 24.0; "d", 24.0;
    /// Worms over ground.
    WormsPerArea: "kg/m2", 1.0; "lb/ft2", LB / FT2;
    /// Water over ground.
    WaterPerArea: "L/m2", 1.0; "US gal/100 ft2", GAL / (100.0 * FT2);
    /// Feed for each mass of worms in a day.
    FeedRate: "kg/kg/d", 1.0; "lb/lb/d", 1.0;
    /// Salts in an extract.
    Conductivity: "dS/m", 1.0; "dS/m", 1.0;
    /// Differences of temperature.
    TemperatureDifference: "C", 1.0; "F", 5.0 / 9.0;
    /// Ratios.
    Ratio: "", 1.0; "", 1.0;
}

/// The exact factors from which those of all roles follow; a test compares each with the table of units.
const FT: f64 = 0.3048;
const FT2: f64 = 0.092_903_04;
const FT3: f64 = 28.316_846_592;
const GAL: f64 = 3.785_411_784;
const LB: f64 = 0.453_592_37;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::garden::units::Dimension;

    #[test]
    fn the_unit_of_every_role_has_the_factor_of_the_table() {
        use Dimension::{
            Area, Conductivity, Density, Duration, FeedRate, Length, Mass, MassPerArea, Share, TemperatureDifference,
            Volume, VolumePerArea, VolumePerLength,
        };
        let reader = crate::garden::units::Reader::default();
        for (role, dimension) in [
            (Role::Bulk, Volume),
            (Role::Water, Volume),
            (Role::Mass, Mass),
            (Role::Nutrient, Mass),
            (Role::NutrientPerArea, MassPerArea),
            (Role::MassPerArea, MassPerArea),
            (Role::BulkPerArea, VolumePerArea),
            (Role::BulkPerLength, VolumePerLength),
            (Role::Area, Area),
            (Role::Length, Length),
            (Role::Depth, Length),
            (Role::Density, Density),
            (Role::Share, Share),
            (Role::Hours, Duration),
            (Role::Days, Duration),
            (Role::WormsPerArea, MassPerArea),
            (Role::WaterPerArea, VolumePerArea),
            (Role::FeedRate, FeedRate),
            (Role::Conductivity, Conductivity),
            (Role::TemperatureDifference, TemperatureDifference),
        ] {
            for system in [System::Metric, System::Us] {
                let (unit, factor) = system.unit(role);
                let one = crate::garden::units::text::with_unit(1.0, unit, &[dimension], &reader).unwrap();
                assert!((one.base / factor - 1.0).abs() < 1e-15, "{unit}: {} is not {factor}", one.base);
            }
        }
    }
}

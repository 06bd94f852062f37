//! What a quantity stands for.

/// A role: what a quantity stands for decides its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Castings and feed by bulk: L or ft3.
    Bulk,
    /// Water and tea: L or US gal.
    Water,
    /// Castings and worms by mass: kg or lb.
    Mass,
    /// Nutrients by mass: g or oz.
    Nutrient,
    /// Nutrients over ground: g/m2 or lb/1000 ft2.
    NutrientPerArea,
    /// Castings by mass over ground: kg/m2 or lb/100 ft2.
    MassPerArea,
    /// Castings by volume over ground: L/m2 or yd3/1000 ft2.
    BulkPerArea,
    /// Castings along rows: L/m or ft3/ft.
    BulkPerLength,
    /// Ground: m2 or ft2.
    Area,
    /// Lengths: m or ft.
    Length,
    /// Depths: mm or in.
    Depth,
    /// Bulk densities: kg/m3 or lb/yd3.
    Density,
    /// Shares: %.
    Share,
    /// Times: h.
    Hours,
    /// Times: d.
    Days,
    /// Worms over ground: kg/m2 or lb/ft2.
    WormsPerArea,
    /// Water over ground: L/m2 or US gal/100 ft2.
    WaterPerArea,
    /// Feed for each mass of worms in a day: kg/kg/d or lb/lb/d.
    FeedRate,
    /// Ratios: no unit.
    Ratio,
}

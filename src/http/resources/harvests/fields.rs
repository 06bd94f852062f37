//! The fields of a feed's analysis, in whichever request has them.

use crate::http::input::quantity::{DensityInput, ShareInput};

/// The fields of an analysis, in every request that has them.
#[derive(Clone, Copy)]
pub(in crate::http::resources) struct AnalysisFields<'a> {
    /// The id of a material of the table, which has what is not given.
    pub material: Option<&'a str>,
    pub moisture: Option<&'a ShareInput>,
    /// Ash, organic matter, carbon.
    pub ash: [Option<&'a ShareInput>; 3],
    pub nitrogen: Option<&'a ShareInput>,
    pub bulk_density: Option<&'a DensityInput>,
}

/// These fields of a request; they have the same names in each.
macro_rules! analysis_fields {
    ($feed:expr) => {
        $crate::http::resources::harvests::AnalysisFields {
            material: $feed.material.as_deref(),
            moisture: $feed.moisture.as_ref(),
            ash: [$feed.ash.as_ref(), $feed.organic_matter.as_ref(), $feed.carbon.as_ref()],
            nitrogen: $feed.nitrogen.as_ref(),
            bulk_density: $feed.bulk_density.as_ref(),
        }
    };
}
pub(in crate::http::resources) use analysis_fields;

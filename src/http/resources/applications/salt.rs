//! What castings do to the salts of a mix, on the wire.

use crate::garden::applications::{SALT_LIMIT, Salt};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{Role, View};
use serde::Serialize;
use utoipa::ToSchema;

/// What castings do to the salts of a mix, by the conductivity of 1 part of it in 5 of water by volume.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Salt)]
pub struct SaltOut {
    /// What the castings bring; the other parts bring theirs.
    pub conductivity: QuantityOut,
    /// What a mix for seedlings and pots should not exceed.
    pub limit: QuantityOut,
    /// The largest share of castings that alone does not exceed the limit.
    pub largest_share: QuantityOut,
}

impl SaltOut {
    pub(super) fn new(salt: &Salt, view: &View<'_>) -> Self {
        Self {
            conductivity: view.estimate(Role::Conductivity, salt.conductivity),
            limit: view.estimate(Role::Conductivity, SALT_LIMIT.into()),
            largest_share: view.estimate(Role::Share, salt.largest_share),
        }
    }
}

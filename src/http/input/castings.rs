//! Amounts of castings on the wire: by volume, by mass, by the mass of the dry matter.

use super::RequestContext;
use super::quantity::{Due, MassInput, VolumeOrMassInput};
use crate::garden::assumptions::{Assumed, Assumption, Castings, Overrides};
use crate::garden::figures::{Recorder, WholeVolume};
use crate::garden::formulas::{VolumeOfDryMass, VolumeOfMass};
use crate::garden::units::quantity::{OfDensity, OfVolume};
use crate::garden::units::{Dimension, End, Estimate, Mass, Volume};
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;

/// What an item knows better of its castings, and the place of the item.
pub type Own<'a> = (&'a Overrides, JsonPath<'a>);

/// A volume of castings, and what was assumed for it.
pub type Converted = (Estimate<OfVolume>, Vec<Assumed>);

/// Castings that there are, in whole millilitres: a volume to the nearest, so that one written in another unit reads back; a mass rounded up, so that
/// in parts it is no less.
pub fn there((volume, used): &Converted) -> WholeVolume {
    if used.is_empty() { WholeVolume::nearest(*volume) } else { WholeVolume::there(*volume) }
}

/// Castings that are needed, likewise; a mass rounded down.
pub fn needed((volume, used): &Converted) -> WholeVolume {
    if used.is_empty() { WholeVolume::nearest(*volume) } else { WholeVolume::needed(*volume) }
}

impl RequestContext<'_> {
    /// The bulk density of the castings that the request as a whole speaks of, noted as used.
    pub fn bulk_density(&self, place: JsonPath<'_>) -> Option<Estimate<OfDensity>> {
        let (density, used) = self.density(Assumption::BulkDensity, (&Overrides::default(), place))?;
        self.assumed.borrow_mut().extend(used);
        Some(density)
    }

    /// The bulk density or the dry bulk density of an item's castings, noted as used, and what was assumed for it.
    fn density(&self, which: Assumption, (own, place): Own<'_>) -> Option<(Estimate<OfDensity>, Vec<Assumed>)> {
        let castings = self.with_known(place, own, |known| Castings::known(known, self.book()))?;
        let counts = |a: &&Assumed| castings.weighs_by(which, a.assumption);
        let used: Vec<Assumed> = castings.assumed.iter().filter(counts).copied().collect();
        self.note_used(place, own, &used);
        let density = if which == Assumption::BulkDensity { castings.bulk_density } else { castings.dry_bulk_density };
        Some((density, used))
    }

    /// Reads an amount of castings of the request as a whole: a volume, or a mass that the likely bulk density turns into one.
    pub fn amount_of_castings(&self, input: &VolumeOrMassInput, least: f64, at: JsonPath<'_>) -> Option<Converted> {
        let found = self.amount_of_own((input, least), (&Overrides::default(), at), at)?;
        self.assumed.borrow_mut().extend(&found.1);
        Some(found)
    }

    /// The same by what an item knows better of its castings.
    pub fn amount_of_own(
        &self,
        (input, least): (&VolumeOrMassInput, f64),
        own: Own<'_>,
        at: JsonPath<'_>,
    ) -> Option<Converted> {
        let (dimension, span) = self.span(&input.0, Due::any(VolumeOrMassInput::DIMENSIONS).from(least), at)?;
        self.note_range(span, at);
        if dimension == Dimension::Mass {
            let (rho, used) = self.density(Assumption::BulkDensity, own)?;
            let m = self.asked(Role::Mass, Mass::from_base(span.likely), at);
            return Some((self.book().figure(VolumeOfMass { m, rho: rho.only(End::Likely) }), used));
        }
        let (overrides, place) = own;
        self.note_used(place, overrides, &[]);
        Some((self.asked(Role::Bulk, Volume::from_base(span.likely), at), Vec::new()))
    }

    /// Reads an amount of castings by the mass of the dry matter, which the likely dry bulk density turns into a volume.
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn castings_of_dry_mass(
        &self,
        (input, least): (&MassInput, f64),
        own: Own<'_>,
        at: JsonPath<'_>,
    ) -> Option<Converted> {
        let (_, span) = self.span(&input.0, Due::any(MassInput::DIMENSIONS).from(least), at)?;
        self.note_range(span, at);
        let (rho_d, used) = self.density(Assumption::DryBulkDensity, own)?;
        let D = self.asked(Role::Mass, Mass::from_base(span.likely), at);
        Some((self.book().figure(VolumeOfDryMass { D, rho_d: rho_d.only(End::Likely) }), used))
    }
}

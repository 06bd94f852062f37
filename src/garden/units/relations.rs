//! Products and quotients of quantities: a length times a length is an area, and nothing else is.

use super::quantity::{
    Measured, OfArea, OfDensity, OfLength, OfMass, OfMassPerArea, OfShare, OfVolume, OfVolumePerArea,
    OfVolumePerLength, Quantity,
};
use std::ops::{Div, Mul};

/// `Self x Other = Output`, with the factor between the base units.
pub trait Times<Other> {
    /// The dimension of the product.
    type Output: Measured;
    /// Base units of the product in one base unit times one base unit. Source: identity.
    const SCALE: f64 = 1.0;
}

/// `Self / Other = Output`, with the factor between the base units.
pub trait Over<Other> {
    /// The dimension of the quotient.
    type Output: Measured;
    /// Base units of the quotient in one base unit over one base unit. Source: identity.
    const SCALE: f64 = 1.0;
}

impl<A: Measured + Times<B>, B: Measured> Mul<Quantity<B>> for Quantity<A> {
    type Output = Quantity<<A as Times<B>>::Output>;
    fn mul(self, other: Quantity<B>) -> Self::Output {
        Quantity::from_base(self.base() * other.base() * <A as Times<B>>::SCALE)
    }
}

impl<A: Measured + Over<B>, B: Measured> Div<Quantity<B>> for Quantity<A> {
    type Output = Quantity<<A as Over<B>>::Output>;
    fn div(self, other: Quantity<B>) -> Self::Output {
        Quantity::from_base(self.base() / other.base() * <A as Over<B>>::SCALE)
    }
}

macro_rules! relations {
    ($($a:ident $op:ident $b:ident = $out:ident $(, $scale:expr)?;)*) => {$(
        impl $op<$b> for $a {
            type Output = $out;
            $(const SCALE: f64 = $scale;)?
        }
    )*};
}

relations! {
    OfLength Times OfLength = OfArea;
    OfArea Times OfLength = OfVolume, 1000.0;
    OfVolume Over OfArea = OfLength, 0.001;
    OfVolume Times OfDensity = OfMass, 0.001;
    OfMass Over OfDensity = OfVolume, 1000.0;
    OfMass Over OfVolume = OfDensity, 1000.0;
    OfMassPerArea Times OfArea = OfMass;
    OfMass Over OfArea = OfMassPerArea;
    OfVolumePerArea Times OfArea = OfVolume;
    OfVolumePerLength Times OfLength = OfVolume;
    OfMass Times OfShare = OfMass;
    OfMass Over OfShare = OfMass;
    OfVolume Times OfShare = OfVolume;
    OfVolume Over OfShare = OfVolume;
    OfDensity Times OfShare = OfDensity;
    OfShare Times OfShare = OfShare;
    OfShare Over OfShare = OfShare;
    OfVolume Over OfVolume = OfShare;
    OfMass Over OfMass = OfShare;
    OfDensity Over OfDensity = OfShare;
    OfDensity Over OfShare = OfDensity;
}

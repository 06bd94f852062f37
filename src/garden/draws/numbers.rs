//! Numbers drawn for their own sake.

use super::Stream;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

/// Numbers between 0 and 1 and normal ones, the same for the same seed on every machine.
pub struct Numbers(Stream);

impl Numbers {
    /// Those of a seed. Streams of different numbers have nothing in common, with each other or with the draws of [`Variables`].
    #[must_use]
    pub fn new(seed: u64, stream: u64) -> Self {
        let mut cipher = ChaCha8Rng::seed_from_u64(seed);
        cipher.set_stream((6 << 32) | stream);
        Self(Stream(cipher))
    }

    /// A number above 0 and below 1.
    pub fn uniform(&mut self) -> f64 {
        self.0.next()
    }

    /// A number of the standard normal distribution, exact to rounding (Box & Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let (length, turn) = (self.uniform(), self.uniform());
        (-2.0 * libm::log(length)).sqrt() * libm::cos(std::f64::consts::TAU * turn)
    }
}

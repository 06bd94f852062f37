//! Layers of feed on the bed's ground.

use super::notes::Notes;
use crate::garden::areas::Ground;
use crate::garden::assumptions::Assumption;
use crate::garden::figures::Off;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfLength;
use crate::garden::units::{Area, Estimate, HAIR, Length, Volume};

/// Most later layers that are counted. Source: limit of this service.
const MOST_LAYERS: f64 = 100_000.0;

/// One layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// How deep.
    pub depth: Length,
    /// How much of the mix.
    pub volume: Volume,
}

/// The mix laid on a bed: first + later x each + last = the mix's likely volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layers {
    /// The bed's ground.
    pub area: Area,
    /// The first layer, 10 to 15 cm; shallower if the mix does not reach.
    pub first: Layer,
    /// How many full later layers.
    pub later: u32,
    /// Each of them, at most 10 cm.
    pub each: Layer,
    /// What is left for a last, shallower one.
    pub last: Option<Layer>,
}

impl Layers {
    /// Lays a volume on the ground: `V = area x depth`.
    pub(super) fn of(ground: &Ground, volume: Volume, notes: &mut Notes<'_>) -> Result<Self, Refusal> {
        let area = ground.area(Off).map_err(|e| e.at("ground"))?.likely();
        let first: Estimate<OfLength> = notes.take(Assumption::FirstLayer);
        let later: Estimate<OfLength> = notes.take(Assumption::LaterLayer);
        let layer = |volume: Volume| Layer { depth: volume / area, volume };
        let (full_first, each) = (area * first.likely(), area * later.likely());
        let laid = if full_first < volume { full_first } else { volume };
        let rest = volume - laid;
        let count = (rest.litres() / each.litres() + HAIR).floor();
        if !(0.0..=MOST_LAYERS).contains(&count) {
            let detail = format!("this mix makes more than {MOST_LAYERS} layers on this ground");
            return Err(Refusal::new(Reason::TooLarge, detail).at("ground"));
        }
        #[expect(clippy::as_conversions, reason = "between 0 and MOST_LAYERS")]
        let later = count as u32;
        let left = rest - each.times(count);
        let last = (left.litres() > HAIR * volume.litres()).then(|| layer(left));
        Ok(Self { area, first: layer(laid), later, each: layer(each), last })
    }
}

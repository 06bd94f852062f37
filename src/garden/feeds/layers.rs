//! Layers of feed on the bed's ground.

use super::notes::Notes;
use crate::garden::areas::Ground;
use crate::garden::assumptions::{Assumed, Assumption, Known};
use crate::garden::figures::Recorder;
use crate::garden::formulas::{Depth, FirstLayer, LastLayer, LaterLayers, Layer as OneLayer};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfLength, OfRatio, OfVolume};
use crate::garden::units::{End, Estimate, Length, ROUNDING_TOLERANCE};

/// Most later layers that are counted. Source: limit of this service.
const MAX_LAYERS: f64 = 100_000.0;

/// A last layer that is less deep than this, and than half of the one before, is too thin to spread by itself. Source: common practice, no
/// source.
const THIN: Length = Length::from_metres(0.01);

/// What to do with a last layer that is too thin to spread by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ThinLayer {
    /// Lay it with the first, which is then so deep.
    WithFirst(Length),
    /// Lay it and the one before as two layers of this depth.
    TwoAlike(Length),
}

/// One layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// How deep.
    pub depth: Estimate<OfLength>,
    /// How much of the mix.
    pub volume: Estimate<OfVolume>,
}

/// The mix laid on a bed: first + later x each + last = the mix's likely volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layers {
    /// The bed's ground.
    pub area: Estimate<OfArea>,
    /// The first layer, 10 to 15 cm; shallower if the mix does not reach.
    pub first: Layer,
    /// How many full later layers.
    pub later: Estimate<OfRatio>,
    /// Each of them, at most 10 cm.
    pub each: Layer,
    /// What is left for a last, shallower one.
    pub last: Option<Layer>,
    /// How deep a first layer is laid at most, and the bed.
    limits: [Length; 2],
}

/// Answers "which assumption gives the depth of a layer on worms?" `bed.layer`; for feed that `heats`, `bed.fresh_layer` where that is
/// thinner. A `bed.layer` that the caller gives counts for all feed, unless `bed.fresh_layer` is given as near to the bed.
///
/// ```
/// use barrowful::garden::assumptions::{Assumption, Known, Overrides, Span};
/// use barrowful::garden::feeds::depth_on_worms;
/// let (none, mut deep) = (Overrides::default(), Overrides::default());
/// let known = Known { request: &none, item: &none };
/// assert_eq!(depth_on_worms(known, false), Assumption::LaterLayer);
/// assert_eq!(depth_on_worms(known, true), Assumption::FreshLayer);
/// deep.set(Assumption::LaterLayer, Span::exactly(0.09)).unwrap();
/// assert_eq!(depth_on_worms(Known { request: &deep, ..known }, true), Assumption::LaterLayer);
/// ```
#[must_use]
pub fn depth_on_worms(known: Known<'_>, heats: bool) -> Assumption {
    let (usual, fresh) = (known.get(Assumption::LaterLayer), known.get(Assumption::FreshLayer));
    let is_thinner =
        |(usual, fresh): (Assumed, Assumed)| fresh.set_by >= usual.set_by && fresh.span.likely < usual.span.likely;
    let thin = heats && usual.zip(fresh).is_some_and(is_thinner);
    if thin { Assumption::FreshLayer } else { Assumption::LaterLayer }
}

impl Layers {
    /// Lays a mix on the ground, at its likely volume and the likely depths. The first layer is laid before the worms are put in, who wait
    /// until it is cool; for later layers see [`depth_on_worms`].
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub(super) fn of<R: Recorder>(
        ground: &Ground,
        (mix, heats): (Estimate<OfVolume>, bool),
        notes: &mut Notes<'_, R>,
    ) -> Result<Self, Refusal> {
        let recorder = notes.recorder;
        let (A, V) = (ground.area(recorder).map_err(|e| e.at("ground"))?, mix.only(End::Likely));
        let layer = |volume| Layer { depth: recorder.figure(Depth { V: volume, A }), volume };
        let length = |which| -> Estimate<OfLength> { notes.known.estimate(which).0 };
        let limits = [length(Assumption::FirstLayer).high(), length(Assumption::MaxDepth).likely()];
        let first = notes.take_if(Assumption::FirstLayer, true);
        let [usual, fresh] = later_depths(heats, notes);
        let is_thin = depth_on_worms(notes.known, heats) == Assumption::FreshLayer;
        let a = recorder.figure(FirstLayer { A, d: first, V });
        let b = recorder.figure(OneLayer { A, d: if is_thin { fresh } else { usual } });
        let k = recorder.figure(LaterLayers { V, a, b });
        if !(0.0..=MAX_LAYERS).contains(&k.number()) {
            let detail = format!(
                "this mix makes more than {MAX_LAYERS} layers on this ground; give more ground or a \
                                  smaller mix"
            );
            return Err(Refusal::new(Reason::TooLarge, detail).at("ground"));
        }
        let left = recorder.figure(LastLayer { V, a, k, b });
        let last = (left.litres() > ROUNDING_TOLERANCE * V.litres()).then(|| layer(left));
        Ok(Self { area: A, first: layer(a), later: k, each: layer(b), last, limits })
    }

    /// Answers "is the last layer too thin to spread by itself, and what is done with it?", where all of them are laid before a harvest.
    #[must_use]
    pub fn thin_last(&self) -> Option<ThinLayer> {
        let is_first = self.later.number() <= 0.0;
        let before = if is_first { self.first } else { self.each };
        self.thin(self.last?.depth.likely(), (before.depth.likely(), is_first))
    }

    /// The same of a layer of any harvest, and of the one before it, which may be the first of that harvest: that one may get as deep as first
    /// layers are laid, and where two alike would be too deep on worms, as deep as the bed.
    #[must_use]
    pub fn thin(&self, last: Length, (before, is_first): (Length, bool)) -> Option<ThinLayer> {
        let [first_limit, bed_limit] = self.limits;
        let both = before + last;
        let alike = both.times(0.5);
        if last >= THIN || last >= before.times(0.5) {
            None
        } else if is_first && both <= first_limit {
            Some(ThinLayer::WithFirst(both))
        } else if alike <= self.each.depth.likely() {
            Some(ThinLayer::TwoAlike(alike))
        } else {
            (is_first && both <= bed_limit).then_some(ThinLayer::WithFirst(both))
        }
    }
}

/// Depths of a later layer, and of one of fresh feed on worms: noted are those that the depth of a layer may depend on.
fn later_depths<R: Recorder>(heats: bool, notes: &mut Notes<'_, R>) -> [Estimate<OfLength>; 2] {
    let (usual, _): (Estimate<OfLength>, _) = notes.known.estimate(Assumption::LaterLayer);
    let (fresh, _): (Estimate<OfLength>, _) = notes.known.estimate(Assumption::FreshLayer);
    let fresh_counts = heats && fresh.low() < usual.likely();
    [notes.take_if(Assumption::LaterLayer, true), notes.take_if(Assumption::FreshLayer, fresh_counts)]
}

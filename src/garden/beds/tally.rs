//! Adds up what goes into a bed and what comes out: dry matter, ash, carbon, nitrogen, water.

use super::Bed;
use super::loss::Keeps;
use super::water::{MassAccount, MassBalance, Period, WaterRules};
use crate::garden::figures::Off;
use crate::garden::units::Mass;

/// Sums in kg.
#[derive(Debug, Clone)]
pub(super) struct Tally {
    dry: Content,
    ash: Content,
    carbon: Content,
    nitrogen: Option<Content>,
    held_for_each: f64,
    /// Feed laid, and in the bed at the start.
    feed: f64,
    /// Castings in the bed at the start.
    castings: f64,
    worked: f64,
    in_lots: f64,
    in_cycle: f64,
    left: (f64, f64),
    water: (f64, f64),
}

/// A substance: in each kg of feed, of castings, and lost with each kg worked.
#[derive(Debug, Clone, Copy)]
struct Content {
    in_feed: f64,
    in_castings: f64,
    lost: f64,
}

impl Tally {
    pub fn new(bed: &Bed, keeps: &Keeps, water: &WaterRules) -> Self {
        let (kept, lambda) = (keeps.dry(Off).fraction(), keeps.loss.fraction());
        let content = |in_feed: f64, stays: f64| Content {
            in_feed,
            in_castings: in_feed * stays / kept,
            lost: in_feed * (1.0 - stays),
        };
        let stays = keeps.nitrogen.fraction();
        Self {
            dry: Content { in_feed: 1.0, in_castings: 1.0, lost: keeps.lost().fraction() },
            ash: content(bed.feed.ash.fraction(), 1.0),
            carbon: content(keeps.carbon_in_feed().fraction(), 1.0 - lambda),
            nitrogen: bed.feed.nitrogen.map(|n| content(n.fraction(), stays)),
            held_for_each: water.held(1.0),
            feed: 0.0,
            castings: bed.running.map_or(0.0, |r| r.castings.kilograms()),
            worked: 0.0,
            in_lots: 0.0,
            in_cycle: 0.0,
            left: (0.0, 0.0),
            water: (bed.running.map_or(0.0, |r| water.held(r.uneaten_feed.kilograms() + r.castings.kilograms())), 0.0),
        }
    }

    /// Feed that a cycle began with or was laid in it.
    pub fn feed(&mut self, in_cycle: f64) {
        self.in_cycle = in_cycle;
        self.feed += in_cycle;
    }

    /// The feed of the current cycle.
    pub fn in_cycle(&self) -> f64 {
        self.in_cycle
    }

    /// A lot of so much feed and castings.
    pub fn lot(&mut self, feed: f64, castings: f64) {
        self.worked += feed;
        self.in_lots += castings;
    }

    /// What the end leaves in the bed.
    pub fn cut_off(&mut self, worked: f64, left: (f64, f64)) {
        self.worked += worked;
        self.left = left;
    }

    /// Water of a period: in and out.
    pub fn water(&mut self, period: &Period) {
        let (come, gone) = &mut self.water;
        *come += period.to_add.likely().litres() + period.with_feed.litres() + period.water_from_decomposition.litres();
        *gone += period.evaporated.litres() + period.to_drain.likely().litres();
    }

    /// The accounts.
    pub fn balance(&self) -> MassBalance {
        let (come, gone) = self.water;
        let (uneaten_feed, castings) = self.left;
        MassBalance {
            dry_matter: self.account(self.dry),
            ash: self.account(self.ash),
            carbon: self.account(self.carbon),
            nitrogen: self.nitrogen.map(|content| self.account(content)),
            water: account([
                come,
                self.in_lots * self.held_for_each,
                gone,
                (uneaten_feed + castings) * self.held_for_each,
            ]),
        }
    }

    fn account(&self, content: Content) -> MassAccount {
        let (uneaten_feed, castings) = self.left;
        account([
            content.in_feed * self.feed + content.in_castings * self.castings,
            content.in_castings * self.in_lots,
            content.lost * self.worked,
            content.in_feed * uneaten_feed + content.in_castings * castings,
        ])
    }
}

fn account(kilograms: [f64; 4]) -> MassAccount {
    let [fed, in_lots, lost, in_bed] = kilograms.map(Mass::from_kilograms);
    MassAccount { fed, in_lots, lost, in_bed }
}

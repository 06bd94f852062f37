//! A piece of work with all that a calendar says about it.

use crate::garden::seasons::work::TaskKind;
use crate::http::output::{InContainers, QuantityOut};
use crate::http::resources::collected::CollectOut;
use chrono::NaiveDate;

/// A piece of work.
pub struct Work<'a> {
    /// What is done.
    pub kind: TaskKind,
    /// The day, or the first of several.
    pub on: NaiveDate,
    /// The last of several.
    pub until: Option<NaiveDate>,
    /// What the bed or the demand is called; empty where it is for none.
    pub at: String,
    /// Which layer, from 1.
    pub layer: Option<u32>,
    /// Whether the worms of the harvest before go onto it.
    pub takes_worms_back: bool,
    /// By volume.
    pub volume: Option<&'a QuantityOut>,
    /// Water to brew a tea with, or to dilute it with.
    pub water: Option<&'a QuantityOut>,
    /// In how many batches a tea is brewed.
    pub batches: u64,
    /// When a tea is started and ready, or by when it is used up.
    pub hours: Option<&'a str>,
    /// By mass.
    pub mass: Option<&'a QuantityOut>,
    /// How deep a layer is when fresh.
    pub depth: Option<&'a QuantityOut>,
    /// The volume in the caller's containers.
    pub in_containers: &'a InContainers,
    /// What the feed is called.
    pub feed: Option<&'a str>,
    /// What to collect for it.
    pub collect: Option<&'a CollectOut>,
    /// What to take of each material of a mix; empty for other work.
    pub materials: String,
    /// How many sacks.
    pub sacks: Option<u64>,
    /// The day by which what is produced or bought is needed.
    pub by: Option<NaiveDate>,
    /// How sure a start is.
    pub sure: Option<&'a str>,
    /// What to mind with it.
    pub note: Option<String>,
    /// The rules of the answer's cautions that are about it.
    pub cautions: Vec<&'static str>,
    /// Whether its day has passed.
    pub is_overdue: bool,
}

impl Work<'_> {
    /// Work on one day that needs no amount.
    pub const fn new(at: String, on: NaiveDate, kind: TaskKind) -> Self {
        Self {
            kind,
            on,
            until: None,
            at,
            layer: None,
            takes_worms_back: false,
            volume: None,
            water: None,
            batches: 1,
            hours: None,
            mass: None,
            depth: None,
            in_containers: &InContainers::NONE,
            feed: None,
            collect: None,
            materials: String::new(),
            sacks: None,
            by: None,
            sure: None,
            note: None,
            cautions: Vec::new(),
            is_overdue: false,
        }
    }
}

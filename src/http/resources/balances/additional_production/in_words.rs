//! What to produce in words, all batches of an option together.

use super::read::PlannedProduction;
use crate::garden::balances::add;
use crate::garden::balances::additional_production::Batch;
use crate::garden::feeds::Load;
use crate::garden::units::{Area, Mass, Millilitres};
use crate::http::output::quantity::{Role, View};
use crate::http::present::words::{all_of, day, number_of, shown};
use crate::http::resources::collected::ProductionMaterialOut;

/// So many batches are named one by one. Source: how this service works.
const MAX_IN_WORDS: usize = 3;
/// An amount is more than another if it is by this share: less does not show in three digits. Source: how this service works.
const MORE: f64 = 0.005;

impl PlannedProduction {
    /// What is produced from what, on which ground with how many worms: batch by batch, or in all where there are many.
    #[must_use]
    pub fn in_words(&self, batches: &[Batch], view: &View<'_>) -> String {
        if batches.len() <= MAX_IN_WORDS {
            let each = batches.chunks(1).map(|one| self.made_of(one, "", view));
            return each.collect::<Vec<_>>().join("; and ");
        }
        let starts = || batches.iter().filter_map(|batch| batch.start_on);
        let productions = u64::try_from(batches.len()).unwrap_or(u64::MAX);
        let started = starts().min().zip(starts().max()).map(|(first, last)| {
            let count = number_of(productions, ["production", "productions"]);
            format!(" in {count}, started from {} to {}", day(first), day(last))
        });
        format!("{} in all", self.made_of(batches, &started.unwrap_or_default(), view))
    }

    /// `362 L from 22 barrows of leaves, on 11.2 m2 with 17.9 kg of worms`
    fn made_of(&self, batches: &[Batch], when: &str, view: &View<'_>) -> String {
        let castings = batches.iter().fold(Millilitres::ZERO, |sum, batch| add(sum, batch.castings));
        let (castings, from) = (shown(&view.whole(castings)), self.taken_in_words(batches, view));
        format!("{castings} from {from}{when}, on {}", ground_and_worms(batches, view))
    }

    /// What is taken of each material for all of these batches.
    #[must_use]
    pub fn taken_in_words(&self, batches: &[Batch], view: &View<'_>) -> String {
        ProductionMaterialOut::all_in_words(&self.materials(feed(batches), view))
    }

    /// That these batches take more of a material than the request gives, which sets the proportions alone.
    #[must_use]
    pub fn more_than_given(&self, batches: &[Batch], view: &View<'_>) -> Option<String> {
        let times = self.recipe.times(feed(batches));
        let each = self.given.iter().zip(&self.feed.ingredients).zip(self.materials(feed(batches), view));
        let exceeded = each.filter_map(|((given, part), of)| {
            let (taken, given) = match (*given)? {
                Load::Mass(given) => {
                    let share = part.mass.likely().kilograms() * times / given.likely().kilograms();
                    (share, view.exact(Role::Mass, given.likely()))
                }
                Load::Volume(given) => {
                    let share = part.volume.likely().litres() * times / given.likely().litres();
                    (share, view.exact(Role::Bulk, given.likely()))
                }
            };
            (taken > 1.0 + MORE).then(|| format!("{} of {}", shown(&given), of.called()))
        });
        let exceeded: Vec<String> = exceeded.collect();
        let all = all_of(&exceeded);
        (!exceeded.is_empty()).then(|| format!("That is more than the {all} you gave: amounts set the proportions."))
    }
}

/// The dry feed of all these batches.
fn feed(batches: &[Batch]) -> Mass {
    Mass::from_kilograms(batches.iter().map(|batch| batch.feed.kilograms()).sum())
}

/// Ground and worms of all these batches: `11.2 m2 with 17.9 kg of worms`.
pub fn ground_and_worms(batches: &[Batch], view: &View<'_>) -> String {
    let area = batches.iter().map(|batch| batch.area.square_metres()).sum();
    let worms = batches.iter().map(|batch| batch.worms.kilograms()).sum();
    let area = view.exact(Role::Area, Area::from_square_metres(area));
    let worms = view.exact(Role::Mass, Mass::from_kilograms(worms));
    format!("{} with {} of worms", shown(&area), shown(&worms))
}

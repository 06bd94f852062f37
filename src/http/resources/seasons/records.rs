//! Tables on the sheet of a season to write in what was done and harvested, as `POST /v1/calibrations` takes it.

use super::SeasonsAnswer;
use crate::http::output::{InContainers, QuantityOut};
use crate::http::present::counted::containers;
use crate::http::present::words::{day, in_one_unit};
use crate::http::present::{Part, SectionToFillIn, TableToFillIn};
use crate::http::resources::harvests::LayerOut;
use crate::http::resources::season_beds::{SeasonBedOut, SeasonLotOut};
use chrono::NaiveDate;

/// Above the tables.
const HEADING: &str = "Record what you do and harvest";
/// What they are for.
const ABOUT: &str = "Write down what really happens. From such records the service learns to forecast your beds with more certainty. \
                     For feed and castings write volumes or masses, each with its unit. Number your feedings as you lay them, also those \
                     that are not planned. Look at the layers once a week.";
/// So many empty lines for worms that are weighed.
const WEIGHINGS: usize = 2;

/// One table for each bed that is fed or harvested.
pub fn to_fill_in(answer: &SeasonsAnswer) -> Part {
    let beds = answer.worm_beds.iter().enumerate();
    let fed = beds.filter(|(_, bed)| !(bed.forecast.layers.is_empty() && bed.lots.is_empty()));
    Part::ToFillIn { heading: HEADING, about: ABOUT, tables: fed.map(table).collect() }
}

fn table((index, bed): (usize, &SeasonBedOut)) -> TableToFillIn {
    let layers: Vec<&QuantityOut> = bed.forecast.layers.iter().map(|layer| &layer.volume).collect();
    let lots: Vec<&QuantityOut> = bed.lots.iter().map(|lot| &lot.amount).collect();
    let [of_layers, of_lots] = [&layers, &lots].map(|amounts| in_one_unit(amounts));
    let layers = (1..).zip(&bed.forecast.layers).map(|(number, layer): (u32, &LayerOut)| {
        [format!("layer {number}"), planned(layer.on, &of_layers(&layer.volume), &layer.in_containers)]
    });
    let harvests = bed.lots.iter().map(|lot: &SeasonLotOut| {
        [format!("harvest {}", lot.cycle), planned(lot.ready_on, &of_lots(&lot.amount), &lot.in_containers)]
    });
    let blank = |what: &str| [what.to_owned(), String::new()];
    let weighed = (0..WEIGHINGS).map(|_| blank("worms"));
    // The worms of a running bed are those that were observed.
    let started = bed.observed_on.is_none().then(|| blank("worms put in")).into_iter();
    let section = |columns, rows: Vec<[String; 2]>| SectionToFillIn { columns, rows };
    let sections = [
        section(["", "", "put in on", "worms", ""], started.collect()),
        section(["", "planned", "laid on", "amount", "eaten on"], layers.chain([blank("another layer")]).collect()),
        section(["", "", "looked on", "layer", ""], vec![blank("not yet eaten")]),
        section(["", "planned ready on", "harvested on", "amount", "ready on"], harvests.collect()),
        section(["", "", "through the sieve", "ash", "moisture"], vec![blank("castings")]),
        section(["", "", "full", "empty", "holds"], vec![blank("full container")]),
        section(["", "", "weighed on", "worms", ""], weighed.collect()),
    ];
    let name = bed.called(index);
    TableToFillIn { name, sections: sections.into_iter().filter(|section| !section.rows.is_empty()).collect() }
}

/// `20 Sep 2026: 240 L, 3½ barrows`
fn planned(on: NaiveDate, volume: &str, in_containers: &InContainers) -> String {
    let counted = containers(in_containers.iter()).map(|text| format!(", {text}")).unwrap_or_default();
    format!("{}: {volume}{counted}", day(on))
}

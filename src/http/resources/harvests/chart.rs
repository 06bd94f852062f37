//! What each bed and heap yields, as a chart.

use super::HarvestsAnswer;
use super::answer::{BedOut, HeapOut};
use super::forecast::LotOut;
use crate::http::output::QuantityOut;
use crate::http::output::quantity::Role;
use crate::http::present::chart::{Bar, Bars, Chart, Picture};
use crate::http::present::words::{day, days, name_of};

/// A bar for each bed and heap, and for each harvest of a forecast with the days on which it may be ready.
pub fn chart(answer: &HarvestsAnswer) -> Chart {
    let beds = answer.worm_beds.iter().enumerate().flat_map(of_bed);
    let heaps = answer.heaps.iter().enumerate().map(of_heap);
    let bars = Bars {
        what: "Castings of each bed and heap",
        unit: answer.units.unit(Role::Bulk).0.to_owned(),
        bars: beds.chain(heaps).collect(),
    };
    let title = answer.name_or_id().unwrap_or("Castings to harvest");
    Chart::new(title, Picture::Bars(bars))
}

fn bar(name: String, note: String, volume: &QuantityOut) -> Bar {
    let range = volume.low.zip(volume.high).map(|(low, high)| (low.get(), high.get()));
    Bar { name, note, value: volume.value.get(), range }
}

fn of_bed((index, bed): (usize, &BedOut)) -> Vec<Bar> {
    let name = || bed.called(index);
    let depth = bed.stored.iter().map(|stored| bar(name(), "by its depth, in store".to_owned(), &stored.volume));
    let fed = bed.from_feed.iter();
    let fed = fed.map(|fed| bar(name(), "by what was fed, in store".to_owned(), &fed.castings.volume));
    let lots = bed.forecast.iter().flat_map(|forecast| &forecast.lots);
    let lots = lots.map(|lot| bar(format!("{}, harvest {}", name(), lot.cycle), ready(lot), &lot.castings.volume));
    depth.chain(fed).chain(lots).collect()
}

/// `ready 12 Jun 2027 (20 May–3 Aug 2027)`
fn ready(lot: &LotOut) -> String {
    let ready = &lot.ready;
    let range =
        ready.latest.map_or_else(|| format!("{} or later", day(ready.earliest)), |last| days(ready.earliest, last));
    format!("ready {} ({range})", day(ready.likely))
}

fn of_heap((index, heap): (usize, &HeapOut)) -> Bar {
    let name = name_of(heap.name.as_deref(), heap.id.as_deref(), "heap", index);
    bar(name, format!("heap ({}), as it lies", heap.kind), &heap.castings)
}

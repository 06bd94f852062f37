//! The answer as a table: a row for each finished bed, each bed by what was fed, each lot of a forecast, each heap.

use super::{BedOut, HarvestsAnswer, HeapOut};
use crate::http::output::{Number, QuantityOut};
use crate::http::rooms::harvests::forecast::{ForecastOut, LotOut};
use crate::http::rooms::{CastingsOut, cell, column};

type Label<'a> = (&'a str, &'a Option<String>, &'a Option<String>);

impl HarvestsAnswer {
    /// The table, header first. The columns of dates are there if the answer holds a forecast.
    pub(in super::super) fn table(&self) -> Vec<Vec<String>> {
        let dated = self.worm_beds.iter().any(|bed| bed.forecast.is_some());
        let (volume, mass) = (&self.total.stored.volume.unit, &self.total.stored.mass.unit);
        let mut header: Vec<String> = ["row", "id", "name"].map(str::to_owned).to_vec();
        for name in ["whole", "not_ready", "ready", "castings", "sieved_off", "stored"] {
            header.push(column(name, volume));
        }
        header.extend([column("stored", mass), column("stored", mass) + "_low", column("stored", mass) + "_high"]);
        header.extend(self.total.stored.in_measures.iter().map(|m| column("stored", &m.unit)));
        header.push("cautions".to_owned());
        if dated {
            header.extend(["ready_earliest", "ready_likely", "ready_latest"].map(str::to_owned));
        }
        let beds = self.worm_beds.iter().flat_map(bed_rows);
        let mut rows: Vec<Vec<String>> =
            std::iter::once(header).chain(beds).chain(self.heaps.iter().map(heap_row)).collect();
        let width = rows.first().map_or(0, Vec::len);
        rows.iter_mut().for_each(|row| row.resize(width, String::new()));
        rows
    }
}

fn bed_rows(bed: &BedOut) -> Vec<Vec<String>> {
    let label = |kind| (kind, &bed.id, &bed.name);
    let mut rows = Vec::new();
    if let Some(stored) = &bed.stored {
        let parts = [&bed.in_bed, &bed.not_ready, &bed.ready, &bed.castings, &bed.sieved_off].map(Option::as_ref);
        rows.push(row(label("worm_bed"), parts, stored, &bed.cautions));
    }
    if let Some(fed) = &bed.from_feed {
        rows.push(row(label("fed"), [None; 5], &fed.castings, &bed.cautions));
    }
    rows.extend(bed.forecast.iter().flat_map(|forecast| lot_rows(forecast, label("lot"), &bed.cautions)));
    rows
}

fn lot_rows(forecast: &ForecastOut, label: Label<'_>, cautions: &[&'static str]) -> Vec<Vec<String>> {
    let of_lot = |lot: &LotOut| {
        let mut row = row(label, [Some(&lot.in_bed), None, None, None, None], &lot.castings, cautions);
        let latest = lot.ready.latest.map_or_else(String::new, |day| day.to_string());
        row.extend([lot.ready.earliest.to_string(), lot.ready.likely.to_string(), latest]);
        row
    };
    forecast.lots.iter().map(of_lot).collect()
}

fn heap_row(heap: &HeapOut) -> Vec<String> {
    let parts = [&heap.in_heap, &heap.not_ready, &heap.ready, &heap.castings, &heap.sieved_off].map(Some);
    let stored =
        CastingsOut { volume: heap.castings.clone(), mass: heap.mass.clone(), in_measures: heap.in_measures.clone() };
    row(("heap", &heap.id, &heap.name), parts, &stored, &heap.cautions)
}

fn row(
    (kind, id, name): Label<'_>,
    parts: [Option<&QuantityOut>; 5],
    stored: &CastingsOut,
    cautions: &[&'static str],
) -> Vec<String> {
    let mut row = vec![kind.to_owned(), id.clone().unwrap_or_default(), name.clone().unwrap_or_default()];
    row.extend(parts.map(cell));
    row.push(cell(Some(&stored.volume)));
    let mass = &stored.mass;
    let bound = |bound: Option<Number>| bound.unwrap_or(mass.value).to_string();
    row.extend([mass.value.to_string(), bound(mass.low), bound(mass.high)]);
    row.extend(stored.in_measures.iter().map(|m| m.value.to_string()));
    row.push(cautions.join(" "));
    row
}

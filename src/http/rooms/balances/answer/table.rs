//! The answer as a table.

use super::{BalancesAnswer, DemandOut, StockOut};
use crate::http::rooms::{cell, column};
use chrono::NaiveDate;

impl BalancesAnswer {
    /// The demands, then the lots, as rows.
    pub fn table(&self) -> Vec<Vec<String>> {
        let unit = &self.total.wanted.unit;
        let mut header: Vec<String> =
            ["row", "id", "name", "first_day", "last_day", "priority"].map(str::to_owned).to_vec();
        for name in ["wanted", "given", "short"] {
            header.push(column(name, unit));
        }
        header.push("share_given_%".to_owned());
        for name in ["left", "expired"] {
            header.push(column(name, unit));
        }
        header.push("draws".to_owned());
        header.push(column("would_have_given", unit));
        let measures = self.demands.first().map(|d| d.in_measures.as_slice()).unwrap_or_default();
        header.extend(measures.iter().map(|measure| column("given", &measure.unit)));
        header.push("cautions".to_owned());
        let width = header.len();
        let demands = self.demands.iter().map(demand_row);
        let lots = self.stock.iter().map(|lot| {
            let mut row = stock_row(lot);
            row.resize(width, String::new());
            row
        });
        std::iter::once(header).chain(demands).chain(lots).collect()
    }
}

fn text(date: Option<NaiveDate>) -> String {
    date.map(|d| d.to_string()).unwrap_or_default()
}

fn demand_row(d: &DemandOut) -> Vec<String> {
    let draws = d.draws.iter().map(|draw| {
        let lot = draw.lot();
        let on = draw.on.map(|on| format!(" on {on}")).unwrap_or_default();
        let wait = match (draw.harvest_from, draw.not_met) {
            (Some(from), _) => format!(", harvest from {from}"),
            (None, Some(_)) => ", not dug in".to_owned(),
            (None, None) => String::new(),
        };
        format!("{} {} from {lot}{on}{wait}", draw.given.value, draw.given.unit)
    });
    let mut row = vec![
        "demand".to_owned(),
        d.id.clone().unwrap_or_default(),
        d.name.clone().unwrap_or_default(),
        text(d.earliest),
        text(d.latest),
        d.priority.to_string(),
        cell(Some(&d.wanted)),
        cell(Some(&d.given)),
        cell(Some(&d.short)),
        cell(Some(&d.share_given)),
        String::new(),
        String::new(),
        draws.collect::<Vec<_>>().join("; "),
        cell(d.dropped.as_ref().map(|dropped| &dropped.would_have_given)),
    ];
    row.extend(d.in_measures.iter().map(|measure| measure.value.to_string()));
    row.push(d.cautions.join(" "));
    row
}

fn stock_row(s: &StockOut) -> Vec<String> {
    vec![
        "stock".to_owned(),
        s.id.clone().unwrap_or_default(),
        s.name.clone().unwrap_or_default(),
        text(s.ready_on),
        text(s.use_by),
        String::new(),
        String::new(),
        cell(Some(&s.given)),
        String::new(),
        String::new(),
        cell(Some(&s.left)),
        cell(Some(&s.expired)),
        String::new(),
    ]
}

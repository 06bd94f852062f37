//! Stock against demand described, of a balance or of a season: is there enough, who gets what, and what would close the gap.

mod additional_production;
mod demands;
mod gap;
mod stock;

use super::{BalanceTotal, BalancesAnswer, DayOut, DemandOut, DrawOut, GapOut, StockOut};
use crate::http::output::{CautionOut, QuantityOut};
use crate::http::present::chart::{Chart, Series};
use crate::http::present::table::For;
use crate::http::present::words::{chance, day, name_of, shown};
use crate::http::present::{Description, Part};
use crate::http::resources::seasons::{ChancesOut, SeasonBedOut};
use chrono::NaiveDate;

/// Stock against demand, of a balance or of a season.
pub(in crate::http::resources) struct Account<'a> {
    /// All together.
    pub total: &'a BalanceTotal,
    /// The last day on which the first shortage could have been met.
    pub first_shortfall_on: Option<NaiveDate>,
    /// The demands.
    pub demands: &'a [DemandOut],
    /// The lots of the request.
    pub stock: &'a [StockOut],
    /// The beds, with their lots.
    pub beds: &'a [SeasonBedOut],
    /// On hand before the first date.
    pub opening: &'a QuantityOut,
    /// The days on which something happens.
    pub by_date: &'a [DayOut],
    /// How sure that is.
    pub chances: Option<&'a ChancesOut>,
    /// What would close the gap.
    pub gap: &'a GapOut,
    /// The account day by day.
    pub series: &'a Series,
}

/// Describes a balance.
pub fn describe(answer: &BalancesAnswer) -> Description<'_> {
    let mut description = Description::of(answer, "Stock against demand");
    let account = Account {
        total: &answer.total,
        first_shortfall_on: answer.first_shortfall_on,
        demands: &answer.demands,
        stock: &answer.stock,
        beds: &[],
        opening: &answer.opening_stock,
        by_date: &answer.by_date,
        chances: None,
        gap: &answer.shortfall_options,
        series: &answer.series,
    };
    account.describe(answer.name.as_deref().or(answer.id.as_deref()), For::Everyone, &mut description);
    description.table(stock::both(&account));
    description
}

impl Account<'_> {
    /// Describes it; the days are for this audience.
    pub fn describe(&self, title: Option<&str>, days: For, description: &mut Description<'_>) {
        self.in_words(description);
        description.parts.push(Part::Chart(self.chart(title, description.cautions)));
        description.section("Who gets what", demands::table(self));
        if self.chances.is_some() {
            description.paragraph(
                "Chance: the chance that the planned castings come in time and are as many as needed, in steps of 5 %.",
            );
        }
        gap::describe(self, description);
        description.section("Stock", stock::lots(self));
        description.table(stock::by_date(self, days));
    }

    fn chart(&self, title: Option<&str>, cautions: &[CautionOut]) -> Chart {
        let ready = self.chances.map(|chances| chances.ready.as_slice()).unwrap_or_default();
        let of_runs = ready.iter().map(|on| (on.date, on.volume.p10.value.get(), on.volume.p90.value.get()));
        let of_all = cautions.iter().map(|caution| format!("{}: {}", caution.severity, caution.in_words()));
        Chart {
            title: title.unwrap_or("Castings over time").to_owned(),
            series: self.series.clone(),
            band: of_runs.collect(),
            mind: of_all.collect(),
        }
    }

    fn is_short(&self) -> bool {
        self.total.shortfall.value.get() > 0.0
    }

    /// Whether there is enough, and how sure that is.
    fn in_words(&self, description: &mut Description<'_>) {
        let total = self.total;
        let sure = self.how_sure().map(|sure| format!(" {sure}")).unwrap_or_default();
        if self.is_short() {
            let first = self.first_short().map(|first| format!(" ({first})")).unwrap_or_default();
            let on = self.first_shortfall_on.map(|on| format!(", first on {}{first}", day(on))).unwrap_or_default();
            let (short, wanted) = (shown(&total.shortfall), shown(&total.needed));
            description.stressed("Not enough.", format!("{short} of the {wanted} needed are missing{on}.{sure}"));
        } else {
            let (wanted, left) = (shown(&total.needed), shown(&total.remaining));
            let text = format!("Every demand gets all of its castings in time: {wanted}. {left} remain.{sure}");
            description.stressed("Enough.", text);
        }
        let parts = [
            ("on hand", &total.on_hand),
            ("stock to come", &total.stock_to_come),
            ("expected harvest", &total.expected_harvest),
        ];
        let parts = parts.into_iter().filter_map(|(what, part)| Some(format!("{what} {}", shown(part.as_ref()?))));
        let parts: Vec<String> = parts.collect();
        let parts = if parts.is_empty() { String::new() } else { format!(" ({})", parts.join(", ")) };
        description.paragraph(format!(
            "Supply: {}{parts}; allocated: {}; expired: {}; remaining: {}.",
            shown(&total.supply),
            shown(&total.allocated),
            shown(&total.expired),
            shown(&total.remaining)
        ));
        let breaks = |demand: &DemandOut| demand.allocations.iter().any(DrawOut::breaks_a_wait);
        let too_early: Vec<String> =
            self.demands.iter().enumerate().filter(|(_, d)| breaks(d)).map(|(i, d)| called(d, i)).collect();
        if !too_early.is_empty() {
            let text =
                "Raw manure needs its interval from application to harvest. See who gets what, and follow local rules.";
            description.stressed("Not safe to harvest as planned:", format!("{}. {text}", too_early.join(", ")));
        }
    }

    /// What is short on the first day.
    fn first_short(&self) -> Option<String> {
        let short = |d: &DemandOut| d.shortfall.value.get() > 0.0 && d.latest == self.first_shortfall_on;
        self.demands.iter().enumerate().find(|(_, d)| short(d)).map(|(i, d)| called(d, i))
    }

    fn how_sure(&self) -> Option<String> {
        let chances = self.chances?;
        let last = chance(&chances.by_date.last()?.chance);
        let enough = format!("The chance of enough castings on every day is {last}, {}.", chances.condition);
        let Some((on, margin)) = chances.worst_on.zip(chances.margin.as_ref()) else { return Some(enough) };
        let [low, middle, high] = [&margin.p10, &margin.p50, &margin.p90].map(spare);
        let on = day(on);
        Some(format!(
            "{enough} The tightest day is {on}: {middle} in the middle of the runs, {low} or worse in one run of ten, {high} or better in \
             one of ten."
        ))
    }
}

/// `12 L to spare`, `69.48 L too little`.
fn spare(margin: &QuantityOut) -> String {
    let shown = shown(margin);
    shown.strip_prefix('-').map_or_else(|| format!("{shown} to spare"), |missing| format!("{missing} too little"))
}

/// What a demand is called.
fn called(demand: &DemandOut, index: usize) -> String {
    name_of(demand.name.as_deref(), demand.id.as_deref(), "demand", index)
}

//! Stock against demand described, of a balance or of a season: is there enough, who gets what, and what would close the shortfall.

mod additional_production;
mod demands;
mod gap;
mod labels;
mod occasions;
mod stock;

use super::{AllocationOut, BalanceTotal, BalancesAnswer, DayOut, DemandOut, ShortfallOptionsOut, StockOut};
use crate::http::output::QuantityOut;
use crate::http::output::skipped::without_left_out;
use crate::http::present::chart::{Chart, OverTime, Picture, Series};
use crate::http::present::table::For;
use crate::http::present::words::in_one_unit;
use crate::http::present::{Description, Part};
use crate::http::resources::calendar::ADDITIONAL_PRODUCTION;
use crate::http::resources::chances::ChancesOut;
use crate::http::resources::season_beds::SeasonBedOut;
use crate::http::resources::variants::{self, AS_ASKED, OutcomeOut, VariantOut};

/// Stock against demand, of a balance or of a season.
pub(in crate::http::resources) struct Account<'a> {
    /// Whether there is enough.
    pub headline: &'a str,
    /// All together.
    pub total: &'a BalanceTotal,
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
    /// Options to close the shortfall.
    pub gap: &'a ShortfallOptionsOut,
    /// The account day by day.
    pub series: &'a Series,
    /// What is kept of it to compare it with its variants.
    pub outcome: OutcomeOut,
    /// Its variants.
    pub variants: &'a [VariantOut],
}

/// Describes a balance.
pub fn describe(answer: &BalancesAnswer) -> Description<'_> {
    let mut description = Description::of(answer, "Stock against demand");
    let account = Account {
        headline: &answer.headline,
        total: &answer.total,
        demands: &answer.demands,
        stock: &answer.stock,
        beds: &[],
        opening: &answer.opening_stock,
        by_date: &answer.by_date,
        chances: None,
        gap: &answer.shortfall_options,
        series: &answer.series,
        outcome: answer.outcome(AS_ASKED),
        variants: &answer.variants,
    };
    account.headline(&mut description);
    account.describe(&mut description);
    description.section("Stock", stock::lots(&account));
    description.table(stock::by_date(&account, For::Everyone));
    account.details(answer.name_or_id(), &mut description);
    description.table(stock::both(&account));
    description.parts.push(account.labels());
    description
}

impl Account<'_> {
    /// Labels to cut out.
    pub fn labels(&self) -> Part {
        labels::labels(self)
    }

    /// Whether there is enough, and what is not safe.
    pub fn headline(&self, description: &mut Description<'_>) {
        let headline = without_left_out(self.headline, description.skipped);
        let (stressed, text) = headline.split_once(". ").unwrap_or((headline, ""));
        description.stressed(format!("{stressed}."), text);
        let breaks = |demand: &DemandOut| demand.allocations.iter().any(AllocationOut::breaks_interval);
        let too_early: Vec<String> =
            self.demands.iter().enumerate().filter(|(_, d)| breaks(d)).map(|(i, d)| d.called(i)).collect();
        if !too_early.is_empty() {
            let text =
                "Raw manure needs its interval from application to harvest. See who gets what, and follow local rules.";
            description.stressed("Not safe to harvest as planned:", format!("{}. {text}", too_early.join(", ")));
        }
    }

    /// The options where something is short, then who gets what.
    pub fn describe(&self, description: &mut Description<'_>) {
        if !self.gap.additional_production.is_empty() {
            description.items.insert(format!("/{ADDITIONAL_PRODUCTION}"), "production".to_owned());
        }
        gap::options(self, description);
        variants::describe(&self.outcome, self.variants, description);
        description.section(&self.sums(), demands::table(self));
        demands::intervals(self, description);
        description.table(occasions::table(self));
        gap::served_later(self, description);
    }

    /// What a short text leaves out: the chart, and what would be produced for a shortfall.
    pub fn details(&self, title: Option<&str>, description: &mut Description<'_>) {
        description.parts.push(Part::Details);
        description.parts.push(Part::Chart(self.chart(title)));
        gap::more_for_90_percent(self, description);
        if self.is_short() {
            additional_production::describe(&self.gap.additional_production, description);
        }
    }

    /// The lots, and the stock by date.
    pub fn stock(&self, description: &mut Description<'_>) {
        description.section("Stock", stock::lots(self));
        description.table(stock::by_date(self, For::Long));
    }

    fn chart(&self, title: Option<&str>) -> Chart {
        let ready = self.chances.map(|chances| chances.ready.as_slice()).unwrap_or_default();
        let of_runs = ready.iter().map(|on| (on.date, on.volume.p10.value.get(), on.volume.p90.value.get()));
        let picture = OverTime { series: self.series.clone(), band: of_runs.collect() };
        Chart::new(title.unwrap_or("Castings over time"), Picture::OverTime(picture))
    }

    fn is_short(&self) -> bool {
        self.total.shortfall.value.get() > 0.0
    }

    /// Whether lots keep so much that nobody gets, on one day or another.
    fn keeps(&self, amount: &QuantityOut) -> bool {
        let unused = self.stock.iter().filter(|lot| !lot.past).map(|lot| lot.expired.value.get());
        self.total.remaining.value.get() + unused.sum::<f64>() >= amount.value.get()
    }

    /// What there is and where it goes, in one line.
    fn sums(&self) -> String {
        let total = self.total;
        let supply = [&total.on_hand, &total.stock_to_come, &total.expected_harvest];
        let [on_hand, to_come, harvest] = supply.map(|part| part.as_ref().unwrap_or(&total.remaining));
        // The headline has these two in one unit.
        let unit = in_one_unit(&[&total.needed, &total.remaining]);
        let [on_hand, to_come, harvest, remaining, expired] =
            [on_hand, to_come, harvest, &total.remaining, &total.expired].map(unit);
        let parts = [(on_hand, "on hand"), (to_come, "to come"), (harvest, "expected harvest")];
        let parts = supply.into_iter().zip(parts).filter(|(part, _)| part.is_some());
        let parts: Vec<String> = parts.map(|(_, (amount, what))| format!("{amount} {what}")).collect();
        let expired = (total.expired.value.get() > 0.0).then(|| format!(", {expired} expire"));
        let year = demands::year(self).map(|year| format!(" in {year}")).unwrap_or_default();
        if parts.is_empty() {
            return format!("Who gets what{year}: there are no castings");
        }
        format!("Who gets what{year}: of {}, {remaining} remain{}", parts.join(" and "), expired.unwrap_or_default())
    }
}

//! What would close the gap, and what the plan does already.

use super::{Account, called};
use crate::http::present::words::{day, shown};
use crate::http::present::{Description, Part};
use crate::http::resources::balances::SackOut;

/// The options, where something is short.
pub fn options(account: &Account<'_>, description: &mut Description<'_>) {
    if account.is_short() {
        description.heading("Options to close the shortfall");
        description.parts.push(Part::List(ways(account)));
    }
}

/// What the plan serves later than it could.
pub fn served_later(account: &Account<'_>, description: &mut Description<'_>) {
    if !account.gap.served_later.is_empty() {
        description.heading("Served later, so that others get castings in time");
        let moved = account.gap.served_later.iter().map(|moved| {
            let first = moved.first_possible_on.map(|first| format!(" instead of {}", day(first))).unwrap_or_default();
            format!(
                "{}: {} on {}{first}.",
                moved.demand.called("demand"),
                shown(&moved.amount),
                day(moved.allocated_on)
            )
        });
        description.parts.push(Part::List(moved.collect()));
    }
}

/// Share alike, buy, wait; and what the plan drops.
fn ways(account: &Account<'_>) -> Vec<String> {
    let gap = account.gap;
    let alike = if gap.pro_rata_share.value.get() > 0.0 {
        format!("Give every demand the same share: {} of what it needs.", shown(&gap.pro_rata_share))
    } else {
        "There are no castings to share.".to_owned()
    };
    let waits = gap.later_supply.iter().map(|wait| {
        let (demand, until, amount) = (wait.demand.called("demand"), day(wait.until), shown(&wait.amount));
        format!("Let {demand} wait until {until}: {amount} more are then free for it.")
    });
    let dropped = account.demands.iter().enumerate().filter(|(_, demand)| demand.dropped.is_some());
    let dropped = dropped.map(|(i, demand)| {
        format!("{} gets nothing in this plan. Ask for less, or choose another day.", called(demand, i))
    });
    std::iter::once(alike).chain(gap.sacks.iter().map(sacks)).chain(waits).chain(dropped).collect()
}

fn sacks(sack: &SackOut) -> String {
    let noun = if sack.count == 1 { "sack" } else { "sacks" };
    let by = sack.by.map(|by| format!(" by {}", day(by))).unwrap_or_default();
    let cost = match (&sack.cost, &sack.currency) {
        (Some(cost), Some(currency)) => format!(", {cost} {currency}"),
        (Some(cost), None) => format!(", at a cost of {cost}"),
        (None, _) => String::new(),
    };
    let past = if sack.past { "; that day has passed" } else { "" };
    format!("Buy {} {noun} of {}{by}{cost}{past}.", sack.count, shown(&sack.capacity))
}

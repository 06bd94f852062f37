//! What castings do to the salts of mixes.

use super::name;
use crate::http::output::{Number, QuantityOut};
use crate::http::present::{Column, Description, Rows};
use crate::http::resources::applications::ApplicationsAnswer;
use crate::http::resources::applications::answer::AreaOut;
use crate::http::resources::applications::salt::SaltOut;

/// A figure of the salts of a place, where there is one.
fn of<'a>((_, area): &(usize, &'a AreaOut), figure: fn(&SaltOut) -> &QuantityOut) -> Option<&'a QuantityOut> {
    area.salt.as_deref().map(figure)
}

/// A largest share in tenths of a percent for readers, so that who takes it stays within the limit.
fn rounded_down(share: &QuantityOut) -> QuantityOut {
    let down = |of: Number| Number::rounded((of.get() * 10.0 + f64::EPSILON.sqrt()).floor() / 10.0);
    QuantityOut { value: down(share.value), low: share.low.map(down), high: share.high.map(down), ..share.clone() }
}

/// Adds them to the places, as data.
pub fn columns<'a>(
    rows: Rows<(usize, &'a AreaOut)>,
    [unit, of_shares]: [&'static str; 2],
) -> Rows<(usize, &'a AreaOut)> {
    rows.column(Column::data_in("salt", unit).bounded(), |area| of(area, |salt| &salt.conductivity))
        .column(Column::data_in("salt_limit", unit), |area| of(area, |salt| &salt.limit))
        .column(Column::data_in("salt_largest_share", of_shares).bounded(), |area| of(area, |salt| &salt.largest_share))
}

/// Adds what a reader sees of them.
pub fn describe(answer: &ApplicationsAnswer, description: &mut Description<'_>) {
    let mixes = answer.areas.iter().enumerate().filter(|(_, area)| area.salt.is_some());
    let table = Rows::of(mixes, ["mix", "mixes"])
        .column(Column::words("", "mix"), |area| name(*area))
        .column(Column::shown("castings\nbring"), |area| of(area, |salt| &salt.conductivity))
        .column(Column::shown("at most"), |area| of(area, |salt| &salt.limit))
        .column(Column::shown("largest share\nby salts"), |area| of(area, |salt| &salt.largest_share).map(rounded_down))
        .done();
    if table.rows.is_empty() {
        return;
    }
    description.section("Salts in mixes for pots and beds", table);
    description.paragraph(
        "Electrical conductivity of 1 part of mix in 5 parts of water by volume. The other parts of a mix bring salts too, and trials found \
         the best growth with 10 to 20 % castings."
            .to_owned(),
    );
}

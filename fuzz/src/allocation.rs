//! Sharing: what its documentation guarantees, for any lots and demands.

use arbitrary::{Result, Unstructured};
use barrowful::garden::balances::allocation::{
    Allocation, Demand, Eligibility, Fraction, Lot, Window, allocate, pro_rata_share,
};
use barrowful::garden::cautions::waiting::Limit;
use barrowful::garden::units::Millilitres;
use chrono::{Days, NaiveDate};

/// Makes lots and demands of bytes, and shares.
pub fn allocation(data: &[u8]) {
    let Ok((lots, demands)) = case(&mut Unstructured::new(data)) else { return };
    let shared = allocate(&lots, &demands);
    bounds(&lots, &demands, &shared);
    portions(&demands, &shared);
    nothing_lies_idle(&lots, &demands, &shared);
    alike(&lots, &demands, &shared);
    assert_eq!(shared, allocate(&lots, &demands), "the same twice");
}

fn case(bytes: &mut Unstructured<'_>) -> Result<(Vec<Lot>, Vec<Demand>)> {
    let (lots, demands) = (bytes.int_in_range(0..=6)?, bytes.int_in_range(0..=8)?);
    let lots = (0..lots).map(|_| lot(bytes)).collect::<Result<_>>()?;
    let demands = (0..demands).map(|_| demand(bytes)).collect::<Result<_>>()?;
    Ok((lots, demands))
}

fn day(bytes: &mut Unstructured<'_>) -> Result<Option<NaiveDate>> {
    let days = bytes.int_in_range(0..=15_u8)?;
    let first = NaiveDate::from_ymd_opt(2027, 3, 1).and_then(|first| first.checked_add_days(Days::new(days.into())));
    Ok(first.filter(|_| days > 1))
}

fn amount(bytes: &mut Unstructured<'_>) -> Result<Millilitres> {
    let small = bytes.int_in_range(0..=3_u8)? > 0;
    Ok(Millilitres::new(if small { bytes.int_in_range(0..=40)? } else { bytes.int_in_range(0..=10_u64.pow(15))? }))
}

fn lot(bytes: &mut Unstructured<'_>) -> Result<Lot> {
    let window = Window { first: day(bytes)?, last: day(bytes)? };
    Ok(Lot { amount: amount(bytes)?, window, untreated: bytes.int_in_range(0..=3_u8)? == 0, ..Lot::default() })
}

fn demand(bytes: &mut Unstructured<'_>) -> Result<Demand> {
    let window = Window { first: day(bytes)?, last: day(bytes)? };
    let untreated = match bytes.int_in_range(0..=3_u8)? {
        0 => Limit::Never,
        1 => day(bytes)?.map_or(Limit::Always, Limit::Until),
        _ => Limit::Always,
    };
    let portions = bytes.int_in_range(0..=9)?;
    Ok(Demand {
        amount: amount(bytes)?,
        window,
        priority: bytes.int_in_range(1..=3)?,
        portions: Some(portions).filter(|count| *count > 3),
        eligibility: Eligibility { treated: Limit::Always, untreated },
    })
}

/// Nobody gets more than is asked, no lot gives more than it has, and each allotment is on a day that both allow.
fn bounds(lots: &[Lot], demands: &[Demand], shared: &Allocation) {
    assert_eq!(shared.allocated.len(), demands.len());
    let (mut given, mut taken) = (vec![0_u64; demands.len()], vec![0_u64; lots.len()]);
    for allotment in &shared.allotments {
        let days = demands[allotment.demand].days_on(&lots[allotment.lot]).expect("they share a day");
        assert_eq!(allotment.on, days.first);
        assert!(allotment.amount > Millilitres::ZERO);
        given[allotment.demand] += allotment.amount.get();
        taken[allotment.lot] += allotment.amount.get();
    }
    for ((demand, all), sum) in demands.iter().zip(&shared.allocated).zip(given) {
        assert_eq!(all.get(), sum);
        assert!(sum <= demand.amount.get());
    }
    assert!(lots.iter().zip(taken).all(|(lot, sum)| sum <= lot.amount.get()));
}

/// A demand in portions gets a whole number of them.
fn portions(demands: &[Demand], shared: &Allocation) {
    for (demand, given) in demands.iter().zip(&shared.allocated) {
        let Some(count) = demand.portions.filter(|count| *count > 0) else { continue };
        let amount_of = |k: u32| u128::from(demand.amount.get()) * u128::from(k) / u128::from(count);
        assert!((0..=count).any(|k| amount_of(k) == u128::from(given.get())), "{given:?} of {demand:?}");
    }
}

/// No lot that could serve a demand that is short has anything left, but where it comes in portions.
fn nothing_lies_idle(lots: &[Lot], demands: &[Demand], shared: &Allocation) {
    for (place, lot) in lots.iter().enumerate() {
        let taken: u64 = shared
            .allotments
            .iter()
            .filter(|allotment| allotment.lot == place)
            .map(|allotment| allotment.amount.get())
            .sum();
        for (demand, given) in demands.iter().zip(&shared.allocated) {
            let short = *given < demand.amount && demand.portions.is_none();
            assert!(
                taken == lot.amount.get() || !short || demand.days_on(lot).is_none(),
                "{lot:?} has {taken} taken and {demand:?} got {given:?}"
            );
        }
    }
}

/// The share that all could get alike is reached together, and no larger one.
fn alike(lots: &[Lot], demands: &[Demand], shared: &Allocation) {
    let share = pro_rata_share(lots, demands);
    let asked = demands.iter().any(|demand| demand.amount > Millilitres::ZERO);
    assert_eq!(share.is_some(), asked);
    let all = demands.iter().zip(&shared.allocated).all(|(demand, given)| *given == demand.amount);
    if all && asked {
        assert_eq!(share, Some(Fraction::ONE));
    }
    let without_portions = demands.iter().all(|demand| demand.portions.is_none());
    if share == Some(Fraction::ONE) && without_portions {
        assert!(all, "all could be served, and {:?} is given", shared.allocated);
    }
}

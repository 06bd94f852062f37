//! The amounts of a balance as figures that know how they came. Who gets how much is a rule; what follows from it is computed here.

use super::allocation::{Lot, LotSource};
use super::ledger::{DayRow, LotState, left_over, on_hand};
use super::{Balance, Served, ServedOccasion};
use crate::garden::figures::{Recorder, WholeVolume};
use crate::garden::formulas::{LeftOfHarvest, ShareAllocated, Short, TotalVolume};
use crate::garden::units::quantity::OfShare;
use crate::garden::units::{Estimate, Millilitres, Share};
use chrono::NaiveDate;

/// The rule of [`super::allocation::allocate`].
pub(super) const ALLOCATION: &str = "by priority, and alike within one, as far as dates and what is eligible allow";
/// The rule of [`super::ledger::ledger`].
const LEDGER: &str = "lots as they become ready, are drawn from and expire";

/// What is missing of what is needed.
#[must_use]
pub fn short(needed: WholeVolume, allocated: WholeVolume, recorder: impl Recorder) -> WholeVolume {
    recorder.whole::<Short, 2>([needed, allocated])
}

/// The share of what is needed that is allocated; all of it where nothing is needed.
#[must_use]
pub fn share_allocated(needed: WholeVolume, allocated: WholeVolume, recorder: impl Recorder) -> Estimate<OfShare> {
    if needed.volume == Millilitres::ZERO {
        return Share::from_fraction(1.0).into();
    }
    recorder.of_amounts::<ShareAllocated, 2>([allocated, needed])
}

/// All of a list together; nothing is recorded of an empty list.
fn total(amounts: impl Iterator<Item = WholeVolume>, recorder: impl Recorder) -> WholeVolume {
    let amounts: Vec<WholeVolume> = amounts.collect();
    if amounts.is_empty() { WholeVolume::default() } else { recorder.whole_of_list::<TotalVolume>(&amounts) }
}

/// What one demand gets, or one time of a demand that repeats: allocated + shortfall = needed.
#[derive(Debug, Clone, PartialEq)]
pub struct DemandFigures {
    /// Asked.
    pub needed: WholeVolume,
    /// Given.
    pub allocated: WholeVolume,
    /// Missing.
    pub shortfall: WholeVolume,
    /// Given over wanted.
    pub share_allocated: Estimate<OfShare>,
    /// Of a demand that repeats, each time; they sum to the demand.
    pub occasions: Vec<Self>,
}

/// What happens to one lot: allocated + remaining + expired = amount.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LotFigures {
    /// All of it.
    pub amount: WholeVolume,
    /// Given.
    pub allocated: WholeVolume,
    /// Left over.
    pub remaining: WholeVolume,
    /// Not used by its use-by.
    pub expired: WholeVolume,
    /// Whether it is there or to come.
    pub availability: Availability,
}

/// One day: closing stock = closing stock before + received - allocated - expired.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DayFigures {
    /// The day.
    pub date: NaiveDate,
    /// Ready from this day.
    pub received: WholeVolume,
    /// Given.
    pub allocated: WholeVolume,
    /// No longer usable from this day.
    pub expired: WholeVolume,
    /// On hand after this day.
    pub closing_stock: WholeVolume,
}

/// All together: allocated + shortfall = needed, allocated + remaining + expired = supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TotalFigures {
    /// Asked.
    pub needed: WholeVolume,
    /// There or to come.
    pub supply: WholeVolume,
    /// Lots on hand, where there are any.
    pub on_hand: Option<WholeVolume>,
    /// Lots to come, where there are any.
    pub stock_to_come: Option<WholeVolume>,
    /// Harvests of worm beds, where there are any.
    pub expected_harvest: Option<WholeVolume>,
    /// Given.
    pub allocated: WholeVolume,
    /// Missing.
    pub shortfall: WholeVolume,
    /// Left over.
    pub remaining: WholeVolume,
    /// Not used by its use-by.
    pub expired: WholeVolume,
}

/// The amounts of a balance.
#[derive(Debug, Clone, PartialEq)]
pub struct BalanceFigures {
    /// All together.
    pub total: TotalFigures,
    /// The demands, in order.
    pub demands: Vec<DemandFigures>,
    /// The lots, in order.
    pub stock: Vec<LotFigures>,
    /// On hand before the first date.
    pub opening_stock: WholeVolume,
    /// The days on which something happens.
    pub by_date: Vec<DayFigures>,
}

impl BalanceFigures {
    /// The amounts of a balance of what was `wanted` each time and what there is in `stock`, in the order of its demands and lots. A harvest
    /// has no use-by: it is given or left.
    #[must_use]
    pub fn of(balance: &Balance, (wanted, stock): (&[WholeVolume], &[StockFigure]), recorder: impl Recorder) -> Self {
        let demands = wanted.iter().zip(&balance.demands);
        let demands: Vec<DemandFigures> =
            demands.map(|(wanted, served)| of_demand(*wanted, served, recorder)).collect();
        let stock = stock.iter().zip(&balance.stock);
        let stock: Vec<LotFigures> = stock.map(|(lot, state)| of_lot(*lot, state, recorder)).collect();
        let opening = recorder.amount(LEDGER, &[], balance.opening_stock);
        let mut before = opening;
        let by_date = balance.by_date.iter().map(|row| {
            let day = of_day(before, row, recorder);
            before = day.closing_stock;
            day
        });
        let by_date = by_date.collect();
        let of_demands = |pick: fn(&DemandFigures) -> WholeVolume| total(demands.iter().map(pick), recorder);
        let of_stock = |pick: fn(&LotFigures) -> WholeVolume| total(stock.iter().map(pick), recorder);
        let total = TotalFigures {
            needed: of_demands(|demand| demand.needed),
            supply: of_stock(|lot| lot.amount),
            on_hand: part_of(&stock, Availability::OnHand, recorder),
            stock_to_come: part_of(&stock, Availability::ToCome, recorder),
            expected_harvest: part_of(&stock, Availability::Harvest, recorder),
            allocated: of_demands(|demand| demand.allocated),
            shortfall: of_demands(|demand| demand.shortfall),
            remaining: of_stock(|lot| lot.remaining),
            expired: total(
                stock.iter().filter(|lot| lot.availability != Availability::Harvest).map(|lot| lot.expired),
                recorder,
            ),
        };
        Self { total, demands, stock, opening_stock: opening, by_date }
    }
}

/// Whether castings are there or to come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Availability {
    /// A lot that is ready: without a first day, or with one by today.
    OnHand,
    /// A lot that is ready later; also where its first day is given and today is not known.
    ToCome,
    /// A harvest that a worm bed is expected to give.
    Harvest,
}

impl Availability {
    /// Of a lot, on this day.
    #[must_use]
    pub fn of(lot: &Lot, today: Option<NaiveDate>) -> Self {
        match (lot.source, lot.window.first) {
            (LotSource::Bed { .. }, _) => Self::Harvest,
            (_, Some(first)) if today.is_none_or(|today| first > today) => Self::ToCome,
            _ => Self::OnHand,
        }
    }
}

/// The lots of one supply together; `None` if there are none.
fn part_of(stock: &[LotFigures], availability: Availability, recorder: impl Recorder) -> Option<WholeVolume> {
    let lots: Vec<_> = stock.iter().filter(|lot| lot.availability == availability).map(|lot| lot.amount).collect();
    (!lots.is_empty()).then(|| total(lots.into_iter(), recorder))
}

/// What there is in a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StockFigure {
    /// All of it.
    pub amount: WholeVolume,
    /// Whether it is there or to come.
    pub availability: Availability,
}

fn of_demand(each_time: WholeVolume, served: &Served, recorder: impl Recorder) -> DemandFigures {
    let occasion = |one: &ServedOccasion| {
        of_amounts(each_time, recorder.amount(ALLOCATION, &[each_time], one.allocated), recorder)
    };
    let occasions: Vec<DemandFigures> = served.occasions.iter().map(occasion).collect();
    if occasions.is_empty() {
        return of_amounts(each_time, recorder.amount(ALLOCATION, &[each_time], served.allocated), recorder);
    }
    let needed = total(occasions.iter().map(|one| one.needed), recorder);
    let allocated = total(occasions.iter().map(|one| one.allocated), recorder);
    DemandFigures { occasions, ..of_amounts(needed, allocated, recorder) }
}

fn of_amounts(needed: WholeVolume, allocated: WholeVolume, recorder: impl Recorder) -> DemandFigures {
    DemandFigures {
        needed,
        allocated,
        shortfall: short(needed, allocated, recorder),
        share_allocated: share_allocated(needed, allocated, recorder),
        occasions: Vec::new(),
    }
}

fn of_lot(StockFigure { amount, availability }: StockFigure, state: &LotState, recorder: impl Recorder) -> LotFigures {
    let given = recorder.amount(ALLOCATION, &[amount], state.allocated);
    let expired = recorder.amount(LEDGER, &[amount, given], state.expired);
    let left = if availability == Availability::Harvest {
        recorder.whole::<LeftOfHarvest, 2>([amount, given])
    } else {
        left_over([amount, given, expired], recorder)
    };
    LotFigures { amount, allocated: given, remaining: left, expired, availability }
}

fn of_day(before: WholeVolume, row: &DayRow, recorder: impl Recorder) -> DayFigures {
    let [arrived, given, expired] =
        [row.received, row.allocated, row.expired].map(|volume| recorder.amount(LEDGER, &[], volume));
    let left = on_hand(before, [arrived, given, expired], recorder);
    DayFigures { date: row.date, received: arrived, allocated: given, expired, closing_stock: left }
}

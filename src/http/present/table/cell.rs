//! The cells of tables.

use crate::http::output::{InContainers, Number, QuantityOut};
use chrono::{DateTime, FixedOffset, NaiveDate};

/// What a cell holds.
#[must_use]
#[derive(Debug, Clone)]
pub enum Cell {
    /// Nothing.
    Nothing,
    /// Words.
    Text(String),
    /// A count.
    Count(u64),
    /// A number with its unit, and its bounds where there are any. Boxed, since most cells of a wide table hold nothing.
    Quantity(Box<QuantityOut>),
    /// The same amount in containers of the caller's.
    Containers(InContainers),
    /// Numbers, each with the words that follow it.
    Phrases(Vec<(Number, String)>),
    /// A day.
    Date(NaiveDate),
    /// A moment.
    Moment(DateTime<FixedOffset>),
    /// What is written as data, and what is written for readers.
    Either(Box<Cell>, Box<Cell>),
}

impl Cell {
    /// The cell as data.
    pub fn data(&self) -> &Self {
        if let Self::Either(data, _) = self { data } else { self }
    }

    /// The cell for readers.
    pub fn read(&self) -> &Self {
        if let Self::Either(_, read) = self { read } else { self }
    }

    /// The quantity for readers, where it is one.
    pub(super) fn quantity(&self) -> Option<&QuantityOut> {
        if let Self::Quantity(quantity) = self.read() { Some(quantity) } else { None }
    }

    /// One cell as data, another for readers.
    pub fn either(data: impl Into<Self>, read: impl Into<Self>) -> Self {
        Self::Either(Box::new(data.into()), Box::new(read.into()))
    }

    /// Phrases in one line, each number written so.
    pub fn phrases(list: &[(Number, String)], write: impl Fn(String) -> String) -> String {
        let one = |(number, words): &(Number, String)| format!("{} {words}", write(number.to_string()));
        list.iter().map(one).collect::<Vec<_>>().join("; ")
    }

    /// `yes`, or nothing.
    pub fn yes(is: bool) -> Self {
        if is { "yes".into() } else { Self::Nothing }
    }
}

macro_rules! cells {
    ($($value:ident: $type:ty => $cell:expr;)*) => {$(
        impl From<$type> for Cell {
            fn from($value: $type) -> Self {
                $cell
            }
        }
    )*};
}

cells! {
    text: String => if text.is_empty() { Self::Nothing } else { Self::Text(text) };
    text: &str => text.to_owned().into();
    text: &String => text.clone().into();
    text: &Option<String> => text.as_ref().into();
    quantity: QuantityOut => Self::Quantity(Box::new(quantity));
    quantity: &QuantityOut => quantity.clone().into();
    quantity: &Option<QuantityOut> => quantity.as_ref().into();
    containers: &InContainers => Self::Containers(containers.clone());
    phrases: Vec<(Number, String)> => if phrases.is_empty() { Self::Nothing } else { Self::Phrases(phrases) };
    date: NaiveDate => Self::Date(date);
    count: u64 => Self::Count(count);
    count: u32 => Self::Count(count.into());
    count: u8 => Self::Count(count.into());
    count: usize => Self::Count(u64::try_from(count).unwrap_or(u64::MAX));
}

impl<T: Into<Self>> From<Option<T>> for Cell {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Nothing, Into::into)
    }
}

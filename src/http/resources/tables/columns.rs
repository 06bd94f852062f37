//! What each column of a table is: a field, a part of an answer, or the caller's own.

use super::Tabular;
use super::params::Address;
use crate::garden::assumptions::Assumption;
use crate::garden::units::text::{clip, read};
use crate::garden::units::{Dimension, Reader};
use crate::http::output::quantity::{Role, System};
use crate::http::present::csv::{OF_REQUEST, with_unit};
use crate::http::wire::csv::{Sheet, error};
use crate::http::wire::formulas::unguarded;
use crate::http::wire::{ErrorCode, RequestError, nearest, synonym};

/// What a column is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Column {
    /// A field of the items.
    Field(&'static str),
    /// A part of an answer, which is replaced.
    Answer,
    /// The caller's own, which stays as it is.
    Own,
}

/// The columns of a table.
#[must_use]
#[derive(Debug)]
pub struct Columns {
    /// What each is, in their order.
    pub all: Vec<Column>,
    /// The names of the fields that there may be columns for.
    pub known: Vec<&'static str>,
}

/// What the units in names of columns may measure.
const UNITS_OF_COLUMNS: &[Dimension] = &[
    Dimension::Length,
    Dimension::Area,
    Dimension::Volume,
    Dimension::Mass,
    Dimension::Share,
    Dimension::Temperature,
    Dimension::VolumePerArea,
    Dimension::MassPerArea,
    Dimension::VolumePerLength,
];

/// The columns of every answer that have no unit. The last one names what holds of the whole request.
pub const NOTES: [&str; 3] = ["cautions", "assumed", OF_REQUEST];

/// A figure of an answer that is added to the rows. Its columns have a unit at their end.
#[must_use]
#[derive(Debug, Clone, Copy)]
pub struct Figure {
    /// What the names of its columns begin with.
    pub name: &'static str,
    /// What it measures.
    roles: &'static [Role],
    /// Which of these have columns for their bounds.
    bounded: &'static [Role],
    /// Whether it is counted in the caller's containers as well.
    in_containers: bool,
}

impl Figure {
    /// A figure without bounds that measures these.
    pub const fn of(name: &'static str, roles: &'static [Role]) -> Self {
        Self { name, roles, bounded: &[], in_containers: false }
    }

    /// The same with bounds of some of its columns.
    pub const fn bounded(self, bounded: &'static [Role]) -> Self {
        Self { bounded, ..self }
    }

    /// The same, counted in the caller's containers as well.
    pub const fn in_containers(self) -> Self {
        Self { in_containers: true, ..self }
    }

    /// The names of its columns in all units, as they are compared.
    fn columns(&self, containers: &[&str]) -> impl Iterator<Item = String> {
        let units = |roles: &'static [Role]| {
            [System::Metric, System::Us]
                .into_iter()
                .flat_map(|system| roles.iter().map(move |role| system.unit(*role).0))
        };
        let name = |unit: &str| with_unit(self.name, unit).to_lowercase();
        let bounds = units(self.bounded).flat_map(|unit| ["low", "high"].map(|end| format!("{}_{end}", name(unit))));
        let containers = containers.iter().filter(|_| self.in_containers).map(|unit| name(unit));
        units(self.roles).map(name).chain(containers).chain(bounds).collect::<Vec<_>>().into_iter()
    }
}

/// The name of a column as it is compared: without white space around it, in small letters.
#[must_use]
pub fn normal(name: &str) -> String {
    unguarded(name, false).trim().to_lowercase()
}

impl Columns {
    /// The names of the fields that a table of this question takes.
    #[must_use]
    pub fn known<T: Tabular>() -> Vec<&'static str> {
        ["id", "name"].into_iter().chain(T::takes().into_iter().map(|(name, ..)| name)).collect()
    }

    /// Tells the columns apart by their names, and what is wrong with these.
    pub fn of<T: Tabular>(sheet: &Sheet<'_>, address: &Address) -> (Self, Vec<RequestError>) {
        let (line, header) = (sheet.header_line, &sheet.header);
        let names: Vec<String> = header.iter().map(|name| normal(name)).collect();
        let column_names = ColumnNames { known: Self::known::<T>(), answers: Answers::of::<T>(address), names: &names };
        let (mut all, mut wrong) = (Vec::with_capacity(header.len()), Vec::new());
        for (index, name) in names.iter().enumerate() {
            match column_names.column(index, name) {
                Ok(column) => all.push(column),
                Err(Refused { code, detail, nearest, read_as }) => {
                    let detail = format!("Line {line}, column {} ({}): {detail}", index + 1, clip(name));
                    let error = error((line, Some(index + 1)), code, detail);
                    wrong.push(RequestError { nearest: nearest.map(str::to_owned), ..error });
                    all.push(read_as);
                }
            }
        }
        (Self { all, known: column_names.known }, wrong)
    }

    /// The fields that there are columns for.
    pub fn fields(&self) -> impl Iterator<Item = &'static str> {
        self.all.iter().filter_map(|column| if let Column::Field(name) = column { Some(*name) } else { None })
    }

    /// The number of the column of a field, counted from 1.
    #[must_use]
    pub fn number(&self, field: &str) -> Option<usize> {
        self.all
            .iter()
            .position(|column| matches!(column, Column::Field(name) if *name == field))
            .map(|index| index + 1)
    }
}

/// What tells columns apart.
struct ColumnNames<'a> {
    known: Vec<&'static str>,
    answers: Answers,
    names: &'a [String],
}

/// A column that is refused.
struct Refused {
    code: ErrorCode,
    detail: String,
    nearest: Option<&'static str>,
    /// As what it is read, so that the other errors are those of the cells.
    read_as: Column,
}

impl ColumnNames<'_> {
    fn column(&self, index: usize, name: &str) -> Result<Column, Refused> {
        let field = self.known.iter().copied().find(|field| *field == name);
        let answer = self.answers.has(name);
        let is_again = self.names.iter().take(index).any(|other| other == name);
        match (field, answer) {
            (Some(_), _) | (_, Likeness::Same) if is_again => Err(Refused {
                code: ErrorCode::RepeatedColumn,
                detail: "this column appears twice; keep one of the two.".to_owned(),
                nearest: None,
                read_as: Column::Own,
            }),
            (Some(field), _) => Ok(Column::Field(field)),
            (None, Likeness::Same) => Ok(Column::Answer),
            (None, Likeness::Similar(base)) => Err(Refused {
                code: ErrorCode::UnknownColumn,
                detail: format!(
                    "columns that begin with {base}_ are those of answers. Give this one another name; or, if it is of a container, \
                     name the container in the address, as in container=bucket:12 L."
                ),
                nearest: None,
                read_as: Column::Own,
            }),
            (None, Likeness::None) => self.own(name),
        }
    }

    /// A column of the caller's, unless its name is almost that of a field, or that of a field with a unit.
    fn own(&self, name: &str) -> Result<Column, Refused> {
        if let Some((field, unit)) = self.field_and_unit(name) {
            let detail = format!(
                "call this column {field}, and write the unit in each cell, as in 2 {unit}. If it is a column of your own, give it \
                 another name."
            );
            return Err(self.refused(field, detail));
        }
        if Assumption::find(name).is_some() {
            let detail = format!(
                "this is an assumption, which counts for all rows: give it in the address, as in assume={name}:VALUE. If it is a column \
                 of your own, give it another name."
            );
            return Err(Refused { code: ErrorCode::UnknownColumn, detail, nearest: None, read_as: Column::Own });
        }
        // A column of beds or areas hardly says of which kind a surface is.
        let synonym = synonym(name, &self.known).filter(|field| *field != "surface");
        let Some(meant) = synonym.or_else(|| nearest(name, &self.known)) else { return Ok(Column::Own) };
        let Some(field) = self.known.iter().copied().find(|field| *field == meant) else { return Ok(Column::Own) };
        let detail = format!("did you mean {field}? If it is a column of your own, give it another name.");
        Err(self.refused(field, detail))
    }

    /// A column that is refused and read as that of a field, unless the table has one.
    fn refused(&self, field: &'static str, detail: String) -> Refused {
        let is_there = self.names.iter().any(|name| name == field);
        let read_as = if is_there { Column::Own } else { Column::Field(field) };
        Refused { code: ErrorCode::UnknownColumn, detail, nearest: Some(field), read_as }
    }

    /// The field and the unit that a name is made of: of `length (m)`, `length [m]` and `length_m`.
    fn field_and_unit<'n>(&self, name: &'n str) -> Option<(&'static str, &'n str)> {
        let (field, unit) = name.rsplit_once(['(', '[', '_', ' '])?;
        let (field, unit) = (field.trim_end_matches([' ', '_']), unit.trim_end_matches([')', ']']).trim());
        let field = self.known.iter().copied().find(|known| *known == field)?;
        read(&format!("2 {unit}"), UNITS_OF_COLUMNS, &Reader::default()).is_ok().then_some((field, unit))
    }
}

/// How like a column of an answer a name is.
enum Likeness {
    Same,
    Similar(&'static str),
    None,
}

/// The names of the columns of answers, in whatever units.
struct Answers {
    figures: &'static [Figure],
    names: Vec<String>,
}

impl Answers {
    fn of<T: Tabular>(address: &Address) -> Self {
        let containers = address.containers();
        let containers: Vec<&str> =
            containers.iter().filter_map(|text| text.split_once(':')).map(|(name, _)| name.trim()).collect();
        let words = NOTES.iter().chain(T::ADDS_WORDS).map(|&name| name.to_owned());
        let names = T::ADDS.iter().flat_map(|figure| figure.columns(&containers)).chain(words).collect();
        Self { figures: T::ADDS, names }
    }

    fn has(&self, name: &str) -> Likeness {
        if self.names.iter().any(|known| known == name) {
            return Likeness::Same;
        }
        let begins = |figure: &&Figure| name.strip_prefix(figure.name).is_some_and(|rest| rest.starts_with('_'));
        self.figures.iter().find(begins).map_or(Likeness::None, |figure| Likeness::Similar(figure.name))
    }
}

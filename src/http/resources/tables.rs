//! `POST` and `GET /v1/<question>/table`: a table in, the same table out with the answer beside each row.
//!
//! A row is an item in its flat form, as in cells. The rows become the same tree as a JSON body, so that a table and a body can never
//! differ.

mod calibrations;
mod columns;
mod errors;
mod fields;
mod holders;
mod kinds;
mod params;
mod records;
mod remedies;
mod rows;
mod write;

use super::Question;
use super::applications::{Applications, ApplicationsAnswer};
use super::ask::answer_within;
use super::balances::{Balances, BalancesAnswer};
use super::calibrations::{Calibrations, CalibrationsAnswer};
use super::cells::flat::Flat;
use super::cells::params::Field;
use super::cells::shared::Shared;
use super::harvests::{Harvests, HarvestsAnswer};
use crate::garden::work::Work;
use crate::http::body::Table;
use crate::http::chunks::{Chunks, Written};
use crate::http::etag::answer_to_address;
use crate::http::in_flight::{Held, InFlight};
use crate::http::limits::{MAX_TABLE_COLUMNS, MAX_TABLE_ROWS};
use crate::http::negotiate::Media;
use crate::http::output::COMPUTED_WITH;
use crate::http::present::Description;
use crate::http::present::options::OptionParams;
use crate::http::problem::{LinkProblems, Problem, TableProblems};
use crate::http::resources::respond::{Accepted, Form, STEPS_FOR_CELL, respond_with, text, write_answer};
use crate::http::wire::csv::{MostCells, parse, text_of};
use crate::http::wire::{Node, RequestErrors};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use columns::{Columns, Figure};
use encoding_rs::{Encoding, UTF_8};
use fields::Row;
use params::{Address, LinkParams, TableParams};
use records::{Cell, Records};
use rows::Built;
use write::Rows;

/// The media in which a table is answered, the preferred one first.
pub const MEDIA: &[Media] = &[Media::Csv, Media::Json, Media::Html, Media::Text];

/// How errors of a table in an address may be answered.
pub const ERRORS: [&str; 2] = ["status", "cell"];

/// A question that is also asked with a table.
pub trait Tabular: Question {
    /// The lists of the request that rows become items of.
    const LISTS: &'static [&'static str];
    /// The lists in each item of the first of these, where rows become items of such lists too. Each of these rows has the id or the name of
    /// the item that holds it, whose row is above.
    const NESTED: &'static [&'static str] = &[];
    /// Where a column `row` says to which list a row belongs: its words, each with its list.
    const ROWS: &'static [(&'static str, &'static str)] = &[];
    /// What `id` and `name` are.
    const NAMED: [Field; 2] =
        [("id", "b7", "Your own id, which no other row has."), ("name", "carrot rows", "Your own name for it.")];
    /// The described tables whose rows are these items.
    const DESCRIBED: &'static [&'static str];
    /// The figures of these tables that are added to the rows.
    const ADDS: &'static [Figure];
    /// The columns that hold words.
    const ADDS_WORDS: &'static [&'static str] = &[];
    /// A table that shows how it is done.
    const TABLE: &'static str;

    /// The columns that it takes besides `id` and `name`.
    fn takes() -> Vec<Field>;

    /// The list that a row belongs to; what is wrong with the row where it belongs to none.
    fn list(row: &Row<'_>) -> Result<&'static str, fields::NoList>;

    /// The list that a row seems to belong to where no column says it: what else is wrong with the row is then found as well.
    fn guess(_row: &Row<'_>) -> Option<&'static str> {
        None
    }

    /// The members of the item that a row is, without `id` and `name`.
    fn item<'s>(list: &'static str, row: Flat<'s, '_>) -> Vec<(&'static str, Node<'s>)>;

    /// The description of an answer that has the described tables.
    fn beside(answer: &Self::Answer) -> Description<'_> {
        Self::describe(answer)
    }
}

/// A table as it came, and how it is to be answered.
struct Asked {
    bytes: web::Bytes,
    encoding: &'static Encoding,
    address: Address,
    media: Media,
}

impl Asked {
    /// Reads the table, asks, and lets `then` go on with the answer; `None` if that is more work than `most`.
    fn with_answer<T: Tabular, R>(
        &self,
        most: Option<Work>,
        then: impl FnOnce(&T::Answer, Rows<'_>) -> Result<Option<R>, Problem>,
    ) -> Result<Option<R>, Problem> {
        let (address, takes) = (&self.address, Columns::known::<T>());
        let text = text_of(&self.bytes, self.encoding).map_err(Problem::table)?;
        let is_known = |name: &str| takes.contains(&columns::normal(name).as_str());
        let limits = MostCells { rows: MAX_TABLE_ROWS, columns: MAX_TABLE_COLUMNS };
        let sheet = parse(&text, address.delimiter, is_known, limits).map_err(Problem::table)?;
        let cells = sheet.rows.len().saturating_mul(sheet.header.len());
        if most.is_some_and(|most| Work::of(cells, STEPS_FOR_CELL) > most) {
            return Ok(None);
        }
        let (columns, wrong) = Columns::of::<T>(&sheet, address);
        let rows: Vec<Row<'_>> = sheet.rows.iter().map(|row| Row::read(row, &columns, address)).collect();
        let in_address = RequestErrors::query();
        let containers = (&*address.containers(), address.units.as_deref() == Some("us"));
        let shared = Shared::new(containers, &address.assumptions(), &in_address);
        let built = Built::of::<T>(&rows, &shared, address);
        let answer = answer_within::<T>(&built.tree, most);
        let found =
            errors::Found { columns: wrong, address: in_address, rows: &built, words: T::ROWS, sample: T::TABLE };
        let is_sound = found.is_empty();
        let problem = |errors| Err(found.problem(errors, (&sheet, &columns, &rows), address));
        match answer {
            // All that is wrong with it is found in its turn.
            Ok(None) => Ok(None),
            Ok(Some(answer)) if is_sound => {
                then(&answer, Rows { sheet: &sheet, columns: &columns, items: &built.items })
            }
            Ok(Some(_)) => problem(None),
            Err(errors) => problem(Some(errors)),
        }
    }

    /// Reads the table, asks, and writes; `None` if that is more work than `most`.
    fn written<T: Tabular>(&self, in_flight: &InFlight, most: Option<Work>) -> Result<Option<Written>, Problem> {
        self.with_answer::<T, _>(most, |answer, rows| {
            if self.media != Media::Csv {
                let form = Form { media: self.media, options: self.address.options };
                return write_answer::<T>(form, answer, (self.bytes.len(), in_flight), most);
            }
            let description = T::beside(answer);
            if most.is_some_and(|most| rows.work::<T>(&description) > most) {
                return Ok(None);
            }
            let written = rows.render::<T>(&description, &self.address);
            Chunks::of(in_flight, &written).map(Some)
        })
    }

    /// Answers it, at once or in its turn.
    async fn respond<T: Tabular + 'static>(self, held: Held, in_flight: &InFlight) -> Result<HttpResponse, Problem> {
        let (media, length, counts) = (self.media, self.bytes.len(), in_flight.clone());
        respond_with(media, (length, held), in_flight, move |most| self.written::<T>(&counts, most)).await
    }
}

/// Answers a table with this query as CSV; `None` if that is more work than `most`.
///
/// # Errors
/// Whatever is wrong with the query, the table or the request that it makes.
pub fn table_within<T: Tabular>(query: &str, table: &[u8], most: Work) -> Result<Option<Vec<u8>>, Problem> {
    let bytes = web::Bytes::copy_from_slice(table);
    let asked = Asked { bytes, encoding: UTF_8, address: Address::of_sent(query)?, media: Media::Csv };
    asked.with_answer::<T, _>(Some(most), |answer, rows| {
        let description = T::describe(answer);
        let few = rows.work::<T>(&description) <= most;
        Ok(few.then(|| rows.render::<T>(&description, &asked.address)))
    })
}

/// The columns that a question takes, as a list in Markdown.
#[must_use]
pub fn columns_in_words<T: Tabular>() -> String {
    let line = |(name, example, what): Field| format!("- `{name}` (`{example}`): {what}\n");
    T::NAMED.into_iter().chain(T::takes()).map(line).collect()
}

/// Answers a table that was sent.
async fn sent<T: Tabular + 'static>(accepted: Accepted, table: Table) -> Result<HttpResponse, Problem> {
    let media = accepted.choose(MEDIA)?;
    let (address, in_flight) = (Address::of_sent(table.body.query())?, table.body.in_flight().clone());
    let (bytes, held) = table.body.into_bytes();
    Asked { bytes, encoding: table.encoding, address, media }.respond::<T>(held, &in_flight).await
}

/// Answers a table that is in the address.
async fn linked<T: Tabular + 'static>(
    accepted: Accepted,
    request: HttpRequest,
    in_flight: InFlight,
) -> Result<HttpResponse, Problem> {
    let query = request.query_string();
    match answered::<T>(accepted, &request, in_flight).await {
        // Programs that import a table hide the text of errors.
        Err(problem) if params::errors_in_cell(query) => {
            let mut records = Records::new(params::has_byte_order_mark(query), ',');
            records.push([Cell::Own(problem.as_line())]);
            Ok(text(Media::Csv, records.text))
        }
        answer => answer,
    }
}

async fn answered<T: Tabular + 'static>(
    accepted: Accepted,
    request: &HttpRequest,
    in_flight: InFlight,
) -> Result<HttpResponse, Problem> {
    let (bytes, form, address) = Address::of_link(request.query_string())?;
    let media = match form {
        Some(media) => media,
        None => accepted.choose(MEDIA)?,
    };
    let asked = Asked { bytes: bytes.into(), encoding: UTF_8, address, media };
    let answer = asked.respond::<T>(Held::default(), &in_flight);
    answer_to_address(request, [COMPUTED_WITH, &format!("{}/table", T::NAME), media.as_str()], answer).await
}

/// The table of a question, sent or in the address, with what the document says of it.
macro_rules! table {
    ($post:ident, $get:ident, $tag:literal, $path:literal, $question:ty, $answer:ty; $about:literal, $about_link:literal) => {
        #[doc = $about]
        #[doc = ""]
        #[doc = "A table as CSV: a row for each item, a column for each field. It comes back as it is, with columns of the answer at its end."]
        #[doc = "Columns may be in any order, a blank cell is a field not given, and columns with other names are your own. A name close to"]
        #[doc = "that of a field, or that begins like a column of the answer (`castings_note`), is refused. Columns of an answer that are sent"]
        #[doc = "again are replaced. One wrong line and the table is refused; every error has its line and column. `decimal` and `delimiter` apply to"]
        #[doc = "table and answer; unless given, the first line shows the delimiter, or a line such as `sep=;` above it. Texts that a spreadsheet"]
        #[doc = "takes for formulas get a leading apostrophe, removed on reading. At most 10,000 rows of each kind and 100 columns."]
        #[utoipa::path(
            tag = $tag,
            params(TableParams, OptionParams),
            request_body(content = String, content_type = "text/csv"),
            responses(
                (status = 200, description = "The table with the answer beside each row; or as for a JSON body, with pointers that count the rows of each list",
                 content((String = "text/csv"), ($answer = "application/json"), (String = "text/html"), (String = "text/plain"))),
                TableProblems,
            )
        )]
        #[post($path)]
        pub async fn $post(accepted: Accepted, table: Table) -> Result<HttpResponse, Problem> {
            sent::<$question>(accepted, table).await
        }

        #[doc = $about_link]
        #[doc = ""]
        #[doc = "As the POST, with the table in the address: for spreadsheet functions that import a table."]
        #[utoipa::path(
            tag = $tag,
            params(LinkParams, TableParams, OptionParams),
            responses(
                (status = 200, description = "As for the POST",
                 content((String = "text/csv"), ($answer = "application/json"), (String = "text/html"), (String = "text/plain"))),
                (status = 304, description = "The answer with the tag in `If-None-Match` is still valid"),
                LinkProblems,
            )
        )]
        #[get($path)]
        pub async fn $get(accepted: Accepted, request: HttpRequest, in_flight: InFlight) -> Result<HttpResponse, Problem> {
            linked::<$question>(accepted, request, in_flight).await
        }
    };
}

table!(send_applications_table, link_applications_table, "applications", "/v1/applications/table", Applications, ApplicationsAnswer;
    "A table of places, and what each takes", "A table of places from a link");
table!(send_balances_table, link_balances_table, "balances", "/v1/balances/table", Balances, BalancesAnswer;
    "A table of stock and demands, and who gets what", "A table of stock and demands from a link");
table!(send_harvests_table, link_harvests_table, "harvests", "/v1/harvests/table", Harvests, HarvestsAnswer;
    "A table of worm beds and heaps, and what each yields", "A table of worm beds and heaps from a link");
table!(send_calibrations_table, link_calibrations_table, "calibrations", "/v1/calibrations/table", Calibrations, CalibrationsAnswer;
    "A table of records of beds, and how each fits", "A table of records of beds from a link");

//! What the address of a table says.

use super::{ERRORS, MEDIA};
use crate::http::limits::MAX_LINK;
use crate::http::negotiate::Media;
use crate::http::present::options::{Options, Reader};
use crate::http::problem::Problem;
use crate::http::query::{decoded, given, one_of, pairs};
use crate::http::resources::cells::decimal::with_point;
use crate::http::resources::link::form_of;
use crate::http::wire::{ErrorCode, JsonPath, Node, RequestErrors};
use utoipa::IntoParams;

/// The parameters of a table that is sent, besides those of every CSV.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "only the document reads it: its parameters")]
pub struct TableParams {
    /// Your containers, each with its capacity. The answer has a column for each.
    #[param(example = json!(["bucket:12 L"]))]
    container: Option<Vec<String>>,
    /// What you know better than the defaults: id and value.
    #[param(example = json!(["castings.bulk_density:620 kg/m3"]))]
    assume: Option<Vec<String>>,
    /// Units of the answer; `metric` unless given.
    #[param(example = "metric")]
    units: Option<String>,
}

/// The parameters of a table that is in the address.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "only the document reads it: its parameters")]
pub struct LinkParams {
    /// The table as CSV in UTF-8, up to 8 KiB in the address.
    #[param(max_length = 8192, example = "name,length,width,rate\nsalad bed,2.4 m,1.2 m,2 cm\n")]
    csv: String,
    /// The form of the answer, in place of `Accept`.
    #[param(rename = "as", example = "csv")]
    form: Option<String>,
    /// `cell` returns errors as 200 with one line that begins with `# `.
    #[param(example = "status")]
    errors: Option<String>,
}

/// What the address says besides the table.
#[derive(Debug)]
pub struct Address {
    /// How the answer is written.
    pub options: Options,
    /// What separates the cells of the table, if it is said.
    pub delimiter: Option<char>,
    containers: Vec<String>,
    assumptions: Vec<String>,
    /// Units of the answer.
    pub units: Option<String>,
}

/// Whether errors are to be answered as one line of a table.
#[must_use]
pub fn errors_in_cell(query: &str) -> bool {
    pairs(query).any(|(name, value)| name == "errors" && value == "cell")
}

/// Whether the answer is to begin with a byte order mark.
#[must_use]
pub fn has_byte_order_mark(query: &str) -> bool {
    pairs(query).any(|(name, value)| name == "bom" && value == "true")
}

impl Address {
    /// The address of a table that was sent.
    ///
    /// # Errors
    /// 422 with every parameter that is not known or cannot be read.
    pub fn of_sent(query: &str) -> Result<Self, Problem> {
        let errors = RequestErrors::query();
        let address = Self::read(query, &[], &errors);
        if errors.is_empty() { Ok(address) } else { Err(Problem::errors(errors, &Node::Null)) }
    }

    /// The table in an address, the form that it asks for, and what it says besides.
    ///
    /// # Errors
    /// 422 with every parameter that is not known or cannot be read.
    pub fn of_link(query: &str) -> Result<(Vec<u8>, Option<Media>, Self), Problem> {
        let errors = RequestErrors::query();
        let root = JsonPath::root();
        let written = query.split('&').find_map(|pair| pair.strip_prefix("csv=")).unwrap_or_default();
        if written.len() > MAX_LINK {
            let detail =
                format!("An address takes at most {MAX_LINK} characters of a table; send a longer one by POST.");
            errors.push(root.field("csv"), ErrorCode::WrongLength, detail);
            return Err(Problem::errors(errors, &Node::Null));
        }
        let address = Self::read(query, &["csv", "as", "errors"], &errors);
        let own = |name: &str| given(query, &[name]).find(|(known, _)| known == name).map(|(_, value)| value);
        let form = own("as").and_then(|word| form_of(&word, MEDIA, &errors));
        if let Some(word) = own("errors") {
            one_of("errors", &word, &ERRORS, &errors);
        }
        let bytes = decoded(written);
        if bytes.is_empty() {
            let detail = "Give the table as CSV, percent-encoded; or send it by POST.";
            errors.push(root.field("csv"), ErrorCode::MissingField, detail);
        }
        if errors.is_empty() { Ok((bytes, form, address)) } else { Err(Problem::errors(errors, &Node::Null)) }
    }

    fn read(query: &str, more: &[&'static str], errors: &RequestErrors) -> Self {
        let mut reader = Reader::new(errors, &[]);
        let (mut containers, mut assumptions, mut units) = (Vec::new(), Vec::new(), None);
        let besides = [more, &["container", "assume", "units"]].concat();
        for (name, value) in given(query, &reader.names().chain(besides.iter().copied()).collect::<Vec<_>>()) {
            match name.as_str() {
                "container" => containers.push(value),
                "assume" => assumptions.push(value),
                _ if reader.is_repeated(&name) => {}
                "units" => units = Some(value),
                other if more.contains(&other) || reader.take(other, &value) => {}
                other => reader.unknown(other, &besides),
            }
        }
        let delimiter = reader.delimiter().map(char::from);
        let options = reader.options();
        if options.decimal_comma {
            let of_containers = containers.iter_mut().map(|text| ("container", text));
            for (name, text) in of_containers.chain(assumptions.iter_mut().map(|text| ("assume", text))) {
                match with_point(name, text) {
                    Ok(read) => *text = read,
                    Err(wrong) => {
                        errors.push(JsonPath::root().field(name), ErrorCode::BadNumber, wrong);
                    }
                }
            }
        }
        Self { options, delimiter, containers, assumptions, units }
    }

    /// The caller's containers: `bucket:12 L`.
    #[must_use]
    pub fn containers(&self) -> Vec<&str> {
        self.containers.iter().map(|text| text.trim()).collect()
    }

    /// What is known better: `castings.bulk_density:620 kg/m3`.
    #[must_use]
    pub fn assumptions(&self) -> Vec<&str> {
        self.assumptions.iter().map(|text| text.trim()).collect()
    }
}

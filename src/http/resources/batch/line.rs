//! One line of a batch: a question with its name, and what is answered to it.

use super::bodies::{answers, questions, requests};
use crate::http::chunks::{Chunks, Written};
use crate::http::in_flight::{Deadline, InFlight};
use crate::http::input::bounded::ShortText;
use crate::http::limits::MAX_BODY;
use crate::http::monitor::Monitor;
use crate::http::problem::{Kind, Problem};
use crate::http::resources::Question;
use crate::http::resources::ask::{ask, note_errors};
use crate::http::resources::resource::{Resource, with_question};
use crate::http::resources::skip::is_asked_for;
use crate::http::wire::{self, AnyObject, JsonPath, Node, RequestErrors};
use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;
use std::panic::{AssertUnwindSafe, catch_unwind};
use utoipa::ToSchema;
use validator::Validate;

/// One line of a batch.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[schema(as = BatchQuestion)]
pub struct BatchLine {
    /// Comes back with the answer of this line.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Which question it asks: the last part of its address.
    #[schema(schema_with = questions)]
    pub ask: Resource,
    /// The request, as it would be sent to that question.
    #[schema(schema_with = requests)]
    #[expect(dead_code, reason = "it is read on from the tree")]
    pub body: AnyObject,
}

/// What is answered to a line.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BatchAnswer)]
pub struct LineOut<'a, T: Serialize> {
    /// Which line of what was sent, from 1; empty lines count.
    pub line: u64,
    /// The id of the line, where it has one.
    pub id: Option<&'a str>,
    /// The status with which this question would be answered by itself.
    pub status: u16,
    /// The answer, as the question gives it by itself.
    #[schema(schema_with = answers)]
    pub body: Option<&'a T>,
    /// Why there is no answer. Pointers begin at the line: `/body/areas/0`.
    #[schema(value_type = Option<Problem>)]
    pub problem: Option<&'a Problem>,
}

/// What is taken where there is no answer.
type NoAnswer = ();

/// 413: a line that is too long.
pub fn too_long() -> Problem {
    Problem::new(Kind::TooLarge, format!("This line is longer than {MAX_BODY} bytes; split its request."))
}

/// A line that is answered.
pub struct Answered {
    /// What is written.
    pub written: Written,
    /// Whether it was refused.
    pub is_refused: bool,
}

/// Where a line is, and how long it may take.
pub struct Asking<'a> {
    pub number: u64,
    pub in_flight: &'a InFlight,
    pub monitor: &'a Monitor,
    pub deadline: Deadline,
}

impl Asking<'_> {
    /// Answers a line. Whatever is wrong with it is in the answer.
    ///
    /// # Errors
    /// 503 when not even a refusal can be held.
    pub fn answer(&self, line: &[u8]) -> Result<Answered, Problem> {
        if line.len() > MAX_BODY {
            return self.refused(None, too_long());
        }
        let tree = match wire::parse(line) {
            Ok(tree) => tree,
            Err(mut error) => {
                error.position = error.position.map(|(_, column)| (self.line(), column));
                return self.refused(None, Problem::syntax(error));
            }
        };
        let id = tree.get("id").and_then(Node::as_text);
        // A panic of one line is counted like any other, and the lines after it are answered.
        let asked = catch_unwind(AssertUnwindSafe(|| self.deadline.keep_aside(|| self.asked(&tree, id))));
        match asked.unwrap_or_else(|_| Err(Problem::broken())) {
            Ok(written) => Ok(Answered { written, is_refused: false }),
            Err(problem) => self.refused(id, problem),
        }
    }

    fn line(&self) -> usize {
        usize::try_from(self.number).unwrap_or(usize::MAX)
    }

    /// Reads which question it is, and asks it.
    fn asked(&self, tree: &Node<'_>, id: Option<&str>) -> Result<Written, Problem> {
        let errors = RequestErrors::body();
        let line = wire::read::<BatchLine>(tree, JsonPath::root(), &errors);
        if let Some(line) = &line {
            wire::check(line, JsonPath::root(), &errors);
        }
        let (Some(line), Some(body)) = (line, tree.get("body")) else {
            return Err(Problem::errors(errors, tree));
        };
        let read = (tree, body, errors);
        with_question!(line.ask, Q => self.question::<Q>(read, id))
    }

    /// Answers the body of a line, or adds what is wrong with it to what is wrong around it.
    fn question<Q: Question>(
        &self,
        (tree, body, errors): (&Node<'_>, &Node<'_>, RequestErrors),
        id: Option<&str>,
    ) -> Result<Written, Problem> {
        if !errors.is_empty() {
            let root = JsonPath::root();
            let is_known = ["ask", "body"].iter().all(|field| !errors.touches(root.field(field)));
            // Items with errors are left out there, so that theirs are none.
            if is_known && !is_asked_for(body) {
                note_errors::<Q>(body, &errors.below(root.field("body")));
            }
            return Err(Problem::errors(errors, tree));
        }
        let answer = ask::<Q>(body).map_err(|problem| problem.below("/body"))?;
        self.written(&LineOut { line: self.number, id, status: 200, body: Some(&answer), problem: None })
    }

    /// Writes a refusal.
    ///
    /// # Errors
    /// 503 when not even that can be held.
    pub fn refused(&self, id: Option<&str>, problem: Problem) -> Result<Answered, Problem> {
        let (line, status) = (self.number, problem.status());
        self.monitor.metrics.refused(problem.reason());
        let written = self.written::<NoAnswer>(&LineOut { line, id, status, body: None, problem: Some(&problem) })?;
        Ok(Answered { written, is_refused: true })
    }

    fn written<T: Serialize>(&self, line: &LineOut<'_, T>) -> Result<Written, Problem> {
        let mut chunks = Chunks::with_capacity(self.in_flight, 16 * 1024);
        let written = serde_json::to_writer(&mut chunks, line)
            .map_err(std::io::Error::from)
            .and_then(|()| std::io::Write::write_all(&mut chunks, b"\n"));
        chunks.end(written)
    }
}

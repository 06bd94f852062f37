"""What schemathesis has to know of this service beyond its document.

Texts of quantities have formats of their own (`barrowful-length`): a text of such a format is made of the examples that
the document gives for it, with other numbers.

A request that fits the document may be refused all the same, for what a schema cannot say: fields that exclude each
other, numbers and units as they are written, bounds of a quantity, dates out of order. The check
`refused_for_what_no_schema_says` takes the place of `positive_data_acceptance`: it fails where a refusal has any other
reason. Likewise `accepted_only_with_fields_left_out` takes that of `negative_data_rejection`: null counts as a field
left out, which the document does not say, since most makers of clients cannot read it.

schemathesis reads this file by the variable SCHEMATHESIS_HOOKS; scripts/fuzz_document.sh sets it.
"""

import json
import re
from collections import defaultdict
from collections.abc import Iterator
from http import HTTPStatus
from pathlib import Path
from typing import Any

import schemathesis
from hypothesis import strategies as st
from schemathesis import GenerationMode
from schemathesis.specs.openapi.checks import negative_data_rejection

DOCUMENT = Path(__file__).resolve().parent.parent / "openapi/openapi.json"

# What a schema says: types, fields, kinds, lengths. What fits it is not refused for these.
SAID_BY_SCHEMAS = {
    "not_an_integer",
    "not_json",
    "repeated_field",
    "unknown_assumption",
    "unknown_field",
    "unknown_kind",
    "wrong_length",
    "wrong_type",
}


def texts(node: Any) -> Iterator[tuple[str, str]]:  # noqa: ANN401 - any JSON value
    """Find the examples of texts that have formats of this service."""
    if isinstance(node, dict):
        name = node.get("format")
        if isinstance(name, str) and name.startswith("barrowful-"):
            yield from ((name, example) for example in node.get("examples", []))
        for inner in node.values():
            yield from texts(inner)
    elif isinstance(node, list):
        for inner in node:
            yield from texts(inner)


def strategy(examples: set[str]) -> st.SearchStrategy[str]:
    """Make texts of the units of these examples; a proportion such as 1:10 stays as it is."""
    units = sorted({re.sub(r"^[0-9.]+", "", example) for example in examples})
    numbers = st.sampled_from(["1", "2", "3.5", "1/2", "7", "10", "12"])

    def text(number: str, unit: str) -> str:
        return f"1{unit}" if unit[0] == ":" else number + unit

    return st.builds(text, numbers, st.sampled_from(units))


document = json.loads(DOCUMENT.read_text())
assert set(document["components"]["schemas"]["RequestError"]["properties"]["code"]["enum"]) >= SAID_BY_SCHEMAS
found = defaultdict(set)
for name, example in texts(document):
    found[name].add(example)
for name, examples in found.items():
    schemathesis.openapi.format(name, strategy(examples))


@schemathesis.check
def refused_for_what_no_schema_says(_: Any, response: schemathesis.Response, case: schemathesis.Case) -> None:  # noqa: ANN401
    """Fail where a request that fits the document is refused for what the document could have said."""
    mode = case.meta.generation.mode if case.meta else None
    if mode != GenerationMode.POSITIVE or response.status_code != HTTPStatus.UNPROCESSABLE_ENTITY:
        return
    errors = response.json().get("errors", [])
    # Parameters of a query exclude each other, and those that do not go with the others count as unknown. Of a table
    # the document says that it is text. Which assumptions there are to go together `GET /v1/assumptions` says.
    said = [
        error
        for error in errors
        if error["code"] in SAID_BY_SCHEMAS and error["at"] == "body" and "/correlations/" not in error["pointer"]
    ]
    assert not said, said


def has_null(node: Any) -> bool:  # noqa: ANN401 - any JSON value
    """Tell whether a value holds null anywhere."""
    inner = node.values() if isinstance(node, dict) else node if isinstance(node, list) else ()
    return node is None or any(has_null(one) for one in inner)


@schemathesis.check
def accepted_only_with_fields_left_out(
    context: schemathesis.CheckContext, response: schemathesis.Response, case: schemathesis.Case
) -> bool | None:
    """Fail where a request that does not fit the document is accepted, unless null may have made the difference."""
    # With `errors=cell` a refusal is a line of text with status 200.
    is_refused = response.status_code == HTTPStatus.OK and response.text.lstrip('\ufeff"').startswith("# ")
    # What is wrong with a line of a batch is in its answer.
    is_refused |= case.operation.path == "/v1/batch"
    return None if has_null(case.body) or is_refused else negative_data_rejection(context, response, case)


@schemathesis.serializer("application/x-ndjson")
def lines(_: Any, value: Any) -> bytes:  # noqa: ANN401
    """Send lines as they are."""
    return value if isinstance(value, bytes) else str(value).encode(errors="replace")

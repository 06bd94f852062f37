"""Checks the committed OpenAPI document against itself and against the running service.

What it proves:
- the document is a valid OpenAPI 3.1 document (`openapi-spec-validator`);
- every example of every request body, answer, parameter, header and schema fits its own schema
  (`jsonschema`, Draft 2020-12, formats checked, `$ref` resolved by `referencing`);
- every request example, sent to the service once for each documented kind of answer, is answered with the documented
  status and media type, by a body that fits the documented schema and equals the answer example of the same name;
  if that name is under a refusal (4xx), the service refuses it in just those words;
- every GET is answered as documented, with the examples of its parameters, or with the queries in its description
  (`?length=6m&rate=1cm` answers `48`), whose answers are compared;
- every request schema refuses an unknown property at its top, and so does the service;
- the service answers `GET /openapi.json` with the committed document.

Source of the verdicts: the two libraries named, which share no code with the service.

Usage: check_document.py openapi/openapi.json http://127.0.0.1:PORT
"""

import json
import re
import sys
from collections.abc import Iterator
from http import HTTPStatus
from typing import Any, NamedTuple
from urllib.parse import quote, urlencode

from openapi_spec_validator import validate

from document import Document, Example, Operation, Place, first_difference, same
from service import Answer, Service, is_json

UNKNOWN = "no_such_property"

# In the description of an operation: `?length=6m&rate=1cm` answers `48`.
DESCRIBED = re.compile(r"`\?([^`]+)` answers `([^`]+)`")


class Report:
    """Counts what was checked and keeps what was wrong."""

    def __init__(self, *kinds: str, may_be_none: tuple[str, ...] = ()) -> None:
        """Start every count at zero: a kind that stays there is a fault of its own, unless there may be none."""
        self.counts = dict.fromkeys(kinds + may_be_none, 0)
        self.may_be_none = may_be_none
        self.faults: list[str] = []

    def check(self, kind: str, fault: str | None) -> None:
        """Count one check; a text is what was wrong."""
        self.counts[kind] += 1
        if fault is not None:
            self.faults.append(fault)

    def close(self) -> int:
        """Print everything; 1 if anything was wrong or a kind of check never ran."""
        for kind, count in self.counts.items():
            print(f"{count:6} {kind}")
            if count == 0 and kind not in self.may_be_none:
                self.faults.append(f"{kind}: nothing was checked")
        for fault in self.faults:
            print(f"fault: {fault}")
        return 1 if self.faults else 0


class Documented(NamedTuple):
    """One kind of answer that the document promises."""

    status: str
    media_type: str
    holder: Place | None

    def example(self, document: Document, name: str) -> Example | None:
        """Find the answer example of that name."""
        found = document.examples(self.holder) if self.holder else iter(())
        return next((example for example in found if name and example.name == name), None)


class Request(NamedTuple):
    """A request made from examples of the document."""

    name: str
    target: str
    body: bytes | None
    content_type: str | None
    answers: str | None = None
    """What the description of the operation says that it is answered with."""


def documented_answers(document: Document, operation: Operation) -> Iterator[Documented]:
    """List every status and media type that an operation may answer with."""
    for status, response in document.responses(operation):
        contents = list(response.steps("content"))
        for media_type, holder in contents:
            yield Documented(status, media_type, holder)
        if not contents:
            yield Documented(status, "", None)


def encode(value: Any, media_type: str) -> bytes:  # noqa: ANN401 - any JSON value
    """Write an example as the body of a request."""
    return (json.dumps(value) if is_json(media_type) else value).encode()


def target(operation: Operation, values: dict[str, Any]) -> str:
    """Write the path and query of a request."""
    path, query = operation.path, {}
    for parameter in (place.node for place in operation.parameters):
        if parameter["name"] in values:
            value = values[parameter["name"]]
            texts = [one if isinstance(one, str) else json.dumps(one) for one in listed(value)]
            if parameter["in"] == "path":
                path = path.replace("{" + parameter["name"] + "}", quote(",".join(texts), safe=""))
            elif parameter["in"] == "query":
                query[parameter["name"]] = texts
    return f"{path}?{urlencode(query, doseq=True)}" if query else path


def listed(value: Any) -> list[Any]:  # noqa: ANN401 - any JSON value
    """Give what a parameter is repeated with: the items of a list, or the value alone."""
    return value if isinstance(value, list) else [value]


def parameter_sets(document: Document, operation: Operation, report: Report) -> dict[str, dict[str, Any]]:
    """Choose parameters: for each example name, the examples of that name; without names, those that are required."""
    named: dict[str, dict[str, Any]] = {}
    required: dict[str, Any] = {}
    for place in operation.parameters:
        examples = list(document.examples(place))
        examples += [Example("", v, "") for v in place.node.get("schema", {}).get("examples", [])]
        for example in examples:
            if example.name:
                named.setdefault(example.name, {})[place.node["name"]] = example.value
        if place.node.get("required"):
            if examples:
                required[place.node["name"]] = examples[0].value
            else:
                report.faults.append(f"{place.pointer}: required, and has no example")
    return {name: required | values for name, values in named.items()} or {"": required}


def requests(document: Document, operation: Operation, report: Report) -> Iterator[Request]:
    """Make every request that the examples of an operation give."""
    sets = parameter_sets(document, operation, report)
    bodies = list(document.request_bodies(operation))
    for media_type, holder in bodies:
        where = target(operation, sets.get("", next(iter(sets.values()))))
        examples = list(document.examples(holder))
        if not examples:
            report.faults.append(f"{operation.title}: {media_type} has no example")
        for example in examples:
            yield Request(example.name, where, encode(example.value, media_type), media_type)
    described = DESCRIBED.findall(operation.place.node.get("description", ""))
    for query, answers in described:
        yield Request("", f"{operation.path}?{quote(query, safe='=&')}", None, None, answers)
    if not bodies and not described:
        for name, values in sets.items():
            yield Request(name, target(operation, values), None, None)


def send(service: Service, operation: Operation, request: Request, accept: str) -> Answer:
    """Ask the service."""
    headers = {"accept": accept} if accept else {}
    if request.content_type:
        headers["content-type"] = request.content_type
    return service.ask(operation.method.upper(), request.target, headers, request.body)


def needs_dates(answer: Answer, expected: Documented) -> bool:
    """Tell whether a calendar was refused only for want of the dates that its description asks for."""
    if expected.media_type != "text/calendar" or answer.status != HTTPStatus.UNPROCESSABLE_ENTITY:
        return False
    return all(fault["code"] == "missing_field" for fault in answer.json()["errors"])


def answer_fault(document: Document, answer: Answer, expected: Documented) -> str | None:
    """Say how an answer departs from what is documented, apart from its example; None if it does not."""
    if str(answer.status) != expected.status:
        return f"{answer.status} answered, {expected.status} documented: {answer.body[:300]!r}"
    if answer.media_type != expected.media_type.split(";")[0].strip():
        return f"{answer.media_type!r} answered, {expected.media_type!r} documented"
    if expected.holder is None or "schema" not in expected.holder.node:
        return None
    value = answer.json() if answer.is_json() else answer.body.decode()
    fault = document.fault(expected.holder.step("schema").pointer, value)
    return None if fault is None else f"does not fit its schema: {fault}"


def check_answer(
    document: Document, answer: Answer, expected: Documented, asked: Request, report: Report
) -> str | None:
    """Compare an answer with its documented kind, and with the example of the request's name if there is one."""
    if needs_dates(answer, expected):
        report.check("calendars refused for want of dates", None)
        return None
    fault = answer_fault(document, answer, expected)
    example = expected.example(document, asked.name)
    if fault is None and example is not None:
        value = answer.json() if answer.is_json() else answer.body.decode()
        different = None if same(value, example.value) else first_difference(value, example.value)
        report.check("answers compared with the example of the same name", None)
        fault = different and f"is not the documented example: {different}"
    if fault is None and asked.answers is not None:
        text = answer.body.decode()
        report.check("answers compared with the description", None)
        fault = None if text == asked.answers else f"{text!r} answered, {asked.answers!r} described"
    return fault


def check_operation(document: Document, service: Service, operation: Operation, report: Report) -> None:
    """Send every example of an operation."""
    answers = list(documented_answers(document, operation))
    good = [expected for expected in answers if expected.status.startswith("2")]
    for request in requests(document, operation, report):
        refusals = [a for a in answers if a.status.startswith("4") and a.example(document, request.name)]
        if refusals and any(expected.example(document, request.name) for expected in good):
            report.faults.append(f"{operation.title}: {request.name} is documented as answered and as refused")
        for expected in refusals or good:
            accept = "" if refusals else expected.media_type
            fault = check_answer(document, send(service, operation, request, accept), expected, request, report)
            title = f"{operation.title} {request.name or '(example)'} as {accept or 'anything'}"
            kind = "refused examples sent" if refusals else "examples sent" if request.body else "GETs sent"
            report.check(kind, fault and f"{title}: {fault}")


def check_unknown_properties(document: Document, service: Service, operation: Operation, report: Report) -> None:
    """Add a property that nobody knows to each JSON example: schema and service must refuse it."""
    for media_type, holder in document.request_bodies(operation):
        for example in document.examples(holder):
            if is_json(media_type) and isinstance(example.value, dict) and "schema" in holder.node:
                value = example.value | {UNKNOWN: 1}
                title = f"{operation.title} {example.name}"
                allowed = document.fault(holder.step("schema").pointer, value) is None
                report.check("unknown properties", f"{title}: the schema takes {UNKNOWN}" if allowed else None)
                request = Request("", target(operation, {}), encode(value, media_type), media_type)
                status = send(service, operation, request, "").status
                report.check("unknown properties", None if status == 422 else f"{title}: {status} for {UNKNOWN}")


def check_examples(document: Document, report: Report) -> None:
    """Validate every example against the schema beside it."""
    seen: set[str] = set()
    for holder in document.holders():
        for example in document.examples(holder):
            if example.pointer in seen:
                continue
            seen.add(example.pointer)
            if "schema" in holder.node:
                fault = document.fault(holder.step("schema").pointer, example.value)
            else:
                fault = "an example without a schema"
            report.check("examples that fit their schema", fault and f"{example.pointer}: {fault}")
    for schema in document.schemas():
        own = [schema.step("example")] if "example" in schema.node else []
        for example in own + [place for _, place in schema.steps("examples")]:
            fault = document.fault(schema.pointer, example.node)
            report.check("examples that fit their schema", fault and f"{example.pointer}: {fault}")


def main() -> int:
    """Check the document, then ask the service what it promises."""
    if len(sys.argv) != 3:
        raise SystemExit(__doc__)
    document, service = Document(sys.argv[1]), Service(sys.argv[2])
    validate(document.committed)
    report = Report(
        "examples that fit their schema",
        "examples sent",
        "GETs sent",
        "answers compared with the example of the same name",
        "unknown properties",
        "documents compared",
        "calendars refused for want of dates",
        may_be_none=("refused examples sent", "answers compared with the description"),
    )
    check_examples(document, report)
    served = service.ask("GET", "/openapi.json").json()
    different = None if same(served, document.committed) else first_difference(served, document.committed)
    report.check("documents compared", different and f"GET /openapi.json is not the committed document: {different}")
    for operation in document.operations():
        check_operation(document, service, operation, report)
        check_unknown_properties(document, service, operation, report)
    return report.close()


if __name__ == "__main__":
    sys.exit(main())

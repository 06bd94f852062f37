"""Checks that document and service agree on every limit: at the least, at the greatest, and just outside.

What it proves: the bounds in the request schemas (`minimum`, `maximum`, `minLength`, `maxLength`, `minItems`,
`maxItems`) are the bounds that the service keeps. For each bound, one documented example is changed in one place to
be exactly at the bound, and then just outside it (the next integer, the next floating-point number, one character,
one item). The verdict of the schema (`jsonschema`, Draft 2020-12) and that of the service (200 or 422) must agree.

A value at its bound may break another rule (a bed shorter than its path, two items of one id). Such a refusal is no
disagreement as long as the service does not blame the bound: it names another place, or gives no `min` and `max`.
These are counted apart. Long lists are tried once, at 10,000 and 10,001 items.

Source of the schema's verdicts: `jsonschema`, which shares no code with the service.

Usage: check_limits.py openapi/openapi.json http://127.0.0.1:PORT
"""

import copy
import json
import math
import sys
from collections import Counter
from collections.abc import Iterator
from typing import Any, NamedTuple

from check_document import Request, encode, send, target
from document import Document, Operation, Place, inner_schemas
from service import Answer, Service, is_json

NUMBER_BOUNDS = {"minimum": -1, "maximum": 1, "exclusiveMinimum": -1, "exclusiveMaximum": 1}
STRING_BOUNDS = {"minLength": -1, "maxLength": 1}
ARRAY_BOUNDS = {"minItems": -1, "maxItems": 1}
BOUNDS = NUMBER_BOUNDS | STRING_BOUNDS | ARRAY_BOUNDS
LONG_LIST = 200
LONGEST_LIST = 10_000
BODY_BYTES = 4 * 1024 * 1024
TRIES = 4
AT, OUTSIDE = "at the bound", "outside the bound"
SCALARS = ("integer", "number", "string")

# Optional parts of requests that no documented example has, so that none of their bounds can be tried here.
WITHOUT_EXAMPLE = {
    "AssumptionsInput/properties/correlations",
    "BalancesRequest/properties/variants",
    "CorrelationInput/properties/rank_correlation",
    "DailyTemperatures/properties/values",
    "RecordedFeedRequest/properties/materials",
    "UnitPriceInput/properties/currency",
    "UnitPriceInput/properties/price",
    "ValueWithSource/properties/observations",
    "ValueWithSource/properties/source",
    "VolumePerAreaInput/oneOf/0",
}

Path = tuple[str | int, ...]
Bound = tuple[str, str]
"""The pointer of a schema, and the keyword: what several operations share is one bound."""


class Spot(NamedTuple):
    """A place in an example, and a schema that holds there."""

    path: Path
    schema: Place
    value: Any
    """None where the example leaves the property out."""

    @property
    def pointer(self) -> str:
        """The place as the service names it."""
        return "".join("/" + str(key).replace("~", "~0").replace("/", "~1") for key in self.path)


class Outcome(NamedTuple):
    """What came of one value."""

    kind: str
    shown: str


class Limits:
    """The check of one document against one service."""

    def __init__(self, document: Document, service: Service) -> None:
        """Start with nothing tried."""
        self.document, self.service = document, service
        self.counts: Counter[str] = Counter()
        self.faults: list[str] = []
        self.notes: list[str] = []
        self.long_list_tried = False
        self.bounds: set[Bound] = set()
        self.found: dict[Bound, list[Outcome]] = {}

    def check_operation(self, operation: Operation) -> None:
        """Try every bound that the examples of an operation reach, until one example settles it."""
        for media_type, holder in self.document.request_bodies(operation):
            if not is_json(media_type) or "schema" not in holder.node:
                continue
            schema = holder.step("schema")
            self.bounds |= all_bounds(self.document, schema)
            for example in self.document.examples(holder):
                probe = Probe(self, operation, media_type, schema.pointer, example.value)
                if fault := self.document.fault(schema.pointer, example.value):
                    self.faults.append(f"{operation.title} {example.name}: does not fit its schema: {fault}")
                    continue  # No bound inside it can be told apart.
                if probe.ask(example.value).status != 200:
                    continue  # An example of a refusal: every change of it would be refused too.
                for spot in spots(self.document, schema, example.value):
                    for keyword in sorted(BOUNDS.keys() & spot.schema.node.keys()):
                        key = (spot.schema.pointer, keyword)
                        if unsettled(self.found.get(key, [])) and probe.may_try(key):
                            self.found[key] = probe.try_bound(spot, keyword) or self.found.get(key, [])

    def record_all(self) -> None:
        """Count every outcome, and every bound that no example reaches, which must be one that is known."""
        unreached = {key[0].removeprefix("#/components/schemas/") for key in self.bounds if not self.found.get(key)}
        self.faults += [f"no example reaches a bound of {place}" for place in sorted(unreached - WITHOUT_EXAMPLE)]
        self.faults += [f"an example reaches {place} by now" for place in sorted(WITHOUT_EXAMPLE - unreached)]
        for key in sorted(self.bounds):
            for outcome in self.found.get(key) or [Outcome("not tried: no example reaches it", "")]:
                self.record(outcome, " ".join(key))

    def record(self, outcome: Outcome, bound: str) -> None:
        """Count an outcome, and keep what a person should see."""
        self.counts[outcome.kind] += 1
        if outcome.kind.startswith("disagreed"):
            self.faults.append(outcome.shown)
        elif not outcome.kind.startswith("agreed"):
            self.notes.append(f"{outcome.kind}: {outcome.shown[:200] or bound}")

    def close(self) -> int:
        """Print everything; 1 if document and service disagree anywhere or nothing was tried."""
        for note in self.notes:
            print(note)
        for kind, count in sorted(self.counts.items()):
            print(f"{count:6} {kind}")
        if not self.counts[f"agreed {AT}"] or not self.counts[f"agreed {OUTSIDE}"]:
            self.faults.append("no bound was tried")
        for fault in self.faults:
            print(f"fault: {fault}")
        return 1 if self.faults else 0


def unsettled(outcomes: list[Outcome]) -> bool:
    """Tell whether another example might settle a bound."""
    settled = ("agreed", "disagreed", "not tried")
    return not outcomes or not all(outcome.kind.startswith(settled) for outcome in outcomes)


class Probe:
    """One example, ready to be changed in one place and sent."""

    def __init__(self, limits: Limits, operation: Operation, media_type: str, schema: str, example: Any) -> None:  # noqa: ANN401
        """Remember what is changed and where it is sent."""
        self.limits, self.operation, self.media_type = limits, operation, media_type
        self.validator = limits.document.validator(schema)
        self.example = example
        self._tries: Counter[Bound] = Counter()

    def ask(self, body: Any) -> Answer:  # noqa: ANN401 - any JSON value
        """Send a body."""
        request = Request("", target(self.operation, {}), encode(body, self.media_type), self.media_type)
        return send(self.limits.service, self.operation, request, "application/json")

    def may_try(self, key: Bound) -> bool:
        """Allow a few places of one example to try the same bound."""
        self._tries[key] += 1
        return self._tries[key] <= TRIES

    def try_bound(self, spot: Spot, keyword: str) -> list[Outcome]:
        """Try a value at the bound and one outside; nothing if this example cannot."""
        bound, outwards = spot.schema.node[keyword], BOUNDS[keyword]
        if keyword in ARRAY_BOUNDS and bound > LONG_LIST:
            if self.limits.long_list_tried or bound != LONGEST_LIST or not fits_a_body(spot, bound + 1):
                return [Outcome("not tried: a long list", "")]
            self.limits.long_list_tried = True
        at, outside = values_around(spot, keyword, bound, outwards)
        inner = self.try_values(spot, keyword, at, inside=True)
        if inner is None:
            return []
        outer = self.try_values(spot, keyword, outside, inside=False)
        return [inner, outer] if outer else [inner]

    def try_values(self, spot: Spot, keyword: str, values: list[Any], inside: bool) -> Outcome | None:
        """Send those values that the schema judges as it should, until one is decisive; None if there is none."""
        outcome = None
        for value in values:
            body = changed(self.example, spot.path, value)
            if self.validator.is_valid(body) != inside:
                continue
            answer = self.ask(body)
            verdict = judge(answer, spot, inside)
            title = f"{self.operation.title} {spot.pointer} = {short(value)} ({keyword} {spot.schema.node[keyword]})"
            shown = f"{title}: {answer.status} {answer.body[:300].decode(errors='replace')}"
            outcome = Outcome(f"{verdict} {AT if inside else OUTSIDE}", shown)
            if verdict in ("agreed", "disagreed"):
                break
        return outcome


def short(value: Any) -> str:  # noqa: ANN401 - any JSON value
    """Write a value so that it fits a line."""
    shown = json.dumps(value)
    return shown if len(shown) < 60 else f"{shown[:50]}... (length {len(value)})"


def fits_a_body(spot: Spot, count: int) -> bool:
    """Tell whether a list of so many items stays within the greatest body."""
    return bool(spot.value) and len(json.dumps(stretched(spot.value, 100))) / 100 * count < BODY_BYTES - 100_000


def judge(answer: Answer, spot: Spot, inside: bool) -> str:
    """Compare the verdict of the service with that of the schema."""
    if answer.status not in (200, 422):
        return "disagreed"
    if answer.status == 200:
        return "agreed" if inside else "disagreed"
    faults = [fault for fault in answer.json().get("errors", []) if isinstance(fault, dict)]
    here = [fault for fault in faults if fault.get("pointer") == spot.pointer]
    if not inside:
        below = [fault for fault in faults if str(fault.get("pointer", "")).startswith(spot.pointer + "/")]
        return "agreed" if here or below else "refused elsewhere"
    if any("min" in fault or "max" in fault for fault in here):
        return "disagreed"
    return "another rule refused" if here or faults else "disagreed"


def values_around(spot: Spot, keyword: str, bound: float, outwards: int) -> tuple[list[Any], list[Any]]:
    """Give candidates for a value at a bound, and for one just outside."""
    if keyword in ARRAY_BOUNDS:
        return [stretched(spot.value, bound)], [
            stretched(spot.value, bound + outwards)
        ] if bound + outwards >= 0 else []
    if keyword in STRING_BOUNDS:
        return texts(spot.value, bound), texts(spot.value, bound + outwards) if bound + outwards >= 0 else []
    if "integer" in types(spot.schema.node):
        at, outside = int(bound), int(bound) + outwards
    else:
        at, outside = bound, math.nextafter(bound, outwards * math.inf)
    if keyword.startswith("exclusive"):
        return [at - outwards if isinstance(at, int) else math.nextafter(at, -outwards * math.inf)], [at]
    return [at], [outside]


def smallest(items: list[Any]) -> Any:  # noqa: ANN401 - any JSON value
    """Choose the item that is shortest when written."""
    return min(items, key=lambda item: len(json.dumps(item)))


def stretched(items: list[Any] | None, length: int) -> list[Any]:
    """Cut a list, or fill it up with copies of its shortest item, each with an id and a name of its own."""
    items = items or []
    grown = copy.deepcopy(items[:length])
    while len(grown) < length and items:
        item = copy.deepcopy(smallest(items))
        if isinstance(item, dict):
            for key in ("id", "name"):
                if isinstance(item.get(key), str):
                    number = len(grown)
                    letters = "".join(chr(ord("a") + number // 26**place % 26) for place in (2, 1, 0))
                    item[key] = f"{item[key][:30]} {letters}"
        grown.append(item)
    return grown


def texts(sample: str | None, length: int) -> list[str]:
    """Give texts of one length: letters alone (those of two bytes first), or the example with more in it."""
    found = ["\u00e4" * length, "a" * length]
    if sample and len(sample) < length:
        missing = length - len(sample)
        if " " in sample:
            found.append(sample.replace(" ", " " * (missing + 1), 1))
        found.append("0" * missing + sample)
        found.append(sample + sample[-1] * missing)
    elif sample:
        found.append(sample[:length])
    return found


def types(schema: dict[str, Any]) -> tuple[str, ...]:
    """List the types that a schema names."""
    named = schema.get("type", ())
    return (named,) if isinstance(named, str) else tuple(named)


def changed(example: Any, path: Path, value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Copy an example and put a value in one place."""
    if not path:
        return value
    body = copy.deepcopy(example)
    inner = body
    for key in path[:-1]:
        inner = inner[key]
    inner[path[-1]] = value
    return body


def holding(document: Document, schema: Place, value: Any) -> Iterator[Place]:  # noqa: ANN401 - any JSON value
    """List the schemas that hold for a value: through `$ref`, all of `allOf`, and the fitting branches of a union."""
    if not isinstance(schema.node, dict):
        return
    yield schema
    if "$ref" in schema.node:
        yield from holding(document, document.follow(schema), value)
    for _, part in schema.steps("allOf"):
        yield from holding(document, part, value)
    for key in ("oneOf", "anyOf"):
        for _, branch in schema.steps(key):
            if value is None or document.validator(branch.pointer).is_valid(value):
                yield from holding(document, branch, value)


def spots(document: Document, schema: Place, value: Any, path: Path = ()) -> Iterator[Spot]:  # noqa: ANN401
    """List every place of an example with every schema that holds there, and the scalars that it leaves out."""
    for held in holding(document, schema, value):
        yield Spot(path, held, value)
        for name, inner in held.steps("properties") if isinstance(value, dict) else ():
            if name in value:
                yield from spots(document, inner, value[name], (*path, name))
            else:
                for absent in holding(document, inner, None):
                    if set(types(absent.node)) & set(SCALARS):
                        yield Spot((*path, name), absent, None)
        extra = held.node.get("additionalProperties")
        if isinstance(value, dict) and isinstance(extra, dict):
            for name in value.keys() - held.node.get("properties", {}).keys():
                yield from spots(document, held.step("additionalProperties"), value[name], (*path, name))
        if isinstance(value, list) and isinstance(held.node.get("items"), dict):
            for index, item in enumerate(value):
                yield from spots(document, held.step("items"), item, (*path, index))


def all_bounds(document: Document, schema: Place) -> set[Bound]:
    """List every bound that a request schema holds, reached by an example or not."""
    found: set[Bound] = set()
    seen: set[str] = set()
    waiting = [schema]
    while waiting:
        place = waiting.pop()
        if place.pointer in seen or not isinstance(place.node, dict):
            continue
        seen.add(place.pointer)
        found |= {(place.pointer, keyword) for keyword in BOUNDS.keys() & place.node.keys()}
        waiting += inner_schemas(place)
        if "$ref" in place.node:
            waiting.append(document.follow(place))
    return found


def main() -> int:
    """Try the limits of every operation."""
    if len(sys.argv) != 3:
        raise SystemExit(__doc__)
    limits = Limits(Document(sys.argv[1]), Service(sys.argv[2]))
    for operation in limits.document.operations():
        limits.check_operation(operation)
    limits.record_all()
    return limits.close()


if __name__ == "__main__":
    sys.exit(main())

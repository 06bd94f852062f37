"""The OpenAPI document as the checks see it: operations, examples, schemas, each with its JSON pointer.

The document has one short example for each question. The checks also take every file of `demo-data/<question>` as an
example of a request: here the examples are put together.

Usage, for tools that read a file: document.py openapi/openapi.json >document-with-demo-requests.json
"""

import copy
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote

from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012

BASE = "urn:document"
DEMO = Path(__file__).resolve().parent.parent / "demo-data"
METHODS = ("get", "put", "post", "delete", "options", "head", "patch", "trace")

# Where schemas are inside a schema: alone, in a list, in a map.
SCHEMA_ALONE = ("items", "additionalProperties", "not", "if", "then", "else", "contains", "propertyNames")
SCHEMA_LISTS = ("prefixItems", "oneOf", "anyOf", "allOf")
SCHEMA_MAPS = ("properties", "patternProperties", "$defs", "dependentSchemas")


class Example(NamedTuple):
    """One documented example."""

    name: str
    """Empty for one that has none."""
    value: Any
    pointer: str


class Place(NamedTuple):
    """A part of the document and its pointer, such as `#/components/schemas/Rows`."""

    pointer: str
    node: Any

    def step(self, key: str | int) -> "Place":
        """Go one step down."""
        escaped = str(key).replace("~", "~0").replace("/", "~1")
        return Place(f"{self.pointer}/{escaped}", self.node[key])

    def steps(self, key: str) -> Iterator[tuple[str, "Place"]]:
        """Go to everything in a map or list, if there is one under that key."""
        node = self.node.get(key)
        if isinstance(node, dict):
            for name in node:
                yield name, self.step(key).step(name)
        elif isinstance(node, list):
            for index in range(len(node)):
                yield str(index), self.step(key).step(index)


class Operation(NamedTuple):
    """One method of one path."""

    method: str
    path: str
    place: Place
    parameters: list[Place]

    @property
    def title(self) -> str:
        """As it is asked: `POST /v1/applications`."""
        return f"{self.method.upper()} {self.path}"


class Document:
    """The whole document; `$ref` is followed inside it only."""

    def __init__(self, path: str) -> None:
        """Read the document, add the demo requests to its examples, and prepare it for validation."""
        self.committed = json.loads(Path(path).read_text(encoding="utf-8"))
        self.root = Place("#", with_demo_requests(self.committed))
        resource = Resource(contents=self.root.node, specification=DRAFT202012)
        self._registry = Registry().with_resource(BASE, resource)
        self._validators: dict[str, Draft202012Validator] = {}

    def follow(self, place: Place) -> Place:
        """Go to what a `$ref` names, as often as needed."""
        while isinstance(place.node, dict) and "$ref" in place.node:
            reference = place.node["$ref"]
            if not reference.startswith("#/"):
                raise SystemExit(f"{place.pointer}: {reference} points outside the document")
            place = self.root
            for part in reference[2:].split("/"):
                key = part.replace("~1", "/").replace("~0", "~")
                place = place.step(int(key) if isinstance(place.node, list) else key)
        return place

    def validator(self, pointer: str) -> Draft202012Validator:
        """Give the validator of the schema at a pointer, formats included."""
        if pointer not in self._validators:
            schema = {"$ref": BASE + quote(pointer, safe="#/~")}
            checker = Draft202012Validator.FORMAT_CHECKER
            self._validators[pointer] = Draft202012Validator(schema, registry=self._registry, format_checker=checker)
        return self._validators[pointer]

    def fault(self, schema_pointer: str, value: Any) -> str | None:  # noqa: ANN401 - any JSON value
        """Say what the schema has against a value; None if nothing."""
        error = best_match(self.validator(schema_pointer).iter_errors(value))
        return None if error is None else f"{error.json_path}: {error.message[:300]}"

    def operations(self) -> Iterator[Operation]:
        """Go through all operations in the order of the document."""
        for path, item in self.root.steps("paths"):
            for method in METHODS:
                if method in item.node:
                    place = item.step(method)
                    own = [self.follow(p) for holder in (item, place) for _, p in holder.steps("parameters")]
                    yield Operation(method, path, place, own)

    def request_bodies(self, operation: Operation) -> Iterator[tuple[str, Place]]:
        """Go through the media types that an operation takes."""
        if "requestBody" in operation.place.node:
            yield from self.follow(operation.place.step("requestBody")).steps("content")

    def responses(self, operation: Operation) -> Iterator[tuple[str, Place]]:
        """Go through the statuses that an operation answers with."""
        for status, place in operation.place.steps("responses"):
            yield status, self.follow(place)

    def examples(self, holder: Place) -> Iterator[Example]:
        """Go through the examples of a media type, parameter or header."""
        if "example" in holder.node:
            yield Example("", holder.node["example"], holder.step("example").pointer)
        for name, place in holder.steps("examples"):
            found = self.follow(place)
            if "value" in found.node:
                yield Example(name, found.node["value"], place.pointer)

    def holders(self) -> Iterator[Place]:
        """Go through everything that holds a schema and examples: media types, parameters, headers."""
        parts = [self.root.step("components")] if "components" in self.root.node else []
        for components in parts:
            for _, body in components.steps("requestBodies"):
                yield from (media for _, media in body.steps("content"))
            for _, response in components.steps("responses"):
                yield from self._of_response(response)
            for kind in ("parameters", "headers"):
                yield from (place for _, place in components.steps(kind))
        for operation in self.operations():
            yield from operation.parameters
            yield from (media for _, media in self.request_bodies(operation))
            for _, response in self.responses(operation):
                yield from self._of_response(response)

    def _of_response(self, response: Place) -> Iterator[Place]:
        yield from (media for _, media in response.steps("content"))
        yield from (self.follow(header) for _, header in response.steps("headers"))

    def schemas(self) -> Iterator[Place]:
        """Go through every schema, and every schema inside it, each once."""
        seen: set[str] = set()
        waiting = [holder.step("schema") for holder in self.holders() if "schema" in holder.node]
        if "components" in self.root.node:
            waiting += [place for _, place in self.root.step("components").steps("schemas")]
        while waiting:
            place = waiting.pop()
            if place.pointer not in seen and isinstance(place.node, dict):
                seen.add(place.pointer)
                yield place
                waiting += inner_schemas(place)


def inner_schemas(place: Place) -> list[Place]:
    """List the schemas one step inside a schema."""
    alone = [place.step(key) for key in SCHEMA_ALONE if isinstance(place.node.get(key), dict)]
    return alone + [inner for key in SCHEMA_LISTS + SCHEMA_MAPS for _, inner in place.steps(key)]


def same(one: Any, other: Any) -> bool:  # noqa: ANN401 - any JSON values
    """Compare JSON values: 4 and 4.0 are one number, 1 and true are not one value, members have no order."""
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    return one == other


def first_difference(one: Any, other: Any, at: str = "") -> str:  # noqa: ANN401 - any JSON values
    """Say where two JSON values first differ."""
    if isinstance(one, dict) and isinstance(other, dict):
        for key in [*one, *(key for key in other if key not in one)]:
            if key not in one or key not in other:
                return f"{at}/{key}: only in the {'answer' if key in one else 'document'}"
            if not same(one[key], other[key]):
                return first_difference(one[key], other[key], f"{at}/{key}")
    if isinstance(one, list) and isinstance(other, list):
        for index, (left, right) in enumerate(zip(one, other, strict=False)):
            if not same(left, right):
                return first_difference(left, right, f"{at}/{index}")
        return f"{at}: {len(one)} items answered, {len(other)} in the document"
    return f"{at}: {json.dumps(one)[:120]} answered, {json.dumps(other)[:120]} in the document"


def with_demo_requests(document: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Copy the document, with every demo request that it does not have yet as an example of its question."""
    document = copy.deepcopy(document)
    for path, item in document["paths"].items():
        body = item.get("post", {}).get("requestBody")
        # Only what is asked in one JSON object has requests in demo-data.
        if body is None or "application/json" not in body["content"]:
            continue
        examples = body["content"]["application/json"].setdefault("examples", {})
        own = [example["value"] for example in examples.values()]
        files = sorted((DEMO / path.removeprefix("/v1/")).glob("*.json"))
        if not files:
            raise SystemExit(f"{path} has no request in {DEMO.name}")
        for file in files:
            value = json.loads(file.read_text(encoding="utf-8"))
            if value not in own:
                examples[f"{DEMO.name} {file.stem}"] = {"value": value}
    return document


if __name__ == "__main__":
    json.dump(Document(sys.argv[1]).root.node, sys.stdout)

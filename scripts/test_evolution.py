"""Tests of evolution.py: each kind of change that breaks a client is found, and what does not break one is let pass.

Usage: test_evolution.py
"""

import copy
import json
import unittest
from pathlib import Path
from typing import Any

from evolution import Comparison

COMMITTED = Path(__file__).resolve().parent.parent / "openapi/openapi.json"


def document() -> Any:  # noqa: ANN401 - a JSON value
    """Give a small document with one of everything that is compared."""
    text = {"type": "string", "minLength": 1, "maxLength": 9, "pattern": "a"}
    bed = {
        "type": "object",
        "properties": {
            "name": text,
            "count": {"type": "integer", "minimum": 1, "maximum": 9},
            "length": {"oneOf": [{"type": "string", "format": "length"}, {"$ref": "#/components/schemas/Quantity"}]},
            "ground": {"$ref": "#/components/schemas/Ground"},
            "soil": {"type": "string", "enum": ["clay", "sand"]},
            "old": {"type": "string", "deprecated": True},
        },
        "required": ["length"],
        "additionalProperties": False,
    }
    answer = {
        "type": "object",
        "properties": {
            "volume": {"$ref": "#/components/schemas/Quantity"},
            "note": {"type": "string", "maxLength": 9, "pattern": "a"},
            "level": {"type": "string", "enum": ["low", "high"]},
            "choice": {"oneOf": [{"type": "string"}, {"$ref": "#/components/schemas/Quantity"}]},
            "days": {"type": "array", "items": {"type": "integer"}, "maxItems": 9},
            "by_name": {"type": "object", "additionalProperties": {"type": "integer"}},
        },
        "required": ["volume", "days"],
    }
    quantity = {
        "type": "object",
        "properties": {"value": {"type": "number"}, "unit": {"type": "string"}},
        "required": ["value", "unit"],
        "additionalProperties": False,
    }
    kinds = {
        kind: {"type": "object", "properties": {"kind": {"enum": [kind]}}, "required": ["kind"]}
        for kind in ("Row", "Pot")
    }
    ground = {"oneOf": [{"$ref": "#/components/schemas/Row"}, {"$ref": "#/components/schemas/Pot"}]}
    schemas = {"Bed": bed, "Answer": answer, "Quantity": quantity, "Ground": ground, **kinds}
    content = {"application/json": {"schema": {"$ref": "#/components/schemas/Answer"}}, "text/csv": {}}
    post = {
        "operationId": "beds",
        "tags": ["beds"],
        "parameters": [{"name": "width", "in": "query", "schema": {"type": "integer", "enum": [1, 2]}}],
        "requestBody": {"content": {"application/json": {"schema": {"$ref": "#/components/schemas/Bed"}}}},
        "responses": {"200": {"headers": {"ETag": {}}, "content": content}, "422": {}},
    }
    return {"paths": {"/beds": {"post": post}}, "components": {"schemas": schemas}}


POST = ("paths", "/beds", "post")
BED = ("components", "schemas", "Bed")
ANSWER = ("components", "schemas", "Answer")
QUANTITY = ("components", "schemas", "Quantity")
NEW = {"type": "string"}
GROUND = {"$ref": "#/components/schemas/Ground"}

# What is changed, where, to what (None removes it), and whether that breaks a client.
CHANGES: list[tuple[str, tuple[str | int, ...], Any, bool]] = [
    ("an operation removed", POST, None, True),
    ("an operation renamed", (*POST, "operationId"), "bed", True),
    ("a tag changed", (*POST, "tags"), ["others"], True),
    ("a token needed", (*POST, "security"), [{"token": []}], True),
    ("a token possible", (*POST, "security"), [{}, {"token": []}], False),
    ("an operation added", ("paths", "/pots"), {"get": {"responses": {}}}, False),
    ("a parameter removed", (*POST, "parameters", 0), None, True),
    ("a parameter required", (*POST, "parameters", 0, "required"), True, True),
    ("a parameter written otherwise", (*POST, "parameters", 0, "explode"), False, True),
    ("a word of a parameter removed", (*POST, "parameters", 0, "schema", "enum"), [1], True),
    ("a word of a parameter added", (*POST, "parameters", 0, "schema", "enum"), [1, 2, 3], False),
    ("a parameter added", (*POST, "parameters", 1), {"name": "all", "in": "query"}, False),
    ("a required parameter added", (*POST, "parameters", 1), {"name": "all", "in": "query", "required": True}, True),
    ("a body required", (*POST, "requestBody", "required"), True, True),
    ("a body removed", (*POST, "requestBody"), None, True),
    ("a medium of a body removed", (*POST, "requestBody", "content", "application/json"), None, True),
    ("a medium of a body added", (*POST, "requestBody", "content", "text/csv"), {}, False),
    ("a status removed", (*POST, "responses", "422"), None, True),
    ("a status added", (*POST, "responses", "503"), {}, False),
    ("a medium of an answer removed", (*POST, "responses", "200", "content", "text/csv"), None, True),
    ("a medium of an answer added", (*POST, "responses", "200", "content", "text/html"), {}, False),
    ("a header removed", (*POST, "responses", "200", "headers", "ETag"), None, True),
    ("a header added", (*POST, "responses", "200", "headers", "Vary"), {}, False),
    ("a field of a request removed", (*BED, "properties", "name"), None, True),
    ("a deprecated field removed", (*BED, "properties", "old"), None, False),
    ("a field of a request added", (*BED, "properties", "new"), NEW, False),
    ("a field of a request required", (*BED, "required"), ["length", "name"], True),
    ("a field of a request no longer required", (*BED, "required"), [], False),
    ("a request opened", (*BED, "additionalProperties"), True, False),
    ("a lower bound of a request raised", (*BED, "properties", "count", "minimum"), 2, True),
    ("a lower bound of a request lowered", (*BED, "properties", "count", "minimum"), 0, False),
    ("an upper bound of a request lowered", (*BED, "properties", "count", "maximum"), 8, True),
    ("an upper bound of a request removed", (*BED, "properties", "count", "maximum"), None, False),
    ("a text of a request shortened", (*BED, "properties", "name", "maxLength"), 8, True),
    ("a pattern of a request changed", (*BED, "properties", "name", "pattern"), "b", True),
    ("a pattern of a request removed", (*BED, "properties", "name", "pattern"), None, False),
    ("a format of a request added", (*BED, "properties", "name", "format"), "date", True),
    ("a type of a request changed", (*BED, "properties", "name", "type"), "integer", True),
    ("a type of a request widened", (*BED, "properties", "count", "type"), "number", False),
    ("a word of a request removed", (*BED, "properties", "soil", "enum"), ["clay"], True),
    ("a word of a request added", (*BED, "properties", "soil", "enum"), ["clay", "sand", "loam"], False),
    ("a free text limited to words", (*BED, "properties", "name", "enum"), ["a"], True),
    ("a form of a request removed", (*BED, "properties", "length", "oneOf", 0), None, True),
    ("a form of a request added", (*BED, "properties", "length", "oneOf", 2), {"type": "number"}, False),
    ("a choice of forms widened", (*BED, "properties", "ground"), {"oneOf": [GROUND, {"type": "number"}]}, False),
    ("a variant of a request removed", ("components", "schemas", "Ground", "oneOf", 1), None, True),
    ("a variant's kind renamed", ("components", "schemas", "Row", "properties", "kind", "enum"), ["row"], True),
    ("a field of an answer removed", (*ANSWER, "properties", "note"), None, True),
    ("a field of an answer added", (*ANSWER, "properties", "new"), NEW, False),
    ("a field of an answer no longer required", (*ANSWER, "required"), ["volume"], True),
    ("a field of an answer always there", (*ANSWER, "required"), ["volume", "days", "note"], False),
    ("a bound of an answer raised", (*ANSWER, "properties", "note", "maxLength"), 10, True),
    ("a bound of an answer removed", (*ANSWER, "properties", "days", "maxItems"), None, True),
    ("a bound of an answer lowered", (*ANSWER, "properties", "days", "maxItems"), 8, False),
    ("a pattern of an answer removed", (*ANSWER, "properties", "note", "pattern"), None, True),
    ("a type of an answer changed", (*ANSWER, "properties", "note", "type"), "integer", True),
    ("a type of an answer widened", (*ANSWER, "properties", "days", "items", "type"), "number", True),
    ("null in an answer", (*ANSWER, "properties", "note", "type"), ["string", "null"], True),
    ("a word of an answer added", (*ANSWER, "properties", "level", "enum"), ["low", "high", "none"], True),
    ("a word of an answer removed", (*ANSWER, "properties", "level", "enum"), ["low"], False),
    ("a list of words of an answer opened", (*ANSWER, "properties", "level", "enum"), None, True),
    ("a form of an answer added", (*ANSWER, "properties", "choice", "oneOf", 2), {"type": "integer"}, True),
    ("a form of an answer removed", (*ANSWER, "properties", "choice", "oneOf", 0), None, False),
    ("items of an answer not described", (*ANSWER, "properties", "days", "items"), None, True),
    ("a map of an answer changed", (*ANSWER, "properties", "by_name", "additionalProperties", "type"), "string", True),
    ("what is both asked and answered gains a field", (*QUANTITY, "properties", "low"), {"type": "number"}, False),
    ("what is both asked and answered needs a field", (*QUANTITY, "required"), ["value", "unit", "low"], True),
    ("what is both asked and answered may lack a field", (*QUANTITY, "required"), ["value"], True),
    ("what is both asked and answered loses a field", (*QUANTITY, "properties", "unit"), None, True),
    ("a description changed", (*BED, "description"), "A bed.", False),
    ("a keyword that is not read", (*BED, "not"), {"required": ["old"]}, True),
]


def changed(whole: Any, path: tuple[str | int, ...], value: Any) -> Any:  # noqa: ANN401 - JSON values
    """Copy a document with one change."""
    whole = copy.deepcopy(whole)
    *way, last = path
    part = whole
    for step in way:
        part = part[step]
    if isinstance(part, list) and last == len(part):
        part.append(value)
    elif value is None:
        del part[last]
    else:
        part[last] = value
    return whole


class Evolution(unittest.TestCase):
    """The changes above, in the small document and in the committed one."""

    def test_what_breaks_clients_is_found_and_nothing_else(self) -> None:
        """Make each change alone."""
        for name, path, value, breaks in CHANGES:
            with self.subTest(name):
                findings = Comparison(document(), changed(document(), path, value)).findings
                self.assertEqual(bool(findings), breaks, findings)

    def test_a_schema_that_is_not_shared_may_not_gain_forms_in_answers(self) -> None:
        """A union of a request gains a variant; the same union in answers alone does not."""
        whole = document()
        whole["components"]["schemas"]["Answer"]["properties"]["ground"] = {"$ref": "#/components/schemas/Ground"}
        more = changed(
            whole, ("components", "schemas", "Ground", "oneOf", 2), {"$ref": "#/components/schemas/Quantity"}
        )
        self.assertEqual(Comparison(whole, more).findings, [])
        for both in (whole, more):
            del both["components"]["schemas"]["Bed"]["properties"]["ground"]
        self.assertNotEqual(Comparison(whole, more).findings, [])

    def test_nothing_of_the_committed_document_can_be_removed_unseen(self) -> None:
        """Remove each operation, each parameter, each status, and one field of each schema."""
        whole = json.loads(COMMITTED.read_text())
        self.assertEqual(Comparison(whole, copy.deepcopy(whole)).findings, [])
        paths: list[tuple[str | int, ...]] = []
        for path, item in whole["paths"].items():
            for method, operation in item.items():
                here = ("paths", path, method)
                paths += [here, *((*here, "responses", status) for status in operation["responses"])]
                paths += [(*here, "parameters", i) for i in range(len(operation.get("parameters", [])))]
        for name, schema in whole["components"]["schemas"].items():
            fields = schema.get("properties", {})
            paths += [("components", "schemas", name, "properties", field) for field in list(fields)[-1:]]
        # A third of them, to be quick: each kind is among them many times.
        for path in paths[::3]:
            with self.subTest(path):
                self.assertTrue(removed(whole, path))


def removed(whole: Any, path: tuple[str | int, ...]) -> bool:  # noqa: ANN401 - a JSON value
    """Tell whether it is found that something was removed."""
    *way, last = path
    part = whole
    for step in way:
        part = part[step]
    if isinstance(part, list):
        now = [one for i, one in enumerate(part) if i != last]
    else:
        now = {key: one for key, one in part.items() if key != last}
    return bool(Comparison(whole, replaced(whole, tuple(way), now)).findings)


def replaced(node: Any, path: tuple[str | int, ...], value: Any) -> Any:  # noqa: ANN401 - JSON values
    """Give a document with another part, which shares all else with the one given."""
    if not path:
        return value
    first, *rest = path
    copied = copy.copy(node)
    copied[first] = replaced(node[first], tuple(rest), value)
    return copied


if __name__ == "__main__":
    unittest.main()

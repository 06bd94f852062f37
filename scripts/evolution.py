"""What breaks clients between two documents: requests may only loosen, and answers may only gain fields.

A client made from the released document must go on working: what it sends is still accepted, and what it gets is what
it was made for. Found are, in requests: anything removed, a new required field or parameter, a narrower type, bound,
pattern, list of words or choice of forms. In answers: anything removed, a required field that may be absent, a wider
type, bound or list of words, a new form of a value. New operations, optional fields, parameters, media types and
statuses are no findings. What the release marks as deprecated may go.

A schema that both sides have (a quantity, a bed to send on) follows the rule of requests: an answer uses what such a
schema gained only for requests that use it too.
"""

import json
from collections.abc import Iterator
from typing import Any, NamedTuple

METHODS = ("get", "put", "post", "delete", "options", "head", "patch", "trace")
LOWER = ("minimum", "exclusiveMinimum", "minLength", "minItems", "minProperties")
UPPER = ("maximum", "exclusiveMaximum", "maxLength", "maxItems", "maxProperties")
EXACT = ("pattern", "format", "multipleOf", "uniqueItems")
UNREAD = ("allOf", "not", "if", "then", "else", "dependentSchemas", "prefixItems", "patternProperties", "contains")
SCHEMAS = "#/components/schemas/"

Node = dict[str, Any]


class Finding(NamedTuple):
    """A change that breaks a client, and where."""

    place: str
    what: str

    def __str__(self) -> str:
        """Write both."""
        return f"{self.place}: {self.what}"


def follow(document: Node, node: Node) -> Node:
    """Go to what a `$ref` names."""
    while "$ref" in node:
        target: Any = document
        for part in node["$ref"].removeprefix("#/").split("/"):
            target = target[part.replace("~1", "/").replace("~0", "~")]
        node = target
    return node


def references(node: Any) -> Iterator[str]:  # noqa: ANN401 - any JSON value
    """Find every `$ref` in a part of the document, but not in examples."""
    if isinstance(node, dict):
        if isinstance(node.get("$ref"), str):
            yield node["$ref"]
        inner = [one for key, one in node.items() if key not in ("example", "examples")]
        yield from (ref for one in inner for ref in references(one))
    elif isinstance(node, list):
        yield from (ref for inner in node for ref in references(inner))


def reach(document: Node, parts: list[Any]) -> set[str]:
    """Find every reference that parts of the document lead to."""
    waiting, found = [ref for part in parts for ref in references(part)], set()
    while waiting:
        ref = waiting.pop()
        if ref not in found:
            found.add(ref)
            waiting += references(follow(document, {"$ref": ref}))
    return found


def operations(document: Node) -> dict[str, Node]:
    """Give every operation by its method and path, with the parameters of its path."""
    found = {}
    for path, item in document.get("paths", {}).items():
        for method in METHODS:
            if method in item:
                own = [*item.get("parameters", []), *item[method].get("parameters", [])]
                found[f"{method.upper()} {path}"] = item[method] | {"parameters": own}
    return found


def shared(document: Node) -> set[str]:
    """Give the schemas that requests and answers both have."""
    every = operations(document).values()
    sent = reach(document, [[one.get("requestBody"), one["parameters"]] for one in every])
    return sent & reach(document, [one.get("responses") for one in every])


def types(schema: Node) -> set[str]:
    """Give the JSON types that a schema takes; none means any."""
    kinds = schema.get("type", [])
    kinds = {kinds} if isinstance(kinds, str) else set(kinds)
    return kinds | {"integer"} if "number" in kinds else kinds


def words(schema: Node) -> list[Any] | None:
    """Give the values that a schema is limited to."""
    return [schema["const"]] if "const" in schema else schema.get("enum")


def forms(document: Node, schema: Node) -> dict[str, Node]:
    """Give the alternatives of a schema, and those within them, by the name of their schema, else by their type."""
    followed = follow(document, schema)
    inner = followed.get("oneOf") or followed.get("anyOf")
    if inner:
        return {name: form for one in inner for name, form in forms(document, one).items()}
    return {schema.get("$ref") or json.dumps([sorted(types(schema)), schema.get("format")]): schema}


def is_open(document: Node, operation: Node) -> bool:
    """Tell whether an operation may be asked without a token."""
    needs = operation.get("security", document.get("security", []))
    return not needs or {} in needs


class Comparison:
    """What breaks between a released document and the current one."""

    def __init__(self, released: Node, current: Node) -> None:
        """Compare everything."""
        self.released, self.current = released, current
        self.findings: list[Finding] = []
        self._shared = shared(released) & shared(current)
        self._seen: set[tuple[str, str, bool, bool]] = set()
        now = operations(current)
        for name, before in operations(released).items():
            if name in now:
                self.operation(name, before, now[name])
            else:
                self.gone(name, before)
        known = current.get("components", {}).get("schemas", {})
        for name, before in released.get("components", {}).get("schemas", {}).items():
            if name not in known:
                self.gone(f"{SCHEMAS}{name}", before)

    def found(self, place: str, what: str) -> None:
        """Note a finding, once."""
        if Finding(place, what) not in self.findings:
            self.findings.append(Finding(place, what))

    def gone(self, place: str, before: Node) -> None:
        """Note what was removed, unless the release said that it would be."""
        if not before.get("deprecated"):
            self.found(place, "removed")

    def operation(self, name: str, before: Node, after: Node) -> None:
        """Compare what an operation takes and answers, and what clients name it by."""
        for key in ("operationId", "tags"):
            if before.get(key) != after.get(key):
                self.found(name, f"{key} changed, by which clients name it")
        if is_open(self.released, before) and not is_open(self.current, after):
            self.found(name, "needs a token now")
        self.parameters(name, before, after)
        self.body(name, before.get("requestBody"), after.get("requestBody"))
        for status, answer in before.get("responses", {}).items():
            place = f"{name} {status}"
            if status in after.get("responses", {}):
                self.answer(place, follow(self.released, answer), follow(self.current, after["responses"][status]))
            else:
                self.found(place, "removed")

    def parameters(self, name: str, before: Node, after: Node) -> None:
        """Compare the parameters of an operation."""
        old, new = (
            {(one["in"], one["name"]): one for one in (follow(document, given) for given in operation["parameters"])}
            for document, operation in ((self.released, before), (self.current, after))
        )
        for key, parameter in old.items():
            place = f"{name} parameter {key[1]}"
            if key not in new:
                self.gone(place, parameter)
                continue
            if any(parameter.get(how) != new[key].get(how) for how in ("style", "explode")):
                self.found(place, "written in another way")
            if new[key].get("required") and not parameter.get("required"):
                self.found(place, "required now")
            self.schema(place, parameter.get("schema", {}), new[key].get("schema", {}), is_sent=True)
        for key in new.keys() - old.keys():
            if new[key].get("required"):
                self.found(f"{name} parameter {key[1]}", "new, and required")

    def body(self, name: str, before: Node | None, after: Node | None) -> None:
        """Compare what is sent."""
        place = f"{name} body"
        if before is None:
            if after is not None and follow(self.current, after).get("required"):
                self.found(place, "new, and required")
            return
        if after is None:
            self.found(place, "removed")
            return
        before, after = follow(self.released, before), follow(self.current, after)
        if after.get("required") and not before.get("required"):
            self.found(place, "required now")
        self.media(place, before, after, is_sent=True)

    def answer(self, place: str, before: Node, after: Node) -> None:
        """Compare what is answered with a status."""
        for header in before.get("headers", {}).keys() - after.get("headers", {}).keys():
            self.found(f"{place} header {header}", "removed")
        self.media(place, before, after, is_sent=False)

    def media(self, place: str, before: Node, after: Node, *, is_sent: bool) -> None:
        """Compare the media types of a body or an answer."""
        for medium, content in before.get("content", {}).items():
            if medium in after.get("content", {}):
                now = after["content"][medium]
                self.schema(f"{place} {medium}", content.get("schema", {}), now.get("schema", {}), is_sent=is_sent)
            else:
                self.found(f"{place} {medium}", "removed")

    def schema(self, place: str, before: Node, after: Node, *, is_sent: bool, may_gain: bool = False) -> None:
        """Compare two schemas: what is sent may only take more, what is answered may only give what was expected."""
        reference = after.get("$ref", "")
        may_gain = may_gain or reference in self._shared
        if reference and before.get("$ref"):
            pair = (before["$ref"], reference, is_sent, may_gain)
            if pair in self._seen:
                return
            self._seen.add(pair)
            place = reference
        one, other = follow(self.released, before), follow(self.current, after)
        if {"oneOf", "anyOf"} & (one.keys() | other.keys()):
            self.alternatives(place, before, after, is_sent=is_sent, may_gain=may_gain)
            return
        before, after = one, other
        for key in UNREAD:
            if before.get(key) != after.get(key):
                self.found(place, f"{key} changed, which this check does not read")
        narrow, wide = (after, before) if is_sent else (before, after)
        if is_sent or not may_gain:
            self.limits(place, narrow, wide, "narrower" if is_sent else "wider")
        self.fields(place, before, after, is_sent=is_sent, may_gain=may_gain)

    def limits(self, place: str, narrow: Node, wide: Node, how: str) -> None:
        """Find where what may only be the narrower of two schemas lets in less than the wider one has."""
        kinds = types(narrow)
        if kinds and not (types(wide) and types(wide) <= kinds):
            self.found(place, f"type is {how}")
        known, listed = words(narrow), words(wide)
        if known is not None and (listed is None or any(word not in known for word in listed)):
            self.found(place, f"list of words is {how}")
        for keys, sign in ((LOWER, 1), (UPPER, -1)):
            for key in keys:
                if key in narrow and (key not in wide or sign * narrow[key] > sign * wide[key]):
                    self.found(place, f"{key} is {how}")
        for key in EXACT:
            if key in narrow and narrow[key] != wide.get(key):
                self.found(place, f"{key} is {how}")

    def fields(self, place: str, before: Node, after: Node, *, is_sent: bool, may_gain: bool) -> None:
        """Compare the fields of objects and the items of lists."""
        old, new = before.get("properties", {}), after.get("properties", {})
        for name, field in old.items():
            if name not in new:
                self.gone(f"{place} {name}", field)
                continue
            self.schema(f"{place} {name}", field, new[name], is_sent=is_sent, may_gain=may_gain)
        needed, given = set(before.get("required", [])), set(after.get("required", []))
        for name in sorted(given - needed if is_sent else needed - given):
            if is_sent or name in new:
                self.found(f"{place} {name}", "required now" if is_sent else "may be absent now")
        others, others_now = before.get("additionalProperties", True), after.get("additionalProperties", True)
        if others is False and not is_sent and not may_gain and new.keys() - old.keys():
            self.found(place, "fields in what was closed")
        if is_sent and others is not False and others_now is False:
            self.found(place, "closed now")
        inside = [(key, before.get(key, True), after.get(key, True)) for key in ("items", "contentSchema")]
        for key, inner, now in [("other fields", others, others_now), *inside]:
            if isinstance(inner, dict) and isinstance(now, dict):
                self.schema(f"{place} {key}", inner, now, is_sent=is_sent, may_gain=may_gain)
            elif isinstance(now, dict) if is_sent else isinstance(inner, dict):
                self.found(f"{place} {key}", "described now" if is_sent else "no longer described")

    def alternatives(self, place: str, before: Node, after: Node, *, is_sent: bool, may_gain: bool) -> None:
        """Compare the forms that a value may have."""
        old, new = forms(self.released, before), forms(self.current, after)
        for name in old.keys() & new.keys():
            self.schema(place, old[name], new[name], is_sent=is_sent, may_gain=may_gain)
        for name in sorted(old.keys() - new.keys() if is_sent else new.keys() - old.keys()):
            if is_sent:
                self.found(f"{place} {name}", "form removed")
            elif not may_gain:
                self.found(f"{place} {name}", "form that no client expects")

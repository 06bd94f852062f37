"""Send names that attack whoever reads them, and read every form of the answer with an independent reader.

Names that a spreadsheet would compute, that are markup, that end a line of a calendar, or that turn the direction of
writing are put wherever a request may hold a name. Proves that
- JSON (`json`) and CSV (`csv`) give each name back as it was, CSV with an apostrophe before what a spreadsheet would
  compute, and that no cell begins a formula;
- sheets and charts (`lxml`: its reader of HTML, and its strict reader of XML) have the elements that the same request
  with a plain name has, so no name became markup, and show the name as it was, but for characters that turn or hide;
  names written from right to left are set apart on a sheet;
- calendars (`icalendar`) have the same events and properties, and show the name likewise;
- nothing that people read holds a character that turns the direction of writing.

Usage: check_hostile_names.py URL
"""

import csv
import io
import json
import re
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from unicodedata import bidirectional

from icalendar import Calendar
from lxml import etree, html

from service import Service

DEMO = Path(__file__).resolve().parent.parent / "demo-data"

# A request for each question, and the places of names in it.
QUESTIONS = {
    "applications": ("kitchen-garden", ["", "areas/0"]),
    "harvests": ("forecast", ["", "worm_beds/0", "heaps/0"]),
    "brews": ("drench-for-the-rows", ["", "brews/0"]),
    "feeds": ("autumn-heap", ["", "materials/0"]),
    "balances": ("two-lots", ["", "demands/0", "stock/0"]),
    "worm-beds": ("school-garden", ["", "feed_supply/materials/0"]),
    "calibrations": ("first-harvest", ["", "records/0"]),
    "seasons": ("one-bed", ["", "worm_beds/0", "demands/0", "stock/0", "variants/0"]),
}
CHARTS = {"harvests", "worm-beds", "calibrations", "balances", "seasons"}
CALENDARS = {"harvests", "brews", "feeds", "worm-beds", "seasons"}
# Tables in which a name has a cell of its own, where it is not the first alone.
TABLES = {"calibrations": ("records",), "seasons": ("work", "stock", "variants")}
# The names of these are in cells among amounts.
AMONG_AMOUNTS = {"worm-beds"}

# What a page sets words from right to left apart with.
SET_APART = ("bdi",)
TURNING = "\u061c\u200b\u200e\u200f\u202a\u202b\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff\ufdd0\ufffe\uffff"
NAMES = [
    "=HYPERLINK('x';A1)",
    '=cmd|"/C x"!A0',
    "+1+1",
    "-inf",
    "@SUM(A1)",
    "\uff1d1+1",
    "\uff0b1",
    "\uff0d1\uff0b1",
    "\uff20x",
    "'=1",
    "''+1",
    "'tis",
    "</title></style><script>alert(1)</script>",
    "\" onload='x' & <b>]]> -->",
    "&lt;&#x202e;&amp;",
    "a\\;b,c\\nEND:VEVENT:\\N^n",
    "{{7*7}}${x}%s%n`id`",
    "carrots \u202etac\u202c \u2066x",
    "קרוט 12 L جزر",
    *(f"a{character}b" for character in TURNING),
]
# What begins a formula, in the usual and in full width, and at which a cell may begin all the same.
FORMULA = re.compile(r"^(\s*[=+\-@\uff1d\uff0b\uff0d\uff20]|[\t\r\n])")
NUMBER = re.compile(r"^[+-]?[0-9.]+(e[+-]?[0-9]+)?$", re.IGNORECASE)


def body_of(question: str, name: str) -> bytes:
    """Put the name wherever there may be one."""
    file, places = QUESTIONS[question]
    body = json.loads((DEMO / question / f"{file}.json").read_text())
    if question == "seasons":
        stock = [{"amount": "5 L", "use_by": body["until"]}]
        body |= {"simulation_runs": 0, "stock": stock, "variants": [{"change": {"stock": stock}}]}
    for place in places:
        item = body
        for step in filter(None, place.split("/")):
            item = item[int(step)] if step.isdigit() else item[step]
        item["name"] = name
    return json.dumps(body).encode()


def ask(service: Service, question: str, body: bytes, accept: str) -> bytes:
    """Ask for one form of the answer."""
    answer = service.ask("POST", f"/v1/{question}", {"content-type": "application/json", "accept": accept}, body)
    if answer.status != 200 or answer.media_type != accept:
        raise SystemExit(f"{question} as {accept}: {answer.status} {answer.media_type} {answer.body[:300]!r}")
    return answer.body


def shown(name: str) -> str:
    """Write a name as people are to see it."""
    return "".join("\ufffd" if c in TURNING or c in "\u202c" else c for c in name)


def is_formula(cell: str) -> bool:
    """Tell whether a spreadsheet might compute a cell."""
    return bool(FORMULA.match(cell)) and not NUMBER.match(cell)


def check_container(service: Service, name: str) -> None:
    """Check that no container may have the name, which is also a unit, unless it is of letters and digits alone."""
    body = json.loads((DEMO / "worm-beds/school-garden.json").read_text())
    body["containers"].append({"name": name, "capacity": "5 L"})
    answer = service.ask("POST", "/v1/worm-beds", {"content-type": "application/json"}, json.dumps(body).encode())
    if all(character.isalnum() or character == " " for character in name):
        assert answer.status == 200, (name, answer.body)
        return
    errors = [(error["pointer"], error["code"]) for error in answer.json()["errors"]]
    assert answer.status == 422 and {pointer for pointer, _ in errors} == {"/containers/1/name"}, (name, errors)


def check_csv(table: bytes, name: str, *, is_among_amounts: bool) -> None:
    """Check that the name comes back, and that no cell begins a formula."""
    cells = [cell for row in list(csv.reader(io.StringIO(table.decode())))[1:] for cell in row]
    computed = [cell for cell in cells if is_formula(cell)]
    assert not computed, computed
    read = [cell[1:] if cell[:1] == "'" and is_formula(cell.lstrip("'")) else cell for cell in cells]
    assert name in read or (is_among_amounts and any(name in cell for cell in read)), (name, read)


def elements(root: etree._Element) -> Counter:
    """Count elements with the names of their attributes."""
    return Counter((str(element.tag), *sorted(element.attrib)) for element in root.iter())


def check_markup(root: etree._Element, plain: etree._Element, name: str) -> None:
    """Check that there is no element that a plain name does not give, and that the name is shown."""
    found = elements(root)
    if any(bidirectional(character) in {"R", "AL"} for character in name):
        # A page sets such words apart.
        is_set_apart = found.pop(SET_APART, 0) > 0 or set(name) & set(TURNING)
        assert is_set_apart or str(root.tag) != "html", name
    assert found == elements(plain), (name, found - elements(plain), elements(plain) - found)
    text = "".join(root.itertext())
    # White space is folded by browsers.
    assert " ".join(shown(name).split()) in " ".join(text.split()), (name, text[:300])
    assert not set(text) & set(TURNING), name


def properties(calendar: Calendar) -> list:
    """List the components of a calendar with the names of their properties."""
    return [(component.name, sorted(component)) for component in calendar.walk()]


def texts(calendar: Calendar) -> Iterator[str]:
    """Yield the texts of a calendar that people read."""
    for component in calendar.walk():
        for name in ("SUMMARY", "DESCRIPTION", "X-WR-CALNAME", "NAME"):
            if name in component:
                yield str(component[name])


def check_calendar(calendar: Calendar, plain: Calendar, name: str) -> None:
    """Check that there is nothing that a plain name does not give, and that the name is shown."""
    assert properties(calendar) == properties(plain), name
    summaries = [str(event["summary"]) for event in calendar.walk("VEVENT")]
    assert any(shown(name) in summary for summary in summaries), (name, summaries[:5])
    assert not set("".join(texts(calendar))) & set(TURNING), name


def check_text(text: str, name: str) -> None:
    """Check that nothing steers the terminal."""
    assert not set(text) & set(TURNING), name
    assert all(c.isprintable() or c == "\n" for c in text.replace("\ufffd", "")), name


def check(service: Service, question: str, name: str) -> int:
    """Check every form of one answer; return how many there were."""
    body, plain = body_of(question, name), body_of(question, "carrots")
    assert json.loads(ask(service, question, body, "application/json"))["name"] == name
    for table in TABLES.get(question, ("",)):
        csv_of = f"{question}?table={table}" if table else question
        check_csv(ask(service, csv_of, body, "text/csv"), name, is_among_amounts=question in AMONG_AMOUNTS)
    check_text(ask(service, question, body, "text/plain").decode(), name)
    sheets = (html.fromstring(ask(service, question, sent, "text/html")) for sent in (body, plain))
    check_markup(*sheets, name)
    forms = 4
    if question in CHARTS:
        strict = etree.XMLParser(resolve_entities=False, no_network=True)
        charts = (etree.fromstring(ask(service, question, sent, "image/svg+xml"), strict) for sent in (body, plain))
        check_markup(*charts, name)
        forms += 1
    if question in CALENDARS:
        calendars = (Calendar.from_ical(ask(service, question, sent, "text/calendar")) for sent in (body, plain))
        check_calendar(*calendars, name)
        forms += 1
    return forms


def main() -> int:
    """Send every name to every question."""
    service = Service(sys.argv[1])
    forms = sum(check(service, question, name) for question in QUESTIONS for name in NAMES)
    for name in NAMES:
        check_container(service, name)
    print(f"{len(NAMES)} hostile names in {len(QUESTIONS)} questions: {forms} forms read back")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

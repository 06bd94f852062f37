"""Checks every unit of the service against `pint`, an independent library of units.

What it proves: each factor that `GET /v1/units` lists, under its symbol and under every other spelling, is the one
that pint gives for the unit meant, to a relative 1e-12; so is each compound (a mass per area, say). A spelling that
is not in the table below is a failure, so that a new unit cannot slip in unchecked. Temperatures are compared by
converting two points, since a scale with an offset is fixed by two. An ambiguous name must be no unit's spelling, and
the units that it may mean must differ in size, else nothing would be ambiguous. Every name also fits the patterns of
the document for quantities, and a number alone fits none of them.

The table below is written by hand from the meaning of the words. Where pint's own definition is another unit than
the one meant, the pint expression says the definition instead and the reason is beside it.

Source of the comparison values: pint, https://pint.readthedocs.io (its definitions cite NIST SP 811 and Handbook 44).

Usage: check_units.py http://127.0.0.1:PORT
"""

import re
import sys
from collections.abc import Iterator
from typing import Any

import pint

from service import Service

TOLERANCE = 1e-12
FEWEST = 100

# pint expression -> every name of ours that means it.
MEANING: dict[str, list[str]] = {
    "millimeter": ["mm", "millimetre", "millimetres", "millimeter", "millimeters"],
    "centimeter": ["cm", "centimetre", "centimetres", "centimeter", "centimeters"],
    "meter": ["m", "metre", "metres", "meter", "meters"],
    "kilometer": ["km", "kilometre", "kilometres", "kilometer", "kilometers"],
    "inch": ["in", "inch", "inches", "ins", '"', "\u2033", "\u201d", "''"],
    "foot": ["ft", "foot", "feet", "'", "\u2032", "\u2019"],
    "yard": ["yd", "yds", "yard", "yards"],
    "meter ** 2": ["m2", "m^2", "sq m", "square metre", "square metres", "square meter", "square meters", "sqm"],
    "foot ** 2": ["ft2", "ft^2", "sq ft", "square foot", "square feet", "sqft"],
    "yard ** 2": ["yd2", "yd^2", "sq yd", "square yard", "square yards"],
    "hectare": ["ha", "hectare", "hectares"],
    # pint's `acre` is that of the US survey foot (4046.8726 m2), retired by NIST at the end of 2022. The acre of
    # garden practice is 4840 square international yards.
    "4840 * yard ** 2": ["acre", "acres", "ac"],
    "milliliter": ["mL", "millilitre", "millilitres", "milliliter", "milliliters"],
    "liter": ["L", "litre", "litres", "liter", "liters"],
    "meter ** 3": ["m3", "m^3", "cu m", "cubic metre", "cubic metres", "cubic meter", "cubic meters"],
    "foot ** 3": ["ft3", "ft^3", "cu ft", "cu. ft", "cu. ft.", "cf", "cubic foot", "cubic feet"],
    "yard ** 3": ["yd3", "yd^3", "cu yd", "cu. yd", "cu. yd.", "cubic yard", "cubic yards"],
    "US_liquid_gallon": ["US gal", "US gallon", "US gallons"],
    "US_liquid_quart": ["US qt", "US quart", "US quarts"],
    "US_pint": ["US pt", "US pint", "US pints"],
    "cup": ["US cup", "US cups"],
    "tablespoon": ["US tbsp", "US tablespoon", "US tablespoons"],
    "teaspoon": ["US tsp", "US teaspoon", "US teaspoons"],
    "US_fluid_ounce": ["US fl oz", "US fluid ounce", "US fluid ounces"],
    "imperial_gallon": ["imp gal", "imperial gallon", "imperial gallons", "UK gal", "UK gallon", "UK gallons"],
    "imperial_quart": ["imp qt", "imperial quart", "imperial quarts", "UK qt", "UK quart", "UK quarts"],
    "imperial_pint": ["imp pt", "imperial pint", "imperial pints", "UK pt", "UK pint", "UK pints"],
    "imperial_fluid_ounce": [
        "imp fl oz", "imperial fluid ounce", "imperial fluid ounces",
        "UK fl oz", "UK fluid ounce", "UK fluid ounces",
    ],
    "bushel": ["US bu", "US bushel", "US bushels"],
    "imperial_bushel": ["imp bu", "imperial bushel", "imperial bushels", "UK bu", "UK bushel", "UK bushels"],
    "gram": ["g", "gram", "grams", "gramme", "grammes"],
    "kilogram": ["kg", "kilogram", "kilograms", "kilogramme", "kilogrammes", "kilo", "kilos"],
    "metric_ton": ["t", "tonne", "tonnes", "metric ton", "metric tons"],
    "ounce": ["oz", "ounce", "ounces"],
    "pound": ["lb", "lbs", "pound", "pounds"],
    "short_ton": ["short ton", "short tons", "US ton", "US tons"],
    "long_ton": ["long ton", "long tons", "UK ton", "UK tons"],
    "minute": ["min", "mins", "minute", "minutes"],
    "hour": ["h", "hr", "hrs", "hour", "hours"],
    "day": ["d", "day", "days"],
    "week": ["week", "weeks", "wk", "wks"],
    "degree_Celsius": ["C", "°C", "deg C", "degrees C", "celsius", "degrees celsius"],
    "degree_Fahrenheit": ["F", "°F", "deg F", "degrees F", "fahrenheit", "degrees fahrenheit"],
    "percent": ["%", "percent", "per cent"],
    "decisiemens": ["dS", "decisiemens"],
    # A mho is a siemens.
    "millisiemens": ["mS", "millisiemens", "mmho", "mmhos"],
    "microsiemens": [
        "uS", "\u00b5S", "\u03bcS", "microsiemens",
        "umho", "umhos", "\u00b5mho", "\u00b5mhos", "\u03bcmho", "\u03bcmhos",
    ],
    # A plant or a pot is counted: it has no size, and is written only below a `/`.
    "count": ["plant", "plants", "pot", "pots"],
}  # fmt: skip
PINT_NAME = {name: expression for expression, names in MEANING.items() for name in names}

# The base units as the service writes them, where they are no unit of the list: a count has none.
BASE = {"": "count", "1": "count"}

# Zero of a scale, in its own degrees, for services that list the factor alone.
ZERO = {"C": 0.0, "F": 32.0}

registry = pint.UnitRegistry()


class Check:
    """Counts what was compared and keeps what was wrong."""

    def __init__(self) -> None:
        """Start with nothing compared."""
        self.compared = {"units": 0, "spellings": 0, "compounds": 0, "ambiguous names": 0, "patterns": 0}
        self.faults: list[str] = []

    def equal(self, kind: str, name: str, ours: float, theirs: float) -> None:
        """Compare one number."""
        self.compared[kind] += 1
        if not abs(ours - theirs) <= TOLERANCE * abs(theirs):
            self.faults.append(f"{name}: {ours!r} here, {theirs!r} by pint")

    def holds(self, kind: str, truth: bool, otherwise: str) -> None:
        """Check one statement."""
        self.compared[kind] += 1
        if not truth:
            self.faults.append(otherwise)


def expression(name: str) -> str:
    """Write a unit, or a compound such as `lb/100 ft2`, as a pint expression; KeyError for an unknown name."""
    if name in BASE:
        return BASE[name]
    if name in PINT_NAME:
        return f"({PINT_NAME[name]})"
    top, *below = name.split("/")
    parts = [f"({PINT_NAME[top]})"]
    for part in below:
        count, unit = re.fullmatch(r"(\d*) ?(.+)", part).groups()
        parts.append(f"({count or 1} * {PINT_NAME[unit]})")
    return " / ".join(parts)


def size(name: str, base_unit: str) -> float:
    """How many base units one of these is, by pint."""
    one, base = registry.parse_expression(expression(name)), registry.parse_expression(expression(base_unit))
    return (one / base).to("dimensionless").magnitude


def check_temperature(check: Check, unit: dict[str, Any], name: str, kind: str) -> None:
    """Compare two points of a scale: where water freezes at 0 C, and 100 of its own degrees."""
    zero = unit["zero"] if "zero" in unit else ZERO[unit["symbol"]]
    for point in (32.0, 100.0):
        theirs = registry.Quantity(point, PINT_NAME[name]).to("degree_Celsius").magnitude
        ours = (point - zero) * unit["factor"]
        # Near 0 C a relative difference says nothing: both are compared on the scale that starts at -100 C.
        check.equal(kind, f"{name} at {point}", ours + 100.0, theirs + 100.0)


def check_unit(check: Check, unit: dict[str, Any]) -> None:
    """Compare a unit under its symbol and under each spelling."""
    names = [("units", unit["symbol"])] + [("spellings", spelling) for spelling in unit["spellings"]]
    for kind, name in names:
        if name not in PINT_NAME:
            check.faults.append(f"{name}: not in the table of {__file__}: say there which unit it means")
        elif unit["dimension"] == "temperature":
            check_temperature(check, unit, name, kind)
        else:
            check.equal(kind, name, unit["factor"], size(name, unit.get("base_unit", "")))


def check_compound(check: Check, compound: dict[str, Any]) -> None:
    """Compare a unit made of others."""
    try:
        check.equal(
            "compounds", compound["symbol"], compound["factor"], size(compound["symbol"], compound["base_unit"])
        )
    except (KeyError, pint.DimensionalityError) as error:
        check.faults.append(f"{compound['symbol']}: {error!r}")


def check_ambiguous(check: Check, entry: dict[str, list[str]], listed: set[str]) -> None:
    """Check that an ambiguous name is no unit's own, and that what it may mean differs in size."""
    for name in entry["names"]:
        check.holds("ambiguous names", name not in listed, f"{name}: ambiguous, and yet the name of a unit")
    if "us" in entry:
        # What a request in US customary units means is US, or a short ton, which has that name.
        us = entry["us"]
        check.holds("ambiguous names", us in entry["meant"], f"{us}: not among {entry['meant']}")
        check.holds("ambiguous names", us.startswith("US ") or us == "short ton", f"{us}: not a US unit")
    for unit in entry["meant"]:
        check.holds("ambiguous names", unit in listed, f"{unit}: meant by {entry['names'][0]}, but not listed")
    sizes = {
        round(registry.parse_expression(expression(unit)).to_base_units().magnitude, 12) for unit in entry["meant"]
    }
    check.holds("ambiguous names", len(sizes) == len(entry["meant"]), f"{entry['meant']}: not all of different size")


def patterns(node: Any) -> Iterator[str]:  # noqa: ANN401 - any JSON value
    """Find the patterns of the document for texts of quantities."""
    if isinstance(node, dict):
        if str(node.get("format", "")).startswith("barrowful-") and "pattern" in node:
            yield node["pattern"]
        for inner in node.values():
            yield from patterns(inner)
    elif isinstance(node, list):
        for inner in node:
            yield from patterns(inner)


def check_patterns(check: Check, document: dict[str, Any], names: set[str]) -> None:
    """Check that the document takes every name behind a number, and no number alone."""
    for pattern in set(patterns(document)):
        for name in names:
            check.holds("patterns", bool(re.search(pattern, f"1 {name}")), f"1 {name}: does not fit {pattern}")
        for number in ("1", "-0.5", "1 1/2", "+3.0 "):
            check.holds("patterns", not re.search(pattern, number), f"{number}: fits {pattern}, and has no unit")


def main() -> int:
    """Ask the service for its units and compare them."""
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    service = Service(sys.argv[1])
    answer = service.ask("GET", "/v1/units", {"accept": "application/json"})
    if answer.status != 200:
        raise SystemExit(f"GET /v1/units: {answer.status}")
    units = answer.json()
    check = Check()
    for unit in units["units"]:
        check_unit(check, unit)
    for compound in units["compounds"]:
        check_compound(check, compound)
    listed = {name for unit in units["units"] for name in (unit["symbol"], *unit["spellings"])}
    for entry in units["ambiguous"]:
        check_ambiguous(check, entry, listed)
    compounds = {compound["symbol"] for compound in units["compounds"]}
    check_patterns(check, service.ask("GET", "/openapi.json").json(), listed | compounds)

    for fault in check.faults:
        print(f"fault: {fault}")
    total = sum(check.compared.values())
    print(f"{total} compared with pint {pint.__version__}: " + ", ".join(f"{n} {k}" for k, n in check.compared.items()))
    for kind, count in check.compared.items():
        if count == 0:
            check.faults.append(kind)
            print(f"fault: no {kind} at all")
    if total < FEWEST:
        print(f"fault: fewer than {FEWEST} compared")
        return 1
    return 1 if check.faults else 0


if __name__ == "__main__":
    sys.exit(main())

"""Checks mixes of feed against `scipy.optimize.linprog` with HiGHS, an independent solver, over HTTP.

What it proves, over random materials and goals:

- where the solver finds a mix that meets all goals, the air included, the service finds one as well, of the same least
  mass, and says of no goal that it is out of reach;
- where it finds none, the service misses as few goals as can be, of equally many it keeps the ratio before the moisture
  and that before the air, and it says which; a ratio that is missed is as near as moisture and air allow;
- a request is refused only if the pores of no mix hold the moisture: never where the solver finds a mix that meets
  moisture and air;
- the mix of the answer keeps to the goals that are not missed and to the bounds of its materials, computed here.

Cases within a millionth of the edge of what can be reached are left out, since rounding decides them.

Usage: check_mixes.py http://127.0.0.1:PORT
"""

import http
import itertools
import json
import random
import sys

import numpy as np

from mix_solver import PACKING, PARTICLES, WATER, Goals, Material, distance, driest, filled, solve
from service import Service

CASES, SEED = 900, 20270401
FEWEST = {"solved": 200, "bound by air": 40, "ratio missed": 100, "others missed": 100, "refused": 10}
"""So many cases there must be of each kind."""
LEAST_AIR = 0.2
EDGE, TOLERANCE = 1e-6, 1e-5
NOT_WORTH = 0.01
"""Of a goal out of reach, so much more distance may be taken where it saves material."""
NAMES = ("carbon_to_nitrogen", "moisture", "air_space")
BEST_FIRST = sorted(itertools.product((True, False), repeat=3), key=lambda met: (-sum(met), *(not one for one in met)))
"""Which of ratio, moisture and air are met, the best first."""

Met = tuple[bool, bool, bool]


def material(draw: random.Random, fixed: bool) -> Material:
    """Make one up that can exist: its particles and its water fill less than its volume."""
    moisture = round(draw.uniform(0.08, 0.88), 3)
    carbon = round(draw.uniform(0.30, 0.52), 3)
    nitrogen = round(carbon / draw.uniform(8, 90), 4)
    fullest = 1 / ((1 - moisture) / PARTICLES + moisture / WATER)
    density = round(draw.uniform(0.06, 0.95) * fullest, 1)
    size = draw.choice(["fine", "medium", "coarse"])
    low = float(draw.randint(2, 40)) if fixed else draw.choice([0.0, 0.0, float(draw.randint(1, 10))])
    high = low if fixed else low + draw.randint(1, 120)
    return Material(moisture, nitrogen, carbon, density, size, low, high)


def case(draw: random.Random) -> tuple[list[Material], Goals]:
    """Make a fixed material, some free ones, and goals."""
    materials = [material(draw, True)] + [material(draw, False) for _ in range(draw.randint(1, 5))]
    low = round(draw.uniform(12, 40), 2)
    ratio = (low, round(low + draw.choice([0, draw.uniform(0, 8)]), 2)) if draw.random() < 0.8 else None
    moisture = round(draw.uniform(0.4, 0.85), 3) if draw.random() < 0.7 else None
    return materials, Goals(ratio, moisture, draw.choice([LEAST_AIR, 0.3, 0.45]))


def should_meet(materials: list[Material], goals: Goals) -> Met | str | None:
    """Find the goals that should be met; nothing if the request should be refused, a word at the edge of these.

    A moisture is missed only where all that meets the rest is too wet.
    """
    asked = (goals.ratio is not None, goals.moisture is not None, True)
    for met in BEST_FIRST:
        if any(is_met and not is_asked for is_met, is_asked in zip(met, asked, strict=True)):
            continue
        kept = goals.only(met)
        if goals.moisture is not None and not met[1]:
            off = driest(materials, kept) - goals.moisture
            if abs(off) <= EDGE:
                return "at the edge"
            if off < 0:
                continue
        easier, harder = solve(materials, kept.shifted(EDGE)), solve(materials, kept.shifted(-EDGE))
        exact = met[0] and goals.ratio is not None and goals.ratio[0] == goals.ratio[1]
        if (easier is None) != ((solve(materials, kept) if exact else harder) is None):
            return "at the edge"
        if easier is not None:
            return met
    return None


def check_answer(materials: list[Material], goals: Goals, answer: dict) -> None:
    """Compute the mix from the amounts of the answer, and compare it with the goals that are met and the bounds."""
    amounts = np.array([item["mass"]["value"] for item in answer["materials"]])
    for one, amount in zip(materials, amounts, strict=True):
        assert one.low * (1 - TOLERANCE) <= amount <= one.high * (1 + TOLERANCE), (one, amount)
    contents = np.array([m.contents() for m in materials]).T @ amounts
    contents[3] += answer["water"]["extra"]["value"]
    taken = {m.size for m, amount in zip(materials, amounts, strict=True) if amount > 0}
    packing = PACKING if len(taken) > 1 else 1.0
    if goals.ratio is not None:
        ratio = contents[1] / contents[2]
        assert goals.ratio[0] * (1 - TOLERANCE) <= ratio <= goals.ratio[1] * (1 + TOLERANCE), (ratio, goals)
    if goals.moisture is not None:
        moisture = contents[3] / (contents[0] + contents[3])
        assert abs(moisture - goals.moisture) <= TOLERANCE, (moisture, goals)
    air = 1 - filled(contents) / (packing * contents[4])
    assert air >= goals.air - TOLERANCE, (air, goals)
    check_figures(answer["mix"], contents, air)


def check_figures(mix: dict, contents: np.ndarray, air: float) -> None:
    """Compare what the answer says of its mix with what its amounts come to."""
    wet = contents[3] / (contents[0] + contents[3])
    for name, wanted in [
        ("carbon_to_nitrogen", contents[1] / contents[2]),
        ("moisture", 100 * wet),
        ("air_space", 100 * air),
    ]:
        found = mix[name]["value"]
        assert abs(found - wanted) <= 100 * TOLERANCE, (name, found, wanted)


def check_least(materials: list[Material], goals: Goals, answer: dict) -> str:
    """Compare the mass of a mix that meets all goals with the least; return whether the air decides it."""
    best, without_air = solve(materials, goals), solve(materials, goals._replace(air=0.0))
    assert best is not None
    assert without_air is not None
    found, wanted = sum(item["mass"]["value"] for item in answer["materials"]), float(np.sum(best[1][:-1]))
    assert abs(found - wanted) <= TOLERANCE * wanted, (found, wanted)
    return "bound by air" if np.sum(without_air[1][:-1]) < wanted * (1 - TOLERANCE) else "solved"


def check_ratio(materials: list[Material], goals: Goals, answer: dict) -> str:
    """Compare the nearest ratio that moisture and air allow."""
    assert goals.ratio is not None
    by, nearest = answer["out_of_reach"][0]["by"]["value"], distance(materials, goals._replace(ratio=None), goals.ratio)
    assert nearest * (1 - TOLERANCE) - TOLERANCE <= by <= nearest * (1 + NOT_WORTH) + TOLERANCE, (by, nearest)
    return "ratio missed"


def check(service: Service, materials: list[Material], goals: Goals) -> str:
    """Compare one case; return what it was."""
    request = {
        "materials": [m.request() for m in materials],
        "goals": goals.request(),
        "assumptions": {"mix.packing": f"{100 * PACKING} %"},
    }
    answered = service.ask("POST", "/v1/feeds", {"content-type": "application/json"}, json.dumps(request).encode())
    met = should_meet(materials, goals)
    said = (met, json.dumps(request), answered.body[:2_000])
    if isinstance(met, str):
        return met
    if met is None:
        assert answered.status == http.HTTPStatus.UNPROCESSABLE_ENTITY, said
        assert b"impossible_value" in answered.body, said
        return "refused"
    assert answered.status == http.HTTPStatus.OK, said
    answer = answered.json()
    asked = (goals.ratio is not None, goals.moisture is not None, True)
    missed = [name for name, is_met, is_asked in zip(NAMES, met, asked, strict=True) if is_asked and not is_met]
    assert [one["goal"] for one in answer["out_of_reach"]] == missed, said
    try:
        check_answer(materials, goals.only(met), answer)
        if missed == ["carbon_to_nitrogen"]:
            return check_ratio(materials, goals, answer)
        return "others missed" if missed else check_least(materials, goals, answer)
    except AssertionError as error:
        raise AssertionError(said) from error


def main() -> int:
    """Check random cases, of which enough must be of each kind."""
    service, draw = Service(sys.argv[1]), random.Random(SEED)
    kinds: dict[str, int] = {}
    for _ in range(CASES):
        kind = check(service, *case(draw))
        kinds[kind] = kinds.get(kind, 0) + 1
    print(", ".join(f"{kind}: {count}" for kind, count in sorted(kinds.items())))
    for kind, fewest in FEWEST.items():
        assert kinds.get(kind, 0) >= fewest, (kind, kinds)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

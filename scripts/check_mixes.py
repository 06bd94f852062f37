"""Checks mixes of feed against `scipy.optimize.linprog` with HiGHS, an independent solver, over HTTP.

What it proves, over random materials and goals:

- where the solver finds a mix that meets all goals, the air included, the service finds one as well, of the same least
  mass, and says of no goal that it is out of reach;
- where the solver finds none, the service says which goal is out of reach; if that is the ratio of carbon to nitrogen,
  the nearest ratio is that of a linear fractional programme (Charnes & Cooper 1962);
- the mix of the answer keeps to the goals and to the bounds of its materials, computed here from its amounts.

The air depends on how the pieces pack, which is not linear: materials of one size keep their volume, others fill
`mix.packing` of it. So two programmes are solved, one for a mix of any sizes and one for the size of the fixed material
alone, and the smaller mix counts. Cases within a millionth of the edge of what can be reached are left out, since
rounding decides them.

Source of the comparison: scipy, https://docs.scipy.org/doc/scipy/reference/optimize.linprog-highs.html

Usage: check_mixes.py http://127.0.0.1:PORT
"""

import http
import json
import random
import sys
from typing import NamedTuple

import numpy as np
from scipy.optimize import linprog

from service import Service

CASES, SEED = 600, 20270401
FEWEST_SOLVED, FEWEST_MISSED, FEWEST_BOUND_BY_AIR = 150, 200, 40
PARTICLES, WATER = 1_500.0, 1_000.0
"""Density of dry particles and of water, kg/m3."""
PACKING, LEAST_AIR = 0.9, 0.2
EDGE, TOLERANCE = 1e-6, 1e-5
NOT_WORTH = 0.01
"""Of a ratio out of reach, so much more distance may be taken where it saves material."""


class Material(NamedTuple):
    """What a kilogram brings, and how much there may be."""

    moisture: float
    nitrogen: float
    """Share of the dry matter, as carbon."""
    carbon: float
    density: float
    """As it lies, kg/m3."""
    size: str
    low: float
    high: float

    def contents(self) -> np.ndarray:
        """Dry matter, carbon, nitrogen, water (kg) and volume (m3) of a kilogram."""
        dry = 1 - self.moisture
        return np.array([dry, dry * self.carbon, dry * self.nitrogen, self.moisture, 1 / self.density])

    def request(self) -> dict:
        """Write it for the service."""
        amounts = (
            {"amount": f"{self.low} kg"}
            if self.low == self.high
            else {"at_least": f"{self.low} kg", "at_most": f"{self.high} kg"}
        )
        return amounts | {
            "moisture": f"{100 * self.moisture:.9g} %",
            "nitrogen": f"{100 * self.nitrogen:.9g} %",
            "carbon": f"{100 * self.carbon:.9g} %",
            "bulk_density": f"{self.density} kg/m3",
            "size": self.size,
        }


class Goals(NamedTuple):
    """What the mix is to be like; no range or moisture where none is asked for."""

    ratio: tuple[float, float] | None
    moisture: float | None
    air: float

    def request(self) -> dict:
        """Write them for the service."""
        goals: dict = {"air_space": f"{100 * self.air:.9g} %"}
        if self.ratio is not None:
            goals["carbon_to_nitrogen"] = {"low": self.ratio[0], "high": self.ratio[1]}
        if self.moisture is not None:
            goals["moisture"] = f"{100 * self.moisture:.9g} %"
        return goals

    def shifted(self, by: float) -> "Goals":
        """Make them easier by this share, or harder where it is negative."""
        ratio = self.ratio and (self.ratio[0] * (1 - by), self.ratio[1] * (1 + by))
        return Goals(ratio, self.moisture, self.air * (1 - by))


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
    moisture = round(draw.uniform(0.4, 0.8), 3) if draw.random() < 0.7 else None
    return materials, Goals(ratio, moisture, draw.choice([LEAST_AIR, 0.3, 0.45]))


def filled(contents: np.ndarray) -> float:
    """Tell what solids and water fill, m3."""
    return contents[0] / PARTICLES + contents[3] / WATER


def rows(contents: np.ndarray, goals: Goals, packing: float) -> tuple[np.ndarray, np.ndarray | None]:
    """Write goals as rows that may not be above zero, and one that is zero; the last column is water."""
    dry, carbon, nitrogen, water, volume = contents
    below = []
    if goals.ratio is not None:
        below += [carbon - goals.ratio[1] * nitrogen, goals.ratio[0] * nitrogen - carbon]
    below.append(dry / PARTICLES + water / WATER - (1 - goals.air) * packing * volume)
    wet = None if goals.moisture is None else water - goals.moisture * (dry + water)
    return np.array(below), wet


def solve(materials: list[Material], goals: Goals) -> tuple[float, np.ndarray] | None:
    """Find the least mass of materials that meets the goals, and the amounts; nothing if none does."""
    columns = np.array([m.contents() for m in materials] + [[0, 0, 0, 1, 0]]).T
    one_size = [materials[0].size == m.size for m in materials]
    kept = [m.size for m in materials if m.low > 0]
    ways = [PACKING if not all(one_size) else 1.0]
    if len(set(kept)) == 1:
        ways.append(1.0)
    best = None
    for number, packing in enumerate(ways):
        below, wet = rows(columns, goals, packing)
        alone = number == 1
        bounds = [(m.low, m.high if same or not alone else m.low) for m, same in zip(materials, one_size, strict=True)]
        bounds.append((0, None) if goals.moisture is not None else (0, 0))
        # What the air row says is small beside the others.
        scale = np.abs(below).max(axis=1, keepdims=True)
        found = linprog(
            [1.0 + 1e-6 * place for place in range(len(materials))] + [0.0],
            A_ub=below / scale,
            b_ub=np.zeros(len(below)),
            A_eq=None if wet is None else wet.reshape(1, -1),
            b_eq=None if wet is None else [0.0],
            bounds=bounds,
            method="highs",
        )
        if found.status == 0 and (best is None or found.fun < best[0]):
            best = (found.fun, found.x)
    return best


def ratios(materials: list[Material]) -> tuple[float, float]:
    """Find the lowest and the highest ratio that any mix has, scaled to one kilogram of nitrogen."""
    columns = np.array([m.contents() for m in materials]).T
    limits = []
    for place, one in enumerate(materials):
        for bound, sign in ((one.high, 1.0), (one.low, -1.0)):
            row = np.zeros(len(materials) + 1)
            row[place], row[-1] = sign, -sign * bound
            limits.append(row)
    ends = []
    for sign in (1.0, -1.0):
        found = linprog(
            np.append(sign * columns[1], 0.0),
            A_ub=np.array(limits),
            b_ub=np.zeros(len(limits)),
            A_eq=np.append(columns[2], 0.0).reshape(1, -1),
            b_eq=[1.0],
            method="highs",
        )
        assert found.status == 0, found.message
        ends.append(sign * found.fun)
    return ends[0], ends[1]


def check_answer(materials: list[Material], goals: Goals, answer: dict) -> None:
    """Compute the mix from the amounts of the answer, and compare it with the goals and bounds."""
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


def check(service: Service, materials: list[Material], goals: Goals) -> str:
    """Compare one case; return what it was."""
    request = {
        "materials": [m.request() for m in materials],
        "goals": goals.request(),
        "assumptions": {"mix.packing": f"{100 * PACKING} %"},
    }
    easier, harder = solve(materials, goals.shifted(EDGE)), solve(materials, goals.shifted(-EDGE))
    answered = service.ask("POST", "/v1/feeds", {"content-type": "application/json"}, json.dumps(request).encode())
    said = (json.dumps(request), answered.body[:2_000])
    if (easier is None) != (harder is None) and (goals.ratio is None or goals.ratio[0] < goals.ratio[1]):
        return "at the edge"
    best = solve(materials, goals)
    if best is None:
        if answered.status == http.HTTPStatus.OK:
            missed = answered.json()["out_of_reach"]
            assert missed, said
            check_ratio(materials, goals, missed, said)
        else:
            assert b"impossible_value" in answered.body, said
        return "out of reach"
    assert answered.status == http.HTTPStatus.OK, ("refused", best, said)
    answer = answered.json()
    assert not answer["out_of_reach"], ("out of reach", best, said)
    check_answer(materials, goals, answer)
    found, wanted = sum(item["mass"]["value"] for item in answer["materials"]), float(np.sum(best[1][:-1]))
    assert abs(found - wanted) <= TOLERANCE * wanted, (found, wanted, said)
    without_air = solve(materials, goals._replace(air=0.0))
    assert without_air is not None, said
    return "solved, bound by air" if np.sum(without_air[1][:-1]) < wanted * (1 - TOLERANCE) else "solved"


def check_ratio(materials: list[Material], goals: Goals, missed: list, said: tuple) -> None:
    """Compare the nearest ratio, where the ratio is out of reach."""
    low, high = ratios(materials)
    is_missed = goals.ratio is not None and (goals.ratio[1] < low * (1 - EDGE) or goals.ratio[0] > high * (1 + EDGE))
    about = [one for one in missed if one["goal"] == "carbon_to_nitrogen"]
    assert bool(about) == is_missed, (low, high, said)
    if about and goals.ratio is not None:
        nearest, by = (low, low - goals.ratio[1]) if goals.ratio[1] < low else (high, goals.ratio[0] - high)
        assert abs(about[0]["nearest"]["value"] - nearest) <= NOT_WORTH * by + TOLERANCE * nearest, (nearest, said)


def main() -> int:
    """Check random cases, of which enough must be of each kind."""
    service, draw = Service(sys.argv[1]), random.Random(SEED)
    kinds: dict[str, int] = {}
    for _ in range(CASES):
        kind = check(service, *case(draw))
        kinds[kind] = kinds.get(kind, 0) + 1
    print(", ".join(f"{kind}: {count}" for kind, count in sorted(kinds.items())))
    assert kinds.get("solved", 0) >= FEWEST_SOLVED
    assert kinds.get("out of reach", 0) >= FEWEST_MISSED
    assert kinds.get("solved, bound by air", 0) >= FEWEST_BOUND_BY_AIR
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

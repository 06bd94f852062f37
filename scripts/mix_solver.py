"""Mixes of feed by `scipy.optimize.linprog` with HiGHS: which goals can be met together, how near the others can come.

The air depends on how the pieces pack, which is not linear: materials of one size keep their volume, others fill
`mix.packing` of it. So two programmes are solved, one for a mix of any sizes and one for the size of the materials that
are in it in any case, and the better mix counts.

Source of the comparison: scipy, https://docs.scipy.org/doc/scipy/reference/optimize.linprog-highs.html
"""

from typing import NamedTuple

import numpy as np
from scipy.optimize import linprog

PARTICLES, WATER = 1_500.0, 1_000.0
"""Density of dry particles and of water, kg/m3."""
PACKING = 0.9
ADDED = np.array([0.0, 0.0, 0.0, 1.0, 0.0])
"""A kilogram of extra water."""


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
        return Goals(ratio, self.moisture, self.air - by)

    def only(self, met: tuple[bool, bool, bool]) -> "Goals":
        """Keep these of ratio, moisture and air; in place of the air at least that the pores hold the water."""
        ratio, moisture, air = met
        return Goals(self.ratio if ratio else None, self.moisture if moisture else None, self.air if air else 0.0)


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
    # What the air row says is small beside the others.
    scale = np.abs(below).max(axis=1, keepdims=True)
    return np.array(below) / scale, wet


class Way(NamedTuple):
    """A way in which a mix may pack: how closely, and how much there may be of each material."""

    packing: float
    low: list[float]
    high: list[float]


def ways(materials: list[Material]) -> list[Way]:
    """All sizes together, and the size of what is in the mix in any case."""
    low, kept = [m.low for m in materials], {m.size for m in materials if m.low > 0}
    found = [Way(PACKING if len({m.size for m in materials}) > 1 else 1.0, low, [m.high for m in materials])]
    if len(kept) == 1:
        found.append(Way(1.0, low, [m.high if m.size in kept else m.low for m in materials]))
    return found


def solve(materials: list[Material], goals: Goals) -> tuple[float, np.ndarray] | None:
    """Find the least mass of materials that meets the goals, and the amounts; nothing if none does."""
    columns = np.array([m.contents() for m in materials] + [ADDED]).T
    best = None
    for way in ways(materials):
        below, wet = rows(columns, goals, way.packing)
        water = (0, None) if goals.moisture is not None else (0, 0)
        found = linprog(
            [1.0 + 1e-6 * place for place in range(len(materials))] + [0.0],
            A_ub=below,
            b_ub=np.zeros(len(below)),
            A_eq=None if wet is None else wet.reshape(1, -1),
            b_eq=None if wet is None else [0.0],
            bounds=[*zip(way.low, way.high, strict=True), water],
            method="highs",
        )
        if found.status == 0 and (best is None or found.fun < best[0]):
            best = (found.fun, found.x)
    return best


def least_quotient(materials: list[Material], goals: Goals, above: np.ndarray, below: np.ndarray) -> float:
    """Find the least quotient of two sums over the contents, among the mixes that meet the goals; infinity if none.

    A linear fractional programme, scaled so that the lower sum is one (Charnes & Cooper 1962).
    """
    columns = np.array([m.contents() for m in materials] + [ADDED, np.zeros(5)]).T
    ends = []
    for way in ways(materials):
        limits = []
        for place, (low, high) in enumerate(zip(way.low, way.high, strict=True)):
            for bound, sign in ((high, 1.0), (low, -1.0)):
                row = np.zeros(len(materials) + 2)
                row[place], row[-1] = sign, -sign * bound
                limits.append(row)
        of_goals, wet = rows(columns, goals, way.packing)
        equal = [below @ columns] + ([] if wet is None else [wet])
        found = linprog(
            above @ columns,
            A_ub=np.vstack([np.array(limits), of_goals]),
            b_ub=np.zeros(len(limits) + len(of_goals)),
            A_eq=np.array(equal),
            b_eq=[1.0] + [0.0] * (len(equal) - 1),
            bounds=[(0, None)] * len(materials) + [(0, None if goals.moisture is not None else 0), (0, None)],
            method="highs",
        )
        if found.status == 0:
            ends.append(found.fun)
    return min(ends, default=float("inf"))


def driest(materials: list[Material], goals: Goals) -> float:
    """Find the least moisture of a mix without extra water."""
    return least_quotient(materials, goals, np.array([0, 0, 0, 1.0, 0]), np.array([1.0, 0, 0, 1.0, 0]))


def distance(materials: list[Material], goals: Goals, wanted: tuple[float, float]) -> float:
    """Find how far the nearest ratio is from what is wanted, among the mixes that meet the goals."""
    carbon, nitrogen = np.array([0, 1.0, 0, 0, 0]), np.array([0, 0, 1.0, 0, 0])
    low, high = (least_quotient(materials, goals, sign * carbon, nitrogen) for sign in (1.0, -1.0))
    return max(low - wanted[1], wanted[0] + high, 0.0)

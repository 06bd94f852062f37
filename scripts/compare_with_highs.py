"""How much quicker a balance is than one linear programme for it, side by side in one run.

The same 1,000 demands over 100 lots are sent to the service as a balance, HTTP and JSON included, and given to HiGHS
(an independent solver, `highspy` from PyPI) as one programme: amounts for each lot that may serve a demand, none beyond
lot or demand, weighted by priority. The programme finds how much each priority gets, not who gets it: fair shares take
several programmes. So what HiGHS takes here is a lower bound of what a solver would take.

Prints the ratios of the medians, each measured in turn: of CPU time, which holds also on a busy machine, and
of time by the clock. Fails if the two do not give the same to each priority.

Usage: compare_with_highs.py PROGRAM
"""

import http
import json
import random
import signal
import statistics
import sys
import time
from datetime import date, timedelta
from typing import NamedTuple

import highspy
import numpy as np

from instances import Instance
from service import Service

LOTS, DEMANDS, PRIORITIES, ROUNDS = 100, 1_000, 3, 7
FIRST_DAY = date(2027, 1, 1)


class Times(NamedTuple):
    """Seconds of CPU time, and by the clock."""

    cpu: float
    clock: float


def balance() -> tuple[list, list]:
    """Make lots (mL, first day, last day) and demands (the same, and priority); more is needed than there is."""
    draw = random.Random(7)
    lots = []
    for _ in range(LOTS):
        first = draw.randrange(250)
        lots.append((draw.randint(20_000, 220_000), first, first + draw.choice([draw.randint(10, 70), 1_000])))
    demands = []
    for _ in range(DEMANDS):
        first = draw.randrange(300)
        last = first + draw.randrange(30)
        demands.append((draw.randint(1_000, 30_000), first, last, draw.randint(1, PRIORITIES)))
    return lots, demands


def body(lots: list, demands: list) -> bytes:
    """Write them as a request."""

    def day(days: int) -> str:
        return str(FIRST_DAY + timedelta(days=days))

    stock = [{"amount": f"{ml} mL", "ready_on": day(first), "use_by": day(last)} for ml, first, last in lots]
    asked = [
        {"amount": f"{ml} mL", "earliest": day(first), "latest": day(last), "priority": priority}
        for ml, first, last, priority in demands
    ]
    return json.dumps({"stock": stock, "demands": asked}).encode()


def programme(lots: list, demands: list) -> tuple[highspy.HighsLp, list[int]]:
    """Write them as one linear programme, with the demand of each of its columns."""
    pairs = [
        (lot, demand)
        for demand, (_, first, last, _) in enumerate(demands)
        for lot, (_, ready, use_by) in enumerate(lots)
        if first <= use_by and ready <= last
    ]
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(pairs), LOTS + DEMANDS
    lp.sense_ = highspy.ObjSense.kMaximize
    lp.col_cost_ = np.array([float(PRIORITIES + 1 - demands[demand][3]) for _, demand in pairs])
    lp.col_lower_, lp.col_upper_ = np.zeros(len(pairs)), np.full(len(pairs), highspy.kHighsInf)
    lp.row_lower_ = np.full(lp.num_row_, -highspy.kHighsInf)
    lp.row_upper_ = np.array([float(lot[0]) for lot in lots] + [float(demand[0]) for demand in demands])
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = np.arange(0, 2 * len(pairs) + 1, 2)
    lp.a_matrix_.index_ = np.array([row for lot, demand in pairs for row in (lot, LOTS + demand)])
    lp.a_matrix_.value_ = np.ones(2 * len(pairs))
    return lp, [demand for _, demand in pairs]


def by_priority(demands: list, given: list[float]) -> list[float]:
    """Sum up what each priority gets."""
    sums = [0.0] * PRIORITIES
    for (_, _, _, priority), amount in zip(demands, given, strict=True):
        sums[priority - 1] += amount
    return sums


def solve(lp: highspy.HighsLp, columns: list[int]) -> tuple[Times, list[float]]:
    """Solve the programme; return the times of solving alone, and what each demand gets."""
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("threads", 1)
    solver.passModel(lp)
    begin = Times(time.process_time(), time.perf_counter())
    solver.run()
    times = Times(time.process_time() - begin.cpu, time.perf_counter() - begin.clock)
    assert solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    given = [0.0] * DEMANDS
    for demand, amount in zip(columns, solver.getSolution().col_value, strict=True):
        given[demand] += amount
    return times, given


def ask(instance: Instance, service: Service, request: bytes) -> tuple[Times, list[float]]:
    """Ask the service; return the times until all of the answer was there, and what each demand gets."""
    # The connection may have been idle for too long: it is open after this.
    service.ask("GET", "/health/live")
    begin = Times(instance.cpu(), time.perf_counter())
    answer = service.ask("POST", "/v1/balances", {"content-type": "application/json"}, request)
    times = Times(instance.cpu() - begin.cpu, time.perf_counter() - begin.clock)
    assert answer.status == http.HTTPStatus.OK, answer.body[:300]
    return times, [1_000 * demand["allocated"]["value"] for demand in answer.json()["demands"]]


def main() -> int:
    """Measure both in turn."""
    lots, demands = balance()
    request, (lp, columns) = body(lots, demands), programme(lots, demands)
    instance = Instance(sys.argv[1])
    try:
        service = Service(f"http://127.0.0.1:{instance.port}")
        ask(instance, service, request)
        rounds = [(ask(instance, service, request), solve(lp, columns)) for _ in range(ROUNDS)]
    finally:
        instance.end(signal.SIGTERM)
    for (_, ours), (_, theirs) in rounds:
        for one, other in zip(by_priority(demands, ours), by_priority(demands, theirs), strict=True):
            assert abs(one - other) < 1, (one, other)
    print(f"{DEMANDS} demands, {LOTS} lots, {len(columns)} pairs; both give the same to each priority")
    for kind in range(len(Times._fields)):
        ours, theirs = (1e3 * statistics.median(each[side][0][kind] for each in rounds) for side in (0, 1))
        print(f"{Times._fields[kind]}: service {ours:.1f} ms, HiGHS {theirs:.0f} ms, {theirs / ours:.0f} times as much")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

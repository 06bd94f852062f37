"""Search for small requests that cost a service on this machine much CPU time or memory.

Hill climbing from every request in demo-data and from known costly ones: a request is changed at random (numbers and
dates moved, items repeated, parts exchanged for parts of other requests), and kept where the change costs more. The
cost is what the kernel accounts to the process of the service: CPU time of its threads, and the highest resident
memory. Questions and the forms of their answers are those of the document; every question is asked in every form.
Prints the costliest request of each question and form, and fails where one is above a bound.

Usage: search_costs.py PROGRAM [--seconds N] [--seed N] [--cpu SECONDS] [--memory MB] [--keep FOLDER]
"""

import argparse
import copy
import json
import os
import random
import re
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from service import Service

DEMO = Path(__file__).resolve().parent.parent / "demo-data"
DOCUMENT = Path(__file__).resolve().parent.parent / "openapi" / "openapi.json"
DEADLINE = 100
"""Seconds that the service computes at most, far above the bound, so that what costs too much shows."""
LARGEST = 8192
"""Bytes of a small request."""
STALE = 150
"""So many changes without a costlier request, then the climb begins anew."""
DATE = re.compile(r"^\d{4}-\d\d-\d\d")
AMOUNT = re.compile(r"^([0-9.]+)(.*)$", re.DOTALL)

Json = Any


def questions() -> dict[str, list[str]]:
    """Every question that is asked with JSON, and the forms of its answer."""
    found = {}
    for path, operations in json.loads(DOCUMENT.read_text())["paths"].items():
        parts = path.strip("/").split("/")
        body = operations.get("post", {}).get("requestBody", {}).get("content", {})
        if len(parts) == 2 and "application/json" in body:
            found[parts[1]] = sorted(operations["post"]["responses"]["200"]["content"])
    return found


FORMS = questions()


class Process:
    """A service of its own, whose CPU time and memory are read."""

    def __init__(self, program: str) -> None:
        """Start it on a free port."""
        self._run = subprocess.Popen(
            [program, "serve", "--bind", "127.0.0.1:0", "--workers", "1", "--deadline", str(DEADLINE)],
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self._run.stderr is not None
        self.service = Service(self._run.stderr.readline().split()[-1])
        self._folder = Path(f"/proc/{self._run.pid}")
        self.idle = self.memory()

    def stop(self) -> None:
        """End it."""
        self._run.terminate()
        self._run.wait(30)

    def cpu(self) -> tuple[float, float]:
        """CPU seconds so far: finely those of the threads there are, coarsely of all that there were."""
        fine = 0
        for thread in (self._folder / "task").iterdir():
            try:
                fine += int((thread / "schedstat").read_text().split()[0])
            except FileNotFoundError:  # it ended meanwhile
                continue
        user, system = (self._folder / "stat").read_text().rsplit(")", 1)[1].split()[11:13]
        return fine / 1e9, (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")

    def memory(self) -> float:
        """Highest resident memory so far, MB."""
        status = (self._folder / "status").read_text()
        return int(status.split("VmHWM:")[1].split()[0]) / 1000

    def cost(self, question: str, form: str, body: bytes) -> tuple[float, float, int]:
        """CPU seconds and highest memory of one request, and its status."""
        before = self.cpu()
        headers = {"content-type": "application/json", "accept": form}
        answer = self.service.ask("POST", f"/v1/{question}", headers, body)
        fine, coarse = (now - then for now, then in zip(self.cpu(), before, strict=True))
        # A thread that ended meanwhile is in the coarse figure only, which counts in hundredths of a second.
        return max(fine, coarse - 2 / os.sysconf("SC_CLK_TCK")), self.memory(), answer.status


def parts(value: Json, path: tuple = ()) -> Iterator[tuple[tuple, Json]]:
    """Go through every part of a request with its path."""
    yield path, value
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from parts(inner, (*path, key))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield from parts(inner, (*path, place))


def place(path: tuple) -> str:
    """Where parts are that may take each other's place: the last two names."""
    return "/".join("[]" if isinstance(key, int) else key for key in path[-3:])


def put(root: Json, path: tuple, value: Json) -> None:
    """Set a part."""
    for key in path[:-1]:
        root = root[key]
    root[path[-1]] = value


class Corpus:
    """All requests there are to begin with, and their parts by where they are."""

    def __init__(self) -> None:
        """Read them."""
        self.requests: dict[str, list[Json]] = {q: [] for q in FORMS}
        self.parts: dict[str, list[Json]] = defaultdict(list)
        self.fields: dict[str, dict[str, list[Json]]] = defaultdict(lambda: defaultdict(list))
        for question in FORMS:
            for file in sorted((DEMO / question).glob("*.json")):
                self.add(question, json.loads(file.read_text()))
            for request in known_costly(question):
                self.add(question, request)

    def add(self, question: str, request: Json) -> None:
        """Take a request in, with its parts."""
        request.pop("id", None)
        self.requests[question].append(request)
        for path, value in parts(request):
            self.parts[place(path)].append(value)
            if isinstance(value, dict):
                for key, inner in value.items():
                    self.fields[place(path)][key].append(inner)


def known_costly(question: str) -> list[Json]:
    """Return requests that once cost much, by the numbers that multiply in them."""
    brew = {
        "water": "1000 L",
        "castings_to_water": "1:10",
        "brewer": {"capacity": "1 L"},
        "use_at": "2027-06-12T19:00:00+02:00",
    }
    if question in ("balances", "seasons"):
        dated = [{"amount": f"{20 + i} L", "ready_on": f"2027-05-{i + 1:02}"} for i in range(10)]
        leasts = [{"amount": "9 L", "minimum": "5 L", "priority": 1 + i % 3} for i in range(60)]
        large = brew | {"water": "318000 L", "castings_to_water": "1:1", "brewer": {"capacity": "318.5 L"}}
        portions = [{"brew": large, "whole_portions": True}] * 10
        again = {"brew": brew | {"water": "200 L"}, "repeat": {"every": "2 d", "times": 29}}
        # Each batch of a season is two of its tasks, of which there is a limit.
        teas = [{"brew": brew}] * (5 if question == "seasons" else 10)
        priorities = [{"amount": "1 L", "on": f"2027-05-{1 + i % 28:02}", "priority": 1 + i} for i in range(99)]
        requests = [
            {"stock": dated, "demands": teas[:5] + leasts[:20]},
            {"stock": dated, "demands": teas},
            {"stock": [{"amount": "1 L"}] * 318, "demands": portions},
            {"stock": dated, "demands": priorities},
            {"stock": [{"amount": "2000 L"}], "demands": [again]},
        ]
        more = {"until": "2031-12-31", "simulation_runs": 0} if question == "seasons" else {}
        requests = [request | more for request in requests]
        if question == "seasons":
            requests.extend([thin_layers(36), thin_layers(2) | {"explain": True}, small_lots(95)])
            mix = {"materials": [{"material": "leaves_loose"}] * 10, "supply": {"kind": "as_needed"}}
            layers = thin_layers(36) | {"feed_supply": mix, "containers": containers()[:5]}
            requests.append(layers | {"demands": [{"brew": brew | {"water": "900 L"}}]})
        return copy.deepcopy(requests)
    if question == "brews":
        named = brew | {"name": "n" * 100, "dilution": "1:3"}
        return [{"brews": [brew]}, {"brews": [named] * 10, "containers": containers()}]
    return []


def thin_layers(beds: int) -> Json:
    """Return a season of beds that lay very many layers, over ten years."""
    bed = {"ground": {"kind": "area", "area": "4 m2"}, "layers_per_cycle": 1, "start_on": "2027-01-01"}
    feed = {"moisture": "75 %", "ash": "15 %", "supply": {"kind": "as_needed"}}
    return {
        "climate": {"unit": "C", "fixed": 20},
        "feed_supply": feed,
        "assumptions": {"bed.layer": "2.2 mm"},
        "until": "2036-12-31",
        "simulation_runs": 0,
        "worm_beds": [bed] * beds,
        "demands": [{"amount": "9 L"}],
    }


def containers() -> Json:
    """Return as many containers as there may be: every amount is counted in each."""
    return [{"name": f"{'c' * 30}{chr(ord('a') + place)}", "capacity": f"{place + 1.3:.1f} L"} for place in range(20)]


def small_lots(lots: int) -> Json:
    """Return a season of lots that are too small, each by itself, for demands that want all or nothing."""
    days = (date(2027, 5, 1) + timedelta(days=place) for place in range(lots))
    return {
        "until": "2027-12-31",
        "stock": [{"amount": "50 mL", "ready_on": day.isoformat()} for day in days],
        "demands": [{"amount": "9 L", "minimum": "9 L"}] * 100,
    }


def changed(request: Json, corpus: Corpus, chance: random.Random) -> Json:
    """Return a copy with one to four changes."""
    request = copy.deepcopy(request)
    for _ in range(chance.choice((1, 1, 2, 4))):
        everything = list(parts(request))
        path, value = chance.choice(everything)
        if not path:
            continue
        kind = chance.random()
        if isinstance(value, list) and value and kind < 0.7:
            grow(value, chance)
        elif kind < 0.2 and corpus.parts[place(path)]:
            put(request, path, copy.deepcopy(chance.choice(corpus.parts[place(path)])))
        elif isinstance(value, dict) and corpus.fields[place(path)] and kind < 0.5:
            field = chance.choice(list(corpus.fields[place(path)]))
            value[field] = copy.deepcopy(chance.choice(corpus.fields[place(path)][field]))
        elif isinstance(path[-1], str) and kind < 0.3:
            above = request
            for key in path[:-1]:
                above = above[key]
            above.pop(path[-1], None)
        else:
            put(request, path, moved(value, chance))
    for path, value in list(parts(request)):
        if isinstance(value, dict) and path:
            value.pop("id", None)
    if chance.random() < 0.2:
        root_fields = corpus.fields[""]
        field = chance.choice(list(root_fields))
        request[field] = copy.deepcopy(chance.choice(root_fields[field]))
    return request


def grow(items: list, chance: random.Random) -> None:
    """Repeat items of a list, or drop some."""
    if chance.random() < 0.2 and len(items) > 1:
        del items[chance.randrange(len(items))]
        return
    item = chance.choice(items)
    for _ in range(chance.choice((1, 2, 5, 20, len(items)))):
        twin = copy.deepcopy(item)
        if chance.random() < 0.5:
            for path, value in list(parts(twin)):
                if path and not isinstance(value, (dict, list)) and chance.random() < 0.2:
                    put(twin, path, moved(value, chance))
        items.append(twin)


def moved(value: Json, chance: random.Random) -> Json:
    """Another value of the same kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return max(0, chance.choice((value * 10, value * 2, value // 2, value + 1, value - 1, 100, 1000, 2000, 1)))
    if isinstance(value, float):
        return value * chance.choice((0.01, 0.1, 0.5, 0.9, 1.1, 2, 10, 100))
    if isinstance(value, str) and DATE.match(value):
        try:
            day = date.fromisoformat(value[:10]) + timedelta(
                days=chance.choice((-700, -90, -7, -1, 1, 7, 90, 700, 3000))
            )
        except (ValueError, OverflowError):
            return value
        return day.isoformat() + value[10:]
    if isinstance(value, str) and (found := AMOUNT.match(value)):
        try:
            number = float(found[1]) * chance.choice((0.001, 0.1, 0.5, 0.9, 1.1, 2, 10, 1000))
        except ValueError:
            return value
        return f"{number:.6g}{found[2]}" if 1e-4 < number < 1e7 else value
    return value


class Search:
    """Climbs for one question after the other, until the time is up."""

    def __init__(self, program: str, seed: int) -> None:
        """Start the first service."""
        self.program, self.chance, self.corpus = program, random.Random(seed), Corpus()
        self.process = Process(program)
        self.worst: dict[tuple[str, str, str], tuple[float, bytes]] = {}
        self.reached: set[tuple[str, str]] = set()
        self.count: dict[str, int] = defaultdict(int)
        self.answered: dict[str, int] = defaultdict(int)

    def cost(self, question: str, form: str, request: Json) -> tuple[float, int] | None:
        """Return the cost of a request as one number, and its status; nothing if it is too long."""
        body = json.dumps(request, separators=(",", ":")).encode()
        if len(body) > LARGEST:
            return None
        cpu, memory, status = self.process.cost(question, form, body)
        self.count[question] += 1
        self.answered[question] += status == 200
        if status == 200:
            self.reached.add((question, form))
        if status >= 500:
            raise SystemExit(f"{question}: {status}\n{body.decode()}")
        grown = memory - self.process.idle
        if grown > 24 and cpu < 1:
            # What earlier requests left behind is no cost of this one: measure it alone.
            self.process.stop()
            self.process = Process(self.program)
            cpu, memory, _ = self.process.cost(question, form, body)
            grown = memory - self.process.idle
        for what, amount in (("cpu", cpu), ("memory", grown)):
            if amount > self.worst.get((question, form, what), (-1.0, b""))[0]:
                self.worst[question, form, what] = (amount, body)
        return max(cpu, grown / 64), status

    def begin(self) -> None:
        """Ask everything there is in every form."""
        for question, forms in FORMS.items():
            for request in self.corpus.requests[question]:
                for form in forms:
                    self.cost(question, form, request)
            for request in known_costly(question):
                self.check_reach(question, json.dumps(request).encode())
        every = {(question, form) for question, forms in FORMS.items() for form in forms}
        unanswered = [f"{question} as {form}" for question, form in sorted(every - self.reached)]
        if unanswered:
            raise SystemExit(f"no request of demo-data is answered: {', '.join(unanswered)}")

    def check_reach(self, question: str, body: bytes) -> None:
        """End where a request that once cost much is answered no more: it would check nothing."""
        answer = self.process.service.ask("POST", f"/v1/{question}", {"content-type": "application/json"}, body)
        if answer.status != 200:
            raise SystemExit(f"{question}: once costly, now refused\n{body.decode()}\n{answer.body.decode()}")

    def climb(self, question: str, until: float) -> None:
        """One climb: from a request of the corpus, as long as changes cost more."""
        best = copy.deepcopy(self.chance.choice(self.corpus.requests[question]))
        form = self.chance.choice(FORMS[question])
        found = self.cost(question, form, best)
        height, stale = (found[0] if found else 0.0), 0
        while stale < STALE and time.monotonic() < until:
            other = changed(best, self.corpus, self.chance)
            other_form = self.chance.choice(FORMS[question]) if self.chance.random() < 0.1 else form
            found = self.cost(question, other_form, other)
            stale += 1
            if found and found[0] > height * 1.02:
                best, form, height, stale = other, other_form, found[0], 0

    def run(self, seconds: float) -> None:
        """Climb for every question in turn."""
        self.begin()
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            for question in FORMS:
                self.climb(question, min(until, time.monotonic() + max(5.0, seconds / 40)))
        self.process.stop()


def main() -> None:
    """Search, print, and fail above a bound."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("program")
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--cpu", type=float, default=2.0)
    parser.add_argument("--memory", type=float, default=128.0)
    parser.add_argument("--keep", type=Path)
    asked = parser.parse_args()
    search = Search(asked.program, asked.seed)
    search.run(asked.seconds)
    above = False
    for (question, form, what), (amount, body) in sorted(search.worst.items()):
        bound = asked.cpu if what == "cpu" else asked.memory
        above |= amount > bound
        asked_of = f"{search.answered[question]} of {search.count[question]} answered"
        print(f"{question:13} {what:6} {amount:9.3f} of {bound:g}  {form}, {len(body)} bytes; {asked_of}")
        if asked.keep:
            asked.keep.mkdir(parents=True, exist_ok=True)
            (asked.keep / f"{question}-{form.replace('/', '-')}-{what}.json").write_bytes(body)
    print(f"{sum(search.count.values())} requests, seed {asked.seed}")
    if above:
        sys.exit("a small request costs more than it may")


if __name__ == "__main__":
    main()

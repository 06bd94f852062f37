"""Check the calendars of the service with a parser that shares no code with it.

Source: `icalendar` from PyPI, an independent reader of RFC 5545. Proves that each calendar can be read, that every
event has an id of its own, a time stamp, a beginning before its end and a title, that dates and names are those of the
JSON answer to the same request, that calendars have a name and say when to read them again, that reminders come before
their events end, and that the same request gives the same bytes. Of a season also: that every event lasts whole days
and leaves them free, carries the revision, and keeps its id when dates change; that watering repeats week by week
within its days; that titles tell amounts.

Usage: check_calendars.py URL
"""

import json
import re
import sys
from datetime import date, timedelta
from pathlib import Path

from icalendar import Calendar, Event, vText

from service import Service

DEMO = Path(__file__).resolve().parent.parent / "demo-data"
HARD_NAME = "Grütze; mit, Komma\\ und — langem Namen 🥕 " + "x" * 50


def read(service: Service, question: str, body: bytes) -> tuple[Calendar, dict]:
    """Ask the same question for a calendar, twice, and for JSON."""
    ask = {"content-type": "application/json", "accept": "text/calendar"}
    first, second = (service.ask("POST", f"/v1/{question}", ask, body) for _ in range(2))
    if first.status != 200 or first.media_type != "text/calendar" or first.body != second.body:
        raise SystemExit(f"{question}: {first.status} {first.media_type} {first.body[:300]!r}")
    return Calendar.from_ical(first.body), service.ask(
        "POST", f"/v1/{question}", {"content-type": "application/json"}, body
    ).json()


def check(calendar: Calendar) -> list:
    """Check what holds of every calendar; return its events."""
    events = list(calendar.walk("VEVENT"))
    ids = [str(event["uid"]) for event in events]
    assert events and len(set(ids)) == len(ids), ids
    assert calendar["version"] == "2.0" and calendar["prodid"] and calendar["name"] and calendar["x-wr-calname"]
    assert calendar["refresh-interval"].params["value"] == "DURATION"
    assert calendar["refresh-interval"].dt == timedelta(days=1)
    for event in events:
        assert event["summary"] and event["dtstamp"].dt
        assert event["dtstart"].dt < event["dtend"].dt, event
        for alarm in event.walk("VALARM"):
            assert str(alarm["action"]) == "DISPLAY" and alarm["description"] and alarm["trigger"].dt < timedelta(0)
            assert set(alarm) == {"ACTION", "DESCRIPTION", "TRIGGER"}, alarm
    return events


def check_watering(event: Event, task: dict) -> None:
    """Check that watering repeats on one day of each week, within the days of its task."""
    first, last = (date.fromisoformat(task[name]) for name in ("on", "until"))
    assert event["dtend"].dt == first + timedelta(days=1)
    weeks = event["rrule"]["COUNT"][0] if "rrule" in event else 1
    assert "rrule" not in event or event["rrule"]["FREQ"] == ["WEEKLY"]
    assert first + timedelta(weeks=weeks - 1) <= last, task


def check_season(service: Service, body: dict) -> list:
    """Check the calendar of a season against its work; return its events."""
    calendar, answer = read(service, "seasons", json.dumps(body).encode())
    events = check(calendar)
    # The reader leaves these two as they are; RFC 7986, section 5.1, has them as text.
    assert str(calendar["name"]) == str(calendar["x-wr-calname"]) == vText(body["name"]).to_ical().decode()
    lots = [lot for lot in answer["stock"] if "use_by" in lot]
    work = answer["work"]
    # After the work the last days of lots, and then those to feed worms that wait for long.
    after_work = events[len(work) :]
    assert len(after_work) >= len(lots)
    assert all("feed the worms" in str(event["summary"]) for event in after_work[len(lots) :])
    for event, lot in zip(after_work, lots, strict=False):
        assert event["dtstart"].dt == date.fromisoformat(lot["use_by"]) and len(event.walk("VALARM")) == 1
    for event in events:
        assert type(event["dtstart"].dt) is date and type(event["dtend"].dt) is date
        assert event["transp"] == "TRANSPARENT" and event["sequence"] == body.get("revision", 0)
    for event, task in zip(events, work, strict=False):
        first, after = event["dtstart"].dt, event["dtend"].dt
        assert first == date.fromisoformat(task["on"])
        if task["kind"] == "water":
            check_watering(event, task)
        else:
            assert after == date.fromisoformat(task.get("until", task["on"])) + timedelta(days=1)
        title = str(event["summary"])
        assert "volume" not in task or re.search(r"[0-9] (L|ft3|US gal)", title), title
        amounts = str(event.get("description", "")).splitlines()
        assert bool(amounts) == any(key in task for key in ("volume", "mass", "depth", "sacks")), task
    return events


def check_seasons(service: Service) -> list:
    """Check the seasons, and that ids stay when dates and the revision change."""
    body = json.loads((DEMO / "seasons/kitchen-garden.json").read_text())
    first = check_season(service, body)
    body["revision"] = 7
    body["name"] = body["demands"][0]["name"] = HARD_NAME
    body["worm_beds"][1]["climate"]["fixed"] = 18
    later = check_season(service, body)
    days, moved = ({str(e["uid"]): e["dtstart"].dt for e in events} for events in (first, later))
    assert days.keys() == moved.keys() and days != moved
    one = json.loads((DEMO / "seasons/one-demand.json").read_text()) | {"name": "x"}
    return first + later + check_season(service, one)


def check_harvests(calendar: Calendar, answer: dict) -> list:
    """Check the calendar of beds to come against the layers and lots of their forecasts; return its events."""
    events = check(calendar)
    days = [event["dtstart"].dt for event in events]
    assert days == sorted(days)
    for forecast in (bed["forecast"] for bed in answer["worm_beds"] if "forecast" in bed):
        dated = [layer["on"] for layer in forecast["layers"]]
        dated += [
            day for lot in forecast["lots"] for day in (lot["eaten_on"], lot["finished_on"], lot["ready"]["likely"])
        ]
        assert {date.fromisoformat(day) for day in dated} <= set(days)
    return events


def check_worm_beds(calendar: Calendar, answer: dict) -> list:
    """Check the calendar of a bed that is sized: layers or weeks of feeding, worms, castings; return its events."""
    events = check(calendar)
    days = {event["dtstart"].dt for event in events}
    dated = [answer["worms"]["introduce_on"], *(layer["on"] for layer in answer.get("layers", []))]
    assert {date.fromisoformat(day) for day in dated} <= days, dated
    assert {date.fromisoformat(lot["ready"]["likely"]) for lot in answer["lots"]} <= days
    if "layers" not in answer:
        feeding = [event for event in events if str(event["summary"]).startswith("Feed ")]
        fed = [date.fromisoformat(week["start_on"]) for week in answer["weeks"] if week["feed"]["value"] > 0]
        counts = [event["rrule"]["COUNT"][0] if "rrule" in event else 1 for event in feeding]
        found = [
            event["dtstart"].dt + timedelta(weeks=week)
            for event, count in zip(feeding, counts, strict=True)
            for week in range(count)
        ]
        assert sorted(found) == fed, (found, fed)
    return events


def main() -> int:
    """Read the calendars of the demo requests."""
    service = Service(sys.argv[1])
    calendar, answer = read(service, "feeds", (DEMO / "feeds/autumn-heap.json").read_bytes())
    events = check(calendar)
    steps = answer["steps"]
    assert len(events) == len(steps)
    for event, step in zip(events, steps, strict=True):
        assert event["dtstart"].dt == date.fromisoformat(step["starts_on"])
        assert event["dtend"].dt == date.fromisoformat(step["ends_on"]) + timedelta(days=1)
        assert str(event["description"]).endswith(step["text"])
        for material in step.get("materials", []):
            assert material["name"] in str(event["summary"])
    brews = json.loads((DEMO / "brews/drench-for-the-rows.json").read_text())
    brews["brews"][0]["name"] = HARD_NAME
    calendar, answer = read(service, "brews", json.dumps(brews).encode())
    events += check(calendar)
    assert brews["brews"][0]["name"] in str(calendar.walk("VEVENT")[0]["summary"])
    assert len(calendar.walk("VEVENT")) == 2 * len(answer["brews"][0]["batches"])
    calendar, answer = read(service, "harvests", (DEMO / "harvests/forecast.json").read_bytes())
    events += check_harvests(calendar, answer)
    for file in sorted((DEMO / "worm-beds").glob("*.json")):
        events += check_worm_beds(*read(service, "worm-beds", file.read_bytes()))
    events += check_seasons(service)
    print(f"{len(events)} events read back by icalendar")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

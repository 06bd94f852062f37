"""Use the page at / as a grower does, in a browser without a window.

Source: `playwright`, a driver of browsers, a Chromium of this machine, and `axe-core`, an independent checker of WCAG.
Proves that
- the page can be used soon, asks nobody but the service, and breaks no rule of its policy;
- a form filled by keyboard alone is answered; an error is shown at its field and the focus goes to the list of errors;
- an error is shown at the control that mends it, in the words of the form, and at the heading of its line where there
  is none; what is written in place of a number stays where it was written;
- a new form has today filled in; the example, an address and a file keep the day that they have;
- the address brings the form back, and so does the way back of the browser; files are saved and opened;
- an answer that does not belong to the form any more is marked; a day that is half typed is an error;
- every demo request of the questions that it asks comes back from the form as it was; what the form cannot hold whole
  is refused or stays as JSON;
- hostile names are shown as text; long names and many lines fit; nothing is wider than the screen, light or dark;
- axe-core finds no violation: at first, with an answer, with errors, emptied;
- it works below a prefix, with a token, and says so when the service is gone or a proxy answers for it.

Usage: check_page.py URL PROGRAM
"""

import base64
import json
import re
import shutil
import signal
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Browser, Page, Route, expect, sync_playwright

from instances import Instance

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "demo-data"
CHECKER = ROOT / ".checks/node/node_modules/axe-core/axe.min.js"
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
WIDTHS = (360, 480, 600, 768, 1024, 1280, 1440, 1920)
QUESTIONS = ("applications", "balances", "seasons")
PATIENCE = 5_000
"""Milliseconds within which the page can be used, by a browser that has just started on a busy machine."""
PLACE = {"surface": {"kind": "area", "area": "3 m2"}, "rate": {"kind": "depth", "amount": "1 cm"}}
BED = {"ground": {"kind": "area", "area": "3 m2"}, "start_on": "2026-12-01", "feed": {"material": "leaves_shredded"}}
SEASON = {"as_of": "2026-12-01", "demands": [{"application": PLACE, "on": "2027-04-05"}], "worm_beds": [BED, BED]}
LATE_LOT = {"amount": "3 L", "ready_on": "2027-05-01", "use_by": "2027-04-01"}
PLANTS = {"kind": "plants", "count": 2}
NEEDED = "This is needed: please fill it in."
NUMBER = "Write a whole number, for example 1."
WRONG = (
    # What no bed has is set for all of them in one place.
    (SEASON, [f"Season and warmth, Temperature: {NEEDED}"]),
    (
        SEASON | {"climate": {"offset": 2}},
        [f"Season and warmth, Jan: {NEEDED}", f"Season and warmth, Unit: {NEEDED}"],
    ),
    (SEASON | {"climate": {"unit": "C", "monthly_means": [1, 2]}}, [f"Season and warmth, Mar: {NEEDED}"]),
    # A simple text is short for a whole object.
    (SEASON | {"climate": "15"}, ["Season and warmth, Temperature: 15 has no unit"]),
    ({"demands": [{"amount": "3 L"}], "stock": [{}]}, [f"Lot 1, Amount: {NEEDED}"]),
    ({"demands": [], "stock": []}, ["Where castings go: Add at least one"]),
    (
        {"demands": [{"amount": "3 L", "earliest": "2027-05-01", "latest": "2027-04-01", "priority": "high"}]},
        [
            "Place 1, By: “By”, 1 Apr 2027, is before “Not before”, 1 May 2027",
            f"Place 1, Priority (1 first): {NUMBER}",
        ],
    ),
    (
        {
            "demands": [{"amount": "3 L"}],
            "stock": [{"amount": "3 L", "ready_on": "2027-05-01", "use_by": "2027-04-01"}],
        },
        ["Lot 1, Use by: “Use by”, 1 Apr 2027, is before “Ready on”, 1 May 2027"],
    ),
    (
        SEASON | {"climate": "15 C", "until": "2027-01-01"},
        [
            "Place 1, Day: This demand starts on 5 Apr 2027, after the last day of the season, 1 Jan 2027; "
            "give a later “Last day”"
        ],
    ),
    (
        {"areas": [{"surface": PLANTS | {"count": 2.5}, "rate": {"kind": "per_plant", "amount": "1 L"}}]},
        [f"Place 1, How many: {NUMBER}"],
    ),
    (
        {"areas": [{"surface": PLANTS, "rate": {"kind": "depth", "amount": "1 cm"}}]},
        [
            "Place 1, How much: This surface does not take a rate of kind “in a layer”; "
            "use one of these kinds: “for each plant or pot”"
        ],
    ),
)
"""Requests with errors, each with how the lines of the page begin."""
TOKEN = "four-snails-on-a-wall"
PREFIX = "/tools/castings/"
HOSTILE = (
    "<img src=x onerror=document.title='hit'>",
    "</textarea><script>document.title='hit'</script>",
    "\" onfocus=\"document.title='hit'",
    "carrots \u202etac",
    "__proto__",
    "קרוט 12 L جزر",
    "W" * 100,
)


def without_prefix(route: Route) -> None:
    """Answer as a proxy that takes the prefix off the path."""
    route.fulfill(response=route.fetch(url=route.request.url.replace(PREFIX, "/")))


def in_place_of_the_service(**answer: Any) -> Callable[[Route], None]:  # noqa: ANN401 - what a route is fulfilled with
    """Answer so to whatever is asked, as a proxy does."""
    return lambda route: route.fulfill(**answer)


class Opened:
    """A page of a browser, with what went wrong in it."""

    def __init__(self, browser: Browser, url: str, width: int = 1280, scheme: str = "light") -> None:
        """Open it, and note what it asks and what it complains of."""
        viewport = {"width": width, "height": 900}
        self.context = browser.new_context(viewport=viewport, color_scheme=scheme, accept_downloads=True)
        self.context.route(f"**{PREFIX}**", without_prefix)
        self.page: Page = self.context.new_page()
        self.faults: list[str] = []
        self.asked: list[str] = []
        self.refused_as_expected = False
        self.page.on("pageerror", lambda error: self.faults.append(f"error: {error}"))
        self.page.on("console", lambda line: self.note(line.type, line.text))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(url)
        self.page.wait_for_selector(".item")

    def note(self, kind: str, text: str) -> None:
        """Note a complaint; that a request was refused is one only where none is expected."""
        is_status = text.startswith("Failed to load resource")
        if kind in {"error", "warning"} and not (is_status and self.refused_as_expected):
            self.faults.append(f"{kind}: {text}")

    def close(self, what: str) -> None:
        """Close it; nothing may have gone wrong."""
        assert not self.faults, f"{what}: {self.faults}"
        self.context.close()

    def ask(self) -> None:
        """Press the button, and wait for the answer."""
        self.page.get_by_role("button", name="Ask").click()
        expect(self.page.locator("#links")).to_be_visible(timeout=60_000)
        expect(self.page.locator("#status")).to_be_empty(timeout=60_000)
        expect(self.page.locator("#summary")).to_be_hidden()

    def open_file(self, name: str, body: Any) -> None:  # noqa: ANN401 - any JSON value
        """Open a file of this content in the form, and wait until it is read."""
        content = body if isinstance(body, bytes) else json.dumps(body).encode()
        file = {"name": name, "mimeType": "application/json", "buffer": content}
        self.page.locator("#file").set_input_files(files=[file])
        expect(self.page.locator("#file")).to_have_value("")

    def saved(self) -> Any:  # noqa: ANN401 - any JSON value
        """Save the form to a file, and read it."""
        with self.page.expect_download() as download:
            self.page.get_by_role("button", name="Save to a file").click()
        return json.loads(Path(download.value.path()).read_text())

    def press(self, *keys: str) -> None:
        """Press keys one after another."""
        for key in keys:
            self.page.keyboard.press(key)

    def tab_to(self, name: str) -> None:
        """Go from control to control until the one of this name has the focus."""
        for _ in range(120):
            self.press("Tab")
            if self.page.evaluate(NAME_OF_FOCUS) == name:
                return
        raise SystemExit(f"no key leads to {name}")

    def violations(self) -> list[str]:
        """Let axe-core look at the page as it is."""
        if not self.page.evaluate("typeof axe === 'object'"):
            self.page.evaluate(CHECKER.read_text())
        run = self.page.evaluate("axe.run(document, {resultTypes: ['violations']})")
        return [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in run["violations"]]


NAME_OF_FOCUS = """() => {
  const focused = document.activeElement;
  const label = focused.labels?.[0]?.textContent ?? "";
  return (focused.getAttribute("aria-label") ?? (label || focused.textContent)).trim();
}"""


def usable_after(browser: Browser, url: str) -> float:
    """Measure the milliseconds until the form of a page that nobody had before is filled."""
    opened = Opened(browser, url)
    ready = opened.page.evaluate("performance.getEntriesByName('filled')[0].startTime")
    opened.close("first visit")
    return ready


def check_start(browser: Browser, url: str) -> None:
    """Open the page: it is there at once, asks this service alone, and answers the example with one press."""
    # The first of a new browser starts processes, which is none of the page's doing.
    ready = min(usable_after(browser, url) for _ in range(3))
    assert ready < PATIENCE, f"usable after {ready} ms"
    opened = Opened(browser, url)
    opened.ask()
    sheet = opened.page.locator("#sheet")
    for part in ("What to do", "Options to close the shortfall", "Who gets what", "carrot rows", "Cautions"):
        expect(sheet).to_contain_text(part)
    expect(sheet.locator("svg.chart")).to_be_visible()
    assert opened.page.evaluate("document.activeElement.id") == "sheet", "the focus goes to the answer"
    begins = {"html": "<!DOCTYPE html>", "csv": "on,until,", "svg": "<?xml", "calendar": "BEGIN:VCALENDAR"}
    for form, begin in begins.items():
        link = opened.page.locator(f"[data-as={form}]").get_attribute("href")
        answer = opened.context.request.get(f"{url}{link}")
        assert answer.ok and answer.text().startswith(begin), f"{form}: {answer.text()[:80]}"
    opened.page.emulate_media(media="print")
    expect(opened.page.locator("#garden")).to_be_hidden()
    expect(sheet.locator("table").first).to_be_visible()
    elsewhere = [asked for asked in opened.asked if not asked.startswith(url)]
    assert not elsewhere, elsewhere
    assert not opened.context.cookies(), "a cookie is set"
    assert opened.page.evaluate("localStorage.length + sessionStorage.length") == 0, "something is stored"
    opened.close("start")
    print(f"usable after {ready:.0f} ms; {len(opened.asked)} requests, all to the service")


def check_keyboard(browser: Browser, url: str) -> None:
    """Fill three fields by keyboard alone, see errors at their fields, and the answer."""
    opened = Opened(browser, url)
    opened.refused_as_expected = True
    opened.tab_to("Empty the form")
    opened.press("Enter")
    expect(opened.page.locator(".item")).to_have_count(1)
    opened.tab_to("Length")
    opened.page.keyboard.type("2,4")
    opened.press("Enter")
    summary = opened.page.locator("#summary")
    expect(summary).to_be_focused()
    expect(summary.locator("li")).to_have_count(2)
    width = opened.page.get_by_label("Width", exact=True)
    assert width.get_attribute("aria-invalid") == "true"
    named = opened.page.locator(f"#{width.get_attribute('aria-describedby')}")
    expect(named).to_contain_text("please fill it in")
    assert opened.violations() == [], opened.violations()
    opened.tab_to("Place 1, Width: This is needed: please fill it in.")
    opened.press("Enter")
    expect(width).to_be_focused()
    opened.page.keyboard.type("1.2 furlongs")
    opened.tab_to("How thick")
    opened.page.keyboard.type("2")
    opened.press("Enter")
    expect(summary).to_be_focused()
    expect(opened.page.locator(".error")).to_contain_text("furlongs")
    opened.press("Tab", "Enter")
    expect(width).to_be_focused()
    opened.press("Control+A")
    opened.page.keyboard.type("120cm")
    opened.press("Enter")
    expect(opened.page.locator("#sheet")).to_contain_text("57.6 L")
    expect(opened.page.locator(".error")).to_have_count(0)
    assert opened.saved() == {
        "areas": [
            {
                "surface": {"kind": "rectangle", "length": "2.4 m", "width": "120 cm"},
                "rate": {"kind": "depth", "amount": "2 cm"},
            }
        ]
    }
    expect(opened.page.locator("#asked-path")).to_have_text("POST v1/applications")
    opened.press("Shift+Tab")
    opened.close("keyboard")


def check_lines(browser: Browser, url: str) -> None:
    """Add and remove lines: containers become units, stock makes it a balance, US units are offered."""
    opened = Opened(browser, url)
    page = opened.page
    page.get_by_role("button", name="Empty the form").click()
    page.get_by_label("US customary").check()
    # A unit that is written with a number goes with it: a bare number has the one again that was chosen before.
    for written, unit in (("8 ft 6 in", ""), ("8", "ft")):
        page.get_by_label("Length", exact=True).fill(written)
        page.get_by_label("Length", exact=True).blur()
        assert page.get_by_label("Length: unit").input_value() == unit, written
    page.get_by_label("Width", exact=True).fill("4' 6\"")
    page.get_by_label("How thick", exact=True).fill("1/2")
    expect(page.get_by_label("When", exact=True)).to_be_hidden()
    page.get_by_role("button", name="Add a bucket or barrow").click()
    page.keyboard.type("scuttle")
    page.get_by_label("It holds", exact=True).fill("2")
    page.get_by_role("button", name="Add a lot").click()
    page.get_by_label("Amount", exact=True).fill("3")
    page.get_by_label("Amount: unit").select_option("scuttle")
    page.get_by_label("When", exact=True).select_option("on one day")
    page.get_by_label("Day", exact=True).fill("2027-04-05")
    opened.ask()
    expect(page.locator("#asked-path")).to_have_text("POST v1/balances")
    expect(page.locator("#sheet")).to_contain_text("US gal")
    expect(page.locator("#sheet figure svg")).to_be_visible()
    saved = opened.saved()
    assert saved["stock"] == [{"amount": "3 scuttle"}], saved
    assert saved["containers"] == [{"name": "scuttle", "capacity": "2 US gal"}], saved
    assert saved["demands"][0]["application"]["surface"]["width"] == "4' 6\"", saved
    page.get_by_label("Use by", exact=True).fill("2027-12-01")
    page.get_by_label("Use by", exact=True).blur()
    expect(page.locator("#status")).to_contain_text("ask again")
    page.get_by_role("button", name="Remove Lot 1").click()
    expect(page.get_by_role("button", name="Add a lot")).to_be_focused()
    assert "areas" in opened.saved(), "without stock it is asked how much"
    page.get_by_label("What it is", exact=True).select_option("pots")
    assert page.get_by_label("How much", exact=True).input_value() == "per_plant", "a rate that fits no pots was left"
    opened.close("lines")


def check_address(browser: Browser, url: str) -> None:
    """Come back by the address, plain or compressed; what is no request gets an error; the way back undoes."""
    opened = Opened(browser, url)
    page = opened.page
    page.get_by_label("Name", exact=True).first.fill("leeks")
    page.get_by_label("Name", exact=True).first.blur()
    expect(page).to_have_url(re.compile("#."))
    kept = opened.saved()
    page.reload()
    expect(page.get_by_label("Name", exact=True).first).to_have_value("leeks")
    assert opened.saved() == kept
    before = page.url
    page.get_by_role("button", name="Empty the form").click()
    expect(page.locator(".item")).to_have_count(1)
    expect(page).not_to_have_url(before)
    page.go_back()
    expect(page.get_by_label("Name", exact=True).first).to_have_value("leeks")
    one_bed = json.loads((DEMO / "applications/one-bed.json").read_text())
    plain = in_address(one_bed)
    page.goto(f"{url}#{plain}")
    expect(page.locator(".item")).to_have_count(1)
    assert opened.saved() == one_bed
    page.goto(f"{url}#{plain[:40]}")
    expect(page.locator("#summary")).to_contain_text("does not hold a whole form")
    expect(page.get_by_label("Name", exact=True).first).to_have_value("carrot rows")
    page.goto(f"{url}#{in_address({'areas': 3})}")
    expect(page.locator("#summary")).to_contain_text('"areas" is not a list')
    opened.close("address")


def in_address(body: Any) -> str:  # noqa: ANN401 - any JSON value
    """Write a request as the address of the page may have it."""
    return base64.urlsafe_b64encode(json.dumps(body).encode()).decode()


def check_status(browser: Browser, url: str) -> None:
    """Change the form after an answer, while one is awaited, and by the address: the old answer is marked each time."""
    opened = Opened(browser, url)
    opened.refused_as_expected = True
    page, status = opened.page, opened.page.locator("#status")
    opened.ask()
    answered = page.url
    name = page.get_by_label("Name", exact=True).first
    kept = name.input_value()
    name.fill("leeks")
    name.blur()
    expect(status).to_contain_text("ask again")
    length = page.get_by_label("Length", exact=True).first
    long = length.input_value()
    length.fill("")
    page.get_by_role("button", name="Ask").click()
    expect(page.locator("#summary")).to_be_focused()
    expect(status).to_contain_text("ask again")
    length.fill(long)
    name.fill(kept)
    name.blur()
    expect(status).to_be_empty()
    expect(page).to_have_url(answered)
    page.goto(f"{url}#{in_address({'areas': [{}]})}")
    expect(page.locator(".item")).to_have_count(1)
    expect(status).to_contain_text("ask again")
    page.go_back()
    expect(page).to_have_url(answered)
    expect(status).to_be_empty()
    held: list[Route] = []
    page.route("**/v1/seasons", lambda route: held.append(route))
    page.get_by_role("button", name="Ask").click()
    expect(status).to_have_text("Asking…")
    name.fill("leeks")
    name.blur()
    expect(page).not_to_have_url(answered)
    expect(status).to_have_text("Asking…")
    held.pop().continue_()
    expect(status).to_contain_text("ask again")
    page.get_by_role("button", name="Ask").click()
    expect(status).to_have_text("Asking…")
    page.get_by_role("button", name="Empty the form").click()
    expect(status).to_be_empty()
    held.pop().continue_()
    expect(page.locator("#sheet")).to_be_empty()
    opened.close("status")


def check_days(browser: Browser, url: str) -> None:
    """Leave a day half typed: it is an error at its field, and is not left out of what is asked or saved."""
    opened = Opened(browser, url)
    day = opened.page.get_by_label("Last day", exact=True)
    day.focus()
    opened.press("Delete")
    for button in ("Ask", "Save to a file"):
        opened.page.get_by_role("button", name=button).click()
        expect(opened.page.locator("#summary")).to_contain_text("Last day: This day is incomplete")
        assert day.get_attribute("aria-invalid") == "true"
    opened.page.get_by_role("button", name="Empty the form").click()
    opened.open_file("small-garden.json", (DEMO / "seasons/small-garden.json").read_bytes())
    opened.ask()
    opened.close("days")


def check_refused_answers(browser: Browser, url: str) -> None:
    """Ask where a proxy answers in place of the service: the page says what came."""
    opened = Opened(browser, url)
    opened.refused_as_expected = True
    opened.ask()
    for answer, words in (
        ({"status": 502, "content_type": "text/html", "body": "<h1>Bad Gateway</h1>"}, "answered 502"),
        ({"status": 200, "content_type": "text/html", "body": "<h1>Log in</h1>"}, "another page"),
    ):
        opened.page.route("**/v1/seasons", in_place_of_the_service(**answer))
        opened.page.get_by_role("button", name="Ask").click()
        expect(opened.page.locator("#summary")).to_contain_text(words)
        expect(opened.page.locator("#sheet")).to_contain_text("What to do")
        opened.page.unroute("**/v1/seasons")
    opened.close("refused answers")


def check_refused_files(browser: Browser, url: str) -> None:
    """Open files that the form cannot hold: it says why, and stays as it was."""
    opened = Opened(browser, url)
    before = opened.saved()
    for body, words in (
        ({"areas": [PLACE], "demands": []}, '"areas" and "demands"'),
        ({"demands": "x"}, '"demands" is not a list'),
        ({"areas": [PLACE, 3]}, 'Item 2 of "areas"'),
        ({"areas": [PLACE | {"application": {}}]}, 'Area 1 has "application"'),
        ({"demands": [], "worm_beds": {"feed": "x"}}, '"worm_beds" is not a list'),
    ):
        opened.open_file("wrong.json", body)
        expect(opened.page.locator("#summary")).to_contain_text(words)
        assert opened.saved() == before, "the form has changed"
    opened.close("refused files")


def check_whole_files(browser: Browser, url: str) -> None:
    """Open files of which the form has no fields for some values: these stay as JSON, and nothing is left out."""
    opened = Opened(browser, url)
    demand = {"application": PLACE}
    months = {"offset": 2, "unit": "C"}
    for body in (
        {"name": "", "areas": [PLACE | {"name": " "}]},
        {"demands": [demand], "climate": months | {"monthly_means": [1, 2, "x", 4, 5, 6, 7, 8, 9, 10, 11, 12]}},
        {"demands": [demand], "climate": months | {"monthly_means": list(range(13))}},
        {"demands": [demand], "climate": months | {"monthly_means": [3.5] * 12}},
        {"demands": [{"amount": "5 KG"}, {"amount": "5 ML"}, {"amount": 5}, {"amount": ""}], "stock": []},
        {"demands": [demand | {"priority": 1e21}, demand | {"priority": "1"}], "stock": []},
    ):
        opened.open_file("whole.json", body)
        expect(opened.page.locator("#summary")).to_be_hidden()
        assert opened.saved() == body, opened.saved()
    opened.close("whole files")


def check_files(browser: Browser, url: str) -> None:
    """Open every demo request: it comes back as it was, and is answered; what is no request gets an error."""
    opened = Opened(browser, url)
    count = 0
    for question in QUESTIONS:
        for path in sorted((DEMO / question).glob("*.json")):
            body = json.loads(path.read_text())
            opened.open_file(path.name, body)
            expect(opened.page.locator("#summary")).to_be_hidden()
            saved = opened.saved()
            assert same(saved) == same(body), f"{path}: {saved}"
            opened.page.get_by_role("button", name="Ask").click()
            expect(opened.page.locator("#asked-path")).to_have_text(f"POST v1/{question}", timeout=60_000)
            expect(opened.page.locator("#status")).to_be_empty(timeout=60_000)
            expect(opened.page.locator("#summary")).to_be_hidden()
            count += 1
    for name, content, words in (
        ("notes.txt", b"two buckets", "not JSON"),
        ("mix.json", (DEMO / "feeds/autumn-heap.json").read_bytes(), "This file holds nothing about places"),
        ("many.json", {"areas": [{}] * 201}, "up to 200 lines"),
    ):
        opened.open_file(name, content)
        expect(opened.page.locator("#summary")).to_contain_text(words)
    opened.close("files")
    print(f"{count} demo requests came back from the form as they were, and were answered")


def same(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Spell a request in one way: units that are the usual ones are left out, and plurals of containers are single."""
    if isinstance(value, dict):
        return {key: same(one) for key, one in value.items() if (key, one) != ("units", "metric")}
    if isinstance(value, list):
        return [same(one) for one in value]
    if isinstance(value, str):
        return value.replace("buckets", "bucket").replace("barrows", "barrow")
    return value


def check_errors(browser: Browser, url: str) -> None:
    """See all errors of a request at once, each at its field, also in what the form has no fields for."""
    opened = Opened(browser, url)
    opened.refused_as_expected = True
    body = json.loads((DEMO / "seasons/small-garden.json").read_text())
    body["demands"][0]["priority"] = 0
    body["demands"][1]["application"]["rate"] = {"kind": "per_plant", "amount": "1 L"}
    body["demands"][2]["crop"] = {"edible_part": "leg"}
    body["worm_beds"][0]["feed"] = {}
    body["additional_production"] = {"materials": []}
    opened.open_file("wrong.json", body)
    opened.page.get_by_role("button", name="Ask").click()
    expect(opened.page.locator("#summary")).to_be_focused()
    answer = opened.context.request.post(f"{url}v1/seasons", data=body)
    errors = answer.json()["errors"]
    expect(opened.page.locator("#summary li")).to_have_count(len(errors))
    expect(opened.page.locator(".error")).to_have_count(len(errors))
    invalid = opened.page.locator("[aria-invalid]")
    labels = [opened.page.evaluate("one => one.labels[0].textContent", one) for one in invalid.element_handles()]
    for label in ("Priority (1 first)", "How much", "Anything else, as JSON"):
        assert label in labels, labels
    assert opened.violations() == [], opened.violations()
    rest = opened.page.get_by_label("Anything else, as JSON").last
    rest.fill("{")
    opened.page.get_by_role("button", name="Ask").click()
    expect(opened.page.locator("#summary")).to_contain_text("Write a JSON object here")
    opened.close("errors")


def check_places_of_errors(browser: Browser, url: str) -> None:
    """See each error at the control that mends it, in the words of the form; else at the heading of its line."""
    opened = Opened(browser, url)
    opened.refused_as_expected = True
    page, summary = opened.page, opened.page.locator("#summary")
    for body, lines in WRONG:
        opened.open_file("wrong.json", body)
        page.get_by_role("button", name="Ask").click()
        expect(summary).to_be_focused()
        shown = [line.inner_text() for line in summary.locator("li").all()]
        assert [line[: len(start)] for line, start in zip(shown, lines, strict=True)] == lines, shown
        for link in summary.locator("a").all():
            called = link.inner_text().split(":")[0]
            link.click()
            label = page.evaluate(NAME_OF_FOCUS)
            assert called.endswith(label) or label == "Add a place", f"{called} leads to {label}"
        assert opened.violations() == [], opened.violations()
    opened.open_file("bed.json", SEASON)
    unknown = {"errors": [{"pointer": "/worm_beds/1/shade", "code": "out_of_range", "detail": "Bed 2: Too dark."}]}
    answer = {"status": 422, "content_type": "application/problem+json", "body": json.dumps(unknown)}
    page.route("**/v1/seasons", in_place_of_the_service(**answer))
    page.get_by_role("button", name="Ask").click()
    expect(summary.locator("li")).to_have_text("Worm bed 2: Too dark.")
    expect(page.locator("legend + .error")).to_have_text("Too dark.")
    summary.locator("a").click()
    expect(page.locator("legend", has_text="Worm bed 2")).to_be_focused()
    assert opened.violations() == [], opened.violations()
    opened.close("places of errors")


def check_numbers(browser: Browser, url: str) -> None:
    """Write words in place of numbers: they stay where they were written, also by way of the address."""
    opened = Opened(browser, url)
    opened.refused_as_expected = True
    page = opened.page
    priority = page.get_by_label("Priority (1 first)", exact=True).first
    priority.fill("high")
    priority.blur()
    expect(page).to_have_url(re.compile("#."))
    page.reload()
    expect(priority).to_have_value("high")
    page.get_by_role("button", name="Ask").click()
    expect(page.locator("#summary li")).to_have_text(
        "Place 1, Priority (1 first): Write a whole number, for example 1."
    )
    priority.fill("3")
    opened.ask()
    assert opened.saved()["demands"][0]["priority"] == 3
    opened.close("numbers")


def check_today(browser: Browser, url: str) -> None:
    """Begin a new form: it has today filled in, once; the example, an address and a file keep their days."""
    opened = Opened(browser, url)
    page, note = opened.page, opened.page.locator("#example-day")
    day = page.get_by_label("Today", exact=True)
    example = json.loads((DEMO / "seasons/small-garden.json").read_text())
    expect(day).to_have_value(example["as_of"])
    expect(note).to_be_visible()
    expect(note).to_contain_text("20 Sep 2026")
    page.clock.set_fixed_time("2027-02-03T12:00:00")
    page.get_by_role("button", name="Empty the form").click()
    expect(note).to_be_hidden()
    page.get_by_label("Length", exact=True).fill("2")
    page.get_by_label("Width", exact=True).fill("1")
    page.get_by_label("How thick", exact=True).fill("1")
    assert "as_of" not in opened.saved(), "the day counts where there is stock or a bed"
    page.get_by_role("button", name="Add a lot").click()
    page.get_by_label("Amount", exact=True).fill("30")
    expect(day).to_be_visible()
    expect(day).to_have_value("2027-02-03")
    opened.ask()
    kept = opened.saved()
    assert kept["as_of"] == "2027-02-03", kept
    page.clock.set_fixed_time("2027-02-09T12:00:00")
    page.reload()
    expect(day).to_have_value("2027-02-03")
    assert opened.saved() == kept
    day.fill("")
    day.blur()
    page.get_by_role("button", name="Add a lot").click()
    expect(day).to_have_value("")
    page.get_by_role("button", name="Remove Lot 2").click()
    del kept["as_of"]
    assert opened.saved() == kept
    opened.ask()
    page.reload()
    expect(day).to_have_value("")
    opened.open_file("no-day.json", kept)
    expect(day).to_have_value("")
    assert opened.saved() == kept
    opened.close("today")


def check_names(browser: Browser, url: str) -> None:
    """Send hostile and long names: they are text, in the form and in the answer; thirty lines fit."""
    for width in (360, 1440):
        opened = Opened(browser, url, width)
        line = {"amount": "1 L", "on": "2027-04-05"}
        names = [*HOSTILE, *(f"{'long name ' * 9}{number:03}" for number in range(23))]
        body = {"name": HOSTILE[0], "stock": [{"name": HOSTILE[1], "amount": "20 L"}]}
        body["demands"] = [line | {"name": name} for name in names]
        opened.open_file("names.json", body)
        expect(opened.page.locator(".item")).to_have_count(31)
        assert opened.saved() == body
        opened.ask()
        text = opened.page.locator("#sheet").inner_text()
        for name in (HOSTILE[0], HOSTILE[1], HOSTILE[2], HOSTILE[4], HOSTILE[5], names[-1]):
            assert name in " ".join(text.split()), f"{name} is not shown"
        assert "\u202e" not in text
        assert opened.page.locator("#sheet img, #sheet script").count() == 0
        assert "hit" not in opened.page.title()
        assert opened.page.evaluate("document.documentElement.scrollWidth") <= width, f"wider than {width}"
        opened.close("names")


def check_looks(browser: Browser, url: str) -> None:
    """Look at it at each width: nothing is wider than the screen, and axe-core has nothing to say."""
    for scheme in ("light", "dark"):
        opened = Opened(browser, url, scheme=scheme)
        for state in ("first", "answered", "wide", "emptied"):
            if state == "answered":
                opened.ask()
            elif state == "wide":
                opened.open_file("garden.json", (DEMO / "seasons/kitchen-garden.json").read_bytes())
                opened.ask()
                opened.page.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
            elif state == "emptied":
                opened.page.get_by_role("button", name="Empty the form").click()
            for width in WIDTHS:
                opened.page.set_viewport_size({"width": width, "height": 900})
                needed = opened.page.evaluate("document.documentElement.scrollWidth")
                assert needed <= width, f"{scheme} {state}: {needed} pixels of {width}"
                if width in {WIDTHS[0], WIDTHS[-1]}:
                    found = opened.violations()
                    assert not found, f"{scheme} {state} {width}: {found}"
        opened.close(f"looks {scheme}")


def check_prefix(browser: Browser, url: str) -> None:
    """Open it below a prefix, as behind a proxy that takes it off: everything is found."""
    opened = Opened(browser, f"{url.rstrip('/')}{PREFIX}")
    opened.ask()
    outside = [asked for asked in opened.asked if not urlsplit(asked).path.startswith(PREFIX)]
    assert not outside, outside
    opened.close("prefix")


def check_token(browser: Browser, program: str) -> None:
    """Use a service with a token: the page asks for it, and its links save files; then the service is gone."""
    instance = Instance(program, token=TOKEN)
    try:
        opened = Opened(browser, f"http://127.0.0.1:{instance.port}/")
        opened.refused_as_expected = True
        field = opened.page.get_by_label("Token of this service")
        expect(field).to_be_hidden()
        opened.page.get_by_role("button", name="Ask").click()
        expect(field).to_be_visible()
        expect(opened.page.locator("#summary")).to_contain_text("token")
        field.fill(TOKEN)
        opened.ask()
        with opened.page.expect_download() as download:
            opened.page.locator("[data-as=calendar]").click()
        assert download.value.suggested_filename == "seasons.ics"
        assert "BEGIN:VEVENT" in Path(download.value.path()).read_text()
        opened.page.route("**/v1/seasons", in_place_of_the_service(status=502, body="Bad Gateway"))
        opened.page.locator("[data-as=csv]").click()
        expect(opened.page.locator("#summary")).to_contain_text("The service answered 502")
        opened.page.unroute("**/v1/seasons")
        assert TOKEN not in opened.page.url
        assert TOKEN not in json.dumps(opened.saved())
        instance.end(signal.SIGTERM)
        opened.page.get_by_role("button", name="Ask").click()
        expect(opened.page.locator("#summary")).to_contain_text("cannot be reached")
        opened.faults = [fault for fault in opened.faults if "ERR_CONNECTION" not in fault]
        opened.close("token")
    finally:
        instance.end(signal.SIGTERM)


def main() -> int:
    """Go through everything."""
    url, program = f"{sys.argv[1].rstrip('/')}/", sys.argv[2]
    found = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if found is None:
        raise SystemExit("no Chromium on this machine")
    with sync_playwright() as driver, tempfile.TemporaryDirectory() as folder:
        flags = ["--no-sandbox", "--disable-background-networking", "--no-first-run"]
        browser = driver.chromium.launch(executable_path=found, args=flags, downloads_path=folder)
        for check in (
            check_start,
            check_keyboard,
            check_lines,
            check_address,
            check_status,
            check_days,
            check_files,
            check_refused_files,
            check_whole_files,
            check_errors,
            check_places_of_errors,
            check_numbers,
            check_today,
            check_refused_answers,
            check_names,
            check_looks,
            check_prefix,
        ):
            check(browser, url)
        check_token(browser, program)
        browser.close()
    print("the page does what it says")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

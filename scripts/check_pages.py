"""Check the pages and the charts of the service with a checker that shares no code with it.

Source: `vnu-jar` from npm, the checker of HTML and SVG of the W3C, run on this machine; and the XML reader of Python.
Proves that each page is HTML, that each chart is XML and SVG, that names are written as text, and that neither holds
scripts, event handlers, or anything from elsewhere. The pages at / and /docs have scripts and styles, in files of
their own.
The sheet of the demo season is printed by Chromium on A4 and on Letter, and its pages are counted.

Usage: check_pages.py URL
"""

import copy
import json
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from service import Service

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "demo-data"
CHECKER = ROOT / ".checks/node/node_modules/vnu-jar/build/dist/vnu.jar"
SVG = "{http://www.w3.org/2000/svg}"
FORMS = {"html": "text/html", "svg": "image/svg+xml"}
QUESTIONS = {
    "applications": ("html",),
    "balances": ("html", "svg"),
    "brews": ("html",),
    "feeds": ("html",),
    "harvests": ("html", "svg"),
    "seasons": ("html", "svg"),
    "worm-beds": ("html", "svg"),
    "calibrations": ("html", "svg"),
}
# The most pages of the demo season on each paper, two of them to write in what is done.
PAPERS = {"A4": 6, "letter": 7}
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
HARD_NAME = "<script>alert('x')</script> & \"\\" + "W" * 60
FETCHING = {"src", "href", "xlink:href", "action", "data", "srcset", "poster"}


class Page(HTMLParser):
    """What a page could load or run."""

    def __init__(self) -> None:
        """Begin with nothing found."""
        super().__init__()
        self.found: list[str] = []
        self.links: list[str] = []
        self.inline = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note tags and attributes that load or run something."""
        if tag in {"script", "link", "img", "iframe", "object", "embed", "base", "image", "use"}:
            self.found.append(tag)
        self.found += [name for name, _ in attrs if name in FETCHING or name.startswith("on")]
        self.links += [value or "" for name, value in attrs if name in FETCHING]
        self.inline |= tag == "style" or (tag == "script" and "src" not in dict(attrs))
        self.inline |= any(name == "style" or name.startswith("on") for name, _ in attrs)


def named(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Give every item that has a name a hard one, and every item that has none a name where one may be."""
    if isinstance(value, dict):
        known = {"name": HARD_NAME} if "name" in value and "capacity" not in value else {}
        if "change" in value:
            # No two plans that are compared have one name.
            known = {"name": f"{value['name'][:9]} {HARD_NAME}"[:100]}
        return {key: named(item) for key, item in value.items()} | known
    return [named(item) for item in value] if isinstance(value, list) else value


def nameless(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Take every name and id that may be left out."""
    if isinstance(value, dict):
        drop = set() if "capacity" in value or "change" in value else {"name", "id"}
        return {key: nameless(item) for key, item in value.items() if key not in drop}
    return [nameless(item) for item in value] if isinstance(value, list) else value


def variants(question: str, body: Any) -> Iterator[tuple[str, Any]]:  # noqa: ANN401 - any JSON value
    """Yield a demo request, and what else its page has to bear."""
    yield "plain", body
    yield "us", body | {"units": "us"}
    yield "named", named(copy.deepcopy(body))
    yield "nameless", nameless(copy.deepcopy(body))
    if question == "seasons":
        yield "draws0", body | {"simulation_runs": 0}
        yield "empty", {"demands": body["demands"]}


def ask(service: Service, question: str, form: str, body: bytes) -> bytes:
    """Ask a question for a page or a chart; it has to be answered."""
    answer = service.ask("POST", f"/v1/{question}", {"content-type": "application/json", "accept": FORMS[form]}, body)
    if answer.status != 200 or answer.media_type != FORMS[form]:
        raise SystemExit(f"{question} as {form}: {answer.status} {answer.media_type} {answer.body[:300]!r}")
    return answer.body


def inspect(form: str, body: bytes, place: str) -> None:
    """Look for what no page may hold; read a chart as XML."""
    page = Page()
    page.feed(body.decode())
    assert not page.found, f"{place}: {page.found}"
    if form == "svg":
        root = ElementTree.fromstring(body)
        assert root.tag == f"{SVG}svg" and root.get("role") == "img", place
        assert root.findtext(f"{SVG}title") and root.findtext(f"{SVG}desc"), place


def documentation(service: Service, path: str) -> bytes:
    """Fetch a page with scripts: nothing from elsewhere, no script and no style within it."""
    answer = service.ask("GET", path)
    assert answer.status == 200 and answer.media_type == "text/html", f"{path}: {answer.status} {answer.media_type}"
    page = Page()
    page.feed(answer.body.decode())
    elsewhere = [link for link in page.links if ":" in link or link.startswith("/")]
    assert page.links and not elsewhere, f"{path}: {elsewhere}"
    assert not page.inline, f"{path} has a script or a style within it"
    return answer.body


def printed_pages(page: str, paper: str, folder: Path) -> int:
    """Print a page on a paper and count the sheets."""
    browser = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if browser is None:
        raise SystemExit("no Chromium here: see scripts/install_checks.sh")
    source, target = folder / f"{paper}.html", folder / f"{paper}.pdf"
    source.write_text(page.replace("</style>", f"@page {{ size: {paper} }}</style>", 1))
    quiet = ["--disable-background-networking", "--disable-sync", "--no-first-run"]
    flags = ["--headless", "--no-sandbox", "--disable-gpu", *quiet, "--no-pdf-header-footer"]
    places = [f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={target}", source.as_uri()]
    subprocess.run([browser, *flags, *places], capture_output=True, check=True, timeout=120)
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", target.read_bytes()))


def count_pages(service: Service) -> None:
    """Count the pages of the demo season on each paper."""
    body = (DEMO / "seasons" / "kitchen-garden.json").read_bytes()
    page = ask(service, "seasons", "html", body).decode()
    for paper, most in PAPERS.items():
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            pages = printed_pages(page, paper, Path(folder))
        assert 0 < pages <= most, f"the demo season takes {pages} pages of {paper}, and {most} at most are wanted"


def main() -> int:
    """Check the pages and charts of all demo requests."""
    service = Service(sys.argv[1])
    count_pages(service)
    with tempfile.TemporaryDirectory() as folder:
        count = {"html": 0, "svg": 0}
        for name, path in (("growers", "/"), ("docs", "/docs/"), ("docs-reference", "/docs/reference/")):
            (Path(folder) / f"{name}.html").write_bytes(documentation(service, path))
            count["html"] += 1
        (Path(folder) / "icon.svg").write_bytes(service.ask("GET", "/docs/icon.svg").body)
        for question, forms in QUESTIONS.items():
            for path in sorted((DEMO / question).glob("*.json")):
                for variant, body in variants(question, json.loads(path.read_text())):
                    for form in forms:
                        text = ask(service, question, form, json.dumps(body).encode())
                        place = f"{question}-{path.stem}-{variant}.{form}"
                        inspect(form, text, place)
                        (Path(folder) / place).write_bytes(text)
                        count[form] += 1
        # Pages and charts are told apart by the ends of their names; warnings count as well.
        command = ["java", "-jar", str(CHECKER), "--also-check-svg", "--Werror", "--no-langdetect", folder]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            print(done.stdout + done.stderr)
            return 1
    print(f"{count['html']} pages and {count['svg']} charts are without faults")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

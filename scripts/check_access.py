"""Check that people who do not see the pages, or not well, can use them: with axe-core in a browser without a window.

Source: `axe-core` from npm, an independent checker of WCAG, and a Chromium of this machine. Proves that no page has a
violation, and that at widths from 360 to 1920 pixels nothing on a page is wider than the screen.

Usage: check_access.py URL
"""

import html
import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from service import Service

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "demo-data"
CHECKER = ROOT / ".checks/node/node_modules/axe-core/axe.min.js"
WIDTHS = (360, 480, 600, 768, 1024, 1280, 1920)
PAGES = (
    "applications/every-shape",
    "balances/kitchen-garden",
    "brews/drench-for-the-rows",
    "calibrations/first-harvest",
    "feeds/autumn-heap",
    "harvests/beds-and-heaps",
    "harvests/forecast",
    "seasons/kitchen-garden",
    "worm-beds/first-weeks",
    "worm-beds/school-garden",
)
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-sync",
    "--no-first-run",
    "--virtual-time-budget=60000",
)
# Runs in a page of its own: the sheet is in a frame, once for each width.
HARNESS = """<!DOCTYPE html><html lang="en"><meta charset="utf-8"><title>check</title><body>
<iframe id="sheet" title="sheet" style="border:0;height:900px" srcdoc="{page}"></iframe>
<pre id="found"></pre><script>
const sheet = document.getElementById("sheet");
sheet.onload = async () => {{
  const found = [];
  for (const width of {widths}) {{
    sheet.style.width = width + "px";
    const root = sheet.contentDocument.documentElement;
    if (root.scrollWidth > width) found.push("wider than " + width + ": " + root.scrollWidth);
    const window = sheet.contentWindow;
    const run = await window.axe.run(window.document, {{ resultTypes: ["violations"] }});
    for (const broken of run.violations) found.push(width + " " + broken.id + ": " + broken.nodes[0].html);
  }}
  document.getElementById("found").textContent = "FOUND" + JSON.stringify(found) + "END";
}};
</script></body></html>"""


def look(browser: str, page: str) -> list[str]:
    """Open a page at each width and return what is wrong with it."""
    checked = page.replace("</head>", f"<script>{CHECKER.read_text()}</script></head>")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "page.html"
        file.write_text(HARNESS.format(page=html.escape(checked), widths=list(WIDTHS)))
        command = [browser, *FLAGS, f"--user-data-dir={folder}/profile", "--dump-dom", file.as_uri()]
        done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=300)
    tree = done.stdout
    begin = tree.rfind('<pre id="found">FOUND')
    if begin < 0:
        raise SystemExit("the page was not checked to its end")
    text = tree[begin + len('<pre id="found">FOUND') : tree.index("END</pre>", begin)]
    return json.loads(html.unescape(text))


def main() -> int:
    """Check one page of each kind."""
    service = Service(sys.argv[1])
    browser = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if browser is None:
        raise SystemExit("no Chromium on this machine")
    faults = 0
    for name in PAGES:
        headers = {"content-type": "application/json", "accept": "text/html"}
        answer = service.ask("POST", f"/v1/{name.split('/')[0]}", headers, (DEMO / f"{name}.json").read_bytes())
        assert answer.status == 200, answer.body
        for fault in look(browser, answer.body.decode()):
            print(f"{name} {fault}")
            faults += 1
    print(f"{len(PAGES)} pages at {len(WIDTHS)} widths: {faults} faults")
    return int(faults > 0)


if __name__ == "__main__":
    raise SystemExit(main())

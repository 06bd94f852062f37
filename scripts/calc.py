"""Opens a workbook in LibreOffice without a window, puts an address into it, and prints what its cells show, as JSON.

calc.py WORKBOOK ADDRESS LOCALE SHEET!CELL...

Runs under Debian's own Python, which has the module uno.
"""

import contextlib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException
from com.sun.star.uno import Exception as UnoException

SECONDS_TO_START = 180
"""The longest that LibreOffice may take to start, which it does slowly for the first time."""
SECONDS = 60
"""The longest that it may take to fetch, and to end."""
SETTING = '<item oor:path="{path}"><prop oor:name="{name}" oor:op="fuse"><value>{value}</value></prop></item>'
UPDATE_ALL = 3


def profile(folder: Path, locale: str, trusted: Path) -> None:
    """Write the settings: the locale, and that workbooks of a folder may fetch."""
    trust = f"<it>{trusted.as_uri()}</it>"
    settings = [
        ("/org.openoffice.Setup/L10N", "ooSetupSystemLocale", locale),
        ("/org.openoffice.Office.Calc/Content/Update", "Link", "0"),
        ("/org.openoffice.Office.Common/Security/Scripting", "SecureURL", trust),
    ]
    items = "".join(SETTING.format(path=path, name=name, value=value) for path, name, value in settings)
    file = folder / "user" / "registrymodifications.xcu"
    file.parent.mkdir(parents=True)
    file.write_text(
        '<?xml version="1.0" encoding="UTF-8"?><oor:items xmlns:oor="http://openoffice.org/2001/registry" '
        f'xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">{items}</oor:items>'
    )


def prop(name: str, value: object) -> PropertyValue:
    """Make a property."""
    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


def connect(pipe: str) -> object:
    """Wait for LibreOffice and return its desktop."""
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    until = time.monotonic() + SECONDS_TO_START
    while True:
        try:
            context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            return context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        except NoConnectException:
            if time.monotonic() > until:
                raise
            time.sleep(0.2)


def shown(desktop: object, workbook: Path, address: str, cells: list[str]) -> dict[str, dict[str, object]]:
    """Open the workbook and read what its cells show once everything is fetched."""
    options = (prop("Hidden", True), prop("UpdateDocMode", UPDATE_ALL))
    document = desktop.loadComponentFromURL(workbook.as_uri(), "_blank", 0, options)
    document.Sheets.getByIndex(0).getCellRangeByName("B1").setString(address)
    until = time.monotonic() + SECONDS
    while True:
        document.calculateAll()
        found = {}
        for name in cells:
            sheet, _, cell = name.partition("!")
            at = document.Sheets.getByName(sheet).getCellRangeByName(cell)
            found[name] = {"text": at.String, "value": at.Value, "error": at.getError()}
        if all(not one["error"] for one in found.values()) or time.monotonic() > until:
            document.close(True)
            return found
        time.sleep(0.5)


def main() -> None:
    """Print what the cells show."""
    workbook, address, locale, *cells = sys.argv[1:]
    folder = Path(tempfile.mkdtemp())
    copied = folder / Path(workbook).name
    shutil.copy(workbook, copied)
    profile(folder / "profile", locale, folder)
    pipe = f"calc{folder.name}"
    office = subprocess.Popen(
        [
            "soffice",
            f"-env:UserInstallation={(folder / 'profile').as_uri()}",
            "--headless",
            "--norestore",
            "--nologo",
            f"--accept=pipe,name={pipe};urp",
        ],
        stdout=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        desktop = connect(pipe)
        print(json.dumps(shown(desktop, copied, address, cells)), flush=True)
        # The result is there: how LibreOffice ends is no longer of interest.
        with contextlib.suppress(UnoException, subprocess.TimeoutExpired):
            desktop.terminate()
            office.wait(SECONDS)
    finally:
        # A script starts the program proper: both are of one session, whose number is that of its first process.
        with contextlib.suppress(ProcessLookupError):
            os.killpg(office.pid, signal.SIGKILL)
        office.wait()
        shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    main()

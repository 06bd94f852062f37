"""Compares the document with that of the newest release, and fails where a client of that release would break.

What breaks a client is in scripts/evolution.py. The document of each release is kept as
openapi/released/VERSION.json.

Usage: check_evolution.py openapi/openapi.json openapi/released
"""

import json
import sys
from pathlib import Path

from evolution import Comparison


def newest(folder: Path) -> Path | None:
    """Give the document of the newest release."""
    released = [file for file in folder.glob("*.json") if all(part.isdigit() for part in file.stem.split("."))]
    return max(released, key=lambda file: tuple(int(part) for part in file.stem.split(".")), default=None)


def main() -> int:
    """Compare, and tell what breaks."""
    if len(sys.argv) != 3:
        raise SystemExit(__doc__)
    current, release = Path(sys.argv[1]), newest(Path(sys.argv[2]))
    if release is None:
        print("nothing is released yet: at a release, its document goes to openapi/released/VERSION.json")
        return 0
    findings = Comparison(json.loads(release.read_text()), json.loads(current.read_text())).findings
    for finding in findings:
        print(finding)
    print(f"{len(findings)} changes since {release.stem} break clients")
    return 1 if findings else 0


if __name__ == "__main__":
    sys.exit(main())

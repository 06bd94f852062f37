"""Run the commands of docs/cookbook as they are there, and compare what they print.

Each file is one session of a shell in a folder of its own. A block `sh` is run, and no command of it may fail; the
lines of a block `text` right after it are lines that it printed, in this order. Of a line that ends with "…" only the
beginning is compared. `localhost:8080` is the service under test, and `barrowful` the program. Blocks of
other kinds are shown and not run: they need a container engine.

Usage: check_cookbook.py URL PROGRAM
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from urllib.parse import urlsplit

ROOT = Path(__file__).resolve().parent.parent
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
MARK = "-- the next block --"
MORE = "…"


def steps(text: str) -> list[tuple[str, list[str]]]:
    """List the commands of a file, each block with the lines that it prints."""
    found: list[tuple[str, list[str]]] = []
    end = 0
    for block in BLOCK.finditer(text):
        kind, content = block.groups()
        if kind == "sh":
            found.append((content, []))
        elif kind == "text" and found and not text[end : block.start()].strip():
            found[-1][1].extend(content.splitlines())
        end = block.end()
    return found


def is_printed(line: str, printed: str) -> bool:
    """Tell whether a line of the cookbook is the one that was printed, or the beginning of it where it says so."""
    return printed.startswith(line.removesuffix(MORE)) if line.endswith(MORE) else printed == line


def run(file: Path, url: str, program: Path) -> int:
    """Run the commands of a file; return how many blocks there were."""
    session = steps(file.read_text())
    script = f"\necho '{MARK}'\n".join(commands for commands, _ in session)
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(ROOT / "demo-data", Path(folder) / "demo-data")
        (Path(folder) / "bin").mkdir()
        (Path(folder) / "bin/barrowful").symlink_to(program)
        environment = os.environ | {"PATH": f"{folder}/bin:{os.environ['PATH']}"}
        command = ["bash", "-eu", "-c", script.replace("localhost:8080", urlsplit(url).netloc)]
        done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    printed = done.stdout.split(f"{MARK}\n")
    failed = session[len(printed) - 1][0]
    assert done.returncode == 0, f"{file.name}: status {done.returncode} in\n{failed}{printed[-1]}{done.stderr}"
    for (commands, expected), output in zip(session, printed, strict=True):
        rest = iter(output.splitlines())
        missing = [line for line in expected if not any(is_printed(line, other) for other in rest)]
        assert not missing, f"{file.name}: {missing} not printed by\n{commands}but\n{output}{done.stderr}"
    return len(session)


def main() -> int:
    """Run all files."""
    url, program = sys.argv[1], Path(sys.argv[2]).resolve()
    files = sorted((ROOT / "docs/cookbook").glob("*.md"))
    blocks = sum(run(file, url, program) for file in files)
    assert blocks > len(files), "no command was found"
    print(f"{blocks} blocks of commands in {len(files)} files of the cookbook do what they say")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

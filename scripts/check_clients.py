"""Makes typed clients from the committed document, without edits, and uses each for a season.

For each generator: the client is made from openapi/openapi.json, the program of docs/clients is checked with strict
types against it, wrong requests are checked to be type errors, and the program is run against the service. The
TypeScript and the Python program ask the same, so they must print the same.

Usage: check_clients.py http://127.0.0.1:PORT
"""

import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DOCUMENT = ROOT / "openapi/openapi.json"
EXAMPLES = ROOT / "docs/clients"
NODE = ROOT / ".checks/node"
PYTHON = ROOT / ".checks/python/bin"
SECONDS = 300
"""The longest that a tool may take."""

# Each marked line must be a type error: otherwise the types let anything pass, and the compiler says so.
WRONG_TYPESCRIPT = """
import createClient from "openapi-fetch";
import type { components, paths } from "./barrowful";

type Area = components["schemas"]["AreaRequest"];
type Season = components["schemas"]["SeasonsRequest"];
const surface = { kind: "rectangle", length: "2.4 m", width: "1.2 m" } as const;
export const right: Area = { surface, rate: { kind: "depth", amount: { value: 2, unit: "cm" } } };
// @ts-expect-error a number has no unit
export const number: Area = { surface: { kind: "rectangle", length: 2.4, width: "1.2 m" } };
// @ts-expect-error there is no such kind of surface
export const kind: Area = { surface: { kind: "square", length: "2.4 m" } };
// @ts-expect-error there is no such field
export const field: Area = { surface, ratio: "2 cm" };
// @ts-expect-error null is left out
export const empty: Area = { surface, rate: null };
// @ts-expect-error there are no demands
export const nothing: Season = { until: "2028-04-30" };
const service = createClient<paths, "application/json">({ baseUrl: "" });
// @ts-expect-error there is no such table
export const table = service.GET("/v1/seasons", { params: { query: { request: "e30", table: "beds" } } });
// @ts-expect-error containers are a list
export const list = service.GET("/v1/brews/volume", { params: { query: { water: "9 L", container: "bucket:9 L" } } });
"""

WRONG_PYTHON = """
from barrowful_client.models import AreaRequest, Quantity, Rectangle, SeasonsRequest

SURFACE = Rectangle(kind="rectangle", length="2.4 m", width=Quantity(value=1.2, unit="m"))
AreaRequest(surface=Rectangle(kind="rectangle", length=2.4, width="1.2 m"))  # type: ignore[arg-type]
AreaRequest(surface=Rectangle(kind="square", length="2.4 m", width="1.2 m"))  # type: ignore[arg-type]
AreaRequest(surface=SURFACE, ratio="2 cm")  # type: ignore[call-arg]
AreaRequest(surface=SURFACE, rate=None)  # type: ignore[arg-type]
SeasonsRequest(until=None)  # type: ignore[call-arg, arg-type]
"""


def run(*command: str | Path, folder: Path) -> str:
    """Run a tool; what it prints is given back, or shown where it fails."""
    # Neither its own caches beside the sources, nor anything reported to its makers.
    settings = os.environ | {"PYTHONDONTWRITEBYTECODE": "1", "DO_NOT_TRACK": "1"}
    named = " ".join(map(str, command))
    try:
        done = subprocess.run(
            command, cwd=folder, env=settings, capture_output=True, text=True, check=False, timeout=SECONDS
        )
    except subprocess.TimeoutExpired as late:
        raise SystemExit(f"{named}\ndid not end within {SECONDS} seconds") from late
    if done.returncode != 0:
        raise SystemExit(f"{named}\n{done.stdout}{done.stderr}")
    return done.stdout


def fresh(folder: Path) -> Path:
    """Make an empty folder."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    return folder


def typescript(url: str) -> str:
    """Make types, compile the program and the wrong requests with them, and run the program."""
    folder = fresh(NODE / "clients")
    for file in ("season.ts", "tsconfig.json"):
        shutil.copy(EXAMPLES / "typescript" / file, folder)
    (folder / "package.json").write_text(json.dumps({"private": True, "type": "module"}))
    (folder / "wrong.ts").write_text(WRONG_TYPESCRIPT)
    settings = {"extends": "./tsconfig.json", "files": ["season.ts", "wrong.ts"]}
    (folder / "all.json").write_text(json.dumps(settings))
    tools = NODE / "node_modules/.bin"
    run(tools / "openapi-typescript", DOCUMENT, "-o", "barrowful.d.ts", folder=folder)
    run(tools / "tsc", "--project", "all.json", folder=folder)
    return run("node", "season.js", url, folder=folder)


def python_client(folder: Path, url: str) -> str:
    """Make a client, check the types of the program and of the wrong requests, and run the program."""
    settings = EXAMPLES / "python/generator.yaml"
    options = ("--meta", "none", "--config", settings, "--output-path", "barrowful_client", "--fail-on-warning")
    run(PYTHON / "openapi-python-client", "generate", "--path", DOCUMENT, *options, folder=folder)
    (folder / "wrong.py").write_text(WRONG_PYTHON)
    return checked(folder, url, "season.py", "wrong.py")


def python_models(folder: Path, url: str) -> str:
    """Make models, check the types of the program, and run it."""
    options = "--use-annotated --use-type-alias --enum-field-as-literal all --extra-fields allow --formatters builtin"
    files = ("--input", DOCUMENT, "--input-file-type", "openapi", "--output", "barrowful_models.py")
    models = ("--output-model-type", "pydantic_v2.BaseModel", "--disable-warnings")
    run(PYTHON / "datamodel-codegen", *files, *models, *options.split(), folder=folder)
    return checked(folder, url, "season_with_models.py")


def checked(folder: Path, url: str, program: str, *others: str) -> str:
    """Check the types of a program of docs/clients, and run it."""
    shutil.copy(EXAMPLES / "python" / program, folder)
    run(PYTHON / "mypy", "--strict", "--cache-dir", folder / "types", program, *others, folder=folder)
    return run(PYTHON / "python", program, url, folder=folder)


def main() -> int:
    """Make, check and use every client."""
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    url, folder = sys.argv[1], fresh(ROOT / ".checks/clients")
    printed = {}
    for name, use in (
        ("openapi-typescript with openapi-fetch", lambda: typescript(url)),
        ("openapi-python-client", lambda: python_client(folder, url)),
        ("datamodel-code-generator", lambda: python_models(folder, url)),
    ):
        begin = time.monotonic()
        printed[name] = use()
        lines = printed[name].splitlines()
        print(f"{name}: made, compiled, used ({time.monotonic() - begin:.0f} s); it printed {len(lines)} lines")
        if not any(line.startswith("the bed: ") for line in lines) or "refused: " not in printed[name]:
            raise SystemExit(f"{name} printed no bed or no refusal:\n{printed[name]}")
    one, other, _ = printed.values()
    if one != other:
        raise SystemExit(f"the same questions, two answers:\n{one}\n{other}")
    print(one, end="")
    return 0


if __name__ == "__main__":
    sys.exit(main())

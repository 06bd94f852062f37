"""Checks the licence and the origin of every package that barrowful builds on.

What it proves: each package in `Cargo.lock`, on all platforms and with all features, carries an SPDX licence
expression that the permissive licences listed in `deny.toml` satisfy, and comes from cargo's own public index.
It reads the same list as cargo-deny, which takes minutes to build; this takes a second.

Source: `cargo metadata`, and the SPDX expression grammar (SPDX 2.3, annex D): AND binds tighter than OR.

Usage: check_licences.py
"""

import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# What cargo calls the public index that it uses by itself ends like this; repositories and other indexes do not.
INDEX = re.compile(r"^registry\+\S+/rust-lang/\S+-index$")


def permitted(expression: str, allowed: set[str]) -> bool:
    """Tell whether the allowed licences satisfy an SPDX expression. Older packages write `/` for OR."""
    tokens = re.findall(r"[()]|[^\s()]+", expression.replace("/", " OR "))
    position = 0

    def peek() -> str:
        return tokens[position] if position < len(tokens) else ""

    def take() -> str:
        nonlocal position
        position += 1
        return tokens[position - 1]

    def single() -> bool:
        if peek() == "(":
            take()
            inside = either()
            if peek() != ")":
                raise ValueError(f"{expression}: a bracket is not closed")
            take()
            return inside
        name = take()
        if peek() == "WITH":
            name = f"{name} {take()} {take()}"
        return name in allowed

    def both() -> bool:
        result = single()
        while peek() == "AND":
            take()
            result = single() and result
        return result

    def either() -> bool:
        result = both()
        while peek() == "OR":
            take()
            result = both() or result
        return result

    result = either()
    if position != len(tokens):
        raise ValueError(f"{expression}: not understood from {peek()} on")
    return result


def check_reader() -> None:
    """Check the reader of expressions on a few whose verdict is plain."""
    for expression, verdict in {
        "MIT": True,
        "GPL-3.0-only": False,
        "GPL-3.0-only OR MIT": True,
        "GPL-3.0-only AND MIT": False,
        "(GPL-3.0-only OR MIT) AND Zlib": True,
        "MIT AND Zlib OR GPL-3.0-only": True,
        "GPL-3.0-only OR MIT AND GPL-3.0-only": False,
        "MIT WITH Some-exception": False,
        "MIT/GPL-3.0-only": True,
    }.items():
        if permitted(expression, {"MIT", "Zlib"}) is not verdict:
            raise AssertionError(expression)


def main() -> int:
    """Read the list of packages and judge each."""
    check_reader()
    allowed = set(tomllib.loads((ROOT / "deny.toml").read_text(encoding="utf-8"))["licenses"]["allow"])
    command = ["cargo", "metadata", "--locked", "--all-features", "--format-version", "1"]
    listed = json.loads(subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.PIPE).stdout)
    packages = [package for package in listed["packages"] if package["source"] is not None]
    faults = []
    for package in packages:
        title = f"{package['name']} {package['version']}"
        if not package["license"]:
            faults.append(f"{title}: names no licence")
        elif not permitted(package["license"], allowed):
            faults.append(f"{title}: {package['license']} is not permitted by deny.toml")
        if not INDEX.match(package["source"] or ""):
            faults.append(f"{title}: comes from {package['source']}")
    for fault in faults:
        print(f"fault: {fault}")
    print(f"{len(packages)} packages checked, permitted licences: {', '.join(sorted(allowed))}")
    return 1 if faults or not packages else 0


if __name__ == "__main__":
    sys.exit(main())

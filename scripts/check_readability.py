"""Measures how easily the texts of the project read, and prints it; texts for growers have a bound.

For each document: the median over its passages (paragraphs, items of lists, cells of tables, descriptions) of Flesch's
reading ease (higher is easier: 60 and more is plain English) and of the grade by Flesch and Kincaid (years of school).
Passages of less than eight words say little and are left out, and so is code. A passage of a few words about nutrients
is hard by these measures whatever one does, so single passages have no bound and the hardest ones are only shown.

Source of the measures: `textstat` from PyPI, which shares no code with the service.

Usage: check_readability.py openapi/openapi.json http://127.0.0.1:PORT [HOW MANY OF THE HARDEST TO SHOW]
"""

import json
import re
import statistics
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import textstat

from service import Service

ROOT = Path(__file__).resolve().parent.parent
LEAST_WORDS = 8
# The highest median grade of texts that are written for growers.
MOST_GRADE = {"README.md": 8.0, "page at /docs": 6.0, "docs/glossary.md": 6.0, "cautions": 6.0, "descriptions": 6.0}


def plain(text: str) -> str:
    """Take out the marks of Markdown, and code that is no word."""
    text = re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", text)
    text = re.sub(r"`([^`]*)`", lambda code: code[1] if re.fullmatch(r"\w+", code[1]) else "it", text)
    return re.sub(r"\s+", " ", text.replace("*", "").replace("_", " ")).strip()


def markdown(text: str) -> Iterator[str]:
    """Give the paragraphs, items and cells of a page in Markdown."""
    text = re.sub(r"```.*?```", "\n\n", text, flags=re.DOTALL)
    for block in re.split(r"\n\s*\n|\n(?=\s*[-|]|#)", text):
        if block.startswith("#") or set(block.strip()) <= set("|-: "):
            continue
        if block.lstrip().startswith("|"):
            yield from (plain(cell) for cell in block.strip().strip("|").split("|"))
        else:
            yield plain(block.lstrip(" -"))


class Paragraphs(HTMLParser):
    """The texts of a page in HTML that are no code."""

    BLOCKS = frozenset({"p", "dt", "dd", "li", "h1", "h2", "h3", "summary", "label"})
    CODE = frozenset({"pre", "textarea", "script", "style"})

    def __init__(self) -> None:
        """Begin without any."""
        super().__init__()
        self.texts = [""]
        self._code = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin a text, or code."""
        self._code |= tag in self.CODE
        if tag in self.BLOCKS:
            self.texts.append("")

    def handle_endtag(self, tag: str) -> None:
        """End a text, or code."""
        self._code &= tag not in self.CODE
        if tag in self.BLOCKS:
            self.texts.append("")

    def handle_data(self, data: str) -> None:
        """Keep what is no code."""
        if not self._code:
            self.texts[-1] += data


def page(html: str) -> list[str]:
    """Give the texts of a page."""
    reader = Paragraphs()
    reader.feed(html)
    return [plain(text) for text in reader.texts]


def descriptions(part: Any) -> Iterator[str]:  # noqa: ANN401 - any JSON value
    """Give every description of the document's schemas and operations."""
    if isinstance(part, dict):
        for key, value in part.items():
            if key in {"description", "summary"} and isinstance(value, str):
                yield from (plain(text) for text in value.split("\n\n"))
            elif key not in {"example", "examples"}:
                yield from descriptions(value)
    elif isinstance(part, list):
        for value in part:
            yield from descriptions(value)


def documents(document: Any, service: Service) -> dict[str, list[str]]:  # noqa: ANN401 - any JSON value
    """Gather the passages of every document."""
    pages = ["README.md", "DEVELOPERS.md", "docs/glossary.md", "docs/claims.md", "docs/validation.md"]
    pages += sorted(str(path.relative_to(ROOT)) for path in (ROOT / "docs/decisions").glob("*.md"))
    found = {name: list(markdown((ROOT / name).read_text(encoding="utf-8"))) for name in pages}
    found["page at /docs"] = page(service.ask("GET", "/docs/").body.decode())
    cautions = service.ask("GET", "/v1/cautions").json()["cautions"]
    found["cautions"] = [plain(rule["text"]) for rule in cautions]
    parts = (document["components"]["schemas"], document["paths"])
    found["descriptions"] = [text for part in parts for text in descriptions(part)]
    return {name: [text for text in texts if len(text.split()) >= LEAST_WORDS] for name, texts in found.items()}


def main() -> int:
    """Print the medians; 1 if a text for growers is too hard."""
    document = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    hardest = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    too_hard = []
    print(f"{'document':46}{'passages':>9}{'ease':>7}{'grade':>7}{'bound':>7}")
    for name, texts in documents(document, Service(sys.argv[2])).items():
        assert texts, f"{name} has no passage"
        ease = statistics.median(textstat.flesch_reading_ease(text) for text in texts)
        grade = statistics.median(textstat.flesch_kincaid_grade(text) for text in texts)
        bound = MOST_GRADE.get(name)
        print(f"{name:46}{len(texts):9}{ease:7.1f}{grade:7.1f}{'' if bound is None else bound:>7}")
        if bound is not None and grade > bound:
            too_hard.append(f"{name}: half of its passages need more than {bound} years of school")
        for text in sorted(texts, key=textstat.flesch_kincaid_grade, reverse=True)[:hardest]:
            print(f"    {textstat.flesch_kincaid_grade(text):5.1f}  {text}")
    print("\n".join(too_hard))
    return 1 if too_hard else 0


if __name__ == "__main__":
    raise SystemExit(main())

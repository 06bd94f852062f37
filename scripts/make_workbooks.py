"""Makes the example workbooks of demo-data: cells, a table by its address, and a link to a season.

make_workbooks.py          writes them
make_workbooks.py --check  says whether they are what this script makes
"""

import base64
import io
import os
import sys
import zipfile
from pathlib import Path
from typing import NamedTuple

# It writes in another way where lxml is there, which has nothing to do with what is written.
os.environ["OPENPYXL_LXML"] = "False"

import openpyxl
from odf import opendocument, style, table, text
from odf.namespaces import TABLENS

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "demo-data" / "tables"
SEASON = ROOT / "demo-data" / "seasons" / "shortest.json"
LARGEST = 30_000
"""Bytes of a workbook."""
CHANGING = {"docProps/core.xml", "meta.xml"}
"""Parts that hold the time at which a workbook was made."""


class Formula(NamedTuple):
    """A formula: `;` between arguments, and `{B4}` for a cell of the sheet. A cell of another sheet is `{cells!B1}`."""

    written: str


Cell = str | float | Formula
Sheets = dict[str, list[list[Cell]]]

BEDS = [
    ("salad bed", "2.4 m", "1.2 m", "2 cm"),
    ("herbs", "1 m", "80 cm", "1 cm"),
    ("beans", "4 m", "60 cm", "5 mm"),
]
FIRST_COLUMN = 24
"""The width of the first column in letters: it holds "address of the service"."""
FIRST_BED = 4
TABLE = ["name,length,width,rate", *(",".join(bed) for bed in BEDS)]


def litres(row: int) -> Formula:
    """Ask for the litres of the bed in a row."""
    parts = "&".join(
        f'"{name}="&ENCODEURL({{{column}{row}}})&"{end}"'
        for name, column, end in (("length", "B", "&"), ("width", "C", "&"), ("rate", "D", "&unit=L"))
    )
    return Formula(f'NUMBERVALUE(WEBSERVICE({{B1}}&"/v1/applications/volume?"&{parts});".";",")')


def sheets() -> Sheets:
    """Tell what is in each sheet."""
    address: list[list[Cell]] = [["address of the service", "http://127.0.0.1:8080"], []]
    beds: list[list[Cell]] = [[*bed, litres(row)] for row, bed in enumerate(BEDS, FIRST_BED)]
    last = FIRST_BED + len(BEDS) - 1
    total: list[list[Cell]] = [["total", "", "", "", Formula(f"SUM({{E{FIRST_BED}:E{last}}})")]]
    cells = [*address, ["bed", "length", "width", "rate", "litres of castings"], *beds, *total]
    lines: list[list[Cell]] = [[line] for line in TABLE]
    joined = "&CHAR(10)&".join(f"{{A{row}}}" for row in range(1, len(TABLE) + 1))
    by_address = f'{{cells!B1}}&"/v1/applications/table?errors=cell&csv="&ENCODEURL({joined})'
    asked: list[list[Cell]] = [
        [],
        ["answer", Formula(f"WEBSERVICE({by_address})")],
        ["open it", Formula(f'HYPERLINK({by_address};"the table with its answer")')],
    ]
    request = base64.urlsafe_b64encode(SEASON.read_bytes()).decode().rstrip("=")
    pieces = [request[at : at + 200] for at in range(0, len(request), 200)]
    joined = "&".join(f"{{B{row}}}" for row in range(1, len(pieces) + 1))
    season: list[list[Cell]] = [["request" if row == 0 else "", piece] for row, piece in enumerate(pieces)]
    link = f'HYPERLINK({{cells!B1}}&"/v1/seasons?as=html&request="&{joined};"the season as a page")'
    return {"cells": cells, "table": [*lines, *asked], "season": [*season, [], ["open it", Formula(link)]]}


def references(formula: Formula) -> list[str]:
    """Take a formula apart: what is at odd places are references."""
    return formula.written.replace("{", "}").split("}")


NEW_FUNCTIONS = ("NUMBERVALUE", "WEBSERVICE", "ENCODEURL")


def xlsx() -> bytes:
    """Make the workbook as xlsx."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets().items():
        sheet = book.create_sheet(name)
        sheet.column_dimensions["A"].width = FIRST_COLUMN
        for at, row in enumerate(rows, 1):
            for column, cell in enumerate(row, 1):
                sheet.cell(at, column).value = in_xlsx(cell) if isinstance(cell, Formula) else cell
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def in_xlsx(formula: Formula) -> str:
    """Write a formula as xlsx files hold it: commas, and a prefix before functions that came late."""
    written = "".join(references(formula)).replace(";", ",")
    for function in NEW_FUNCTIONS:
        written = written.replace(f"{function}(", f"_xlfn.{function}(")
    return f"={written}"


def ods() -> bytes:
    """Make the workbook as ods."""
    book = opendocument.OpenDocumentSpreadsheet()
    first = style.Style(name="first", family="table-column")
    first.addElement(style.TableColumnProperties(columnwidth="5cm"))
    book.automaticstyles.addElement(first)
    for name, rows in sheets().items():
        sheet = table.Table(name=name)
        sheet.addElement(table.TableColumn(stylename=first))
        for row in rows:
            line = table.TableRow()
            for cell in row or [""]:
                line.addElement(ods_cell(cell))
            sheet.addElement(line)
        book.spreadsheet.addElement(sheet)
    file = io.BytesIO()
    book.write(file)
    return file.getvalue()


def ods_cell(cell: Cell) -> table.TableCell:
    """Make a cell of ods."""
    if isinstance(cell, Formula):
        made = table.TableCell()
        made.setAttrNS(TABLENS, "formula", in_ods(cell))
        return made
    made = table.TableCell(valuetype="string")
    made.addElement(text.P(text=str(cell)))
    return made


def in_ods(formula: Formula) -> str:
    """Write a formula as ods files hold it."""
    parts = references(formula)
    for at in range(1, len(parts), 2):
        sheet, _, cell = parts[at].rpartition("!")
        first, _, last = cell.partition(":")
        parts[at] = f"[${sheet}.{first}]" if sheet else f"[.{first}{':.' + last if last else ''}]"
    written = "".join(parts)
    for function in ("WEBSERVICE", "ENCODEURL"):
        written = written.replace(f"{function}(", f"COM.MICROSOFT.{function}(")
    return f"of:={written}"


def contents(book: bytes) -> dict[str, bytes]:
    """Read the parts of a workbook, without those that hold a time."""
    with zipfile.ZipFile(io.BytesIO(book)) as parts:
        return {name: parts.read(name) for name in parts.namelist() if name not in CHANGING}


def main() -> None:
    """Write the workbooks, or check them."""
    for name, made in (("beds.xlsx", xlsx()), ("beds.ods", ods())):
        path = FOLDER / name
        if len(made) > LARGEST:
            raise SystemExit(f"{name} has {len(made)} bytes; it may have {LARGEST}")
        if "--check" not in sys.argv:
            path.write_bytes(made)
        elif not path.exists() or contents(path.read_bytes()) != contents(made):
            raise SystemExit(f"{path.relative_to(ROOT)} is stale; make it again with scripts/make_workbooks.py")
        print(f"{name}: {len(made)} bytes")


if __name__ == "__main__":
    main()

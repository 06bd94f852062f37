"""Opens the example workbooks in LibreOffice in two locales, and reads tables with other programs.

check_spreadsheets.py ADDRESS
"""

import csv
import io
import json
import subprocess
import sys
from pathlib import Path
from urllib.parse import quote

import openpyxl
import pandas as pd

import make_workbooks
from service import Service

HERE = Path(__file__).resolve().parent
LOCALES = {"en-US": "77.6", "de-DE": "77,6"}
BEDS = {"salad bed": 57.6, "herbs": 8.0, "beans": 12.0}
NAMES = ["=SUM(A1)", "007", '6 ft 4"', "a;b,c", "two\nlines", "Möhren"]


def check_workbooks(address: str) -> None:
    """Check that the sum over cells is a number in every locale, and that a table by its address is answered."""
    sheets = make_workbooks.sheets()
    total = f"cells!E{len(sheets['cells'])}"
    answer = f"table!B{len(sheets['table']) - 1}"
    link = f"season!B{len(sheets['season'])}"
    for name in ("beds.ods", "beds.xlsx"):
        for locale, written in LOCALES.items():
            workbook = make_workbooks.FOLDER / name
            # Debian's Python: it has the module of LibreOffice.
            command = [
                "/usr/bin/python3",
                "-B",
                str(HERE / "calc.py"),
                str(workbook),
                address,
                locale,
                total,
                answer,
                link,
            ]
            done = subprocess.run(command, check=True, capture_output=True, text=True)
            shown = json.loads(done.stdout)
            assert not any(cell["error"] for cell in shown.values()), shown
            assert (shown[total]["value"], shown[total]["text"]) == (sum(BEDS.values()), written), shown[total]
            assert shown[link]["text"] == "the season as a page", shown[link]
            rows = list(csv.DictReader(io.StringIO(shown[answer]["text"], newline="")))
            assert {row["name"]: float(row["castings_L"]) for row in rows} == BEDS, rows
            print(f"{name} in {locale}: {written} L")


def answered(service: Service, query: str, table: str) -> str:
    """Send a table and return the answer."""
    target = f"/v1/applications/table?{query}"
    answer = service.ask("POST", target, {"content-type": "text/csv"}, table.encode())
    assert answer.status == 200, answer.body
    return answer.body.decode()


def written(names: list[str], delimiter: str, length: str) -> str:
    """Write a table of beds as Python's csv does."""
    file = io.StringIO(newline="")
    writer = csv.writer(file, delimiter=delimiter)
    writer.writerow(["name", "length", "width", "rate", "own"])
    writer.writerows([f"={place}", length, "1 m", "1 cm", name] for place, name in enumerate(names))
    return file.getvalue()


def check_readers(service: Service) -> None:
    """Check that what other programs write is read, and that they read the answer with its cells and numbers."""
    guarded = [f"'{name}" if name.startswith("=") else name for name in NAMES]
    plain = answered(service, "", written(NAMES, ",", "2.5 m"))
    rows = list(csv.DictReader(io.StringIO(plain, newline="")))
    assert [row["own"] for row in rows] == guarded, rows
    assert [row["name"] for row in rows] == [f"'={place}" for place in range(len(NAMES))], rows
    frame = pd.read_csv(io.StringIO(plain, newline=""), dtype={"own": str})
    assert frame["castings_L"].dtype == float or frame["castings_L"].dtype == int, frame.dtypes
    assert frame["castings_L"].sum() == 25 * len(NAMES)
    assert list(frame["own"]) == guarded
    comma = answered(service, "decimal=comma&bom=true", written(NAMES, ";", "2,55 m"))
    frame = pd.read_csv(io.StringIO(comma.removeprefix("\ufeff"), newline=""), sep=";", decimal=",", dtype={"own": str})
    assert list(frame["castings_L"]) == [25.5] * len(NAMES), frame["castings_L"]
    # Through a workbook and back: a formula would come back as one.
    file = io.BytesIO()
    pd.read_csv(io.StringIO(plain, newline=""), dtype=str, keep_default_na=False).to_excel(file, index=False)
    sheet = openpyxl.load_workbook(file).active
    again = [[str(cell.value or "") for cell in row] for row in sheet.iter_rows()]
    assert [row[4] for row in again[1:]] == guarded, again
    assert not any(cell.data_type == "f" for row in sheet.iter_rows() for cell in row)
    table = io.StringIO(newline="")
    csv.writer(table).writerows(again)
    assert answered(service, "", table.getvalue()) == plain
    print("csv, pandas and openpyxl read what was written")


def check_address(service: Service) -> None:
    """Check that a table in an address is answered as one that is sent."""
    table = written(["a"], ",", "2 m")
    linked = service.ask("GET", f"/v1/applications/table?csv={quote(table)}")
    assert (linked.status, linked.body.decode()) == (200, answered(service, "", table))


def main() -> None:
    """Check everything."""
    address = sys.argv[1]
    # In a process of its own: what is imported here has settled how openpyxl writes.
    subprocess.run([sys.executable, "-B", make_workbooks.__file__, "--check"], check=True)
    check_workbooks(address)
    service = Service(address)
    check_readers(service)
    check_address(service)


if __name__ == "__main__":
    main()

"""A small lab with a small campaign, planned whole, and returns filled in as people fill them in."""

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from pipeline.ledger.returned import CUTTING, RETURNS, SHEET_NAMES, match_heading
from pipeline.plan import make_plan
from pipeline.settings import Settings
from pipeline.store import Store
from tests import builders as b

START = date(2027, 1, 4)
Entries = dict[str, Any]
Fill = Callable[[str, dict[str, Any]], Entries | None]
"""From the kind of sheet and a row's values by field to what is typed in; None leaves the row as it is."""
RETURN_HEADINGS = (
    *(
        "Plan",
        "Volume",
        "Work",
        "Planned day",
        "Paper 1",
        "Planned 1",
        "Used 1",
        "Paper 2",
        "Planned 2",
        "Used 2",
    ),
    *("Fore edge planned (mm)", "Fore edge limit (mm)", "Status", "Date", "Initials", "Minutes laying in"),
    *("Minutes other steps", "Spoiled", "Fore edge after (mm)", "Old leaves out", "Boxed", "Note"),
)
CUTTING_HEADINGS = (
    *("Plan", "Pattern", "Stock", "Parents planned", "Status", "Date", "Initials", "Parents cut"),
    *("Parents spoiled", "Minutes", "Note"),
)


def small_inventory(path: Path, volumes: int = 6, **overrides: Any) -> Path:
    """An inventory of a few volumes in two collections, listed and counted openings, two papers."""
    rows, openings = [], []
    for number in range(1, volumes + 1):
        name = f"V-{number:03d}"
        rows.append(
            b.volume(
                name,
                collection="Fair" if number % 2 else "Seed",
                page_width_mm=200.0 + 12 * (number % 5),
                page_height_mm=280.0 + 9 * (number % 4),
                openings_fastener=number % 3,
                existing_leaves=4 if number % 4 == 0 else 0,
                existing_leaf_thickness_um=50.0 if number % 4 == 0 else 0.0,
                significance=1 + number % 5,
                skill="technician" if number % 2 else "volunteer",
            )
        )
        openings.append(b.opening(name, openings=f"3-{5 + number % 6}", severity=3))
        if number % 3 == 0:
            openings.append(
                b.opening(
                    name, openings="20-21", left="colour_print", right="print", hazards="facing_photographs"
                )
            )
    given: dict[str, Any] = {
        "volumes": rows,
        "openings": openings,
        "papers": [b.paper(), b.paper("P-2", buffer="unbuffered", ph=7.2, thickness_um=70.0)],
        "stock": [b.stock(on_hand=5.0), b.stock("S-2", paper_id="P-2")],
        "staff": [
            b.person(hours_per_week=10.0),
            b.person("V-1", skill="volunteer", hours_per_week=6.0, days="Tue, Thu", hourly_rate=None),
        ],
        "enclosures": [b.enclosure()],
    }
    return b.inventory(path, **(given | overrides))


def small_plan(folder: Path, volumes: int = 6, **overrides: Any) -> Path:
    """Folder of the plan of such an inventory."""
    inventory = small_inventory(folder / "inventory.xlsx", volumes, **overrides)
    settings = Settings(
        inventory=inventory, out=folder / "plan", as_of=START, planned_at=datetime(2027, 1, 4, 8)
    )
    make_plan(settings, lambda text: None)
    return settings.out


def returns_book(plan: Path, path: Path) -> Path:
    """A blank workbook of returns of a plan: a row per volume with work, a row per pattern."""
    with Store(plan / "plan.duckdb", read_only=True) as store:
        revision = store.read("published.run")["revision"][0]
        volumes = store.rows(
            "select volume_id, min(start_at), bool_or(kind = 'interleave'), fore_edge_after_mm from published.tasks "
            "join published.volumes using (volume_id) group by all order by 2, 1"
        )
        papers = store.rows(
            "select volume_id, paper_id, cast(sum(sheets) as bigint) from published.interleaves "
            "group by all order by 1, 2"
        )
        patterns = store.rows("select pattern_id, stock_id, sheets from published.patterns order by 1")
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = SHEET_NAMES[RETURNS]
    sheet.append(RETURN_HEADINGS)
    for volume_id, start_at, has_sheets, edge in volumes:
        mine = [cell for name, paper, count in papers if name == volume_id for cell in (paper, count, None)]
        work = "interleave" if has_sheets else "box only"
        day = start_at.date() if start_at else None
        sheet.append([revision, volume_id, work, day, *(mine + [None] * 6)[:6], edge])
    cutting = book.create_sheet(SHEET_NAMES[CUTTING])
    cutting.append(CUTTING_HEADINGS)
    for pattern_id, stock_id, sheets in patterns:
        cutting.append([revision, pattern_id, stock_id, sheets])
    book.save(path)
    return path


def fill_in(book_path: Path, returned: Path, entries: Fill) -> Path:
    """A copy of a workbook of returns with `entries(kind, row)` typed into its rows."""
    book = load_workbook(book_path)
    for kind, name in SHEET_NAMES.items():
        if name in book.sheetnames:
            _fill_sheet(kind, book[name], entries)
    book.save(returned)
    return returned


def _fill_sheet(kind: str, sheet: Worksheet, entries: Fill) -> None:
    columns = {match_heading(kind, str(cell.value or ""))[0]: cell.column for cell in sheet[1]}
    key = "volume_id" if kind == RETURNS else "pattern_id"
    for row_no in range(2, sheet.max_row + 1):
        row = {name: sheet.cell(row_no, column).value for name, column in columns.items() if name}
        if row.get(key) is None:
            continue
        for name, value in (entries(kind, row) or {}).items():
            sheet.cell(row_no, columns[name]).value = value

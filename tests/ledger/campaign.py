"""A small lab with a small campaign, planned whole, and returns filled in as people fill them in."""

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

from openpyxl import load_workbook

from pipeline.ledger.returned import match_heading
from pipeline.plan import make_plan
from pipeline.settings import Settings
from tests import builders as b

START = date(2027, 1, 4)
Entries = dict[str, Any]


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


def fill_in(plan: Path, returned: Path, entries: Callable[[dict[str, Any]], Entries | None]) -> Path:
    """The plan's work orders with `entries(row)` typed into each row of Returns; None leaves a row as it is."""
    book = load_workbook(plan / "work_orders.xlsx")
    sheet = book["Returns"]
    lines = sheet.iter_rows()
    columns: dict[str, int] = {}
    for line in lines:
        found = {match_heading(str(cell.value or ""))[0]: cell.column for cell in line}
        if "task_id" in found and "progress" in found:
            columns = found
            break
    for line in lines:
        row = {name: sheet.cell(line[0].row, column).value for name, column in columns.items() if name}
        if row.get("task_id") is None:
            continue
        for name, value in (entries(row) or {}).items():
            sheet.cell(line[0].row, columns[name]).value = value
    book.save(returned)
    return returned

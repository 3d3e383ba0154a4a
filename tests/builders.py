"""Valid rows, frames and small inventories for every test.

Rows are named as the clean tables name them (`page_height_mm`), so one row serves as a table row and as a
line of an inventory: `builders.frame("clean.volumes", [builders.volume(page_height_mm=310)])`,
`builders.inventory(tmp_path / "inventory.xlsx", volumes=[builders.volume()], openings=[builders.opening()])`.
All collections, papers and people are invented.
"""

import csv
import tempfile
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

import polars as pl
from openpyxl import Workbook

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables
from pipeline.settings import Settings

Row = dict[str, Any]

SHEET_NAMES = {
    "volumes": "Volumes",
    "openings": "Openings",
    "papers": "Papers",
    "stock": "Stock",
    "staff": "Staff",
    "absences": "Absences",
    "rates": "Rates",
    "enclosures": "Enclosures",
    "decisions": "Decisions",
}
FIRST_ROW_NO = 2


def campaign(**overrides: Any) -> Row:
    """Settings of a campaign from January to December 2027, in mm and euro, with wide budgets."""
    row: Row = {
        "name": "Test campaign",
        "start_date": date(2027, 1, 4),
        "end_date": date(2027, 12, 17),
        "length_unit": "mm",
        "currency": "EUR",
        "supplies_budget": 50_000.0,
        "staff_budget": 500_000.0,
        "spares_pct": 3.0,
        "horizon_years": 50.0,
        "working_days": "Mon, Tue, Wed, Thu, Fri",
        "max_sizes_per_sheet": 3,
        "guillotine_max_cut_mm": 1150.0,
        "guillotine_max_lift_mm": 60.0,
        "handling_note": None,
        "country": None,
        "page_size": "A4",
        "contingency_pct": 0.0,
        "indirect_pct": 0.0,
    }
    return row | overrides


def volume(volume_id: str = "V-001", **overrides: Any) -> Row:
    """A sewn volume of 40 leaves, 240 x 300 mm, 20 mm thick, sound. Counts go in as `openings_fastener=3`."""
    row: Row = {
        "volume_id": volume_id,
        "collection": "Test collection",
        "title": None,
        "location": None,
        "page_width_mm": 240.0,
        "page_height_mm": 300.0,
        "leaves": 40,
        "binding": "sewn",
        "joints": "sound",
        "leaf_condition": "sound",
        "spine_thickness_mm": 20.0,
        "fore_edge_thickness_mm": 21.0,
        "extension_mm": 0.0,
        "use": "occasional",
        "significance": 3,
        "odour": False,
        "hold": None,
        "buffer_rule": None,
        "contents": None,
        "existing_leaves": 0,
        "existing_leaf_thickness_um": 0.0,
        "skill": "technician",
        "enclosure": "new",
        "cover_width_mm": None,
        "cover_height_mm": None,
        "boards_thickness_mm": None,
        "shelf_order": None,
    }
    return row | overrides


def opening(volume_id: str = "V-001", **overrides: Any) -> Row:
    """A line of Openings: opening 3, an acidic insert of severity 2 between print and print."""
    row: Row = {
        "volume_id": volume_id,
        "openings": "3",
        "count": None,
        "left": "print",
        "right": "print",
        "hazards": "acidic_insert",
        "severity": 2,
        "note": None,
    }
    return row | overrides


def paper(paper_id: str = "P-1", **overrides: Any) -> Row:
    """A buffered paper of 60 g/m2 and 80 um, PAT pass, free of sulphur and lignin."""
    row: Row = {
        "paper_id": paper_id,
        "description": "buffered interleaving paper",
        "buffer": "buffered",
        "adsorbent": False,
        "pat": "pass",
        "sulphur_free": "yes",
        "lignin_free": True,
        "ph": 8.5,
        "surface": "plain",
        "glassine": False,
        "grammage_gsm": 60.0,
        "thickness_um": 80.0,
        "bulking_thickness_um": None,
        "bending_stiffness_mnm": None,
        "grain_rule": "prefer",
    }
    return row | overrides


def stock(stock_id: str = "S-1", **overrides: Any) -> Row:
    """Sheets of paper P-1, 700 x 1000 mm, grain long, 100 a pack at 45."""
    row: Row = {
        "stock_id": stock_id,
        "paper_id": "P-1",
        "form": "sheet",
        "width_mm": 700.0,
        "length_mm": 1000.0,
        "grain": "long",
        "pack_quantity": 100,
        "pack_price": 45.0,
        "lead_days": 0,
        "on_hand": 0.0,
        "trim_mm": 3.0,
    }
    return row | overrides


def person(staff_id: str = "T-1", **overrides: Any) -> Row:
    """A conservator of 30 hours a week, Monday to Friday."""
    row: Row = {
        "staff_id": staff_id,
        "skill": "conservator",
        "hours_per_week": 30.0,
        "days": "Mon, Tue, Wed, Thu, Fri",
        "from": None,
        "until": None,
        "hourly_rate": 30.0,
    }
    return row | overrides


def absence(staff_id: str | None = "T-1", **overrides: Any) -> Row:
    """An absence of one week in July 2027; staff_id None is the whole lab."""
    row: Row = {
        "staff_id": staff_id,
        "from": date(2027, 7, 5),
        "until": date(2027, 7, 9),
        "reason": "leave",
    }
    return row | overrides


def rate(task: str = "remove", **overrides: Any) -> Row:
    """A line of Rates: half a minute for an old leaf."""
    row: Row = {
        "task": task,
        "minutes": 0.5,
        "minutes_low": None,
        "minutes_high": None,
        "skill": "technician",
    }
    return row | overrides


def enclosure(enclosure_id: str = "E-1", **overrides: Any) -> Row:
    """A stock box for the default volume: 250 x 315 x 40 mm inside."""
    row: Row = {
        "enclosure_id": enclosure_id,
        "inner_width_mm": 250.0,
        "inner_height_mm": 315.0,
        "inner_depth_mm": 40.0,
        "price": 10.0,
        "on_hand": 0.0,
        "lead_days": 0,
        "max_slack_mm": 10.0,
        "max_depth_slack_mm": 25.0,
    }
    return row | overrides


def decision(volume_id: str = "V-001", **overrides: Any) -> Row:
    """A line of Decisions: opening 3 must get a sheet."""
    row: Row = {
        "volume_id": volume_id,
        "openings": "3",
        "decision": "must",
        "paper_id": None,
        "by": "T-1",
        "reason": "lent for an exhibition",
    }
    return row | overrides


def frame(table: str, rows: Sequence[Mapping[str, Any]]) -> pl.DataFrame:
    """Rows as a frame that keeps the table's contract; row_no counts from 2 where a row has none.

    Keys that are no column of the table (a volume's survey counts) are left out.
    """
    contract = TABLES[table]
    numbered = [
        {"row_no": FIRST_ROW_NO + index, "campaign_name": row.get("name"), **row}
        for index, row in enumerate(rows)
    ]
    return contract.check(contract.frame(numbered))


@cache
def policy_frames() -> Frames:
    """The tables of the shipped policy."""
    return policy_tables(load_policy())


def settings(inventory: Path = Path("inventory.xlsx"), **overrides: Any) -> Settings:
    """Settings of a run as of 4 January 2027."""
    values: Row = {
        "inventory": inventory,
        "out": inventory.parent / "plan",
        "as_of": date(2027, 1, 4),
        "planned_at": datetime(2027, 1, 4, 9, 0),
    }
    return Settings(**(values | overrides))


def inventory(path: Path, **sheets: Any) -> Path:
    """Write a small valid inventory: an .xlsx, or a folder of .csv when `path` has no suffix.

    `campaign` is one row; volumes, openings, papers, stock, staff, absences, rates, enclosures, decisions
    are lists of rows. A sheet set to None is left out. Without a word there are one volume, one opening,
    paper, stock and person.
    """
    tables = inventory_tables(**sheets)
    if path.suffix:
        _write_workbook(path, tables)
    else:
        _write_folder(path, tables)
    return path


def inventory_tables(**sheets: Any) -> dict[str, list[list[Any]]]:
    """The same inventory as lines by sheet name, heading row first, to be changed by a test before
    writing.
    """
    given: Row = {
        "campaign": campaign(),
        "volumes": [volume()],
        "openings": [opening()],
        "papers": [paper()],
        "stock": [stock()],
        "staff": [person()],
    } | sheets
    settings_row = given.pop("campaign")
    tables: dict[str, list[list[Any]]] = {}
    if settings_row is not None:
        pairs = [[_heading(name), value] for name, value in settings_row.items() if value is not None]
        tables["Campaign"] = [["setting", "value"], *pairs]
    for name, rows in given.items():
        if rows is not None:
            tables[SHEET_NAMES[name]] = _lines(rows)
    return tables


def write_tables(path: Path, tables: Mapping[str, Sequence[Sequence[Any]]]) -> Path:
    """Write lines by sheet name as an .xlsx, or as a folder of .csv when `path` has no suffix."""
    if path.suffix:
        _write_workbook(path, tables)
    else:
        _write_folder(path, tables)
    return path


def clean_frames(**sheets: Any) -> Frames:
    """Every raw, clean and policy table of a small inventory, made by stages 01 and 02 themselves.

    Raises AssertionError when the inventory has errors.
    """
    from tests.checking import check_file

    with tempfile.TemporaryDirectory() as folder:
        frames = check_file(inventory(Path(folder) / "inventory.xlsx", **sheets))
    errors = frames["clean.findings"].filter(pl.col("level") == "error")
    assert errors.is_empty(), errors.rows()
    return frames


def _heading(column: str) -> str:
    return column.removesuffix("_mm")


def _lines(rows: Sequence[Mapping[str, Any]]) -> list[list[Any]]:
    columns = list(dict.fromkeys(column for row in rows for column in row))
    return [
        [_heading(column) for column in columns],
        *([row.get(column) for column in columns] for row in rows),
    ]


def _write_workbook(path: Path, tables: Mapping[str, Sequence[Sequence[Any]]]) -> None:
    book = Workbook()
    book.remove(book.worksheets[0])
    for name, lines in tables.items():
        sheet = book.create_sheet(name)
        for line in lines:
            sheet.append([_yes_no(value) for value in line])
    book.save(path)


def _write_folder(path: Path, tables: Mapping[str, Sequence[Sequence[Any]]]) -> None:
    path.mkdir(parents=True, exist_ok=True)
    for name, lines in tables.items():
        with (path / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([[_yes_no(value) for value in line] for line in lines])


def _yes_no(value: object) -> object:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value

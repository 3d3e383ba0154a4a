"""The policy's starter papers, stock and staff as sheets, where an inventory has none of its own.

They are judged like sheets of the inventory; their cells have no address.
"""

from collections.abc import Iterable, Iterator

import polars as pl

from pipeline.contracts.input_sheet import InputColumn, InputSheet
from pipeline.contracts.inventory_columns import SHEETS_BY_NAME, starters_for
from pipeline.errors import Finding
from pipeline.frames import Frames
from pipeline.inventory.parse import CellText
from pipeline.inventory.raw import CellColumn, RawColumn, RawSheet

_UNITS = {"length": "mm"}


def starter_sheets(frames: Frames, present: Iterable[str]) -> dict[str, RawSheet]:
    """A sheet for each starter set that stands in. Reads policy.entries. One row per starter."""
    return {name: _sheet(SHEETS_BY_NAME[name], frames["policy.entries"]) for name in starters_for(present)}


def starter_findings(starters: Iterable[RawSheet]) -> Iterator[Finding]:
    """A warning for each sheet that is planned with the policy's starter set."""
    for sheet in starters:
        names = [text for _, text in sheet.columns[SHEETS_BY_NAME[sheet.name].key].cells.values()]
        yield Finding(
            code="starter_set",
            level="warning",
            sheet=sheet.name,
            message=f"there is no sheet {sheet.name}: planned with the policy's starters ({', '.join(names)}), "
            "which are generic, with guessed prices and hours",
            action=f"take the plan as a first estimate; add a sheet {sheet.name} with the lab's own",
        )


def _sheet(sheet: InputSheet, entries: pl.DataFrame) -> RawSheet:
    own = entries.filter(pl.col("key").str.starts_with(f"{sheet.starter}."))
    values: dict[str, dict[str, CellText]] = {}
    for key, value, text in own.select("key", "value", "text").iter_rows():
        _, name, last = key.split(".")
        values.setdefault(name, {})[last] = (
            ("text", text) if text is not None else ("number", f"{value:.15g}")
        )
    columns = {
        column.name: RawColumn("", "", _UNITS.get(column.kind, ""), cells)
        for column in sheet.columns
        if (cells := _cells(sheet, column, values))
    }
    return RawSheet(sheet.name, is_read=True, columns=columns)


def _cells(sheet: InputSheet, column: InputColumn, values: dict[str, dict[str, CellText]]) -> CellColumn:
    if column.name == sheet.key:
        return {row_no: ("text", name) for row_no, name in enumerate(values, start=1)}
    return {
        row_no: row[column.clean_name]
        for row_no, row in enumerate(values.values(), start=1)
        if column.clean_name in row
    }

"""The raw tables as stage 02 walks them: our sheets by name, each with its columns, cells and addresses."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

import polars as pl

from pipeline.frames import Frames
from pipeline.inventory.columns import match_sheet
from pipeline.inventory.parse import CellText

CellColumn = dict[int, CellText]
"""Filled cells of one column by row number."""


@dataclass(frozen=True)
class RawColumn:
    """One known column of a sheet: its letters, its heading, the unit the heading implies, its filled cells.

    Letters and heading cell are blank where the column file gives one value for every row.
    """

    letters: str
    heading_cell: str
    unit: str
    cells: CellColumn


@dataclass(frozen=True)
class RawSheet:
    """One of our sheets as typed: `name` is what the file calls it.

    `is_read`: it is there and has headings.
    """

    name: str
    is_read: bool = False
    columns: Mapping[str, RawColumn] = field(default_factory=dict)

    def row_nos(self) -> list[int]:
        """Row numbers that have a filled cell under a known heading."""
        return sorted({row_no for column in self.columns.values() for row_no in column.cells})

    def address(self, row_no: int, field_name: str) -> str:
        """Cell address of a column in a row; of column A where the column is not there, blank where it is fixed."""
        column = self.columns.get(field_name)
        if column is not None and not column.letters:
            return ""
        return f"{column.letters if column else 'A'}{row_no}"


def raw_sheets(frames: Frames) -> dict[str, RawSheet]:
    """Our sheets that the file has, by our name. Reads raw.sheets, raw.headers, raw.cells."""
    known_as = dict(frames["raw.sheets"].select("sheet", "known_as").iter_rows())
    headers = frames["raw.headers"].filter(pl.col("field") != "")
    headed = set(frames["raw.headers"]["sheet"])
    cells = {
        key: _cell_column(part)
        for key, part in frames["raw.cells"].partition_by("sheet", "field", as_dict=True).items()
    }
    sheets: dict[str, RawSheet] = {}
    for typed in sorted(frames["raw.sheets"]["sheet"], key=lambda name: (name not in headed, name)):
        name = known_as[typed] or match_sheet(typed)
        if name and name not in sheets:
            rows = headers.filter(pl.col("sheet") == typed).sort("column_no").iter_rows(named=True)
            columns = {
                row["field"]: RawColumn(
                    letters=re.sub(r"\d", "", row["cell"]),
                    heading_cell=row["cell"],
                    unit=row["unit"] or "",
                    cells=cells.get((typed, row["field"]), {}),
                )
                for row in rows
            }
            sheets[name] = RawSheet(typed, typed in headed, columns)
    return sheets


def _cell_column(part: pl.DataFrame) -> CellColumn:
    kinds_and_texts = zip(part["cell_kind"].to_list(), part["text"].to_list(), strict=True)
    return dict(zip(part["row_no"].to_list(), kinds_and_texts, strict=True))

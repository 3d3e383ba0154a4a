"""What reading a file yields: sheets as columns of cells with their places, and what was odd about the
file.
"""

from dataclasses import dataclass, field
from typing import Literal

import polars as pl

from pipeline.errors import Finding

MOST_COLUMN_NO = 16_384
"""Columns of a sheet."""
MOST_COLUMN_LETTERS = 3
Span = tuple[int, int, int]
"""Row, first and last column of a block of merged cells, in its last row."""
CellKind = Literal["text", "number", "date", "bool", "error", "formula"]


@dataclass(frozen=True)
class CellColumns:
    """Filled cells of one sheet as four columns of equal length, sorted by row, then column."""

    row_nos: list[int] = field(default_factory=list)
    column_nos: list[int] = field(default_factory=list)
    kinds: list[CellKind] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)

    def add(self, place: tuple[int, int], kind: CellKind, text: str) -> None:
        """Add a cell at (row, column)."""
        self.row_nos.append(place[0])
        self.column_nos.append(place[1])
        self.kinds.append(kind)
        self.texts.append(text)

    def frame(self) -> pl.DataFrame:
        """The cells as a frame: row_no, column_no, cell_kind, text."""
        return pl.DataFrame(
            {
                "row_no": pl.Series(self.row_nos, dtype=pl.Int64),
                "column_no": pl.Series(self.column_nos, dtype=pl.Int64),
                "cell_kind": pl.Series(self.kinds, dtype=pl.String),
                "text": pl.Series(self.texts, dtype=pl.String),
            }
        )


@dataclass(frozen=True)
class ReadSheet:
    """One sheet as read: its name as typed, whether it is hidden, its filled cells."""

    name: str
    state: str
    cells: pl.DataFrame
    findings: tuple[Finding, ...] = ()
    spans: tuple[Span, ...] = ()
    """Merged cells over several columns: a heading that stands over more than one column."""


@dataclass(frozen=True)
class Reading:
    """An inventory as read, and what a person should know about the file itself."""

    sheets: tuple[ReadSheet, ...]
    findings: tuple[Finding, ...] = ()


def column_letters(column_no: int) -> str:
    """Letters of a spreadsheet column: 1 is A, 27 is AA."""
    letters = ""
    while column_no > 0:
        column_no, rest = divmod(column_no - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def address(row_no: int, column_no: int) -> str:
    """Cell address of a place: (17, 6) is F17."""
    return f"{column_letters(column_no)}{row_no}"


def column_number(letters: str) -> int | None:
    """Number of a spreadsheet column by its letters, in either case; None where no sheet has such a column."""
    typed = letters.strip().upper()
    if not 0 < len(typed) <= MOST_COLUMN_LETTERS or not all("A" <= letter <= "Z" for letter in typed):
        return None
    number = 0
    for letter in typed:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number if number <= MOST_COLUMN_NO else None


def row_of(cell: str) -> int:
    """Row number of a cell address, 0 where there is none."""
    digits = cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    return int(digits) if digits.isdigit() else 0

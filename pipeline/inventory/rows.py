"""Rows of a sheet with every cell parsed and judged alone: value, default, or a finding with its address."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from pipeline.contracts.input_sheet import InputColumn, InputSheet
from pipeline.errors import Finding
from pipeline.inventory.findings import place_problem
from pipeline.inventory.parse import (
    CellText,
    HazardList,
    OpeningList,
    Parsed,
    Ranges,
    SidedHazards,
    Value,
    Words,
    parse_cell,
    tidy,
)
from pipeline.inventory.quantities import Problem
from pipeline.inventory.raw import RawSheet

Figures = Mapping[str, float]
EMPTY = Parsed()


@dataclass
class Row:
    """One row: values by column name, and the columns whose value is wrong or cannot be known."""

    row_no: int
    values: dict[str, Value] = field(default_factory=dict)
    faulty: set[str] = field(default_factory=set)

    @property
    def is_clean(self) -> bool:
        """Whether every cell could be read."""
        return not self.faulty

    def text(self, name: str) -> str | None:
        """A value that is a text, None when empty or faulty."""
        value = self.values.get(name)
        return value if isinstance(value, str) else None

    def number(self, name: str) -> float | None:
        """A value that is a number, None when empty or faulty."""
        value = self.values.get(name)
        return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None

    def day(self, name: str) -> date | None:
        """A value that is a date, None when empty or faulty."""
        value = self.values.get(name)
        return value if isinstance(value, date) else None

    def words(self, name: str) -> tuple[str, ...]:
        """A value that is a list of words, none when empty or faulty."""
        value = self.values.get(name)
        return value if isinstance(value, tuple) else ()

    def ranges(self, name: str) -> Ranges:
        """A value that is a list of opening ranges, none when empty or faulty."""
        value = self.values.get(name)
        return value.ranges if isinstance(value, OpeningList) else ()

    def hazards(self, name: str) -> SidedHazards:
        """A value that is a list of sides and hazards, none when empty or faulty."""
        value = self.values.get(name)
        return value.hazards if isinstance(value, HazardList) else ()


@dataclass
class SheetRows:
    """A sheet's rows in the order of the sheet, and the findings of its cells."""

    sheet: InputSheet
    raw: RawSheet
    rows: list[Row] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    places: dict[str, str] = field(default_factory=dict)
    """Addresses of settings, where a sheet has one value a row (Campaign)."""

    def report(self, row: Row, name: str, problem: Problem) -> None:
        """Add a finding about a cell; an error makes the column faulty in that row."""
        if problem.level == "error":
            row.faulty.add(name)
        volume_id = row.text("volume_id") or ""
        self.findings.append(place_problem(problem, self.raw.name, self.place(row, name), volume_id))

    def place(self, row: Row, name: str) -> str:
        """Cell address of a column in a row."""
        return self.places.get(name) or self.raw.address(row.row_no, name)

    def clean(self) -> list[Row]:
        """Rows without a fault."""
        return [row for row in self.rows if row.is_clean]


def read_rows(sheet: InputSheet, raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of a sheet, its cells parsed, defaults filled in, bounds checked."""
    found = SheetRows(sheet, raw, [Row(row_no) for row_no in raw.row_nos()])
    read_columns(found, sheet.columns, words, figures)
    return found


def read_columns(found: SheetRows, columns: Iterable[InputColumn], words: Words, figures: Figures) -> None:
    """Fill the rows' values column by column; equal cells of a column are parsed once."""
    for column in columns:
        raw = found.raw.columns.get(column.name)
        cells = raw.cells if raw else {}
        unit = raw.unit if raw else ""
        judged: dict[CellText, Parsed] = {}
        empty = default_value(column, figures)
        for row in found.rows:
            cell = cells.get(row.row_no)
            if cell is None:
                _leave_empty(found, row, column, empty)
                continue
            if cell not in judged:
                judged[cell] = judge_cell(column, cell, unit=unit, words=words, figures=figures)
            parsed = judged[cell]
            if parsed == EMPTY:
                _leave_empty(found, row, column, empty)
            else:
                _take(found, row, column, parsed)


def judge_cell(column: InputColumn, cell: CellText, *, unit: str, words: Words, figures: Figures) -> Parsed:
    """A cell parsed and held against its column's bounds."""
    parsed = parse_cell(column, cell, unit=unit, words=words)
    value = parsed.value
    if isinstance(value, int | float) and not isinstance(value, bool):
        problem = _bound_problem(column, float(value), tidy(cell[1]), figures)
        return Parsed(None, problem) if problem else parsed
    return parsed


def default_value(column: InputColumn, figures: Figures) -> Value:
    """What an empty cell of a column means: the policy's figure, the column's own default, or nothing."""
    value: Value = figures[column.default_key] if column.default_key else column.default
    return int(value) if column.kind == "whole" and isinstance(value, float) else value


def _leave_empty(found: SheetRows, row: Row, column: InputColumn, empty: Value) -> None:
    row.values[column.name] = empty
    if not column.required:
        return
    if column.name in found.raw.columns:
        action = f"fill it in ({column.description})"
        found.report(row, column.name, Problem("required_missing", f"{column.name} is empty", action))
    row.faulty.add(column.name)  # a missing column is reported once, with the headings


def _take(found: SheetRows, row: Row, column: InputColumn, parsed: Parsed) -> None:
    row.values[column.name] = parsed.value
    if parsed.problem and _is_said_of_all(found, row, column):
        row.faulty.add(column.name)
    elif parsed.problem:
        found.report(row, column.name, parsed.problem)
    elif parsed.is_unknown:
        row.faulty.add(column.name)


def _is_said_of_all(found: SheetRows, row: Row, column: InputColumn) -> bool:
    """Whether a fault lies in the column file's one value for every row, and the first row has said so."""
    raw = found.raw.columns.get(column.name)
    return raw is not None and not raw.letters and row is not found.rows[0]


def _bound_problem(column: InputColumn, value: float, text: str, figures: Figures) -> Problem | None:
    register = column.field
    at_least = figures[column.least] if column.least else (register.at_least if register else 0)
    at_most = figures[column.most] if column.most else column.at_most
    if at_most is None and register:
        at_most = register.at_most
    unit = {"length": " mm", "thickness": " um"}.get(column.kind, "")
    why = ""
    if column.is_positive and value <= 0:
        why = "is not more than 0"
    elif at_least is not None and value < at_least:
        why = f"is below {at_least:g}{unit if at_least else ''}"
    elif at_most is not None and value > at_most:
        why = f"is above {at_most:g}{unit}"
    action = f"check the figure{' and its unit' if unit else ''}"
    return Problem("number_out_of_range", f"{column.name} {text} {why}", action) if why else None

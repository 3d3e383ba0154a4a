"""Where the headings of a sheet stand and what they mean; what is missing, doubled or not known among
them.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import polars as pl

from pipeline.contracts.inventory_columns import SHEETS, SHEETS_BY_NAME, headings, required_headings
from pipeline.errors import Finding
from pipeline.inventory.columns import is_ignored_sheet, match_heading, match_sheet, nearest, nearest_heading
from pipeline.inventory.findings import place_problem
from pipeline.inventory.quantities import Problem
from pipeline.inventory.sheets import Reading, ReadSheet, address

MOST_TITLE_ROWS = 20
"""Filled rows in which the heading row is looked for: titles may stand above it."""


@dataclass(frozen=True)
class FoundHeading:
    """One heading: its place, its text, our name of the column (blank when it is not known or doubled)."""

    column_no: int
    header: str
    field: str


@dataclass(frozen=True)
class Layout:
    """One sheet of ours: where its headings stand. `header_row_no` is None on an empty sheet."""

    sheet: ReadSheet
    name: str
    header_row_no: int | None
    headings: tuple[FoundHeading, ...]

    def cells(self) -> pl.DataFrame:
        """Filled cells below the headings: row_no, column_no, cell_kind, text."""
        return self.sheet.cells.filter(pl.col("row_no") > (self.header_row_no or 0))


def find_layouts(reading: Reading) -> list[Layout]:
    """The layout of each of our sheets that is there; the first where two have the same name."""
    layouts: dict[str, Layout] = {}
    for sheet in reading.sheets:
        name = match_sheet(sheet.name)
        if name and name not in layouts:
            layouts[name] = _layout(sheet, name)
    return [layouts[sheet.name] for sheet in SHEETS if sheet.name in layouts]


def layout_findings(reading: Reading, layouts: list[Layout]) -> list[Finding]:
    """Findings about sheets and headings."""
    return [
        *reading.findings,
        *_sheet_findings(reading, layouts),
        *(finding for layout in layouts for finding in _heading_findings(layout)),
    ]


def _layout(sheet: ReadSheet, name: str) -> Layout:
    lines = sheet.cells.group_by("row_no", maintain_order=True).agg("column_no", "text").head(MOST_TITLE_ROWS)
    best: Layout | None = None
    most_known = -1
    for row_no, column_nos, texts in lines.iter_rows():
        found = _read_headings(name, list(zip(column_nos, texts, strict=True)))
        known = sum(bool(heading.field) for heading in found)
        if known > most_known:
            best, most_known = Layout(sheet, name, row_no, found), known
    return best or Layout(sheet, name, None, ())


def _read_headings(name: str, cells: list[tuple[int, str]]) -> tuple[FoundHeading, ...]:
    taken: set[str] = set()
    found = []
    for column_no, text in cells:
        heading = match_heading(name, text)
        field = heading.field if heading and heading.field not in taken else ""
        taken.add(field)
        found.append(FoundHeading(column_no, text, field))
    return tuple(found)


def _sheet_findings(reading: Reading, layouts: list[Layout]) -> Iterator[Finding]:
    used = {layout.sheet.name for layout in layouts}
    missing = [sheet for sheet in SHEETS if sheet.name not in {layout.name for layout in layouts}]
    for sheet in reading.sheets:
        if sheet.name in used:
            yield from sheet.findings
            if sheet.state != "visible":
                message = "the sheet is hidden and read like any other"
                yield place_problem(Problem("hidden_sheet", message, level="warning"), sheet.name)
        elif match_sheet(sheet.name):
            first = next(layout.sheet.name for layout in layouts if layout.name == match_sheet(sheet.name))
            message = f"this sheet is there twice; {first} is the one that is read"
            yield place_problem(
                Problem("duplicate_sheet", message, "delete or rename one of them"), sheet.name
            )
        elif not sheet.cells.is_empty() and not is_ignored_sheet(sheet.name):
            yield place_problem(_unknown_sheet(sheet.name, [absent.name for absent in missing]), sheet.name)
    for absent in missing:
        if absent.required:
            action = f"add a sheet {absent.name}; `guardleaf template FILE.xlsx` writes one with its headings"
            problem = Problem("sheet_missing", f"the sheet {absent.name} is missing", action)
            yield place_problem(problem, absent.name)


def _unknown_sheet(name: str, missing: list[str]) -> Problem:
    near = nearest(name, missing)
    message = "this sheet is not one of the inventory's and is left out"
    action = f"did you mean {near}? then rename it" if near else ""
    return Problem("unknown_sheet", message, action, "warning" if near else "note")


def _heading_findings(layout: Layout) -> Iterator[Finding]:
    name, row_no = layout.sheet.name, layout.header_row_no or 1
    found = {heading.field: heading for heading in layout.headings if heading.field}
    absent = [field for field in headings(SHEETS_BY_NAME[layout.name]) if field not in found]
    for heading in layout.headings:
        if not heading.field:
            problem = _odd_heading(layout, heading, found, absent)
            yield place_problem(problem, name, address(row_no, heading.column_no))
    for field in required_headings(SHEETS_BY_NAME[layout.name]):
        if field not in found:
            message = f"the column {field} is missing; without it the sheet cannot be read"
            problem = Problem("column_missing", message, f"add a column headed {field}")
            yield place_problem(problem, name, address(row_no, 1) if layout.headings else "")
    yield from _headless_findings(layout)


def _odd_heading(
    layout: Layout, heading: FoundHeading, found: dict[str, FoundHeading], absent: list[str]
) -> Problem:
    known = match_heading(layout.name, heading.header)
    if known:
        first = address(layout.header_row_no or 1, found[known.field].column_no)
        message = f"the column {known.field} is there twice, also at {layout.sheet.name}!{first}"
        return Problem("duplicate_column", message, "delete or rename one of them")
    near = nearest_heading(layout.name, heading.header)
    message = f'the heading "{heading.header.strip()}" is not known; the column is left out'
    if near in absent:
        return Problem("unknown_column", message, f"did you mean {near}?", "warning")
    return Problem("unknown_column", message, level="note")


def _headless_findings(layout: Layout) -> Iterator[Finding]:
    headed = [heading.column_no for heading in layout.headings]
    stray = layout.cells().filter(~pl.col("column_no").is_in(headed)).head(1)
    if layout.headings and stray.height:
        message = "this cell stands under no heading; such columns are left out"
        problem = Problem("heading_missing", message, "give the column a heading", "warning")
        yield place_problem(problem, layout.sheet.name, address(stray["row_no"][0], stray["column_no"][0]))

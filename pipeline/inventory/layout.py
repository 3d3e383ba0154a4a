"""Where the headings of a sheet stand and what they mean; what is missing, doubled or not known among
them.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import polars as pl

from pipeline.contracts.inventory_columns import (
    SHEETS,
    SHEETS_BY_NAME,
    headings,
    required_headings,
    starters_for,
)
from pipeline.errors import Finding
from pipeline.inventory.column_file import NO_COLUMN_FILE, ColumnFile, ColumnSource, SheetSource
from pipeline.inventory.columns import (
    is_ignored_sheet,
    match_heading,
    match_sheet,
    nearest,
    nearest_heading,
    plain,
    unit_of_heading,
)
from pipeline.inventory.findings import place_problem
from pipeline.inventory.quantities import Problem
from pipeline.inventory.sheets import Reading, ReadSheet, address, row_of

NOTHING_SAID, NOTHING_SAID_OF_SHEET = ColumnSource(), SheetSource()
MOST_TITLE_ROWS = 20
"""Filled rows in which the heading row is looked for: titles may stand above it."""


@dataclass(frozen=True)
class FoundHeading:
    """One heading: its place, its text, our name of the column (blank when it is not known or doubled).

    `unit` is that of bare lengths below it, blank for the usual one; `source` is what the column file says of it.
    """

    column_no: int
    header: str
    field: str
    unit: str = ""
    source: ColumnSource = NOTHING_SAID


@dataclass(frozen=True)
class Layout:
    """One sheet of ours: where its headings stand. `header_row_no` is None on an empty sheet."""

    sheet: ReadSheet
    name: str
    header_row_no: int | None
    headings: tuple[FoundHeading, ...]
    source: SheetSource = NOTHING_SAID_OF_SHEET

    def cells(self) -> pl.DataFrame:
        """Filled cells below the headings: row_no, column_no, cell_kind, text."""
        return self.sheet.cells.filter(pl.col("row_no") > (self.header_row_no or 0))

    def constants(self) -> dict[str, str]:
        """Columns that the column file fills with one value for every row."""
        return {
            field: source.always
            for field, source in self.source.columns.items()
            if source.always and not source.heading and source.column_no is None
        }


def find_layouts(reading: Reading, columns: ColumnFile = NO_COLUMN_FILE) -> list[Layout]:
    """The layout of each of our sheets that is there; the first where two have the same name.

    A sheet that the column file names comes before one that has our name.
    """
    layouts: dict[str, Layout] = {}
    for sheet in reading.sheets:
        name = columns.sheet_is(sheet.name)
        if name and name not in layouts:
            layouts[name] = _layout(sheet, name, columns.source(name))
    for sheet in reading.sheets:
        name = match_sheet(sheet.name)
        if name and name not in layouts and not columns.sheet_is(sheet.name):
            layouts[name] = _layout(sheet, name, columns.source(name))
    return [layouts[sheet.name] for sheet in SHEETS if sheet.name in layouts]


def layout_findings(
    reading: Reading, layouts: list[Layout], columns: ColumnFile = NO_COLUMN_FILE
) -> list[Finding]:
    """Findings about sheets and headings, those of the column file among them."""
    return [
        *reading.findings,
        *_sheet_findings(reading, layouts),
        *(finding for layout in layouts for finding in _heading_findings(layout)),
        *column_file_findings(reading, layouts, columns),
    ]


def column_file_findings(reading: Reading, layouts: list[Layout], columns: ColumnFile) -> Iterator[Finding]:
    """Sheets and headings that the column file names and the inventory does not have."""
    typed = [sheet.name for sheet in reading.sheets]
    for named in columns.sheets.values():
        if named.sheet and plain(named.sheet) not in {plain(name) for name in typed}:
            problem = _not_there(f'sheet "{named.sheet}"', nearest(named.sheet, typed))
            yield place_problem(problem, columns.name)
    for layout in layouts:
        used = {heading.field: heading for heading in layout.headings if heading.field}
        headers = [heading.header for heading in layout.headings if heading.header]
        for field, source in layout.source.columns.items():
            if source.heading and field not in used:
                near = nearest(source.heading, headers)
                problem = _not_there(f'heading "{source.heading}" for {field}', near)
                yield place_problem(problem, layout.sheet.name, address(layout.header_row_no or 1, 1))


def _not_there(what: str, near: str) -> Problem:
    action = f'did you mean "{near}"?' if near else "mend the column file"
    return Problem("columns_not_found", f"the column file names a {what} that is not there", action)


def _layout(sheet: ReadSheet, name: str, source: SheetSource) -> Layout:
    lines = sheet.cells.group_by("row_no", maintain_order=True).agg("column_no", "text").head(MOST_TITLE_ROWS)
    if source.heading_row is not None:
        given = sheet.cells.filter(pl.col("row_no") == source.heading_row)
        lines = given.group_by("row_no", maintain_order=True).agg("column_no", "text")
    best: Layout | None = None
    most_known = -1
    for row_no, column_nos, texts in lines.iter_rows():
        typed = dict(zip(column_nos, texts, strict=True))
        found = _read_headings(name, typed, source, _groups(sheet, row_no))
        known = sum(bool(heading.field) for heading in found)
        if known > most_known:
            best, most_known = Layout(sheet, name, row_no, found, source), known
    return best or Layout(sheet, name, source.heading_row, (), source)


def _groups(sheet: ReadSheet, row_no: int) -> dict[int, str]:
    """Headings that stand over several columns, in the row above: text by column."""
    found: dict[int, str] = {}
    for row, first, last in sheet.spans:
        if row == row_no - 1:
            above = sheet.cells.filter(row_no=row, column_no=first)["text"].to_list()
            found |= dict.fromkeys(range(first, last + 1), above[0] if above else "")
    return found


def _read_headings(
    name: str, typed: dict[int, str], source: SheetSource, groups: dict[int, str]
) -> tuple[FoundHeading, ...]:
    by_column = {said.column_no: field for field, said in source.columns.items() if said.column_no}
    by_heading = {
        plain(said.heading): field
        for field, said in source.columns.items()
        if said.heading and not said.column_no
    }
    taken = {*source.columns, ""}
    found: list[FoundHeading] = []
    for column_no in sorted({*typed, *by_column}):
        text = typed.get(column_no, "")
        grouped = f"{groups.get(column_no, '')} {text}".strip()
        field = (
            by_column.get(column_no) or by_heading.pop(plain(text), "") or by_heading.pop(plain(grouped), "")
        )
        if field:
            said = source.columns[field]
            unit = said.unit or unit_of_heading(name, field, text)
            found.append(FoundHeading(column_no, text or grouped, field, unit, said))
            continue
        heading = match_heading(name, text) or match_heading(name, grouped)
        if heading and heading.field not in taken:
            taken.add(heading.field)
            found.append(FoundHeading(column_no, text, heading.field, heading.unit))
        else:
            found.append(FoundHeading(column_no, text, ""))
    return tuple(found)


def _sheet_findings(reading: Reading, layouts: list[Layout]) -> Iterator[Finding]:
    used = {layout.sheet.name: layout for layout in layouts}
    missing = [sheet for sheet in SHEETS if sheet.name not in {layout.name for layout in layouts}]
    for sheet in reading.sheets:
        if sheet.name in used:
            yield from _below_headings(sheet, used[sheet.name])
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
    replaced = starters_for({layout.name for layout in layouts})
    for absent in missing:
        if absent.required and absent.name not in replaced:
            action = (
                f"add a sheet {absent.name}; `guardleaf template FILE.xlsx` writes one with its headings; where the "
                "inventory has names of its own, `guardleaf match INVENTORY` proposes how they are read"
            )
            problem = Problem("sheet_missing", f"the sheet {absent.name} is missing", action)
            yield place_problem(problem, absent.name)


def _below_headings(sheet: ReadSheet, layout: Layout) -> Iterator[Finding]:
    """What is odd about a sheet, but for headings that are merged with a title or over several columns."""
    for finding in sheet.findings:
        is_title = finding.code == "merged_cells" and row_of(finding.cell) < (layout.header_row_no or 0)
        if not is_title:
            yield finding


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
        if field not in found and field not in layout.source.columns:
            message = f"the column {field} is missing; without it the sheet cannot be read"
            problem = Problem("column_missing", message, f"add a column headed {field}")
            yield place_problem(problem, name, address(row_no, 1) if layout.headings else "")
    yield from _headless_findings(layout)


def _odd_heading(
    layout: Layout, heading: FoundHeading, found: dict[str, FoundHeading], absent: list[str]
) -> Problem:
    known = match_heading(layout.name, heading.header)
    if known and known.field in found:
        first = address(layout.header_row_no or 1, found[known.field].column_no)
        message = f"the column {known.field} is there twice, also at {layout.sheet.name}!{first}"
        return Problem("duplicate_column", message, "delete or rename one of them")
    near = nearest_heading(layout.name, heading.header)
    message = f'the heading "{heading.header.strip()}" is not known; the column is left out'
    if near in absent:
        return Problem("unknown_column", message, f"did you mean {near}?", "warning")
    return Problem("unknown_column", message, level="note")


def _headless_findings(layout: Layout) -> Iterator[Finding]:
    headed = [heading.column_no for heading in layout.headings if heading.header or heading.field]
    stray = layout.cells().filter(~pl.col("column_no").is_in(headed)).head(1)
    if layout.headings and stray.height:
        message = "this cell stands under no heading; such columns are left out"
        problem = Problem("heading_missing", message, "give the column a heading", "warning")
        yield place_problem(problem, layout.sheet.name, address(stray["row_no"][0], stray["column_no"][0]))

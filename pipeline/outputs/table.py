"""A table on a sheet of its own: widths from the content, filters, totals that follow edits."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from xlsxwriter.utility import xl_rowcol_to_cell

from pipeline.outputs.plan import Row
from pipeline.outputs.sheet import LINE_POINTS, Place, Sheet, Value, lines_needed
from pipeline.outputs.styles import BODY, BODY_LINK, HEADING, Style, total

LEAST_WIDTH = 6.0
MOST_WIDTH = 46.0
HEADING_LINES = 3
INDENT = 2.0
BOLD_SHARE = 0.9
MOST_MEASURED_ROWS = 2_000
"""Rows looked at for widths: enough to see the longest usual text, few enough for large plans."""


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column: heading with its unit, where its value comes from, its look.

    `formula` is written for each row with `{key}` replaced by that row's cell of column `key`; the value is
    stored
    with it. `total` is the key of the total in the totals handed to `write_table`. `only_if` says for which
    rows the
    column has a meaning: elsewhere the cell is empty and not to be filled in. `link` is where the text leads, if
    anywhere.
    """

    heading: str
    key: str
    style: Style = BODY
    value: Callable[[Row], Value] | None = None
    formula: str = ""
    total: str = ""
    least_width: float = LEAST_WIDTH
    most_width: float = MOST_WIDTH
    only_if: Callable[[Row], bool] | None = None
    link: Callable[[Row], Place | None] | None = None

    def of(self, row: Row) -> Value:
        """The column's value in a row."""
        found: Value = self.value(row) if self.value else row[self.key]
        return found


def write_table(
    sheet: Sheet, columns: Sequence[Column], rows: Sequence[Row], totals: dict[str, float] | None = None
) -> int:
    """Write a table from A1 on: heading row frozen, repeated in print, filters where there are rows.

    Returns the row after the table. `totals` are the plan's own figures, stored with the formulas that add
    up.
    """
    widths = [_width(column, rows) for column in columns]
    sheet.widths(dict(enumerate(widths)))
    _headings(sheet, columns, widths)
    for number, row in enumerate(rows, start=1):
        _row(sheet, number, columns, row)
        _row_height(sheet, number, columns, row, widths)
    if rows:
        sheet.filter((0, 0, len(rows), len(columns) - 1))
    else:
        sheet.put(1, 0, "none in this plan")
    last = len(rows) + 1
    if totals is not None and rows:
        _totals(sheet, last, columns, totals)
        last += 1
    sheet.freeze(1, 1)
    sheet.repeat_rows(0, 0)
    sheet.print_area(max(last - 1, 1), len(columns) - 1)
    return last


def _headings(sheet: Sheet, columns: Sequence[Column], widths: list[float]) -> None:
    for number, column in enumerate(columns):
        sheet.put(0, number, column.heading, HEADING)
    pairs = zip(columns, widths, strict=True)
    lines = max(lines_needed(column.heading, BOLD_SHARE * (width - 1)) for column, width in pairs)
    sheet.height(0, LINE_POINTS * lines + 4)


def _row(sheet: Sheet, number: int, columns: Sequence[Column], row: Row) -> None:
    for place, column in enumerate(columns):
        if column.only_if and not column.only_if(row):
            sheet.put(number, place, None, BODY)
            continue
        value = column.of(row)
        target = column.link(row) if column.link else None
        if target:
            sheet.link(number, place, str(value), target, BODY_LINK)
        elif column.formula and isinstance(value, int | float | str):
            sheet.formula(number, place, _formula(column, columns, number), value, column.style)
        else:
            sheet.put(number, place, value, column.style)


def _formula(column: Column, columns: Sequence[Column], number: int) -> str:
    cells = {other.key: xl_rowcol_to_cell(number, place) for place, other in enumerate(columns)}
    return column.formula.format(**cells)


def _row_height(sheet: Sheet, number: int, columns: Sequence[Column], row: Row, widths: list[float]) -> None:
    lines = 1
    for column, width in zip(columns, widths, strict=True):
        if column.style.wrap and not (column.only_if and not column.only_if(row)):
            lines = max(lines, lines_needed(shown(column.of(row), column.style), width - INDENT))
    if lines > 1:
        sheet.height(number, LINE_POINTS * lines + 2)


def _totals(sheet: Sheet, number: int, columns: Sequence[Column], totals: dict[str, float]) -> None:
    sheet.put(number, 0, "Total", total(columns[0].style))
    for place, column in enumerate(columns[1:], start=1):
        if column.total:
            first, last = xl_rowcol_to_cell(1, place), xl_rowcol_to_cell(number - 1, place)
            sheet.formula(number, place, f"=SUM({first}:{last})", totals[column.total], total(column.style))
        else:
            sheet.put(number, place, None, total(column.style))


def _width(column: Column, rows: Sequence[Row]) -> float:
    """Width in characters: the longest value or heading word, wrapped where it would be too wide."""
    measured = (row for row in rows[:MOST_MEASURED_ROWS] if not column.only_if or column.only_if(row))
    body = max((_longest_line(column, row) for row in measured), default=0)
    words = max(len(word) for word in column.heading.split())
    heading = max(words + 2, len(column.heading) / HEADING_LINES + 2)
    return max(column.least_width, heading, min(column.most_width, body + 2.0))


def _longest_line(column: Column, row: Row) -> int:
    return max(len(line) for line in shown(column.of(row), column.style).split("\n"))


def shown(value: Value, style: Style) -> str:
    """About what a cell shows, for its width."""
    if value is None:
        return ""
    if isinstance(value, date | datetime | time):
        return "0" * len(style.number)
    if isinstance(value, float | int) and not isinstance(value, bool) and style.number:
        decimals = len(style.number.partition(".")[2])
        return f"{value:,.{decimals}f}" + (" 00/32" if "/" in style.number else "")
    return str(value)

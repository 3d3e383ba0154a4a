"""One styled workbook: the only file that imports xlsxwriter.

Every write is checked (XlsxWriter tells most failures by a negative number only), user text is made safe,
and each
sheet is set up for printing: one page wide, footer with plan and policy, A4 or letter as the campaign says.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

import xlsxwriter
from xlsxwriter.exceptions import FileCreateError
from xlsxwriter.utility import xl_rowcol_to_cell

from pipeline.errors import FileProblemError, GuardleafError
from pipeline.outputs.styles import FONT, FONT_SIZE, PLAIN, Style
from pipeline.outputs.text import clean_text, header_text, needs_quote_mark, sheet_name
from pipeline.published_plan import PlanFacts

Value = str | int | float | bool | date | datetime | time | None

PAPER_CODES = {"A4": 9, "letter": 1}
PAPER_INCHES = {"A4": (8.27, 11.69), "letter": (8.5, 11.0)}
MARGIN_SIDE_INCHES = 0.5
MARGIN_TOP_INCHES = 0.65
MARGIN_BOTTOM_INCHES = 0.65
PIXELS_PER_INCH = 96
POINTS_PER_INCH = 72
COLUMN_PADDING_PIXELS = 5
DIGIT_PIXELS = 7.5
LETTERS_PER_DIGIT = 1.2
"""Letters of running text that fit where one digit does, Arial: the mean letter is narrower."""
LINE_POINTS = 13.0
MOST_ROW_POINTS = 400.0
MOST_PAGE_BREAKS = 1_020
MOST_LIST_CHARACTERS = 255
MOST_LINKS = 65_530
"""Links that the format takes on one sheet."""
UNLOCKED_ACTIONS = {
    "select_locked_cells": True,
    "select_unlocked_cells": True,
    "format_cells": False,
    "format_columns": True,
    "format_rows": True,
    "insert_rows": True,
    "sort": True,
    "autofilter": True,
}
"""What a protected sheet still allows: protection is against slips, so it has no password."""


class OutputError(GuardleafError):
    """A workbook could not hold what was written to it: a fault of ours."""


class Place(NamedTuple):
    """A place that a link leads to: sheet, cell, and the file where that is another workbook beside this one."""

    sheet: str
    cell: str = "A1"
    workbook: str = ""

    @property
    def target(self) -> str:
        """The place in XlsxWriter's words."""
        where = "'" + self.sheet.replace("'", "''") + f"'!{self.cell}"
        return f"external:{self.workbook}#{where}" if self.workbook else f"internal:{where}"


@dataclass(frozen=True)
class Written:
    """Sheets just written: name and purpose of each, and the place where each id's form begins."""

    sheets: list[tuple[str, str]]
    places: dict[str, Place]


class Book:
    """A workbook being written. Use as a context manager; the file is there on leaving."""

    def __init__(self, path: Path, facts: PlanFacts, title: str, *, is_long: bool = False) -> None:
        """`is_long`: rows go to the disk as they are written, top to bottom only, so that memory stays bounded."""
        self.path = path
        self.facts = facts
        self._names: set[str] = set()
        self._formats: dict[Style, object] = {}
        self.cleaned: list[str] = []
        self._book = xlsxwriter.Workbook(
            str(path),
            {
                "strings_to_formulas": False,
                "strings_to_urls": False,
                "strings_to_numbers": False,
                "constant_memory": is_long,
                "in_memory": not is_long,
                "default_format_properties": {"font_name": FONT, "font_size": FONT_SIZE},
            },
        )
        created = datetime.combine(facts.as_of, time())
        self._book.set_properties({"title": title, "author": "guardleaf", "created": created})
        for name in ("revision", "inventory_sha256", "policy_sha256", "length_unit"):
            self._book.set_custom_property(f"guardleaf_{name}", getattr(facts, name))

    def __enter__(self) -> "Book":
        return self

    def __exit__(self, kind: type[BaseException] | None, *rest: object) -> None:
        if kind is None:
            self.close()

    def close(self) -> None:
        """Write the file. Raises FileProblemError when the disk does not take it."""
        try:
            self._book.close()
        except (FileCreateError, OSError) as error:
            raise FileProblemError(f"{self.path} could not be written: {error}") from error

    def sheet(self, name: str, *, landscape: bool = False) -> "Sheet":
        """A new sheet, printed as every sheet is."""
        safe = sheet_name(name, self._names)
        return Sheet(self, self._book.add_worksheet(safe), safe, landscape=landscape)

    def format(self, style: Style) -> object:
        """The workbook's format of a style."""
        if style not in self._formats:
            self._formats[style] = self._book.add_format(style.properties())
        return self._formats[style]


class Sheet:
    """One sheet. Rows and columns count from 0; every failed write raises OutputError with the cell."""

    def __init__(
        self, book: Book, page: "xlsxwriter.worksheet.Worksheet", name: str, *, landscape: bool
    ) -> None:
        self.book = book
        self.name = name
        self._page = page
        self._landscape = landscape
        self._pixels: dict[int, int] = {}
        self._breaks: list[int] = []
        self._links = 0
        self._print_like_all()

    def _print_like_all(self) -> None:
        facts, page = self.book.facts, self._page
        page.set_paper(PAPER_CODES[facts.page_size])
        if self._landscape:
            page.set_landscape()
        page.set_margins(MARGIN_SIDE_INCHES, MARGIN_SIDE_INCHES, MARGIN_TOP_INCHES, MARGIN_BOTTOM_INCHES)
        # A blank after the letter size: a name that begins with a digit would be read as part of it.
        page.set_header(f"&L&9 {header_text(facts.campaign_name)}&R&9 {header_text(self.name)}")
        page.set_footer(f"&L&9 guardleaf {header_text(facts.footer)}&R&9 page &P of &N")
        page.fit_to_pages(1, 0)
        page.hide_gridlines(2)

    def put(self, row: int, column: int, value: Value, style: Style = PLAIN) -> None:
        """Write one value by its type. Text is cleaned; a missing value is an empty cell."""
        if isinstance(value, str):
            self._put_text(row, column, value, style)
        elif isinstance(value, bool):
            self._put_text(row, column, "yes" if value else "no", style)
        elif isinstance(value, datetime | date | time):
            form = self.book.format(style)
            self._check(self._page.write_datetime(row, column, value, form), row, column)
        elif value is None:
            self._check(self._page.write_blank(row, column, None, self.book.format(style)), row, column)
        else:
            self._put_number(row, column, value, style)

    def _put_text(self, row: int, column: int, text: str, style: Style) -> None:
        clean = clean_text(text)
        if clean != text.replace("\r\n", "\n").replace("\r", "\n"):
            self.book.cleaned.append(f"{self.name}!{xl_rowcol_to_cell(row, column)}")
        form = self.book.format(style.but(quoted=True) if needs_quote_mark(clean) else style)
        write = self._page.write_string if clean else self._page.write_blank
        self._check(write(row, column, clean, form), row, column)

    def _put_number(self, row: int, column: int, value: float, style: Style) -> None:
        if not math.isfinite(value):
            raise OutputError(
                f"{self.name}!{xl_rowcol_to_cell(row, column)}: {value} is no number a cell holds"
            )
        self._check(self._page.write_number(row, column, value, self.book.format(style)), row, column)

    def formula(self, row: int, column: int, formula: str, value: float | str, style: Style) -> None:
        """Write a formula together with the value it has."""
        form = self.book.format(style)
        self._check(self._page.write_formula(row, column, formula, form, value), row, column)

    def link(self, row: int, column: int, text: str, place: Place, style: Style) -> None:
        """Write text that leads to a place; plain text where the sheet holds as many links as the format takes."""
        self._links += 1
        if self._links > MOST_LINKS:
            self.put(row, column, text, style.but(link=False))
            return
        clean = clean_text(text)
        form = self.book.format(style.but(quoted=True) if needs_quote_mark(clean) else style)
        self._check(self._page.write_url(row, column, place.target, form, clean), row, column)

    def across(self, row: int, columns: tuple[int, int], value: str, style: Style = PLAIN) -> None:
        """Write text over several columns of one row of a form."""
        first, last = columns
        clean = clean_text(value)
        form = self.book.format(style.but(quoted=True) if needs_quote_mark(clean) else style)
        self._check(self._page.merge_range(row, first, row, last, clean, form), row, first)

    def picture(self, row: int, column: int, png: bytes, alt: str, *, scale: float = 1.0) -> None:
        """Lay a picture on the sheet with its text for people who cannot see it."""
        options = {
            "image_data": BytesIO(png),
            "description": clean_text(alt)[:MOST_LIST_CHARACTERS],
            "x_scale": scale,
            "y_scale": scale,
            "x_offset": 2,
            "y_offset": 2,
            "object_position": 1,
        }
        self._check(self._page.insert_image(row, column, "picture.png", options), row, column)

    def choices(
        self,
        cells: tuple[int, int, int, int],
        source: str | list[str],
        *,
        is_strict: bool = True,
        hint: str = "",
    ) -> None:
        """A drop-down on the cells (first row, first column, last row, last column).

        `source` is a short list of words or a range such as `=Lists!$A$2:$A$9`. Unless `is_strict` another word is
        let through after a warning. `hint` shows beside a chosen cell.
        """
        if isinstance(source, list) and len(",".join(source)) > MOST_LIST_CHARACTERS:
            raise OutputError(f"{self.name}: a drop-down list is too long; keep it in a range")
        rule = {"validate": "list", "source": source, "ignore_blank": True}
        rule |= {} if is_strict else {"error_type": "warning"}
        self._validate(cells, rule | ({"input_message": hint} if hint else {}))

    def numbers_only(self, cells: tuple[int, int, int, int], *, whole: bool, least: int, hint: str) -> None:
        """Let the cells take numbers of at least `least` only, and say so."""
        rule = {"validate": "integer" if whole else "decimal", "criteria": ">=", "value": least}
        self._validate(cells, rule | {"error_title": "A number, please", "error_message": hint})

    def dates_only(self, cells: tuple[int, int, int, int], first: date) -> None:
        """Let the cells take dates from `first` on only."""
        rule = {"validate": "date", "criteria": ">=", "value": first}
        hint = f"Type a date such as {first.isoformat()}."
        self._validate(cells, rule | {"error_title": "A date, please", "error_message": hint})

    def _validate(self, cells: tuple[int, int, int, int], rule: Mapping[str, object]) -> None:
        self._check(self._page.data_validation(*cells, dict(rule)), cells[0], cells[1])

    def widths(self, characters: dict[int, float]) -> None:
        """Set column widths in characters."""
        for column, width in characters.items():
            self._pixels[column] = int(width * DIGIT_PIXELS) + COLUMN_PADDING_PIXELS
            self._check(self._page.set_column(column, column, width), 0, column)

    def height(self, row: int, points: float) -> None:
        """Set the height of a row."""
        self._check(self._page.set_row(row, min(points, MOST_ROW_POINTS)), row, 0)

    def freeze(self, row: int, column: int = 0) -> None:
        """Keep the rows above and the columns to the left in view."""
        self._page.freeze_panes(row, column)

    def repeat_rows(self, first: int, last: int) -> None:
        """Print these rows at the top of every page."""
        self._check(self._page.repeat_rows(first, last) or 0, first, 0)

    def filter(self, cells: tuple[int, int, int, int]) -> None:
        """Filters on a table's heading row."""
        self._check(self._page.autofilter(*cells) or 0, cells[0], cells[1])

    def new_page(self, row: int) -> None:
        """Start a new printed page above this row. Raises OutputError beyond what the format takes."""
        self._breaks.append(row)
        if len(self._breaks) > MOST_PAGE_BREAKS:
            raise OutputError(f"{self.name}: more than {MOST_PAGE_BREAKS} page breaks")

    def print_area(self, last_row: int, last_column: int) -> None:
        """Print from A1 to this cell."""
        self._page.print_area(0, 0, last_row, last_column)

    def tab_first(self) -> None:
        """Open the workbook on this sheet."""
        self._page.activate()
        self._page.set_first_sheet()

    def finish(self, *, protect: bool = True) -> None:
        """Set page breaks and protection. With breaks the scale is fixed: fitting pages overrides breaks."""
        if self._breaks:
            self._page.set_h_pagebreaks(self._breaks)
            self._page.fit_page = 0
            self._page.set_print_scale(self._scale())
        if protect:
            self._page.protect("", UNLOCKED_ACTIONS)

    def _scale(self) -> int:
        """Print scale in per cent at which all columns fit on one page."""
        width, height = PAPER_INCHES[self.book.facts.page_size]
        room = ((height if self._landscape else width) - 2 * MARGIN_SIDE_INCHES) * PIXELS_PER_INCH
        return max(10, min(100, math.floor(98 * room / max(1, sum(self._pixels.values())))))

    def _check(self, code: int | object, row: int, column: int) -> None:
        if isinstance(code, int) and code < 0:
            raise OutputError(f"{self.name}!{xl_rowcol_to_cell(row, column)}: not written (code {code})")


def lines_needed(text: str, characters: float) -> int:
    """Lines a text takes in a wrapped cell of this width, broken at words as a spreadsheet does."""
    room = characters * LETTERS_PER_DIGIT
    return sum(
        1 if len(paragraph) <= room else _broken_lines(paragraph, room) for paragraph in text.split("\n")
    )


def _broken_lines(paragraph: str, room: float) -> int:
    """Lines of a paragraph that is longer than a line."""
    lines = 1
    used = 0.0
    for word in paragraph.split(" "):
        if used and used + len(word) > room:
            lines += 1
            used = 0.0
        if len(word) > room:
            lines += math.ceil((len(word) - room) / max(room, 1.0))
        used += len(word) + 1
    return lines

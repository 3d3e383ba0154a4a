"""The blank inventory: sheets, headings, drop-downs, notes and example rows, from the definitions that check
it.
"""

import os
from datetime import date, datetime
from pathlib import Path

import xlsxwriter
from xlsxwriter.exceptions import FileCreateError, XlsxWriterException
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from pipeline.contracts.input_sheet import InputColumn, InputSheet
from pipeline.contracts.inventory_columns import CAMPAIGN, CAMPAIGN_HEADINGS, SHEETS
from pipeline.errors import FileProblemError
from pipeline.frames import Frames, figures
from pipeline.inventory import examples
from pipeline.inventory.dictionary import DictionaryLine, dictionary_line, dictionary_lines
from pipeline.inventory.examples import ExampleValue
from pipeline.inventory.rows import Figures
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables

LAST_ROW = 5000
"""Last row with drop-downs."""
MADE = datetime(2027, 1, 1)
"""Date of making stored in the file, so that the same program writes the same bytes."""
MOST_COLUMNS_A_PAGE = 14
READ_ME_WIDTH = 90
POINTS_A_LINE = 15.0
DICTIONARY_COLUMNS = (
    ("sheet", 12),
    ("column", 30),
    ("required", 10),
    ("what may stand in it", 60),
    ("empty means", 16),
    ("meaning", 62),
)
"""Headings of the dictionary and the widths of their columns in characters."""
_TEXT_KINDS = ("id", "text", "openings", "contents", "hazards", "days")
_WIDTHS = {"contents": 24, "hazards": 30, "openings": 18, "text": 22, "date": 12}
_YES_NO = ("yes", "no")
_HEAD_GREY, _EXAMPLE_GREY = "#D9D9D9", "#595959"

HEADLINES = ("How to fill it in", "How cells are read", "Caution")
READ_ME = (
    "This workbook holds what guardleaf needs to plan the interleaving of bound scrapbooks and albums.",
    "",
    "How to fill it in",
    "1. Campaign: type over the values, one setting a row; delete the rows you leave to the defaults.",
    "2. Volumes: one row a volume. Measure the text block, closed and unforced.",
    "3. Openings: one row for openings that are alike. Opening 0 is front board and first page, opening 3 "
    "lies between leaves 3 and 4, the last has the number of leaves. Where places were not noted leave "
    "openings empty and fill in count.",
    "4. Quick survey: the columns openings_... of Volumes count the openings with each hazard, those listed "
    "included.",
    "5. Papers and Stock: what you may cut from. Staff and Absences: who works when. Rates: minutes, as the "
    "policy has them.",
    "6. Delete every example row: its identifier begins with EXAMPLE, as does the campaign's name.",
    "7. Check it: guardleaf check FILE.xlsx   Plan it: guardleaf plan FILE.xlsx --out FOLDER",
    "",
    "How cells are read",
    "Bold headings must be filled in. Point at a heading to see what it means and what an empty cell means.",
    "Lengths are numbers in the campaign's length_unit, or texts with their unit: 11 3/8 in, 28.9 cm.",
    "Lists are separated by , or ;   Dates are real dates, or written 2027-03-01.",
    "Openings, identifiers and lists stand in cells formatted as text, so that 3-7 stays what it is.",
    "The sheet Dictionary lists every column. Campaign, Volumes, Papers, Stock and Staff must stay; sheets "
    "you do not need may be deleted.",
    "",
    "Caution",
    "Active mould, cellulose nitrate film, suspected arsenic or other treated specimens: do not handle. Mark "
    "the volume in the column hold; it is listed and not planned. Isolate it, follow the local codes, and "
    "ask a qualified person.",
)


def write_template(path: Path) -> None:
    """Write the blank inventory to a new file, whole or not at all.

    Raises FileProblemError when it cannot.
    """
    unfinished = path.with_name(f".{path.name}.unfinished")
    try:
        book = xlsxwriter.Workbook(
            str(unfinished),
            {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False},
        )
        book.set_properties({"title": "Blank inventory", "author": "guardleaf", "created": MADE})
        _Template(book).fill()
        book.close()
        os.replace(unfinished, path)
    except (FileCreateError, OSError) as error:
        raise FileProblemError(f"{path} could not be written: {error}") from error
    finally:
        unfinished.unlink(missing_ok=True)


class _Template:
    """The workbook while it is being written. Rows and columns count from 0."""

    def __init__(self, book: xlsxwriter.Workbook) -> None:
        self.book = book
        self.policy: Frames = policy_tables(load_policy())
        self.figures: Figures = figures(self.policy)
        head = {"bg_color": _HEAD_GREY, "bottom": 1, "text_wrap": True, "valign": "top"}
        self.must = book.add_format({**head, "bold": True})
        self.may = book.add_format({**head, "italic": True})
        self.wrap = book.add_format({"text_wrap": True, "valign": "top"})
        self.title = book.add_format({"bold": True, "font_size": 14})
        self.bold = book.add_format({"bold": True})

    def fill(self) -> None:
        """Every sheet in order."""
        self._read_me()
        for sheet in SHEETS:
            if sheet is CAMPAIGN:
                self._campaign()
            else:
                self._data_sheet(sheet)
        self._dictionary()

    def _read_me(self) -> None:
        page = self._page("Read me", landscape=False)
        page.set_column(0, 0, READ_ME_WIDTH)
        self._put(page, (0, 0), "Inventory for guardleaf", self.title)
        for row, line in enumerate(READ_ME, start=1):
            page.set_row(row, _row_height([(line, READ_ME_WIDTH)]))
            self._put(page, (row, 0), line, self.bold if line in HEADLINES else self.wrap)

    def _campaign(self) -> None:
        page = self._page(CAMPAIGN.name, landscape=False)
        page.set_column(0, 0, 24)
        page.set_column(1, 1, 32)
        page.freeze_panes(1, 0)
        for column, heading in enumerate(CAMPAIGN_HEADINGS):
            self._put(page, (0, column), heading, self.must)
        for row, setting in enumerate(CAMPAIGN.columns, start=1):
            value = examples.CAMPAIGN.get(setting.name)
            self._put(page, (row, 0), setting.name, self.bold if setting.required else None)
            self._put(page, (row, 1), value, self._example(setting))
            self._note(page, (row, 0), dictionary_line(CAMPAIGN, setting, self.figures))
            self._drop_down(page, setting, (row, 1, row, 1))

    def _data_sheet(self, sheet: InputSheet) -> None:
        page = self._page(sheet.name, landscape=True)
        page.freeze_panes(1, 1)
        page.repeat_rows(0)
        page.set_row(0, 18)
        page.repeat_columns(0)
        page.fit_to_pages(1 + len(sheet.columns) // MOST_COLUMNS_A_PAGE, 0)
        rows = examples.ROWS.get(sheet.name) or self._policy_rows(sheet)
        for column_no, column in enumerate(sheet.columns):
            page.set_column(column_no, column_no, _width(column), self._entry(column))
            self._put(page, (0, column_no), column.name, self.must if column.required else self.may)
            self._note(page, (0, column_no), dictionary_line(sheet, column, self.figures))
            self._drop_down(page, column, (1, column_no, LAST_ROW, column_no))
            for row_no, row in enumerate(rows, start=1):
                self._put(page, (row_no, column_no), row.get(column.name), self._example(column))

    def _policy_rows(self, sheet: InputSheet) -> list[dict[str, ExampleValue]]:
        """The policy's rates, so that a lab sees them and may change them."""
        return list(self.policy["policy.rates"].iter_rows(named=True)) if sheet.name == "Rates" else []

    def _dictionary(self) -> None:
        page = self._page("Dictionary", landscape=True)
        page.freeze_panes(1, 0)
        page.repeat_rows(0)
        for column, (heading, width) in enumerate(DICTIONARY_COLUMNS):
            page.set_column(column, column, width)
            self._put(page, (0, column), heading, self.must)
        for row, line in enumerate(dictionary_lines(self.figures), start=1):
            allowed = ", ".join(line.words) or line.kind
            required = "yes" if line.is_required else "no"
            values = (line.sheet, line.column, required, allowed, line.default, line.meaning)
            widths = [width for _, width in DICTIONARY_COLUMNS]
            page.set_row(row, _row_height(list(zip(values, widths, strict=True))))
            for column, value in enumerate(values):
                self._put(page, (row, column), value, self.wrap)

    def _page(self, name: str, *, landscape: bool) -> Worksheet:
        page = self.book.add_worksheet(name)
        if landscape:
            page.set_landscape()
        page.set_paper(9)
        page.fit_to_pages(1, 0)
        page.set_header(f"&L{name}&RInventory for guardleaf")
        page.set_footer("&Rpage &P of &N")
        return page

    def _entry(self, column: InputColumn) -> Format:
        return self.book.add_format({"num_format": _number_format(column)})

    def _example(self, column: InputColumn) -> Format:
        return self.book.add_format(
            {"num_format": _number_format(column), "italic": True, "font_color": _EXAMPLE_GREY}
        )

    def _note(self, page: Worksheet, place: tuple[int, int], line: DictionaryLine) -> None:
        empty = (
            "must be filled"
            if line.is_required
            else f"empty means {line.default}"
            if line.default
            else "may be empty"
        )
        words = ", ".join(line.words)
        text = "\n".join(part for part in (line.meaning, line.kind, words, empty) if part)
        page.write_comment(
            *place, text, {"x_scale": 2, "y_scale": 1.2 if len(text) < 200 else 2.4, "author": "guardleaf"}
        )

    def _drop_down(self, page: Worksheet, column: InputColumn, area: tuple[int, int, int, int]) -> None:
        words = _YES_NO if column.kind == "yes_no" else column.allowed
        if not words:
            return
        rule = {
            "validate": "list",
            "source": list(words),
            "error_title": "Not a word of this column",
            "error_message": "Choose one from the list.",
        }
        _must_succeed(page.data_validation(*area, rule), column.name)

    def _put(self, page: Worksheet, place: tuple[int, int], value: ExampleValue, form: Format | None) -> None:
        if value is None:
            return
        if isinstance(value, date):
            code = page.write_datetime(*place, datetime(value.year, value.month, value.day), form)
        elif isinstance(value, str):
            code = page.write_string(*place, value, form)
        else:
            code = page.write_number(*place, value, form)
        _must_succeed(code, str(value))


def _must_succeed(code: int, what: str) -> None:
    """XlsxWriter tells most failures by a negative number only."""
    if code:
        raise XlsxWriterException(f"{what} could not be written to the template ({code})")


def _number_format(column: InputColumn) -> str:
    if column.kind in _TEXT_KINDS:
        return "@"
    return "yyyy-mm-dd" if column.kind == "date" else "General"


def _width(column: InputColumn) -> int:
    return max(_WIDTHS.get(column.kind, 10), len(column.name) + 2)


def _row_height(texts: list[tuple[str, int]]) -> float:
    """Height in points of a row of wrapped texts, each with the width of its column in characters."""
    lines = max(-(-len(text) // width) for text, width in texts)
    return POINTS_A_LINE * max(1, lines)

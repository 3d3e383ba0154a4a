"""A copy of an inventory with each faulty cell marked, and a sheet Findings with a link to each.

The copy is for looking at: it holds values and no formulas, so that nothing runs in it; the inventory itself is mended.
Marks are patterns and comments as well as colour, so that they hold in grey print and for every eye.
"""

import warnings
from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path

from openpyxl import Workbook, load_workbook
from openpyxl.cell import Cell
from openpyxl.cell.cell import MergedCell
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils.cell import coordinate_to_tuple
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.worksheet import Worksheet

from pipeline.errors import Finding, Level
from pipeline.inventory.read import read_inventory
from pipeline.inventory.sheets import MOST_COLUMN_NO, row_of
from pipeline.inventory.workbook import MOST_ROW_NO
from pipeline.inventory.write_whole import refuse_target, write_whole

SHEET = "Findings"
HEADINGS = ("no.", "level", "place", "volume", "what is wrong", "what to do", "code")
WIDTHS = (6, 10, 24, 14, 60, 50, 24)
HEADING_ROW = 4
MOST_MARKS = 5_000
"""Cells that are marked; all findings stand on the sheet Findings."""
MOST_COMMENT_LETTERS = 2_000
COMMENT_WIDTH, COMMENT_HEIGHT = 320, 130
POINTS_A_LINE = 15
LINK_BLUE = "FF0B4F9E"
_PATTERNS: dict[Level, tuple[str, str]] = {
    "error": ("lightTrellis", "FFD9534F"),
    "warning": ("lightUp", "FFE0A030"),
    "note": ("gray0625", "FF7090B0"),
}
"""Pattern and colour of each level's mark; text stays readable on all of them."""
_EDGES: dict[Level, str] = {"error": "thick", "warning": "medium", "note": "thin"}


def write_marked(inventory: Path, target: Path, findings: Sequence[Finding]) -> int:
    """Write the marked copy and give the number of cells marked. Raises FileProblemError.

    The same inventory and findings give the same cells; the file carries no time of its own.
    """
    refuse_target(target, inventory)
    book = _copy(inventory)
    marked = _mark(book, findings)
    _add_findings(book, inventory.name, findings, marked)
    book.properties.created = book.properties.modified = datetime(2000, 1, 1)
    write_whole(target, book.save)
    return marked


def _copy(inventory: Path) -> Workbook:
    """The inventory as a workbook of values: no formulas, no links to other files, no macros."""
    reading = read_inventory(inventory)  # the guards first: a hostile file is refused here
    if inventory.is_dir():
        book = Workbook()
        book.remove(book.worksheets[0])
        for sheet in reading.sheets:
            page = book.create_sheet(sheet.name[:31])
            for row in sheet.cells.iter_rows(named=True):
                _put_text(page.cell(row["row_no"], row["column_no"]), row["text"])
        return book
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        book = load_workbook(inventory, data_only=True, keep_links=False)
    for name in [name for name, defined in book.defined_names.items() if "[" in (defined.attr_text or "")]:
        del book.defined_names[name]
    return book


def _put_text(cell: Cell, text: str) -> None:
    """A text as text: never a formula or an error, whatever it begins with; characters no sheet takes are shown."""
    cell.value = "".join(letter if letter.isprintable() or letter in "\t\n" else "\ufffd" for letter in text)
    cell.data_type = "s"
    cell.quotePrefix = True


def _mark(book: Workbook, findings: Iterable[Finding]) -> int:
    """Mark each cell that a finding names; the gravest level of a cell decides its pattern."""
    by_cell: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        if finding.sheet in book.sheetnames and _is_place(finding.cell):
            by_cell.setdefault((finding.sheet, finding.cell), []).append(finding)
    for (sheet, place), found in list(by_cell.items())[:MOST_MARKS]:
        _mark_cell(_top_left(book[sheet], place), found)
    return min(len(by_cell), MOST_MARKS)


def _is_place(cell: str) -> bool:
    if not cell or not 0 < row_of(cell) <= MOST_ROW_NO:
        return False
    return int(coordinate_to_tuple(cell)[1]) <= MOST_COLUMN_NO


def _top_left(page: Worksheet, place: str) -> Cell:
    """The cell at a place, or the one that shows where cells are merged."""
    cell = page[place]
    if isinstance(cell, MergedCell):
        block = next(block for block in page.merged_cells.ranges if place in block)
        cell = page.cell(block.min_row, block.min_col)
    return cell


def _mark_cell(cell: Cell, findings: list[Finding]) -> None:
    level = next(level for level in _PATTERNS if any(finding.level == level for finding in findings))
    pattern, colour = _PATTERNS[level]
    cell.fill = PatternFill(patternType=pattern, fgColor=colour, bgColor="FFFFFFFF")
    edge = Side(style=_EDGES[level], color=colour)
    cell.border = Border(left=edge, right=edge, top=edge, bottom=edge)
    before = f"{cell.comment.text}\n\n" if cell.comment else ""
    text = before + "\n".join(_comment_line(finding) for finding in findings)
    cell.comment = Comment(text[:MOST_COMMENT_LETTERS], "guardleaf", COMMENT_HEIGHT, COMMENT_WIDTH)


def _comment_line(finding: Finding) -> str:
    action = f" -> {finding.action}" if finding.action else ""
    return f"{finding.level.upper()}: {finding.message}{action}"


def _add_findings(book: Workbook, name: str, findings: Sequence[Finding], marked: int) -> None:
    page = book.create_sheet(_free_name(book), 0)
    errors = sum(finding.level == "error" for finding in findings)
    title = f"Findings in {name}: {errors} errors, {len(findings) - errors} warnings and notes; {marked} cells marked"
    _put_text(page.cell(1, 1), title)
    page.cell(1, 1).font = Font(bold=True, size=14)
    legend = (
        "Marks: crosshatch = error, slanted lines = warning, dots = note; each marked cell has a comment."
    )
    _put_text(page.cell(2, 1), f"{legend} This copy holds values only: mend the inventory itself.")
    for column_no, heading in enumerate(HEADINGS, start=1):
        cell = page.cell(HEADING_ROW, column_no)
        _put_text(cell, heading)
        cell.font = Font(bold=True)
        cell.border = Border(bottom=Side(style="medium"))
    for order, finding in enumerate(findings, start=1):
        _put_finding(book, page, order, finding)
    _set_up(page, len(findings))
    book.active = 0
    for other in book.worksheets[1:]:
        other.sheet_view.tabSelected = False


def _put_finding(book: Workbook, page: Worksheet, order: int, finding: Finding) -> None:
    row_no = HEADING_ROW + order
    place = f"{finding.sheet}!{finding.cell}" if finding.cell else finding.sheet
    texts = (finding.level, place, finding.volume_id, finding.message, finding.action, finding.code)
    page.cell(row_no, 1, order).alignment = Alignment(vertical="top", horizontal="left")
    lines = max(-(-len(text) // width) for text, width in zip(texts, WIDTHS[1:], strict=True))
    page.row_dimensions[row_no].height = POINTS_A_LINE * max(1, lines)
    for column_no, text in enumerate(texts, start=2):
        cell = page.cell(row_no, column_no)
        _put_text(cell, text)
        cell.alignment = Alignment(vertical="top", wrap_text=True)
    if finding.sheet in book.sheetnames:
        cell = page.cell(row_no, 3)
        sheet = finding.sheet.replace("'", "''")
        target = finding.cell if _is_place(finding.cell) else "A1"
        cell.hyperlink = Hyperlink(ref=cell.coordinate, location=f"'{sheet}'!{target}")
        cell.font = Font(color=LINK_BLUE, underline="single")


def _free_name(book: Workbook) -> str:
    taken = {name.casefold() for name in book.sheetnames}
    name, number = SHEET, 1
    while name.casefold() in taken:
        number += 1
        name = f"{SHEET} {number}"
    return name


def _set_up(page: Worksheet, count: int) -> None:
    """Widths, frozen headings, filter, and printing one page wide with the headings on each page."""
    for column_no, width in enumerate(WIDTHS, start=1):
        page.column_dimensions[page.cell(HEADING_ROW, column_no).column_letter].width = width
    page.freeze_panes = page.cell(HEADING_ROW + 1, 1)
    if count:
        page.auto_filter.ref = f"A{HEADING_ROW}:{page.cell(HEADING_ROW + count, len(HEADINGS)).coordinate}"
    page.print_title_rows = f"{HEADING_ROW}:{HEADING_ROW}"
    page.page_setup.orientation = "landscape"
    page.page_setup.fitToHeight = 0
    page.sheet_properties.pageSetUpPr.fitToPage = True
    page.oddFooter.center.text = "&P / &N"

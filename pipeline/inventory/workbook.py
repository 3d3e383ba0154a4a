"""An .xlsx as sheets of cells: values as stored, each with its place. Merged, hidden, formula and error
cells are dealt with here and nowhere else. The file is only read.
"""

import warnings
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime, time
from fractions import Fraction
from pathlib import Path
from xml.etree.ElementTree import ParseError

from defusedxml.common import DefusedXmlException
from openpyxl import Workbook
from openpyxl.reader.excel import ExcelReader
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.xml import DEFUSEDXML

from pipeline.errors import FileProblemError, Finding
from pipeline.inventory.guard import check_workbook_file, file_problem, has_formulas
from pipeline.inventory.sheets import CellColumns, CellKind, Reading, ReadSheet, address

MOST_ROW_NO = 1_048_576
MOST_NUMBER = 1e100
"""Greatest number taken for one; what lies beyond (or is none, such as NaN) is an error cell."""
_DAMAGED = (
    zipfile.BadZipFile, zlib.error, EOFError, ParseError, DefusedXmlException, KeyError, IndexError,
    ValueError, TypeError, AttributeError, NotImplementedError, RuntimeError,
)  # fmt: skip
"""What openpyxl raises on packages that are no proper workbook."""

Place = tuple[int, int]
TypedCell = tuple[CellKind, str]


def read_workbook(path: Path) -> Reading:
    """Every worksheet of a workbook, in its order. Raises FileProblemError with a plain sentence."""
    check_workbook_file(path)
    if not DEFUSEDXML:
        raise RuntimeError("defusedxml is not at work; workbooks are not read without it")
    needs_formulas = has_formulas(path)
    book = _load(path, data_only=True)
    formulas = _load(path, data_only=False) if needs_formulas else None
    sheets = []
    for sheet in book.worksheets:
        texts = _formula_texts(formulas[sheet.title]) if formulas is not None else {}
        sheets.append(_read_sheet(sheet, texts, path))
    return Reading(tuple(sheets), tuple(_lock_findings(path)))


def _load(path: Path, *, data_only: bool) -> Workbook:
    """The workbook, wholly loaded: read-only mode believes the file's own, sometimes wrong, dimensions."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            reader = ExcelReader(path, data_only=data_only, keep_links=False)
            reader.read()
    except OSError as error:
        raise file_problem(path, error) from error
    except DefusedXmlException as error:
        raise FileProblemError(
            f"{path} could not be read as a workbook: it defines entities, which no spreadsheet program writes"
        ) from error
    except _DAMAGED as error:
        raise FileProblemError(f"{path} could not be read as a workbook: {_first_line(error)}") from error
    listed = {sheet.name for sheet, _ in reader.parser.find_sheets()}
    lost = sorted(listed - set(reader.wb.sheetnames))
    if lost:
        raise FileProblemError(f"{path} is damaged: the contents of sheet {lost[0]} are missing")
    book: Workbook = reader.wb
    return book


def _read_sheet(sheet: Worksheet, formulas: dict[Place, str], path: Path) -> ReadSheet:
    cells = dict(_typed_cells(sheet, formulas))
    if cells and max(row_no for row_no, _ in cells) > MOST_ROW_NO:
        raise FileProblemError(
            f"{path}: sheet {sheet.title} has a row beyond {MOST_ROW_NO:,}, which no sheet can have"
        )
    findings = [*_fill_merged(sheet, cells), *_hidden_rows(sheet, cells)]
    columns = CellColumns()
    for place in sorted(cells):
        columns.add(place, *cells[place])
    spans = tuple(
        (block.max_row, block.min_col, block.max_col)
        for block in sorted(sheet.merged_cells.ranges, key=lambda block: (block.min_row, block.min_col))
        if block.max_col > block.min_col
    )
    return ReadSheet(sheet.title, sheet.sheet_state, columns.frame(), tuple(findings), spans)


def _typed_cells(sheet: Worksheet, formulas: dict[Place, str]) -> Iterator[tuple[Place, TypedCell]]:
    # _cells holds the cells that are there; asking by range would make a million for one stray cell far out
    for place, cell in sheet._cells.items():
        if cell.value is None:
            # a text formula that gives "" is stored without a value, but as text: that cell is empty
            if place in formulas and cell.data_type != "str":
                yield place, ("formula", formulas[place])
            continue
        typed = _typed(cell.value, cell.data_type, cell.number_format)
        if typed[1].strip():
            yield place, typed


def _typed(value: object, data_type: str, number_format: str) -> TypedCell:
    if data_type == "e":
        return "error", str(value)
    if isinstance(value, bool):
        return "bool", "yes" if value else "no"
    if isinstance(value, int | float):
        return _typed_number(value, number_format)
    if isinstance(value, datetime):
        midnight = value.time() == time()
        return "date", value.date().isoformat() if midnight else value.isoformat(sep=" ")
    return "date" if isinstance(value, date) else "text", str(value)


def _typed_number(value: float, number_format: str) -> TypedCell:
    if not abs(value) <= MOST_NUMBER:
        return "error", str(value)
    if "%" in number_format:
        return "text", f"{number_text(value, 100)} %"
    return "number", number_text(value)


def number_text(value: float, factor: int = 1) -> str:
    """A stored number as the shortest text that gives it back: 24 for 24.0, 28.9 for 28.9."""
    if isinstance(value, float) and not value.is_integer():
        exact = Fraction(repr(value)) * factor
        return repr(value) if factor == 1 else f"{float(exact):.15g}"
    return str(int(value) * factor)


def _formula_texts(sheet: Worksheet) -> dict[Place, str]:
    return {
        place: str(getattr(cell.value, "text", cell.value))
        for place, cell in sheet._cells.items()
        if cell.data_type == "f"
    }


def _fill_merged(sheet: Worksheet, cells: dict[Place, TypedCell]) -> Iterator[Finding]:
    """Give every row of a merged block the block's value, and say so."""
    last_row_no = max((row_no for row_no, _ in cells), default=0)
    for block in sorted(sheet.merged_cells.ranges, key=lambda block: (block.min_row, block.min_col)):
        first = (block.min_row, block.min_col)
        if block.max_row == block.min_row or first not in cells:
            continue
        for row_no in range(block.min_row + 1, min(block.max_row, last_row_no) + 1):
            cells[(row_no, block.min_col)] = cells[first]
        yield Finding(
            code="merged_cells",
            level="warning",
            sheet=sheet.title,
            cell=address(*first),
            message=f"the merged cells {block.coord} are read as the same value in each row",
            action="unmerge them and fill in every row, if that is not meant",
        )


def _hidden_rows(sheet: Worksheet, cells: dict[Place, TypedCell]) -> Iterator[Finding]:
    filled = {row_no for row_no, _ in cells}
    hidden = sorted(no for no, row in sheet.row_dimensions.items() if row.hidden and no in filled)
    if hidden:
        yield Finding(
            code="hidden_rows",
            level="warning",
            sheet=sheet.title,
            cell=address(hidden[0], 1),
            message=f"{len(hidden)} hidden or filtered rows are read like any other, from row {hidden[0]} on",
            action="delete them if they are not meant",
        )


def _lock_findings(path: Path) -> Iterator[Finding]:
    if path.with_name(f"~${path.name}").exists():
        yield Finding(
            code="open_elsewhere",
            level="warning",
            sheet=path.name,
            message="the inventory is open in another program; changes not saved there are not seen",
            action="save it and run again",
        )


def _first_line(error: BaseException) -> str:
    lines = str(error.__cause__ or error).strip().splitlines()
    return lines[0] if lines else type(error).__name__

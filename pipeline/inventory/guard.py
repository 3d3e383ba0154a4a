"""Files that must not be opened as a workbook, told apart before they are: by first bytes, size and members.

Nothing is unpacked to disk, nothing is fetched, nothing runs.
"""

import re
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

from openpyxl.utils.cell import coordinate_to_tuple

from pipeline.errors import FileProblemError

MOST_BYTES = 200_000_000
"""Most bytes the parts of a workbook (or a CSV file) may unpack to; 50,000 rows of 25 columns are some 40
million.
"""
MOST_MEMBERS = 10_000
"""Most parts in a workbook's package."""
MOST_BLOCK_CELLS = 100_000
"""Most cells that merged blocks and links over ranges may cover: the reader makes an object for each."""
MOST_PIECES = 2_000_000
"""Most cells, rows and shared texts in a workbook: the reader makes an object for each."""
MOST_ROWS = 250_000
"""Most filled rows of one sheet."""
_CHUNK = 1 << 20
_LONGEST_TAG = 512
_PIECE = re.compile(rb"<(?:\w+:)?(?:c|row|si)[\s>/]")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s>]")
_BLOCK = re.compile(
    rb"""<(?:\w+:)?(?:mergeCell|hyperlink)\s[^>]*?\bref\s*=\s*["']([A-Z]{1,3}\d{1,7}:[A-Z]{1,3}\d{1,7})"""
)
_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
_MARKUP = (b"<!doctype", b"<html", b"<?xml", b"<table", b"<head")


def check_workbook_file(path: Path) -> None:
    """Nothing, when the file may be opened as a workbook.

    Raises FileProblemError that says what it is instead.
    """
    try:
        with path.open("rb") as file:
            start = file.read(512)
    except OSError as error:
        raise file_problem(path, error) from error
    if not start:
        raise FileProblemError(f"{path} is empty; if it lies in a cloud folder it may not be downloaded yet")
    if not start.startswith(_ZIP):
        raise FileProblemError(f"{path} is no .xlsx workbook: {_what_it_is(start)}")
    _check_package(path)


def file_problem(path: Path, error: OSError) -> FileProblemError:
    """A plain sentence for a file the system will not give."""
    if isinstance(error, FileNotFoundError):
        return FileProblemError(f"{path} is not there")
    if isinstance(error, PermissionError):
        return FileProblemError(f"{path} may not be read; if it is open in another program, close it there")
    return FileProblemError(f"{path} could not be read: {error.strerror or error}")


def has_formulas(path: Path) -> bool:
    """Whether any sheet of a workbook holds a formula. Raises FileProblemError when there are more cells than are read,
    or a block of cells that the reader would have to fill (merged cells, a link over a range) is too large.
    """
    found = False
    pieces = 0
    blocks: set[tuple[str, bytes]] = set()
    with zipfile.ZipFile(path) as package:
        for name in package.namelist():
            if name.endswith(".xml"):
                with package.open(name) as part:
                    for window in _windows(part.read, _CHUNK):
                        found = found or _FORMULA.search(window) is not None
                        pieces += sum(1 for _ in _PIECE.finditer(window))
                        if pieces > MOST_PIECES:
                            raise FileProblemError(
                                f"{path} holds more than the {MOST_PIECES:,} cells and rows that are read; "
                                "delete the empty rows and columns beside the lists"
                            )
                        blocks |= {(name, reference) for reference in _BLOCK.findall(window)}
    size = sum(_cells_in(reference.decode()) for _, reference in blocks)
    if size > MOST_BLOCK_CELLS:
        raise FileProblemError(
            f"{path} merges or links {size:,} cells, more than the {MOST_BLOCK_CELLS:,} that are read; "
            "unmerge whole columns or sheets"
        )
    return found


def _cells_in(reference: str) -> int:
    """Cells of a block such as A2:C9."""
    first, _, last = reference.partition(":")
    (row, column), (last_row, last_column) = coordinate_to_tuple(first), coordinate_to_tuple(last)
    return int((abs(last_row - row) + 1) * (abs(last_column - column) + 1))


def _what_it_is(start: bytes) -> str:
    if start.startswith(_OLE):
        return (
            "it is an old .xls file or one with a password; open it and save it as .xlsx without a password"
        )
    text = start.removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    if text.startswith(_MARKUP):
        return "it is a web page or XML under the name of a workbook; open it and save it as .xlsx"
    if b"\x00" in start and not start.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "it is of another kind, or damaged"
    return "it looks like text (CSV); save it as .xlsx, or give a folder of .csv files named as the sheets"


def _check_package(path: Path) -> None:
    try:
        with zipfile.ZipFile(path) as package:
            members = package.infolist()
    except (zipfile.BadZipFile, EOFError, ValueError, NotImplementedError) as error:
        raise FileProblemError(f"{path} is damaged or not wholly copied: {error}") from error
    except OSError as error:
        raise file_problem(path, error) from error
    names = [member.filename for member in members]
    unpacked = sum(member.file_size for member in members)
    if unpacked > MOST_BYTES:
        raise FileProblemError(
            f"{path} unpacks to {unpacked:,} bytes, more than the {MOST_BYTES:,} that are read"
        )
    if len(members) > MOST_MEMBERS:
        raise FileProblemError(
            f"{path} has {len(members):,} parts, more than the {MOST_MEMBERS:,} that are read"
        )
    if len(set(names)) < len(names):
        raise FileProblemError(f"{path} holds a part twice, which no spreadsheet program writes")
    if any(member.flag_bits & 1 for member in members):
        raise FileProblemError(f"{path} has a password; save it without one")
    if not any(name.endswith("workbook.xml") for name in names):
        raise FileProblemError(f"{path} is no .xlsx workbook: {_other_package(names)}")


def _other_package(names: list[str]) -> str:
    if "xl/workbook.bin" in names:
        return "it is a binary workbook; save it as .xlsx"
    if "content.xml" in names:
        return "it is an OpenDocument file; save it as .xlsx"
    return "it is a package of another kind"


def _windows(read: Callable[[int], bytes], size: int) -> Iterator[bytes]:
    """Chunks of a stream, each with the end of the one before, so that no tag is cut in two."""
    tail = b""
    while chunk := read(size):
        yield tail + chunk
        tail = chunk[-_LONGEST_TAG:]

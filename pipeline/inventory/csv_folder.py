"""A folder of .csv files as sheets of cells: UTF-8 with or without byte order mark, comma or semicolon."""

import csv
import io
from pathlib import Path

from pipeline.errors import FileProblemError
from pipeline.inventory.guard import MOST_BYTES, file_problem
from pipeline.inventory.sheets import CellColumns, Reading, ReadSheet

DELIMITERS = (",", ";")


def read_csv_folder(path: Path) -> Reading:
    """Every .csv file of a folder, by name; a file's name is the sheet's. Raises FileProblemError."""
    try:
        files = sorted(file for file in path.iterdir() if file.suffix.lower() == ".csv" and file.is_file())
    except OSError as error:
        raise file_problem(path, error) from error
    if not files:
        raise FileProblemError(
            f"{path} holds no .csv files; they are named as the sheets: Campaign.csv, Volumes.csv"
        )
    stems = [file.stem for file in files]
    if len(set(stems)) < len(stems):
        raise FileProblemError(
            f"{path} holds two files of the same sheet: {', '.join(file.name for file in files)}"
        )
    return Reading(tuple(_read_file(file) for file in files))


def _read_file(path: Path) -> ReadSheet:
    text = _text(path)
    delimiter = _delimiter(text)
    columns = CellColumns()
    try:
        for row_no, line in enumerate(
            csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), start=1
        ):
            for column_no, cell in enumerate(line, start=1):
                if cell and not cell.isspace():
                    columns.add((row_no, column_no), "text", cell)
    except csv.Error as error:
        raise FileProblemError(f"{path} could not be read as CSV: {error}") from error
    return ReadSheet(path.stem, "visible", columns.frame())


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise FileProblemError(f"{path} is larger than the {MOST_BYTES:,} bytes that are read")
        data = path.read_bytes()
    except OSError as error:
        raise file_problem(path, error) from error
    if b"\x00" in data:
        raise FileProblemError(f"{path} is not UTF-8 text; save it again as CSV UTF-8")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise FileProblemError(
            f"{path} is not UTF-8 text (line {line}); save it again as CSV UTF-8"
        ) from error


def _delimiter(text: str) -> str:
    """The delimiter of the first line that has one, outside quotation marks."""
    for line in text.splitlines():
        bare = "".join(line.split('"')[::2])
        counts = {delimiter: bare.count(delimiter) for delimiter in DELIMITERS}
        if any(counts.values()):
            return max(DELIMITERS, key=lambda delimiter: counts[delimiter])
    return DELIMITERS[0]

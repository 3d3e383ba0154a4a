"""The ledger of a plan on disk: one Parquet file per return, only ever added to, each written whole or not at all.

`ledger/0003-<first figures of the returned file's hash>.parquet` holds the lines of return 3. A file is written
beside under another name, brought to the disk, then renamed; what a killed run leaves is never read.
"""

import io
import os
import re
from contextlib import suppress
from pathlib import Path

import polars as pl

from pipeline.contracts.ledger import LATER_LINE_COLUMNS, PAST_LINES
from pipeline.errors import ContractError, FileProblemError
from pipeline.folder import LEDGER_NAME

_NAME = re.compile(r"(?P<return_no>\d{4,})-(?P<sha>[0-9a-f]{12})\.parquet")
UNFINISHED = ".unfinished"


def ledger_files(folder: Path) -> list[Path]:
    """Files of the ledger in the order of their returns."""
    return sorted(path for path in (folder / LEDGER_NAME).glob("*.parquet") if _NAME.fullmatch(path.name))


def read_ledger(folder: Path) -> pl.DataFrame:
    """Every line of the ledger. Raises FileProblemError when a file is damaged or one is missing."""
    parts = [PAST_LINES.empty()]
    for number, path in enumerate(ledger_files(folder), start=1):
        match = _NAME.fullmatch(path.name)
        if match is None or int(match["return_no"]) != number:
            raise FileProblemError(f"{folder / LEDGER_NAME} is not whole: return {number} is missing")
        parts.append(_read_file(path, number))
    return pl.concat(parts)


def _read_file(path: Path, number: int) -> pl.DataFrame:
    try:
        frame = PAST_LINES.check(_with_later_columns(pl.read_parquet(path.read_bytes())))
    except (ContractError, OSError, pl.exceptions.PolarsError) as error:
        raise FileProblemError(f"{path} is damaged; take it back from a copy") from error
    if frame["return_no"].unique().to_list() not in ([number], []):
        raise FileProblemError(f"{path} is damaged: it holds lines of another return")
    return frame


def _with_later_columns(frame: pl.DataFrame) -> pl.DataFrame:
    """Lines as they are written now: columns that an earlier version did not know say nothing."""
    missing = [name for name in LATER_LINE_COLUMNS if name not in frame.columns]
    return frame.with_columns(pl.lit(None, dtype=pl.Boolean).alias(name) for name in missing)


def standing_lines(lines: pl.DataFrame) -> pl.DataFrame:
    """The lines that no later line takes the place of, in their order."""
    gone = {
        name
        for text in lines["supersedes"].to_list()
        for name in (part.strip() for part in text.split(","))
        if name
    }
    return lines.filter(~pl.col("line_id").is_in(sorted(gone))).sort("line_id")


def add_return(folder: Path, lines: pl.DataFrame, *, return_no: int, sha256: str) -> Path:
    """Add the lines of a return as a file of its own. Nothing is added when it cannot be written whole.

    Raises FileProblemError. To be called inside `plan_in_use`.
    """
    place = folder / LEDGER_NAME
    buffer = io.BytesIO()
    PAST_LINES.check(lines).write_parquet(buffer)
    path = place / f"{return_no:04d}-{sha256[:12]}.parquet"
    if path.exists():
        raise FileProblemError(f"{path} is there already")
    unfinished = path.with_name(path.name + UNFINISHED)
    try:
        place.mkdir(exist_ok=True)
        _write_through(unfinished, buffer.getvalue())
        unfinished.replace(path)
        sync_folder(place)
    except OSError as error:
        with suppress(OSError):
            unfinished.unlink(missing_ok=True)
        raise FileProblemError(f"{path} could not be written: {error.strerror or error}") from error
    return path


def remove_unfinished(folder: Path) -> None:
    """Remove what a killed run left of a return that it did not finish."""
    for path in (folder / LEDGER_NAME).glob(f"*{UNFINISHED}"):
        path.unlink(missing_ok=True)


def _write_through(path: Path, data: bytes) -> None:
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Bring a folder's entries to the disk, where the system lets a folder be opened for that."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)

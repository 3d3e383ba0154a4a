"""Hash of an inventory: which one a plan was made from."""

import hashlib
from pathlib import Path

from pipeline.errors import FileProblemError
from pipeline.folder import STORE_NAME
from pipeline.inventory.guard import file_problem
from pipeline.store import Store


def inventory_sha256(inventory: Path, columns: Path | None = None) -> str:
    """Hash of a workbook, or of a folder's CSV files by name; with a column file, of what both say together.

    Raises FileProblemError when one is not there.

    Of a plan's own folder: the hash of the inventory it was made from.
    """
    if not inventory.exists():
        raise FileProblemError(f"{inventory} is not there")
    if (inventory / STORE_NAME).is_file():
        with Store(inventory / STORE_NAME, read_only=True) as store:
            return str(store.read("raw.run")["inventory_sha256"][0])
    files = sorted(inventory.glob("*.csv")) if inventory.is_dir() else [inventory]
    digest = hashlib.sha256()
    for file in files:
        digest.update(file.name.encode() if inventory.is_dir() else b"")
        digest.update(file.read_bytes())
    if columns is not None:
        digest.update(_column_file(columns))
    return digest.hexdigest()


def _column_file(columns: Path) -> bytes:
    """The column file's bytes behind a mark, so that they are never taken for the end of an inventory."""
    try:
        return b"\x00columns\x00" + columns.read_bytes()
    except OSError as error:
        raise file_problem(columns, error) from error

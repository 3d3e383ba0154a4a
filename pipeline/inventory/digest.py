"""Hash of an inventory: which one a plan was made from."""

import hashlib
from pathlib import Path

from pipeline.errors import FileProblemError
from pipeline.folder import STORE_NAME
from pipeline.store import Store


def inventory_sha256(inventory: Path) -> str:
    """Hash of a workbook, or of a folder's CSV files by name. Raises FileProblemError when it is not there.

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
    return digest.hexdigest()

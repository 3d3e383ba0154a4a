"""The folder of a plan: built beside its place and moved in whole, never written in place.

While a plan is made, `NAME.building` beside it holds the work; the store in it is locked by the process at work.
The old folder is moved aside first (Windows does not overwrite), then the new one in, then the old one goes.
"""

import shutil
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from pipeline.errors import FileProblemError
from pipeline.store import Store

STORE_NAME = "plan.duckdb"
LEDGER_NAME = "ledger"
BUILDING = ".building"
REPLACED = ".replaced"


def store_path(folder: Path) -> Path:
    """The store of an existing plan. Raises FileProblemError when the folder holds none."""
    recover(folder)
    path = folder / STORE_NAME
    if not path.is_file():
        raise FileProblemError(
            f"{folder} holds no plan; make one with: guardleaf plan INVENTORY --out {folder}"
        )
    return path


def recover(folder: Path) -> None:
    """Bring the old plan back when a run was killed between moving it aside and moving the new one in."""
    aside = folder.with_name(folder.name + REPLACED)
    if aside.is_dir() and not folder.exists():
        aside.rename(folder)


def refuse_unsafe_target(folder: Path, inventory: Path) -> None:
    """Refuse, before any work, a target that must not be overwritten. Raises FileProblemError."""
    if folder.is_file():
        raise FileProblemError(f"{folder} is a file; name a folder for the plan")
    if inventory.resolve().is_relative_to(folder.resolve()):
        raise FileProblemError(f"the inventory lies inside {folder}; name another folder for the plan")
    if not folder.is_dir() or not any(folder.iterdir()):
        return
    if not (folder / STORE_NAME).is_file():
        raise FileProblemError(f"{folder} holds other files and no plan; name a new folder")
    if any((folder / LEDGER_NAME).glob("*.parquet")):
        raise FileProblemError(
            f"{folder} holds returned work orders; a plan with returns is never overwritten. Name another folder"
        )


@contextmanager
def build_beside(folder: Path) -> Iterator[Path]:
    """A fresh folder beside the target; moved into its place when the block ends well, else removed.

    Raises FileProblemError when the place cannot be written or another process is at work there.
    """
    building = folder.with_name(folder.name + BUILDING)
    recover(folder)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        _remove_stale(building)
        building.mkdir()
    except OSError as error:
        raise FileProblemError(f"{folder.parent} cannot be written: {error.strerror}") from error
    try:
        yield building
        _swap_in(building, folder)
    finally:
        shutil.rmtree(building, ignore_errors=True)


def _remove_stale(building: Path) -> None:
    """Remove what a killed run left. Raises FileProblemError when a run is still at work in it."""
    left_store = building / STORE_NAME
    if left_store.is_file():
        with Store(left_store):  # refused, with the number of the process, while another run holds it
            pass
    if building.exists():
        shutil.rmtree(building)


def _swap_in(building: Path, folder: Path) -> None:
    aside = folder.with_name(folder.name + REPLACED)
    if aside.exists():
        aside.rename(folder.with_name(f"{folder.name}{REPLACED}-{uuid.uuid4().hex[:8]}"))
    try:
        if folder.exists():
            folder.rename(aside)
        building.rename(folder)
    except PermissionError as error:
        if aside.exists() and not folder.exists():
            aside.rename(folder)
        raise FileProblemError(
            f"a file in {folder} is open in another program; close it and run again ({error.filename})"
        ) from error
    shutil.rmtree(aside, ignore_errors=True)

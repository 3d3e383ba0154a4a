"""The folder of a plan: built beside its place and moved in whole, never written in place.

While a plan is made, `NAME.building` beside it holds the work and `.NAME.lock` says that somebody is at work. The old
folder is moved first (aside, or into the new one's `revisions`: Windows does not overwrite), then the new one in. Each
move is one rename; `recover` ends or takes back what a killed run left between two of them.
"""

import shutil
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from pipeline.errors import FileProblemError

STORE_NAME = "plan.duckdb"
LEDGER_NAME = "ledger"
REVISIONS_NAME = "revisions"
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


@contextmanager
def plan_in_use(folder: Path) -> Iterator[None]:
    """Nobody else changes the plan while the block runs. Raises FileProblemError when somebody does.

    The lock lies beside the folder, for the folder itself is moved; a killed process leaves no lock behind.
    """
    path = folder.absolute()
    path = path.with_name(f".{path.name}.lock")
    lock = FileLock(path, timeout=0)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        lock.acquire()
    except Timeout as error:
        raise FileProblemError(
            f"{folder} is in use: another guardleaf is recording or planning there; wait until it is done and run again"
        ) from error
    except OSError as error:
        raise FileProblemError(f"{folder.parent} cannot be written: {error.strerror or error}") from error
    try:
        _recover_held(folder)
        yield
    finally:
        # nobody waits for the lock, so its file may go; one who opened it meanwhile finds it gone and says in use
        with suppress(OSError):
            path.unlink()
        lock.release()


def recover(folder: Path) -> None:
    """End or take back what a killed run left half moved. Raises FileProblemError while a run is at work."""
    if _is_half_moved(folder):
        with plan_in_use(folder):
            pass


def _is_half_moved(folder: Path) -> bool:
    aside = folder.with_name(folder.name + REPLACED)
    building = folder.with_name(folder.name + BUILDING)
    return (aside.is_dir() and not folder.exists()) or (building / REVISIONS_NAME).is_dir()


def _recover_held(folder: Path) -> None:
    """What `recover` promises, for the one who holds the lock."""
    aside = folder.with_name(folder.name + REPLACED)
    building = folder.with_name(folder.name + BUILDING)
    moved = building / REVISIONS_NAME
    if aside.is_dir() and not folder.exists():
        aside.rename(folder)
    if not moved.is_dir():
        return
    if folder.exists():  # killed before the old plan was moved: its earlier revisions go back
        if (folder / REVISIONS_NAME).exists() or not any(moved.iterdir()):
            shutil.rmtree(building)
        else:
            moved.rename(folder / REVISIONS_NAME)
    else:  # killed when all but the last move was done: the new plan goes in
        building.rename(folder)


def has_returns(folder: Path) -> bool:
    """Whether returned work orders lie in the plan's ledger."""
    return any((folder / LEDGER_NAME).glob("*.parquet"))


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
    if has_returns(folder) or (folder / REVISIONS_NAME).is_dir():
        raise FileProblemError(
            f"{folder} holds returned work orders; a plan with returns is never overwritten. "
            f"Plan what is left with: guardleaf replan {folder}, or name another folder"
        )


@contextmanager
def build_beside(folder: Path, *, revision_aside: str = "") -> Iterator[Path]:
    """A fresh folder beside the target; moved into its place when the block ends well, else removed.

    With `revision_aside` the old plan is kept whole, as revisions/<that name> of the new one; else it goes.
    To be called inside `plan_in_use`. Raises FileProblemError when the place cannot be written.
    """
    building = folder.with_name(folder.name + BUILDING)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        if building.exists():
            shutil.rmtree(building)
        building.mkdir()
    except OSError as error:
        raise FileProblemError(f"{folder.parent} cannot be written: {error.strerror}") from error
    try:
        yield building
        if revision_aside:
            _move_in_keeping(building, folder, revision_aside)
        else:
            _swap_in(building, folder)
    finally:
        if not (building / REVISIONS_NAME).is_dir() or folder.exists():
            shutil.rmtree(building, ignore_errors=True)


def _move_in_keeping(building: Path, folder: Path, revision: str) -> None:
    """Move the new plan in and the old one, whole, into its `revisions`. Takes all back when a file is held open."""
    kept, earlier = building / REVISIONS_NAME, folder / REVISIONS_NAME
    if earlier.is_dir():
        earlier.rename(kept)
    else:
        kept.mkdir()
    try:
        folder.rename(kept / revision)
    except OSError as error:
        if any(kept.iterdir()):
            kept.rename(earlier)
        else:
            kept.rmdir()
        raise FileProblemError(
            f"a file in {folder} is open in another program; close it and run again ({error.strerror})"
        ) from error
    building.rename(folder)


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

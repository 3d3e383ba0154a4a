"""Files written whole or not at all: beside their place first, then moved in."""

import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from pipeline.errors import FileProblemError


def write_whole(path: Path, write: Callable[[Path], None]) -> None:
    """Let `write` fill a file beside `path`, then put it in place. Raises FileProblemError in plain words.

    Whatever stands at `path` stays as it was unless the new file is whole.
    """
    unfinished: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.stem}-", suffix=path.suffix)
        os.close(handle)
        unfinished = Path(name)
        write(unfinished)
        with unfinished.open("rb+") as file:
            os.fsync(file.fileno())
        unfinished.chmod(0o666 & ~_umask())
        os.replace(unfinished, path)
    except PermissionError as error:
        message = f"{path} could not be written; close it if it is open in another program, and run again"
        raise FileProblemError(message) from error
    except OSError as error:
        raise FileProblemError(f"{path} could not be written: {error.strerror or error}") from error
    finally:
        if unfinished is not None:
            unfinished.unlink(missing_ok=True)


def refuse_target(path: Path, inventory: Path, *, may_replace: bool = False) -> None:
    """Refuse a target that is the inventory, lies in its folder, or is there already. Raises FileProblemError."""
    target, source = path.resolve(), inventory.resolve()
    if target == source or (source.is_dir() and target.is_relative_to(source)):
        raise FileProblemError(
            f"{path} is or lies in the inventory, which is never written to; name another file"
        )
    if path.is_dir():
        raise FileProblemError(f"{path} is a folder; name a file")
    if path.exists() and not may_replace:
        raise FileProblemError(f"{path} exists already; name a new file")


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask

"""Where the files that are not code lie: in a checkout beside the package, in an installed wheel inside it."""

from importlib.resources import files
from pathlib import Path

_PACKAGE = Path(str(files("pipeline")))


def data_folder(name: str) -> Path:
    """Folder `sql` or `sample_inventory`, wherever this installation keeps it."""
    installed = _PACKAGE / "_data" / name
    return installed if installed.is_dir() else _PACKAGE.parent / name


def sql_files(folder: str) -> list[Path]:
    """The .sql files of one folder under sql/, sorted by name."""
    return sorted((data_folder("sql") / folder).glob("*.sql"))


def sql_text(folder: str, stem: str) -> str:
    """Text of one SELECT."""
    return (data_folder("sql") / folder / f"{stem}.sql").read_text(encoding="utf-8")


def sample_inventory() -> Path:
    """The sample inventory workbook."""
    return data_folder("sample_inventory") / "sample_inventory.xlsx"

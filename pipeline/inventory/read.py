"""An inventory, workbook or CSV folder, as sheets of cells with their places."""

from pathlib import Path

from pipeline.errors import FileProblemError
from pipeline.inventory.csv_folder import read_csv_folder
from pipeline.inventory.guard import MOST_ROWS
from pipeline.inventory.sheets import Reading


def read_inventory(path: Path) -> Reading:
    """The sheets of an inventory, as typed. Raises FileProblemError when it cannot be read."""
    if path.is_dir():
        return _of_bounded_rows(path, read_csv_folder(path))
    if not path.exists():
        raise FileProblemError(f"{path} is not there")
    if path.suffix.lower() == ".csv":
        raise FileProblemError(
            f"{path} is one sheet only; give the folder that holds it and the other .csv files"
        )
    from pipeline.inventory.workbook import read_workbook  # slow to import, and not needed for a folder

    return _of_bounded_rows(path, read_workbook(path))


def _of_bounded_rows(path: Path, reading: Reading) -> Reading:
    for sheet in reading.sheets:
        rows = sheet.cells["row_no"].n_unique()
        if rows > MOST_ROWS:
            raise FileProblemError(
                f"{path}: sheet {sheet.name} has {rows:,} rows, more than the {MOST_ROWS:,} that are read"
            )
    return reading

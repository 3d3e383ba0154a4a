"""The Strata sheet: how many volumes there are in each stratum of a sampled survey."""

from pipeline.contracts import TABLES
from pipeline.contracts.inventory_columns import STRATA
from pipeline.frames import Frames
from pipeline.inventory.parse import Words
from pipeline.inventory.raw import RawSheet
from pipeline.inventory.rows import Figures, SheetRows, read_rows
from pipeline.inventory.rows_volumes import first_of_each


def read_strata(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of Strata."""
    return read_rows(STRATA, raw, words, figures)


def strata_frames(found: SheetRows) -> Frames:
    """clean.strata of the rows without a fault."""
    rows = [{"row_no": row.row_no, **row.values} for row in first_of_each(found.clean(), STRATA.key)]
    return {"clean.strata": TABLES["clean.strata"].frame(rows)}

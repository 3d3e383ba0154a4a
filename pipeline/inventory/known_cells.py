"""Cells below known headings as raw.cells has them: the lab's words turned into ours, fixed values filled in."""

import re

import polars as pl

from pipeline.contracts import TABLES
from pipeline.inventory.column_file import ColumnFile, ColumnSource
from pipeline.inventory.columns import match_sheet, plain
from pipeline.inventory.layout import FoundHeading, Layout
from pipeline.inventory.sheets import MOST_COLUMN_NO, CellColumns, Reading, ReadSheet, column_letters

_SEPARATORS = re.compile(r"([,;\n])")
RAW_CELLS = TABLES["raw.cells"]


def known_cells(layout: Layout) -> pl.DataFrame:
    """raw.cells of one sheet: each filled cell of a known column, and what the column file fills in."""
    known = [heading for heading in layout.headings if heading.field]
    cells = layout.cells()
    parts = [RAW_CELLS.empty()]
    parts += [_column(layout, heading, cells) for heading in known]
    typed = pl.concat(parts)
    rows = typed["row_no"].unique().sort().to_list()
    parts += [_empty_cells(layout, heading, typed, rows) for heading in known if heading.source.empty]
    for order, (field, text) in enumerate(sorted(layout.constants().items()), start=1):
        # a constant stands in no column: it is counted beyond the last one a sheet can have
        constant = FoundHeading(MOST_COLUMN_NO + order, "", field)
        parts.append(_filled(layout, constant, rows, text))
    return pl.concat(parts).sort(RAW_CELLS.key)


def translated(text: str, source: ColumnSource) -> str:
    """A cell's text with the lab's words turned into ours; `left:` and `right:` before a word stay."""
    if not source.words:
        return text
    whole = source.words.get(plain(text))
    if whole is not None:
        return whole
    return "".join(_translated_part(part, source) for part in _SEPARATORS.split(text))


def with_campaign(reading: Reading, columns: ColumnFile) -> Reading:
    """The inventory with a Campaign sheet made of the column file's settings, where it has none of its own."""
    has_own = any(
        "Campaign" in (match_sheet(sheet.name), columns.sheet_is(sheet.name)) for sheet in reading.sheets
    )
    if has_own or not columns.campaign:
        return reading
    cells = CellColumns()
    for row_no, pair in enumerate((("setting", "value"), *columns.campaign.items()), start=1):
        for column_no, text in enumerate(pair, start=1):
            if text.strip():
                cells.add((row_no, column_no), "text", text)
    made = ReadSheet("Campaign", "visible", cells.frame())
    return Reading((*reading.sheets, made), reading.findings)


def _translated_part(part: str, source: ColumnSource) -> str:
    side, colon, word = part.rpartition(":")
    ours = source.words.get(plain(word))
    return part if ours is None else f"{side}{colon}{ours}"


def _column(layout: Layout, heading: FoundHeading, cells: pl.DataFrame) -> pl.DataFrame:
    """One column's cells; a word that is turned into ours is text, whatever the cell held."""
    own = cells.filter(pl.col("column_no") == heading.column_no)
    texts = own["text"].to_list()
    ours = [translated(text, heading.source) for text in texts]
    kinds = [
        kind if text == our else "text"
        for kind, text, our in zip(own["cell_kind"].to_list(), texts, ours, strict=True)
    ]
    kept = own.with_columns(
        pl.Series("text", ours, dtype=pl.String), pl.Series("cell_kind", kinds, dtype=pl.String)
    ).filter(pl.col("text") != "")
    return _placed(layout, heading, kept)


def _empty_cells(layout: Layout, heading: FoundHeading, typed: pl.DataFrame, rows: list[int]) -> pl.DataFrame:
    filled = set(typed.filter(pl.col("field") == heading.field)["row_no"].to_list())
    return _filled(layout, heading, [row for row in rows if row not in filled], heading.source.empty)


def _filled(layout: Layout, heading: FoundHeading, rows: list[int], text: str) -> pl.DataFrame:
    cells = pl.DataFrame({"row_no": rows}, schema={"row_no": pl.Int64}).with_columns(
        pl.lit("text").alias("cell_kind"), pl.lit(text).alias("text")
    )
    return _placed(layout, heading, cells)


def _placed(layout: Layout, heading: FoundHeading, cells: pl.DataFrame) -> pl.DataFrame:
    letters = column_letters(heading.column_no) if heading.column_no <= MOST_COLUMN_NO else ""
    place = pl.lit(letters) + pl.col("row_no").cast(pl.String) if letters else pl.lit("")
    return cells.with_columns(
        place.alias("cell"),
        pl.lit(layout.sheet.name).alias("sheet"),
        pl.lit(heading.field).alias("field"),
        pl.lit(heading.column_no, dtype=pl.Int64).alias("column_no"),
    ).select(RAW_CELLS.column_names)

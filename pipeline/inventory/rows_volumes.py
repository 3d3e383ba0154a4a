"""The Volumes sheet: one row per volume, its content words and its quick-survey counts."""

import math
from collections.abc import Iterable, Iterator

from pipeline.contracts import TABLES
from pipeline.contracts.input_sheet import InputColumn
from pipeline.contracts.inventory_columns import SURVEY_PREFIX, VOLUMES, survey_column
from pipeline.errors import Finding
from pipeline.frames import Frames
from pipeline.inventory.columns import nearest, plain, survey_columns
from pipeline.inventory.findings import place_problem
from pipeline.inventory.parse import Words
from pipeline.inventory.quantities import Problem
from pipeline.inventory.raw import RawSheet
from pipeline.inventory.rows import Figures, Row, SheetRows, read_columns
from pipeline.inventory.unit_mix import report_unit_mix
from pipeline.units import UM_PER_MM

_PLAIN_COLUMNS = tuple(column for column in VOLUMES.columns if not column.name.startswith(SURVEY_PREFIX))

_SIZES = (
    "page_width",
    "page_height",
    "spine_thickness",
    "fore_edge_thickness",
    "cover_width",
    "cover_height",
)


def read_volumes(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of Volumes, custom hazards' count columns included, with findings of single rows."""
    found = SheetRows(VOLUMES, _with_known_counts(raw, words), [Row(row_no) for row_no in raw.row_nos()])
    found.findings += _unknown_count_columns(raw, words)
    columns: list[InputColumn] = [
        *_PLAIN_COLUMNS,
        *(survey_column(hazard) for hazard in words.hazards.values()),
    ]
    read_columns(found, columns, words, figures)
    in_doubt = report_unit_mix(found, _SIZES, words, figures)
    for row in found.rows:
        for name, problem in _row_problems(row, figures):
            if row.row_no not in in_doubt:  # what follows from a wrong unit is no finding of its own
                found.report(row, name, problem)
    return found


def volume_frames(found: SheetRows) -> Frames:
    """clean.volumes, clean.volume_contents and clean.volume_counts of the rows without a fault."""
    rows = first_of_each(found.clean(), "volume_id")
    return {
        "clean.volumes": TABLES["clean.volumes"].frame([_clean(row) for row in rows]),
        "clean.volume_contents": TABLES["clean.volume_contents"].frame(
            [
                {"volume_id": row.text("volume_id"), "content_word": word}
                for row in rows
                for word in row.words("contents")
            ]
        ),
        "clean.volume_counts": TABLES["clean.volume_counts"].frame(
            [
                {"volume_id": row.text("volume_id"), "hazard": hazard, "count": count}
                for row in rows
                for hazard, count in counts_of(row).items()
            ]
        ),
    }


def seen_volumes(found: SheetRows) -> Frames:
    """work.seen_volumes: every row with an identifier, faulty ones too, for findings across sheets."""
    rows = [
        {
            "sheet": found.raw.name,
            "row_no": row.row_no,
            "volume_id": row.text("volume_id"),
            "page_width_mm": row.number("page_width"),
            "page_height_mm": row.number("page_height"),
            "leaves": row.values.get("leaves"),
            "hold": row.text("hold"),
        }
        for row in first_of_each(found.rows, "volume_id")
    ]
    return {"work.seen_volumes": TABLES["work.seen_volumes"].frame(rows)}


def counts_of(row: Row) -> dict[str, int]:
    """Quick-survey counts of a volume above 0, by hazard, in the policy's order."""
    return {
        name.removeprefix(SURVEY_PREFIX): value
        for name, value in row.values.items()
        if name.startswith(SURVEY_PREFIX) and isinstance(value, int) and value > 0
    }


def first_of_each(rows: Iterable[Row], key: str) -> list[Row]:
    """Rows with an identifier not met before; rows without one are kept out."""
    kept: dict[str, Row] = {}
    for row in rows:
        identifier = row.text(key)
        if identifier is not None:
            kept.setdefault(identifier, row)
    return list(kept.values())


def _clean(row: Row) -> dict[str, object]:
    values: dict[str, object] = {column.clean_name: row.values.get(column.name) for column in _PLAIN_COLUMNS}
    contents = row.words("contents")
    return values | {"row_no": row.row_no, "contents": ", ".join(contents) or None}


def _with_known_counts(raw: RawSheet, words: Words) -> RawSheet:
    """The sheet with its count columns named as the policy names the hazards."""
    known = survey_columns(words.hazards.values())
    columns = {
        known.get(plain(name), name) if name.startswith(SURVEY_PREFIX) else name: column
        for name, column in raw.columns.items()
    }
    return RawSheet(raw.name, raw.is_read, columns)


def _unknown_count_columns(raw: RawSheet, words: Words) -> Iterator[Finding]:
    known = survey_columns(words.hazards.values())
    for name, column in raw.columns.items():
        if name.startswith(SURVEY_PREFIX) and plain(name) not in known:
            hazard = name.removeprefix(SURVEY_PREFIX)
            near = nearest(hazard, words.hazards.values())
            message = f'the policy does not know the hazard "{hazard}"; the column is left out'
            action = f"did you mean {SURVEY_PREFIX}{near}?" if near else "define it in the policy file"
            problem = Problem("unknown_hazard_column", message, action, "error" if near else "warning")
            yield place_problem(problem, raw.name, column.heading_cell)


def _row_problems(row: Row, figures: Figures) -> Iterator[tuple[str, Problem]]:
    """Figures of one volume that do not go together; warnings, since odd volumes exist."""
    yield from _small_page(row, figures)
    yield from _odd_wedge(row, figures)
    yield from _odd_leaves(row, figures)
    if row.number("existing_leaves") and row.number("existing_leaf_thickness_um") == 0:
        message = (
            "old leaves are counted, but their thickness is not given; no room is gained by taking them out"
        )
        yield (
            "existing_leaf_thickness_um",
            Problem("leaf_thickness_missing", message, "measure one leaf", "warning"),
        )
    for side in ("width", "height"):
        page, cover = row.number(f"page_{side}"), row.number(f"cover_{side}")
        if page is not None and cover is not None and cover < page:
            message = f"cover_{side} {cover:g} mm is less than page_{side} {page:g} mm"
            yield f"cover_{side}", Problem("cover_smaller_than_page", message, "measure again", "warning")


def _small_page(row: Row, figures: Figures) -> Iterator[tuple[str, Problem]]:
    least = figures["check.least_page_mm"]
    for name in ("page_width", "page_height"):
        length = row.number(name)
        if length is not None and length < least:
            message = f"{name} {length:g} mm is smaller than any page ({least:g} mm)"
            yield (
                name,
                Problem("page_implausible", message, f"check the unit; {length * 10:g} mm?", "warning"),
            )


def _odd_wedge(row: Row, figures: Figures) -> Iterator[tuple[str, Problem]]:
    """Wedge angle before (trade model, section 2) beyond what a closed volume can have."""
    spine, fore_edge, width = (
        row.number(name) for name in ("spine_thickness", "fore_edge_thickness", "page_width")
    )
    if spine is None or fore_edge is None or width is None:
        return
    wedge_deg = math.degrees(2 * math.atan((fore_edge - spine) / (2 * width)))
    if abs(wedge_deg) > figures["check.most_wedge_deg"]:
        message = (
            f"fore_edge_thickness {fore_edge:g} mm and spine_thickness {spine:g} mm "
            f"make a wedge of {wedge_deg:.0f} degrees"
        )
        yield "fore_edge_thickness", Problem("wedge_implausible", message, "measure again", "warning")


def _odd_leaves(row: Row, figures: Figures) -> Iterator[tuple[str, Problem]]:
    spine, leaves = row.number("spine_thickness"), row.number("leaves")
    if spine is None or not leaves:
        return
    least, most = (
        figures["check.least_leaf_thickness_um"] / UM_PER_MM,
        figures["check.most_leaf_thickness_mm"],
    )
    each = spine / leaves
    if not least <= each <= most:
        message = f"{leaves:g} leaves in spine_thickness {spine:g} mm make {each:.2g} mm a leaf"
        yield (
            "spine_thickness",
            Problem("thickness_implausible", message, "check leaves, thickness and unit", "warning"),
        )

"""Volumes' quick-survey counts against their rows in Openings: groups without places, and counts that cannot
be.
"""

from collections.abc import Iterator

from pipeline.contracts import TABLES
from pipeline.contracts.inventory_columns import SURVEY_PREFIX
from pipeline.frames import Frames
from pipeline.inventory.counts import (
    CountGroup,
    Placed,
    PlacedRow,
    counts_beyond_rows,
    lay_counts,
    placed_by_rows,
)
from pipeline.inventory.quantities import Problem
from pipeline.inventory.rows import Row, SheetRows
from pipeline.inventory.rows_volumes import counts_of, first_of_each


def count_frames(volumes: SheetRows, openings: SheetRows) -> Frames:
    """clean.count_groups of the volumes without a fault. Adds findings to `volumes`: counts the volume
    cannot hold (errors), counts below the rows (warnings), hazards laid into the same openings (notes).
    """
    rows_by_volume = _placed_rows(openings)
    unsure = {row.text("volume_id") for row in openings.rows if row.faulty}
    groups: list[dict[str, object]] = []
    for row in first_of_each(volumes.rows, "volume_id"):
        leaves = row.number("leaves")
        if leaves is None:
            continue
        placed = placed_by_rows(rows_by_volume.get(row.text("volume_id") or "", []), int(leaves))
        if row.text("volume_id") not in unsure:
            for name, problem in _problems(counts_of(row), placed, int(leaves) + 1):
                volumes.report(row, name, problem)
        laid = _lay(volumes, row, placed, int(leaves) + 1)
        if row.is_clean:
            groups += _group_rows(row, laid)
    return {"clean.count_groups": TABLES["clean.count_groups"].frame(groups)}


def _placed_rows(openings: SheetRows) -> dict[str, list[PlacedRow]]:
    placed: dict[str, list[PlacedRow]] = {}
    for row in openings.rows:
        volume_id, count = row.text("volume_id"), row.number("count")
        if volume_id is not None and not row.faulty & {"openings", "count"}:
            hazards = frozenset(hazard for _, hazard in row.hazards("hazards"))
            placed.setdefault(volume_id, []).append(
                PlacedRow(hazards, row.ranges("openings"), int(count or 0))
            )
    return placed


def _lay(volumes: SheetRows, row: Row, placed: Placed, has_openings: int) -> list[CountGroup]:
    free = has_openings - placed.taken
    beyond = counts_beyond_rows(counts_of(row), placed)
    laid = lay_counts(beyond, max(free, 0))
    if any(len(group.hazards) > 1 for group in laid) and max(beyond.values()) <= free:
        message = (
            f"the counts add up to {sum(beyond.values())} openings, the volume has {free} left for them; "
            "different hazards are taken to lie in the same openings"
        )
        action = "list the openings, if it matters which"
        volumes.report(row, "volume_id", Problem("counts_overlaid", message, action, "note"))
    return laid


def _problems(counts: dict[str, int], placed: Placed, has_openings: int) -> Iterator[tuple[str, Problem]]:
    free = has_openings - placed.taken
    beyond = counts_beyond_rows(counts, placed)
    if free < 0:
        message = f"its rows in Openings hold {placed.taken} openings, the volume has {has_openings}"
        yield "leaves", Problem("too_many_openings", message, "check leaves and the rows in Openings")
    for hazard, count in counts.items():
        name = f"{SURVEY_PREFIX}{hazard}"
        in_rows = placed.by_hazard.get(hazard, 0)
        if count > has_openings:
            message = f"{name} is {count}, but {has_openings - 1} leaves make {has_openings} openings"
            yield name, Problem("too_many_openings", message, "check the count and leaves")
        elif 0 <= free < beyond.get(hazard, 0):
            message = f"{name} is {count}: {beyond[hazard]} beyond the rows in Openings, which leave {free}"
            yield name, Problem("too_many_openings", message, "check the count, leaves and those rows")
        elif count < in_rows:
            message = f"{name} is {count}, but the rows in Openings hold {in_rows}; the rows count"
            yield name, Problem("count_below_rows", message, "mend the count or the rows", "warning")


def _group_rows(row: Row, laid: list[CountGroup]) -> Iterator[dict[str, object]]:
    for number, group in enumerate(laid, start=1):
        for hazard in group.hazards:
            yield {
                "volume_id": row.text("volume_id"),
                "count_group_no": number,
                "hazard": hazard,
                "count": group.count,
                "has_counts_overlaid": len(group.hazards) > 1,
            }

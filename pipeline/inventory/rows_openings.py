"""The Openings and Decisions sheets: places, hazards, content and what people decided."""

from collections.abc import Iterator

from pipeline.contracts import TABLES
from pipeline.contracts.inventory_columns import DECISIONS, OPENINGS
from pipeline.frames import Frames
from pipeline.inventory.parse import Ranges, Words
from pipeline.inventory.quantities import Problem
from pipeline.inventory.raw import RawSheet
from pipeline.inventory.rows import Figures, Row, SheetRows, read_rows

UNKNOWN = "unknown"
SIDES = ("left", "right")


def read_openings(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of Openings, with findings of single rows."""
    found = read_rows(OPENINGS, raw, words, figures)
    for row in found.rows:
        for name, problem in _row_problems(found, row):
            found.report(row, name, problem)
    return found


def read_decisions(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of Decisions, with findings of single rows."""
    found = read_rows(DECISIONS, raw, words, figures)
    for row in found.rows:
        if row.text("decision") == "paper" and row.text("paper_id") is None and "paper_id" not in row.faulty:
            problem = Problem(
                "required_missing", "paper_id is empty, but the decision is paper", "name the paper"
            )
            found.report(row, "paper_id", problem)
    return found


def opening_frames(found: SheetRows, volume_ids: set[str]) -> Frames:
    """clean.opening_rows, opening_ranges, row_hazards and row_contents of faultless rows of known volumes."""
    rows = [row for row in found.clean() if row.text("volume_id") in volume_ids]
    return {
        "clean.opening_rows": TABLES["clean.opening_rows"].frame([_opening_row(row) for row in rows]),
        "clean.opening_ranges": TABLES["clean.opening_ranges"].frame(
            [
                {**_head(row), "first_opening_no": first, "last_opening_no": last}
                for row in rows
                for first, last in row.ranges("openings")
            ]
        ),
        "clean.row_hazards": TABLES["clean.row_hazards"].frame(
            [
                {**_head(row), "hazard": hazard, "side": side, "severity_grade": row.values["severity"]}
                for row in rows
                for side, hazard in row.hazards("hazards")
            ]
        ),
        "clean.row_contents": TABLES["clean.row_contents"].frame(
            [
                {**_head(row), "side": side, "content_word": word}
                for row in rows
                for side in SIDES
                for word in row.words(side) or (UNKNOWN,)
            ]
        ),
    }


def seen_openings(openings: SheetRows, decisions: SheetRows) -> Frames:
    """work.seen_openings: ranges and counts of every row of Openings and Decisions, faulty ones too."""
    rows = [
        {
            "sheet": found.raw.name,
            "row_no": row.row_no,
            "volume_id": row.text("volume_id"),
            "first_opening_no": first,
            "last_opening_no": last,
            "count": last - first + 1 if first is not None and last is not None else row.values.get("count"),
            "hazards": ", ".join(sorted(f"{side}:{hazard}" for side, hazard in row.hazards("hazards"))),
            "left_content": _content(row, "left"),
            "right_content": _content(row, "right"),
            "decision": row.text("decision"),
            "paper_id": row.text("paper_id"),
        }
        for found in (openings, decisions)
        for row in found.rows
        for first, last in row.ranges("openings") or ((None, None),)
        if "openings" not in row.faulty
    ]
    return {"work.seen_openings": TABLES["work.seen_openings"].frame(rows)}


def decision_frames(found: SheetRows, volume_ids: set[str]) -> Frames:
    """clean.decisions of faultless rows of known volumes."""
    rows = [
        {
            **_head(row),
            "openings": ranges_text(row.ranges("openings")),
            "decision": row.text("decision"),
            "paper_id": row.text("paper_id"),
            "by": row.text("by"),
            "reason": row.text("reason"),
        }
        for row in found.clean()
        if row.text("volume_id") in volume_ids
    ]
    return {"clean.decisions": TABLES["clean.decisions"].frame(rows)}


def ranges_text(ranges: Ranges) -> str | None:
    """Ranges as a compact list such as `3, 7-12`; None when there are none."""
    return ", ".join(str(first) if first == last else f"{first}-{last}" for first, last in ranges) or None


def _row_problems(found: SheetRows, row: Row) -> Iterator[tuple[str, Problem]]:
    ranges, count = row.ranges("openings"), row.number("count")
    if "openings" in row.faulty or "count" in row.faulty:
        return
    if not ranges and count is None:
        message = "openings and count are both empty"
        place = "openings" if "openings" in found.raw.columns else "count"
        yield (
            place,
            Problem("required_missing", message, "write the openings, or how many there are in count"),
        )
    listed = sum(last - first + 1 for first, last in ranges)
    if ranges and count is not None and count != listed:
        message = f"count {count:g} differs from the {listed} openings listed; the list counts"
        yield "count", Problem("count_differs", message, "mend the list, or leave count empty", "warning")


def _head(row: Row) -> dict[str, object]:
    return {"row_no": row.row_no, "volume_id": row.text("volume_id")}


def _opening_row(row: Row) -> dict[str, object]:
    ranges = row.ranges("openings")
    listed = sum(last - first + 1 for first, last in ranges)
    return {
        **_head(row),
        "openings": ranges_text(ranges),
        "count": listed or row.values["count"],
        "note": row.text("note"),
    }


def _content(row: Row, side: str) -> str:
    return ", ".join(sorted(word for word in row.words(side) if word != UNKNOWN))

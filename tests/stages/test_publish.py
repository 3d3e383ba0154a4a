"""What came of people's decisions: followed or not, in words, with what to do."""

from typing import Any

import pytest

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.stages.publish import FOLLOW_READS, follow_decisions
from tests.builders import settings
from tests.rows import row

Row = dict[str, Any]


def group(group_no: int, openings: str | None, count: int, sheets: int, **more: Any) -> Row:
    return {"group_no": group_no, "openings": openings, "count": count, "sheets": sheets} | more


def outcome(decision: Row, *groups: Row, plan_reason: str = "all served") -> Row:
    """The outcome of one decision of volume A, in row 2, on these groups."""
    rows: dict[str, list[Row]] = {name: [] for name in FOLLOW_READS}
    rows["clean.decisions"] = [row("clean.decisions", **decision)]
    rows["raw.cells"] = [
        {
            "sheet": "Decisions",
            "row_no": 2,
            "column_no": 3,
            "cell": "C2",
            "field": "decision",
            "cell_kind": "text",
            "text": decision["decision"],
        }
    ]
    rows["work.volume_plans"] = [_plan(plan_reason)]
    for one in groups:
        _add_group(rows, one)
    frames: Frames = {name: TABLES[name].frame(rows[name]) for name in FOLLOW_READS}
    answer = follow_decisions(frames, settings())["work.decision_outcomes"]
    return TABLES["work.decision_outcomes"].check(answer).row(0, named=True)


def _plan(reason: str) -> Row:
    figures = [name for name in TABLES["work.volume_plans"].column_names[3:]]
    return {"volume_id": "A", "state": "covered", "reason": reason} | {
        name: 0 if name in ("sheets", "added_um") else 0.0 for name in figures
    }


def _add_group(rows: dict[str, list[Row]], one: Row) -> None:
    key = {"volume_id": "A", "group_no": one["group_no"]}
    rows["work.opening_groups"].append(
        key
        | {
            "openings": one["openings"],
            "first_opening_no": 1 if one["openings"] else None,
            "count": one["count"],
            "left_content": "print",
            "right_content": "print",
            "hazards": "acidic_insert",
            "severity": "2",
            "origin": "listed" if one["openings"] else "row_count",
            "has_counts_overlaid": False,
            "decision_rows": one.get("decision_rows", "2"),
        }
    )
    best_bare = one.get("bare", one["count"] - one["sheets"])
    rows["work.fit_groups"].append(
        key
        | {
            "is_wanted": True,
            "bare_openings": best_bare,
            "cause": one.get("cause", ""),
            "reason": one.get("reason", ""),
        }
    )
    if one["sheets"]:
        placed = {"sheets": one["sheets"], "benefit": 0.1, "thickness_um": 92.0, "reason": "x"}
        rows["work.interleaves"].append(key | {"paper_id": one.get("paper_id", "BUF")} | placed)


MUST, NEVER = {"decision": "must"}, {"decision": "never"}
PAPER = {"decision": "paper", "paper_id": "BUF"}
ROOM = {"cause": "room", "reason": "thickness left 24 µm, thinnest permitted sheet 92 µm"}
HOLD = {"cause": "hold", "reason": "the volume is on hold (mould)"}
REFUSED = {
    "cause": "paper",
    "reason": "no paper may lie here: BUF, named by decision, may not lie there: glassine",
}
FLOOR = {
    "cause": "floor",
    "reason": "the best permitted sheet avoids 0.001 page losses, below the floor of 0.005",
}


@pytest.mark.parametrize(
    ("decision", "groups", "text"),
    [
        (MUST | {"openings": "1-2"}, [group(1, "1-2", 2, 2)], "2 sheets in 2 openings"),
        (NEVER, [group(1, "1-2", 2, 0, cause="decision", reason="said")], "no sheet lies there"),
        (NEVER | {"openings": "9"}, [], "no sheet lies there"),
        (PAPER, [group(1, "1-2", 2, 2)], "2 sheets of BUF in 2 openings"),
        (
            PAPER,
            [group(1, "1-2", 2, 1, **ROOM)],
            "1 sheet of BUF in 2 openings; 1 without: thickness left 24 µm, thinnest permitted sheet 92 µm",
        ),
    ],
)
def test_decisions_that_are_followed(decision: Row, groups: list[Row], text: str) -> None:
    found = outcome(decision, *groups)
    assert (found["is_followed"], found["outcome"], found["action"]) == (True, text, "")
    assert (found["sheet"], found["cell"]) == ("Decisions", "C2")


@pytest.mark.parametrize(
    ("decision", "groups", "text", "action"),
    [
        (
            MUST,
            [group(1, "1-2", 2, 1, **ROOM), group(2, None, 4, 4)],
            "5 sheets in 6 openings; 1 without: thickness left 24 µm",
            "what would make room",
        ),
        (
            MUST,
            [group(1, "1", 1, 0, **HOLD)],
            "0 sheets in 1 opening; 1 without: the volume is on hold",
            "cleared",
        ),
        (
            PAPER,
            [group(1, "1", 1, 0, **REFUSED)],
            "named by decision, may not lie there: glassine",
            "name a paper",
        ),
        (PAPER, [group(1, "1", 1, 0, **FLOOR)], "below the floor of 0.005", "add a decision `must`"),
        (
            MUST | {"openings": "1, 8-9"},
            [group(1, "1", 1, 1)],
            "1 sheet in 1 opening; no hazard is listed at 8-9",
            "list the openings with their hazard",
        ),
        (MUST, [], "no hazard is listed at any of its openings", "list the openings"),
        (
            MUST,
            [group(1, "1-2", 2, 0, bare=0)],
            "2 without: left out whole (0 of 2 sheets): the staff budget is used up",
            "raise the budget",
        ),
    ],
)
def test_decisions_that_could_not_be_followed(
    decision: Row, groups: list[Row], text: str, action: str
) -> None:
    found = outcome(
        decision, *groups, plan_reason="left out whole (0 of 2 sheets): the staff budget is used up"
    )
    assert not found["is_followed"]
    assert text in found["outcome"]
    assert action in found["action"]


def test_no_decisions_give_no_outcomes() -> None:
    frames = {name: TABLES[name].empty() for name in FOLLOW_READS}
    assert follow_decisions(frames, settings())["work.decision_outcomes"].is_empty()

"""Which steps the minutes of returned rows teach."""

from datetime import date, datetime
from typing import Any

import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.ledger.rates import OTHER_STEPS, learned_rows
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables

Task = dict[str, Any]
STARTING = {**dict.fromkeys(OTHER_STEPS, 10.0), "remove": 0.5}


def task(kind: str, revision: str = "r1", **overrides: Any) -> Task:
    """A step of volume A that is done; taking out is of 4 old leaves."""
    row: Task = {
        "revision": revision,
        "task_id": f"{kind}-1",
        "kind": kind,
        "volume_id": "A",
        "skill": "technician",
        "sheets_planned": 4 if kind == "remove" else None,
        "minutes_planned": 10.0,
        "is_whole": True,
        "count": 1,
        "used_by_paper": "",
        "done_on": date(2027, 1, 5),
    }
    return row | overrides


def taught(*tasks: Task) -> dict[str, tuple[int, float]]:
    """Tasks and minutes learned of each rate from such tasks of the revisions r1, r2 and r10, in that order."""
    revisions = ("r1", "r2", "r10")
    given: dict[str, list[Task]] = {
        "work.task_actuals": list(tasks),
        "work.past_revisions": [
            {"revision": name, "as_of": date(2027, 1, 4), "planned_at": datetime(2027, 1, 4, hour)}
            for hour, name in enumerate(revisions)
        ],
        "work.past_volumes": [
            {"revision": name, "volume_id": "A", "skill": "technician", "page_height_mm": 300.0}
            for name in revisions
        ],
        "clean.rates": [{"task": name, "minutes": minutes} for name, minutes in STARTING.items()],
    }
    others = ("work.past_enclosures", "work.laid_sheets", "clean.papers", "clean.campaign")
    frames = {name: TABLES[name].frame(given.get(name, [])) for name in (*given, *others)}
    frames["policy.figures"] = policy_tables(load_policy(None))["policy.figures"]
    rows = pl.DataFrame(learned_rows(frames), infer_schema_length=None)
    if rows.is_empty():
        return {}
    rows = rows.filter(pl.col("skill").is_null())
    return {row["subject_id"]: (row["tasks_count"], row["learned_value"]) for row in rows.to_dicts()}


def test_minutes_teach_the_steps_that_are_done() -> None:
    learned = taught(task("fetch"), task("check", other_minutes=40.0))
    assert learned.keys() == {"fetch", "check"}
    # alike before and told of together, so alike after
    assert learned["fetch"] == (1, pytest.approx(learned["check"][1]))
    assert learned["fetch"][1] > 10.0


def test_minutes_with_old_leaves_half_out_wait_until_they_are_out() -> None:
    begun = task("fetch"), task("remove", is_whole=False, other_minutes=12.0)
    assert taught(*begun) == {}
    cleared = task("remove", "r2", other_minutes=3.0)
    assert taught(*begun, cleared) == taught(task("fetch"), task("remove", other_minutes=15.0))
    assert taught(*begun, cleared).keys() == {"fetch", "remove"}


def test_revisions_follow_each_other_by_when_they_were_made() -> None:
    # by their names r10 would come before r2
    begun = task("fetch"), task("remove", is_whole=False, other_minutes=12.0)
    told = taught(*begun, task("remove", "r2", other_minutes=3.0), task("check", "r10", other_minutes=10.0))
    assert told.keys() == {"fetch", "remove", "check"}
    assert told["fetch"][0] == told["remove"][0] == told["check"][0] == 1


def test_steps_without_minutes_teach_nothing() -> None:
    assert taught(task("fetch"), task("check")) == {}
    assert taught(task("interleave", other_minutes=5.0, is_whole=False)) == {}

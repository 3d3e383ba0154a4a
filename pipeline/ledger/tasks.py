"""The tasks of a plan's revisions, as a returned line may name them."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.folder import store_path
from pipeline.resources import sql_text
from pipeline.store import Store


@dataclass(frozen=True)
class PlannedTask:
    """What a revision planned for a task."""

    task_id: str
    kind: str
    volume_id: str | None
    pattern_id: str | None
    sheets: int | None
    minutes: float


@dataclass(frozen=True)
class Answered:
    """All that returned lines may answer: tasks by revision and id, people, and the campaign's facts."""

    current: str
    tasks: dict[str, dict[str, PlannedTask]]
    staff_ids: tuple[str, ...]
    length_unit: str
    start_date: date
    end_date: date


def read_answered(folder: Path) -> Answered:
    """What returned lines may answer in a plan. Raises FileProblemError when the folder holds no plan."""
    with Store(store_path(folder), read_only=True) as store:
        run = store.read("published.run").row(0, named=True)
        current = str(run["revision"])
        past = store.read("work.past_tasks")
        revisions = store.read("work.past_revisions").sort("as_of", "revision")
        staff = [*store.read("published.staff")["staff_id"], *store.read("work.past_staff")["staff_id"]]
        now = current_tasks(store)
    tasks: dict[str, dict[str, PlannedTask]] = {name: {} for name in (*revisions["revision"], current)}
    for frame in (past, now):
        for row in frame.iter_rows(named=True):
            tasks[row["revision"]][row["task_id"]] = PlannedTask(
                row["task_id"],
                row["kind"],
                row["volume_id"],
                row["pattern_id"],
                row["sheets_planned"],
                row["minutes_planned"],
            )
    return Answered(
        current=current,
        tasks=tasks,
        staff_ids=tuple(sorted(set(staff))),
        length_unit=run["length_unit"],
        start_date=min([*revisions["start_date"].to_list(), run["start_date"]]),
        end_date=run["end_date"],
    )


def current_tasks(store: Store) -> pl.DataFrame:
    """The tasks of the plan in a store, as rows of work.past_tasks."""
    return store.query(sql_text("12_ledger/past", "past_tasks"))

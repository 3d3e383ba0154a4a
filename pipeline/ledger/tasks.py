"""The work of a plan's revisions, as a returned line may answer it."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.folder import store_path
from pipeline.resources import sql_text
from pipeline.store import Store

PAST_FOLDER = "12_ledger/past"


@dataclass
class Planned:
    """What one revision planned: sheets by volume and paper, steps by volume, parents by pattern."""

    volumes: dict[str, dict[str, int]] = field(default_factory=lambda: defaultdict(dict))
    steps: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    patterns: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Answered:
    """All that returned lines may answer: the work of each revision, people, and the campaign's facts."""

    current: str
    revisions: dict[str, Planned]
    staff_ids: tuple[str, ...]
    length_unit: str
    start_date: date
    end_date: date


def read_answered(folder: Path) -> Answered:
    """What returned lines may answer in a plan. Raises FileProblemError when the folder holds no plan."""
    with Store(store_path(folder), read_only=True) as store:
        run = store.read("published.run").row(0, named=True)
        revisions = store.read("published.revisions")
        planned = {str(name): Planned() for name in revisions["revision"]}
        for stem in ("past_tasks", "past_sheets"):
            for frame in (store.read(f"work.{stem}"), remembered(store, stem)):
                for row in frame.iter_rows(named=True):
                    _add(planned[row["revision"]], row)
        staff = [*store.read("published.staff")["staff_id"], *store.read("work.past_staff")["staff_id"]]
    return Answered(
        current=str(run["revision"]),
        revisions=planned,
        staff_ids=tuple(sorted(set(staff))),
        length_unit=run["length_unit"],
        start_date=min(revisions["start_date"].to_list()),
        end_date=run["end_date"],
    )


def _add(planned: Planned, row: dict[str, object]) -> None:
    """Take up a task or a volume's sheets of one paper."""
    volume_id, pattern_id = row["volume_id"], row.get("pattern_id")
    if "paper_id" in row:
        papers = planned.volumes[str(volume_id)]
        papers[str(row["paper_id"])] = papers.get(str(row["paper_id"]), 0) + int(str(row["sheets"]))
    elif volume_id is not None:
        planned.volumes[str(volume_id)].setdefault("", 0)
        planned.steps[str(volume_id)].add(str(row["kind"]))
    elif pattern_id is not None:
        parents = int(str(row["sheets_planned"] or 0))
        planned.patterns[str(pattern_id)] = planned.patterns.get(str(pattern_id), 0) + parents


def remembered(store: Store, stem: str) -> pl.DataFrame:
    """What the next revision remembers of the plan in a store: rows of work.<stem>."""
    return store.query(sql_text(PAST_FOLDER, stem))

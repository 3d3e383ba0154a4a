"""A made-up lab whose work takes other times than its rates say: it works week by week and writes down what it did."""

import math
import random
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from pipeline.ledger.returned import RETURNS
from pipeline.store import Store
from tests.ledger.campaign import Entries, fill_in, returns_book

TRUE_MINUTES = {
    "cut_setup": 15.0,
    "cut_lift": 7.0,
    "interleave_volume": 16.0,
    "interleave_sheet": 0.7,
    "fetch": 7.0,
    "remove": 0.5,
    "check": 8.0,
    "enclose": 6.0,
    "enclose_made_to_measure": 24.0,
    "return": 6.0,
}
TRUE_THICKNESS_UM = {"P-1": 92.0, "P-2": 66.0}
SCATTER = 0.2
EDGE_ERROR_MM = 0.15
SPOILED = 0.04


@dataclass
class Lab:
    """What really happens, and what it comes to: minutes, leaves laid in by volume and by paper, parents by stock."""

    rng: random.Random = field(default_factory=lambda: random.Random(20_270_104))
    minutes: float = 0.0
    laid: dict[str, int] = field(default_factory=dict)
    papers: dict[str, int] = field(default_factory=dict)
    parents: dict[str, int] = field(default_factory=dict)
    spoiled: int = 0
    edges: dict[str, float] = field(default_factory=dict)
    finished: set[str] = field(default_factory=set)

    steps: set[tuple[str, str]] = field(default_factory=set)
    """Old leaves taken out and boxes put on, by volume."""

    revision: str = ""
    entries: dict[str, Entries] = field(default_factory=dict)
    done: set[str] = field(default_factory=set)

    def work(self, plan: Path, returned: Path, week: date, hours: float) -> Path | None:
        """The workbook of this revision as it comes back at the end of a week of so many hours; None: nothing done."""
        if not self._do(plan, week, hours):
            return None
        blank = returns_book(plan, returned.with_name("blank.xlsx"))
        return fill_in(
            blank,
            returned,
            lambda kind, row: self._told(row["volume_id"] if kind == RETURNS else row["pattern_id"]),
        )

    def _do(self, plan: Path, week: date, hours: float) -> bool:
        """Tasks planned to begin before the week is over, in their order, until its hours are used up."""
        due, papers = _read_plan(plan)
        if due and due[0]["revision"] != self.revision:
            self.revision, self.entries, self.done = due[0]["revision"], {}, set()
        left, before = hours * 60, len(self.done)
        for row in due:
            if row["task_id"] in self.done:
                continue
            if row["start_at"].date() >= week + timedelta(days=7) or left <= 0:
                break
            left -= self._task(row, papers.get(row["volume_id"], {}), left, week)
        asked = {name: {row["task_id"] for row in due if row["volume_id"] == name} for name in self.entries}
        for name, entry in self.entries.items():
            if entry["is_volume"]:
                entry["progress"] = "done" if asked[name] <= self.done else "part done"
                self.finished |= {name} if asked[name] <= self.done else set()
        return len(self.done) > before

    def _task(self, row: dict[str, Any], papers: dict[str, int], left: float, week: date) -> float:
        name = row["volume_id"] or row["pattern_id"]
        entry = self.entries.setdefault(name, {"is_volume": row["volume_id"] is not None, "staff_id": "T-1"})
        entry["done_on"] = week
        kind = row["kind"]
        if kind == "interleave":
            return self._lay_in(row, entry, papers, left)
        self.done.add(row["task_id"])
        if kind == "cut":
            if row["from_offcut_of"] is None:
                self.parents[row["stock_id"]] = self.parents.get(row["stock_id"], 0) + row["parents"]
            taken = self._scattered(TRUE_MINUTES["cut_setup"] + row["lifts"] * TRUE_MINUTES["cut_lift"])
            entry |= {"progress": "done", "minutes_taken": taken, "used_sheets_count": row["parents"]}
        else:
            rate = "enclose_made_to_measure" if kind == "enclose" and row["is_made"] else kind
            taken = self._scattered(TRUE_MINUTES[rate] * (row["existing_leaves"] if kind == "remove" else 1))
            entry["other_minutes"] = entry.get("other_minutes", 0.0) + taken
            entry |= {"remove": {"is_cleared": "yes"}, "enclose": {"is_boxed": "yes"}}.get(kind, {})
            self._only_once(row)
        if kind == "remove":
            self.edges[name] = row["fore_edge_before_mm"] - row["removed_um"] / 1000
        if kind == "check":
            entry["fore_edge_measured_mm"] = self.edges[name] + self.rng.gauss(0, EDGE_ERROR_MM)
        self.minutes += taken
        return taken

    def _only_once(self, row: dict[str, Any]) -> None:
        """Refuse to take out the same old leaves, or to put the same volume into a box, a second time."""
        if row["kind"] in ("remove", "enclose"):
            step = row["kind"], row["volume_id"]
            assert step not in self.steps, f"{step} is planned again in {self.revision}"
            self.steps.add(step)

    def _lay_in(self, row: dict[str, Any], entry: Entries, papers: dict[str, int], left: float) -> float:
        """Lay in what the time allows; what is left goes on next week."""
        already = entry.setdefault("laid", dict.fromkeys(papers, 0))
        todo = {paper: count - already[paper] for paper, count in papers.items()}
        full = TRUE_MINUTES["interleave_volume"] + sum(todo.values()) * TRUE_MINUTES["interleave_sheet"]
        share = min(1.0, left / full)
        laid = {paper: count if share == 1 else math.floor(count * share) for paper, count in todo.items()}
        spoiled = sum(self.rng.random() < SPOILED for _ in range(sum(laid.values())))
        is_begun = "minutes_taken" in entry
        taken = self._scattered(
            (0 if is_begun else TRUE_MINUTES["interleave_volume"])
            + (sum(laid.values()) + spoiled) * TRUE_MINUTES["interleave_sheet"]
        )
        edge = self.edges.setdefault(row["volume_id"], row["fore_edge_before_mm"])
        for paper, count in laid.items():
            already[paper] += count
            self.papers[paper] = self.papers.get(paper, 0) + count
            edge += count * TRUE_THICKNESS_UM[paper] / 1000
        self.edges[row["volume_id"]] = edge
        self.laid[row["volume_id"]] = self.laid.get(row["volume_id"], 0) + sum(laid.values())
        entry["minutes_taken"] = entry.get("minutes_taken", 0.0) + taken
        entry["spoiled_sheets_count"] = entry.get("spoiled_sheets_count", 0) + spoiled
        self.minutes += taken
        self.spoiled += spoiled
        if share == 1:
            self.done.add(row["task_id"])
        return taken

    def _told(self, name: str) -> Entries | None:
        """What is typed into the row of a volume or pattern."""
        entry = self.entries.get(name)
        if entry is None:
            return None
        told = {key: value for key, value in entry.items() if key not in ("is_volume", "laid")}
        laid = entry.get("laid", {})
        told |= {f"used {number}": count for number, (_, count) in enumerate(sorted(laid.items()), start=1)}
        if entry["is_volume"] and not laid and entry["progress"] == "part done":
            told["used 1"] = 0
        return told

    def _scattered(self, minutes: float) -> float:
        return max(0.5, self.rng.gauss(minutes, SCATTER * minutes))


def _read_plan(plan: Path) -> tuple[list[dict[str, Any]], dict[str, dict[str, int]]]:
    """Dated tasks in the order of their start, and sheets planned by volume and paper."""
    with Store(plan / "plan.duckdb", read_only=True) as store:
        tasks = store.query(
            "select * from published.tasks cross join (select revision from published.run) "
            "join (select pattern_id, stock_id, from_offcut_of, sheets as parents, lifts from published.patterns) "
            "using (pattern_id) "
            "union all by name "
            "select tasks.*, revision, existing_leaves, fore_edge_before_mm, "
            "existing_leaves * existing_leaf_thickness_um as removed_um, "
            "coalesce(starts_with(enclosure_id, 'made for '), true) as is_made from published.tasks "
            "cross join (select revision from published.run) join published.volumes using (volume_id) "
            "left join published.enclosures using (volume_id)"
        )
        sheets = store.rows(
            "select volume_id, paper_id, cast(sum(sheets) as bigint) from published.interleaves group by all"
        )
    papers: dict[str, dict[str, int]] = {}
    for volume_id, paper_id, count in sorted(sheets):
        papers.setdefault(volume_id, {})[paper_id] = count
    return [row for row in tasks.sort("start_at", "task_id").to_dicts() if row["start_at"]], papers

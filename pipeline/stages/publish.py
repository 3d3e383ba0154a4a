"""11 publish: what came of people's decisions, before the SELECTs fill schema published."""

from dataclasses import dataclass

import polars as pl

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.openings import compact_openings, expand_openings
from pipeline.settings import Settings
from pipeline.solve.fit.decisions import MUST, NEVER
from pipeline.solve.fit.reasons import plural

FOLLOW_READS = (
    "raw.cells",
    "clean.decisions",
    "work.opening_groups",
    "work.fit_groups",
    "work.interleaves",
    "work.volume_plans",
)
"""Tables that follow_decisions reads."""
_NO_HAZARD = "no hazard"
_BUDGETS = "budgets"
_ACTIONS = {
    _NO_HAZARD: "list the openings with their hazard in Openings, or take them out of the decision",
    "hold": "have the volume cleared first",
    "decision": "take one of the decisions back",
    "paper": "name a paper that may lie there, or take the decision back; `guardleaf explain` names what papers lack",
    "floor": "add a decision `must` where a sheet is to lie below the floor",
    "joint": "have the joint treated first",
    "papers": "name one paper for all of the volume's decisions, or none",
    "room": "choose which of the openings matter most, or see what would make room: `guardleaf explain` says",
    _BUDGETS: "raise the budget or the hours, or give the volume more significance",
    "": "look at the volume",
}


@dataclass(frozen=True)
class _Part:
    """What one group that a decision binds got: openings, sheets, and why some stay bare."""

    openings: int
    sheets: int
    cause: str
    reason: str


def follow_decisions(frames: Frames, _settings: Settings) -> Frames:
    """work.decision_outcomes: one row per decision, with the cell that finding and report point at."""
    parts = _parts(frames)
    places = {
        row_no: (sheet, cell)
        for sheet, row_no, cell in frames["raw.cells"]
        .filter(pl.col("field") == "decision")
        .select("sheet", "row_no", "cell")
        .iter_rows()
    }
    named = _hazard_openings(frames)
    rows = []
    for decision in frames["clean.decisions"].sort("row_no").iter_rows(named=True):
        row_no, volume_id = decision["row_no"], decision["volume_id"]
        # a decision that the ledger makes stands in no cell
        sheet, cell = places.get(row_no, ("ledger", ""))
        without = set(expand_openings(decision["openings"] or "")) - named.get(volume_id, set())
        is_followed, outcome, cause = _judge(decision, parts.get(row_no, []), compact_openings(without))
        action = "" if is_followed else _ACTIONS[cause]
        head = {"row_no": row_no, "volume_id": volume_id, "sheet": sheet, "cell": cell}
        rows.append(head | {"is_followed": is_followed, "outcome": outcome, "action": action})
    return {"work.decision_outcomes": TABLES["work.decision_outcomes"].frame(rows)}


def _judge(decision: dict[str, str | None], parts: list[_Part], without: str) -> tuple[bool, str, str]:
    """Whether the plan follows a decision, what it made of it in words, and the cause where it does not."""
    sheets = sum(part.sheets for part in parts)
    openings = sum(part.openings for part in parts)
    if decision["decision"] == NEVER:
        return sheets == 0, "no sheet lies there" if sheets == 0 else f"{plural(sheets, 'sheet')} there", ""
    words = []
    if parts:
        of = f" of {decision['paper_id']}" if decision["decision"] != MUST else ""
        words.append(f"{plural(sheets, 'sheet')}{of} in {plural(openings, 'opening')}")
    bare = [part for part in parts if part.sheets < part.openings]
    words += [f"{part.openings - part.sheets} without: {part.reason}" for part in bare]
    cause = bare[0].cause if bare else ""
    is_short = bool(bare)
    if decision["decision"] != MUST:
        refused = [part for part in bare if part.cause == "paper"]
        cause = refused[0].cause if refused else cause
        is_short = bool(refused) or sheets == 0
    if without or not parts:
        words.append(f"no hazard is listed at {without or 'any of its openings'}")
        return False, "; ".join(words), cause or _NO_HAZARD
    return not is_short, "; ".join(words), cause


def _parts(frames: Frames) -> dict[int, list[_Part]]:
    """By row of Decisions, what the groups it binds got."""
    key = ["volume_id", "group_no"]
    placed = (
        frames["work.interleaves"].sort(key).group_by(key, maintain_order=True).agg(pl.col("sheets").sum())
    )
    bound = (
        frames["work.opening_groups"]
        .filter(pl.col("decision_rows").is_not_null())
        .select(*key, "count", pl.col("decision_rows").str.split(", "))
        .join(frames["work.fit_groups"], on=key)
        .join(placed, on=key, how="left")
        .join(frames["work.volume_plans"].select("volume_id", plan_reason="reason"), on="volume_id")
        .sort(key)
    )
    parts: dict[int, list[_Part]] = {}
    for row in bound.iter_rows(named=True):
        sheets = row["sheets"] or 0
        is_for_budgets = row["count"] - sheets > row["bare_openings"]
        part = _Part(
            openings=row["count"],
            sheets=sheets,
            cause=_BUDGETS if is_for_budgets else row["cause"],
            reason=row["plan_reason"] if is_for_budgets else row["reason"],
        )
        for row_no in row["decision_rows"]:
            parts.setdefault(int(row_no), []).append(part)
    return parts


def _hazard_openings(frames: Frames) -> dict[str, set[int]]:
    """Openings with a hazard by volume, where places were noted and a person decided on the volume."""
    decided = frames["clean.decisions"].select("volume_id").unique()
    groups = frames["work.opening_groups"].join(decided, on="volume_id", how="semi")
    found: dict[str, set[int]] = {}
    for volume_id, openings in groups.select("volume_id", "openings").sort("volume_id").iter_rows():
        found.setdefault(volume_id, set()).update(expand_openings(openings or ""))
    return found

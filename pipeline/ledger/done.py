"""What returned work comes to: leaves in the volumes, steps done, leaves cut and not used, supplies left."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from typing import Any

import polars as pl

from pipeline.frames import Frames
from pipeline.openings import compact_openings, expand_openings

Row = dict[str, Any]
Size = tuple[str, float, float]
VOLUME_STEPS = ("fetch", "remove", "interleave", "check", "enclose", "return")
MADE_FOR = "made for "
"""Begin of the id of an enclosure made to measure that was ordered: the volume's id follows."""
NO_PLACE = 10**9
"""Place of a leaf whose opening is not noted: after all that are."""
ALMOST = 1e-9


@dataclass(frozen=True)
class _Leaf:
    """A planned leaf in the order in which it is laid in."""

    opening_no: int
    group_no: int
    paper_id: str


def laid_rows(frames: Frames) -> list[Row]:
    """Rows of work.laid_sheets: of each begun volume the first leaves in page order, as many as were laid in."""
    planned: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for row in frames["work.past_sheets"].iter_rows(named=True):
        planned[row["revision"], row["volume_id"]].append(row)
    rows: list[Row] = []
    for task in _of_kind(frames, "interleave"):
        sheets = planned[task["revision"], task["volume_id"]]
        for paper_id, count in read_used(task["used_by_paper"]).items():
            rows += _first_leaves([row for row in sheets if row["paper_id"] == paper_id], count)
    return rows


def read_used(text: str) -> dict[str, int]:
    """Leaves by paper of a list such as `P-1: 20, P-2: 3`."""
    pairs = (part.rpartition(":") for part in text.split(", ") if part)
    return {paper_id: int(count) for paper_id, _, count in pairs}


def _first_leaves(sheets: list[Row], count: int) -> list[Row]:
    """The first leaves of a paper in page order; what was laid in beyond the plan counts with the last of them."""
    leaves = [leaf for row in sheets for leaf in _leaves(row)]
    leaves.sort(key=lambda leaf: (leaf.opening_no, leaf.group_no, leaf.paper_id))
    laid: dict[tuple[int, str], list[int]] = defaultdict(list)
    for leaf in leaves[: max(0, count)]:
        laid[leaf.group_no, leaf.paper_id].append(leaf.opening_no)
    beyond = max(0, count - len(leaves))
    rows = []
    for row in sheets:
        places = laid.get((row["group_no"], row["paper_id"]))
        if places:
            part = len(places) / row["sheets"]
            openings = None if row["openings"] is None else compact_openings(places)
            facts = {"openings": openings, "laid_sheets_count": len(places), "benefit": row["benefit"] * part}
            rows.append(row | facts)
    if rows:
        rows[-1]["laid_sheets_count"] += beyond
    return rows


def _leaves(row: Row) -> list[_Leaf]:
    numbers = [NO_PLACE] * row["sheets"] if row["openings"] is None else expand_openings(row["openings"])
    return [_Leaf(number, row["group_no"], row["paper_id"]) for number in numbers]


def _of_kind(frames: Frames, *kinds: str) -> list[Row]:
    tasks = frames["work.task_actuals"].filter(pl.col("kind").is_in(kinds))
    return tasks.sort("done_on", "revision", "task_id").to_dicts()


def finished_rows(frames: Frames) -> list[Row]:
    """Rows of work.finished_volumes."""
    finished = {
        task["volume_id"]: task["done_on"] for task in _of_kind(frames, "interleave") if task["is_whole"]
    }
    return [{"volume_id": volume_id, "done_on": day} for volume_id, day in sorted(finished.items())]


def step_rows(frames: Frames) -> list[Row]:
    """Rows of work.steps_done: steps of volumes that lie in the lab. What comes later tells of what came before."""
    tasks = _of_kind(frames, *VOLUME_STEPS)
    tasks.sort(key=lambda task: (task["done_on"], VOLUME_STEPS.index(task["kind"])))
    steps: dict[str, dict[str, date]] = defaultdict(dict)
    for task in tasks:
        mine = steps[task["volume_id"]]
        if task["kind"] == "return" and task["is_whole"]:
            mine.clear()
        elif task["is_whole"] or task["used_sheets_count"]:
            mine.setdefault("fetch", task["done_on"])
            if task["kind"] == "interleave":
                mine.pop("check", None)  # what was laid in since asks for another look
            mine[task["kind"]] = task["done_on"]
    return [
        {"volume_id": volume_id, "kind": kind, "done_on": day}
        for volume_id, mine in sorted(steps.items())
        for kind, day in mine.items()
    ]


def ready_leaves(frames: Frames, laid: list[Row]) -> dict[Size, int]:
    """Leaves of each paper and size that were cut and neither laid in nor spoiled."""
    ready: dict[Size, int] = defaultdict(int)
    pieces: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for row in frames["work.past_patterns"].iter_rows(named=True):
        pieces[row["revision"], row["pattern_id"]].append(row)
    for task in _of_kind(frames, "cut"):
        parents = task["used_sheets_count"] or 0
        for row in pieces[task["revision"], task["pattern_id"]]:
            ready[row["paper_id"], row["width_mm"], row["height_mm"]] += row["count"] * parents
    sizes = _sizes(frames)
    for key, used in _leaves_used(frames, laid).items():
        if key in sizes:
            ready[sizes[key]] -= used
    return {size: count for size, count in sorted(ready.items()) if count > 0}


def _sizes(frames: Frames) -> dict[tuple[str, str, str], Size]:
    """Size of the leaves by revision, volume and paper."""
    return {
        (row["revision"], row["volume_id"], row["paper_id"]): (
            row["paper_id"],
            row["width_mm"],
            row["height_mm"],
        )
        for row in frames["work.past_sizes"].iter_rows(named=True)
    }


def _leaves_used(frames: Frames, laid: list[Row]) -> dict[tuple[str, str, str], int]:
    """Leaves laid in and spoiled by revision, volume and paper; the spoiled ones are of the paper with most leaves."""
    used: dict[tuple[str, str, str], int] = defaultdict(int)
    for row in laid:
        used[row["revision"], row["volume_id"], row["paper_id"]] += row["laid_sheets_count"]
    for task in _of_kind(frames, "interleave"):
        mine = [key for key in used if key[:2] == (task["revision"], task["volume_id"])]
        if mine and task["spoiled_sheets_count"]:
            used[max(mine, key=lambda key: (used[key], key))] += task["spoiled_sheets_count"]
    return used


def pinned_rows(frames: Frames, laid: list[Row], ready: dict[Size, int]) -> list[Row]:
    """Rows of work.pinned_sizes: begun volumes, and volumes for which leaves lie ready, the soonest first."""
    revisions = frames["work.past_revisions"].sort("planned_at", "as_of")["revision"].to_list()
    finished = {row["volume_id"] for row in finished_rows(frames)}
    begun = {(row["volume_id"], row["paper_id"]): row["revision"] for row in laid}
    left = dict(ready)
    rows: dict[tuple[str, str], Size] = {}
    for (revision, volume_id, paper_id), size in _soonest_first(frames, revisions[-1:]):
        if volume_id in finished:
            continue
        need = _need(frames, revision, volume_id, paper_id)
        if (volume_id, paper_id) in begun or left.get(size, 0) > 0:
            rows[volume_id, paper_id] = size
            left[size] = left.get(size, 0) - need
    for (volume_id, paper_id), revision in begun.items():
        if volume_id not in finished:
            rows.setdefault((volume_id, paper_id), _sizes(frames)[revision, volume_id, paper_id])
    return [
        {"volume_id": volume_id, "paper_id": paper_id, "width_mm": width, "height_mm": height}
        for (volume_id, paper_id), (_, width, height) in sorted(rows.items())
    ]


def _soonest_first(frames: Frames, revisions: list[str]) -> list[tuple[tuple[str, str, str], Size]]:
    tasks = frames["work.past_tasks"].filter(
        (pl.col("kind") == "interleave") & pl.col("revision").is_in(revisions)
    )
    starts = dict(tasks.select("volume_id", "start_at").iter_rows())
    sizes = [item for item in _sizes(frames).items() if item[0][0] in revisions]
    return sorted(sizes, key=lambda item: (str(starts.get(item[0][1]) or "9"), item[0]))


def _need(frames: Frames, revision: str, volume_id: str, paper_id: str) -> int:
    sizes = frames["work.past_sizes"].filter(
        (pl.col("revision") == revision)
        & (pl.col("volume_id") == volume_id)
        & (pl.col("paper_id") == paper_id)
    )
    return int(sizes["sheets"].sum() or 0)


def supply_rows(frames: Frames) -> list[Row]:
    """Rows of work.supplies_left: counted, and ordered since, less what was used since."""
    counts: dict[tuple[str, str], tuple[date | None, float]] = {}
    firsts = frames["work.past_stock"].sort("as_of")["as_of"].to_list()[:1]
    for row in frames["work.past_stock"].sort("as_of").iter_rows(named=True):
        since = None if row["as_of"] == firsts[0] else row["as_of"]
        counts[row["supply"], row["supply_id"]] = (since, row["on_hand"])
    left = {key: on_hand for key, (_, on_hand) in counts.items()}
    for order in frames["work.past_orders"].iter_rows(named=True):
        key = order["supply"], order["supply_id"]
        since = counts.get(key, (None, 0.0))[0]
        if since is None or order["arrives_on"] >= since:
            left[key] = left.get(key, 0.0) + order["ordered_count"]
    for key, day, quantity in _uses(frames):
        since = counts.get(key, (None, 0.0))[0]
        if key in left and (since is None or day >= since):
            left[key] -= quantity
    return [
        {"supply": supply, "supply_id": supply_id, "on_hand": max(0.0, on_hand if on_hand > ALMOST else 0.0)}
        for (supply, supply_id), on_hand in sorted(left.items())
    ]


def _uses(frames: Frames) -> list[tuple[tuple[str, str], date, float]]:
    """Supplies used: parent sheets, parts of rolls, enclosures."""
    rolls = {
        row["stock_id"]: row["length_mm"]
        for row in frames["clean.stock"].iter_rows(named=True)
        if row["form"] == "roll"
    }
    fresh = frames["work.past_patterns"].filter(pl.col("from_offcut_of").is_null())
    patterns = {
        (revision, pattern_id): (stock_id, length_mm)
        for revision, pattern_id, stock_id, length_mm in fresh.select(
            "revision", "pattern_id", "stock_id", "sheet_length_mm"
        ).iter_rows()
    }
    uses = []
    for task in _of_kind(frames, "cut"):
        if found := patterns.get((task["revision"], task["pattern_id"])):
            stock_id, length_mm = found
            parents = (task["used_sheets_count"] or 0) + (task["spoiled_sheets_count"] or 0)
            part = length_mm / rolls[stock_id] if stock_id in rolls else 1.0
            uses.append((("paper", stock_id), task["done_on"], parents * part))
    boxes = {
        (row["revision"], row["volume_id"]): row["enclosure_id"]
        for row in frames["work.past_enclosures"].iter_rows(named=True)
    }
    boxed = set()
    for task in _of_kind(frames, "enclose"):
        # a box that an older revision's row tells of late may be told of by a newer one's as well: it is one box
        if task["is_whole"] and task["volume_id"] not in boxed:
            boxed.add(task["volume_id"])
            enclosure_id = boxes.get((task["revision"], task["volume_id"])) or MADE_FOR + task["volume_id"]
            uses.append((("enclosure", enclosure_id), task["done_on"], 1.0))
    return uses


def delivery_rows(frames: Frames) -> list[Row]:
    """Rows of work.deliveries: what was ordered and has not arrived on the day of this revision."""
    as_of = frames["raw.run"]["as_of"][0]
    coming: dict[tuple[str, str], date] = {}
    for order in frames["work.past_orders"].iter_rows(named=True):
        if order["arrives_on"] > as_of:
            key = order["supply"], order["supply_id"]
            coming[key] = max(coming.get(key, order["arrives_on"]), order["arrives_on"])
    return [
        {"supply": supply, "supply_id": supply_id, "arrives_on": day}
        for (supply, supply_id), day in sorted(coming.items())
    ]

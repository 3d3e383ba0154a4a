"""The inventory as it is now: clean tables of what is left to do, from the clean tables of the inventory as surveyed.

Done work is taken off: leaves that lie in a volume leave its openings, its fore edge is the measured one, old leaves
are out, enclosures in use and paper cut are off the shelf, money spent is off the budgets. What was learned replaces
its starting figure. From here on a revision is planned as any plan is, and every rule holds for it.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from math import ceil
from typing import Any

import polars as pl

from pipeline.contracts import TABLES
from pipeline.frames import Frames, figures
from pipeline.ledger.done import VOLUME_STEPS
from pipeline.openings import compact_openings, expand_openings
from pipeline.units import FLOOR_GUARD, UM_PER_MM, ceil_um

Row = dict[str, Any]
LEFT_READS = (
    "raw.run",
    "clean.campaign",
    "clean.campaign_settings",
    "clean.volumes",
    "clean.volume_contents",
    "clean.opening_rows",
    "clean.opening_ranges",
    "clean.row_hazards",
    "clean.row_contents",
    "clean.count_groups",
    "clean.papers",
    "clean.stock",
    "clean.rates",
    "clean.enclosure_stock",
    "clean.decisions",
    "work.past_orders",
    "work.past_enclosures",
    "work.past_sheets",
    "work.task_actuals",
    "work.labour_done",
    "work.laid_sheets",
    "work.finished_volumes",
    "work.supplies_left",
    "work.learned_rates",
    "policy.figures",
)
"""Tables that what_is_left reads."""


def what_is_left(frames: Frames) -> Frames:
    """The clean tables that change once work has been done, by name."""
    return {
        **_campaign(frames),
        "clean.volumes": _volumes(frames),
        "clean.volume_contents": _contents(frames),
        "clean.opening_ranges": _ranges(frames),
        **_counts(frames),
        "clean.decisions": _decisions(frames),
        "clean.papers": _papers(frames),
        "clean.stock": _stock(frames),
        "clean.rates": _rates(frames),
        "clean.enclosure_stock": _enclosures(frames),
    }


def _learned(frames: Frames, subject: str) -> dict[str, Row]:
    """Used figures of all volumes by what they are of; those of classes are in work.volume_rates."""
    is_wanted = (pl.col("subject") == subject) & pl.col("is_used") & pl.col("skill").is_null()
    rows = frames["work.learned_rates"].filter(is_wanted)
    return {row["subject_id"]: row for row in rows.iter_rows(named=True)}


def _campaign(frames: Frames) -> Frames:
    """The campaign from the day of this revision on, with what is left of its money and the learned share of spares."""
    row = frames["clean.campaign"].row(0, named=True)
    as_of: date = frames["raw.run"]["as_of"][0]
    changed: Row = {"start_date": max(row["start_date"], as_of)}
    spent = {
        "supplies_budget": sum(frames["work.past_orders"]["cost"].to_list()),
        "staff_budget": sum(frames["work.labour_done"].sort("line_id", "collection")["cost"].to_list()),
    }
    for name, cost in spent.items():
        if row[name] is not None:
            changed[name] = max(0.0, row[name] - cost)
    if spares := _learned(frames, "spares").get(""):
        tenths = 10
        changed["spares_pct"] = ceil(spares["learned_value"] * tenths - FLOOR_GUARD) / tenths
    settings = [
        pair | ({"value": str(changed[pair["setting"]])} if pair["setting"] in changed else {})
        for pair in frames["clean.campaign_settings"].iter_rows(named=True)
    ]
    return {
        "clean.campaign": TABLES["clean.campaign"].frame([row | changed]),
        "clean.campaign_settings": TABLES["clean.campaign_settings"].frame(settings),
    }


@dataclass(frozen=True)
class _State:
    """What has happened to one volume: um of leaves in it, fore edge measured last, steps ever done or part done."""

    laid_um: float
    measured_mm: float | None
    steps: frozenset[str]
    part_done: frozenset[str]

    @property
    def is_cleared(self) -> bool:
        """Old leaves are out: it was said, or leaves lie in it and nobody said otherwise."""
        return "remove" in self.steps or ("interleave" in self.steps and "remove" not in self.part_done)


def _states(frames: Frames) -> dict[str, _State]:
    learned = _learned(frames, "thickness")
    laid: dict[str, float] = defaultdict(float)
    for row in frames["work.laid_sheets"].iter_rows(named=True):
        paper = learned.get(row["paper_id"])
        thickness = paper["learned_value"] if paper else row["thickness_um"]
        laid[row["volume_id"]] += row["laid_sheets_count"] * thickness
    measured: dict[str, float | None] = {}
    steps: dict[str, set[str]] = defaultdict(set)
    part_done: dict[str, set[str]] = defaultdict(set)
    tasks = frames["work.task_actuals"].filter(pl.col("volume_id").is_not_null()).to_dicts()
    for task in sorted(tasks, key=lambda task: (task["done_on"], VOLUME_STEPS.index(task["kind"]))):
        volume_id = task["volume_id"]
        if task["is_whole"] or task["used_sheets_count"]:
            steps[volume_id].add(task["kind"])
        else:
            part_done[volume_id].add(task["kind"])
        if task["kind"] == "interleave":
            measured[volume_id] = None
        if task["kind"] == "check" and task["fore_edge_measured_mm"] is not None:
            measured[volume_id] = task["fore_edge_measured_mm"]
    return {
        name: _State(laid[name], measured.get(name), frozenset(steps[name]), frozenset(part_done[name]))
        for name in steps
    }


def _volumes(frames: Frames) -> pl.DataFrame:
    """Volumes as they are now: fore edge, old leaves, enclosure, and the content words their openings told."""
    states, words = _states(frames), _opening_words(frames)
    rows = []
    for row in frames["clean.volumes"].iter_rows(named=True):
        state = states.get(row["volume_id"])
        rows.append(row if state is None else row | _now(row, state) | _told(row, words))
    return TABLES["clean.volumes"].frame(rows)


def _told(row: Row, words: dict[str, set[str]]) -> Row:
    """The volume's content with the words of all of its openings, those that hold a leaf included."""
    told = {word.strip() for word in (row["contents"] or "").split(",") if word.strip()}
    return {"contents": ", ".join(sorted(told | words.get(row["volume_id"], set()))) or None}


def _now(row: Row, state: _State) -> Row:
    changed: Row = {}
    removed_um = row["existing_leaves"] * row["existing_leaf_thickness_um"]
    edge_um = (
        row["fore_edge_thickness_mm"] * UM_PER_MM + state.laid_um - (removed_um if state.is_cleared else 0)
    )
    if state.measured_mm is not None:
        changed["fore_edge_thickness_mm"] = state.measured_mm
    elif state.is_cleared or state.laid_um:
        changed["fore_edge_thickness_mm"] = edge_um / UM_PER_MM
    if state.is_cleared:
        changed |= {"existing_leaves": 0, "existing_leaf_thickness_um": 0.0}
    if "enclose" in state.steps:
        changed["enclosure"] = "keep"
    return changed


def _opening_words(frames: Frames) -> dict[str, set[str]]:
    known = frames["clean.row_contents"].filter(~pl.col("content_word").is_in(["unknown", "blank"]))
    words: dict[str, set[str]] = defaultdict(set)
    for volume_id, word in known.select("volume_id", "content_word").iter_rows():
        words[volume_id].add(word)
    return words


def _contents(frames: Frames) -> pl.DataFrame:
    states, words = _states(frames), _opening_words(frames)
    more = pl.DataFrame(
        [(name, word) for name in states for word in sorted(words.get(name, ()))],
        schema=TABLES["clean.volume_contents"].polars_schema,
        orient="row",
    )
    return pl.concat([frames["clean.volume_contents"], more]).unique().sort("volume_id", "content_word")


def laid_openings(frames: Frames) -> dict[str, set[int]]:
    """Openings that hold a leaf already, where their places are known."""
    found: dict[str, set[int]] = defaultdict(set)
    for volume_id, openings in frames["work.laid_sheets"].select("volume_id", "openings").iter_rows():
        found[volume_id].update(expand_openings(openings or ""))
    return found


def _finished(frames: Frames) -> set[str]:
    return set(frames["work.finished_volumes"]["volume_id"])


def _ranges(frames: Frames) -> pl.DataFrame:
    """Ranges of openings that hold no leaf yet, of volumes that are not finished."""
    laid, finished = laid_openings(frames), _finished(frames)
    rows: list[Row] = []
    for row in frames["clean.opening_ranges"].iter_rows(named=True):
        if row["volume_id"] in finished:
            continue
        numbers = set(range(row["first_opening_no"], row["last_opening_no"] + 1)) - laid[row["volume_id"]]
        for part in filter(None, compact_openings(numbers).split(", ")):
            first, _, last = part.partition("-")
            rows.append(row | {"first_opening_no": int(first), "last_opening_no": int(last or first)})
    return TABLES["clean.opening_ranges"].frame(rows)


def _counts(frames: Frames) -> Frames:
    """Counts without places, less the leaves that lie in such openings; none of finished volumes."""
    finished = _finished(frames)
    laid: dict[tuple[str, str, str], int] = defaultdict(int)
    for row in frames["work.laid_sheets"].filter(pl.col("openings").is_null()).iter_rows(named=True):
        laid[row["volume_id"], row["origin"], row["hazards"]] += row["laid_sheets_count"]
    hazards: dict[int, set[str]] = defaultdict(set)
    for row_no, hazard, side in frames["clean.row_hazards"].select("row_no", "hazard", "side").iter_rows():
        hazards[row_no].add(f"{side}:{hazard}" if side else hazard)
    rows = []
    for row in frames["clean.opening_rows"].sort("row_no").iter_rows(named=True):
        if row["openings"] is not None:
            rows.append(row)
        elif row["volume_id"] not in finished:
            count = row["count"] - _taken(laid, row, "row_count", hazards[row["row_no"]])
            rows += [row | {"count": count}] if count > 0 else []
    return {
        "clean.opening_rows": TABLES["clean.opening_rows"].frame(rows),
        "clean.count_groups": _count_groups(frames, laid, finished),
    }


def _taken(laid: dict[tuple[str, str, str], int], row: Row, origin: str, hazards: set[str]) -> int:
    """Leaves laid into openings like the row's, at most as many as it counts; they are taken off `laid`."""
    for (volume_id, came_from, words), count in laid.items():
        if (
            (volume_id, came_from) == (row["volume_id"], origin)
            and set(words.split(", ")) == hazards
            and count
        ):
            taken = min(count, int(row["count"]))
            laid[volume_id, came_from, words] = count - taken
            return taken
    return 0


def _count_groups(frames: Frames, laid: dict[tuple[str, str, str], int], finished: set[str]) -> pl.DataFrame:
    groups: dict[tuple[str, int], list[Row]] = defaultdict(list)
    for row in (
        frames["clean.count_groups"].sort("volume_id", "count_group_no", "hazard").iter_rows(named=True)
    ):
        if row["volume_id"] not in finished:
            groups[row["volume_id"], row["count_group_no"]].append(row)
    rows = []
    for mine in groups.values():
        count = mine[0]["count"] - _taken(laid, mine[0], "survey_count", {row["hazard"] for row in mine})
        rows += [row | {"count": count} for row in mine if count > 0]
    return TABLES["clean.count_groups"].frame(rows)


def _decisions(frames: Frames) -> pl.DataFrame:
    """People's decisions on openings that hold no leaf yet, and one for begun volumes of several papers."""
    laid, finished = laid_openings(frames), _finished(frames)
    rows = []
    for row in frames["clean.decisions"].iter_rows(named=True):
        if row["volume_id"] in finished:
            continue
        if row["openings"] is None:
            rows.append(row)
        elif left := set(expand_openings(row["openings"])) - laid[row["volume_id"]]:
            rows.append(row | {"openings": compact_openings(left)})
    decided = {row["volume_id"] for row in rows}
    next_row = max((row["row_no"] for row in rows), default=1) + 1
    for volume_id, paper_id in sorted(_begun_with(frames).items()):
        if volume_id not in finished | decided:
            rows.append(
                {
                    "row_no": next_row,
                    "volume_id": volume_id,
                    "openings": None,
                    "decision": "paper",
                    "paper_id": paper_id,
                    "by": "the ledger",
                    "reason": f"half done: it goes on with {paper_id}, which lies in it",
                }
            )
            next_row += 1
    return TABLES["clean.decisions"].frame(rows)


def _begun_with(frames: Frames) -> dict[str, str]:
    """The paper of which most leaves lie in each begun volume that was planned with more papers than one.

    It alone goes on, so that what is planned anew does not bring a further paper into the volume.
    """
    planned: dict[str, set[str]] = defaultdict(set)
    for volume_id, paper_id in frames["work.past_sheets"].select("volume_id", "paper_id").iter_rows():
        planned[volume_id].add(paper_id)
    counts: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for row in frames["work.laid_sheets"].iter_rows(named=True):
        counts[row["volume_id"]][row["paper_id"]] += row["laid_sheets_count"]
    return {
        name: max(papers, key=lambda paper: (papers[paper], paper))
        for name, papers in counts.items()
        if len(planned[name]) > 1
    }


def _papers(frames: Frames) -> pl.DataFrame:
    """Papers with the thickness that their leaves were found to have in bound volumes."""
    learned = _learned(frames, "thickness")
    found = {paper_id: {"bulking_thickness_um": row["learned_value"]} for paper_id, row in learned.items()}
    rows = [row | found.get(row["paper_id"], {}) for row in frames["clean.papers"].iter_rows(named=True)]
    return TABLES["clean.papers"].frame(rows)


def _supplies(frames: Frames, supply: str) -> dict[str, float]:
    left = frames["work.supplies_left"].filter(pl.col("supply") == supply)
    return dict(left.select("supply_id", "on_hand").iter_rows())


def _stock(frames: Frames) -> pl.DataFrame:
    left = _supplies(frames, "paper")
    rows = [
        row | {"on_hand": left.get(row["stock_id"], row["on_hand"])}
        for row in frames["clean.stock"].iter_rows(named=True)
    ]
    return TABLES["clean.stock"].frame(rows)


def _rates(frames: Frames) -> pl.DataFrame:
    learned = _learned(frames, "rate")
    found = {
        task: {
            "minutes": row["learned_value"],
            "minutes_low": row["low_value"],
            "minutes_high": row["high_value"],
        }
        for task, row in learned.items()
    }
    rows = [row | found.get(row["task"], {}) for row in frames["clean.rates"].iter_rows(named=True)]
    return TABLES["clean.rates"].frame(rows)


def _enclosures(frames: Frames) -> pl.DataFrame:
    """Stock enclosures that are left, and those made to measure that are there or on their way."""
    left, policy = _supplies(frames, "enclosure"), figures(frames)
    rows = [
        row | {"on_hand": left.get(row["enclosure_id"], row["on_hand"])}
        for row in frames["clean.enclosure_stock"].iter_rows(named=True)
    ]
    made = frames["work.past_orders"].filter(pl.col("volume_id") != "").sort("revision", "volume_id")
    latest = {row["supply_id"]: row for row in made.iter_rows(named=True)}
    for enclosure_id, order in sorted(latest.items()):
        if left.get(enclosure_id, 0.0) > 0:
            rows.append(
                {
                    "enclosure_id": enclosure_id,
                    **{
                        name: order[name]
                        for name in ("inner_width_mm", "inner_height_mm", "inner_depth_mm", "price")
                    },
                    "on_hand": left[enclosure_id],
                    # its clearance may shrink by so much before another has to be made
                    "inner_depth_mm": order["inner_depth_mm"] + policy["learn.box_tolerance_mm"],
                    "lead_days": ceil(policy["rehousing.made_to_measure_lead_days"]),
                    "max_slack_mm": policy["rehousing.max_slack_mm"],
                    "max_depth_slack_mm": policy["rehousing.max_depth_slack_mm"],
                }
            )
    return TABLES["clean.enclosure_stock"].frame(rows)


def laid_um_rows(frames: Frames) -> list[Row]:
    """Of each volume with leaves in it: how many, and the room they take, each in whole um."""
    learned = _learned(frames, "thickness")
    rows: dict[str, Row] = {}
    for row in frames["work.laid_sheets"].sort("volume_id").iter_rows(named=True):
        paper = learned.get(row["paper_id"])
        um = ceil_um(paper["learned_value"] if paper else row["thickness_um"])
        mine = rows.setdefault(
            row["volume_id"], {"volume_id": row["volume_id"], "laid_sheets_count": 0, "laid_um": 0}
        )
        mine["laid_sheets_count"] += row["laid_sheets_count"]
        mine["laid_um"] += um * row["laid_sheets_count"]
    return list(rows.values())

"""What returns teach: minutes of each rate, thickness of each paper in a bound volume, share of sheets spoiled."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl

from pipeline.frames import Frames, figures
from pipeline.ledger.done import MADE_FOR
from pipeline.ledger.learn import Estimate, Prior, posterior, share
from pipeline.units import PCT_OF_WHOLE, UM_PER_MM

METHOD = "normal-gamma"
SMALL, LARGE = "pages up to the large height", "large pages"
CUTTING = ("cut_setup", "cut_lift")
LAYING_IN = ("interleave_volume", "interleave_sheet")
OTHER_STEPS = ("fetch", "remove", "check", "enclose", "enclose_made_to_measure", "return")
"""Rates whose quantities add up to one entry of minutes. The other steps come back together: what tells them apart is
which of them a volume had."""
Row = dict[str, Any]
Policy = dict[str, float]
Key = tuple[str, str]
"""Revision and volume."""


@dataclass(frozen=True)
class _Seen:
    """One returned task: the rates it is made of, their quantities, its minutes, its volume's least skill and class.

    Cutting is of no volume: no skill, no class.
    """

    rates: tuple[str, ...]
    quantities: tuple[float, ...]
    minutes: float
    skill: str | None = None
    volume_class: str = ""


def learned_rows(frames: Frames) -> list[Row]:
    """Rows of work.learned_rates. Reads work.task_actuals, past_*, laid_sheets, clean.rates, papers, campaign."""
    policy = figures(frames)
    starting = dict(frames["clean.rates"].select("task", "minutes").iter_rows())
    seen = list(_seen_tasks(frames, policy["learn.large_page_height_mm"]))
    rows: list[Row] = []
    for rates in sorted({one.rates for one in seen}):
        rows += _rates_rows([one for one in seen if one.rates == rates], starting, policy)
    return [*rows, *_thickness_rows(frames, policy), *_spares_rows(frames, policy)]


def _seen_tasks(frames: Frames, large_mm: float) -> Iterator[_Seen]:
    heights = _by_volume(frames["work.past_volumes"], "page_height_mm")
    skills = _by_volume(frames["work.past_volumes"], "skill")
    tasks = frames["work.task_actuals"].sort("revision", "task_id").to_dicts()
    for row in tasks:
        key = row["revision"], row["volume_id"]
        if row["kind"] == "cut" and row["minutes_taken"] is not None and row["is_whole"]:
            yield _Seen(CUTTING, (float(row["count"]), float(row["lifts"] or 1)), row["minutes_taken"])
        if row["kind"] == "interleave" and row["minutes_taken"] is not None:
            sheets = (row["used_sheets_count"] or 0) + (row["spoiled_sheets_count"] or 0)
            volume_class = _class(heights[key], large_mm)
            yield _Seen(LAYING_IN, (1.0, float(sheets)), row["minutes_taken"], skills[key], volume_class)
    for key, quantities, minutes in _other_steps(frames, tasks):
        yield _Seen(OTHER_STEPS, quantities, minutes, skills[key], _class(heights[key], large_mm))


def _class(height_mm: float, large_mm: float) -> str:
    return LARGE if height_mm > large_mm else SMALL


def _other_steps(frames: Frames, tasks: list[Row]) -> Iterator[tuple[Key, tuple[float, ...], float]]:
    """Revision and volume, how often each of the other steps was done, and the minutes they took together.

    Where old leaves are half out, nobody knows to which step the minutes went: steps and minutes wait for a row that
    says that they are out. Steps of which no row gives minutes teach nothing.
    """
    order = frames["work.past_revisions"].sort("planned_at", "as_of")["revision"].to_list()
    boxes = _by_volume(frames["work.past_enclosures"], "enclosure_id")
    made = {key for key, box in boxes.items() if box is None or box.startswith(MADE_FOR)}
    by_volume: dict[Key, list[Row]] = {}
    for row in tasks:
        if row["volume_id"] is not None:
            by_volume.setdefault((row["revision"], row["volume_id"]), []).append(row)
    waiting: dict[str, tuple[dict[str, float], float]] = {}
    for key in sorted(by_volume, key=lambda key: (order.index(key[0]), key[1])):
        mine = by_volume[key]
        told = [row["other_minutes"] for row in mine if row["other_minutes"] is not None]
        if not told:
            continue
        steps, minutes = waiting.pop(key[1], ({}, 0.0))
        steps |= {_step_rate(row, made): _quantity(row) for row in mine if row["is_whole"]}
        minutes += sum(told)
        if any(row["kind"] == "remove" and not row["is_whole"] for row in mine):
            waiting[key[1]] = steps, minutes
        elif steps.keys() & set(OTHER_STEPS):
            yield key, tuple(steps.get(rate, 0.0) for rate in OTHER_STEPS), minutes


def _by_volume(frame: pl.DataFrame, column: str) -> dict[Key, Any]:
    return {(row["revision"], row["volume_id"]): row[column] for row in frame.iter_rows(named=True)}


def _step_rate(row: Row, made: set[Key]) -> str:
    is_made = row["kind"] == "enclose" and (row["revision"], row["volume_id"]) in made
    return "enclose_made_to_measure" if is_made else str(row["kind"])


def _quantity(row: Row) -> float:
    """How often a step's rate counts: once, or once per old leaf taken out."""
    return float(row["sheets_planned"] or 0) if row["kind"] == "remove" else 1.0


def _rates_rows(seen: list[_Seen], starting: dict[str, float], policy: Policy) -> Iterator[Row]:
    """The estimates of tasks that are all made of the same rates: of all, then of each skill and class seen.

    A task's rates are those of all plus what its class is off them; both are estimated at once, so that a class with
    few returns keeps close to the others and one that was never seen has the rates of all, with a wider interval.
    """
    rates = seen[0].rates
    before = [starting[rate] for rate in rates]
    classes = sorted({(one.skill, one.volume_class) for one in seen if one.skill is not None})
    estimates = _estimate(seen, before, classes, policy)
    yield from _rows(seen, before, estimates[: len(rates)])
    for number, (skill, volume_class) in enumerate(classes, start=1):
        mine = [one for one in seen if (one.skill, one.volume_class) == (skill, volume_class)]
        for row in _rows(mine, before, estimates[number * len(rates) : (number + 1) * len(rates)]):
            yield row | {"skill": skill, "volume_class": volume_class}


def _estimate(
    seen: list[_Seen], starting: list[float], classes: Sequence[tuple[str | None, str]], policy: Policy
) -> tuple[Estimate, ...]:
    """Estimates of the rates of all, then of each class's."""
    quantities = np.array([one.quantities for one in seen], dtype=np.float64)
    minutes = np.array([one.minutes for one in seen], dtype=np.float64)
    # minutes scatter the more the longer a task is: variance in proportion to the minutes expected
    expected = np.maximum(quantities @ np.array(starting), 1.0)
    scale = np.sqrt(expected)
    of_class = np.array([[(one.skill, one.volume_class) == name for name in classes] for one in seen])
    features = np.hstack([quantities, *(quantities * mine[:, None] for mine in of_class.T)])
    spreads = [policy["learn.rate_spread_frac"], *(policy["learn.class_spread_frac"] for _ in classes)]
    prior = Prior(
        mean=(*starting, *(0.0 for _ in classes for _ in starting)),
        spread=tuple(spread * value for spread in spreads for value in starting),
        variance=policy["learn.task_spread_frac"] ** 2 * float(np.mean(expected)),
        weight=policy["learn.prior_tasks_count"],
    )
    blocks = np.eye(len(spreads))
    blocks[:, 0] = 1.0  # a class's rates: those of all and what it is off them
    estimates, _ = posterior(
        features / scale[:, None],
        minutes / scale,
        prior,
        policy["learn.interval_frac"],
        sums=np.kron(blocks, np.eye(len(starting))).astype(np.float64),
    )
    floors = [policy["learn.least_share_frac"] * value for _ in spreads for value in starting]
    return tuple(_not_below(one, floor) for one, floor in zip(estimates, floors, strict=True))


def _not_below(estimate: Estimate, floor: float) -> Estimate:
    return Estimate(max(floor, estimate.value), max(floor, estimate.low), max(floor, estimate.high))


def _rows(seen: list[_Seen], before: list[float], estimates: tuple[Estimate, ...]) -> Iterator[Row]:
    """A row per rate that any of the tasks had."""
    for number, (rate, starting, estimate) in enumerate(zip(seen[0].rates, before, estimates, strict=True)):
        tasks = sum(one.quantities[number] > 0 for one in seen)
        if tasks:
            row = _row("rate", rate, "minutes", starting, estimate)
            yield row | {"tasks_count": tasks, "is_used": True}


def _row(subject: str, subject_id: str, unit: str, starting: float, estimate: Estimate) -> Row:
    return {
        "subject": subject,
        "subject_id": subject_id,
        "skill": None,
        "volume_class": "",
        "unit": unit,
        "starting_value": starting,
        "learned_value": estimate.value,
        "low_value": estimate.low,
        "high_value": estimate.high,
        "method": METHOD,
    }


def _thickness_rows(frames: Frames, policy: Policy) -> Iterator[Row]:
    """Thickness of a leaf of each paper in bound volumes, from fore edges measured before and after."""
    starting = {
        paper_id: bulking if bulking is not None else single
        for paper_id, single, bulking in frames["clean.papers"]
        .select("paper_id", "thickness_um", "bulking_thickness_um")
        .iter_rows()
    }
    seen = measured_gains(frames)
    papers = sorted({paper_id for _, sheets in seen for paper_id in sheets} & set(starting))
    if not papers:
        return
    features = np.array([[sheets.get(paper, 0) for paper in papers] for _, sheets in seen], dtype=np.float64)
    prior = Prior(
        mean=tuple(starting[paper] for paper in papers),
        spread=tuple(policy["learn.thickness_spread_frac"] * starting[paper] for paper in papers),
        variance=(policy["learn.fore_edge_error_mm"] * UM_PER_MM) ** 2,
        weight=policy["learn.prior_tasks_count"],
    )
    gains = np.array([gain for gain, _ in seen], dtype=np.float64)
    estimates, _ = posterior(features, gains, prior, policy["learn.interval_frac"])
    for number, (paper, estimate) in enumerate(zip(papers, estimates, strict=True)):
        volumes = int(np.count_nonzero(features[:, number]))
        floor = policy["learn.least_share_frac"] * starting[paper]
        row = _row("thickness", paper, "um", starting[paper], _not_below(estimate, floor))
        yield row | {"tasks_count": volumes, "is_used": volumes >= policy["learn.least_volumes_count"]}


def measured_gains(frames: Frames) -> list[tuple[float, dict[str, int]]]:
    """Of each measured volume: um gained at the fore edge, old leaves taken off, and leaves laid in by paper.

    Counted from the fore edge before the first leaf that no earlier measurement knows of.
    """
    order = frames["work.past_revisions"].sort("planned_at", "as_of")["revision"].to_list()
    edges = {
        (row["revision"], row["volume_id"]): (row["fore_edge_before_mm"], row["removed_um"])
        for row in frames["work.past_volumes"].iter_rows(named=True)
    }
    laid: dict[str, list[Row]] = {}
    for row in frames["work.laid_sheets"].iter_rows(named=True):
        laid.setdefault(row["volume_id"], []).append(row)
    found = []
    checks = frames["work.task_actuals"].filter(
        (pl.col("kind") == "check") & pl.col("is_whole") & pl.col("fore_edge_measured_mm").is_not_null()
    )
    for check in sorted(checks.to_dicts(), key=lambda row: (order.index(row["revision"]), row["task_id"])):
        rows = laid.get(check["volume_id"], [])
        known = [row for row in rows if order.index(row["revision"]) <= order.index(check["revision"])]
        if known:
            first = min((row["revision"] for row in known), key=order.index)
            before_mm, removed_um = edges[first, check["volume_id"]]
            gained_um = (check["fore_edge_measured_mm"] - before_mm) * UM_PER_MM + removed_um
            found.append((gained_um, _by_paper(known)))
            laid[check["volume_id"]] = [row for row in rows if row not in known]
    return found


def _by_paper(rows: list[Row]) -> dict[str, int]:
    papers: dict[str, int] = {}
    for row in rows:
        papers[row["paper_id"]] = papers.get(row["paper_id"], 0) + row["laid_sheets_count"]
    return papers


def _spares_rows(frames: Frames, policy: Policy) -> Iterator[Row]:
    leaves = frames["work.task_actuals"].filter(pl.col("kind") == "interleave")
    spoiled = int(leaves["spoiled_sheets_count"].sum() or 0)
    used = int(leaves["used_sheets_count"].sum() or 0) + spoiled
    if not used or frames["clean.campaign"].is_empty():
        return
    starting = float(frames["clean.campaign"]["spares_pct"][0])
    found = share(
        starting / PCT_OF_WHOLE,
        policy["learn.spares_prior_sheets"],
        hits=spoiled,
        trials=used,
        interval_frac=policy["learn.interval_frac"],
    )
    pct = Estimate(*(PCT_OF_WHOLE * value for value in (found.value, found.low, found.high)))
    row = _row("spares", "", "per cent", starting, pct)
    yield row | {"tasks_count": leaves.height, "is_used": True, "method": "beta-binomial"}

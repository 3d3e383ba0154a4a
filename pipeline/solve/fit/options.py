"""Nested options of a volume: none, parts of the best answer by greatest benefit a sheet, all of it.

A volume whose best answer takes several papers may get one more: the best answer with its cheapest paper
alone, where that costs less and no part of the best answer does better for the same money and sheets.
"""

from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.solve.fit.problem import IntArray, Problem
from pipeline.solve.fit.tables import FitTables

NONE, PART, CHEAPER, ALL = "none", "part", "cheaper", "all"
NO_PAPER = -1
_KEY = ["volume", "option_kind", "part_no"]


@dataclass(frozen=True)
class Options:
    """totals: one row per planned volume and option. sheets: one row per option, group and paper."""

    totals: pl.DataFrame
    sheets: pl.DataFrame


def nested_options(tables: FitTables, best: pl.DataFrame, cheaper: pl.DataFrame, parts: int) -> Options:
    """All options, numbered in rising order of benefit.

    `best` and `cheaper` hold placed sheets, the second by the cheapest paper alone; `parts` counts the steps
    from nothing to all.
    """
    steps = pl.concat([_parts(best, parts), _whole(best, ALL)])
    offered = pl.concat([steps, _worth_offering(steps, _whole(cheaper, CHEAPER))])
    none = tables.volumes.filter("is_planned").select(
        "volume",
        option_kind=pl.lit(NONE),
        part_no=pl.lit(0, dtype=pl.Int64),
        sheets=pl.lit(0, dtype=pl.Int64),
        benefit=pl.lit(0.0),
        added_um=pl.lit(0, dtype=pl.Int64),
        price_ticks=pl.lit(0, dtype=pl.Int64),
    )
    totals = (
        pl.concat([none, _totals(offered)])
        .sort("volume", pl.col("option_kind") != NONE, "benefit", "sheets", *_KEY[1:])
        .with_columns(pl.int_range(pl.len(), dtype=pl.Int64).over("volume").alias("option_no"))
    )
    sheets = offered.join(totals.select(*_KEY, "option_no"), on=_KEY)
    return Options(totals, sheets.sort("volume", "option_no", "group", "paper"))


def cheapest_papers(tables: FitTables, problem: Problem, best: pl.DataFrame) -> IntArray:
    """By volume whose best answer takes several papers, the cheapest one that serves and fits; else NO_PAPER.

    Prices must be known of all papers compared.
    """
    several = (
        best.join(tables.papers.select("paper", "price_per_m2"), on="paper")
        .group_by("volume")
        .agg(pl.col("paper").n_unique(), pl.col("price_per_m2").is_not_null().all().alias("is_priced"))
        .filter(pl.col("paper") > 1, "is_priced")
    )
    group, paper = np.nonzero(problem.allowed())
    serving = pl.DataFrame({"volume": problem.group_volume[group], "paper": paper.astype(np.int64)}).unique()
    cheapest = (
        serving.join(several.select("volume"), on="volume")
        .join(tables.papers.select("paper", "um", "price_per_m2"), on="paper")
        .join(tables.volumes.select("volume", "headroom_um"), on="volume")
        .filter(pl.col("price_per_m2").is_not_null(), pl.col("um") <= pl.col("headroom_um"))
        .sort("volume", "price_per_m2", "um", "paper")
        .unique("volume", keep="first", maintain_order=True)
    )
    result = np.full(problem.volumes, NO_PAPER, dtype=np.int64)
    result[cheapest["volume"].to_numpy()] = cheapest["paper"].to_numpy()
    return result


def _parts(best: pl.DataFrame, parts: int) -> pl.DataFrame:
    """The first sheets of each best answer, those a person asked for first, then greatest benefit.

    In equal steps without repeats; the first step holds all that a person asked for.
    """
    order = ["volume", "is_must", "ticks", "group", "paper"]
    ordered = best.sort(order, descending=[False, True, True, False, False]).with_columns(
        (pl.col("sheets").cum_sum().over("volume") - pl.col("sheets")).alias("before"),
        pl.col("sheets").sum().over("volume").alias("in_all"),
        (pl.col("sheets") * pl.col("is_must")).sum().over("volume").alias("asked_for"),
    )
    steps = []
    for part_no in range(1, parts):
        wanted = _share(part_no, parts)
        is_new = (wanted > _share(part_no - 1, parts)) & (wanted < pl.col("in_all"))
        taken = ordered.filter(is_new).with_columns(
            sheets=(wanted - pl.col("before")).clip(0, pl.col("sheets")),
            part_no=pl.lit(part_no, dtype=pl.Int64),
        )
        steps.append(taken.filter(pl.col("sheets") > 0))
    empty = ordered.clear().with_columns(part_no=pl.lit(0, dtype=pl.Int64))
    return pl.concat([empty, *steps]).with_columns(option_kind=pl.lit(PART)).select(*_KEY, *_sheet_columns())


def _share(part_no: int, parts: int) -> pl.Expr:
    """Sheets in the first `part_no` of `parts` steps, rounded up; never less than was asked for."""
    if part_no == 0:
        return pl.lit(0)
    return pl.max_horizontal("asked_for", (pl.col("in_all") * part_no + parts - 1) // parts)


def _whole(placed: pl.DataFrame, kind: str) -> pl.DataFrame:
    return placed.with_columns(option_kind=pl.lit(kind), part_no=pl.lit(0, dtype=pl.Int64)).select(
        *_KEY, *_sheet_columns()
    )


def _sheet_columns() -> list[str]:
    return ["group", "paper", "sheets", "benefit_per_sheet", "um", "price_ticks"]


def _totals(rows: pl.DataFrame) -> pl.DataFrame:
    return (
        rows.sort(*_KEY, "group", "paper")
        .group_by(_KEY, maintain_order=True)
        .agg(
            pl.col("sheets").sum(),
            (pl.col("sheets") * pl.col("benefit_per_sheet")).sum().alias("benefit"),
            (pl.col("sheets") * pl.col("um")).sum().alias("added_um"),
            (pl.col("sheets") * pl.col("price_ticks")).sum().alias("price_ticks"),
        )
    )


def _worth_offering(steps: pl.DataFrame, cheaper: pl.DataFrame) -> pl.DataFrame:
    """The cheaper answers that cost less than all of the best one, and that no step of it beats in every
    respect.
    """
    compared = _totals(cheaper).join(_totals(steps), on="volume", suffix="_step")
    is_beaten = (
        (pl.col("benefit_step") >= pl.col("benefit"))
        & (pl.col("price_ticks_step") <= pl.col("price_ticks"))
        & (pl.col("sheets_step") <= pl.col("sheets"))
    )
    is_dear = (pl.col("option_kind_step") == ALL) & (pl.col("price_ticks_step") <= pl.col("price_ticks"))
    kept = (
        compared.group_by("volume").agg((is_beaten | is_dear).any().alias("is_out")).filter(~pl.col("is_out"))
    )
    return cheaper.join(kept.select("volume"), on="volume")

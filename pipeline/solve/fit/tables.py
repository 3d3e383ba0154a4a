"""Tables to Problem and back. Benefits become whole ticks of 1e-12 page-equivalents, thicknesses whole um.

Two benefits closer than a tick count as equal, so a choice is at most (sheets x 1e-12) from the best in
decimals.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl

from pipeline.errors import ContractError
from pipeline.solve.fit.decisions import decided_groups, is_allowed, is_left_open
from pipeline.solve.fit.problem import (
    ANY_PAPER,
    NOT_PERMITTED,
    BoolArray,
    IntArray,
    Mark,
    Papers,
    Problem,
    Solution,
)
from pipeline.units import BENEFIT_TICKS, PRICE_TICKS, ceil_um, months_later

_NO_PLACE = 1 << 40
"""Stands for the opening number of openings whose places were not noted: after every noted one."""


@dataclass(frozen=True)
class FitTables:
    """What the stage reads; `paper`, `volume` and `group` number the rows of the first three frames.

    papers: paper_id order, with `um`, `price` (the dearest where unknown). volumes: volume_id order, with
    `is_planned` (not on hold, joints not split). groups: volume_id, group_no order, with `volume`, what a
    person decided and what the content asks. sheets: one row per group and permitted paper, with `ticks`;
    `is_allowed` where one may be planned, `is_left_open` where no decision names another paper.
    `look_again` is when unbuffered sheets beside staining matter are due for review.
    """

    papers: pl.DataFrame
    volumes: pl.DataFrame
    groups: pl.DataFrame
    sheets: pl.DataFrame
    floor_ticks: int
    floor_benefit: float
    max_papers: int
    look_again: date


def fit_tables(frames: Mapping[str, pl.DataFrame], policy: Mapping[str, float]) -> FitTables:
    """The stage's tables in key order, whatever the order of their rows."""
    papers = _papers(frames)
    volumes = _volumes(frames)
    groups = (
        frames["work.opening_groups"]
        .join(volumes.select("volume_id", "volume", "is_planned"), on="volume_id")
        .sort("volume", "group_no")
        .with_row_index("group")
        .with_columns(pl.col("group").cast(pl.Int64))
        .join(_needs(frames), on=["volume_id", "group_no"], how="left", maintain_order="left")
    )
    groups = decided_groups(groups, frames["clean.decisions"], papers)
    floor = policy["fit.benefit_floor_benefit"]
    floor_ticks = int(pl.select(_ticks(pl.lit(floor))).item())
    sheets = _sheets(frames, papers, groups).with_columns(
        is_allowed=is_allowed(floor_ticks), is_left_open=is_left_open()
    )
    start: date = frames["clean.campaign"]["start_date"].item()
    return FitTables(
        papers,
        volumes,
        groups,
        sheets.drop("is_must", "is_never", "named_paper"),
        floor_ticks,
        floor,
        int(policy["fit.max_papers_count"]),
        months_later(start, policy["fit.unbuffered_review_years"]),
    )


def _needs(frames: Mapping[str, pl.DataFrame]) -> pl.DataFrame:
    return frames["work.group_needs"].select(
        "volume_id", "group_no", "needs_unbuffered", "has_staining", "is_content_guessed"
    )


def _sheets(frames: Mapping[str, pl.DataFrame], papers: pl.DataFrame, groups: pl.DataFrame) -> pl.DataFrame:
    return (
        frames["work.benefits"]
        .join(
            groups.select("volume_id", "group_no", "group", "is_must", "is_never", "named_paper"),
            on=["volume_id", "group_no"],
        )
        .join(papers.select("paper_id", "paper", "um", "price_ticks"), on="paper_id")
        .select(
            "group",
            "paper",
            "um",
            "price_ticks",
            "benefit_per_sheet",
            _ticks(pl.col("benefit_per_sheet")).alias("ticks"),
            "is_must",
            "is_never",
            "named_paper",
        )
        .sort("group", "paper")
    )


def fit_problem(tables: FitTables) -> Problem:
    """The choice for every volume; those that may not be planned have no headroom here."""
    papers, volumes, groups = tables.papers, tables.volumes, tables.groups
    benefit = np.full((groups.height, papers.height), NOT_PERMITTED, dtype=np.int64)
    sheets = tables.sheets
    benefit[sheets["group"].to_numpy(), sheets["paper"].to_numpy()] = sheets["ticks"].to_numpy()
    headroom = np.where(volumes["is_planned"].to_numpy(), volumes["headroom_um"].to_numpy(), 0)
    return Problem(
        papers=Papers(
            thickness_um=_whole(papers["um"]),
            is_buffered=_truth(papers["buffer"] == "buffered"),
            price_ticks=_whole(papers["price_ticks"]),
        ),
        headroom_um=headroom.astype(np.int64),
        group_volume=_whole(groups["volume"]),
        group_count=_whole(groups["count"]),
        benefit_ticks=benefit,
        opening_rank=_opening_ranks(groups),
        mark=_marks(groups),
        only_paper=_whole(groups["named_paper"].fill_null(ANY_PAPER)),
        floor_ticks=tables.floor_ticks,
        max_papers=tables.max_papers,
    )


def _marks(groups: pl.DataFrame) -> IntArray:
    is_never, is_must = _truth(groups["is_never"]), _truth(groups["is_must"])
    marks: IntArray = np.where(is_never, Mark.NEVER, np.where(is_must, Mark.MUST, Mark.FREE)).astype(np.int64)
    return marks


def placed_sheets(tables: FitTables, solution: Solution) -> pl.DataFrame:
    """One row per group and paper that gets sheets: volume, group, is_must, paper, sheets, benefit_per_sheet,
    ticks, um.
    """
    group, paper = np.nonzero(solution.sheets)
    placed = pl.DataFrame(
        {
            "group": group.astype(np.int64),
            "paper": paper.astype(np.int64),
            "sheets": solution.sheets[group, paper],
        }
    )
    return (
        placed.join(tables.sheets, on=["group", "paper"])
        .join(tables.groups.select("group", "volume", "is_must"), on="group")
        .sort("group", "paper")
    )


def _papers(frames: Mapping[str, pl.DataFrame]) -> pl.DataFrame:
    papers = (
        frames["clean.papers"]
        .select("paper_id", "buffer", "adsorbent", "surface")
        .join(frames["work.paper_properties"], on="paper_id")
        .sort("paper_id")
        .with_row_index("paper")
        .with_columns(pl.col("paper").cast(pl.Int64))
    )
    price = (pl.col("price_per_m2") * PRICE_TICKS + 0.5).floor().cast(pl.Int64)
    thickness = [ceil_um(value) for value in papers["effective_thickness_um"].to_list()]
    return papers.with_columns(
        pl.Series("um", thickness, dtype=pl.Int64),
        price.fill_null(price.max() + 1).fill_null(0).alias("price_ticks"),
    )


def _volumes(frames: Mapping[str, pl.DataFrame]) -> pl.DataFrame:
    on_hold = pl.col("hold").fill_null("") != ""
    return (
        frames["clean.volumes"]
        .select("volume_id", "hold", "joints", "buffer_rule")
        .join(frames["work.headroom"], on="volume_id")
        .sort("volume_id")
        .with_row_index("volume")
        .with_columns(
            pl.col("volume").cast(pl.Int64), (~on_hold & (pl.col("joints") != "split")).alias("is_planned")
        )
    )


def _opening_ranks(groups: pl.DataFrame) -> IntArray:
    """Order of each opening within its volume, group after group; noted places first, then the order of
    groups.
    """
    edges = pl.col("openings").str.split("-")
    listed = (
        groups.filter(pl.col("openings").is_not_null())
        .select("group", "volume", pl.col("openings").str.split(", "))
        .explode("openings")
        .with_columns(
            edges.list.first().cast(pl.Int64).alias("first"), edges.list.last().cast(pl.Int64).alias("last")
        )
        .select("group", "volume", pl.int_ranges("first", pl.col("last") + 1).alias("place"))
        .explode("place")
    )
    counted = (
        groups.filter(pl.col("openings").is_null())
        .select("group", "volume", (pl.col("group") + _NO_PLACE).repeat_by("count").alias("place"))
        .explode("place")
        .drop_nulls()
    )
    ranked = (
        pl.concat([listed, counted])
        .sort("volume", "place", "group")
        .with_columns(pl.int_range(pl.len(), dtype=pl.Int64).over("volume").alias("rank"))
        .sort("group", "rank")
    )
    if ranked.height != groups["count"].sum():
        raise ContractError("work.opening_groups: openings and count do not agree")
    return _whole(ranked["rank"])


def _ticks(benefit: pl.Expr) -> pl.Expr:
    return (benefit * BENEFIT_TICKS + 0.5).floor().cast(pl.Int64)


def _whole(column: pl.Series) -> IntArray:
    return column.cast(pl.Int64).to_numpy().copy()


def _truth(column: pl.Series) -> BoolArray:
    return column.cast(pl.Boolean).to_numpy().copy()

"""Figures of the finished plan, and the estimates of the same choice, from the tables."""

import polars as pl

from pipeline import units
from pipeline.contracts.fields import SKILLS
from pipeline.solve.choose.problem import Minutes
from pipeline.solve.choose.rounds import Estimated, Found
from pipeline.stages.frames import Frames


def read_estimated(frames: Frames) -> Estimated:
    """What the chosen options were thought to take, before any factor; staff cost with the enclosures paid.

    Minutes are those of volumes with sheets.
    """
    choices = frames["work.choices"].select("volume_id", "option_no", "is_funded")
    on = ["volume_id", "option_no"]
    papers = frames["work.option_supplies"].filter(pl.col("supply") == "paper").join(choices, on=on)
    labour = frames["work.option_costs"].join(choices.filter(pl.col("is_funded")), on=on)
    with_sheets = frames["work.options"].filter(pl.col("sheets") > 0).select(on)
    hours = frames["work.option_hours"].join(choices, on=on).join(with_sheets, on=on)
    return Estimated(
        paper_cost=_sum(papers, "cost"),
        staff_cost=_sum(labour, "staff_cost"),
        minutes=_nested(hours, "minutes"),
    )


def read_found(frames: Frames) -> Found:
    """What the finished plan takes: packs and enclosures to buy, people's pay, minutes asked and dated."""
    tasks = _tasks(frames)
    planned = frames["work.interleaves"].select("volume_id").unique()
    with_sheets = tasks.filter(
        (pl.col("kind") == "cut") | pl.col("volume_id").is_in(planned["volume_id"].to_list())
    )
    undated = with_sheets.filter(pl.col("start_at").is_null() & pl.col("volume_id").is_not_null())
    bought = frames["work.material_needs"]
    return Found(
        paper_used_cost=_sum(bought, "cost") + _from_the_shelf(frames),
        supplies_cost=_sum(bought, "cost") + enclosure_cost(frames),
        staff_cost=_sum(tasks.with_columns(_pay()), "pay"),
        minutes=_nested(with_sheets, "task_minutes"),
        dated_minutes=_nested(with_sheets.filter(pl.col("start_at").is_not_null()), "task_minutes"),
        undated=tuple(sorted(undated["volume_id"].unique())),
    )


def enclosure_cost(frames: Frames) -> float:
    """Cost of the enclosures to be bought: those paid for less those in the lab, made to measure all."""
    stock = frames["clean.enclosure_stock"].select("enclosure_id", "on_hand")
    needed = (
        frames["work.enclosure_fits"]
        .filter(pl.col("is_funded"))
        .group_by("enclosure_id")
        .agg(pl.len().alias("needed"), pl.col("price").first())
        .join(stock, on="enclosure_id", how="left")
        .with_columns(cost=(pl.col("needed") - pl.col("on_hand").fill_null(0)).clip(0) * pl.col("price"))
    )
    return _sum(needed, "cost")


def _from_the_shelf(frames: Frames) -> float:
    """Worth of the parent sheets and rolls used that stood in the lab."""
    prices = frames["clean.stock"].select("stock_id", "pack_price", "pack_quantity")
    used = frames["work.material_needs"].join(prices, on="stock_id")
    worth = pl.min_horizontal("needed", "on_hand") * pl.col("pack_price") / pl.col("pack_quantity")
    return _sum(used.with_columns(worth=worth), "worth")


def _tasks(frames: Frames) -> pl.DataFrame:
    pay = frames["clean.staff"].select("staff_id", pl.col("hourly_rate").fill_null(0.0))
    return (
        frames["work.tasks"]
        .join(frames["work.assignments"], on="task_id")
        .join(pay, on="staff_id", how="left")
    )


def _pay() -> pl.Expr:
    hours = pl.col("task_minutes") / units.MINUTES_PER_HOUR
    return (hours * pl.col("hourly_rate").fill_null(0.0)).alias("pay")


def _nested(rows: pl.DataFrame, column: str) -> Minutes:
    """Minutes that need at least each skill, rounded down."""
    sums = []
    for rank in range(len(SKILLS)):
        sums.append(int(_sum(rows.filter(pl.col("skill").is_in(SKILLS[rank:])), column)))
    return sums[0], sums[1], sums[2]


def _sum(rows: pl.DataFrame, column: str) -> float:
    """Sum that does not depend on the order of the rows."""
    return float(rows[column].sort().sum() or 0.0)

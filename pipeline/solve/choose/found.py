"""Figures of the finished plan, and the estimates of the same choice, from the tables."""

import polars as pl

from pipeline import units
from pipeline.contracts.fields import SKILLS
from pipeline.frames import Frames
from pipeline.solve.choose.problem import Minutes
from pipeline.solve.choose.rounds import Estimated, Found, PaperUse


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
        papers=_by_paper(papers.select(pl.col("supply_id").alias("paper_id"), "cost"), "cost"),
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
        papers=_paper_uses(frames),
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


def _paper_uses(frames: Frames) -> dict[str, PaperUse]:
    """Use of each paper at its least price of a square metre, and what its packs cost."""
    lines = (
        frames["work.material_needs"]
        .join(frames["clean.stock"].select("stock_id", "width_mm", "length_mm"), on="stock_id")
        .join(frames["work.paper_properties"].select("paper_id", "price_per_m2"), on="paper_id")
    )
    piece = pl.col("width_mm") * pl.col("length_mm") / units.MM2_PER_M2 * pl.col("price_per_m2")
    lines = lines.with_columns(
        used=pl.col("needed") * piece, from_shelf=pl.min_horizontal("needed", "on_hand") * piece
    )
    packs = frames["work.supply_packs"].filter(pl.col("supply") == "paper")
    used, from_shelf, paid = (_by_paper(lines, column) for column in ("used", "from_shelf", "cost"))
    return {
        row["supply_id"]: PaperUse(
            used=used[row["supply_id"]],
            from_shelf=from_shelf[row["supply_id"]],
            paid=paid[row["supply_id"]],
            worth=row["cost"],
            pack=row["pack_price"] or 0.0,
        )
        for row in packs.iter_rows(named=True)
        if row["supply_id"] in used
    }


def _by_paper(rows: pl.DataFrame, column: str) -> dict[str, float]:
    """Sum of a column by paper, whatever the order of the rows."""
    sums: dict[str, float] = {}
    for paper_id, amount in rows.select("paper_id", column).sort("paper_id", column).iter_rows():
        sums[paper_id] = sums.get(paper_id, 0.0) + amount
    return sums


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

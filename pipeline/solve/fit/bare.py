"""Why openings of a group stay without a sheet in the best answer, one sentence a group."""

from dataclasses import dataclass, fields

import polars as pl

from pipeline.contracts import TABLES
from pipeline.solve.fit.failings import failings
from pipeline.solve.fit.reasons import Limits, losses, plural
from pipeline.solve.fit.states import group_figures
from pipeline.solve.fit.tables import FitTables


@dataclass(frozen=True)
class BareFigures:
    """What the reason is told from: the volume's room in um, the group's best sheet, and what it is short of."""

    hold: str | None
    joints: str
    said: str | None
    is_never: bool
    has_paper: bool
    is_wanted: bool
    failing: str | None
    best_benefit: float | None
    short_of: str
    least_um: int | None
    taken: str | None
    headroom_um: int
    by_angle_um: int
    by_growth_um: int
    added_um: int


def group_rows(tables: FitTables, best: pl.DataFrame, permitted: pl.DataFrame) -> pl.DataFrame:
    """work.fit_groups: one row per group; the reason is blank where every opening gets a sheet."""
    groups = group_figures(tables, best)
    in_volume = best.join(tables.papers.select("paper", "paper_id"), on="paper").group_by("volume")
    taken = in_volume.agg(
        (pl.col("sheets") * pl.col("um")).sum().alias("added_um"),
        pl.col("paper_id").unique().sort().str.join(" and ").alias("taken"),
    )
    volumes = tables.volumes.drop("volume_id").join(taken, on="volume", how="left")
    rows = (
        groups.join(volumes, on="volume")
        .join(failings(tables, groups, permitted, "group"), on="group", how="left")
        .join(tables.groups.select("group", "volume_id", "group_no"), on="group")
        .with_columns(pl.col("added_um").fill_null(0), bare_openings=pl.col("count") - pl.col("sheets"))
        .sort("group")
    )
    limits = Limits(tables.floor_benefit, tables.max_papers, tables.look_again)
    names = [field.name for field in fields(BareFigures)]
    reasons = [
        group_reason(BareFigures(*figures), limits) if bare else ("", "")
        for bare, *figures in rows.select("bare_openings", *names).iter_rows()
    ]
    told = rows.with_columns(
        pl.Series("cause", [cause for cause, _ in reasons], dtype=pl.String),
        pl.Series("reason", [reason for _, reason in reasons], dtype=pl.String),
    )
    return told.select(TABLES["work.fit_groups"].column_names)


def group_reason(group: BareFigures, limits: Limits) -> tuple[str, str]:
    """Cause (a word of the register) and sentence: why the group's openings, or the rest of them, stay bare."""
    if group.hold:
        return "hold", f"the volume is on hold ({group.hold.replace('_', ' ')})"
    if group.is_never:
        return "decision", group.said or ""
    if not group.has_paper:
        return "paper", f"no paper may lie here: {group.failing or 'the list has no paper'}"
    if not group.is_wanted:
        return "floor", (
            f"the best permitted sheet avoids {losses(group.best_benefit or 0)} page losses, "
            f"below the floor of {losses(limits.floor_benefit)}"
        )
    return _short(group, limits)


def _short(group: BareFigures, limits: Limits) -> tuple[str, str]:
    if group.joints == "split":
        return "joint", "split joint: no added bulk before it is treated"
    if group.short_of == "papers":
        return "papers", (
            f"the papers taken ({group.taken}) do not suit it, and another would be one more than the "
            f"{plural(limits.max_papers, 'paper')} a volume may have"
        )
    return "room", _room(group)


def _room(group: BareFigures) -> str:
    over_um = -min(group.by_angle_um, group.by_growth_um)
    if over_um > 0:
        return f"over its limit by {over_um} µm before anything is added"
    left_um = group.headroom_um - group.added_um
    return f"thickness left {left_um} µm, thinnest permitted sheet {group.least_um} µm"

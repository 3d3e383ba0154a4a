"""Reasons gathered for tables: one per option, group and paper, and one per volume with its state."""

from dataclasses import fields

import polars as pl

from pipeline.contracts import TABLES
from pipeline.solve.fit.failings import failings
from pipeline.solve.fit.options import CHEAPER
from pipeline.solve.fit.reasons import (
    Limits,
    SheetFigures,
    VolumeFigures,
    cheaper_reason,
    sheet_reason,
    volume_reason,
)
from pipeline.solve.fit.states import group_figures, volume_figures
from pipeline.solve.fit.tables import FitTables

_SHEET_KEY = ["group", "paper", "is_cheaper"]


def sheet_reasons(tables: FitTables, best: pl.DataFrame, sheets: pl.DataFrame) -> pl.DataFrame:
    """The rows of `sheets` with group_no, paper_id, benefit, thickness_um and reason."""
    limits = Limits(tables.floor_benefit, tables.max_papers, tables.look_again)
    sheets = sheets.with_columns(is_cheaper=pl.col("option_kind") == CHEAPER)
    kinds = sheets.select("group", "paper", "is_cheaper").unique().sort("group", "paper", "is_cheaper")
    told = _sheet_figures(tables, best, kinds)
    names = [field.name for field in fields(SheetFigures)]
    reasons = []
    for is_cheaper, *values in told.select("is_cheaper", *names).iter_rows():
        figures = SheetFigures(*values)
        reasons.append(cheaper_reason(figures, limits) if is_cheaper else sheet_reason(figures, limits))
    reasoned = told.select("group", "paper", "is_cheaper", pl.Series("reason", reasons, dtype=pl.String))
    return (
        sheets.join(reasoned, on=["group", "paper", "is_cheaper"])
        .join(tables.groups.select("group", "group_no"), on="group")
        .join(tables.papers.select("paper", "paper_id", thickness_um="effective_thickness_um"), on="paper")
        .with_columns(benefit=pl.col("sheets") * pl.col("benefit_per_sheet"))
        .sort("volume", "option_no", "group", "paper")
    )


def state_rows(tables: FitTables, best: pl.DataFrame, permitted: pl.DataFrame) -> pl.DataFrame:
    """work.fit_states: one row per volume."""
    groups = group_figures(tables, best)
    volumes = (
        volume_figures(tables, groups)
        .join(_added(best), on="volume", how="left")
        .join(failings(tables, groups, permitted, "volume"), on="volume", how="left")
        .with_columns(pl.col("added_um").fill_null(0))
        .sort("volume")
    )
    limits = Limits(tables.floor_benefit, tables.max_papers, tables.look_again)
    names = [field.name for field in fields(VolumeFigures)]
    reasons = [volume_reason(VolumeFigures(*row), limits) for row in volumes.select(names).iter_rows()]
    return volumes.with_columns(pl.Series("reason", reasons, dtype=pl.String)).select(
        TABLES["work.fit_states"].column_names
    )


def _sheet_figures(tables: FitTables, best: pl.DataFrame, kinds: pl.DataFrame) -> pl.DataFrame:
    """Per group, paper and kind of option: its figures, those of the best other paper permitted, and the
    room.
    """
    permitted = tables.sheets.select("group", "paper", "um", "ticks", benefit="benefit_per_sheet").join(
        _named_papers(tables), on="paper"
    )
    asked = tables.groups.select(
        "group", "volume", "hazards", "said", "named_paper", "needs_unbuffered", "has_staining"
    )
    has_staining = pl.col("has_staining").fill_null(False)
    best_rivals = _best_rivals(kinds, permitted)
    room = tables.volumes.join(_added(best), on="volume", how="left").select(
        "volume", "headroom_um", left_um=pl.col("headroom_um") - pl.col("added_um").fill_null(0)
    )
    return (
        kinds.join(permitted, on=["group", "paper"])
        .join(best_rivals, on=_SHEET_KEY, how="left")
        .join(asked, on="group")
        .join(room, on="volume")
        .rename({"name": "paper_name"})
        .with_columns(
            is_rival_better=(pl.col("rival_ticks") > pl.col("ticks")).fill_null(False),
            is_rival_equal=(pl.col("rival_ticks") == pl.col("ticks")).fill_null(False),
            is_named=pl.col("named_paper").is_not_null(),
            is_below_floor=pl.col("ticks") < tables.floor_ticks,
            is_opposite=has_staining & pl.col("needs_unbuffered").fill_null(False),
            is_to_be_reviewed=has_staining & ~pl.col("is_buffered"),
        )
        .sort(_SHEET_KEY)
    )


def _best_rivals(kinds: pl.DataFrame, permitted: pl.DataFrame) -> pl.DataFrame:
    """Per group, paper and kind of option: the best other paper that may lie there, the thinner of equals."""
    rivals = permitted.rename(
        {
            "paper": "rival_paper",
            "name": "rival",
            "um": "rival_um",
            "ticks": "rival_ticks",
            "benefit": "rival_benefit",
            "price": "rival_price",
            "is_buffered": "is_rival_buffered",
        }
    )
    order = {"rival_ticks": True, "rival_um": False, "rival_paper": False}
    return (
        kinds.join(rivals, on="group")
        .filter(pl.col("paper") != pl.col("rival_paper"))
        .sort(*_SHEET_KEY, *order, descending=[False] * len(_SHEET_KEY) + list(order.values()))
        .unique(_SHEET_KEY, keep="first", maintain_order=True)
    )


def _named_papers(tables: FitTables) -> pl.DataFrame:
    """Papers by number, named by what matters of them: `BUF (buffered)`, `ADS (buffered, adsorbent)`."""
    kind = pl.concat_str(
        "buffer",
        pl.when("adsorbent").then(pl.lit(", adsorbent")).otherwise(pl.lit("")),
        pl.when(pl.col("surface") == "release").then(pl.lit(", release surface")).otherwise(pl.lit("")),
    )
    return tables.papers.select(
        "paper",
        name=pl.concat_str("paper_id", pl.lit(" ("), kind, pl.lit(")")),
        price="price_per_m2",
        is_buffered=pl.col("buffer") == "buffered",
    )


def _added(best: pl.DataFrame) -> pl.DataFrame:
    return best.group_by("volume").agg((pl.col("sheets") * pl.col("um")).sum().alias("added_um"))

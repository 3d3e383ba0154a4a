"""Reasons gathered for tables: one per option, group and paper, and one per volume with its state."""

from dataclasses import fields

import polars as pl

from pipeline.contracts import TABLES
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

_FAILINGS_NAMED = 2


def sheet_reasons(tables: FitTables, best: pl.DataFrame, sheets: pl.DataFrame) -> pl.DataFrame:
    """The rows of `sheets` with group_no, paper_id, benefit, thickness_um and reason."""
    limits = Limits(tables.floor_benefit, tables.max_papers)
    sheets = sheets.with_columns(is_cheaper=pl.col("option_kind") == CHEAPER)
    kinds = sheets.select("group", "paper", "is_cheaper").unique().sort("group", "paper", "is_cheaper")
    told = _sheet_figures(tables, best, kinds)
    names = [field.name for field in fields(SheetFigures)]
    reasons = []
    for is_cheaper, *values in told.select("is_cheaper", *names).iter_rows():
        figures = SheetFigures(*values)
        reasons.append(cheaper_reason(figures) if is_cheaper else sheet_reason(figures, limits))
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
        .join(_failings(tables, groups, permitted), on="volume", how="left")
        .with_columns(pl.col("added_um").fill_null(0))
        .sort("volume")
    )
    limits = Limits(tables.floor_benefit, tables.max_papers)
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
    key = ["group", "paper", "is_cheaper"]
    best_rivals = (
        kinds.join(rivals, on="group")
        .filter(pl.col("paper") != pl.col("rival_paper"))
        .sort(
            *key,
            "rival_ticks",
            "rival_um",
            "rival_paper",
            descending=[False, False, False, True, False, False],
        )
        .unique(key, keep="first", maintain_order=True)
    )
    room = tables.volumes.join(_added(best), on="volume", how="left").select(
        "volume", "headroom_um", left_um=pl.col("headroom_um") - pl.col("added_um").fill_null(0)
    )
    return (
        kinds.join(permitted, on=["group", "paper"])
        .join(best_rivals, on=key, how="left")
        .join(tables.groups.select("group", "volume", "hazards"), on="group")
        .join(room, on="volume")
        .rename({"name": "paper_name"})
        .with_columns(
            is_rival_better=(pl.col("rival_ticks") > pl.col("ticks")).fill_null(False),
            is_rival_equal=(pl.col("rival_ticks") == pl.col("ticks")).fill_null(False),
        )
        .sort(key)
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


def _failings(tables: FitTables, groups: pl.DataFrame, permitted: pl.DataFrame) -> pl.DataFrame:
    """Per volume with openings no paper suits: what most of them fail on, and how many papers lack it.

    The figure shown is that of the paper which lacks least else.
    """
    bare = groups.filter(~pl.col("has_paper")).join(
        tables.groups.select("group", "volume_id", "group_no"), on="group"
    )
    lacking = (
        bare.select("group", "volume", "volume_id", "group_no", "count")
        .join(permitted.select("volume_id", "group_no", "paper_id", "missing"), on=["volume_id", "group_no"])
        .with_columns(pl.col("missing").str.split("; "))
        .with_columns(lacks=pl.col("missing").list.len())
        .explode("missing")
        .with_columns(kind=pl.col("missing").str.extract(r"^([^\d:(]+)").fill_null("").str.strip_chars())
        .sort("volume", "kind", "lacks", "paper_id", "group")
    )
    papers = tables.papers.height
    named = (
        lacking.group_by("volume", "kind", maintain_order=True)
        .agg(
            pl.col("count").sum().alias("weight"),
            pl.col("paper_id").n_unique().alias("papers"),
            pl.col("missing").first(),
        )
        .sort("volume", "weight", "kind", descending=[False, True, False])
        .group_by("volume", maintain_order=True)
        .head(_FAILINGS_NAMED)
    )
    text = pl.format("{} ({} of {} papers)", "missing", "papers", pl.lit(papers))
    return named.group_by("volume", maintain_order=True).agg(text.str.join("; ").alias("failing"))

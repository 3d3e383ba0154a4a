"""The state each volume ends in as far as content, paper and bulk decide, and the figures behind it.

The first that applies: on_hold, nothing_needed, treat_first, no_paper, no_headroom, prioritised, covered
(trade model, end of section 5).
"""

import polars as pl

from pipeline.solve.fit.tables import FitTables


def group_figures(tables: FitTables, best: pl.DataFrame) -> pl.DataFrame:
    """One row per group: best permitted sheet, sheets planned, and why openings go bare.

    A sheet is wanted where one may be planned: it reaches the floor or a person asked for it, and no decision
    stands against it. `short_of` is blank, `room` or `papers` (the papers taken do not suit the group and
    their limit is reached); `least_um` is the thinnest sheet that would have served.
    """
    reaching = tables.sheets.filter("is_allowed")
    best_sheet = tables.sheets.group_by("group").agg(
        pl.col("benefit_per_sheet").max().alias("best_benefit"),
        pl.col("ticks").max().alias("best_ticks"),
        pl.col("is_left_open").any().alias("has_paper"),
    )
    used = best.select("volume", "paper").unique()
    limits = used.group_by("volume").agg(pl.len().alias("papers_used"))
    planned = best.group_by("group").agg(pl.col("sheets").sum())
    serving = reaching.join(tables.groups.select("group", "volume"), on="group")
    in_use = serving.join(used, on=["volume", "paper"], how="semi").group_by("group")
    figures = (
        tables.groups.select("group", "volume", "count", "is_must", "is_never", "said")
        .join(best_sheet, on="group", how="left")
        .join(planned, on="group", how="left")
        .join(limits, on="volume", how="left")
        .join(serving.group_by("group").agg(pl.col("um").min().alias("thinnest_um")), on="group", how="left")
        .join(in_use.agg(pl.col("um").min().alias("used_um")), on="group", how="left")
        .with_columns(pl.col("sheets", "papers_used").fill_null(0), pl.col("has_paper").fill_null(False))
        .with_columns(
            is_wanted=pl.col("thinnest_um").is_not_null(),
            lacks_paper=~pl.col("has_paper") & ~pl.col("is_never"),
        )
        .with_columns(bare=pl.when("is_wanted").then(pl.col("count") - pl.col("sheets")).otherwise(0))
    )
    is_limited = pl.col("used_um").is_null() & (pl.col("papers_used") >= tables.max_papers)
    short_of = pl.when(pl.col("bare") == 0).then(pl.lit("")).when(is_limited).then(pl.lit("papers"))
    return figures.with_columns(
        short_of=short_of.otherwise(pl.lit("room")), least_um=pl.coalesce("used_um", "thinnest_um")
    ).sort("group")


def volume_figures(tables: FitTables, groups: pl.DataFrame) -> pl.DataFrame:
    """One row per volume: its state, and the figures that the reason names."""
    count = pl.col("count")
    reaches = pl.col("best_ticks") >= max(tables.floor_ticks, 1)
    in_volume = groups.group_by("volume").agg(
        count.sum().alias("hazard_openings"),
        count.filter("lacks_paper").sum().alias("no_paper_openings"),
        count.filter("is_wanted").sum().alias("wanted_openings"),
        count.filter("is_never").sum().alias("never_openings"),
        pl.col("said").filter("is_never").drop_nulls().first().alias("said_never"),
        (count * pl.col("best_benefit")).filter(reaches).sum().alias("benefit_possible"),
        pl.col("best_benefit").filter(~pl.col("is_never")).max(),
        pl.col("sheets").sum(),
        pl.col("thinnest_um").min(),
        *(
            pl.col("bare").filter(pl.col("short_of") == word).sum().alias(f"bare_for_{word}")
            for word in ("room", "papers")
        ),
        pl.col("least_um").filter(pl.col("short_of") == "room").min().alias("least_um"),
    )
    nothing = [
        pl.col(name).fill_null(0)
        for name in (
            "hazard_openings",
            "no_paper_openings",
            "wanted_openings",
            "never_openings",
            "benefit_possible",
            "sheets",
        )
    ]
    figures = tables.volumes.join(in_volume, on="volume", how="left").with_columns(
        *nothing, pl.col("bare_for_room", "bare_for_papers").fill_null(0)
    )
    return figures.with_columns(_state().alias("state")).sort("volume")


def _state() -> pl.Expr:
    is_unwanted = pl.col("wanted_openings") == 0
    is_bare = pl.col("bare_for_room") + pl.col("bare_for_papers") > 0
    return (
        pl.when(pl.col("hold").fill_null("") != "")
        .then(pl.lit("on_hold"))
        .when(is_unwanted & (pl.col("no_paper_openings") == 0))
        .then(pl.lit("nothing_needed"))
        .when(pl.col("joints") == "split")
        .then(pl.lit("treat_first"))
        .when(is_unwanted)
        .then(pl.lit("no_paper"))
        .when(pl.col("sheets") == 0)
        .then(pl.lit("no_headroom"))
        .when(is_bare)
        .then(pl.lit("prioritised"))
        .otherwise(pl.lit("covered"))
    )

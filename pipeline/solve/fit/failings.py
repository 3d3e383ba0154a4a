"""What papers lack where none may lie, and how many of them lack it."""

import polars as pl

from pipeline.solve.fit.tables import FitTables

_FAILINGS_NAMED = 2


def failings(tables: FitTables, groups: pl.DataFrame, permitted: pl.DataFrame, by: str) -> pl.DataFrame:
    """`failing` per volume or group (`by`) with openings no paper suits: what most of them fail on.

    The figure shown is that of the paper which lacks least else. Where a decision names the paper, only that
    one counts.
    """
    counted = (
        _lacking(tables, groups, permitted, by)
        .group_by(by, "kind", maintain_order=True)
        .agg(
            pl.col("count").sum().alias("weight"),
            pl.col("paper_id").n_unique().alias("papers"),
            pl.col("missing").first(),
            pl.col("named_id").is_not_null().any().alias("is_named"),
        )
        .sort(by, "weight", "kind", descending=[False, True, False])
        .group_by(by, maintain_order=True)
        .head(_FAILINGS_NAMED)
    )
    text = pl.format("{} ({} of {} papers)", "missing", "papers", pl.lit(tables.papers.height))
    told = pl.when("is_named").then("missing").otherwise(text)
    return counted.group_by(by, maintain_order=True).agg(told.str.join("; ").alias("failing"))


def _lacking(tables: FitTables, groups: pl.DataFrame, permitted: pl.DataFrame, by: str) -> pl.DataFrame:
    """A row per group without a paper, paper that counts there, and thing it lacks; its `kind` without figures."""
    named = tables.papers.select(named_paper="paper", named_id="paper_id")
    bare = (
        groups.filter("lacks_paper")
        .join(tables.groups.select("group", "volume_id", "group_no", "named_paper"), on="group")
        .join(named, on="named_paper", how="left")
    )
    is_named = pl.col("named_id").is_not_null()
    return (
        bare.select("group", "volume", "volume_id", "group_no", "count", "named_id")
        .join(permitted.select("volume_id", "group_no", "paper_id", "missing"), on=["volume_id", "group_no"])
        .filter(~is_named | (pl.col("named_id") == pl.col("paper_id")))
        .with_columns(
            missing=pl.when(is_named)
            .then(
                pl.concat_list(
                    pl.format("{}, named by decision, may not lie there: {}", "paper_id", "missing")
                )
            )
            .otherwise(pl.col("missing").str.split("; "))
        )
        .with_columns(lacks=pl.col("missing").list.len())
        .explode("missing")
        .with_columns(kind=pl.col("missing").str.extract(r"^([^\d:(]+)").fill_null("").str.strip_chars())
        .sort(by, "kind", "lacks", "paper_id", "group")
    )

"""People's decisions as marks on groups of openings, and in words.

Every row of Decisions that covers a group binds it: `must` and `never` mark the group, `paper` names its only
paper. Rows that contradict each other were refused when the inventory was checked.
"""

import polars as pl

MUST, NEVER, PAPER = "must", "never", "paper"
_SAYS = {MUST: "asks for a sheet here", NEVER: "asks for no sheet here"}


def decided_groups(groups: pl.DataFrame, decisions: pl.DataFrame, papers: pl.DataFrame) -> pl.DataFrame:
    """`groups` (with `group`, `decision_rows`) and is_must, is_never, named_paper, said.

    `named_paper` is the number of the only paper that may lie there, or empty; `said` is the decision in
    words, or empty.
    """
    sayings = decisions.select(
        "row_no",
        "decision",
        "paper_id",
        said=pl.Series([saying(row) for row in decisions.iter_rows(named=True)], dtype=pl.String),
    )
    rows = (
        groups.filter(pl.col("decision_rows").is_not_null())
        .select("group", row_no=pl.col("decision_rows").str.split(", "))
        .explode("row_no")
        .with_columns(pl.col("row_no").cast(pl.Int64))
        .join(sayings, on="row_no")
        .join(papers.select("paper_id", "paper"), on="paper_id", how="left")
        .sort("group", "row_no")
    )
    said = rows.group_by("group", maintain_order=True).agg(
        (pl.col("decision") == MUST).any().alias("is_must"),
        (pl.col("decision") == NEVER).any().alias("is_never"),
        pl.col("paper").drop_nulls().first().alias("named_paper"),
        pl.col("said").unique(maintain_order=True).str.join("; "),
    )
    return groups.join(said, on="group", how="left").with_columns(
        pl.col("is_must", "is_never").fill_null(False)
    )


def saying(decision: dict[str, object]) -> str:
    """One row of Decisions in words: `the surveyor (K) asks for a sheet here: on display next year`."""
    who = f"the surveyor ({decision['by']})" if decision["by"] else "the surveyor"
    says = _SAYS.get(str(decision["decision"]), f"names {decision['paper_id']} here")
    return f"{who} {says}: {decision['reason']}"


def is_allowed(floor_ticks: int) -> pl.Expr:
    """Whether a sheet of a group (ticks, is_must, is_never, paper, named_paper) may be planned at all.

    It reaches the floor or must lie there, and no decision stands against it.
    """
    reaches = pl.col("ticks") >= max(floor_ticks, 1)
    return (reaches | pl.col("is_must")) & ~pl.col("is_never") & is_left_open()


def is_left_open() -> pl.Expr:
    """Whether a decision leaves a group this paper: none names another one."""
    return pl.col("named_paper").is_null() | (pl.col("named_paper") == pl.col("paper"))

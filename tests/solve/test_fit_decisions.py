"""People's decisions as marks and in words, by hand."""

import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.solve.fit.decisions import decided_groups, is_allowed, saying
from tests.rows import row

PAPERS = pl.DataFrame({"paper_id": ["BUF", "THIN"], "paper": [0, 1]})


def decided(rows: str | None, *decisions: dict[str, object]) -> dict[str, object]:
    groups = pl.DataFrame(
        {"group": [0], "decision_rows": [rows]}, schema={"group": pl.Int64, "decision_rows": pl.String}
    )
    frame = TABLES["clean.decisions"].frame(list(decisions))
    return decided_groups(groups, frame, PAPERS).drop("group", "decision_rows").row(0, named=True)


MUST = row("clean.decisions", row_no=2, by="K")
PAPER = row("clean.decisions", row_no=3, decision="paper", paper_id="THIN", reason="it lies flat")


def test_a_group_without_decisions_is_free() -> None:
    assert decided(None, MUST) == {"is_must": False, "is_never": False, "named_paper": None, "said": None}


def test_all_rows_that_cover_a_group_bind_it() -> None:
    assert decided("2, 3", MUST, PAPER) == {
        "is_must": True,
        "is_never": False,
        "named_paper": 1,
        "said": "the surveyor (K) asks for a sheet here: on display next year; "
        "the surveyor names THIN here: it lies flat",
    }


def test_never_in_words() -> None:
    word = row("clean.decisions", decision="never", reason="the leaf is loose")
    assert (
        saying(word | {"by": None, "paper_id": None})
        == "the surveyor asks for no sheet here: the leaf is loose"
    )


@pytest.mark.parametrize(
    ("ticks", "is_must", "is_never", "named_paper", "allowed"),
    [
        (10, False, False, None, True),
        (9, False, False, None, False),
        (9, True, False, None, True),
        (99, True, True, None, False),
        (99, False, False, 1, False),
        (99, False, False, 0, True),
        (0, False, False, None, False),
    ],
)
def test_what_may_be_planned(
    ticks: int, is_must: bool, is_never: bool, named_paper: int | None, allowed: bool
) -> None:
    sheet = pl.DataFrame(
        {
            "ticks": [ticks],
            "is_must": [is_must],
            "is_never": [is_never],
            "named_paper": [named_paper],
            "paper": [0],
        },
        schema_overrides={"named_paper": pl.Int64},
    )
    assert sheet.select(is_allowed(10)).item() is allowed

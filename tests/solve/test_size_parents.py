"""Parents of a paper's stocks: how they lie, and the paper a leaf takes."""

from typing import Any

import numpy as np
import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables
from pipeline.solve.size.parents import Parent, paper_mm2, stock_parents
from tests.rows import row


def frames(*, stocks: list[dict[str, Any]], grain_rule: str = "require") -> Frames:
    given = {
        "clean.campaign": [row("clean.campaign")],
        "clean.papers": [row("clean.papers", grain_rule=grain_rule)],
        "clean.stock": [row("clean.stock", **stock) for stock in stocks],
    }
    return {name: TABLES[name].frame(rows) for name, rows in given.items()} | {
        "policy.figures": policy_tables(load_policy())["policy.figures"]
    }


def paper(parents: tuple[Parent, ...], width: int, height: int) -> int:
    return int(paper_mm2(parents, np.array([[width]]), np.array([[height]]))[0, 0])


def test_long_grain_lies_along_the_leafs_height() -> None:
    (parent,) = stock_parents(frames(stocks=[{}]), "BUF")
    # 610 x 914 mm less 3 mm a side, in half millimetres
    assert (parent.along_leaf_width_ticks, parent.along_leaf_height_ticks) == (1208, 1816)
    assert parent.worth_mm2 == 557_540


def test_short_grain_turns_the_sheet() -> None:
    (parent,) = stock_parents(frames(stocks=[{"grain": "short"}]), "BUF")
    assert (parent.along_leaf_width_ticks, parent.along_leaf_height_ticks) == (1816, 1208)


@pytest.mark.parametrize(("grain_rule", "turned_worth"), [("ignore", 557_540), ("prefer", 585_417)])
def test_sheets_may_be_turned_where_the_rule_allows(grain_rule: str, turned_worth: int) -> None:
    # only preferred: turned leaves count 5 % dearer, the saving for which grain may be crossed
    parents = stock_parents(frames(stocks=[{}], grain_rule=grain_rule), "BUF")
    assert [parent.worth_mm2 for parent in parents] == [557_540, turned_worth]


def test_dearer_paper_counts_as_more_paper() -> None:
    stocks = [{}, {"stock_id": "S2", "pack_price": 120.0}]
    assert [p.worth_mm2 for p in stock_parents(frames(stocks=stocks), "BUF")] == [557_540, 1_115_080]
    stocks = [{"pack_price": 0.0}, {"stock_id": "S2", "pack_price": 120.0}]
    assert [p.worth_mm2 for p in stock_parents(frames(stocks=stocks), "BUF")] == [557_540, 557_540]


def test_stock_the_guillotine_cannot_take_is_left_out() -> None:
    assert stock_parents(frames(stocks=[{"width_mm": 1200.0, "length_mm": 1300.0}]), "BUF") == ()
    # the blade runs along 914 mm
    assert len(stock_parents(frames(stocks=[{"width_mm": 914.0, "length_mm": 1300.0}]), "BUF")) == 1


def test_a_leaf_takes_its_share_of_the_sheet_that_gives_most() -> None:
    parents = stock_parents(frames(stocks=[{}]), "BUF")
    # 604 x 908 mm usable: 3 x 3 leaves of 201 x 300 mm
    assert paper(parents, 402, 600) == 61_949
    # 2 x 3 of 203 x 300 mm
    assert paper(parents, 406, 600) == 92_924


def test_a_roll_is_cut_no_longer_than_the_leaves_ask() -> None:
    roll = {"form": "roll", "width_mm": 800.0, "length_mm": 50_000.0, "pack_quantity": 1}
    (parent,) = stock_parents(frames(stocks=[roll]), "BUF")
    # lengths of up to 1,200 mm: 3 rows of 390 mm and 6 mm of trim are 1,176 mm; 3 columns of 250 mm
    assert (parent.along_leaf_width_ticks, parent.along_leaf_height_ticks) == (1588, 2388)
    assert paper((parent,), 500, 780) == -(-800 * 1176 // 9)


def test_a_roll_too_wide_for_the_blade_is_cut_in_shorter_lengths() -> None:
    roll = {"form": "roll", "width_mm": 1300.0, "length_mm": 50_000.0, "pack_quantity": 1}
    (parent,) = stock_parents(frames(stocks=[roll]), "BUF")
    assert parent.along_leaf_height_ticks == 2 * (1150 - 6)


def test_no_stock_and_no_fit() -> None:
    assert paper((), 400, 600) == 0
    parents = stock_parents(frames(stocks=[{}]), "BUF")
    assert paper(parents, 1300, 600) == 2 * 557_540
    assert stock_parents(frames(stocks=[{}]), "BUF") == stock_parents(
        {name: frame.reverse() for name, frame in frames(stocks=[{}]).items()}, "BUF"
    )


def test_stocks_of_other_papers_do_not_count() -> None:
    given = frames(stocks=[{}, {"stock_id": "S2", "paper_id": "OTHER"}])
    given["clean.papers"] = pl.concat(
        [given["clean.papers"], TABLES["clean.papers"].frame([row("clean.papers", paper_id="OTHER")])]
    )
    assert [parent.stock_id for parent in stock_parents(given, "BUF")] == ["S1"]

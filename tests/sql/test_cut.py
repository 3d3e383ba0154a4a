"""Spares, and paper needed and bought, against figures worked by hand."""

from typing import Any

import pytest

from pipeline.contracts import TABLES
from pipeline.store import Store
from tests.rows import filled_store, row, run


def spares(sheets: int, **campaign: Any) -> int:
    store = filled_store({"clean.campaign": [row("clean.campaign", **campaign)]})
    size = {"cut_size_id": "C1", "paper_id": "BUF", "width_mm": 200.0, "height_mm": 300.0, "sheets": sheets}
    store.write("work.cut_sizes", TABLES["work.cut_sizes"].frame([size]))
    run(store, "08_cut/demands")
    return int(store.read("work.demands")["spares"][0])


@pytest.mark.parametrize(
    ("sheets", "pct", "expected"),
    [(1, 3.0, 1), (33, 3.0, 1), (34, 3.0, 2), (100, 3.0, 3), (100, 0.0, 1), (101, 3.0, 4)],
)
def test_spares_are_a_share_rounded_up_and_at_least_one(sheets: int, pct: float, expected: int) -> None:
    assert spares(sheets, spares_pct=pct) == expected


def test_no_cut_sizes_no_demands() -> None:
    store = filled_store({})
    store.write("work.cut_sizes", TABLES["work.cut_sizes"].empty())
    run(store, "08_cut/demands")
    assert store.read("work.demands").is_empty()


def needs(stock: list[dict[str, Any]], patterns: list[dict[str, Any]]) -> list[dict[str, Any]]:
    store: Store = filled_store({"clean.stock": stock})
    rows = [
        {
            "pattern_id": f"P{number:02d}",
            "sheet_width_mm": 610.0,
            "first_cut": "across_width",
            "lifts": 1,
            "used_pct": 80.0,
            **pattern,
        }
        for number, pattern in enumerate(patterns, start=1)
    ]
    store.write("work.patterns", TABLES["work.patterns"].frame(rows))
    run(store, "08_cut/material_needs")
    return store.read("work.material_needs").to_dicts()


def test_sheets_needed_are_bought_in_whole_packs_beyond_those_on_hand() -> None:
    """120 + 45 needed, 20 on hand: 145 to buy, two packs of 100 at 60."""
    stock = [row("clean.stock", on_hand=20.0, pack_quantity=100, pack_price=60.0)]
    patterns = [
        {"stock_id": "S1", "sheets": 120, "sheet_length_mm": 914.0},
        {"stock_id": "S1", "sheets": 45, "sheet_length_mm": 914.0},
    ]
    assert needs(stock, patterns) == [
        {
            "stock_id": "S1",
            "paper_id": "BUF",
            "unit": "sheet",
            "needed": 165.0,
            "on_hand": 20.0,
            "to_buy": 145.0,
            "packs": 2,
            "cost": 120.0,
        }
    ]


def test_exactly_a_pack_is_one_pack() -> None:
    stock = [row("clean.stock", pack_quantity=100)]
    found = needs(stock, [{"stock_id": "S1", "sheets": 100, "sheet_length_mm": 914.0}])
    assert (found[0]["to_buy"], found[0]["packs"]) == (100.0, 1)


def test_rolls_are_needed_by_the_length_cut_off() -> None:
    """30 lengths of 800 mm and 10 of 600 mm are 30 m of a 50 m roll; half a roll is on hand: one more."""
    stock = [
        row(
            "clean.stock",
            form="roll",
            width_mm=1000.0,
            length_mm=50_000.0,
            on_hand=0.5,
            pack_quantity=1,
            pack_price=52.0,
        )
    ]
    patterns = [
        {"stock_id": "S1", "sheets": 30, "sheet_length_mm": 800.0},
        {"stock_id": "S1", "sheets": 10, "sheet_length_mm": 600.0},
    ]
    found = needs(stock, patterns)[0]
    assert (found["unit"], found["needed"], found["packs"], found["cost"]) == ("roll", 0.6, 1, 52.0)
    assert found["to_buy"] == pytest.approx(0.1)


def test_every_stock_line_has_a_row_and_offcuts_need_no_fresh_paper() -> None:
    stock = [row("clean.stock"), row("clean.stock", row_no=3, stock_id="S2")]
    patterns = [
        {"stock_id": "S1", "sheets": 7, "sheet_length_mm": 914.0},
        {"stock_id": "S1", "sheets": 3, "sheet_length_mm": 300.0, "from_offcut_of": "P01"},
    ]
    found = {line["stock_id"]: (line["needed"], line["packs"]) for line in needs(stock, patterns)}
    assert found == {"S1": (7.0, 1), "S2": (0.0, 0)}

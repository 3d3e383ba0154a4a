"""Findings that only a finished plan can have, by hand."""

import pytest

from pipeline.contracts import TABLES
from pipeline.resources import sql_text
from tests.rows import filled_store, row

READ = ("clean.findings", "work.return_findings", "work.decision_outcomes", "work.group_needs")
READ += ("work.opening_groups", "work.impossible_leaves", "clean.stock", "work.material_needs")


@pytest.mark.parametrize(
    ("price", "to_buy", "expected"),
    [
        (0.0, 3.0, ["the plan takes 5 of stock REMNANT, which is listed at no price, and 2 are on hand"]),
        (0.0, 0.0, []),
        (1.5, 3.0, []),
    ],
)
def test_stock_without_a_price_that_runs_short_is_told(
    price: float, to_buy: float, expected: list[str]
) -> None:
    store = filled_store({})
    rows = {
        "clean.stock": [row("clean.stock", stock_id="REMNANT", pack_price=price, on_hand=2.0)],
        "work.material_needs": [
            {
                "stock_id": "REMNANT", "paper_id": "P", "unit": "sheet", "needed": 5.0, "on_hand": 2.0,
                "to_buy": to_buy, "packs": 1, "cost": price,
            }
        ],
    }  # fmt: skip
    for name in READ:
        store.write(name, TABLES[name].frame(rows.get(name, [])))
    store.run_sql("published.findings", sql_text("11_publish", "findings"))
    found = store.read("published.findings")
    assert found["message"].to_list() == expected
    assert set(found["code"]) <= {"free_stock_short"}

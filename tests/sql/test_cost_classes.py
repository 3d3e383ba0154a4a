"""The budget by grant classes (form SF-424A), worked by hand."""

import pytest

from pipeline.resources import sql_text
from pipeline.store import Store
from tests import builders


def classes(
    labour: float, paper: float, enclosures: float, **campaign: float | None
) -> dict[str, tuple[float, object]]:
    """Cost and budget by class."""
    totals = {"labour_cost": labour, "paper_cost": paper, "enclosure_cost": enclosures}
    with Store(None) as store:
        store.write("policy.unit_factors", builders.policy_frames()["policy.unit_factors"])
        store.write("clean.campaign", builders.frame("clean.campaign", [builders.campaign(**campaign)]))
        rows = [
            {"measure": name, "unit": "EUR", "value": value, "basis": "planned"}
            for name, value in totals.items()
        ]
        store.write("published.campaign_totals", builders.frame("published.campaign_totals", rows))
        store.run_sql("published.cost_classes", sql_text("11_publish", "cost_classes"))
        found = store.rows("select cost_class, cost, budget from published.cost_classes order by class_no")
    return {name: (cost, budget) for name, cost, budget in found}


def test_a_budget_worked_by_hand() -> None:
    # 1000 + 400 + 100; 5 per cent contingency 75; direct 1575; 15 per cent of it 236.25
    found = classes(
        1000, 400, 100, contingency_pct=5.0, indirect_pct=15.0, staff_budget=1200.0, supplies_budget=None
    )
    assert list(found) == [
        *("personnel", "fringe", "travel", "equipment", "supplies", "contractual", "construction", "other"),
        *("total_direct", "indirect", "total"),
    ]
    assert found["personnel"] == (1000.0, 1200.0)
    assert found["supplies"] == (500.0, None)
    assert found["other"] == (75.0, None)
    assert found["total_direct"][0] == 1575.0
    assert found["indirect"][0] == 236.25
    assert found["total"][0] == 1811.25


@pytest.mark.parametrize("labour", [100.004, 100.005, 33.333333, 0.0])
def test_the_table_adds_up_to_the_hundredth(labour: float) -> None:
    found = {
        name: round(cost * 100)
        for name, (cost, _) in classes(labour, 10.999, 0.336, contingency_pct=3.3).items()
    }
    assert abs(found["personnel"] - labour * 100) <= 0.5 + 1e-6
    assert found["personnel"] + found["supplies"] + found["other"] == found["total_direct"]
    assert found["total_direct"] + found["indirect"] == found["total"]


def test_nothing_costs_nothing() -> None:
    assert {cost for cost, _ in classes(0, 0, 0, contingency_pct=5.0, indirect_pct=15.0).values()} == {0.0}

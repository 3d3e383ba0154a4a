"""A whole plan in which leaves are cut from off-cuts: it passes its audit, and tickets, totals and summary say so."""

from pathlib import Path

import openpyxl
import pytest

from pipeline.plan import PlanResult, make_plan
from pipeline.store import Store
from tests import builders as b

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, PlanResult]:
    """A large and a small volume, a sheet and a spare each, one size on a sheet of paper at 4.00."""
    folder = tmp_path_factory.mktemp("offcuts")
    inventory = b.inventory(
        folder / "inventory.xlsx",
        campaign=b.campaign(max_sizes_per_sheet=1),
        volumes=[
            b.volume("A", page_width_mm=503.0, page_height_mm=483.0),
            b.volume("B", page_width_mm=183.0, page_height_mm=303.0),
        ],
        openings=[b.opening(volume, openings="3", severity=3) for volume in "AB"],
        papers=[b.paper(bending_stiffness_mnm=20.0)],
        stock=[b.stock(pack_price=400.0)],
    )
    settings = b.settings(inventory, out=folder / "plan")
    return settings.out, make_plan(settings, lambda text: None)


def test_the_small_leaves_come_from_what_the_large_ones_leave(planned: tuple[Path, PlanResult]) -> None:
    """One parent of 4.00 instead of two; the bound is that of fresh parents, 8.00."""
    with Store(planned[0] / "plan.duckdb", read_only=True) as store:
        use = store.rows("select pattern_id, from_offcut_of, pieces_count from published.offcut_uses")
        savings = store.rows("select stock_id, spared_quantity, spared_cost from published.offcut_savings")
        bounds = store.rows("select cost_needed, cost_lower_bound from published.paper_bounds")
        needed = store.rows("select needed from published.material_totals")
        totals = store.rows(
            "select value from published.campaign_totals where measure = 'parents' and collection is null"
        )
        ways = store.rows("select parents_count from published.cutting_ways where way = 'plan'")
    assert [(row[1] != row[0], row[2]) for row in use] == [(True, 2)]
    assert savings == [("S-1", 1.0, 4.0)]
    assert bounds == [(4.0, 8.0)]
    assert (needed, totals, ways) == ([(1.0,)], [(1.0,)], [(1,)])


def test_the_run_says_what_offcuts_spare(planned: tuple[Path, PlanResult]) -> None:
    assert "2 leaves from off-cuts spare fresh paper worth 4.00 EUR" in planned[1].summary


def test_tickets_say_what_to_keep_and_what_to_take(planned: tuple[Path, PlanResult]) -> None:
    book = openpyxl.load_workbook(planned[0] / "work_orders.xlsx", read_only=True)
    words = [str(cell) for row in book["Cut tickets"].iter_rows(values_only=True) for cell in row if cell]
    kept = [text for text in words if text.startswith("KEEP 2 in all, cut square to 194 × 480")]
    assert len(kept) == 1
    assert any(text.startswith("2 off-cuts labelled P") for text in words)
    assert any("no trim, it is cut square" in text for text in words)


def test_the_buyer_sees_what_offcuts_spare(planned: tuple[Path, PlanResult]) -> None:
    book = openpyxl.load_workbook(planned[0] / "material_totals.xlsx", read_only=True)
    rows = list(book["Off-cuts used"].iter_rows(values_only=True))
    assert len(rows) >= 2
    front = [str(cell) for row in book["Start here"].iter_rows(values_only=True) for cell in row if cell]
    assert any(
        text.startswith("2 leaves are cut from 2 off-cuts; that spares 1 fresh parent") for text in front
    )

"""The whole job on the sample: it plans, every rule holds, it exercises what it promises, and it is repeatable."""

from datetime import datetime
from pathlib import Path

import polars as pl
import pytest
from polars.testing import assert_frame_equal

from pipeline.audit import audit_folder
from pipeline.contracts.fields import BINDINGS, HAZARDS, HOLDS, STATES
from pipeline.contracts.published import TABLES
from pipeline.store import Store
from tests.conftest import plan_sample

pytestmark = pytest.mark.slow


def published(folder: Path, stem: str) -> pl.DataFrame:
    with Store(folder / "plan.duckdb", read_only=True) as store:
        return store.read(f"published.{stem}")


def total(folder: Path, measure: str, basis: str = "planned") -> float:
    frame = published(folder, "campaign_totals")
    return float(
        frame.filter(
            pl.col("collection").is_null() & (pl.col("measure") == measure) & (pl.col("basis") == basis)
        )["value"].item()
    )


def test_every_rule_holds(sample_plan: Path) -> None:
    assert [result.rule for result in audit_folder(sample_plan) if not result.holds] == []


def test_every_file_of_a_plan_is_there(sample_plan: Path) -> None:
    names = {path.name for path in sample_plan.iterdir()}
    assert names == {
        "plan.duckdb",
        "work_orders.xlsx",
        "material_totals.xlsx",
        "funder_report.xlsx",
        "funder_report.docx",
        "cut_diagrams",
        "calendars",
        "policy.toml",
        "ledger",
    }
    assert not [path for path in sample_plan.parent.iterdir() if path.name != sample_plan.name]


def test_the_sample_exercises_what_it_promises(sample_plan: Path) -> None:
    volumes = published(sample_plan, "volumes")
    assert volumes.height == 420
    assert volumes["collection"].n_unique() == 6
    assert set(volumes["state"]) == set(STATES)
    assert set(volumes["binding"]) == set(BINDINGS)
    assert set(volumes["hold"].drop_nulls()) == set(HOLDS)
    assert volumes["odour"].any()
    assert (volumes["existing_leaves"] > 0).any()
    assert (volumes["leaf_condition"] == "brittle").any()
    assert (volumes["page_width_mm"] > volumes["page_height_mm"]).any()
    text = " ".join(published(sample_plan, "opening_groups")["hazards"])
    assert all(hazard in text for hazard in HAZARDS)
    assert "left:" in text
    assert "right:" in text
    assert published(sample_plan, "papers").height == 10
    assert published(sample_plan, "stock")["form"].n_unique() == 2


def test_a_volume_whose_content_was_guessed_is_noted(sample_plan: Path) -> None:
    findings = published(sample_plan, "findings").filter(pl.col("code") == "content_unknown")
    volumes = published(sample_plan, "volumes").filter(
        pl.col("volume_id").is_in(findings["volume_id"].implode())
    )
    assert findings.height > 0
    assert volumes["contents"].is_null().all()


def test_two_ways_to_the_same_benefit(sample_plan: Path) -> None:
    volumes, sheets = published(sample_plan, "volumes"), published(sample_plan, "interleaves")
    assert volumes["benefit_planned"].sum() == pytest.approx(sheets["benefit"].sum(), rel=1e-12)
    assert total(sample_plan, "benefit_planned") == pytest.approx(sheets["benefit"].sum(), rel=1e-12)


def test_paper_is_near_its_proven_least(sample_plan: Path) -> None:
    bounds = published(sample_plan, "paper_bounds")
    assert (bounds["cost_needed"] >= bounds["cost_lower_bound"] - 1e-6).all()
    assert bounds["cost_needed"].sum() <= 1.01 * bounds["cost_lower_bound"].sum()


def test_cut_sizes_are_proven_fewest(sample_plan: Path) -> None:
    bounds = published(sample_plan, "cut_size_bounds")
    assert bounds["cut_sizes"].to_list() == bounds["lower_bound"].to_list()


def test_the_same_input_gives_the_same_plan(sample_plan: Path, tmp_path: Path) -> None:
    again = plan_sample(tmp_path / "again", datetime(2027, 1, 4, 17))
    for table in TABLES:
        one, other = published(sample_plan, table.stem), published(again, table.stem)
        if "planned_at" in one.columns:
            one, other = one.drop("planned_at"), other.drop("planned_at")
        assert_frame_equal(one, other, check_exact=True)

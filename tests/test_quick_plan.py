"""A plan of the quick effort: it keeps every rule, repeats, and says what it left out."""

import os
from datetime import datetime
from pathlib import Path

import openpyxl
import polars as pl
import pytest
from polars.testing import assert_frame_equal

from pipeline.audit import audit_folder
from pipeline.contracts.published import TABLES
from pipeline.outputs.cutting_choices import NOT_COMPARED, SHEET, WAY_WORDS
from pipeline.plan import make_plan
from pipeline.settings import Settings
from pipeline.store import Store
from tests.benchmarks.inventories import write_inventory
from tests.conftest import AS_OF

pytestmark = pytest.mark.slow
VOLUMES = 80
"""Enough for a second process to help."""


def plan_quickly(inventory: Path, out: Path) -> Path:
    settings = Settings(
        inventory=inventory, out=out, as_of=AS_OF, planned_at=datetime(2027, 1, 4, 9), effort="quick"
    )
    make_plan(settings, lambda text: None)
    return out


@pytest.fixture(scope="module")
def inventory(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_inventory(tmp_path_factory.mktemp("made") / "inventory", VOLUMES)


@pytest.fixture(scope="module")
def quick(inventory: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return plan_quickly(inventory, tmp_path_factory.mktemp("plans") / "quick")


def published(folder: Path, stem: str) -> pl.DataFrame:
    with Store(folder / "plan.duckdb", read_only=True) as store:
        return store.read(f"published.{stem}")


def test_every_rule_holds(quick: Path) -> None:
    assert [result.rule for result in audit_folder(quick) if not result.holds] == []
    assert published(quick, "volumes").height == VOLUMES


def test_its_findings_say_so(quick: Path) -> None:
    said = published(quick, "findings").filter(pl.col("code") == "quick_effort")
    assert said["level"].to_list() == ["note"]
    assert "not compared" in said["message"].item()


def test_it_is_compared_with_the_usual_way_alone(quick: Path) -> None:
    assert published(quick, "clearance_choices").is_empty()
    assert published(quick, "sizes_per_sheet_choices").is_empty()
    assert set(published(quick, "cutting_ways")["way"]) == {"usual", "plan"}


def test_the_sheet_of_choices_says_what_was_not_compared(quick: Path) -> None:
    book = openpyxl.load_workbook(quick / "material_totals.xlsx")
    texts = [cell.value for row in book[SHEET].iter_rows() for cell in row if cell.value]
    assert NOT_COMPARED in texts
    assert [text for text in texts if text in WAY_WORDS.values()] == [WAY_WORDS["usual"], WAY_WORDS["plan"]]
    purposes = [cell.value for row in book["Start here"].iter_rows() for cell in row if cell.value]
    assert "saving against the usual way of cutting" in purposes


def test_a_little_more_and_everything_are_the_shares_estimated(quick: Path) -> None:
    frontier = published(quick, "frontier")
    assert set(frontier.filter(pl.col("is_estimate"))["label"]) == {"+10 %", "all"}
    assert frontier.filter(~pl.col("is_estimate"))["label"].to_list() == ["grant as given"]


def test_one_process_or_two_make_the_same_plan(
    inventory: Path, quick: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: 1)
    alone = plan_quickly(inventory, tmp_path / "alone")
    for table in TABLES:
        assert_frame_equal(published(alone, table.stem), published(quick, table.stem))

"""Killed at many points, the ledger loses no accepted line and a plan folder is the old one or the new one, whole."""

import json
import os
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from pipeline.ledger.record import record_returns
from tests.ledger.campaign import fill_in, returns_book, small_plan

pytestmark = [
    pytest.mark.minutes,
    pytest.mark.slow,
    pytest.mark.skipif(not hasattr(os, "fork"), reason="kills forked processes"),
]
POINTS = {"record": 22, "replan": 6, "plan": 4, "swap": 22}
FILES = [
    "funder_report.docx",
    "funder_report.xlsx",
    "ledger",
    "material_totals.xlsx",
    "plan.duckdb",
    "policy.toml",
]


@pytest.fixture(scope="module")
def given(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with `given`: a plan, its inventory and a returned workbook."""
    folder = tmp_path_factory.mktemp("killed")
    (folder / "given").mkdir()
    plan = small_plan(folder / "given", volumes=2)

    def entries(kind: str, row: dict[str, Any]) -> dict[str, Any]:
        done = {"progress": "done", "done_on": date(2027, 1, 5), "minutes_taken": 30}
        return done | ({"fore_edge_measured_mm": 21.6} if kind == "returns" else {})

    fill_in(returns_book(plan, folder / "blank.xlsx"), folder / "given" / "returned.xlsx", entries)
    return folder


def killed(job: str, folder: Path) -> list[dict[str, Any]]:
    """What was found after each kill of a job."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.ledger.killed", job, str(folder), str(POINTS[job])],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[2],
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])},
    )
    assert done.returncode == 0, done.stderr
    told: list[dict[str, Any]] = json.loads(done.stdout)
    assert len(told) >= POINTS[job]
    assert all(one["status"] == -9 for one in told), told
    return told


def test_killed_while_recording(given: Path) -> None:
    for one in killed("record", given):
        assert one.get("broken") == [], one
        assert one["lines"] == [] or one["lines"] == one["lines_then"], one
        assert one["lines_then"], one  # the same file can be recorded then, or is known already
        assert ("already" in one["again"]) == bool(one["lines"]), one


def test_killed_while_planning_what_is_left(given: Path) -> None:
    returned = given / "given" / "returned.xlsx"
    record_returns(
        given / "given" / "plan", [returned], accept_good_rows=False, recorded_at=datetime(2027, 1, 9)
    )
    told = killed("replan", given)
    lines = told[0]["lines"]
    for one in told:
        assert one.get("broken") == [], one
        assert one["lines"] == lines, one
        assert (one["revision"], one["earlier"]) in (("r1", []), ("r2", ["r1"])), one
        assert set(FILES) <= set(one["files"]), one
        assert "already" in one["again"], one
    assert {one["revision"] for one in told} == {"r1", "r2"}


def test_killed_while_planning_over_an_old_plan(given: Path) -> None:
    for path in (given / "given" / "plan" / "ledger").iterdir():
        path.unlink()
    for one in killed("plan", given):
        assert one.get("broken") == [], one
        assert set(FILES) <= set(one["files"]), one
        assert one["lines"] == [], one


def test_killed_while_a_new_revision_comes_into_its_place(tmp_path: Path) -> None:
    plan = tmp_path / "given" / "plan"
    (plan / "revisions" / "r1").mkdir(parents=True)
    (plan / "plan.duckdb").write_text("r2")
    (plan / "revisions" / "r1" / "plan.duckdb").write_text("r1")
    told = killed("swap", tmp_path)
    for one in told:
        found = (one.get("now"), one.get("earlier"))
        assert found in (("r2", {"r1": "r1"}), ("r3", {"r1": "r1", "r2": "r2"})), one
    assert {one["now"] for one in told} == {"r2", "r3"}

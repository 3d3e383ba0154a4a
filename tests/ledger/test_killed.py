"""Killed at many points, the ledger loses no accepted line and a plan folder is the old one or the new one, whole.

After each kill the plan that is there, and each earlier revision, is audited. A sample of the points runs each time,
all of them (KILLS: 54) by hand: `pytest -m minutes tests/ledger/test_killed.py`.
"""

import json
import os
import shutil
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from pipeline.ledger.record import record_returns
from pipeline.plan import replan
from pipeline.settings import Settings
from tests.ledger.campaign import fill_in, returns_book, small_plan

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not hasattr(os, "fork"), reason="kills forked processes"),
]
SAMPLE = pytest.param(3, id="sample")
KILLS = {"record": 22, "replan": 6, "swap": 22, "plan": 4}
"""At how many points each job is killed."""
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


def all_points(job: str) -> Any:
    """A parameter: all points of a job, by hand."""
    return pytest.param(KILLS[job], id="all", marks=pytest.mark.minutes)


def killed(job: str, folder: Path, points: int) -> list[dict[str, Any]]:
    """What was found after each kill of a job."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.ledger.killed", job, str(folder), str(points)],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[2],
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])},
    )
    assert done.returncode == 0, done.stderr
    told: list[dict[str, Any]] = json.loads(done.stdout)
    assert len({one["point"] for one in told}) == len(told) >= points
    assert all(one["status"] == -9 for one in told), told
    return told


def test_all_jobs_together_are_killed_at_fifty_points_or_more() -> None:
    assert sum(KILLS.values()) >= 50


@pytest.mark.parametrize("points", [SAMPLE, all_points("record")])
def test_killed_while_recording(given: Path, points: int) -> None:
    for one in killed("record", given, points):
        assert one.get("broken") == [], one
        assert one["lines"] == [] or one["lines"] == one["lines_then"], one
        assert one["lines_then"], one  # the same file can be recorded then, or is known already
        assert ("already" in one["again"]) == bool(one["lines"]), one


@pytest.fixture(scope="module")
def worked(given: Path) -> Path:
    """The same with the returned workbook in the ledger, and in `given/next` the revision planned from it."""
    folder = given / "worked"
    shutil.copytree(given / "given", folder / "given")
    plan, then = folder / "given" / "plan", folder / "given" / "next"
    returned = folder / "given" / "returned.xlsx"
    record_returns(plan, [returned], accept_good_rows=False, recorded_at=datetime(2027, 1, 9))
    shutil.copytree(plan, then)
    replan(
        Settings(inventory=then, out=then, as_of=date(2027, 1, 11), planned_at=datetime(2027, 1, 11, 8)),
        lambda text: None,
    )
    shutil.rmtree(then / "revisions")
    return folder


@pytest.mark.minutes
def test_killed_while_planning_what_is_left(worked: Path) -> None:
    the_old_or_the_new(killed("replan", worked, KILLS["replan"]))


@pytest.mark.parametrize("points", [SAMPLE, all_points("swap")])
def test_killed_while_a_new_revision_comes_into_its_place(worked: Path, points: int) -> None:
    the_old_or_the_new(killed("swap", worked, points))


def the_old_or_the_new(told: list[dict[str, Any]]) -> None:
    """Each kill left the first revision or the second with the first beside it; both were met."""
    for one in told:
        assert one.get("broken") == [], one
        assert one["lines"] == told[0]["lines"] != [], one
        assert (one["revision"], one["earlier"]) in (("r1", []), ("r2", ["r1"])), one
        assert set(FILES) <= set(one["files"]), one
        assert "already" in one["again"], one
    assert {one["revision"] for one in told} == {"r1", "r2"}


@pytest.mark.minutes
def test_killed_while_planning_over_an_old_plan(given: Path) -> None:
    for one in killed("plan", given, KILLS["plan"]):
        assert one.get("broken") == [], one
        assert set(FILES) <= set(one["files"]), one
        assert one["lines"] == [], one

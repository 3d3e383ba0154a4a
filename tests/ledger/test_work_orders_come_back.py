"""The plan's own work orders, filled in and sent back: each volume and pattern is a line of the ledger."""

import subprocess
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from pipeline.ledger.book import ledger_files, read_ledger, standing_lines
from pipeline.ledger.record import record_returns
from pipeline.ledger.returned import RETURNS
from tests.ledger.campaign import fill_in, small_plan

pytestmark = pytest.mark.slow
DAY = datetime(2027, 1, 6)


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_plan(tmp_path_factory.mktemp("back"), volumes=3)


@pytest.fixture
def plan(planned: Path) -> Path:
    """The plan with an empty ledger."""
    for path in ledger_files(planned):
        path.unlink()
    return planned


def as_planned(kind: str, row: dict[str, Any]) -> dict[str, Any]:
    typed: dict[str, Any] = {"progress": "done", "done_on": DAY, "staff_id": "V-1", "minutes_taken": 20}
    if kind == RETURNS and row["planned 1"]:
        typed |= {name.replace("planned", "used"): row[name] for name in row if name.startswith("planned ")}
        typed["fore_edge_measured_mm"] = row["fore_edge_planned"]
    return typed if kind == RETURNS else typed | {"used_sheets_count": row["sheets_planned"]}


def as_people_type(kind: str, row: dict[str, Any]) -> dict[str, Any] | None:
    """Each row in another of the ways people type; one volume is left blank."""
    if kind != RETURNS:
        return as_planned(kind, row) | {"minutes_taken": "1h15"}
    if row["volume_id"] == "V-001":
        return as_planned(kind, row) | {"minutes_taken": "12,5", "other_minutes": "0:40", "staff_id": "v-1"}
    if row["volume_id"] == "V-002":
        begun = {"progress": "part done", "done_on": "2027-01-06", "minutes_taken": "3h30", "used 1": 2}
        return begun | {"is_boxed": False}
    return None


def recorded(plan: Path, path: Path) -> list[dict[str, Any]]:
    """What the lines of a workbook say in an empty ledger, without where and when they came from."""
    for file in ledger_files(plan):
        file.unlink()
    result = record_returns(plan, [path], accept_good_rows=False, recorded_at=datetime(2027, 1, 7))
    assert [finding.message for finding in result.findings] == []
    lines = standing_lines(read_ledger(plan)).drop("return_sha256", "file_name")
    return lines.sort("volume_id", "pattern_id").to_dicts()


def converted(path: Path, to: str, folder: Path) -> Path:
    """The workbook as LibreOffice saves it."""
    profile = f"-env:UserInstallation=file://{folder.parent / 'profile'}"
    command = ["soffice", profile, "--headless", "--convert-to", to, "--outdir", str(folder), str(path)]
    subprocess.run(command, check=True, capture_output=True, timeout=240)
    return folder / path.with_suffix(f".{to}").name


def test_work_orders_as_written_come_back_line_by_line(plan: Path, tmp_path: Path) -> None:
    filled = fill_in(plan / "work_orders.xlsx", tmp_path / "filled.xlsx", as_planned)
    lines = recorded(plan, filled)
    volumes = [line["volume_id"] for line in lines if line["volume_id"]]
    assert len(volumes) == len(set(volumes)) == 3
    assert any(line["pattern_id"] for line in lines)
    assert {line["progress"] for line in lines} == {"done"}
    again = record_returns(plan, [filled], accept_good_rows=False, recorded_at=datetime(2027, 1, 8))
    assert "already" in again.summary[0]


def test_saved_by_another_program_they_say_the_same(plan: Path, tmp_path: Path) -> None:
    """Filled in and saved as .xlsx, or as .ods and then .xlsx; saved first and filled in afterwards."""
    ours = plan / "work_orders.xlsx"
    filled = fill_in(ours, tmp_path / "filled.xlsx", as_people_type)
    before = recorded(plan, filled)
    assert {line["volume_id"] for line in before} == {"V-001", "V-002", None}
    assert {line["minutes_taken"] for line in before} >= {12.5, 75.0, 210.0}
    assert {line["is_boxed"] for line in before if line["volume_id"] == "V-002"} == {False}
    assert recorded(plan, converted(filled, "xlsx", tmp_path / "xlsx")) == before
    calc = converted(filled, "ods", tmp_path / "ods")
    assert recorded(plan, converted(calc, "xlsx", tmp_path / "from_ods")) == before
    saved = converted(ours, "xlsx", tmp_path / "blank")
    assert recorded(plan, fill_in(saved, tmp_path / "filled_later.xlsx", as_people_type)) == before

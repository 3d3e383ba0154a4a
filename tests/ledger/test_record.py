"""Returned workbooks into the ledger: as people send them, and as systems fail."""

import resource
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from openpyxl import load_workbook

from pipeline.errors import FileProblemError, ReturnRefusedError
from pipeline.folder import plan_in_use
from pipeline.ledger.book import ledger_files, read_ledger, standing_lines
from pipeline.ledger.record import RecordResult, record_returns
from pipeline.plan import make_plan, replan
from pipeline.settings import Settings
from tests.ledger.campaign import fill_in, returns_book, small_inventory, small_plan

pytestmark = pytest.mark.slow
NOW = datetime(2027, 1, 9, 17)


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_plan(tmp_path_factory.mktemp("record"), volumes=3)


@pytest.fixture
def plan(planned: Path) -> Path:
    """The plan with an empty ledger."""
    for path in (planned / "ledger").iterdir():
        path.unlink()
    return planned


def usual(kind: str, row: dict[str, Any]) -> dict[str, Any] | None:
    if kind == "cutting_returns":
        return {
            "progress": "done",
            "done_on": date(2027, 1, 5),
            "minutes_taken": "1h15",
            "used_sheets_count": 1,
        }
    if row["volume_id"] == "V-001":
        return {
            "progress": "done", "done_on": date(2027, 1, 6), "staff_id": "v-1", "minutes_taken": "12,5",
            "other_minutes": "0:40", "used 1": row["planned 1"], "fore_edge_measured_mm": "21,6",
        }  # fmt: skip
    if row["volume_id"] == "V-002":
        return {"progress": "part done", "done_on": "2027-01-06", "minutes_taken": 20, "used 1": 2}
    return None


def returned(plan: Path, folder: Path, entries: Any = usual, name: str = "returned.xlsx") -> Path:
    return fill_in(returns_book(plan, folder / "blank.xlsx"), folder / name, entries)


def record(plan: Path, *paths: Path, accept: bool = False) -> RecordResult:
    return record_returns(plan, paths, accept_good_rows=accept, recorded_at=NOW)


def told(plan: Path) -> list[dict[str, Any]]:
    """What the standing lines say, without where and when they came from."""
    lines = standing_lines(read_ledger(plan)).drop(
        "line_id", "return_no", "return_sha256", "file_name", "supersedes", "row_no"
    )
    return lines.sort("volume_id", "pattern_id").to_dicts()


def test_what_people_type_is_understood(plan: Path, tmp_path: Path) -> None:
    record(plan, returned(plan, tmp_path))
    one = next(row for row in told(plan) if row["volume_id"] == "V-001")
    assert (one["progress"], one["done_on"], one["staff_id"]) == ("done", date(2027, 1, 6), "V-1")
    assert (one["minutes_taken"], one["other_minutes"], one["fore_edge_measured_mm"]) == (12.5, 40.0, 21.6)


def test_rows_sorted_anew_inserted_and_left_blank(plan: Path, tmp_path: Path) -> None:
    path = returned(plan, tmp_path)
    record(plan, path)
    before = told(plan)
    for file in ledger_files(plan):
        file.unlink()
    book = load_workbook(path)
    sheet = book["Returns"]
    head, *rows = [[cell.value for cell in line] for line in sheet.iter_rows()]
    sheet.delete_rows(1, sheet.max_row)
    for line in (["Week 1"], [], head, [], *reversed(rows), [None] * 20):
        sheet.append(line)
    book.save(path)
    record(plan, path)
    assert told(plan) == before


def test_the_same_file_twice_adds_nothing(plan: Path, tmp_path: Path) -> None:
    path = returned(plan, tmp_path)
    record(plan, path)
    assert "is return 1 already" in record(plan, path).summary[0]
    again = returned(plan, tmp_path, name="saved_again.xlsx")
    book = load_workbook(again)
    book.properties.title = "other bytes"
    book.save(again)
    assert "nothing new" in record(plan, again).summary[0]
    assert len(ledger_files(plan)) == 1


def test_a_corrected_line_names_what_it_replaces(plan: Path, tmp_path: Path) -> None:
    record(plan, returned(plan, tmp_path))
    lines = read_ledger(plan)

    def corrected(kind: str, row: dict[str, Any]) -> dict[str, Any] | None:
        entry = usual(kind, row)
        return entry | {"minutes_taken": 45} if entry and row.get("volume_id") == "V-001" else entry

    result = record(plan, returned(plan, tmp_path, corrected, "corrected.xlsx"))
    assert [finding.code for finding in result.findings if finding.level == "note"] == ["line_corrected"]
    now = read_ledger(plan)
    assert now.height == lines.height + 1  # nothing is deleted
    first = lines.filter(volume_id="V-001")["line_id"][0]
    assert now["supersedes"][-1] == first
    assert first not in standing_lines(now)["line_id"].to_list()
    assert next(row for row in told(plan) if row["volume_id"] == "V-001")["minutes_taken"] == 45.0


def test_what_is_not_clear_is_refused_with_its_cell(plan: Path, tmp_path: Path) -> None:
    def unclear(kind: str, row: dict[str, Any]) -> dict[str, Any] | None:
        entry = usual(kind, row)
        return entry | {"minutes_taken": "long"} if entry and row.get("volume_id") == "V-001" else entry

    path = returned(plan, tmp_path, unclear)
    with pytest.raises(ReturnRefusedError) as caught:
        record(plan, path)
    errors = [finding for finding in caught.value.findings if finding.level == "error"]
    assert [(one.sheet, one.cell[0], one.code) for one in errors] == [("Returns", "P", "minutes_unclear")]
    assert ledger_files(plan) == []
    assert "rows are left out" in record(plan, path, accept=True).summary[0]
    assert "V-001" not in [row["volume_id"] for row in told(plan)]
    assert "V-002" in [row["volume_id"] for row in told(plan)]


@pytest.mark.parametrize(
    ("entry", "code"),
    [
        ({"progress": "done", "minutes_taken": 5}, "day_missing"),
        ({"minutes_taken": 5}, "progress_missing"),
        ({"progress": "part done", "done_on": date(2027, 1, 6)}, "sheets_missing"),
        ({"progress": "done", "done_on": date(2031, 1, 6)}, "day_outside_campaign"),
        ({"progress": "done", "done_on": date(2027, 1, 6), "revision": "r9"}, "unknown_plan"),
        ({"progress": "done", "done_on": date(2027, 1, 6), "used 1": 2.5}, "not_whole"),
        ({"progress": "done", "done_on": date(2027, 1, 6), "volume_id": "V-0001"}, "unknown_volume"),
    ],
)
def test_each_fault_alone(plan: Path, tmp_path: Path, entry: dict[str, Any], code: str) -> None:
    path = returned(plan, tmp_path, lambda kind, row: entry if row.get("volume_id") == "V-001" else None)
    with pytest.raises(ReturnRefusedError) as caught:
        record(plan, path)
    assert [finding.code for finding in caught.value.findings if finding.level == "error"] == [code]


def test_a_workbook_without_returns(plan: Path, tmp_path: Path) -> None:
    with pytest.raises(FileProblemError, match="has no sheet Returns"):
        record(plan, small_inventory(tmp_path / "inventory.xlsx", 1))


def test_saved_by_another_program_it_says_the_same(plan: Path, tmp_path: Path) -> None:
    path = returned(plan, tmp_path)
    record(plan, path)
    before = told(plan)
    for file in ledger_files(plan):
        file.unlink()
    converted = tmp_path / "converted"
    profile = f"-env:UserInstallation=file://{tmp_path / 'profile'}"
    command = [
        "soffice",
        profile,
        "--headless",
        "--convert-to",
        "xlsx",
        "--outdir",
        str(converted),
        str(path),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    record(plan, converted / path.name)
    assert told(plan) == before


def test_a_second_process_is_told_that_the_plan_is_in_use(plan: Path, tmp_path: Path) -> None:
    path = returned(plan, tmp_path)
    command = [sys.executable, "-m", "pipeline", "record", str(plan), str(path)]
    with plan_in_use(plan):
        done = subprocess.run(
            command, capture_output=True, text=True, check=False, cwd=Path(__file__).parents[2]
        )
    assert done.returncode == 3
    assert "is in use: another guardleaf" in done.stderr
    assert ledger_files(plan) == []
    assert not list(plan.parent.glob(".*.lock"))


def test_a_full_disk_leaves_the_ledger_as_it_was(plan: Path, tmp_path: Path) -> None:
    path = returned(plan, tmp_path)
    room = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, room[1]))  # no file may grow beyond 100 bytes
    try:
        with pytest.raises(FileProblemError, match="could not be written"):
            record(plan, path)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, room)
    assert [file.name for file in (plan / "ledger").iterdir()] == []
    record(plan, path)
    assert len(ledger_files(plan)) == 1


def test_a_damaged_or_missing_return_is_told(plan: Path, tmp_path: Path) -> None:
    record(plan, returned(plan, tmp_path))
    (file,) = ledger_files(plan)
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(FileProblemError, match="is damaged"):
        read_ledger(plan)
    file.write_bytes(whole)
    file.rename(file.with_name(file.name.replace("0001", "0002")))
    with pytest.raises(FileProblemError, match="return 1 is missing"):
        read_ledger(plan)


def test_a_plan_with_returns_is_never_overwritten(plan: Path, tmp_path: Path) -> None:
    record(plan, returned(plan, tmp_path))
    settings = Settings(
        inventory=plan.parent / "inventory.xlsx", out=plan, as_of=date(2027, 1, 4), planned_at=NOW
    )
    with pytest.raises(FileProblemError, match="never overwritten"):
        make_plan(settings, lambda text: None)


def test_a_file_held_open_leaves_the_old_plan(
    plan: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record(plan, returned(plan, tmp_path))
    before = {path.name: path.stat().st_mtime_ns for path in plan.iterdir()}
    rename = Path.rename

    def held(path: Path, target: Path) -> Path:
        if path == plan:
            raise PermissionError(13, "held open", str(path / "work_orders.xlsx"))
        return rename(path, target)

    monkeypatch.setattr(Path, "rename", held)
    monkeypatch.setattr("pipeline.plan.write_outputs", lambda store, building: None)
    settings = Settings(inventory=plan, out=plan, as_of=date(2027, 1, 11), planned_at=NOW)
    with pytest.raises(FileProblemError, match="open in another program"):
        replan(settings, lambda text: None)
    assert {path.name: path.stat().st_mtime_ns for path in plan.iterdir()} == before
    assert [path.name for path in plan.parent.iterdir() if path.name.startswith(plan.name + ".")] == []


def test_minutes_and_sheets_are_kept_as_numbers(plan: Path, tmp_path: Path) -> None:
    record(plan, returned(plan, tmp_path))
    frame = read_ledger(plan)
    assert frame.schema["minutes_taken"] == pl.Float64
    assert frame.schema["used_sheets_count"] == pl.Int64

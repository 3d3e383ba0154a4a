"""What a part-done row can say of a volume's steps, and that a new revision plans none of them twice."""

import shutil
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from pipeline.audit import audit_folder
from pipeline.errors import ReturnRefusedError
from pipeline.ledger.book import ledger_files, read_ledger
from pipeline.ledger.record import RecordResult, record_returns
from pipeline.plan import replan
from pipeline.settings import Settings
from pipeline.store import Store
from tests import builders as b
from tests.ledger.campaign import fill_in, returns_book, small_plan

pytestmark = pytest.mark.slow
Told = dict[str, dict[str, Any]]
DAY = date(2027, 1, 6)
PART = {"progress": "part done", "done_on": DAY, "staff_id": "T-1"}


def all_leaves(row: dict[str, Any]) -> dict[str, Any]:
    """Every planned leaf lies in the volume."""
    return {f"used {number}": row[f"planned {number}"] for number in (1, 2) if row[f"planned {number}"]}


def first_week(kind: str, row: dict[str, Any]) -> dict[str, Any] | None:
    """V-001 is boxed, V-002 only fetched, V-003 checked; of V-004 the old leaves are out."""
    if kind != "returns":
        return None
    told: Told = {
        "V-001": all_leaves(row) | {"minutes_taken": 20, "other_minutes": 45, "is_boxed": "yes"}
        | {"fore_edge_measured_mm": row["fore_edge_planned"]},
        "V-002": {"used 1": 0, "other_minutes": 9},
        "V-003": all_leaves(row) | {"minutes_taken": 20, "fore_edge_measured_mm": row["fore_edge_planned"]},
        "V-004": {"used 1": 0, "other_minutes": 12, "is_cleared": "x"},
    }  # fmt: skip
    return PART | told[row["volume_id"]]


def second_week(kind: str, row: dict[str, Any]) -> dict[str, Any] | None:
    """V-001 goes back to the shelf."""
    if row.get("volume_id") != "V-001":
        return None
    return {"progress": "done", "done_on": date(2027, 1, 12), "staff_id": "T-1", "other_minutes": 6}


def record(plan: Path, path: Path) -> RecordResult:
    return record_returns(plan, [path], accept_good_rows=False, recorded_at=datetime(2027, 1, 9))


def replanned(plan: Path, as_of: date) -> None:
    settings = Settings(inventory=plan, out=plan, as_of=as_of, planned_at=datetime.combine(as_of, time(8)))
    with pytest.MonkeyPatch.context() as patch:
        # what is planned is looked at in its tables; workbooks would only take time
        patch.setattr("pipeline.plan.write_outputs", lambda store, building: None)
        replan(settings, lambda text: None)


def rows(plan: Path, select: str) -> list[tuple[Any, ...]]:
    with Store(plan / "plan.duckdb", read_only=True) as store:
        return store.rows(select)


def steps_planned(plan: Path) -> dict[str, list[str]]:
    """Kinds of the tasks of each volume."""
    found: dict[str, list[str]] = {}
    for name, kind in rows(
        plan, "select volume_id, kind from published.tasks where volume_id is not null order by all"
    ):
        found.setdefault(name, []).append(kind)
    return found


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A plan of four volumes with boxes in stock that take any of them; its ledger is empty."""
    boxes = [b.enclosure(on_hand=6.0, inner_width_mm=280.0, max_slack_mm=90.0, max_depth_slack_mm=60.0)]
    return small_plan(tmp_path_factory.mktemp("part"), volumes=4, enclosures=boxes)


@pytest.fixture
def plan(planned: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copytree(planned, tmp_path / "plan"))


@pytest.fixture(scope="module")
def two_weeks(planned: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The plan after two weeks: r3, with r1 and r2 beside it."""
    folder = tmp_path_factory.mktemp("weeks")
    plan = Path(shutil.copytree(planned, folder / "plan"))
    for number, entries in enumerate((first_week, second_week), start=1):
        path = fill_in(returns_book(plan, folder / "blank.xlsx"), folder / f"week_{number}.xlsx", entries)
        record(plan, path)
        replanned(plan, date(2027, 1, 4 + 7 * number))
    return plan


@pytest.fixture(scope="module")
def second(two_weeks: Path) -> Path:
    """The revision after the first week."""
    return two_weeks / "revisions" / "r2"


def test_no_step_is_planned_twice(second: Path) -> None:
    first = steps_planned(second.with_name("r1"))
    assert first["V-001"] == ["check", "enclose", "fetch", "interleave", "return"]
    assert first["V-004"] == ["check", "enclose", "fetch", "interleave", "remove", "return"]
    assert steps_planned(second) == {
        "V-001": ["return"],
        "V-002": ["check", "enclose", "interleave", "return"],
        "V-003": ["enclose", "return"],
        "V-004": ["check", "enclose", "interleave", "return"],
    }


def test_every_rule_holds(two_weeks: Path, second: Path) -> None:
    assert [
        result.rule for folder in (second, two_weeks) for result in audit_folder(folder) if not result.holds
    ] == []


def test_a_boxed_volume_goes_back_and_that_is_all(second: Path, two_weeks: Path) -> None:
    select = "select enclosure, sheets from published.volumes where volume_id = 'V-001'"
    assert rows(second, select) == rows(two_weeks, select) == [("keep", 0)]
    assert "V-001" not in steps_planned(two_weeks)
    assert rows(two_weeks, "select * from published.enclosures where volume_id = 'V-001'") == []


def test_its_box_is_off_the_shelf_once(second: Path, two_weeks: Path) -> None:
    needed = "select needed, to_buy from published.enclosure_totals where enclosure_id = 'E-1'"
    assert rows(second.with_name("r1"), needed) == [(3, 0)]
    for plan in (second, two_weeks):
        assert rows(plan, needed) == [(2, 0)]
        left = "select on_hand from published.enclosure_stock where enclosure_id = 'E-1'"
        assert rows(plan, left) == [(5.0,)]


def test_its_minutes_count_as_done_and_teach(second: Path, two_weeks: Path) -> None:
    hours = "select sum(hours_taken) from published.done_work where volume_id = 'V-001'"
    assert rows(second, hours)[0][0] == pytest.approx((20 + 45) / 60)
    assert rows(two_weeks, hours)[0][0] == pytest.approx((20 + 45 + 6) / 60)
    seen = (
        "select subject_id, tasks_count from published.learned_rates "
        "where subject = 'rate' and skill is null "
        "and subject_id in ('fetch', 'remove', 'check', 'enclose', 'return') order by 1"
    )
    # V-001, V-002 and V-004 gave minutes of their other steps; V-003 gave none
    assert rows(second, seen) == [("check", 1), ("enclose", 1), ("fetch", 3), ("remove", 1)]
    assert rows(two_weeks, seen) == [("check", 1), ("enclose", 1), ("fetch", 3), ("remove", 1), ("return", 1)]


def test_old_leaves_are_out_before_a_new_one_is_in(second: Path) -> None:
    select = "select existing_leaves, fore_edge_thickness_mm from published.volumes where volume_id = 'V-004'"
    ((_, thick),) = rows(second.with_name("r1"), select)
    ((leaves, edge),) = rows(second, select)
    assert leaves == 0
    assert edge == pytest.approx(thick - 4 * 0.05)


def filled(plan: Path, folder: Path, told: Told) -> Path:
    """The returned workbook with entries for these volumes."""
    return fill_in(
        returns_book(plan, folder / "blank.xlsx"),
        folder / "returned.xlsx",
        lambda kind, row: told.get(row.get("volume_id", "")),
    )


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        *[("Yes", True), ("x", True), ("boxed", True), (True, True), (1, True), ("✓", True)],
        *[("no", False), ("-", False), (False, False), ("not yet", False), (None, None)],
    ],
)
def test_what_people_type_for_a_box_is_understood(
    plan: Path, tmp_path: Path, typed: object, read: bool | None
) -> None:
    record(plan, filled(plan, tmp_path, {"V-001": PART | {"used 1": 1, "is_boxed": typed}}))
    assert read_ledger(plan).select("is_boxed", "is_cleared").rows() == [(read, None)]


@pytest.mark.parametrize(
    ("entry", "code"),
    [
        (PART | {"used 1": 1, "is_boxed": "perhaps"}, "yes_no_unclear"),
        ({"progress": "done", "done_on": DAY, "is_boxed": "no"}, "done_without_box"),
        ({"progress": "done", "done_on": DAY, "is_cleared": "no"}, "done_without_clearing"),
        ({"progress": "not done", "is_boxed": "yes"}, "not_done_and_begun"),
        ({"is_boxed": "yes"}, "progress_missing"),
        (PART | {"used 1": 1, "is_cleared": "no", "is_boxed": "yes"}, "done_without_clearing"),
        (PART | {"is_cleared": "yes"}, "sheets_missing"),
    ],
)
def test_what_cannot_be_is_refused(plan: Path, tmp_path: Path, entry: dict[str, Any], code: str) -> None:
    with pytest.raises(ReturnRefusedError) as caught:
        record(plan, filled(plan, tmp_path, {"V-004": entry}))
    assert [finding.code for finding in caught.value.findings if finding.level == "error"] == [code]
    assert ledger_files(plan) == []


def test_a_boxed_volume_has_the_planned_sheets_unless_the_row_says_otherwise(
    plan: Path, tmp_path: Path
) -> None:
    result = record(plan, filled(plan, tmp_path, {"V-001": PART | {"is_boxed": "yes"}}))
    codes = {finding.code for finding in result.findings if finding.volume_id == "V-001"} | {
        finding.code for finding in result.findings
    }
    assert {"sheets_as_planned", "fore_edge_missing"} <= codes
    ((sheets,),) = rows(plan, "select sheets from published.volumes where volume_id = 'V-001'")
    assert read_ledger(plan)["used_sheets_count"].to_list() == [sheets]


def test_a_box_or_old_leaves_that_are_not_planned_count_for_nothing(plan: Path, tmp_path: Path) -> None:
    entry = PART | {"used 1": 1, "is_cleared": "yes"}
    result = record(plan, filled(plan, tmp_path, {"V-001": entry}))
    assert [finding.code for finding in result.findings if finding.level == "warning"] == [
        "step_not_planned",
        "minutes_missing",
    ]


def test_work_goes_on_in_a_box_with_too_few_leaves_and_beside_old_leaves(plan: Path, tmp_path: Path) -> None:
    begun = PART | {"used 1": 1, "minutes_taken": 5}
    told = {"V-001": begun | {"is_boxed": "yes"}, "V-004": begun | {"is_cleared": "no"}}
    record(plan, filled(plan, tmp_path, told))
    replanned(plan, date(2027, 1, 11))
    planned = steps_planned(plan)
    assert planned["V-001"] == ["check", "interleave", "return"]
    assert planned["V-004"] == ["check", "enclose", "interleave", "remove", "return"]
    volumes = (
        "select existing_leaves, fore_edge_thickness_mm from published.volumes where volume_id = 'V-004'"
    )
    ((_, thick),) = rows(plan / "revisions" / "r1", volumes)
    assert rows(plan, volumes) == [(4, pytest.approx(thick + 0.08))]


def test_a_ledger_from_before_the_columns_is_read(plan: Path, tmp_path: Path) -> None:
    told = {"V-002": PART | {"used 1": 1, "minutes_taken": 5}, "V-004": PART | {"used 1": 0}}
    record(plan, filled(plan, tmp_path, told))
    new = read_ledger(plan)
    (file,) = ledger_files(plan)
    pl.read_parquet(file).drop("is_boxed", "is_cleared").write_parquet(file)
    assert read_ledger(plan).equals(new)
    again = filled(plan, tmp_path, told | {"V-004": told["V-004"] | {"is_cleared": "yes"}})
    assert record(plan, again).summary[0].endswith("return 2, 1 line added")
    assert read_ledger(plan)["is_cleared"].to_list() == [None, None, True]

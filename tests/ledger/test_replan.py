"""What is left, planned anew after a first week: what was done is fixed, what is begun goes on."""

import shutil
from datetime import date, datetime
from math import ceil
from pathlib import Path
from typing import Any

import pytest
from docx import Document
from openpyxl import load_workbook

from pipeline.audit import audit_folder
from pipeline.errors import FileProblemError
from pipeline.ledger.interim import Interim, gather_interim
from pipeline.ledger.record import record_returns
from pipeline.outputs.interim_report import write_interim_document, write_interim_report
from pipeline.plan import replan
from pipeline.settings import Settings
from pipeline.store import Store
from tests import builders as b
from tests.ledger.campaign import fill_in, returns_book, small_inventory, small_plan

pytestmark = pytest.mark.slow
AS_OF = date(2027, 1, 11)


def settings(plan: Path, inventory: Path | None = None, as_of: date = AS_OF) -> Settings:
    return Settings(
        inventory=inventory or plan,
        out=plan,
        as_of=as_of,
        planned_at=datetime(as_of.year, as_of.month, as_of.day, 8),
    )


def first_week(kind: str, row: dict[str, Any]) -> dict[str, Any] | None:
    """All of pattern P01 cut; V-005 done with a thick fore edge and two spoiled, three sheets in V-004."""
    if kind == "cutting_returns":
        done = {"progress": "done", "done_on": date(2027, 1, 5), "staff_id": "T-1", "minutes_taken": 40}
        return (
            done | {"used_sheets_count": row["sheets_planned"], "spoiled_sheets_count": 1}
            if row["pattern_id"] == "P01"
            else None
        )
    if row["volume_id"] == "V-005":
        return {
            "progress": "done", "done_on": date(2027, 1, 6), "staff_id": "T-1", "minutes_taken": 30,
            "other_minutes": 40, "used 1": row["planned 1"], "spoiled_sheets_count": 2, "fore_edge_measured_mm": 35.0,
        }  # fmt: skip
    if row["volume_id"] == "V-004":
        return {"progress": "part done", "done_on": date(2027, 1, 7), "minutes_taken": 12, "used 1": 3}
    return None


@pytest.fixture(scope="module")
def replanned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("replan")
    plan = small_plan(folder)
    shutil.copytree(plan, folder / "as_it_was")
    path = fill_in(returns_book(plan, folder / "blank.xlsx"), folder / "returned.xlsx", first_week)
    record_returns(plan, [path], accept_good_rows=False, recorded_at=datetime(2027, 1, 8))
    replan(settings(plan), lambda text: None)
    return plan


def rows(plan: Path, select: str) -> list[tuple[Any, ...]]:
    with Store(plan / "plan.duckdb", read_only=True) as store:
        return store.rows(select)


def test_every_rule_holds(replanned: Path) -> None:
    assert [result.rule for result in audit_folder(replanned) if not result.holds] == []
    assert rows(replanned, "select revision, start_date from published.run") == [("r2", AS_OF)]


def test_the_revision_before_is_kept_as_it_was(replanned: Path) -> None:
    kept = replanned / "revisions" / "r1"
    for path in (replanned.parent / "as_it_was").rglob("*"):
        if path.is_file():
            twin = kept / path.relative_to(replanned.parent / "as_it_was")
            assert twin.read_bytes() == path.read_bytes()
    assert [path.name for path in (kept / "ledger").iterdir()] == [
        p.name for p in (replanned / "ledger").iterdir()
    ]


def test_done_work_is_fixed(replanned: Path) -> None:
    (one,) = rows(
        replanned,
        "select sheets, laid_sheets_count, fore_edge_thickness_mm, enclosure from published.volumes "
        "where volume_id = 'V-005'",
    )
    assert one[0] == 0
    assert one[1] > 0
    assert one[2] == 35.0  # as measured
    assert one[3] == "keep"
    assert rows(replanned, "select * from published.tasks where volume_id = 'V-005'") == []


def test_a_begun_volume_goes_on(replanned: Path) -> None:
    before = replanned / "revisions" / "r1"
    select = (
        "select sheets, headroom_um, fore_edge_thickness_mm from published.volumes where volume_id = 'V-004'"
    )
    (old,), (new,) = rows(before, select), rows(replanned, select)
    assert new[0] == old[0] - 3
    # three leaves of 80 um are in, four old ones of 50 um are out; growth takes the leaves off the room
    assert new[2] == pytest.approx(old[2] - 0.2 + 0.24)
    assert new[1] == old[1] - 240
    kinds = rows(replanned, "select kind from published.tasks where volume_id = 'V-004' order by kind")
    assert [kind for (kind,) in kinds] == ["check", "enclose", "interleave", "return"]
    laid = rows(replanned, "select openings from published.laid_sheets where volume_id = 'V-004'")
    assert laid == [("3-5",)]
    left = rows(
        replanned, "select openings from published.interleaves where volume_id = 'V-004' and openings <> ''"
    )
    assert all(not set(text.replace("-", ",").split(", ")) & {"3", "4", "5"} for (text,) in left)


def test_paper_cut_and_spoiled_is_off_the_shelf(replanned: Path) -> None:
    used = rows(
        replanned / "revisions" / "r1",
        "select stock_id, sheets from published.patterns where pattern_id = 'P01'",
    )
    ((stock_id, parents),) = used
    before = rows(
        replanned / "revisions" / "r1",
        "select stock.on_hand, packs * pack_quantity from published.material_totals "
        "join published.stock using (stock_id) "
        f"where material_totals.stock_id = '{stock_id}'",
    )[0]
    after = rows(replanned, f"select on_hand from published.stock where stock_id = '{stock_id}'")[0][0]
    assert after == before[0] + before[1] - parents - 1


def test_leaves_that_lie_ready_are_not_cut_again(replanned: Path) -> None:
    ready = rows(replanned, "select cut_size_id, sheets, spares, ready_leaves_count from published.cut_sizes")
    assert any(count > 0 for *_, count in ready)
    cut = dict(
        rows(
            replanned,
            "select cut_size_id, cast(sum(sheets) as bigint) from published.pattern_pieces "
            "join published.patterns using (pattern_id) group by all",
        )
    )
    for size, sheets, spares, count in ready:
        assert cut.get(size, 0) >= sheets + spares - count
        if count >= sheets + spares:
            assert size not in cut


def test_a_fore_edge_over_its_limit_is_a_finding(replanned: Path) -> None:
    codes = {
        code for (code,) in rows(replanned, "select code from published.findings where volume_id = 'V-005'")
    }
    assert {"fore_edge_over_limit", "differs_from_survey", "more_sheets_used"} <= codes


def test_totals_say_what_is_done(replanned: Path) -> None:
    totals = dict(
        rows(
            replanned,
            "select measure, value from published.campaign_totals where basis = 'actual' and collection is null",
        )
    )
    assert totals["volumes"] == 1
    assert totals["labour_hours"] == pytest.approx((40 + 30 + 40 + 12) / 60)
    # T-1 costs 30 an hour; of V-004 nobody said who did it
    assert totals["labour_cost"] == pytest.approx((40 + 30 + 40) / 60 * 30)


def test_changes_say_why(replanned: Path) -> None:
    changes = {
        (s, i, w): (before, after, why)
        for _, _, s, i, w, before, after, why in rows(replanned, "select * from published.changes")
    }
    assert changes["volume", "V-005", "state"][2].startswith("interleaved on 2027-01-06")
    assert changes["rate", "interleave_sheet", "minutes"][2] == "learned from 2 returned tasks"
    assert "Changes" in load_workbook(replanned / "work_orders.xlsx").sheetnames


def test_task_minutes_of_two_skills_move_apart(replanned: Path) -> None:
    # V-005, a technician's, took longer than its rates; V-004, left to volunteers, was quicker
    learned = {
        (rate, skill): (value, start)
        for rate, skill, value, start in rows(
            replanned,
            "select subject_id, skill, learned_value, starting_value from published.learned_rates "
            "where subject = 'rate' and subject_id like 'interleave%'",
        )
    }
    each = {skill: learned["interleave_sheet", skill][0] for skill in ("technician", "volunteer", None)}
    assert each["volunteer"] < each[None] < each["technician"]
    planned = rows(
        replanned,
        "select tasks.volume_id, volumes.skill, sheets, hours * 60 from published.tasks "
        "join published.volumes using (volume_id) where kind = 'interleave' order by 1",
    )
    assert {skill for _, skill, *_ in planned} == {"technician", "volunteer"}
    slower = {}
    for _, skill, sheets, minutes in planned:
        value, start = (
            learned["interleave_volume", skill][part] + sheets * learned["interleave_sheet", skill][part]
            for part in (0, 1)
        )
        assert minutes == pytest.approx(ceil(value - 1e-6))
        slower.setdefault(skill, []).append(minutes / start)
    assert max(slower["volunteer"]) < min(slower["technician"])


def test_the_same_ledger_gives_the_same_plan(replanned: Path, tmp_path: Path) -> None:
    again = tmp_path / "plan"
    shutil.copytree(replanned / "revisions" / "r1", again)
    replan(settings(again), lambda text: None)
    for table in (
        "volumes",
        "interleaves",
        "tasks",
        "patterns",
        "learned_rates",
        "changes",
        "campaign_totals",
    ):
        select = f"select * from published.{table} order by all"
        assert rows(again, select) == rows(replanned, select), table


def test_a_revised_inventory_brings_people_and_counts(replanned: Path, tmp_path: Path) -> None:
    again = tmp_path / "plan"
    shutil.copytree(replanned / "revisions" / "r1", again)
    revised = small_inventory(
        tmp_path / "revised.xlsx",
        staff=[b.person(hours_per_week=10.0), b.person("N-1", skill="technician", hours_per_week=8.0)],
        stock=[b.stock(on_hand=50.0), b.stock("S-2", paper_id="P-2")],
        absences=[b.absence("T-1")],
    )
    replan(settings(again, revised), lambda text: None)
    stock = dict(rows(again, "select stock_id, on_hand from published.stock"))
    assert stock["S-1"] == 50.0  # counted anew; S-2 stands as before, so the ledger says what is left
    assert stock["S-2"] == 100.0
    changed = {
        (subject, name) for subject, name in rows(again, "select subject, subject_id from published.changes")
    }
    assert {("person", "N-1"), ("person", "V-1"), ("absence", "T-1"), ("stock", "S-1")} <= changed


def test_days_that_cannot_be(replanned: Path) -> None:
    with pytest.raises(FileProblemError, match="cannot be made as of"):
        replan(settings(replanned, as_of=date(2027, 1, 5)), lambda text: None)
    with pytest.raises(FileProblemError, match="the campaign ended"):
        replan(settings(replanned, as_of=date(2028, 1, 5)), lambda text: None)


def test_the_frontier_of_what_is_left(replanned: Path) -> None:
    found = rows(
        replanned,
        "select varied, grant_pct, benefit, bound_benefit, sheets, hours, is_estimate from published.frontier "
        "order by point_no",
    )
    (plan,) = [row for row in found if not row[-1]]
    ((sheets, benefit),) = rows(
        replanned, "select cast(sum(sheets) as bigint), sum(benefit) from published.interleaves"
    )
    ((hours,),) = rows(replanned, "select sum(hours) from published.tasks where start_at is not null")
    assert plan[4] == sheets
    assert plan[2] == pytest.approx(benefit)
    assert plan[5] == pytest.approx(hours)
    for varied in {row[0] for row in found}:
        steps = [row for row in found if row[0] == varied and row[-1] and row[1] is not None]
        assert steps
        assert all(row[2] <= row[3] + 1e-9 for row in steps)
        in_order = [row[2] for row in sorted(steps, key=lambda row: row[1])]
        assert in_order == sorted(in_order)
    # the ledger's work is done: what is left is less than the first plan held
    first = rows(
        replanned / "revisions" / "r1", "select sheets, hours from published.frontier where not is_estimate"
    )[0]
    assert (sheets < first[0], hours < first[1]) == (True, True)


def _says_how_sure_the_dates_are(interim: Interim, folder: Path) -> None:
    """Both interim reports of what is left say the chance to finish, and name tasks but no person."""
    words = interim.chances[0]["words"]
    assert {row["chance_of"] for row in interim.chances} == {"campaign", "collection", "task"}
    assert "that all dated work is done by 2027-12-17" in words
    text = "\n".join(part.text for part in Document(str(folder / "interim_report.docx")).paragraphs)
    assert text.count(words) == 2  # in the summary and in its own section
    assert "T-1" not in text
    sheet = load_workbook(folder / "interim_report.xlsx")["How sure the dates are"]
    told = [cell.value for line in sheet.iter_rows() for cell in line]
    assert words in told
    assert any("interleaving, each sheet" in str(cell).lower() for cell in told)


def test_an_interim_report_for_any_day(replanned: Path, tmp_path: Path) -> None:
    interim = gather_interim(replanned, settings(replanned, as_of=date(2027, 1, 6)))
    assert interim.facts.revision == "r1"
    assert interim.whole["volumes_done"] == 1
    assert interim.whole["hours_done"] == pytest.approx((40 + 30 + 40) / 60)
    later = gather_interim(replanned, settings(replanned, as_of=date(2027, 1, 12)))
    assert later.facts.revision == "r2"
    assert later.whole["sheets_done"] == interim.whole["sheets_done"] + 3
    assert [row["revision"] for row in later.forecasts] == ["r1", "r2"]
    for part in (later.collections, later.months):
        sums = sum(row["hours_done"] for row in part if row["collection"] != "All collections")
        assert sums == pytest.approx((40 + 30 + 40 + 12) / 60)
    write_interim_report(tmp_path / "interim_report.xlsx", later)
    write_interim_document(tmp_path / "interim_report.docx", later)
    book = load_workbook(tmp_path / "interim_report.xlsx")
    text = " ".join(
        str(cell.value) for sheet in book for line in sheet.iter_rows() for cell in line if cell.value
    )
    assert "T-1" not in text
    assert "EUR" not in text.replace("Money EUR", "")
    _says_how_sure_the_dates_are(later, tmp_path)
    with pytest.raises(FileProblemError, match="no plan yet"):
        gather_interim(replanned, settings(replanned, as_of=date(2026, 12, 1)))

"""The sheets that come back: typed cells, open only where people write, read by the ledger as they are written."""

from datetime import datetime
from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from pipeline.ledger.returned import CUTTING, RETURNS, match_heading, read_returned
from pipeline.outputs.returns import SPARE_ROWS, write_cutting_returns, write_lists, write_returns
from pipeline.outputs.sheet import Book
from pipeline.published_plan import Plan
from tests.outputs.fake_data import PATTERNS, VOLUMES
from tests.outputs.fake_plan import fake_store

PLANNED = [volume for volume in VOLUMES if volume[5]]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "returns.xlsx"
    with fake_store() as store:
        plan = Plan(store)
        with Book(path, plan.facts, "x") as book:
            write_returns(book, plan, [volume[0] for volume in PLANNED])
            write_cutting_returns(book, plan)
            write_lists(book, plan)
    return path


def _letters(sheet: Worksheet) -> dict[str, str]:
    return {str(cell.value): cell.column_letter for cell in sheet[1]}


def test_one_row_for_each_volume_and_pattern_and_spare_rows_below(path: Path) -> None:
    book = openpyxl.load_workbook(path)
    for name, count in (("Returns", len(PLANNED)), ("Cutting returns", len(PATTERNS))):
        sheet = book[name]
        keys = [(row[0].value, row[1].value) for row in sheet.iter_rows(min_row=2, max_row=count + 1)]
        assert len(set(keys)) == count
        assert all(plan == "r1" and key for plan, key in keys)
        spare = sheet.iter_rows(min_row=count + 2, values_only=True)
        assert all(value is None for row in spare for value in row)
        assert sheet.auto_filter.ref.endswith(str(count + 1))


def test_every_heading_is_one_the_ledger_knows(path: Path) -> None:
    book = openpyxl.load_workbook(path)
    for name, kind in (("Returns", RETURNS), ("Cutting returns", CUTTING)):
        fields = [match_heading(kind, str(cell.value))[0] for cell in book[name][1]]
        assert all(fields), name
        assert len(set(fields)) == len(fields), name


def test_cells_take_typed_answers_only(path: Path) -> None:
    sheet = openpyxl.load_workbook(path)["Returns"]
    rules = sheet.data_validations.dataValidation
    kinds = {str(rule.sqref)[0:1]: rule.type for rule in rules}
    assert set(kinds.values()) == {"list", "date", "decimal", "whole"}
    last = len(PLANNED) + 1 + SPARE_ROWS
    assert all(str(rule.sqref).endswith(str(last)) for rule in rules), "spare rows are guarded as well"
    lists = {rule.formula1 for rule in rules if rule.type == "list"}
    assert lists == {'"done,part done,not done"', '"yes,no"', "Lists!$A$2:$A$4"}


def test_only_the_cells_of_people_are_open(path: Path) -> None:
    sheet = openpyxl.load_workbook(path)["Returns"]
    letters = _letters(sheet)
    spare = len(PLANNED) + 2
    for heading in ("Status", "Date", "Initials", "Minutes laying in", "Spoiled", "Used 1", "Note"):
        assert not sheet[f"{letters[heading]}2"].protection.locked, heading
        assert not sheet[f"{letters[heading]}{spare}"].protection.locked, heading
    for heading in ("Plan", "Volume", "Paper 1"):
        assert sheet[f"{letters[heading]}2"].protection.locked, heading
        assert not sheet[f"{letters[heading]}{spare}"].protection.locked, heading
    for heading in ("Planned 1", "Fore edge limit (mm)", "Work"):
        assert sheet[f"{letters[heading]}2"].protection.locked, heading
        assert sheet[f"{letters[heading]}{spare}"].protection.locked, heading


def test_a_volume_of_one_paper_has_no_second_one_to_fill_in(path: Path) -> None:
    sheet = openpyxl.load_workbook(path)["Returns"]
    letters = _letters(sheet)
    rows = {sheet.cell(row, 2).value: row for row in range(2, len(PLANNED) + 2)}
    one, two = rows["CC-001"], rows["CC-002"]
    assert sheet[f"{letters['Used 2']}{one}"].protection.locked
    assert not sheet[f"{letters['Used 2']}{two}"].protection.locked
    papers = [
        sheet[f"{letters[name]}{two}"].value for name in ("Paper 1", "Planned 1", "Paper 2", "Planned 2")
    ]
    assert papers == ["B40", 22, "R50", 3]


def test_box_and_old_leaves_are_asked_for_where_they_are_planned(path: Path) -> None:
    sheet = openpyxl.load_workbook(path)["Returns"]
    letters = _letters(sheet)
    with fake_store() as store:
        planned = store.rows("select distinct volume_id, kind from published.tasks")
    for heading, kind in (("Boxed", "enclose"), ("Old leaves out", "remove")):
        has_step = {volume_id for volume_id, one in planned if one == kind}
        rows = range(2, len(PLANNED) + 2) if heading in letters else ()
        is_open = {
            sheet.cell(row, 2).value
            for row in rows
            if not sheet[f"{letters[heading]}{row}"].protection.locked
        }
        assert is_open == has_step & {volume[0] for volume in PLANNED}, heading
    assert not sheet[f"{letters['Boxed']}{len(PLANNED) + 2}"].protection.locked


def test_the_ledger_reads_what_is_typed_in(path: Path, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(path)
    sheet, cutting = book["Returns"], book["Cutting returns"]
    letters = _letters(sheet)
    typed = {
        "Status": "done",
        "Date": datetime(2027, 3, 2),
        "Initials": "t1",
        "Minutes laying in": 31,
        "Used 1": 14,
    }
    for heading, value in typed.items():
        sheet[f"{letters[heading]}3"] = value
    cutting["E2"], cutting["J2"] = "part done", 20
    filled = tmp_path / "filled.xlsx"
    book.save(filled)
    sheets, findings = read_returned(filled)
    assert findings == []
    assert {one.kind: len(one.rows) for one in sheets} == {RETURNS: 1, CUTTING: 1}
    cells = next(one for one in sheets if one.kind == RETURNS).rows[0].cells
    assert cells["volume_id"][1] == sheet["B3"].value
    assert (cells["progress"][1], cells["used 1"][1], cells["minutes_taken"][1]) == ("done", "14", "31")


def test_a_workbook_says_which_plan_it_belongs_to(path: Path) -> None:
    properties = {item.name: item.value for item in openpyxl.load_workbook(path).custom_doc_props.props}
    assert properties["guardleaf_revision"] == "r1"
    assert properties["guardleaf_policy_sha256"] == "b2" * 32

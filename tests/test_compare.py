"""Plans side by side: tiny plans worked by hand, of one inventory or of two, in one currency or in two."""

from copy import deepcopy
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from pipeline.compare import compare_plans
from pipeline.contracts import TABLES
from pipeline.errors import FileProblemError
from pipeline.folder import STORE_NAME
from pipeline.outputs.comparison import comparison_lines, write_comparison
from pipeline.store import Store
from tests.sql.small_plan import BENEFIT, Plan, plan, write_plan
from tests.test_cli import guardleaf


def put(folder: Path, tables: Plan) -> Path:
    folder.mkdir()
    with Store(folder / STORE_NAME) as store:
        write_plan(store, tables)
    return folder


def without_sheets() -> Plan:
    """The tiny plan with volume A left out, nothing cut, and its work undated."""
    tables = deepcopy(plan())
    tables["volumes"][0] |= {"state": "deferred", "sheets": 0, "benefit_planned": 0.0, "reason": "no money"}
    tables["interleaves"] = []
    tables["tasks"] = [task for task in tables["tasks"] if task["volume_id"] == "C"]
    for total in tables["campaign_totals"]:
        if total["measure"] in ("sheets", "benefit_planned", "paper_cost", "volumes_covered"):
            total["value"] = 0.0
        elif total["measure"] == "finish_date":
            total["text"] = "2027-01-11"
    tables["findings"] = [
        {
            "code": "what_if",
            "level": "note",
            "sheet": "Campaign",
            "cell": "B4",
            "message": "what if: no money",
            "action": "",
        }
    ]
    return tables


@pytest.fixture
def whole(tmp_path: Path) -> Path:
    return put(tmp_path / "whole", plan())


def test_what_changed_volume_by_volume(whole: Path, tmp_path: Path) -> None:
    found = compare_plans([whole, put(tmp_path / "less", without_sheets())])
    assert [(change.volume_id, change.is_date_only) for change in found.changes] == [("A", False)]
    change = found.changes[0]
    expected = f"covered -> deferred, 5 -> 0 sheets, {-BENEFIT:+.2f} page losses avoided, done 2027-01-04 -> not dated"
    assert change.words == expected
    assert change.gain == pytest.approx(BENEFIT)
    assert found.moves == (("B", "covered", "deferred", 1),)
    assert found.plans[1].what_ifs == ("what if: no money",)
    lines = {line.label: line for line in found.figures}
    assert lines["sheets"].values == (5.0, 0.0)
    assert lines["sheets"].differences == (-5.0,)
    assert lines["paper"].unit == ""
    assert lines["paper, enclosures and labour"].differences == (-45.0,)
    assert lines["finished"].differences == (7.0,)


def test_the_same_plan_has_no_change(whole: Path) -> None:
    found = compare_plans([whole, whole])
    assert (found.changes, found.moves, found.remarks) == ((), (), ())
    assert {line.differences for line in found.figures} == {(0.0,)}


def test_plans_of_different_inventories_and_currencies(whole: Path, tmp_path: Path) -> None:
    other = deepcopy(plan())
    other["run"][0] |= {"currency": "GBP", "inventory_sha256": "1", "length_unit": "in"}
    other["volumes"] = [
        row | {"volume_id": "X"} if row["volume_id"] == "B" else row for row in other["volumes"]
    ]
    found = compare_plans([whole, put(tmp_path / "other", other)])
    assert {change.volume_id: change.words for change in found.changes} == {
        "B": "not in this plan",
        "X": "not in the first plan",
    }
    assert found.moves == (("B", "", "on hold", 1), ("B", "on hold", "", 1))
    lines = {line.label: line for line in found.figures}
    assert lines["paper, enclosures and labour"].differences == (None,)
    assert found.remarks[1] == "A counts in EUR, B in GBP: their amounts are not subtracted"
    assert "2 volumes have the same identifier, 1 are in A alone and 1 in B alone" in found.remarks[0]


def test_amounts_of_two_currencies_are_not_subtracted(whole: Path, tmp_path: Path) -> None:
    first, other = plan(), deepcopy(plan())
    for tables, currency in ((first, "EUR"), (other, "GBP")):
        tables["run"][0]["currency"] = currency
        for total in tables["campaign_totals"]:
            if "cost" in total["measure"]:
                total["unit"] = currency
    found = compare_plans([put(tmp_path / "eur", first), put(tmp_path / "gbp", other)])
    lines = {line.label: line for line in found.figures}
    assert (lines["paper"].unit, lines["paper"].differences) == ("", (None,))
    assert lines["sheets"].differences == (0.0,)


def test_three_plans_on_screen(whole: Path, tmp_path: Path) -> None:
    less = put(tmp_path / "less", without_sheets())
    lines = list(comparison_lines(compare_plans([whole, less, whole])))
    text = "\n".join(lines)
    assert "B less A" in text
    assert "C less A" in text
    assert "B: 1 volume covered -> deferred" in lines
    assert "1 volumes differ, 0 more in the day they are done only" in lines
    assert "what if: no money" in text
    assert max(len(line) for line in lines) < 160


def test_the_workbook_holds_the_same(whole: Path, tmp_path: Path) -> None:
    found = compare_plans([whole, put(tmp_path / "less", without_sheets())])
    write_comparison(tmp_path / "compared.xlsx", found)
    book = openpyxl.load_workbook(tmp_path / "compared.xlsx")
    assert book.sheetnames == ["Start here", "Figures", "Made with", "States", "Volumes"]
    figures = {row[0]: row for row in book["Figures"].iter_rows(values_only=True)}
    assert figures["sheets"][2:] == (5, 0, -5)
    rows = list(book["Volumes"].iter_rows(values_only=True))
    assert rows[1][0] == "A"
    assert rows[1][rows[0].index("Done A")].date() == date(2027, 1, 4)  # type: ignore[union-attr]
    assert rows[1][rows[0].index("State B")] == "deferred"


def test_the_command(whole: Path, tmp_path: Path) -> None:
    done = guardleaf("compare", str(whole), str(whole), "--out", "compared.xlsx", folder=tmp_path)
    assert done.returncode == 0
    assert "0 volumes differ" in done.stdout
    assert (tmp_path / "compared.xlsx").is_file()
    again = guardleaf("compare", str(whole), str(whole), "--out", "compared.xlsx", folder=tmp_path)
    assert (again.returncode, "exists already" in again.stderr) == (3, True)
    assert guardleaf("compare", str(whole), folder=tmp_path).returncode == 2
    assert guardleaf("compare", str(whole), str(tmp_path), folder=tmp_path).returncode == 3


def test_a_plan_that_lacks_a_table(whole: Path, tmp_path: Path) -> None:
    (tmp_path / "half").mkdir()
    with Store(tmp_path / "half" / STORE_NAME) as store:
        store.write("raw.run", TABLES["raw.run"].empty())
    with pytest.raises(FileProblemError, match="has no table run"):
        compare_plans([whole, tmp_path / "half"])

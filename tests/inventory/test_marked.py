"""The marked copy and the findings for other programs: whole, harmless, and about the right cells."""

import hashlib
import json
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from pipeline.errors import FileProblemError, Finding
from pipeline.inventory.findings_json import json_lines, write_json_lines
from pipeline.inventory.marked import write_marked
from tests import builders
from tests.checking import find, full_tables, put


def faulty(path: Path) -> tuple[Path, str]:
    """An inventory with one error and one warning in the same row, and a text that looks like a formula."""
    tables = full_tables()
    put(tables, "Volumes", "title", '\'=HYPERLINK("http://nowhere")')
    put(tables, "Volumes", "fore_edge_thickness", 210)
    place = put(tables, "Volumes", "binding", "laces")
    return builders.write_tables(path, tables), place


def finding(sheet: str = "Volumes", cell: str = "A2", **parts: str) -> Finding:
    values = {"code": "unknown_word", "message": "wrong", "action": "mend it"} | parts
    return Finding(level="error", sheet=sheet, cell=cell, **values)


@pytest.mark.parametrize("name", ["inventory.xlsx", "inventory"])
def test_each_faulty_cell_is_marked_by_pattern_and_comment_and_linked(tmp_path: Path, name: str) -> None:
    inventory, place = faulty(tmp_path / name)
    findings = find(inventory)
    assert write_marked(inventory, tmp_path / "marked.xlsx", findings) == 2
    book = load_workbook(tmp_path / "marked.xlsx")
    page, volumes = book.worksheets[0], book["Volumes"]
    assert page.title == "Findings"
    marked = [cell.coordinate for row in volumes.iter_rows() for cell in row if cell.comment]
    assert place in marked
    assert len(marked) == 2
    assert volumes[place].fill.patternType == "lightTrellis"
    assert "did you mean laced?" in volumes[place].comment.text
    links = {cell.hyperlink.location for cell in page["C"] if cell.hyperlink}
    assert f"'Volumes'!{place}" in links
    told = [row[6] for row in page.iter_rows(min_row=5, values_only=True)]
    assert told == [finding.code for finding in findings]
    assert not [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]


def test_the_inventory_stays_as_it_was_and_is_never_the_target(tmp_path: Path) -> None:
    inventory, _ = faulty(tmp_path / "inventory.xlsx")
    before = hashlib.sha256(inventory.read_bytes()).hexdigest()
    write_marked(inventory, tmp_path / "marked.xlsx", find(inventory))
    assert hashlib.sha256(inventory.read_bytes()).hexdigest() == before
    for target in (inventory, tmp_path / "marked.xlsx", tmp_path):
        with pytest.raises(FileProblemError):
            write_marked(inventory, target, [])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["inventory.xlsx", "marked.xlsx"]


def test_formulas_come_out_as_values_and_links_to_other_files_are_left_out(tmp_path: Path) -> None:
    tables = full_tables()
    put(tables, "Volumes", "title", "=1+1")
    inventory = builders.write_tables(tmp_path / "inventory.xlsx", tables)
    write_marked(inventory, tmp_path / "marked.xlsx", find(inventory))
    book = load_workbook(tmp_path / "marked.xlsx")
    assert all(cell.data_type != "f" for row in book["Volumes"].iter_rows() for cell in row)


def test_places_that_are_no_cell_merged_cells_and_old_comments(tmp_path: Path) -> None:
    book = Workbook()
    book.worksheets[0].title = "Volumes"
    book.worksheets[0]["A2"] = "x"
    book.worksheets[0].merge_cells("A2:B3")
    book.create_sheet("Findings")
    book.save(tmp_path / "inventory.xlsx")
    found = [finding(cell="B3"), finding(cell="A2"), finding(cell="line 3"), finding("policy.toml", ""),
             finding(cell="A9999999"), finding(message="=1+1", cell="")]  # fmt: skip
    assert write_marked(tmp_path / "inventory.xlsx", tmp_path / "marked.xlsx", found) == 2
    copy = load_workbook(tmp_path / "marked.xlsx")
    assert copy.sheetnames == ["Findings 2", "Volumes", "Findings"]
    assert copy["Volumes"]["A2"].comment.text.count("ERROR: wrong -> mend it") == 2
    assert copy.worksheets[0]["E10"].value == "=1+1"
    assert copy.worksheets[0]["E10"].data_type == "s"


def test_the_same_findings_give_the_same_lines(tmp_path: Path) -> None:
    found = [finding(message="caf\u00e9 \u2028"), finding(cell="")]
    lines = json_lines(found).splitlines()
    first = json.loads(json_lines(found).split("\n")[0])
    assert list(first) == ["code", "level", "sheet", "cell", "volume_id", "message", "action"]
    assert first["message"] == "caf\u00e9 \u2028"
    assert lines
    path = tmp_path / "found.jsonl"
    for _ in range(2):  # an earlier .jsonl is replaced
        write_json_lines(path, tmp_path / "inventory.xlsx", found)
    assert [json.loads(line)["cell"] for line in path.read_text(encoding="utf-8").split("\n") if line] == [
        "A2",
        "",
    ]


def test_json_lines_never_overwrite_anything_else(tmp_path: Path) -> None:
    inventory, _ = faulty(tmp_path / "inventory.xlsx")
    (tmp_path / "notes.txt").write_text("dear all")
    for target in (inventory, tmp_path / "notes.txt"):
        with pytest.raises(FileProblemError):
            write_json_lines(target, inventory, [])
    assert (tmp_path / "notes.txt").read_text() == "dear all"

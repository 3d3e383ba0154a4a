"""A lab's own sheets, headings, units and words, read by a column file; and its faults, each with what to do."""

from pathlib import Path

import pytest
from openpyxl import Workbook

from pipeline.errors import FileProblemError, Finding, InventoryRefusedError
from pipeline.inventory.column_file import load_column_file
from pipeline.inventory.findings import findings_of
from pipeline.inventory.sheets import column_letters, column_number
from tests import builders
from tests.checking import check_file

COLUMNS = """
[campaign]
name = "Reading room"
start_date = 2027-01-04
end_date = 2027-12-17

[sheets.Volumes]
sheet = "Albums 2026"
[sheets.Volumes.columns]
volume_id = "Shelfmark"
collection = { always = "Albums" }
page_height = { heading = "H", unit = "cm" }
page_width = { column = "C" }
leaves = "ff."
binding = { heading = "Bdg", words = { "half leather" = "sewn", "bolts" = "post" }, empty = "adhesive" }
joints = { always = "sound" }
spine_thickness = "Thickness Spine (cm)"
fore_edge_thickness = { heading = "Thickness Edge", unit = "in" }
contents = { heading = "Inside", words = { "snapshots" = "photograph", "letters" = "manuscript" } }
"""


def albums(path: Path) -> Path:
    """A title, headings in two rows with a merged one above two columns, and two albums."""
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Albums 2026"
    sheet.append(["Albums of the reading room, surveyed by hand"])
    sheet.append(["Shelfmark", "H", None, "ff.", "Bdg", "Thickness", None, "Inside", "Remarks"])
    sheet.append([None, None, None, None, None, "Spine (cm)", "Edge", None, None])
    sheet.merge_cells("F2:G2")
    for column in "ABDEHI":
        sheet.merge_cells(f"{column}2:{column}3")
    sheet.append(["00301", 30, 240, 40, "Half Leather", 2, "7/8", "snapshots; print", "tight"])
    sheet.append(["00302", "28,5", 240, 40, None, 2.1, "7/8 in", "Letters", None])
    book.save(path)
    return path


def check(tmp_path: Path, text: str = COLUMNS) -> tuple[dict[str, object], list[Finding]]:
    columns = tmp_path / "columns.toml"
    columns.write_text(text, encoding="utf-8")
    frames = check_file(albums(tmp_path / "albums.xlsx"), columns=columns)
    return dict(frames), findings_of(frames["clean.findings"])


def test_own_sheets_headings_units_and_words(tmp_path: Path) -> None:
    frames, findings = check(tmp_path)
    assert [finding for finding in findings if finding.level == "error"] == []
    rows = frames["clean.volumes"].sort("volume_id").to_dicts()  # type: ignore[attr-defined]
    kept = ("volume_id", "collection", "page_height_mm", "page_width_mm", "binding", "joints", "spine_thickness_mm",
            "fore_edge_thickness_mm", "contents", "row_no")  # fmt: skip
    assert [tuple(row[name] for name in kept) for row in rows] == [
        ("00301", "Albums", 300.0, 240.0, "sewn", "sound", 20.0, 22.225, "photograph, print", 4),
        ("00302", "Albums", 285.0, 240.0, "adhesive", "sound", 21.0, 22.225, "manuscript", 5),
    ]
    assert ("unknown_column", "Albums 2026", "I3") in [(f.code, f.sheet, f.cell) for f in findings]


def test_findings_keep_the_lab_s_own_places(tmp_path: Path) -> None:
    _, findings = check(tmp_path, COLUMNS.replace('"half leather" = "sewn", ', ""))
    wrong = [(f.code, f.sheet, f.cell) for f in findings if f.level == "error"]
    assert wrong == [("unknown_word", "Albums 2026", "E4")]


def test_a_wrong_value_for_every_row_is_said_once(tmp_path: Path) -> None:
    _, findings = check(
        tmp_path, COLUMNS.replace('joints = { always = "sound" }', 'joints = { always = "sond" }')
    )
    wrong = [(f.code, f.cell, f.action) for f in findings if f.level == "error"]
    assert wrong == [("unknown_word", "", "did you mean sound?")]


def test_what_the_column_file_names_must_be_there(tmp_path: Path) -> None:
    text = COLUMNS.replace('"ff."', '"fff."').replace(
        "[sheets.Volumes]\n", '[sheets.Stock]\nsheet = "Albums 2025"\n[sheets.Volumes]\n'
    )
    _, findings = check(tmp_path, text)
    found = [(f.sheet, f.cell, f.action) for f in findings if f.code == "columns_not_found"]
    assert found == [
        ("Albums 2026", "A3", 'did you mean "ff."?'),
        ("columns.toml", "", 'did you mean "Albums 2026"?'),
    ]


@pytest.mark.parametrize(
    ("text", "code", "action"),
    [
        ("[sheets.Volums]", "columns_unknown_name", "did you mean Volumes?"),
        ("[sheet.Volumes]", "columns_unknown_name", "did you mean sheets?"),
        ("[campaign]\nstart = 2027-01-04", "columns_unknown_name", "did you mean start_date?"),
        ('[sheets.Volumes.columns]\npage_hight = "H"', "columns_unknown_name", "did you mean page_height?"),
        ('[sheets.Volumes.columns]\nleaves = { header = "H" }', "columns_unknown_name", "did you mean heading?"),
        ('[sheets.Volumes.columns]\nleaves = { empty = "3" }', "columns_bad_value", "say heading, column or always"),
        ('[sheets.Volumes.columns]\nleaves = ["H"]', "columns_bad_value", "write the heading"),
        ('[sheets.Volumes.columns]\npage_height = { heading = "H", unit = "feet" }', "columns_bad_value", "one of mm"),
        ('[sheets.Volumes.columns]\nleaves = { column = "ZZZZ" }', "columns_bad_value", "letters of a column"),
        ('[sheets.Volumes.columns]\nbinding = { heading = "H", words = 3 }', "columns_bad_value", "words ="),
        ("[sheets.Volumes]\nheading_row = 0", "columns_bad_value", "number of a row"),
        ("sheets = 3", "columns_bad_value", "its lines below it"),
        ("[sheets]\nVolumes = 3", "columns_bad_value", "its parts"),
        ("[sheets.Volumes]\ncolumns = 3", "columns_bad_value", "its lines below it"),
        ("volume_id: Shelfmark", "columns_not_toml", "quotation marks"),
    ],
)  # fmt: skip
def test_a_faulty_column_file_is_refused_with_what_to_do(
    tmp_path: Path, text: str, code: str, action: str
) -> None:
    path = tmp_path / "columns.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InventoryRefusedError) as refused:
        load_column_file(path)
    assert any(f.code == code and action in f.action for f in refused.value.findings), refused.value.findings


def test_a_column_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileProblemError, match="could not be read"):
        load_column_file(tmp_path / "columns.toml")


def test_letters_of_columns() -> None:
    for number in (1, 26, 27, 702, 703, 16_384):
        assert column_number(column_letters(number)) == number
    assert column_number("f") == 6
    for letters in ("", "XFE", "A1", "ZZZZ", "Ä"):
        assert column_number(letters) is None


def test_starter_sets_stand_in_for_all_supplies_or_for_staff_and_never_for_half(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "one.xlsx", papers=None, stock=None, staff=None, openings=None)
    frames = check_file(path)
    assert frames["clean.papers"].height == 6
    assert frames["clean.stock"]["paper_id"].n_unique() == 6
    assert frames["clean.staff"].height == 2
    findings = findings_of(frames["clean.findings"])
    assert [(f.level, f.sheet, f.cell) for f in findings if f.code == "starter_set"] == [
        ("warning", "Papers", ""), ("warning", "Stock", ""), ("warning", "Staff", ""),
    ]  # fmt: skip
    half = findings_of(check_file(builders.inventory(tmp_path / "half.xlsx", papers=None))["clean.findings"])
    wrong = [(f.code, f.sheet) for f in half if f.level == "error"]
    assert wrong == [("sheet_missing", "Papers")]

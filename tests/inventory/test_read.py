"""Files of every kind under the name of an inventory: read, or refused in a plain sentence."""

import hashlib
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.styles import PatternFill

from pipeline.errors import FileProblemError
from pipeline.inventory import guard, read
from pipeline.inventory.read import read_inventory
from pipeline.inventory.sheets import ReadSheet, address
from tests import builders

ENTITY_BOMB = (
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    '<row r="1"><c r="A1" t="inlineStr"><is><t>&b;</t></is></c></row></sheetData></worksheet>'
)


def cells(sheet: ReadSheet) -> dict[str, tuple[str, str]]:
    return {
        address(row["row_no"], row["column_no"]): (row["cell_kind"], row["text"])
        for row in sheet.cells.iter_rows(named=True)
    }


def book_with(path: Path, fill: Callable[[Workbook], None]) -> Path:
    book = Workbook()
    book.worksheets[0].title = "Volumes"
    fill(book)
    book.save(path)
    return path


def change_part(path: Path, part: str, change: Callable[[bytes], bytes | None]) -> Path:
    """Rewrite one part of a workbook's package; None leaves it out."""
    with zipfile.ZipFile(path) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            changed = change(data) if name == part else data
            if changed is not None:
                package.writestr(name, changed)
    return path


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "is empty; if it lies in a cloud folder it may not be downloaded yet"),
        (b"volume_id,leaves\nA,4\n", "it looks like text (CSV)"),
        (b"\xef\xbb\xbf<html><table></table></html>", "it is a web page or XML"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "old .xls file or one with a password"),
        (b"PK\x03\x04 cut off", "is damaged or not wholly copied"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "it is of another kind, or damaged"),
    ],
)
def test_files_that_are_no_workbook_are_named_for_what_they_are(
    tmp_path: Path, data: bytes, sentence: str
) -> None:
    path = tmp_path / "inventory.xlsx"
    path.write_bytes(data)
    with pytest.raises(FileProblemError) as refused:
        read_inventory(path)
    assert sentence in str(refused.value)
    assert str(path) in str(refused.value)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileProblemError, match="is not there"):
        read_inventory(tmp_path / "inventory.xlsx")


def test_a_single_csv_is_not_an_inventory(tmp_path: Path) -> None:
    (tmp_path / "Volumes.csv").write_text("volume_id\nA\n")
    with pytest.raises(FileProblemError, match="give the folder"):
        read_inventory(tmp_path / "Volumes.csv")


def test_a_truncated_workbook_is_refused(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    path.write_bytes(path.read_bytes()[:-400])
    with pytest.raises(FileProblemError, match="damaged or not wholly copied"):
        read_inventory(path)


def test_a_workbook_that_unpacks_to_too_much_is_not_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    monkeypatch.setattr(guard, "MOST_BYTES", 1000)
    with pytest.raises(FileProblemError, match="unpacks to"):
        read_inventory(path)


def test_a_workbook_of_too_many_parts_is_not_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    monkeypatch.setattr(guard, "MOST_MEMBERS", 3)
    with pytest.raises(FileProblemError, match="parts, more than"):
        read_inventory(path)


def test_a_workbook_of_too_many_cells_is_not_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    monkeypatch.setattr(guard, "MOST_PIECES", 50)
    with pytest.raises(FileProblemError, match="more than the 50 cells and rows that are read"):
        read_inventory(path)


@pytest.mark.parametrize("name", ["inventory.xlsx", "inventory"])
def test_a_sheet_of_too_many_rows_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    path = builders.inventory(
        tmp_path / name, volumes=[builders.volume(f"V-{number}") for number in range(60)]
    )
    monkeypatch.setattr(read, "MOST_ROWS", 60)
    with pytest.raises(FileProblemError, match="sheet Volumes has 61 rows, more than the 60 that are read"):
        read_inventory(path)
    monkeypatch.setattr(read, "MOST_ROWS", 61)
    assert {sheet.name for sheet in read_inventory(path).sheets} >= {"Volumes"}


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_part_that_is_there_twice_is_refused(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    with zipfile.ZipFile(path, "a") as package:
        package.writestr("xl/worksheets/sheet1.xml", "<x/>")
    with pytest.raises(FileProblemError, match="holds a part twice"):
        read_inventory(path)


def test_a_missing_sheet_part_is_not_passed_over(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    change_part(path, "xl/worksheets/sheet2.xml", lambda data: None)
    with pytest.raises(FileProblemError, match="the contents of sheet Volumes are missing"):
        read_inventory(path)


def test_entities_are_never_expanded(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    change_part(path, "xl/worksheets/sheet2.xml", lambda data: ENTITY_BOMB.encode())
    with pytest.raises(FileProblemError, match="could not be read as a workbook"):
        read_inventory(path)


def test_other_packages_are_named(tmp_path: Path) -> None:
    path = tmp_path / "inventory.xlsx"
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("content.xml", "<x/>")
    with pytest.raises(FileProblemError, match="OpenDocument"):
        read_inventory(path)


def test_one_stray_cell_far_out_costs_nothing(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        book.worksheets[0]["A1"] = "volume_id"
        book.worksheets[0]["XFD1048576"] = "stray"

    sheet = read_inventory(book_with(tmp_path / "inventory.xlsx", fill)).sheets[0]
    assert cells(sheet) == {"A1": ("text", "volume_id"), "XFD1048576": ("text", "stray")}


def test_a_row_beyond_the_last_is_refused(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    change_part(
        path,
        "xl/worksheets/sheet2.xml",
        lambda data: data.replace(b'r="2"', b'r="1048577"').replace(b'2"', b'1048577"'),
    )
    with pytest.raises(FileProblemError):
        read_inventory(path)


def test_a_wrong_dimension_is_not_believed(tmp_path: Path) -> None:
    path = builders.inventory(
        tmp_path / "inventory.xlsx", volumes=[builders.volume(f"V-{n}") for n in range(9)]
    )
    before = read_inventory(path).sheets[1].cells
    change_part(
        path,
        "xl/worksheets/sheet2.xml",
        lambda data: data.replace(b'dimension ref="A1:AA10"', b'dimension ref="A1"'),
    )
    assert read_inventory(path).sheets[1].cells.equals(before)


def test_values_keep_their_kind_and_their_digits(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        sheet = book.worksheets[0]
        sheet.append(["00123", 123, 28.9, 24.0, True, date(2027, 3, 1), "#N/A", "=A1", None, "x"])
        sheet["D1"].number_format = "0.00"
        sheet["B1"].number_format = "0%"

    found = cells(read_inventory(book_with(tmp_path / "inventory.xlsx", fill)).sheets[0])
    assert found == {
        "A1": ("text", "00123"),
        "B1": ("text", "12300 %"),
        "C1": ("number", "28.9"),
        "D1": ("number", "24"),
        "E1": ("bool", "yes"),
        "F1": ("date", "2027-03-01"),
        "G1": ("error", "#N/A"),
        "H1": ("formula", "=A1"),
        "J1": ("text", "x"),
    }


def test_a_formula_with_a_stored_result_is_its_result(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        book.worksheets[0].append(["=2+2", '=""', "=1+1"])

    path = book_with(tmp_path / "inventory.xlsx", fill)
    change_part(
        path,
        "xl/worksheets/sheet1.xml",
        lambda data: (
            data.replace(b"<f>2+2</f><v />", b"<f>2+2</f><v>4</v>")
            .replace(b"<f>2+2</f><v></v>", b"<f>2+2</f><v>4</v>")
            .replace(b'<c r="B1">', b'<c r="B1" t="str">')
        ),
    )
    assert cells(read_inventory(path).sheets[0]) == {"A1": ("number", "4"), "C1": ("formula", "=1+1")}


def test_merged_rows_are_filled_and_told(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        sheet = book.worksheets[0]
        for line in (["volume_id", "title"], ["A", "x"], [None, "y"], [None, "z"]):
            sheet.append(line)
        sheet.merge_cells("A2:A4")

    sheet = read_inventory(book_with(tmp_path / "inventory.xlsx", fill)).sheets[0]
    assert cells(sheet)["A4"] == ("text", "A")
    assert [(finding.code, finding.level, finding.cell) for finding in sheet.findings] == [
        ("merged_cells", "warning", "A2")
    ]


def test_a_merged_block_ends_with_the_filled_rows(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        book.worksheets[0].append(["A", "x"])
        book.worksheets[0].append([None, "y"])
        book.worksheets[0].merge_cells("A1:A2000")

    assert read_inventory(book_with(tmp_path / "inventory.xlsx", fill)).sheets[0].cells.height == 4


@pytest.mark.parametrize(
    "tag",
    [
        b'<mergeCells count="1"><mergeCell ref="A1:XFD1048576"/></mergeCells>',
        b"<mergeCells><mergeCell  ref = 'B1:B1048576' /></mergeCells>",
        b'<hyperlinks><hyperlink ref="A1:XFD1048576" location="x"/></hyperlinks>',
    ],
)
def test_blocks_over_whole_columns_are_refused_before_they_are_filled(tmp_path: Path, tag: bytes) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    change_part(
        path, "xl/worksheets/sheet2.xml", lambda data: data.replace(b"</sheetData>", b"</sheetData>" + tag)
    )
    with pytest.raises(FileProblemError, match="merges or links"):
        read_inventory(path)


def test_hidden_rows_are_read_and_told(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        for number in range(1, 5):
            book.worksheets[0].append([number])
        book.worksheets[0].row_dimensions[3].hidden = True

    sheet = read_inventory(book_with(tmp_path / "inventory.xlsx", fill)).sheets[0]
    assert sheet.cells.height == 4
    assert [(finding.code, finding.cell) for finding in sheet.findings] == [("hidden_rows", "A3")]


def test_formatted_but_empty_cells_are_no_cells(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        book.worksheets[0]["B7"].fill = PatternFill("solid", fgColor="FFFF00")

    assert read_inventory(book_with(tmp_path / "inventory.xlsx", fill)).sheets[0].cells.is_empty()


def test_an_inventory_open_elsewhere_is_told(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    (tmp_path / "~$inventory.xlsx").write_bytes(b"x")
    assert [finding.code for finding in read_inventory(path).findings] == ["open_elsewhere"]


def test_the_file_is_never_written(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    before = (hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns)
    path.chmod(0o444)
    read_inventory(path)
    assert (hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns) == before
    assert [file.name for file in tmp_path.iterdir()] == ["inventory.xlsx"]


@pytest.mark.parametrize(
    "data",
    [
        'volume_id,title\r\n00123,"a, b"\r\n',
        '\ufeffvolume_id,title\n00123,"a, b"\n',
        "volume_id;title\n00123;a, b\n",
        'volume_id;title\n00123;"a, b"',
    ],
)
def test_csv_with_comma_or_semicolon_with_or_without_mark(tmp_path: Path, data: str) -> None:
    (tmp_path / "Volumes.csv").write_text(data, encoding="utf-8", newline="")
    found = cells(read_inventory(tmp_path).sheets[0])
    assert found == {
        "A1": ("text", "volume_id"),
        "B1": ("text", "title"),
        "A2": ("text", "00123"),
        "B2": ("text", "a, b"),
    }


def test_blank_csv_lines_keep_the_row_numbers(tmp_path: Path) -> None:
    (tmp_path / "Volumes.csv").write_text('volume_id,title\n\nA,"two\nlines"\n,\nB,x\n', encoding="utf-8")
    assert list(cells(read_inventory(tmp_path).sheets[0])) == ["A1", "B1", "A3", "B3", "A5", "B5"]


@pytest.mark.parametrize("data", ["volume_id\nMühle\n".encode("cp1252"), "volume_id\n".encode("utf-16")])
def test_csv_that_is_not_utf8_is_refused(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "Volumes.csv").write_bytes(data)
    with pytest.raises(FileProblemError, match="CSV UTF-8"):
        read_inventory(tmp_path)


def test_a_folder_without_csv_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileProblemError, match=r"holds no \.csv files"):
        read_inventory(tmp_path)


def test_workbook_and_folder_read_alike(tmp_path: Path) -> None:
    book = read_inventory(builders.inventory(tmp_path / "inventory.xlsx"))
    folder = read_inventory(builders.inventory(tmp_path / "inventory"))
    by_name = {sheet.name: set(cells(sheet)) for sheet in folder.sheets}
    assert {sheet.name: set(cells(sheet)) for sheet in book.sheets} == by_name

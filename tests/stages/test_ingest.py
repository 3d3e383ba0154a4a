"""Stage 01: text as typed, with its sheet and cell, and what is odd about sheets and headings."""

from pathlib import Path
from typing import Any

import pytest

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.stages.ingest import ingest_inventory
from tests import builders
from tests.checking import RAW_TABLES

Lines = dict[str, list[list[Any]]]


def ingest(path: Path, tables: Lines) -> Frames:
    frames = ingest_inventory({}, builders.settings(builders.write_tables(path, tables)))
    assert set(frames) == set(RAW_TABLES)
    for name, frame in frames.items():
        TABLES[name].check(frame)
    return frames


def found(frames: Frames) -> list[tuple[str, str, str, str]]:
    return frames["raw.findings"].select("code", "level", "sheet", "cell").rows()


@pytest.fixture
def tables() -> Lines:
    return builders.inventory_tables()


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return tmp_path / "inventory.xlsx"


def test_a_plain_inventory_has_no_findings(book: Path, tables: Lines) -> None:
    frames = ingest(book, tables)
    assert found(frames) == []
    row = frames["raw.cells"].filter(sheet="Volumes", field="page_height").row(0, named=True)
    assert (row["cell"], row["cell_kind"], row["text"]) == ("F2", "number", "300")


def test_titles_above_the_headings_and_blank_rows_keep_real_addresses(book: Path, tables: Lines) -> None:
    volumes = tables["Volumes"]
    tables["Volumes"] = [["Scrapbooks of the reading room"], [], volumes[0], [], volumes[1]]
    frames = ingest(book, tables)
    assert found(frames) == []
    assert frames["raw.sheets"].filter(sheet="Volumes")["header_row_no"].item() == 3
    assert set(frames["raw.cells"].filter(sheet="Volumes")["row_no"]) == {5}


def test_sheet_and_heading_names_match_loosely(book: Path, tables: Lines) -> None:
    tables[" volumes_"] = tables.pop("Volumes")
    tables[" volumes_"][0] = [str(name).replace("_", " ").upper() for name in tables[" volumes_"][0]]
    frames = ingest(book, tables)
    assert found(frames) == []
    assert frames["raw.cells"].filter(field="page_width")["sheet"].to_list() == [" volumes_"]


def test_missing_sheets_are_all_named(book: Path, tables: Lines) -> None:
    del tables["Volumes"], tables["Papers"]
    assert found(ingest(book, tables)) == [
        ("sheet_missing", "error", "Volumes", ""),
        ("sheet_missing", "error", "Papers", ""),
    ]


def test_a_misspelt_sheet_is_offered_its_name(book: Path, tables: Lines) -> None:
    tables["Volums"] = tables.pop("Volumes")
    frames = ingest(book, tables)
    assert ("unknown_sheet", "warning", "Volums", "") in found(frames)
    action = frames["raw.findings"].filter(code="unknown_sheet")["action"].item()
    assert action == "did you mean Volumes? then rename it"


def test_other_sheets_are_left_out_with_a_note_and_empty_ones_without(book: Path, tables: Lines) -> None:
    tables |= {"Sheet9": [["x"]], "Sheet8": [[]], "Read me": [["text"]]}
    assert found(ingest(book, tables)) == [("unknown_sheet", "note", "Sheet9", "")]


def test_a_sheet_that_is_there_twice_is_an_error(book: Path, tables: Lines) -> None:
    tables["volumes "] = tables["Volumes"]
    assert found(ingest(book, tables)) == [("duplicate_sheet", "error", "volumes ", "")]


def test_missing_columns_are_all_named(book: Path, tables: Lines) -> None:
    for line in tables["Volumes"]:
        del line[7], line[4]
    frames = ingest(book, tables)
    assert found(frames) == [("column_missing", "error", "Volumes", "A1")] * 2
    assert frames["raw.findings"]["action"].to_list() == [
        "add a column headed page_width",
        "add a column headed binding",
    ]


def test_a_misspelt_heading_is_offered_its_name(book: Path, tables: Lines) -> None:
    tables["Volumes"][0][5] = "page hight"
    frames = ingest(book, tables)
    assert found(frames) == [
        ("unknown_column", "warning", "Volumes", "F1"),
        ("column_missing", "error", "Volumes", "A1"),
    ]
    assert frames["raw.findings"]["action"][0] == "did you mean page_height?"


def test_unknown_doubled_and_missing_headings(book: Path, tables: Lines) -> None:
    tables["Volumes"][0] += ["remarks by hand", "Page Width", None]
    tables["Volumes"][1] += ["x", 240, "stray"]
    width = len(tables["Volumes"][0])
    letters = [f"A{chr(ord('A') + column - 27)}" for column in range(width - 2, width + 1)]
    assert found(ingest(book, tables)) == [
        ("unknown_column", "note", "Volumes", f"{letters[0]}1"),
        ("duplicate_column", "error", "Volumes", f"{letters[1]}1"),
        ("heading_missing", "warning", "Volumes", f"{letters[2]}2"),
    ]


def test_a_sheet_without_any_heading_lacks_its_columns(book: Path, tables: Lines) -> None:
    tables["Stock"] = [[]]
    codes = {code for code, *_ in found(ingest(book, tables))}
    assert codes == {"column_missing"}


def test_headings_alone_give_no_cells(book: Path, tables: Lines) -> None:
    tables["Openings"] = tables["Openings"][:1]
    frames = ingest(book, tables)
    assert found(frames) == []
    assert frames["raw.sheets"].filter(sheet="Openings")["row_count"].item() == 0


def test_count_columns_of_unknown_hazards_are_passed_on(book: Path, tables: Lines) -> None:
    tables["Volumes"][0].append("Openings Red Rot")
    tables["Volumes"][1].append(4)
    frames = ingest(book, tables)
    assert frames["raw.cells"].filter(field="openings_red_rot")["text"].to_list() == ["4"]


def test_a_hidden_sheet_is_read_and_told(book: Path, tables: Lines) -> None:
    import openpyxl

    builders.write_tables(book, tables)
    workbook = openpyxl.load_workbook(book)
    workbook["Stock"].sheet_state = "hidden"
    workbook.save(book)
    frames = ingest_inventory({}, builders.settings(book))
    assert found(frames) == [("hidden_sheet", "warning", "Stock", "")]
    assert frames["raw.cells"].filter(sheet="Stock").height > 0


def test_a_folder_gives_the_same_cells_at_the_same_places(tmp_path: Path, tables: Lines) -> None:
    place = ["sheet", "row_no", "field", "cell"]
    book = ingest(tmp_path / "inventory.xlsx", tables)["raw.cells"].select(place)
    folder = ingest(tmp_path / "inventory", tables)["raw.cells"].select(place)
    assert book.equals(folder)

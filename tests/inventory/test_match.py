"""Column files proposed for inventories with names of their own: guesses that hold, unknowns that stay open."""

import tomllib
from pathlib import Path

import pytest
from openpyxl import Workbook

from pipeline.contracts.inventory_columns import VOLUMES
from pipeline.inventory.column_file import load_column_file
from pipeline.inventory.findings import findings_of
from pipeline.inventory.match import likely_word, name_likeness
from pipeline.inventory.proposal import propose_columns
from pipeline.policy.load import load_policy
from tests import builders
from tests.checking import check_file

HEADINGS = ["Shelfmark", "Fonds", "H (cm)", "W", "No. of folios", "Bdg type", "Hinges", "Thickness spine",
            "Thickness at edge", "Remarks"]  # fmt: skip
CAMPAIGN = '[campaign]\nname = "Trial"\nstart_date = 2027-01-04\nend_date = 2027-12-17\n'


@pytest.fixture
def albums(tmp_path: Path) -> Path:
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Albums"
    sheet.append(["Albums of the reading room"])
    sheet.append(HEADINGS)
    sheet.append(["007", "Letters", 30, 24, 40, "Half leather", "good", 2, 2.1, "tight"])
    sheet.append(["008", "Letters", 28.5, 21, 44, "bolts", "worn", 2.2, 2.4, 'a "note"'])
    sheet.append(["009", "Letters", 31, 22.5, 36, "calf", "broken", 1.9, 2, "x" * 99])
    path = tmp_path / "albums.xlsx"
    book.save(path)
    return path


def test_the_proposal_is_a_column_file_that_reads_the_inventory(albums: Path, tmp_path: Path) -> None:
    text = propose_columns(albums, load_policy())
    assert '# "calf" = ""  # 1 cell; one of sewn, adhesive' in text
    assert '# left over: "Remarks" (column J)' in text
    assert "# name = " in text
    path = tmp_path / "columns.toml"
    path.write_text(text.replace("[campaign]\n", CAMPAIGN).replace('# "calf" = ""', '"calf" = "sewn"'))
    assert load_column_file(path).sheet_is("Albums") == "Volumes"
    frames = check_file(albums, columns=path)
    assert [f for f in findings_of(frames["clean.findings"]) if f.level == "error"] == []
    first = frames["clean.volumes"].sort("volume_id").row(0, named=True)
    assert (first["volume_id"], first["page_height_mm"], first["page_width_mm"]) == ("007", 300.0, 240.0)
    assert (first["spine_thickness_mm"], first["binding"], first["joints"]) == (20.0, "sewn", "sound")
    assert frames["clean.volumes"]["binding"].to_list() == ["sewn", "post", "sewn"]


def test_every_guess_has_its_evidence(albums: Path) -> None:
    lines = propose_columns(albums, load_policy()).splitlines()
    line = next(line for line in lines if line.startswith("page_width"))
    assert line == (
        'page_width = { heading = "W", unit = "cm" }  # name 100 of 100; 3 of 3 cells fit; 21 to 24; '
        'unit guessed from the size of page_height: check; e.g. "24", "21", "22.5"'
    )


def test_what_is_needed_and_not_found_is_a_comment(tmp_path: Path) -> None:
    tables = builders.inventory_tables()
    for line in tables["Volumes"]:
        del line[VOLUMES.columns.index(VOLUMES.column("joints"))]
    text = propose_columns(builders.write_tables(tmp_path / "a.xlsx", tables), load_policy())
    assert '# joints = { always = "sound" }  # needed; nothing like it was found' in text
    assert "joints" not in tomllib.loads(text)["sheets"]["Volumes"]["columns"]
    assert "[campaign]" not in text


def test_an_inventory_in_our_own_words_is_matched_wholly_and_checks_as_before(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx")
    columns = tmp_path / "columns.toml"
    columns.write_text(propose_columns(path, load_policy()), encoding="utf-8")
    with_file, without = check_file(path, columns=columns), check_file(path)
    for table in ("clean.volumes", "clean.papers", "clean.stock", "clean.staff", "clean.findings"):
        assert with_file[table].equals(without[table], null_equal=True), table


def test_a_workbook_of_something_else_is_no_guess(tmp_path: Path) -> None:
    book = Workbook()
    book.worksheets[0].append(["Invoice", "Amount", "Paid on"])
    book.worksheets[0].append(["A-1", 12.5, "yes"])
    book.save(tmp_path / "other.xlsx")
    assert "No sheet looks like a list of volumes" in propose_columns(tmp_path / "other.xlsx", load_policy())


@pytest.mark.parametrize(
    ("header", "field"),
    [("Ht. (mm)", "page_height"), ("Spine thickness in cm", "spine_thickness"), ("ff.", "leaves")],
)
def test_names_alike(header: str, field: str) -> None:
    scores = {column.name: name_likeness("Volumes", column.name, header) for column in VOLUMES.columns}
    assert max(scores, key=lambda name: scores[name]) == field


@pytest.mark.parametrize(
    ("column", "text", "word"),
    [("binding", "Half Leather", "sewn"), ("binding", "laces", "laced"), ("binding", "calf", ""),
     ("odour", "smelly", "yes"), ("use", "frequently", "frequent")],
)  # fmt: skip
def test_words_alike(column: str, text: str, word: str) -> None:
    assert likely_word(VOLUMES.column(column), text) == word

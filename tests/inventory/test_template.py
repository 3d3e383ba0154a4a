"""The blank inventory: it passes its own check; drop-downs and notes come from the same definitions."""

from pathlib import Path

import openpyxl
import polars as pl
import pytest
from polars.testing import assert_frame_equal

from pipeline.contracts.inventory_columns import CAMPAIGN, SHEETS, described_columns
from pipeline.errors import FileProblemError
from pipeline.frames import figures
from pipeline.inventory.dictionary import dictionary_lines, dictionary_markdown
from pipeline.inventory.template import write_template
from tests import builders
from tests.checking import check_file, find


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("template") / "inventory.xlsx"
    write_template(path)
    return path


def test_filled_only_with_its_examples_it_passes_with_warnings(template: Path) -> None:
    findings = find(template)
    assert {finding.level for finding in findings} == {"warning"}
    assert {finding.code for finding in findings} == {"example_row"}
    assert findings[0].line().startswith("Campaign!B2  warning  ")


def test_its_examples_are_read_as_meant(template: Path) -> None:
    frames = check_file(template)
    volume = frames["clean.volumes"].row(0, named=True)
    assert (volume["page_height_mm"], volume["fore_edge_thickness_mm"]) == (288.925, 24.0)
    assert frames["clean.opening_rows"]["count"].to_list() == [7, 4]
    assert frames["clean.count_groups"].select("hazard", "count").rows() == [
        ("fastener", 3),
        ("facing_photographs", 12),
    ]
    of_policy = builders.policy_frames()["policy.rates"].sort("task")
    assert_frame_equal(frames["clean.rates"].sort("task"), of_policy, abs_tol=1e-9)


def test_sheets_stand_in_order_between_read_me_and_dictionary(template: Path) -> None:
    book = openpyxl.load_workbook(template)
    assert book.sheetnames == ["Read me", *(sheet.name for sheet in SHEETS), "Dictionary"]


def test_every_heading_has_its_note_and_every_coded_column_its_list(template: Path) -> None:
    book = openpyxl.load_workbook(template)
    for sheet in SHEETS:
        page = book[sheet.name]
        lists = [str(rule.formula1) for rule in page.data_validations.dataValidation]
        for number, column in enumerate(sheet.columns, start=1):
            place = page.cell(number + 1, 1) if sheet is CAMPAIGN else page.cell(1, number)
            assert place.value == column.name
            assert column.description in place.comment.text
            if column.allowed:
                assert f'"{",".join(column.allowed)}"' in lists


def test_lists_and_identifiers_are_formatted_as_text(template: Path) -> None:
    page = openpyxl.load_workbook(template)["Openings"]
    assert [page.column_dimensions[letter].number_format for letter in "AB"] == ["@", "@"]
    assert page["B2"].number_format == "@"


def test_every_sheet_is_set_up_for_printing(template: Path) -> None:
    for page in openpyxl.load_workbook(template).worksheets:
        assert page.sheet_properties.pageSetUpPr.fitToPage, page.title
        assert page.page_setup.fitToHeight == 0
        assert page.oddFooter.right.text == "page &P of &N"


def test_the_same_bytes_twice(template: Path, tmp_path: Path) -> None:
    write_template(tmp_path / "again.xlsx")
    assert (tmp_path / "again.xlsx").read_bytes() == template.read_bytes()


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileProblemError, match="could not be written"):
        write_template(tmp_path / "missing" / "inventory.xlsx")
    assert list(tmp_path.iterdir()) == []


def test_the_dictionary_has_every_column() -> None:
    policy = figures(builders.policy_frames())
    lines = dictionary_lines(policy)
    assert [(line.sheet, line.column) for line in lines] == [
        (sheet.name, column.name) for sheet, column in described_columns()
    ]
    trim = next(line for line in lines if (line.sheet, line.column) == ("Stock", "trim"))
    assert trim.default == "3 mm"
    text = dictionary_markdown(policy)
    assert "| **binding** | sewn, adhesive, guarded, post, laced, ring, spiral | must be filled |" in text


def test_every_policy_key_that_a_column_names_is_there() -> None:
    keys = set(builders.policy_frames()["policy.figures"].filter(pl.col("value").is_not_null())["key"])
    named = {
        key for _, column in described_columns() for key in (column.default_key, column.least, column.most)
    }
    assert named - {""} <= keys

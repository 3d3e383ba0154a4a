"""The one styled sheet: failures raise, text is safe, every sheet prints."""

import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from pipeline.errors import FileProblemError
from pipeline.outputs.sheet import MOST_PAGE_BREAKS, Book, OutputError, lines_needed
from pipeline.outputs.styles import INTEGER, WRAP
from pipeline.outputs.table import Column, write_table
from pipeline.published_plan import Plan, PlanFacts
from tests.outputs.fake_plan import fake_store


@pytest.fixture(scope="module")
def facts() -> PlanFacts:
    with fake_store() as store:
        return Plan(store).facts


def test_a_write_outside_the_sheet_raises(tmp_path: Path, facts: PlanFacts) -> None:
    book = Book(tmp_path / "x.xlsx", facts, "x")
    sheet = book.sheet("one")
    with pytest.raises(OutputError, match="one!"):
        sheet.put(1_048_576, 0, "too far down")
    with pytest.raises(OutputError, match="one!XFE1"):
        sheet.put(0, 16_384, 1)
    book.close()


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_no_number_is_no_cell(tmp_path: Path, facts: PlanFacts, value: float) -> None:
    book = Book(tmp_path / "x.xlsx", facts, "x")
    with pytest.raises(OutputError, match="one!A1"):
        book.sheet("one").put(0, 0, value)
    book.close()


def test_a_drop_down_that_is_too_long_raises(tmp_path: Path, facts: PlanFacts) -> None:
    book = Book(tmp_path / "x.xlsx", facts, "x")
    with pytest.raises(OutputError, match="drop-down"):
        book.sheet("one").choices((0, 0, 1, 0), ["word" * 10] * 10)
    book.close()


def test_too_many_page_breaks_raise(tmp_path: Path, facts: PlanFacts) -> None:
    book = Book(tmp_path / "x.xlsx", facts, "x")
    sheet = book.sheet("one")
    for row in range(1, MOST_PAGE_BREAKS + 1):
        sheet.new_page(row)
    with pytest.raises(OutputError, match="page breaks"):
        sheet.new_page(MOST_PAGE_BREAKS + 1)
    book.close()


def test_a_file_that_cannot_be_written_is_the_users_problem(tmp_path: Path, facts: PlanFacts) -> None:
    with (
        pytest.raises(FileProblemError, match="nowhere"),
        Book(tmp_path / "nowhere" / "x.xlsx", facts, "x") as book,
    ):
        book.sheet("one").put(0, 0, 1)


def test_hostile_text_stays_text(tmp_path: Path, facts: PlanFacts) -> None:
    hostile = [
        "=1+1",
        "+1",
        "-2",
        "@SUM(A1)",
        "#N/A",
        "a\x0bb",
        "https://example.org",
        "_x000D_",
        "0012",
        "x" * 40_000,
    ]
    with Book(tmp_path / "x.xlsx", facts, "x") as book:
        sheet = book.sheet("one")
        for row, text in enumerate(hostile):
            sheet.put(row, 0, text)
        sheet.finish()
        assert book.cleaned == ["one!A6", "one!A10"]
    page = openpyxl.load_workbook(tmp_path / "x.xlsx")["one"]
    cells = [page.cell(row + 1, 1) for row in range(len(hostile))]
    assert all(cell.data_type == "s" and cell.hyperlink is None for cell in cells)
    assert [cell.value for cell in cells[:5]] == hostile[:5]
    assert all(cell.quotePrefix for cell in cells[:4])
    assert cells[8].value == "0012"


def test_a_campaign_named_by_a_number_does_not_change_the_letter_size(
    tmp_path: Path, facts: PlanFacts
) -> None:
    with Book(tmp_path / "x.xlsx", replace(facts, campaign_name="2 collections & more"), "x") as book:
        book.sheet("one").finish()
    with zipfile.ZipFile(tmp_path / "x.xlsx") as package:
        page = package.read("xl/worksheets/sheet1.xml").decode()
    assert "&amp;L&amp;9 2 collections &amp;&amp; more&amp;R&amp;9 one" in page


def test_an_empty_table_says_so_and_has_no_filter(tmp_path: Path, facts: PlanFacts) -> None:
    with Book(tmp_path / "x.xlsx", facts, "x") as book:
        sheet = book.sheet("one")
        write_table(
            sheet, [Column(heading="Volume", key="v"), Column(heading="Sheets", key="n", style=INTEGER)], []
        )
        sheet.finish()
    page = openpyxl.load_workbook(tmp_path / "x.xlsx")["one"]
    assert page["A2"].value == "none in this plan"
    assert page.auto_filter.ref is None
    assert not page.tables


def test_widths_follow_the_content_and_long_text_wraps(tmp_path: Path, facts: PlanFacts) -> None:
    rows = [{"v": "id", "t": "a title of many words " * 10}]
    columns = [Column(heading="Volume", key="v"), Column(heading="Title", key="t", style=WRAP, most_width=30)]
    with Book(tmp_path / "x.xlsx", facts, "x") as book:
        sheet = book.sheet("one")
        write_table(sheet, columns, rows)
        sheet.finish()
    page = openpyxl.load_workbook(tmp_path / "x.xlsx")["one"]
    assert 6 <= page.column_dimensions["A"].width < 12
    assert 30 <= page.column_dimensions["B"].width < 32
    assert page.row_dimensions[2].height > 5 * 13


def test_lines_needed_breaks_at_words_and_inside_long_ones() -> None:
    assert lines_needed("", 10) == 1
    assert lines_needed("one two", 10) == 1
    assert lines_needed("one two three four", 9) == 2
    assert lines_needed("a\nb\nc", 10) == 3
    assert lines_needed("x" * 50, 10) == 5

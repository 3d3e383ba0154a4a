"""The funder's document: real headings, captions, alternative text, contents, and the plan's figures."""

import zipfile
from pathlib import Path

import docx
import pytest
from docx.oxml.ns import qn

from pipeline.published_plan import Plan
from tests.outputs.fake_plan import fake_store


@pytest.fixture(scope="module")
def document(folder: Path) -> "docx.document.Document":
    return docx.Document(str(folder / "funder_report.docx"))


def test_headings_are_real_and_in_order(document: "docx.document.Document") -> None:
    levels = [p.style.name for p in document.paragraphs if p.style.name.startswith("Heading")]
    assert levels.count("Heading 1") == 7
    assert levels[0] == "Heading 1"
    assert set(levels) == {"Heading 1", "Heading 2"}
    assert document.paragraphs[0].style.name == "Title"


def test_the_contents_are_a_field_that_leads_to_every_heading(document: "docx.document.Document") -> None:
    headings = [p.text for p in document.paragraphs if p.style.name.startswith("Heading")]
    entries = [p for p in document.paragraphs if p.style.name.startswith("toc ")]
    assert [p._p.xpath("string(.//w:hyperlink)") for p in entries] == headings
    codes = [element.text for p in entries for element in p._p.iter(qn("w:instrText"))]
    assert any("TOC" in code for code in codes)
    names = {element.get(qn("w:name")) for element in document.element.iter(qn("w:bookmarkStart"))}
    assert {link.get(qn("w:anchor")) for p in entries for link in p._p.iter(qn("w:hyperlink"))} <= names


def test_fields_are_closed(document: "docx.document.Document") -> None:
    kinds = [element.get(qn("w:fldCharType")) for element in document.element.iter(qn("w:fldChar"))]
    assert kinds.count("begin") == kinds.count("end") == kinds.count("separate")
    assert kinds.count("begin") > 5


def test_pictures_have_alternative_text(document: "docx.document.Document") -> None:
    pictures = [shape._inline.docPr for shape in document.inline_shapes]
    assert len(pictures) == 3
    for picture in pictures:
        assert len(picture.get("descr")) > 20
    assert "Carnival committee" in pictures[0].get("descr")


def test_tables_and_pictures_are_captioned(document: "docx.document.Document") -> None:
    captions = [p for p in document.paragraphs if p.style.name == "Caption"]
    assert len(captions) == len(document.tables) + len(document.inline_shapes)
    assert captions[0].text.startswith("Table 1. ")
    assert sum(p.text.startswith("Figure ") for p in captions) == 3


def test_tables_repeat_their_heading_row(document: "docx.document.Document") -> None:
    for table in document.tables:
        assert list(table.rows[0]._tr.iter(qn("w:tblHeader")))


def test_figures_agree_with_the_campaign_totals(document: "docx.document.Document") -> None:
    with fake_store() as store:
        totals = Plan(store).totals()
    cells = {cell.text for table in document.tables for cell in table.rows[-1].cells}
    for measure, shape in (
        ("benefit_planned", ".2f"),
        ("labour_hours", ".1f"),
        ("paper_cost", ".2f"),
        ("sheets", ".0f"),
    ):
        assert format(totals[measure]["value"], shape) in cells, measure
    text = "\n".join(p.text for p in document.paragraphs)
    assert f"loss of {totals['benefit_planned']['value']:.2f} pages" in text
    assert "Over 50 years" in text


def test_no_person_no_pay_no_place(folder: Path) -> None:
    with zipfile.ZipFile(folder / "funder_report.docx") as package:
        text = package.read("word/document.xml").decode()
    for secret in ("31.5", ">t1<", ">v1<", ">k1<", "Store 2"):
        assert secret not in text


def test_judgement_is_said_to_be_judgement(document: "docx.document.Document") -> None:
    text = "\n".join(p.text for p in document.paragraphs)
    assert text.count("What is judgement:") == 5
    assert any(row.cells[0].text == "risk.horizon_years" for table in document.tables for row in table.rows)


def test_members_of_the_package_have_a_fixed_time(folder: Path) -> None:
    with zipfile.ZipFile(folder / "funder_report.docx") as package:
        assert {member.date_time for member in package.infolist()} == {(1980, 1, 1, 0, 0, 0)}

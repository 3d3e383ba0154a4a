"""Workbooks and document for people who cannot see, or cannot see colour: W3C contrast, titles, alternative text."""

import re
import zipfile
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest
from openpyxl.cell.cell import Cell
from openpyxl.worksheet.worksheet import Worksheet

from pipeline.outputs import charts, pictures, styles

WORKBOOKS = ("work_orders.xlsx", "material_totals.xlsx", "funder_report.xlsx")
LEAST_CONTRAST = 4.5
"""WCAG 2.2, success criterion 1.4.3."""


def _sheets(folder: Path) -> Iterator[tuple[str, Worksheet]]:
    for name in WORKBOOKS:
        for sheet in openpyxl.load_workbook(folder / name):
            yield name, sheet


def _rgb(color: object, default: str) -> str:
    value = getattr(color, "rgb", None)
    return value[-6:] if isinstance(value, str) else default


def _luminance(rgb: str) -> float:
    """Relative luminance of an sRGB colour, after WCAG 2.2."""
    parts = [int(rgb[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((_luminance(one), _luminance(other)))
    return (high + 0.05) / (low + 0.05)


def _fill(cell: Cell) -> str:
    return _rgb(cell.fill.fgColor, "FFFFFF") if cell.fill.fill_type == "solid" else "FFFFFF"


def test_contrast_is_measured_as_the_guideline_says() -> None:
    assert contrast("000000", "FFFFFF") == pytest.approx(21.0)
    assert contrast("777777", "FFFFFF") < LEAST_CONTRAST < contrast("767676", "FFFFFF")


def test_text_stands_out_from_its_ground(folder: Path) -> None:
    for name, sheet in _sheets(folder):
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is not None:
                    found = contrast(_rgb(cell.font.color, "000000"), _fill(cell))
                    assert found >= LEAST_CONTRAST, f"{name} {sheet.title}!{cell.coordinate}"


def test_grounds_are_grey_and_links_are_underlined_so_that_no_colour_tells_anything(folder: Path) -> None:
    for name, sheet in _sheets(folder):
        for row in sheet.iter_rows():
            for cell in row:
                ground = _fill(cell)
                assert ground[0:2] == ground[2:4] == ground[4:6], f"{name} {sheet.title}!{cell.coordinate}"
                if cell.hyperlink:
                    assert cell.font.underline, f"{name} {sheet.title}!{cell.coordinate}"
                elif cell.value is not None:
                    assert _rgb(cell.font.color, "000000") == "000000", (
                        f"{name} {sheet.title}!{cell.coordinate}"
                    )
        assert not sheet.conditional_formatting, f"{name} {sheet.title}"
        assert sheet.sheet_properties.tabColor is None, f"{name} {sheet.title}"


def test_cells_to_fill_in_differ_by_their_frame_too() -> None:
    assert styles.ENTRY.properties()["border"] != styles.BODY.properties()["border"]


def test_parts_of_a_bar_differ_by_hatching() -> None:
    states = len(charts.STATES)
    assert len(set(pictures.HATCHES[:states])) == states


def test_each_sheet_begins_in_a1_with_a_title_or_heading_and_opens_there(folder: Path) -> None:
    for name, sheet in _sheets(folder):
        assert sheet["A1"].value, f"{name} {sheet.title}"
        assert all(
            selection.activeCell in ("A1", None) for selection in sheet.views.sheetView[0].selection
        ) or (sheet.freeze_panes), f"{name} {sheet.title}"
    for name in WORKBOOKS:
        assert openpyxl.load_workbook(folder / name).active.title == "Start here"


def test_sheets_and_workbooks_have_names_in_words(folder: Path) -> None:
    for name in WORKBOOKS:
        book = openpyxl.load_workbook(folder / name)
        assert book.properties.title
        assert not any(re.fullmatch(r"Sheet\d+", title) for title in book.sheetnames)
        assert len({title.casefold() for title in book.sheetnames}) == len(book.sheetnames)


def test_lists_have_no_blank_heading_and_no_heading_twice(folder: Path) -> None:
    for name, sheet in _sheets(folder):
        if sheet.auto_filter.ref:
            heads = [cell.value for cell in sheet[1]]
            assert all(heads), f"{name} {sheet.title}"
            assert len(set(heads)) == len(heads), f"{name} {sheet.title}"


def test_every_drawing_of_a_workbook_has_words(folder: Path) -> None:
    for name in WORKBOOKS:
        with zipfile.ZipFile(folder / name) as package:
            for member in package.namelist():
                if re.fullmatch(r"xl/drawings/drawing\d+\.xml", member):
                    root = ElementTree.fromstring(package.read(member))
                    named = [element for element in root.iter() if element.tag.endswith("}cNvPr")]
                    assert named, f"{name} {member}"
                    assert all(len(element.get("descr", "")) > 20 for element in named), f"{name} {member}"


def test_the_document_states_its_language_and_title(folder: Path) -> None:
    with zipfile.ZipFile(folder / "funder_report.docx") as package:
        core = package.read("docProps/core.xml").decode()
        styles_xml = package.read("word/styles.xml").decode()
        body = package.read("word/document.xml").decode()
    assert re.search(r"<dc:title>[^<]+", core)
    assert re.search(r"<dc:language>en", core)
    assert 'w:lang w:val="en' in styles_xml
    assert not re.search(r'<w:color w:val="(?!000000|auto)', body), "no meaning by colour in the text"


def test_headings_of_the_document_skip_no_level(folder: Path) -> None:
    import docx

    levels = [
        int(paragraph.style.name.removeprefix("Heading "))
        for paragraph in docx.Document(str(folder / "funder_report.docx")).paragraphs
        if paragraph.style.name.startswith("Heading ")
    ]
    assert levels[0] == 1
    assert all(level <= before + 1 for before, level in pairwise(levels))

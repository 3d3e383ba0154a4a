"""Parts of a text document that python-docx has no call for: fields, captions, contents, alternative text.

The only file that imports docx. A document is saved with fixed times, so that the same plan gives the same
bytes.
"""

import zipfile
from collections.abc import Sequence
from datetime import datetime, time
from io import BytesIO
from pathlib import Path
from typing import Any

from docx import Document
from docx.enum.style import WD_STYLE_TYPE
from docx.enum.text import WD_ALIGN_PARAGRAPH
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Emu, Inches, Pt, RGBColor

from pipeline.errors import FileProblemError
from pipeline.outputs.plan import PlanFacts
from pipeline.outputs.sheet import PAPER_INCHES
from pipeline.outputs.styles import FONT, HEAD_GREY
from pipeline.outputs.text import clean_text

Paragraph = Any
"""A python-docx paragraph; the library has no types of its own to check against."""

MARGIN_INCHES = 0.9
BODY_POINTS = 10.5
TABLE_POINTS = 8
SMALL_TABLE_ROWS = 12
"""Tables up to this long are kept on one page."""
LEAST_COLUMN_LETTERS = 6
MOST_COLUMN_LETTERS = 26
HEADING_POINTS = {"Title": 22, "Heading 1": 15, "Heading 2": 12}
ZIP_TIME = (1980, 1, 1, 0, 0, 0)
BLACK = RGBColor(0, 0, 0)
MOST_ALT_TEXT = 990


class Report:
    """A text document being written: headings, paragraphs, tables and pictures with numbered captions."""

    def __init__(self, facts: PlanFacts, title: str) -> None:
        self._document = Document()
        self._headings: list[tuple[str, int, str]] = []
        self._counts = {"Table": 0, "Figure": 0}
        self._alt_texts = 0
        self._set_page(facts)
        self._set_styles()
        properties = self._document.core_properties
        properties.title, properties.author, properties.language = title, "guardleaf", "en"
        properties.created = properties.modified = datetime.combine(facts.as_of, time())
        properties.comments = facts.footer
        self._document.add_paragraph(title, style="Title")
        self._footer(facts)

    def _set_page(self, facts: PlanFacts) -> None:
        section = self._document.sections[0]
        width, height = PAPER_INCHES[facts.page_size]
        self._room = Inches(width - 2 * MARGIN_INCHES)
        section.page_width, section.page_height = Inches(width), Inches(height)
        section.left_margin = section.right_margin = Inches(MARGIN_INCHES)
        section.top_margin = section.bottom_margin = Inches(MARGIN_INCHES)

    def _set_styles(self) -> None:
        styles = self._document.styles
        styles["Normal"].font.name, styles["Normal"].font.size = FONT, Pt(BODY_POINTS)
        for name, points in HEADING_POINTS.items():
            _plain_font(styles[name], points)
        _plain_font(styles["Caption"], BODY_POINTS - 1.5)
        styles["Caption"].paragraph_format.keep_with_next = True
        for level in (1, 2):
            style = styles.add_style(f"toc {level}", WD_STYLE_TYPE.PARAGRAPH)
            style.base_style = styles["Normal"]
            style.paragraph_format.left_indent = Inches(0.25 * (level - 1))
            style.paragraph_format.space_after = Pt(2)

    def _footer(self, facts: PlanFacts) -> None:
        paragraph = self._document.sections[0].footer.paragraphs[0]
        paragraph.add_run(f"guardleaf {facts.footer} – page ")
        _field(paragraph, "PAGE", "1")
        paragraph.add_run(" of ")
        _field(paragraph, "NUMPAGES", "1")

    def contents(self) -> None:
        """Leave the place of the table of contents; `save` fills it with the headings that came after."""
        self._contents = self._document.add_paragraph(style="toc 1")

    def heading(self, text: str, level: int = 1) -> None:
        """A real heading, with a bookmark that the contents lead to."""
        paragraph = self._document.add_heading(clean_text(text), level)
        name = f"_Toc{len(self._headings) + 1:04}"
        _bookmark(paragraph, name, len(self._headings) + 1)
        self._headings.append((clean_text(text), level, name))

    def text(self, text: str, *, italic: bool = False) -> None:
        """A paragraph."""
        self._document.add_paragraph().add_run(clean_text(text)).italic = italic

    def bullets(self, lines: Sequence[str]) -> None:
        """A list."""
        for line in lines:
            self._document.add_paragraph(clean_text(line), style="List Bullet")

    def table(self, caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        """A captioned table; its heading row repeats on each page, figures stand at the right."""
        self._caption("Table", caption)
        table = self._document.add_table(rows=1, cols=len(heads), style="Table Grid")
        _alt_text(table._tbl.tblPr, caption)
        for cell, head in zip(table.rows[0].cells, heads, strict=True):
            _cell(cell, head, bold=True, shaded=True)
        _repeat(table.rows[0])
        for row in rows:
            for number, (cell, value) in enumerate(zip(table.add_row().cells, row, strict=True)):
                _cell(cell, value, right=number > 0 and _is_figure(value))
        _set_widths(table, [heads, *rows], self._room)
        _keep_together(table, whole=len(rows) <= SMALL_TABLE_ROWS)
        self._document.add_paragraph()

    def picture(self, caption: str, png: bytes, alt: str, width_inches: float) -> None:
        """A captioned picture with its text for people who cannot see it."""
        paragraph = self._document.add_paragraph()
        paragraph.paragraph_format.keep_with_next = True
        shape = paragraph.add_run().add_picture(BytesIO(png), width=Inches(width_inches))
        properties = shape._inline.docPr
        properties.set("descr", clean_text(alt)[:MOST_ALT_TEXT])
        properties.set("title", clean_text(caption))
        self._caption("Figure", caption)

    def _caption(self, word: str, text: str) -> None:
        self._counts[word] += 1
        paragraph = self._document.add_paragraph(f"{word} ", style="Caption")
        paragraph.paragraph_format.keep_with_next = word == "Table"
        _field(paragraph, f"SEQ {word} \\* ARABIC", str(self._counts[word]))
        paragraph.add_run(f". {clean_text(text)}")

    def save(self, path: Path) -> None:
        """Fill the contents and write the file. Raises FileProblemError when the disk does not take it."""
        self._fill_contents()
        buffer = BytesIO()
        self._document.save(buffer)
        try:
            path.write_bytes(_same_times(buffer.getvalue()))
        except OSError as error:
            raise FileProblemError(f"{path} could not be written: {error}") from error

    def _fill_contents(self) -> None:
        """A contents field with its entries already there: every program shows them, Word can renew them."""
        place, last = self._contents, len(self._headings) - 1
        for number, (text, level, name) in enumerate(self._headings):
            paragraph = place.insert_paragraph_before(style=f"toc {level}")
            if number == 0:
                _field_start(paragraph, 'TOC \\o "1-2" \\h \\z \\u')
            _link(paragraph, text, name)
            if number == last:
                _field_char(paragraph, "end")
        place._p.getparent().remove(place._p)


def _plain_font(style: Any, points: float) -> None:
    style.font.name, style.font.size, style.font.color.rgb = FONT, Pt(points), BLACK
    fonts = style.element.rPr.rFonts
    for name in ("asciiTheme", "hAnsiTheme", "eastAsiaTheme", "cstheme"):
        fonts.attrib.pop(qn(f"w:{name}"), None)


def _cell(cell: Any, value: str, *, bold: bool = False, right: bool = False, shaded: bool = False) -> None:
    paragraph = cell.paragraphs[0]
    run = paragraph.add_run(clean_text(value))
    run.bold, run.font.size = bold, Pt(TABLE_POINTS)
    if right:
        paragraph.alignment = WD_ALIGN_PARAGRAPH.RIGHT
    if shaded:
        shading = _element("w:shd", val="clear", color="auto", fill=HEAD_GREY.removeprefix("#"))
        cell._tc.get_or_add_tcPr().append(shading)


def _set_widths(table: Any, rows: Sequence[Sequence[str]], room: int) -> None:
    """Column widths in proportion to the longest word, so that words stay whole, and to long texts."""
    letters = [_letters([row[place] for row in rows]) for place in range(len(rows[0]))]
    table.autofit = False
    for column, share in zip(table.columns, letters, strict=True):
        column.width = Emu(room * share // sum(letters))
        for cell in column.cells:
            cell.width = column.width


def _letters(texts: Sequence[str]) -> int:
    """Letters a column should have room for: its longest word, or a third of its longest text."""
    words = max((len(word) + 1 for text in texts for word in text.split()), default=0)
    third = max(len(text) for text in texts) // 3
    return min(MOST_COLUMN_LETTERS, max(LEAST_COLUMN_LETTERS, words, third))


def _keep_together(table: Any, *, whole: bool) -> None:
    """Keep each row, and a small table as a whole, on one page."""
    for row in table.rows:
        row._tr.get_or_add_trPr().append(_element("w:cantSplit", val="true"))
    for row in table.rows[:-1] if whole else table.rows[:1]:
        for cell in row.cells:
            cell.paragraphs[0].paragraph_format.keep_with_next = True


def _is_figure(value: str) -> bool:
    return bool(value) and value.strip("-–0123456789.,%") == ""


def _repeat(row: Any) -> None:
    row._tr.get_or_add_trPr().append(_element("w:tblHeader", val="true"))


def _alt_text(properties: Any, text: str) -> None:
    properties.append(_element("w:tblCaption", val=clean_text(text)))


def _element(tag: str, **attributes: str) -> Any:
    element = OxmlElement(tag)
    for attribute, value in attributes.items():
        element.set(qn(f"w:{attribute}"), value)
    return element


def _field(paragraph: Paragraph, code: str, shown: str) -> None:
    """A field with the value it has, so that it shows before anybody renews it."""
    _field_start(paragraph, code)
    paragraph.add_run(shown)
    _field_char(paragraph, "end")


def _field_start(paragraph: Paragraph, code: str) -> None:
    _field_char(paragraph, "begin")
    words = _element("w:instrText")
    words.set(qn("xml:space"), "preserve")
    words.text = f" {code} "
    paragraph.add_run()._r.append(words)
    _field_char(paragraph, "separate")


def _field_char(paragraph: Paragraph, kind: str) -> None:
    paragraph.add_run()._r.append(_element("w:fldChar", fldCharType=kind))


def _bookmark(paragraph: Paragraph, name: str, number: int) -> None:
    start = _element("w:bookmarkStart", id=str(number), name=name)
    paragraph._p.insert(1 if paragraph._p.pPr is not None else 0, start)
    paragraph._p.append(_element("w:bookmarkEnd", id=str(number)))


def _link(paragraph: Paragraph, text: str, bookmark: str) -> None:
    """A run of text that leads to a bookmark."""
    run = paragraph.add_run(text)
    link = _element("w:hyperlink", anchor=bookmark, history="1")
    paragraph._p.append(link)
    link.append(run._r)


def _same_times(package: bytes) -> bytes:
    """The same package with every member's time fixed."""
    buffer = BytesIO()
    with zipfile.ZipFile(BytesIO(package)) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            member = zipfile.ZipInfo(name, ZIP_TIME)
            member.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(member, old.read(name))
    return buffer.getvalue()

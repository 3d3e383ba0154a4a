"""Looks of a cell. Grey and line only: nothing is told by colour, and all of it prints in black and white."""

from dataclasses import dataclass, replace
from typing import Literal

FONT = "Arial"
FONT_SIZE = 10
PAD = "_0"
"""Behind a figure the width of a digit is left free, so that it does not touch the frame of its neighbour."""
HEAD_GREY = "#D9D9D9"
ENTRY_GREY = "#F5F5F5"
LINE_GREY = "#7F7F7F"


@dataclass(frozen=True, kw_only=True)
class Style:
    """Look of a cell. `entry` cells are for people to fill in: dotted frame, not locked."""

    number: str = ""
    bold: bool = False
    italic: bool = False
    size: int = FONT_SIZE
    wrap: bool = False
    align: Literal["", "left", "center", "right"] = ""
    fill: Literal["", "head"] = ""
    line: Literal["", "frame", "thick", "top", "bottom"] = ""
    entry: bool = False
    link: bool = False
    quoted: bool = False

    def but(self, **changes: object) -> "Style":
        """The same style with some of it changed."""
        return replace(self, **changes)  # type: ignore[arg-type]

    def properties(self) -> dict[str, object]:
        """The style in XlsxWriter's words."""
        found: dict[str, object] = {
            "font_name": FONT,
            "font_scheme": "none",
            "font_size": self.size,
            "valign": "top",
        }
        found |= {name: True for name in ("bold", "italic") if getattr(self, name)}
        is_plain = bool(self.number) and "/" not in self.number  # a fraction has its own blanks
        is_figure = is_plain and self.align == "right" and self.line == "frame"
        if self.number:
            found["num_format"] = self.number + (PAD if is_figure else "")
        if self.wrap:
            found["text_wrap"] = True
        if self.align:
            found["align"] = self.align
            if self.align == "right" and self.line == "frame" and not is_figure:
                found["indent"] = 1  # a word does not touch the frame of its neighbour
        elif self.line == "frame" and not self.fill:
            found |= {"align": "left", "indent": 1}
        if self.fill:
            found["bg_color"] = HEAD_GREY
        found |= _LINES[self.line]
        if self.entry:
            found |= {"locked": False, "border": 3, "bg_color": ENTRY_GREY}
        if self.link:
            found |= {"underline": 1, "font_color": "#000080"}
        if self.quoted:
            found["quote_prefix"] = True
        return found


_LINES: dict[str, dict[str, object]] = {
    "": {},
    "frame": {"border": 1, "border_color": LINE_GREY},
    "thick": {"border": 2},
    "top": {"top": 1, "bold": True},
    "bottom": {"bottom": 1},
}

PLAIN = Style()
WRAP = Style(wrap=True)
BOLD = Style(bold=True)
TITLE = Style(bold=True, size=16, wrap=True)
SUBTITLE = Style(bold=True, size=12)
HEADING = Style(bold=True, wrap=True, fill="head", line="frame")
NOTE = Style(italic=True, wrap=True)
CAUTION = Style(bold=True, wrap=True, line="thick")
BODY = Style(line="frame")
BODY_WRAP = Style(line="frame", wrap=True)
BODY_ID = Style(line="frame", number="@")
INTEGER = Style(line="frame", number="#,##0", align="right")
DECIMAL_1 = Style(line="frame", number="#,##0.0", align="right")
DECIMAL_2 = Style(line="frame", number="#,##0.00", align="right")
DATE = Style(line="frame", number="yyyy-mm-dd", align="center")
CLOCK = Style(line="frame", number="hh:mm", align="center")
ENTRY = Style(entry=True)
ENTRY_WRAP = Style(entry=True, wrap=True)
BODY_LINK = Style(link=True, line="frame")
TICK = Style(line="frame", align="center", size=12)


def total(style: Style) -> Style:
    """The style of a column's total."""
    return style.but(line="top", bold=True, entry=False)

"""Text made safe for a workbook cell, a sheet name, a page header or a file name."""

import re
import unicodedata

CELL_LIMIT = 32_000
"""Characters kept in a cell; the format's own limit is 32,767."""
CUT_NOTE = " … (cut here: too long for a cell; the plan holds the whole text)"
REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
FORMULA_MARKS = ("=", "+", "-", "@")
SHEET_NAME_LIMIT = 31
FILE_NAME_LIMIT = 80
HEADER_LIMIT = 60

_UNSAFE = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_NOT_IN_SHEET_NAMES = re.compile(r"[\[\]:*?/\\]")
_NOT_IN_FILE_NAMES = re.compile(r"[^\w.-]+")
_RESERVED_FILES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)


def clean_text(text: str) -> str:
    """The text as a cell can hold it: one kind of line break, no control characters, not too long."""
    clean = _UNSAFE.sub(REPLACEMENT, text.replace("\r\n", "\n").replace("\r", "\n"))
    return clean[:CELL_LIMIT] + CUT_NOTE if len(clean) > CELL_LIMIT else clean


def needs_quote_mark(text: str) -> bool:
    """Whether a spreadsheet would turn the text into a formula when somebody edits the cell."""
    return text.startswith(FORMULA_MARKS)


def header_text(text: str) -> str:
    """The text for a page header or footer: one line, ampersands doubled, cut short."""
    line = " ".join(clean_text(text).split())
    short = line[: HEADER_LIMIT - 1] + "…" if len(line) > HEADER_LIMIT else line
    return short.replace("&", "&&")


def sheet_name(text: str, used: set[str]) -> str:
    """A valid sheet name unlike all in `used`, which it joins. Comparison ignores case."""
    clean = _NOT_IN_SHEET_NAMES.sub("_", clean_text(text)).strip(" '\n\t") or "Sheet"
    if clean.casefold() == "history":
        clean += "_"
    return _unlike(clean, used, SHEET_NAME_LIMIT)


def file_stem(text: str, used: set[str]) -> str:
    """A file name (without its ending) for any system, unlike all in `used`, which it joins."""
    clean = _NOT_IN_FILE_NAMES.sub("_", unicodedata.normalize("NFC", text)).strip("._ ") or "file"
    if _RESERVED_FILES.fullmatch(clean):
        clean += "_"
    return _unlike(clean, used, FILE_NAME_LIMIT)


def _unlike(text: str, used: set[str], limit: int) -> str:
    name, number = text[:limit], 1
    while name.casefold() in used:
        number += 1
        ending = f"_{number}"
        name = text[: limit - len(ending)] + ending
    used.add(name.casefold())
    return name

"""Text made safe for cells, sheet names, headers and files."""

import pytest

from pipeline.outputs.text import (
    CELL_LIMIT,
    CUT_NOTE,
    clean_text,
    file_stem,
    header_text,
    needs_quote_mark,
    sheet_name,
)


@pytest.mark.parametrize(
    ("typed", "clean"),
    [
        ("a\r\nb\rc", "a\nb\nc"),
        ("a\x00b\x0bc", "a\N{REPLACEMENT CHARACTER}b\N{REPLACEMENT CHARACTER}c"),
        ("x\ud800y￾z￿", "x\N{REPLACEMENT CHARACTER}y\N{REPLACEMENT CHARACTER}z\N{REPLACEMENT CHARACTER}"),
        ("tab\there", "tab\there"),
        ("=1+1", "=1+1"),
    ],
)
def test_clean_text_replaces_what_a_cell_cannot_hold(typed: str, clean: str) -> None:
    assert clean_text(typed) == clean


def test_long_text_is_cut_with_a_note() -> None:
    clean = clean_text("x" * 40_000)
    assert clean == "x" * CELL_LIMIT + CUT_NOTE
    assert len(clean) <= 32_767


@pytest.mark.parametrize("text", ["=1", "+1", "-x", "@SUM(A1)"])
def test_texts_that_could_become_formulas_are_marked(text: str) -> None:
    assert needs_quote_mark(text)
    assert not needs_quote_mark("x" + text)


def test_sheet_names_are_valid_and_unlike() -> None:
    used: set[str] = set()
    names = [sheet_name(text, used) for text in ("a/b", "A\\B", "History", "'", "x" * 40, "X" * 40, "")]
    assert names == ["a_b", "A_B_2", "History_", "Sheet", "x" * 31, "X" * 29 + "_2", "Sheet_2"]


def test_file_names_are_safe_on_every_system() -> None:
    used: set[str] = set()
    names = [file_stem(text, used) for text in ("P/1", "p:1", "CON", "..", "nul.txt", "é")]
    assert names == ["P_1", "p_1_2", "CON_", "file", "nul.txt_", "é"]


def test_header_text_doubles_ampersands_and_stays_short() -> None:
    assert header_text("a & b\nc") == "a && b c"
    assert len(header_text("x" * 300)) == 60

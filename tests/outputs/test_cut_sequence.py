"""The cuts of a pattern in order, with gauge settings, worked by hand; every edge of every piece is cut."""

from dataclasses import replace
from itertools import accumulate
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.errors import ContractError
from pipeline.outputs.cut_diagrams import make_drawing
from pipeline.outputs.cut_sequence import OFFCUT, Box, Cut, cut_sequence, sheet_box, strip_words
from tests import builders
from tests.outputs.ticket_reader import TicketError, assert_reproduced
from tests.stages import test_cut

TRIM_UM = 3_000


def pattern(
    width_mm: float, length_mm: float, *, first_cut: str = "across_width", trim_mm: float = 3.0
) -> dict[str, Any]:
    return {
        "pattern_id": "P1",
        "sheet_width_mm": width_mm,
        "sheet_length_mm": length_mm,
        "first_cut": first_cut,
        "trim_mm": trim_mm,
    }


def box(x_mm: float, y_mm: float, width_mm: float, length_mm: float, label: str = "A") -> Box:
    um = [round(value * 1000) for value in (x_mm, y_mm, x_mm + width_mm, y_mm + length_mm)]
    return Box(um[0], um[1], um[2], um[3], label)


def lines(cuts: tuple[Cut, ...]) -> list[tuple[int, str, float, str, str]]:
    return [(cut.number, cut.knife, cut.gauge_um / 1000, cut.falls, cut.stays) for cut in cuts]


def test_two_strips_with_an_offcut_and_a_trim_within_a_strip() -> None:
    """A sheet of 700 × 1000: two strips of A, A, B; B is lower than its strip; the far end is an off-cut."""
    pieces = [
        piece
        for y in (0, 310)
        for piece in (box(0, y, 240, 310), box(240, y, 240, 310), box(480, y, 200, 280, "B"))
    ]
    plan = cut_sequence(pattern(700, 1000), pieces, [box(0, 620, 694, 374, OFFCUT)])
    assert plan.has_whole_offcuts
    assert lines(plan.cuts) == [
        (1, "across the width", 997.0, "trim", "the rest"),
        (2, "across the width", 994.0, "waste", "strips 1, 2, off-cut"),
        (3, "across the width", 620.0, OFFCUT, "strips 1, 2"),
        (4, "across the width", 310.0, "strip 2", "strip 1"),
        (5, "along the length", 697.0, "trim", "the rest"),
        (6, "along the length", 680.0, "waste", "2 × A, B"),
        (7, "along the length", 480.0, "B", "2 × A"),
        (8, "along the length", 240.0, "A", "A"),
        (9, "across the width", 280.0, "waste", "B"),
    ]
    assert [cut.turn_after for cut in plan.cuts] == [
        True,
        False,
        False,
        False,
        True,
        False,
        False,
        False,
        False,
    ]
    assert plan.cuts[4].piles == ("strip 1", "strip 2")


def test_strips_are_named_together() -> None:
    assert strip_words([2]) == "strip 2"
    assert strip_words([1, 2]) == "strips 1, 2"
    assert strip_words([1, 2, 3]) == "strips 1 to 3"
    assert strip_words([1, 3, 4]) == "strips 1, 3, 4"


def test_one_piece_without_trim_needs_two_cuts() -> None:
    plan = cut_sequence(pattern(500, 700, trim_mm=0), [box(0, 0, 200, 300)], [])
    assert lines(plan.cuts) == [
        (1, "across the width", 300.0, "waste", "strip 1"),
        (2, "along the length", 200.0, "waste", "A"),
    ]


def test_a_piece_as_large_as_the_sheet_needs_no_cut() -> None:
    assert cut_sequence(pattern(500, 700, trim_mm=0), [box(0, 0, 500, 700)], []).cuts == ()


def test_the_first_cut_may_run_along_the_length() -> None:
    pieces = [box(0, 0, 200, 300), box(200, 0, 200, 300)]
    plan = cut_sequence(pattern(406, 306, first_cut="across_length"), pieces, [])
    assert [cut.knife for cut in plan.cuts] == ["along the length"] * 3 + ["across the width"] * 2


def test_an_offcut_across_strips_is_cut_through_and_said_so() -> None:
    pieces = [box(0, 0, 200, 300), box(0, 300, 200, 300)]
    plan = cut_sequence(pattern(506, 606), pieces, [box(200, 0, 300, 600, OFFCUT)])
    assert not plan.has_whole_offcuts
    assert plan.cuts[2].gauge_um == 300_000


def test_a_pinwheel_cannot_be_cut() -> None:
    pieces = [box(0, 0, 200, 100), box(200, 0, 100, 200), box(100, 200, 200, 100), box(0, 100, 100, 200)]
    with pytest.raises(ContractError, match="edge to edge"):
        cut_sequence(pattern(306, 306), pieces, [])


def test_piles_that_end_as_unlike_pieces_have_lines_of_their_own() -> None:
    # C and B are both trimmed to 146 mm, but are two sizes
    pieces = [box(0, 0, 60, 147), box(60, 0, 60, 146, "C"), box(0, 147, 60, 158), box(60, 147, 61, 146, "B")]
    plan = cut_sequence(pattern(127, 311), pieces, [])
    trims = [(cut.piles, cut.stays) for cut in plan.cuts if cut.gauge_um == 146_000]
    assert trims == [(("strip 1, C",), "C"), (("strip 2, B",), "B")]


@st.composite
def two_stage(draw: st.DrawFn) -> tuple[dict[str, Any], list[Box]]:
    """A sheet with strips of pieces, some lower than their strip."""
    side = st.integers(60, 200)
    strips = draw(st.lists(st.tuples(side, st.lists(side, min_size=1, max_size=4)), min_size=1, max_size=4))
    tops = [0, *accumulate(height for height, _ in strips)]
    pieces = []
    for (height, widths), y in zip(strips, tops[:-1], strict=True):
        xs = [0, *accumulate(widths)]
        lower = draw(st.integers(0, 20))
        pieces += [
            box(x, y, w, height - (lower if place == len(widths) - 1 else 0), chr(65 + w % 5))
            for place, (x, w) in enumerate(zip(xs[:-1], widths, strict=True))
        ]
    widest = max(piece.right_um for piece in pieces) / 1000
    rest = draw(st.sampled_from((0, 40)))
    return pattern(widest + 6 + rest, tops[-1] + 6 + rest), pieces


@given(two_stage())
@settings(max_examples=60, deadline=None, derandomize=True)
def test_every_edge_of_every_piece_lies_on_a_cut(case: tuple[dict[str, Any], list[Box]]) -> None:
    sheet, pieces = case
    cuts = cut_sequence(sheet, pieces, []).cuts
    assert [cut.number for cut in cuts] == list(range(1, len(cuts) + 1))
    drawn = [line for cut in cuts for line in cut.lines]
    outer = sheet_box(sheet)
    for piece in pieces:
        for x in (piece.x_um, piece.right_um):
            assert any(x0 == x == x1 and y0 <= piece.y_um and piece.top_um <= y1 for x0, y0, x1, y1 in drawn)
        for y in (piece.y_um, piece.top_um):
            assert any(
                y0 == y == y1 and x0 <= piece.x_um and piece.right_um <= x1 for x0, y0, x1, y1 in drawn
            )
    assert all(0 < cut.gauge_um < max(outer.right_um, outer.top_um) + TRIM_UM for cut in cuts)


@given(two_stage())
@settings(max_examples=30, deadline=None, derandomize=True)
def test_no_cut_goes_through_a_piece(case: tuple[dict[str, Any], list[Box]]) -> None:
    sheet, pieces = case
    for cut in cut_sequence(sheet, pieces, []).cuts:
        for x0, y0, x1, y1 in cut.lines:
            for piece in pieces:
                crosses_upright = (
                    x0 == x1 and piece.x_um < x0 < piece.right_um and y0 < piece.top_um and piece.y_um < y1
                )
                crosses_level = (
                    y0 == y1 and piece.y_um < y0 < piece.top_um and x0 < piece.right_um and piece.x_um < x1
                )
                assert not crosses_upright
                assert not crosses_level


@given(two_stage())
@settings(max_examples=60, deadline=None, derandomize=True)
def test_an_operator_who_follows_the_lines_gets_the_pieces(case: tuple[dict[str, Any], list[Box]]) -> None:
    sheet, pieces = case
    assert_reproduced(sheet_box(sheet), pieces, cut_sequence(sheet, pieces, []).cuts)


def test_the_operator_notices_a_wrong_gauge_and_a_missing_line() -> None:
    """Two leaves of 200 x 300 side by side: 2 trims, 2 wastes and 1 cut between them."""
    sheet, pieces = pattern(506, 406), [box(0, 0, 200, 300), box(200, 0, 200, 300)]
    cuts = cut_sequence(sheet, pieces, []).cuts
    assert_reproduced(sheet_box(sheet), pieces, cuts)
    wrong = [replace(cut, gauge_um=cut.gauge_um - 500) if cut.gauge_um == 200_000 else cut for cut in cuts]
    for broken in (wrong, cuts[:-1]):
        with pytest.raises(TicketError):
            assert_reproduced(sheet_box(sheet), pieces, broken)


def test_every_ticket_of_a_plan_gives_its_pattern_when_it_is_followed() -> None:
    """Sheets and rolls, grain held and turned, with off-cuts, as the cutting stage makes them."""
    papers = [builders.paper("P-1", grain_rule="require"), builders.paper("P-2", grain_rule="ignore")]
    stock = [
        builders.stock("S-1", paper_id="P-1", width_mm=610.0, length_mm=914.0),
        builders.stock(
            "S-2", paper_id="P-1", form="roll", width_mm=1000.0, length_mm=50_000.0, pack_quantity=1
        ),
        builders.stock("S-3", paper_id="P-2", width_mm=813.0, length_mm=1016.0, grain="short"),
    ]
    leaves = [
        (201.0, 279.5, 15),
        (221.0, 282.0, 8),
        (255.0, 324.0, 21),
        (173.0, 301.0, 12),
        (313.5, 403.0, 7),
    ]
    answer = test_cut.cut(test_cut.frames(leaves, papers=papers, stock=stock))
    lines = {row["stock_id"]: row for row in stock}
    for row in answer["work.patterns"].to_dicts():
        sheet = row | {key: lines[row["stock_id"]][key] for key in ("trim_mm", "grain")}
        parts = [
            answer[table].filter(pattern_id=row["pattern_id"]).to_dicts()
            for table in ("work.pattern_pieces", "work.offcuts")
        ]
        drawing = make_drawing(sheet, *parts)
        assert_reproduced(sheet_box(sheet), drawing.pieces, drawing.plan.cuts)

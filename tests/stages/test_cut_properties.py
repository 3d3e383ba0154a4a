"""Whatever leaves, stock and rules: pieces inside and apart, two stages, demand met, grain kept, tickets followed."""

from collections import Counter
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from pipeline.frames import Frames
from pipeline.outputs.cut_diagrams import make_drawing
from pipeline.outputs.cut_sequence import sheet_box
from tests import builders
from tests.outputs.ticket_reader import assert_reproduced
from tests.stages.test_cut import Leaf, cut, frames, played_back

HALF_MM = st.integers(300, 800).map(lambda half_mm: half_mm / 2)
LEAVES = st.lists(
    st.tuples(HALF_MM, HALF_MM, st.integers(2, 12)), min_size=1, max_size=3, unique_by=lambda leaf: leaf[:2]
)
NO_SHRINKING = (Phase.explicit, Phase.generate)
"""A failing case is printed as it is: making it smaller would take minutes."""
GRAIN = st.sampled_from(["long", "short"])


@st.composite
def stocks(draw: st.DrawFn) -> list[dict[str, Any]]:
    """A sheet that gives every leaf whichever way it lies, and perhaps a roll or a smaller sheet."""
    trim_mm = draw(st.sampled_from([0.0, 3.0, 4.5]))
    listed = [builders.stock("S-1", width_mm=640.0, length_mm=900.0, grain=draw(GRAIN), trim_mm=trim_mm)]
    if draw(st.booleans()):
        listed.append(
            builders.stock("S-2", width_mm=450.0, length_mm=640.0, grain=draw(GRAIN), pack_price=20.0)
        )
    if draw(st.booleans()):
        roll = {
            "form": "roll",
            "width_mm": 1000.0,
            "length_mm": 50_000.0,
            "pack_quantity": 1,
            "pack_price": 60.0,
        }
        listed.append(builders.stock("S-3", **roll))
    return listed


@given(
    leaves=LEAVES,
    stock=stocks(),
    rule=st.sampled_from(["require", "prefer", "ignore"]),
    most=st.integers(1, 3),
)
@settings(max_examples=12, deadline=None, derandomize=True, phases=NO_SHRINKING)
@pytest.mark.slow
def test_every_plan_keeps_every_rule(
    leaves: list[Leaf], stock: list[dict[str, Any]], rule: str, most: int
) -> None:
    papers = [builders.paper(grain_rule=rule)]
    given_frames = frames(leaves, papers=papers, stock=stock, max_sizes_per_sheet=most)
    answer = cut(given_frames)
    made = played_back(given_frames, answer)
    wanted = {row["cut_size_id"]: row for row in given_frames["work.demands"].to_dicts()}
    assert all(made[size] >= row["sheets"] + row["spares"] for size, row in wanted.items())
    for pattern in answer["work.patterns"].to_dicts():
        line = next(line for line in stock if line["stock_id"] == pattern["stock_id"])
        pieces, offcuts = (
            answer[table].filter(pattern_id=pattern["pattern_id"]).to_dicts()
            for table in ("work.pattern_pieces", "work.offcuts")
        )
        _areas_fit(pattern, line, [*pieces, *offcuts])
        assert len({piece["cut_size_id"] for piece in pieces}) <= most
        _sides_are_the_leafs(pieces, wanted, turns=rule != "require", is_long=line["grain"] == "long")
        drawing = make_drawing(
            pattern | {"trim_mm": line["trim_mm"], "grain": line["grain"]}, pieces, offcuts
        )
        assert_reproduced(sheet_box(drawing.pattern), drawing.pieces, drawing.plan.cuts)


def _areas_fit(pattern: dict[str, Any], line: dict[str, Any], parts: list[dict[str, Any]]) -> None:
    """Pieces, off-cuts and trim take no more than the parent, and each pair of parts lies apart."""
    width, length, trim = pattern["sheet_width_mm"], pattern["sheet_length_mm"], 2 * line["trim_mm"]
    area = sum(part["along_width_mm"] * part["along_length_mm"] for part in parts)
    assert area <= (width - trim) * (length - trim) + 1e-6
    for index, one in enumerate(parts):
        for other in parts[:index]:
            assert (
                one["x_mm"] >= other["x_mm"] + other["along_width_mm"]
                or other["x_mm"] >= one["x_mm"] + one["along_width_mm"]
                or one["y_mm"] >= other["y_mm"] + other["along_length_mm"]
                or other["y_mm"] >= one["y_mm"] + one["along_length_mm"]
            )


def _sides_are_the_leafs(
    pieces: list[dict[str, Any]], wanted: dict[str, dict[str, Any]], *, turns: bool, is_long: bool
) -> None:
    """Leaf height along the grain; across it only where the paper's rule lets pieces turn."""
    for piece in pieces:
        leaf = wanted[piece["cut_size_id"]]
        along = (piece["along_width_mm"], piece["along_length_mm"])
        held = along if is_long else along[::-1]
        sides = (leaf["width_mm"], leaf["height_mm"])
        assert held == sides or (turns and held == sides[::-1])


def test_the_player_counts_what_it_is_given() -> None:
    """One leaf of 300 x 400 and its spare on one sheet: two pieces come out."""
    given_frames: Frames = frames([(300.0, 400.0, 2)])
    assert played_back(given_frames, cut(given_frames)) == Counter({"C00": 2})

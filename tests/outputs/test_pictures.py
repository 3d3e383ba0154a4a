"""Pictures: the same bytes each time, grey, of the promised size, told in words."""

from io import BytesIO

import pytest
from PIL import Image

from pipeline.outputs.cut_diagrams import (
    Drawing,
    cut_diagram,
    diagram_text,
    letter,
    make_drawing,
    picture_inches,
)
from pipeline.outputs.frontier import axis_span
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.pictures import DOTS_PER_INCH, png_inches
from pipeline.outputs.wedge import wedge_picture, wedge_text
from pipeline.published_plan import Plan, Row, rows_by
from tests.outputs.fake_plan import fake_store


@pytest.fixture(scope="module")
def plan() -> Plan:
    return Plan(fake_store())


def _drawing(plan: Plan, name: str) -> tuple[Drawing, Row]:
    ticket = next(row for row in plan.query("cut_tickets") if row["pattern_id"] == name)
    pieces = rows_by(plan.table("pattern_pieces"), "pattern_id")[name]
    offcuts = rows_by(plan.table("offcuts"), "pattern_id").get(name, [])
    return make_drawing(ticket, pieces, offcuts), ticket


def test_a_cut_diagram_repeats_to_the_byte(plan: Plan) -> None:
    drawing, _ = _drawing(plan, "P2")
    first, again = cut_diagram(drawing, Lengths("mm")), cut_diagram(drawing, Lengths("mm"))
    assert first == again
    image = Image.open(BytesIO(first))
    assert image.mode == "L"
    assert image.size == tuple(int(side * DOTS_PER_INCH) for side in picture_inches(drawing))
    assert cut_diagram(drawing, Lengths("in")) != first


def test_a_diagram_leaves_room_for_the_lists_of_its_ticket(plan: Plan) -> None:
    one_size, _ = _drawing(plan, "P3")
    two_sizes, _ = _drawing(plan, "P2")
    assert picture_inches(two_sizes)[1] < picture_inches(one_size)[1]


def test_a_diagram_in_words(plan: Plan) -> None:
    drawing, _ = _drawing(plan, "P2")
    words = diagram_text(drawing, Lengths("mm"))
    assert "4 of size A, 2 of size B" in words
    assert "700 × 1000 mm" in words
    assert "9 gauge settings" in words


def test_letters_go_on_after_z() -> None:
    assert [letter(number) for number in (0, 25, 26, 27, 52)] == ["A", "Z", "AA", "AB", "BA"]


def test_wedges_repeat_to_the_byte_and_differ_by_volume(plan: Plan) -> None:
    volumes = plan.query("bench_volumes")
    pictures = [wedge_picture(volume) for volume in volumes]
    assert wedge_picture(volumes[3]) == pictures[3]
    assert len(set(pictures)) > 1
    assert png_inches(pictures[0]) == pytest.approx((3.3, 1.3), abs=0.02)
    assert "0.4 degrees before" in wedge_text(volumes[0])


def test_a_wedge_with_a_thinner_fore_edge_is_drawn_too(plan: Plan) -> None:
    volume = plan.query("bench_volumes")[0]
    hollow = volume | {"wedge_before_deg": -1.0, "wedge_limit_deg": None}
    assert wedge_picture(hollow) != wedge_picture(volume)


@pytest.mark.parametrize(
    ("values", "span"),
    [([20.0, 60.0, 100.0], (0.0, 105.0)), ([90.0, 100.0], (85.0, 105.0)), ([100.0], (95.0, 105.0))],
)
def test_an_axis_starts_at_nothing_unless_all_lies_far_from_it(
    values: list[float], span: tuple[float, float]
) -> None:
    assert axis_span(values) == pytest.approx(span)

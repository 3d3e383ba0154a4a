"""Closed volumes and their enclosures against figures worked by hand; limits from NARA's shelving guidelines.

One store holds all cases. Each volume is 50 mm wider than the one before, so that the boxes of one case are
too small or too loose for all others; boxes are given as what they hold beyond the inside the volume needs.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest

from pipeline.store import Store
from tests.sql.choose_case import AFTER, BEFORE, BOX, Case

Beyond = tuple[float, float, float]
"""Width, height and depth beyond the inside needed, mm."""
RIGHT: Beyond = (3.0, 3.0, 2.0)
FIRST_WIDTH_MM, STEP_MM = 250.0, 50.0
NEEDED_HEIGHT_MM, NEEDED_DEPTH_MM = 309.0, 28.0
"""Of a page 300 mm high and a block 20 mm thick: squares 6, boards 5, clearance 3 mm."""


@dataclass(frozen=True)
class Fit:
    """A case: the volume's own measures, its boxes by id, its options' sheets and the option it gets."""

    volume: dict[str, Any] = field(default_factory=dict)
    boxes: dict[str, Beyond] = field(default_factory=dict)
    more: dict[str, dict[str, float]] = field(default_factory=dict)
    sheets: tuple[int, ...] = ()
    option_no: int = 0


FITS = {
    "just enough room": Fit(boxes={"tight": (0, 0, 0)}),
    "just enough slack": Fit(boxes={"loose": (10, 10, 25)}),
    "too narrow": Fit(boxes={"wrong": (-0.1, 3, 2)}),
    "too low": Fit(boxes={"wrong": (3, -0.1, 2)}),
    "too shallow": Fit(boxes={"wrong": (3, 3, -0.1)}),
    "too wide": Fit(boxes={"wrong": (10.1, 3, 2)}),
    "too high": Fit(boxes={"wrong": (3, 10.1, 2)}),
    "too deep": Fit(boxes={"wrong": (3, 3, 25.1)}),
    "slack of its own": Fit(boxes={"own": (19, 3, 2)}, more={"own": {"max_slack_mm": 20.0}}),
    "least volume": Fit(boxes={"large": (5, 3, 2), "small": RIGHT}, more={"small": {"price": 30.0}}),
    "price": Fit(boxes={"dear": RIGHT, "fair": RIGHT}, more={"dear": {"price": 11.0}}),
    "id": Fit(boxes={"b": RIGHT, "a": RIGHT}),
    "no_paper": Fit({"state": "no_paper"}, {"box": RIGHT}),
    "no_headroom": Fit({"state": "no_headroom"}, {"box": RIGHT}),
    "keep": Fit({"enclosure": "keep"}, {"box": RIGHT}),
    "none": Fit({"enclosure": "none"}, {"box": RIGHT}),
    "on_hold": Fit({"state": "on_hold"}, {"box": RIGHT}),
    "treat_first": Fit({"state": "treat_first"}, {"box": RIGHT}),
    "deferred": Fit({"state": "covered"}, {"box": RIGHT}, sheets=(4, 10), option_no=0),
    "prioritised": Fit({"state": "covered"}, {"box": RIGHT}, sheets=(4, 10), option_no=1),
    # 40 sheets make the fore edge 24: 4 mm more inside than the thin box was made for
    "thin": Fit({"state": "covered"}, {"thin": (1, 1, 3), "thick": (1, 1, 12)}, sheets=(10, 40), option_no=1),
    "thick": Fit(
        {"state": "covered"}, {"thin": (1, 1, 3), "thick": (1, 1, 12)}, sheets=(10, 40), option_no=2
    ),
    "covers": Fit({"cover_width_mm": 2260.0, "cover_height_mm": 312.0, "boards_thickness_mm": 8.0}),
    # page height + 6 mm of squares against 22 in = 558.8 mm
    "22 in high": Fit({"page_height_mm": 552.8}),
    "higher": Fit({"page_height_mm": 552.9}),
    # text block + 5 mm of boards against 4 in = 101.6 mm
    "4 in thick": Fit({"spine_thickness_mm": 96.6}),
    "thicker": Fit({"spine_thickness_mm": 96.7}),
}
WIDTHS = {name: FIRST_WIDTH_MM + STEP_MM * number for number, name in enumerate(FITS)}


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    case = Case()
    for name, fit in FITS.items():
        values = {"state": "nothing_needed", "page_width_mm": WIDTHS[name]} | fit.volume
        case.volume(name, sheets=fit.sheets, **values)
        if values["state"] not in ("on_hold", "treat_first"):
            case.choose(name, fit.option_no)
        for box_id, (width, height, depth) in fit.boxes.items():
            inside = {
                "inner_width_mm": WIDTHS[name] + 4 + 3 + width,
                "inner_height_mm": NEEDED_HEIGHT_MM + height,
                "inner_depth_mm": NEEDED_DEPTH_MM + depth,
            }
            made = BOX | inside | fit.more.get(box_id, {})
            case.add("clean.enclosure_stock", enclosure_id=f"{name}: {box_id}", **made)
    with case.store(*BEFORE, *AFTER) as filled:
        yield filled


def fitted(store: Store, name: str) -> tuple[Any, ...] | None:
    """Enclosure, inside and price of the one the volume gets, or None."""
    columns = "enclosure_id, inner_width_mm, inner_height_mm, inner_depth_mm, price"
    rows = store.rows(f"select {columns} from work.enclosure_fits where volume_id = ?", [name])
    return rows[0] if rows else None


def closed(store: Store, name: str) -> tuple[Any, ...]:
    """Width, height, thickness and shelving of the closed volume."""
    columns = "closed_width_mm, closed_height_mm, closed_thickness_mm, shelved"
    return store.rows(f"select {columns} from work.closed_volumes where volume_id = ?", [name])[0]


def test_closed_volume_adds_squares_and_boards(store: Store) -> None:
    assert closed(store, "just enough room") == (254.0, 306.0, 25.0, "upright")


def test_measured_covers_and_boards_win(store: Store) -> None:
    assert closed(store, "covers") == (2260.0, 312.0, 28.0, "upright")


def test_the_thicker_edge_after_the_work_counts(store: Store) -> None:
    # 40 sheets of 100 um: fore edge 24, spine 20
    assert closed(store, "thick")[2] == pytest.approx(29.0)


@pytest.mark.parametrize(
    ("name", "shelved"),
    [("22 in high", "upright"), ("higher", "flat"), ("4 in thick", "upright"), ("thicker", "flat")],
)
def test_upright_up_to_twenty_two_inches_and_four_inches_thick(store: Store, name: str, shelved: str) -> None:
    assert closed(store, name)[3] == shelved


def test_a_box_with_just_enough_room_and_one_with_just_enough_slack_fit(store: Store) -> None:
    assert fitted(store, "just enough room") == ("just enough room: tight", 257.0, 309.0, 28.0, 10.0)
    width = WIDTHS["just enough slack"] + 17
    assert fitted(store, "just enough slack") == ("just enough slack: loose", width, 319.0, 53.0, 10.0)


@pytest.mark.parametrize("name", ["too narrow", "too low", "too shallow", "too wide", "too high", "too deep"])
def test_too_small_or_too_loose_is_made_to_measure(store: Store, name: str) -> None:
    assert fitted(store, name) == (None, WIDTHS[name] + 7, 309.0, 28.0, 28.0)


@pytest.mark.parametrize(
    ("name", "box_id"),
    [("slack of its own", "own"), ("least volume", "small"), ("price", "fair"), ("id", "a")],
)
def test_own_slack_then_least_inner_volume_then_price_then_id(store: Store, name: str, box_id: str) -> None:
    found = fitted(store, name)
    assert found is not None
    assert found[0] == f"{name}: {box_id}"


@pytest.mark.parametrize("name", ["no_paper", "no_headroom", "prioritised"])
def test_volumes_marked_new_get_one_with_sheets_or_without(store: Store, name: str) -> None:
    assert fitted(store, name) is not None


@pytest.mark.parametrize("name", ["keep", "none", "on_hold", "treat_first", "deferred"])
def test_none_where_none_is_wished_on_hold_treated_first_or_left_out(store: Store, name: str) -> None:
    assert fitted(store, name) is None


@pytest.mark.parametrize("name", ["thin", "thick"])
def test_the_box_is_chosen_for_the_bulk_of_the_chosen_option(store: Store, name: str) -> None:
    found = fitted(store, name)
    assert found is not None
    assert found[0] == f"{name}: {name}"

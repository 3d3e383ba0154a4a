"""Closed volumes and their enclosures against figures worked by hand; limits from NARA's shelving guidelines."""

from typing import Any

import pytest

from tests.sql.choose_case import AFTER, BEFORE, BOX, Case

ALONE = {"state": "nothing_needed"}


def closed(case: Case) -> tuple[Any, ...]:
    """Width, height, thickness and shelving of the closed volume A."""
    store = case.store(*BEFORE, *AFTER)
    columns = "closed_width_mm, closed_height_mm, closed_thickness_mm, shelved"
    return store.rows(f"select {columns} from work.closed_volumes where volume_id = 'A'")[0]


def fitted(case: Case) -> list[tuple[Any, ...]]:
    """Enclosure, inside and price of the volumes that get one."""
    columns = "enclosure_id, inner_width_mm, inner_height_mm, inner_depth_mm, price"
    return case.store(*BEFORE, *AFTER).rows(f"select {columns} from work.enclosure_fits order by volume_id")


def box(enclosure_id: str, **values: Any) -> dict[str, Any]:
    return BOX | {"enclosure_id": enclosure_id} | values


def case_with(*boxes: dict[str, Any], **values: Any) -> Case:
    """Volume A of 250 x 300 x 20 mm without sheets: closed 254 x 306 x 25, inside needed 257 x 309 x 28."""
    case = Case().volume(**(ALONE | values)).choose("A", 0)
    for each in boxes:
        case.add("clean.enclosure_stock", **each)
    return case


def test_closed_volume_adds_squares_and_boards() -> None:
    assert closed(case_with()) == (254.0, 306.0, 25.0, "upright")


def test_measured_covers_and_boards_win() -> None:
    case = case_with(cover_width_mm=260.0, cover_height_mm=312.0, boards_thickness_mm=8.0)
    assert closed(case) == (260.0, 312.0, 28.0, "upright")


def test_the_thicker_edge_after_the_work_counts() -> None:
    # 20 sheets of 100 um: fore edge 22, spine 20
    case = Case().volume(sheets=(20,)).choose("A", 1)
    assert closed(case)[2] == pytest.approx(27.0)


@pytest.mark.parametrize(("height_mm", "shelved"), [(552.8, "upright"), (552.9, "flat")])
def test_upright_up_to_twenty_two_inches(height_mm: float, shelved: str) -> None:
    # page height + 6 mm of squares against 22 in = 558.8 mm
    assert closed(case_with(page_height_mm=height_mm))[3] == shelved


@pytest.mark.parametrize(("spine_mm", "shelved"), [(96.6, "upright"), (96.7, "flat")])
def test_upright_up_to_four_inches_thick(spine_mm: float, shelved: str) -> None:
    # text block + 5 mm of boards against 4 in = 101.6 mm
    case = case_with(spine_thickness_mm=spine_mm, fore_edge_thickness_mm=20.0)
    assert closed(case)[3] == shelved


def test_a_box_with_just_enough_room_and_one_with_just_enough_slack_fit() -> None:
    tight = box("tight", inner_width_mm=257.0, inner_height_mm=309.0, inner_depth_mm=28.0)
    loose = box("loose", inner_width_mm=267.0, inner_height_mm=319.0, inner_depth_mm=53.0)
    assert fitted(case_with(tight)) == [("tight", 257.0, 309.0, 28.0, 10.0)]
    assert fitted(case_with(loose)) == [("loose", 267.0, 319.0, 53.0, 10.0)]


@pytest.mark.parametrize(
    "wrong",
    [
        {"inner_width_mm": 256.9},
        {"inner_height_mm": 308.9},
        {"inner_depth_mm": 27.9},
        {"inner_width_mm": 267.1},
        {"inner_height_mm": 319.1},
        {"inner_depth_mm": 53.1},
        {"inner_width_mm": 309.0, "inner_height_mm": 257.0},
    ],
)
def test_too_small_too_loose_or_turned_is_made_to_measure(wrong: dict[str, float]) -> None:
    right = {"inner_width_mm": 260.0, "inner_height_mm": 312.0, "inner_depth_mm": 30.0}
    assert fitted(case_with(box("right", **right)))[0][0] == "right"
    assert fitted(case_with(box("wrong", **(right | wrong)))) == [(None, 257.0, 309.0, 28.0, 28.0)]


def test_slack_is_the_enclosures_own() -> None:
    wide = box("wide", inner_width_mm=275.0, inner_height_mm=312.0)
    assert fitted(case_with(wide))[0][0] is None
    assert fitted(case_with(wide | {"max_slack_mm": 20.0}))[0][0] == "wide"


def test_least_inner_volume_then_price_then_id() -> None:
    small = box("small", price=30.0)
    large = box("large", inner_width_mm=262.0, price=5.0)
    assert fitted(case_with(large, small))[0][0] == "small"
    assert fitted(case_with(small, box("cheap", price=20.0)))[0][0] == "cheap"
    assert fitted(case_with(box("b"), box("a")))[0][0] == "a"


@pytest.mark.parametrize(
    ("values", "gets"),
    [
        ({"state": "nothing_needed"}, True),
        ({"state": "no_paper"}, True),
        ({"state": "no_headroom"}, True),
        ({"state": "nothing_needed", "enclosure": "keep"}, False),
        ({"state": "nothing_needed", "enclosure": "none"}, False),
    ],
)
def test_volumes_without_sheets_that_are_marked_new_get_one(values: dict[str, Any], gets: bool) -> None:
    assert len(fitted(case_with(**values))) == gets


@pytest.mark.parametrize("state", ["on_hold", "treat_first"])
def test_none_on_hold_or_to_be_treated_first(state: str) -> None:
    assert fitted(Case().volume(state=state)) == []


@pytest.mark.parametrize(("option_no", "gets"), [(0, False), (1, True), (2, True)])
def test_none_for_a_volume_left_out_whole(option_no: int, gets: bool) -> None:
    case = Case().volume(sheets=(4, 10)).choose("A", option_no)
    assert len(fitted(case)) == gets


def test_the_box_is_chosen_for_the_bulk_of_the_chosen_option() -> None:
    # 40 sheets make the fore edge 24: inside needed 32, more than the thin box holds
    thin = box("thin", inner_width_mm=258.0, inner_height_mm=310.0, inner_depth_mm=31.0)
    thick = box("thick", inner_width_mm=258.0, inner_height_mm=310.0, inner_depth_mm=40.0)
    for option_no, enclosure_id in ((1, "thin"), (2, "thick")):
        case = Case().volume(sheets=(10, 40)).choose("A", option_no)
        for each in (thin, thick):
            case.add("clean.enclosure_stock", **each)
        assert fitted(case)[0][0] == enclosure_id

"""Other ways of sizing and cutting: a small case by hand, sound rows on a mixed one, nothing for nothing."""

from typing import Any

import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.stages.cutting_choices import CHOICE_READS, compare_cutting, spare_sheets, tried_clearances_mm
from pipeline.stages.size import cover_sizes, find_windows
from tests import builders

Page = tuple[float, float, int]
"""Width and height of a page, mm, and its sheets."""


def frames(pages: list[Page], *, paper: dict[str, Any] | None = None, **campaign: Any) -> Frames:
    """One volume a page, paper P-1 on sheets of 700 x 1000 mm at 0.45, trim 3 mm a side."""
    volumes = [
        builders.volume(f"V{number}", page_width_mm=width, page_height_mm=height)
        for number, (width, height, _) in enumerate(pages)
    ]
    interleaves = [
        {
            "volume_id": f"V{number}",
            "group_no": 1,
            "paper_id": "P-1",
            "sheets": sheets,
            "benefit": 1.0,
            "thickness_um": 100.0,
            "reason": "",
        }
        for number, (_, _, sheets) in enumerate(pages)
    ]
    properties = [{"paper_id": "P-1", "effective_thickness_um": 120.0, "bending_length_mm": 60.0}]
    given = {
        "clean.volumes": builders.frame("clean.volumes", volumes),
        "clean.papers": builders.frame("clean.papers", [paper or builders.paper(grain_rule="require")]),
        "clean.stock": builders.frame("clean.stock", [builders.stock()]),
        "clean.campaign": builders.frame("clean.campaign", [builders.campaign(**campaign)]),
        "work.pinned_sizes": TABLES["work.pinned_sizes"].empty(),
        "work.interleaves": builders.frame("work.interleaves", interleaves),
        "work.paper_properties": builders.frame("work.paper_properties", properties),
        "policy.figures": builders.policy_frames()["policy.figures"],
    }
    given |= find_windows(given, builders.settings())
    return given | cover_sizes(given, builders.settings())


def compare(given: Frames, effort: str = "usual") -> dict[str, pl.DataFrame]:
    """The step's answer by table stem, kept to its contracts; it reads no other table than it says."""
    settings = builders.settings(effort=effort)
    answer = compare_cutting({name: given[name] for name in CHOICE_READS}, settings)
    return {name.removeprefix("work."): TABLES[name].check(frame) for name, frame in answer.items()}


def test_two_pages_by_hand() -> None:
    """Pages of 238 x 334 and 240 x 336 mm, 8 sheets and a spare each, on 694 x 994 mm of usable sheet.

    Limit 4: widths 234-236 and 236-238, one size of 236 x 332; 2 x 2 ... 694 // 236 = 2 and 994 // 332 = 2, so 17
    leaves take 5 sheets. Limit 9: 231 wide and 331 high goes 3 x 3, 2 sheets. The usual way: 235 x 331 (2 x 3) takes
    2 sheets for 9, 237 x 333 (2 x 2) takes 3.
    """
    found = compare(frames([(238.0, 334.0, 8), (240.0, 336.0, 8)]), effort="thorough")
    clearances = {row["most_clearance_mm"]: row for row in found["clearance_choices"].to_dicts()}
    assert sorted(clearances) == [4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0]
    assert [limit for limit, row in clearances.items() if row["is_planned"]] == [6.0]
    assert (clearances[4.0]["cut_sizes"], clearances[4.0]["parents_count"]) == (1, 5)
    assert (clearances[9.0]["cut_sizes"], clearances[9.0]["parents_count"]) == (1, 2)
    assert clearances[9.0]["cost_needed"] == pytest.approx(0.9)
    usual = found["cutting_ways"].filter(way="usual").to_dicts()[0]
    assert (usual["cut_sizes"], usual["patterns_count"], usual["parents_count"]) == (2, 2, 5)
    assert usual["cost_lower_bound"] is None


MIXED: list[Page] = [
    (204.0, 282.0, 14),
    (206.0, 285.0, 9),
    (224.0, 285.0, 7),
    (258.0, 327.0, 20),
    (285.0, 362.0, 11),
    (317.0, 406.0, 6),
]


def test_the_usual_effort_tries_fewer_limits() -> None:
    found = compare(frames([(238.0, 334.0, 8)]), "usual")
    assert found["clearance_choices"]["most_clearance_mm"].to_list() == [4.0, 6.0, 8.0, 10.0]


def test_a_quick_plan_is_compared_with_the_usual_way_alone() -> None:
    given = frames(MIXED)
    quick, usual = compare(given, "quick"), compare(given, "usual")
    assert quick["clearance_choices"].is_empty()
    assert quick["sizes_per_sheet_choices"].is_empty()
    assert quick["cutting_ways"].equals(usual["cutting_ways"].filter(way="usual"))


def test_rows_are_bounded_and_freer_choices_do_not_need_more() -> None:
    found = compare(frames(MIXED))
    clearances, sizes = found["clearance_choices"], found["sizes_per_sheet_choices"]
    for table in (clearances, sizes):
        assert (table["cost_needed"] >= table["cost_lower_bound"] - 1e-9).all()
        assert table["is_planned"].sum() == 1
    assert clearances["cut_sizes"].to_list() == sorted(clearances["cut_sizes"], reverse=True)
    assert sizes["max_sizes_per_sheet"].to_list() == [1, 2, 3, None]
    assert sizes["cost_lower_bound"].to_list() == sorted(sizes["cost_lower_bound"], reverse=True)
    planned = found["cutting_ways"].filter(way="sizes_in_view")["cost_needed"].sum()
    assert planned == clearances.filter(is_planned=True)["cost_needed"].item()


def test_the_order_of_the_rows_does_not_matter() -> None:
    given = frames(MIXED[:3])
    turned_round = {name: frame.reverse() for name, frame in given.items()}
    first, second = compare(given), compare(turned_round)
    assert all(first[name].equals(second[name]) for name in first)


def test_the_campaigns_own_number_of_sizes_is_among_the_choices() -> None:
    sizes = compare(frames(MIXED[:2], max_sizes_per_sheet=5))["sizes_per_sheet_choices"]
    assert sizes["max_sizes_per_sheet"].to_list() == [1, 2, 3, 5, None]
    assert sizes.filter(is_planned=True)["max_sizes_per_sheet"].to_list() == [5]


def test_a_limit_at_which_a_leaf_fits_no_stock_says_so() -> None:
    """A page of 699 mm less 4 mm is wider than the 694 mm of usable sheet; less 6 mm it fits."""
    clearances = {
        row["most_clearance_mm"]: row
        for row in compare(frames([(699.0, 300.0, 2)]))["clearance_choices"].to_dicts()
    }
    assert clearances[4.0]["cost_needed"] is None
    assert "fits no stock" in clearances[4.0]["reason"]
    assert clearances[6.0]["parents_count"] == 1


def test_nothing_to_cut_gives_empty_tables() -> None:
    assert all(frame.is_empty() for frame in compare(frames([])).values())


def test_limits_near_the_least_clearance_are_left_out() -> None:
    policy = {
        "size.least_clearance_mm": 5.0,
        "size.most_clearance_mm": 6.5,
        "size.least_tried_clearance_mm": 4.0,
        "size.most_tried_clearance_mm": 8.0,
    }
    assert tried_clearances_mm(policy) == [6.0, 6.5, 7.0, 8.0]


@pytest.mark.parametrize(("sheets", "expected"), [(1, 1), (33, 1), (34, 2), (100, 3), (101, 4)])
def test_spares_are_those_of_the_demand(sheets: int, expected: int) -> None:
    """Three per cent, rounded up, at least one."""
    assert spare_sheets(frames([(204.0, 282.0, 1)]))(sheets) == expected

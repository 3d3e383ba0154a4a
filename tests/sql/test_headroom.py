"""Headroom against figures worked by hand, and the fact of the trade about twenty sheets in a notebook."""

import math
from typing import Any

import pytest

from tests.rows import filled_store, row, run


def headroom(**volume: Any) -> dict[str, Any]:
    store = filled_store({"clean.volumes": [row("clean.volumes", **volume)]})
    run(store, "05_fit/headroom")
    return store.read("work.headroom").row(0, named=True)


def test_both_ways_and_the_lesser() -> None:
    # sewn, sound: 20 + 2 x 250 x tan 1.5 deg - 20 = 13.0929 mm by angle; 0.15 x 20 = 3 mm by growth
    found = headroom()
    assert found["by_angle_um"] == math.floor(500 * math.tan(math.radians(1.5)) * 1000)
    assert found["by_growth_um"] == 3000
    assert found["headroom_um"] == 3000


def test_a_binary_fraction_costs_no_micrometre() -> None:
    # 0.15 x 18 = 2.6999999999999997 in binary; 2700 um are meant
    assert headroom(spine_thickness_mm=18.0, fore_edge_thickness_mm=18.0)["by_growth_um"] == 2700


def test_extension_counts_both_ways_and_old_leaves_only_by_angle() -> None:
    found = headroom(binding="post", extension_mm=4.0, existing_leaves=10, existing_leaf_thickness_um=100.0)
    assert found["removed_um"] == 1000
    assert found["by_growth_um"] == 7000
    assert found["by_angle_um"] == math.floor((4 + 1 + 500 * math.tan(math.radians(1.5))) * 1000)


def test_a_wedge_over_its_limit_leaves_nothing() -> None:
    found = headroom(fore_edge_thickness_mm=40.0)
    assert found["by_angle_um"] < 0
    assert found["headroom_um"] == 0


def test_a_split_joint_takes_nothing() -> None:
    found = headroom(joints="split")
    assert found["headroom_um"] == 0
    assert found["wedge_limit_deg"] is None


@pytest.mark.parametrize(("thickness_um", "fits"), [(60, True), (250, False)])
def test_twenty_sheets_in_a_small_notebook(thickness_um: int, fits: bool) -> None:
    """Common practice: twenty thin sheets go into a small notebook, twenty heavy ones do not."""
    found = headroom(spine_thickness_mm=12.0, fore_edge_thickness_mm=12.0, page_width_mm=150.0)
    assert (20 * thickness_um <= found["headroom_um"]) is fits

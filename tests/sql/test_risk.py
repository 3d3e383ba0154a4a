"""Openings merged and grouped, and their rates and losses, against figures worked by hand.

The figures of the trade model are judgement; the sums are checked here, not the judgement.
"""

import math
from typing import Any

import pytest

from pipeline.store import Store
from tests.rows import filled_store, merged, opening_row, row, run

RISK = ("03_risk/listed_openings", "03_risk/opening_groups", "03_risk/hazard_rates", "03_risk/losses")


def risk(*rows: dict[str, list[dict[str, Any]]], **volume: Any) -> Store:
    store = filled_store(merged({"clean.volumes": [row("clean.volumes", **volume)]}, *rows))
    run(store, *RISK)
    return store


def groups(store: Store) -> list[tuple[Any, ...]]:
    columns = ("openings", "count", "left_content", "right_content", "hazards", "severity")
    return store.read("work.opening_groups").select(columns).rows()


def loss(store: Store, group_no: int = 1) -> float:
    frame = store.read("work.losses")
    return float(frame.filter(frame["group_no"] == group_no)["loss_before"].item())


def test_loss_of_newsprint_facing_print() -> None:
    # 0.60 x severity 1.0 x print 0.6, no handling for staining: 0.36 a century, half of it in 50 years
    store = risk(opening_row(2, openings=((1, 1),)))
    assert loss(store) == pytest.approx(1 - math.exp(-0.18), abs=1e-12)


def test_handling_counts_for_abrasion_only() -> None:
    # fastener 0.30 x severity 2.5 x print 0.6 x frequent 2 = 0.9; acidic_insert 0.60 x 2.5 x 0.6 = 0.9
    hazards = (("fastener", "", 3), ("acidic_insert", "", 3))
    store = risk(opening_row(2, openings=((1, 1),), hazards=hazards), use="frequent")
    assert loss(store) == pytest.approx(1 - math.exp(-(0.9 + 0.9) * 0.5), abs=1e-12)


def test_facing_photographs_rub_and_ghost() -> None:
    # 0.15 x occasional 1 + 0.10, photographs are fully vulnerable
    store = risk(
        opening_row(
            2,
            openings=((1, 1),),
            left="silver_print",
            right="silver_print",
            hazards=(("facing_photographs", "", 2),),
        )
    )
    assert loss(store) == pytest.approx(1 - math.exp(-0.125), abs=1e-12)


@pytest.mark.parametrize(
    ("side", "vulnerability"),
    [("left", 1.0), ("right", 0.15), ("", 1.0)],
    ids=["faces right", "faces left", "unsaid"],
)
def test_a_hazard_harms_the_page_it_faces(side: str, vulnerability: float) -> None:
    store = risk(
        opening_row(2, openings=((1, 1),), left="blank", right="artwork", hazards=(("fastener", side, 2),))
    )
    assert loss(store) == pytest.approx(1 - math.exp(-0.30 * vulnerability * 0.5), abs=1e-12)


def test_the_same_hazard_on_both_sides_counts_twice() -> None:
    store = risk(
        opening_row(2, openings=((1, 1),), hazards=(("fastener", "left", 2), ("fastener", "right", 2)))
    )
    assert loss(store) == pytest.approx(1 - math.exp(-2 * 0.18 * 0.5), abs=1e-12)


def test_odour_adds_a_rate_of_its_own() -> None:
    store = risk(opening_row(2, openings=((1, 1),)), odour=True)
    assert loss(store) == pytest.approx(1 - math.exp(-(0.36 + 0.05) * 0.5), abs=1e-12)


def test_the_most_vulnerable_word_of_a_page_counts() -> None:
    store = risk(opening_row(2, openings=((1, 1),), left="blank, artwork", right="blank"))
    assert loss(store) == pytest.approx(1 - math.exp(-0.60 * 1.0 * 0.5), abs=1e-12)


def test_rows_that_name_one_opening_are_merged() -> None:
    store = risk(
        opening_row(
            2, openings=((3, 5),), left="unknown", right="print", hazards=(("acidic_insert", "", 1),)
        ),
        opening_row(
            3,
            openings=((5, 5),),
            left="artwork",
            right="print",
            hazards=(("acidic_insert", "", 3), ("fastener", "left", 2)),
        ),
    )
    assert groups(store) == [
        ("3-4", 2, "unknown", "print", "acidic_insert", "1"),
        ("5", 1, "artwork", "print", "acidic_insert, left:fastener", "3, 2"),
    ]


def test_a_hazard_with_and_without_side_counts_with_its_side() -> None:
    store = risk(
        opening_row(2, openings=((1, 1),), hazards=(("fastener", "", 3),)),
        opening_row(3, openings=((1, 1),), hazards=(("fastener", "right", 2),)),
    )
    assert groups(store) == [("1", 1, "print", "print", "right:fastener", "3")]


def test_like_openings_far_apart_are_one_group() -> None:
    store = risk(opening_row(2, openings=((9, 9), (1, 2))), opening_row(3, openings=((4, 4),)))
    assert groups(store) == [("1-2, 4, 9", 4, "print", "print", "acidic_insert", "2")]


def test_rows_without_places_and_counts_follow_the_listed() -> None:
    counts = {
        "clean.count_groups": [
            row("clean.count_groups", hazard="fastener", count=4),
            row("clean.count_groups", hazard="acidic_insert", count=4),
        ]
    }
    store = risk(opening_row(2, openings=((1, 1),)), opening_row(3, count=7), counts)
    assert groups(store) == [
        ("1", 1, "print", "print", "acidic_insert", "2"),
        (None, 7, "print", "print", "acidic_insert", "2"),
        (None, 4, "unknown", "unknown", "acidic_insert, fastener", "2, 2"),
    ]


def test_decided_openings_stand_in_groups_of_their_own() -> None:
    decisions = {
        "clean.decisions": [
            row("clean.decisions", row_no=2, openings="3, 5-6", decision="never"),
            row("clean.decisions", row_no=3, openings=None),
        ]
    }
    store = risk(opening_row(2, openings=((2, 7),)), opening_row(3, count=4), decisions)
    found = store.read("work.opening_groups").select("openings", "count", "decision_rows").rows()
    assert found == [("2, 4, 7", 3, "3"), ("3, 5-6", 3, "2, 3"), (None, 4, "3")]


def test_no_openings_at_all() -> None:
    store = risk()
    assert groups(store) == []
    assert store.read("work.losses").height == 0

"""Counts without places, worked by hand after the trade model, section 3."""

from itertools import pairwise

from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from pipeline.inventory.counts import (
    CountGroup,
    Placed,
    PlacedRow,
    counts_beyond_rows,
    lay_counts,
    placed_by_rows,
)


def row(hazards: str, *ranges: tuple[int, int], count: int = 0) -> PlacedRow:
    return PlacedRow(frozenset(hazards.split()), ranges, count)


def test_counts_that_fit_stay_apart() -> None:
    assert lay_counts({"a": 10, "b": 5}, 15) == [CountGroup(("a",), 10), CountGroup(("b",), 5)]


def test_the_smallest_is_laid_onto_the_largest() -> None:
    # 30 + 20 + 10 = 60 > 55: the 10 lie on the 30, of which 20 stay bare: 20 + 10 + 20 = 50
    assert lay_counts({"a": 20, "b": 30, "c": 10}, 55) == [
        CountGroup(("a",), 20),
        CountGroup(("b",), 20),
        CountGroup(("b", "c"), 10),
    ]


def test_again_until_it_fits() -> None:
    # 60 > 41; c on b: 50 > 41; then a (20) on the 20 bare openings of b: 30
    assert lay_counts({"a": 20, "b": 30, "c": 10}, 41) == [
        CountGroup(("a", "b"), 20),
        CountGroup(("b", "c"), 10),
    ]


def test_ties_go_by_the_order_of_the_hazard_table() -> None:
    # all 5, 11 free: the first is the largest, the second the smallest
    assert lay_counts({"a": 5, "b": 5, "c": 5}, 11) == [CountGroup(("a", "b"), 5), CountGroup(("c",), 5)]


def test_what_finds_no_bare_opening_stays_on_its_own() -> None:
    # 8 + 6 + 5 = 19 > 13: c on 5 of a: 14 > 13; b on the 3 bare of a: 3 + 5 + 3 = 11
    assert lay_counts({"a": 8, "b": 6, "c": 5}, 13) == [
        CountGroup(("a", "b"), 3),
        CountGroup(("a", "c"), 5),
        CountGroup(("b",), 3),
    ]


def test_where_two_on_an_opening_are_not_enough_all_lie_from_one_opening_on() -> None:
    # 8, 6, 5 in 10: pairs give 11; nested: 5 with all three, 1 with a and b, 2 with a alone
    assert lay_counts({"a": 8, "b": 6, "c": 5}, 10) == [
        CountGroup(("a",), 2),
        CountGroup(("a", "b"), 1),
        CountGroup(("a", "b", "c"), 5),
    ]


def test_nothing_counted_gives_no_group() -> None:
    assert lay_counts({}, 10) == []


def test_a_single_count_too_large_is_left_as_it_is() -> None:
    assert lay_counts({"a": 12}, 10) == [CountGroup(("a",), 12)]


def test_an_opening_named_twice_counts_once() -> None:
    placed = placed_by_rows([row("a", (1, 5)), row("a b", (4, 7))], leaves=40)
    assert placed == Placed({"a": 7, "b": 4}, 7)


def test_rows_without_places_add_to_the_listed_ones() -> None:
    placed = placed_by_rows([row("a", (1, 5)), row("a", count=3), row("b", count=2)], leaves=40)
    assert placed == Placed({"a": 8, "b": 2}, 10)


def test_openings_beyond_the_volume_are_not_counted() -> None:
    assert placed_by_rows([row("a", (38, 999_999_999))], leaves=40).taken == 3


def test_counts_hold_what_the_rows_do_not() -> None:
    placed = Placed({"a": 8, "b": 2}, 10)
    assert counts_beyond_rows({"a": 10, "b": 2, "c": 1}, placed) == {"a": 2, "c": 1}
    assert counts_beyond_rows({"a": 5}, placed) == {}


COUNTS = st.dictionaries(st.sampled_from("abcdefgh"), st.integers(1, 30), max_size=6)


@hypothesis_settings(max_examples=120, deadline=None, derandomize=True)
@given(COUNTS, st.integers(0, 60))
def test_each_hazard_keeps_its_count_and_all_fit_where_they_can(counts: dict[str, int], spare: int) -> None:
    free = max(counts.values(), default=0) + spare
    groups = lay_counts(counts, free)
    assert sum(group.count for group in groups) <= free
    for hazard, count in counts.items():
        assert sum(group.count for group in groups if hazard in group.hazards) == count
    assert len({group.hazards for group in groups}) == len(groups)
    assert all(group.count > 0 for group in groups)


@hypothesis_settings(max_examples=40, deadline=None, derandomize=True)
@given(COUNTS)
def test_less_room_never_takes_more_openings(counts: dict[str, int]) -> None:
    most, least = sum(counts.values()), max(counts.values(), default=0)
    used = [sum(group.count for group in lay_counts(counts, free)) for free in range(most, least - 1, -1)]
    assert all(later <= earlier for earlier, later in pairwise(used))

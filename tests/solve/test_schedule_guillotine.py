"""The guillotine as what all wait for: worked by hand, never above a timetable, and an order that helps."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.schedule.baseline import earliest_clocks, hours_over_capacity_bound
from pipeline.solve.schedule.dispatch import Style
from pipeline.solve.schedule.guillotine import Queued, queue_cuts
from pipeline.solve.schedule.orders import order_by_density, order_by_finish
from pipeline.solve.schedule.problem import Problem, weighted_finish
from pipeline.solve.schedule.timetable import make_timetable
from pipeline.stages.schedule import METHOD_OF_QUEUE, solve
from tests.solve.schedule_builders import NINE, Draft, drawn_campaign, person

DAY = 24 * 60


def queued(problem: Problem) -> Queued:
    return queue_cuts(problem, earliest_clocks(problem))


def many_hands(cutting: tuple[int, ...], *, hands: int = 8) -> Draft:
    """People enough for everything, one volume of ten minutes to each cut of so many minutes."""
    draft = Draft([person(f"T{number}", half_hours=16) for number in range(hands)])
    for minutes in cutting:
        draft.volume(1_000_000, {"interleave": (10, 1)}, cuts=(draft.cut(minutes),))
    return draft


def test_cuts_come_in_a_row_and_what_follows_comes_after() -> None:
    # shortest first as all weigh the same: cut after 60, 180 and 420 minutes, ten minutes more each
    found = queued(many_hands((240, 60, 120)).problem())
    assert found.bound == pytest.approx(1_000_000 * (70 + 190 + 430))
    assert [found.mean_clocks[no] - NINE for no in range(3)] == pytest.approx([420, 60, 180])


def test_a_delivery_is_waited_for_to_the_half_hour() -> None:
    draft = Draft([person(half_hours=16)])
    draft.volume(1, {"interleave": (10, 1)}, cuts=(draft.cut(60, first_day_no=2),))
    assert queued(draft.problem()).bound == pytest.approx(2 * DAY + 70)


def test_only_hours_of_those_who_may_cut_count() -> None:
    draft = Draft([person("V", grade=0, half_hours=16), person("T", grade=1, half_hours=2)])
    draft.volume(1, {"interleave": (10, 0)}, cuts=(draft.cut(90),))
    # an hour on the first day, half an hour on the second: mean moment (60 x 30 + 30 x (1440 + 15)) / 90, half of 90
    assert queued(draft.problem()).bound == pytest.approx((60 * 30 + 30 * (DAY + 15)) / 90 + 45 + 10)


def test_a_volume_of_several_cuts_counts_from_the_best_split_of_its_weight() -> None:
    draft = Draft([person("A", half_hours=16), person("B", half_hours=16)])
    first, second = draft.cut(120), draft.cut(240)
    draft.volume(1_000, {"interleave": (10, 1)}, cuts=(first, second))
    found = queued(draft.problem())
    # as much weight a minute for either cut: 1/3 after 120 minutes, 2/3 after 360; the truth is 370
    assert found.bound == pytest.approx(1_000 * (120 / 3 + 360 * 2 / 3 + 10))
    assert (found.last_clocks[0] - NINE, found.mean_clocks[0] - NINE) == pytest.approx((360, 240))


def test_without_cuts_it_is_the_critical_path() -> None:
    draft = Draft([person()])
    draft.volume(3, {"interleave": (60, 1)})
    found = queued(draft.problem())
    assert found.bound == pytest.approx(180)
    assert dict(found.mean_clocks) == {}


@given(seed=st.integers(0, 10_000), volumes=st.integers(1, 12))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_it_is_never_above_a_timetable(seed: int, volumes: int) -> None:
    problem = drawn_campaign(seed, volumes=volumes)
    least = weighted_finish(problem, solve(problem, seed=1)[0])
    assert queued(problem).bound <= least * (1 + 1e-9) + 1e-6


def test_where_all_wait_for_the_guillotine_it_gives_bound_and_order() -> None:
    draft = Draft([person(f"T{number}", half_hours=16, days=30) for number in range(6)], days=30)
    cuts = [draft.cut(90 + 30 * (number % 4)) for number in range(24)]
    for number in range(48):
        mine = (cuts[number % 24], cuts[(number * 7 + 3) % 24])
        draft.volume(100_000 * (1 + number % 5), {"interleave": (20, 1)}, cuts=tuple(sorted(set(mine))))
    problem = draft.problem()
    found, outcome = queued(problem), solve(problem, seed=1)[1]
    assert found.bound > 1.5 * hours_over_capacity_bound(problem)
    assert outcome.method == METHOD_OF_QUEUE
    assert outcome.objective <= 1.3 * outcome.bound
    style = Style(thrift=0.6, cut_factor=2.0)
    in_order, by_density = (
        weighted_finish(problem, make_timetable(problem, order, style))
        for order in (order_by_finish(problem, found.mean_clocks), order_by_density(problem))
    )
    assert in_order < by_density

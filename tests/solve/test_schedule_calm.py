"""Volumes of one person change places, fetching and clearing come late; orders, days at the guillotine."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.schedule.check import broken_rules
from pipeline.solve.schedule.dispatch import Style
from pipeline.solve.schedule.linger import EARLY_KINDS, fetched_late
from pipeline.solve.schedule.orders import order_by_density, order_by_shared_cuts
from pipeline.solve.schedule.prices import _envelope
from pipeline.solve.schedule.problem import (
    Problem,
    Solution,
    finish_clock,
    is_dated,
    pay_over_budget,
    weighted_finish,
)
from pipeline.solve.schedule.reorder import reordered
from pipeline.solve.schedule.timetable import make_timetable
from tests.solve.schedule_builders import Draft, drawn_campaign, person, placed

DAY = 24 * 60


def listed(problem: Problem) -> Solution:
    return make_timetable(problem, order_by_density(problem), Style(thrift=0.6))


def waited_minutes(problem: Problem, solution: Solution) -> int:
    """Minutes from the end of every fetch and clearing to the start of the volume's next task."""
    total = 0
    for volume in problem.volumes:
        for task_no, follower in zip(volume.task_nos, volume.task_nos[1:], strict=False):
            own, after = solution.placements[task_no], solution.placements[follower]
            if problem.tasks[task_no].kind in EARLY_KINDS and own is not None and after is not None:
                total += after.start_clock - own.finish_clock
    return total


def most_waiting(problem: Problem, solution: Solution) -> int:
    """Most volumes that lie in the lab at once for leaves that are not cut."""
    events: list[tuple[int, int]] = []
    for volume, cuts in zip(problem.volumes, problem.volume_cuts, strict=True):
        first = solution.placements[volume.task_nos[0]]
        leaves = [place.finish_clock for cut in cuts if (place := solution.placements[cut]) is not None]
        if is_dated(solution, volume) and first is not None and leaves and first.start_clock < max(leaves):
            events += [(first.start_clock, 1), (max(leaves), -1)]
    waiting = np.cumsum([step for _, step in sorted(events)])
    return int(waiting.max(initial=0))


# ---- volumes of one person change places


def two_days() -> Problem:
    """A technician of two days of 180 minutes: 100, 120, 80 and 60 minutes of work, the second worth most a minute."""
    draft = Draft([person(days=2)], days=2)
    for minutes, benefit in ((100, 100), (120, 130), (80, 70), (60, 50)):
        draft.volume(benefit * 1_000, {"interleave": (minutes, 1)})
    return draft.problem()


def test_a_volume_that_would_lie_over_night_makes_room_for_one_that_fits() -> None:
    problem = two_days()
    # by worth a minute: 120, then 100 of which 40 are left for the next day, then 80, then 60
    before = listed(problem)
    assert before == placed(
        (0, 120, DAY + 40), (0, 0, 120), (0, DAY + 40, DAY + 120), (0, DAY + 120, DAY + 180)
    )
    # 120 and 60 fill the first day, 100 and 80 the second: nothing lies over night
    after = reordered(problem, before)
    assert after == placed((0, DAY, DAY + 100), (0, 0, 120), (0, DAY + 100, DAY + 180), (0, 120, 180))
    assert broken_rules(problem, after) == []


def test_a_volume_does_not_change_to_before_its_leaves_are_cut() -> None:
    draft = Draft([person(days=2), person("V", grade=0)], days=2)
    cut = draft.cut(30)
    draft.volume(1_000_000, {"interleave": (100, 1)})
    draft.volume(2_000_000, {"interleave": (100, 1)}, cuts=(cut,))
    problem = draft.problem()
    # the cut comes between the two: what is behind it does not go before it
    before = placed((0, 100, 130), (0, 0, 100), (0, 130, DAY + 50))
    assert reordered(problem, before) == before


def test_what_another_person_does_next_is_not_delayed() -> None:
    draft = Draft([person("T"), person("V", grade=0)], days=2)
    draft.volume(1_000_000, {"interleave": (60, 1), "return": (10, 0)})
    draft.volume(9_000_000, {"interleave": (60, 1)})
    problem = draft.problem()
    # the volunteer returns the first at once; it would have to wait for the second
    before = placed((0, 0, 60), (1, 60, 70), (0, 60, 120))
    assert reordered(problem, before) == before


# ---- fetching and clearing as late as they go


def test_fetching_moves_to_just_before_the_next_task_and_the_rest_comes_earlier() -> None:
    draft = Draft([person()])
    steps = {"fetch": (10, 0), "interleave": (50, 1)}
    draft.volume(1_000_000, steps)
    draft.volume(1_000_000, steps)
    problem = draft.problem()
    before = placed((0, 10, 20), (0, 20, 70), (0, 0, 10), (0, 70, 120))
    after = fetched_late(problem, before)
    assert after == placed((0, 0, 10), (0, 10, 60), (0, 60, 70), (0, 70, 120))


def test_idle_time_is_used_before_others_are_moved() -> None:
    draft = Draft([person()])
    draft.volume(1_000_000, {"fetch": (10, 0), "interleave": (50, 1)})
    draft.volume(1_000_000, {"interleave": (20, 1)})
    problem = draft.problem()
    before = placed((0, 0, 10), (0, 100, 150), (0, 10, 30))
    # from 30 to 100 nothing is done: the fetch goes to its end and the other volume stays where it is
    assert fetched_late(problem, before) == placed((0, 90, 100), (0, 100, 150), (0, 10, 30))


def test_work_on_paper_that_came_that_morning_is_not_moved_to_the_day_before() -> None:
    draft = Draft([person(days=2)], days=2)
    cut = draft.cut(30, first_day_no=1)
    draft.volume(1_000_000, {"fetch": (10, 0), "interleave": (50, 1)}, cuts=(cut,))
    problem = draft.problem()
    before = placed((0, DAY, DAY + 30), (0, 0, 10), (0, DAY + 30, DAY + 80))
    # the last minutes of the first day, and not behind the cut, which would have to start before its paper is there
    assert fetched_late(problem, before) == placed((0, DAY, DAY + 30), (0, 170, 180), (0, DAY + 30, DAY + 80))


@given(seed=st.integers(0, 10_000), volumes=st.integers(1, 25), days=st.integers(3, 9))
@settings(max_examples=80, deadline=None, derandomize=True)
def test_calmer_and_never_later(seed: int, volumes: int, days: int) -> None:
    problem = drawn_campaign(seed, volumes=volumes, days=days)
    before = listed(problem)
    changed = reordered(problem, before)
    after = fetched_late(problem, changed)
    for solution in (changed, after):
        assert broken_rules(problem, solution) == []
        assert pay_over_budget(problem, solution) == pay_over_budget(problem, before)
        assert [is_dated(solution, one) for one in problem.volumes] == [
            is_dated(before, one) for one in problem.volumes
        ]
        assert most_waiting(problem, solution) <= max(problem.room, most_waiting(problem, before))
    assert weighted_finish(problem, changed) <= weighted_finish(problem, before)
    for volume in problem.volumes:
        assert finish_clock(problem, after, volume) <= finish_clock(problem, changed, volume)
    assert waited_minutes(problem, after) <= waited_minutes(problem, changed)


# ---- orders, days at the guillotine, and the hull of prices


def test_what_an_earlier_volume_has_cut_costs_the_next_nothing() -> None:
    draft = Draft([person()])
    shared, own = draft.cut(60), draft.cut(60)
    draft.volume(5_000_000, {"interleave": (60, 1)}, cuts=(shared,))
    draft.volume(3_000_000, {"interleave": (60, 1)}, cuts=(shared,))
    draft.volume(4_000_000, {"interleave": (60, 1)}, cuts=(own,))
    problem = draft.problem()
    # 5 for 120 minutes first; then 3 for 60 beats 4 for 120
    assert order_by_shared_cuts(problem, 1.0) == [0, 1, 2]
    assert order_by_shared_cuts(problem, 0.0) == order_by_density(problem) == [0, 2, 1]


def test_cutting_goes_on_where_it_has_begun() -> None:
    # once the first volume is interleaved the third is worth a little more than cutting for the second
    draft = Draft([person(days=2)], days=2)
    first, second = draft.cut(30), draft.cut(30)
    draft.volume(3_000_000, {"interleave": (100, 1)}, cuts=(first,))
    draft.volume(1_600_000, {"interleave": (100, 1)}, cuts=(second,))
    draft.volume(2_000_000, {"interleave": (100, 1)})
    problem = draft.problem()
    solution = listed(problem)
    days = {place.start_clock // DAY for place in solution.placements[:2] if place is not None}
    assert len(days) == 1


@given(st.lists(st.integers(0, 60), min_size=1, max_size=40))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_the_hull_of_prices_finds_the_least_of_all_points(heights: list[int]) -> None:
    clocks = np.arange(len(heights), dtype=np.int64) * 30 + 540
    prices = np.array(heights, dtype=np.float64)
    densities = np.array([0.0, 0.1, 0.5, 1.0, 3.0])
    least = (densities[:, None] * clocks + prices).min(axis=1)
    assert np.allclose(_envelope(clocks, prices).least(densities), least, rtol=1e-12)

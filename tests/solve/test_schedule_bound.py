"""Bounds of the timetable: worked by hand, and never above what a timetable reaches, whatever the prices."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.schedule.baseline import (
    critical_path_bound,
    earliest_clocks,
    hours_over_capacity_bound,
)
from pipeline.solve.schedule.bound import proven_bound
from pipeline.solve.schedule.capacity import Capacity, capacity_of
from pipeline.solve.schedule.dispatch import Style
from pipeline.solve.schedule.lots import AFTER, BENCH, EARLY, Lot, relax
from pipeline.solve.schedule.model import MOST_GROUPS, solve_weekly
from pipeline.solve.schedule.orders import order_by_density
from pipeline.solve.schedule.prices import price_curves
from pipeline.solve.schedule.problem import Problem, weighted_finish
from pipeline.solve.schedule.timetable import make_timetable
from tests.solve.schedule_builders import NINE, Draft, drawn_campaign, person, small_draft

DAY = 24 * 60


def reached(problem: Problem) -> int:
    return weighted_finish(problem, make_timetable(problem, order_by_density(problem), Style(thrift=0.6)))


def two_volumes() -> Problem:
    draft = Draft([person()])
    draft.volume(3, {"interleave": (60, 1)})
    draft.volume(4, {"interleave": (120, 1)})
    return draft.problem()


# ---- without a solver


def test_critical_path_takes_deliveries_and_order() -> None:
    draft = Draft([person()])
    cut = draft.cut(30, first_day_no=2)
    draft.volume(2, {"fetch": (10, 0), "interleave": (100, 1), "return": (5, 0)}, cuts=(cut,))
    # paper on the third day at nine: 30 + 100 + 5 minutes later
    assert critical_path_bound(draft.problem()) == 2 * (2 * DAY + 135)


def test_critical_path_of_what_nobody_can_do_is_the_last_midnight() -> None:
    draft = Draft([person(grade=0)])
    draft.volume(2, {"interleave": (10, 1)})
    problem = draft.problem()
    assert earliest_clocks(problem).finishes == (None,)
    assert critical_path_bound(problem) == 2 * (5 * DAY - NINE)


def test_hours_over_capacity_count_from_the_mean_moment_of_the_work() -> None:
    # 3 for 60 minutes is densest: its work lies from 0 to 60, mean 30; the other's from 60 to 180, mean 120
    assert hours_over_capacity_bound(two_volumes()) == pytest.approx(3 * 30 + 4 * 120)


def test_work_beyond_the_capacity_counts_from_the_last_midnight() -> None:
    # one day of 180 minutes for 240: a quarter of the work is left
    draft = Draft([person(days=1)], days=1)
    draft.volume(1, {"interleave": (240, 1)})
    assert hours_over_capacity_bound(draft.problem()) == pytest.approx((180 * 90 + 60 * (DAY - NINE)) / 240)


# ---- the weekly relaxation


def test_lots_join_tasks_of_one_part_and_skill() -> None:
    draft = Draft([person("V", grade=0), person("T", grade=1)])
    steps = {"fetch": (10, 0), "remove": (20, 1), "interleave": (60, 0), "check": (10, 1), "return": (5, 0)}
    draft.volume(7, steps)
    (volume,) = relax(draft.problem()).volumes
    # whoever clears goes on, so interleaving is the technician's too
    assert volume.lots == (
        Lot(part=EARLY, grade=0, first_day_no=0, minutes=10),
        Lot(part=EARLY, grade=1, first_day_no=0, minutes=20),
        Lot(part=BENCH, grade=1, first_day_no=0, minutes=70),
        Lot(part=AFTER, grade=0, first_day_no=0, minutes=5),
    )
    assert volume.path_clock == NINE + 105


def test_weight_lent_to_a_cut_is_taken_off_its_volume() -> None:
    # one cut of 30 minutes before 120: both get the same weight per minute, 1,000,000 / 150
    (volume,), (cut,) = relax(small_draft().problem()).volumes, relax(small_draft().problem()).cuts
    assert volume.weight == pytest.approx(1_000_000 * 130 / 160)
    assert cut.weight == pytest.approx(1_000_000 * 30 / 160)
    assert cut.longest_extra == 15 + 130


def test_volumes_nobody_can_finish_are_left_out() -> None:
    draft = Draft([person(grade=0)])
    draft.volume(2, {"interleave": (10, 1)})
    relaxed = relax(draft.problem())
    assert (relaxed.volumes, relaxed.fixed) == ((), 2.0 * 5 * DAY)


def test_capacity_is_nested_by_skill() -> None:
    draft = Draft([person("V", grade=0, days=1), person("C", grade=2, days=2)], days=2)
    capacity = capacity_of(draft.problem())
    assert capacity.bucket_minutes().tolist() == [[3 * 180], [2 * 180], [2 * 180]]
    assert capacity.clocks[0] == NINE
    assert capacity.minutes[:, 0].tolist() == [60, 30, 30]


def test_time_costs_more_the_earlier_and_nothing_when_there_is_enough() -> None:
    draft = Draft([person(days=28)], days=28)
    for _ in range(30):
        draft.volume(1_000_000, {"interleave": (120, 1)})
    problem = draft.problem()
    answer = solve_weekly(problem, relax(problem), capacity_of(problem), seed=1)
    # 60 hours of work, 21 a week: the fourth week has hours to spare
    week_prices = answer.prices.sum(axis=0)
    assert week_prices[0] > week_prices[1] > week_prices[2] == week_prices[3] == 0
    assert all(0 < moment < 21 * DAY for moment in answer.moments.values())


def test_many_volumes_are_solved_in_groups() -> None:
    draft = Draft([person(days=28)], days=28)
    for number in range(MOST_GROUPS + 50):
        draft.volume(1_000 + number, {"interleave": (10, 1)})
    problem = draft.problem()
    answer = solve_weekly(problem, relax(problem), capacity_of(problem), seed=1)
    assert len(answer.moments) == MOST_GROUPS + 50
    assert len(set(answer.moments.values())) <= MOST_GROUPS


def test_buckets_are_parted_where_something_is_delivered() -> None:
    draft = Draft([person(days=20)], days=20)
    cut = draft.cut(30, first_day_no=10)
    draft.volume(1_000_000, {"interleave": (120, 1)}, cuts=(cut,), box_day_no=3)
    capacity = capacity_of(draft.problem())
    assert capacity.first_days.tolist() == [0, 7, 10, 14, 20]
    assert [capacity.bucket_of(day) for day in (0, 6, 9, 10, 19)] == [0, 0, 1, 2, 3]


# ---- the proven bound


def bound_at(problem: Problem, prices: np.ndarray) -> float:
    return proven_bound(problem, relax(problem), capacity_of(problem), prices)


def test_with_free_time_the_bound_is_the_critical_path() -> None:
    problem = two_volumes()
    free = np.zeros((2, 1))
    assert bound_at(problem, free) == pytest.approx(critical_path_bound(problem))


def test_the_solvers_prices_come_close_to_the_best_of_two_volumes() -> None:
    # the best is 900 (60 x 3 + 180 x 4), as worked with the timetable
    problem = two_volumes()
    answer = solve_weekly(problem, relax(problem), capacity_of(problem), seed=1)
    assert 540 <= bound_at(problem, answer.prices) <= 900


def test_price_curves_fall_to_nothing_and_never_rise_with_less_skill() -> None:
    capacity = Capacity(
        clocks=np.arange(4) * 7 * DAY + NINE,
        minutes=np.full((2, 4), 30.0),
        buckets=np.arange(4),
        first_days=np.arange(5) * 7,
    )
    curves = price_curves(capacity, np.array([[4.0, 9.0, 6.0, 3.0], [0.0, 1.0, 0.0, 0.0]]), 28 * DAY)
    assert curves.min() >= 0
    assert np.all(curves[1] >= curves[0])
    assert np.all(np.diff(curves[0, 1:]) < 0)


@given(
    seed=st.integers(0, 10_000), volumes=st.integers(1, 12), size=st.floats(0, 1e9), tilt=st.integers(0, 9)
)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_no_prices_give_a_bound_above_a_timetable(seed: int, volumes: int, size: float, tilt: int) -> None:
    problem = drawn_campaign(seed, volumes=volumes, days=10)
    grades = 1 + max(person.grade for person in problem.people)
    buckets = capacity_of(problem).bucket_count
    prices = size * np.random.default_rng(tilt).random((grades, buckets)) / (1 + tilt)
    slack = 1e-6 + 1e-9 * problem.total_benefit
    assert bound_at(problem, prices) <= reached(problem) + slack


@given(seed=st.integers(0, 10_000), volumes=st.integers(1, 12))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_simple_bounds_are_not_above_a_timetable(seed: int, volumes: int) -> None:
    problem = drawn_campaign(seed, volumes=volumes)
    least = reached(problem)
    assert critical_path_bound(problem) <= least
    assert hours_over_capacity_bound(problem) <= least * (1 + 1e-9) + 1e-6


def test_a_campaign_of_no_days_has_an_empty_bucket() -> None:
    capacity = capacity_of(Problem(people=(), tasks=(), volumes=(), days=0, day_start_minute=540, room=1))
    assert capacity.bucket_count == 1
    assert capacity.bucket_minutes().sum() == 0

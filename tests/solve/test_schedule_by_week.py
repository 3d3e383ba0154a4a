"""Weeks tried again and again: what is still to come at prices, a view to the coming days, rules that always hold."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.schedule.ascent import Ascent, Stand
from pipeline.solve.schedule.capacity import worker_kinds
from pipeline.solve.schedule.check import broken_rules
from pipeline.solve.schedule.densities import own_densities
from pipeline.solve.schedule.dispatch import Dispatch, Style
from pipeline.solve.schedule.lookahead import Lookahead, Offer
from pipeline.solve.schedule.lots import relax
from pipeline.solve.schedule.orders import order_by_density, order_by_finish
from pipeline.solve.schedule.outlook import GRID_MINUTES, Outlook
from pipeline.solve.schedule.problem import Person, Problem, pay_over_budget, weighted_finish
from pipeline.solve.schedule.search import made_by_week
from pipeline.solve.schedule.timetable import Found, make_timetable
from pipeline.units import HALF_HOUR_MINUTES
from tests.benchmarks.schedule import Made, made_campaign
from tests.solve.schedule_builders import NINE, Draft, drawn_campaign, person, placed

DAY = 24 * 60
DAY_MINUTES = 180
NO_VIEW = Style(thrift=0.6)


def stand_of(problem: Problem, *, steps: int = 20) -> Stand:
    kinds = worker_kinds(problem)
    free = [np.zeros(len(kind.clocks)) for kind in kinds]
    reached = weighted_finish(problem, make_timetable(problem, order_by_density(problem), NO_VIEW))
    return Ascent(problem, relax(problem), kinds, step=GRID_MINUTES).climb(free, reached=reached, steps=steps)


def worth_from(problem: Problem, stand: Stand, clock: int) -> float:
    """What all time is worth that is worked from a clock on, at midnight."""
    return sum(
        HALF_HOUR_MINUTES * kind.people * float(price[kind.clocks >= clock].sum())
        for kind, price in zip(worker_kinds(problem), stand.prices, strict=True)
    )


def lower_bound(problem: Problem, stand: Stand, run: Dispatch, clock: int) -> float:
    """The least weighted finish of whatever goes on from a run at a midnight, by the cost to come."""
    volumes = [lots.volume_no for lots in stand.relaxed.volumes]
    cost = Outlook(problem, stand).cost(volumes, run.placements, run.positions, clock)
    total = stand.relaxed.fixed + cost - worth_from(problem, stand, clock)
    return total - problem.total_benefit * problem.day_start_minute


# ---- what is still to come


@given(seed=st.integers(0, 10_000), volumes=st.integers(2, 10))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_at_the_start_the_cost_to_come_is_the_raised_bound(seed: int, volumes: int) -> None:
    problem = drawn_campaign(seed, volumes=volumes)
    stand = stand_of(problem)
    if not stand.relaxed.volumes:
        return
    run = Dispatch(problem, range(volumes), own_densities(problem), NO_VIEW)
    assert lower_bound(problem, stand, run, 0) == pytest.approx(stand.bound, rel=1e-9, abs=1e-3)


@given(seed=st.integers(0, 10_000), volumes=st.integers(2, 10), days=st.integers(1, 5))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_it_is_never_more_than_the_way_gone_on_with(seed: int, volumes: int, days: int) -> None:
    problem = drawn_campaign(seed, volumes=volumes)
    stand = stand_of(problem)
    run = Dispatch(problem, range(volumes), own_densities(problem), NO_VIEW)
    run.run_until(days * DAY)
    bound = lower_bound(problem, stand, run.copy(NO_VIEW), days * DAY)
    assert bound <= weighted_finish(problem, run.run()) + 1e-3


def test_what_is_finished_counts_by_its_finish_and_time_taken_by_its_price() -> None:
    draft = Draft([person(days=2)], days=2)
    draft.volume(2, {"interleave": (60, 1)})
    draft.volume(1, {"interleave": (150, 1)})
    problem = draft.problem()
    stand = replace(stand_of(problem), prices=(np.full(12, 5.0),))
    solution = placed((0, 0, 60), (0, 60, DAY + 30))
    outlook = Outlook(problem, stand)
    # one is done at ten o'clock; the other ends half an hour into the second day, and nothing of it is left to do
    assert outlook.cost([0], solution.placements, [60], DAY) == 2 * (NINE + 60)
    assert (
        outlook.cost([0, 1], solution.placements, [210], DAY) == 2 * (NINE + 60) + (DAY + NINE + 30) + 5 * 30
    )
    # begun on the second day it ends 150 minutes later, and pays for all of them
    assert outlook.cost([1], (None, None), [0], DAY) == pytest.approx(DAY + NINE + 150 + 5 * 150)


# ---- a view to the coming days


class Costs(Outlook):
    """Costs from the next morning on as given, and time at a price."""

    def __init__(self, problem: Problem, later: Sequence[float], minutes: int, price: float) -> None:
        self.problem = problem
        self._later = later
        self._price = np.arange(minutes + 1) * price

    def cost_from(self, volume_no: int, clock: int) -> float:
        """As given."""
        return self._later[volume_no]

    def paid(self, person_no: int) -> np.ndarray:
        """So much a minute."""
        return self._price


@pytest.mark.parametrize(("weight", "begun"), [(3, 1), (5, 0)])
def test_what_fills_the_day_is_begun_before_what_leaves_a_gap(
    weight: int, begun: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # three hours today, then not for a week: 100 and 80 minutes fill them, 150 leave the next volume open for the week
    monkeypatch.setattr("pipeline.solve.schedule.lookahead.DAYS_AHEAD", 1)
    volumes = ((150, weight), (100, 2), (80, 2))
    lengths, weights = [minutes for minutes, _ in volumes], [heavy for _, heavy in volumes]
    problem = _volumes([replace(person(), days=((0, 6), (7, 6)))], lengths, weights)
    # put off, each is done first thing in a week
    later = [float(heavy * (7 * DAY + NINE + minutes)) for minutes, heavy in volumes]
    offers = tuple(Offer(number, minutes) for number, (minutes, _) in enumerate(volumes))
    # a week sooner for 2 and 2 is worth more than for 3, and less than for 5
    assert Lookahead(Costs(problem, later, 360, 0.0)).first(0, 0, offers) == begun


@given(seed=st.integers(0, 10_000), count=st.integers(1, 7))
@settings(max_examples=150, deadline=None, derandomize=True)
def test_the_plan_is_the_best_of_all_that_keep_the_order(seed: int, count: int) -> None:
    random = Random(seed)
    lengths = [random.randint(1, 260) for _ in range(count)]
    weights = [random.randint(1, 50) for _ in range(count)]
    problem = _volumes([person(days=7)], lengths, weights)
    later = [
        weight * (4 * DAY + NINE) + random.uniform(0, 40) * length
        for weight, length in zip(weights, lengths, strict=True)
    ]
    price, start = random.uniform(0, 5), random.randint(0, 300)
    costs = Costs(problem, later, 7 * DAY_MINUTES, price)
    offers = tuple(Offer(number, length) for number, length in enumerate(lengths))
    chosen = Lookahead(costs).first(0, start, offers)

    day = start // DAY_MINUTES
    end = min(7, day + 4) * DAY_MINUTES

    def clock(position: int) -> int:
        return (position - 1) // DAY_MINUTES * DAY + NINE + (position - 1) % DAY_MINUTES + 1

    best: dict[int, float] = {}
    for size in range(count + 1):
        for plan in combinations(range(count), size):
            position, gain = start, 0.0
            for number in plan:
                position += lengths[number]
                if position <= end:
                    gain += later[number] - weights[number] * clock(position)
            if position > end:
                continue
            ways = [(plan[0] if plan else None, gain - price * (end - position))]
            for number in range(count):
                finish = position + lengths[number]
                if end < finish <= 7 * DAY_MINUTES:
                    over = later[number] - weights[number] * clock(finish) - price * (finish - end)
                    ways.append((plan[0] if plan else number, gain + over))
            for first, total in ways:
                key = 0 if first is None else first
                best[key] = max(best.get(key, -np.inf), total)
    assert best[chosen] == pytest.approx(max(best.values()), rel=1e-9, abs=1e-6)


def _volumes(people: Sequence[Person], lengths: Sequence[int], weights: Sequence[int]) -> Problem:
    """One volume for each length and weight, interleaved only."""
    draft = Draft(people, days=14)
    for minutes, weight in zip(lengths, weights, strict=True):
        draft.volume(weight, {"interleave": (minutes, 1)})
    return draft.problem()


# ---- week by week


def by_week(problem: Problem, *, tries: int, seed: int = 1) -> tuple[Found, Found]:
    """A timetable in the order of the raised bound, and the same made week by week."""
    stand = stand_of(problem)
    order = order_by_finish(problem, stand.finishes)
    found = Found(order, NO_VIEW, make_timetable(problem, order, NO_VIEW))
    return found, made_by_week(found, Outlook(problem, stand), seed=seed, tries=tries)


@given(seed=st.integers(0, 10_000), volumes=st.integers(2, 20), tries=st.sampled_from([1, 5, 60]))
@settings(max_examples=30, deadline=None, derandomize=True)
def test_every_timetable_made_by_week_keeps_the_rules(seed: int, volumes: int, tries: int) -> None:
    problem = drawn_campaign(seed, volumes=volumes)
    assert broken_rules(problem, by_week(problem, tries=tries)[1].solution) == []


def test_weeks_tried_again_end_earlier_and_the_same_twice() -> None:
    problem = made_campaign(Made(volumes=60, load=1.2))
    first, few = by_week(problem, tries=4)
    _, many = by_week(problem, tries=100)
    finishes = [weighted_finish(problem, found.solution) for found in (first, few, many)]
    assert finishes == sorted(finishes, reverse=True)
    assert finishes[2] < 0.9 * finishes[0]
    assert by_week(problem, tries=4)[1].solution == few.solution


def test_weeks_leave_work_to_cheaper_people_where_the_budget_asks_for_it() -> None:
    plain = made_campaign(Made(volumes=60, load=0.7))
    people = tuple(replace(one, hourly_hundredths=1_000 * one.grade**2) for one in plain.people)
    problem = replace(plain, people=people, staff_budget_hundredths=0)
    stand = stand_of(problem)
    order, style = order_by_finish(problem, stand.finishes), Style(thrift=1.0)
    found = Found(order, style, make_timetable(problem, order, style))
    outlook = Outlook(problem, stand)
    pays = [
        pay_over_budget(problem, made_by_week(found, seen, seed=1, tries=12).solution)
        for seen in (outlook, outlook.with_pay(0.3), outlook.with_pay(3.0))
    ]
    # all volumes are done each time
    assert max(pays[1:]) < 0.995 * pays[0]


def test_a_copied_run_goes_on_apart_from_the_first() -> None:
    problem = made_campaign(Made(volumes=30, load=1.2))
    run = Dispatch(problem, range(30), own_densities(problem), NO_VIEW)
    run.run_until(7 * DAY)
    before = list(run.placements)
    other = run.copy(NO_VIEW)
    other.value_anew({no: 1.0 for no in range(30)})
    finished = other.run()
    assert run.placements == before
    assert finished.placements != before
    assert run.run() == Dispatch(problem, range(30), own_densities(problem), NO_VIEW).run()

"""The raised bound: chains worked by hand, steps that never pass a timetable, weight that is lent and not made."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.schedule.ascent import Ascent, Stand
from pipeline.solve.schedule.baseline import earliest_clocks
from pipeline.solve.schedule.bound import climbed_bound
from pipeline.solve.schedule.capacity import WorkerKind, worker_kinds
from pipeline.solve.schedule.chains import Chains, Use
from pipeline.solve.schedule.dispatch import Style
from pipeline.solve.schedule.lots import relax
from pipeline.solve.schedule.orders import order_by_density, order_by_finish
from pipeline.solve.schedule.problem import Problem, weighted_finish
from pipeline.solve.schedule.search import EFFORTS
from pipeline.solve.schedule.timetable import make_timetable
from pipeline.stages.schedule import solve
from tests.benchmarks.schedule import Made, made_campaign
from tests.solve.schedule_builders import NINE, Draft, drawn_campaign, person, small_draft

DAY = 24 * 60


def chains_of(problem: Problem, *, step: int = 10) -> tuple[Chains, tuple[WorkerKind, ...]]:
    kinds = worker_kinds(problem)
    return Chains(problem, earliest_clocks(problem), kinds, step=step), kinds


def climbed(problem: Problem, *, steps: int, step: int = 10) -> Stand:
    relaxed, kinds = relax(problem), worker_kinds(problem)
    free = [np.zeros(len(kind.clocks)) for kind in kinds]
    timetable = make_timetable(problem, order_by_density(problem), Style(thrift=0.6))
    ascent = Ascent(problem, relaxed, kinds, step=step)
    return ascent.climb(free, reached=weighted_finish(problem, timetable), steps=steps)


# ---- the cheapest chain


def test_free_time_is_taken_as_early_as_it_goes_by_those_who_can() -> None:
    problem = small_draft().problem()
    chains, _ = chains_of(problem)
    found = chains.cheapest(problem.volumes[0].task_nos, 2.0, problem.end_clock)
    # fetched while the cut of 30 minutes is made; 100 + 20 minutes by the technician, then brought back
    assert found.finish_clock == NINE + 30 + 100 + 20 + 10
    assert found.cost == 2.0 * found.finish_clock
    assert [(use.minute, use.minutes) for use in found.uses[1:3]] == [(30, 100), (130, 20)]


def test_dear_time_is_waited_out_where_waiting_costs_less() -> None:
    draft = Draft([person(days=2)], days=2)
    draft.volume(1, {"interleave": (60, 1)})
    chains, (kind,) = chains_of(draft.problem(), step=2)
    price = np.where(kind.clocks < NINE + 120, 5.0, 0.0)
    chains.price([price])
    # two hours' wait costs 1 x 120, the first hour 5 x 60; two minutes of the grid are in the volume's favour
    found = chains.cheapest((0,), 1.0, 2 * DAY)
    assert (found.cost, found.uses) == (NINE + 178, (Use(0, 118, 60),))
    # left undone it counts from a clock that may be nearer
    assert chains.cheapest((0,), 1.0, NINE + 90).uses == ()
    assert chains.least_cost((0,), 1.0, NINE + 90) == NINE + 90


def test_who_interleaves_goes_on_to_check_where_skill_allows() -> None:
    draft = Draft([person("T", grade=1), person("C", grade=2)])
    draft.volume(1, {"interleave": (30, 1), "check": (30, 1)})
    problem = draft.problem()
    chains, kinds = chains_of(problem)
    # a technician's second half-hour and a conservator's first are dear: shared they would cost nothing
    dear = [np.zeros(len(kind.clocks)) for kind in kinds]
    dear[0][1] = dear[1][0] = 1.0
    chains.price(dear)
    found = chains.cheapest(problem.volumes[0].task_nos, 1e-6, problem.end_clock)
    assert len({use.kind_no for use in found.uses}) == 1
    # they rather wait, which at this weight costs next to nothing
    assert found.cost < 1e-6 * (NINE + 120)


def test_a_volunteer_hands_over_what_needs_more_skill() -> None:
    draft = Draft([person("V", grade=0), person("T", grade=1)])
    draft.volume(1, {"interleave": (30, 0), "check": (30, 1)})
    problem = draft.problem()
    chains, kinds = chains_of(problem)
    dear = [np.zeros(len(kind.clocks)) for kind in kinds]
    dear[1][:1] = 100.0
    chains.price(dear)
    found = chains.cheapest(problem.volumes[0].task_nos, 1.0, problem.end_clock)
    assert found.uses == (Use(0, 0, 30), Use(1, 30, 30))


@given(seed=st.integers(0, 10_000), step=st.sampled_from([2, 5, 10, 30]))
@settings(max_examples=30, deadline=None, derandomize=True)
def test_a_traced_chain_costs_what_the_least_cost_says(seed: int, step: int) -> None:
    problem = drawn_campaign(seed, volumes=4)
    chains, kinds = chains_of(problem, step=step)
    prices = [np.random.default_rng(seed).random(len(kind.clocks)) for kind in kinds]
    chains.price(prices)
    for volume in problem.volumes:
        found = chains.cheapest(volume.task_nos, 0.1, problem.end_clock)
        assert found.cost == chains.least_cost(volume.task_nos, 0.1, problem.end_clock)
        worked = [problem.tasks[no].minutes for no in volume.task_nos]
        assert [use.minutes for use in found.uses] in ([], worked)
        # rounding is in the volume's favour only
        assert found.cost <= 0.1 * found.finish_clock + price_of(found.uses, prices) + 1e-6


def price_of(uses: tuple[Use, ...], prices: list[np.ndarray]) -> float:
    return sum(
        prices[use.kind_no][min(minute // 30, len(prices[use.kind_no]) - 1)]
        for use in uses
        for minute in range(use.minute, use.minute + use.minutes)
    )


# ---- the climb


@given(seed=st.integers(0, 10_000), volumes=st.integers(1, 10), step=st.sampled_from([2, 10, 30]))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_no_step_passes_a_timetable(seed: int, volumes: int, step: int) -> None:
    problem = drawn_campaign(seed, volumes=volumes)
    stand = climbed(problem, steps=15, step=step)
    least = weighted_finish(problem, solve(problem, seed=1)[0])
    slack = 1e-6 + 1e-9 * max(1, least)
    assert stand.bound <= least + slack
    for effort in (EFFORTS["usual"], EFFORTS["thorough"]):
        assert climbed_bound(problem, stand, reached=float(least), effort=effort) <= least + slack


def test_two_volumes_of_one_person_come_near_their_best() -> None:
    # worked with the timetable: the best is 3 x 60 + 4 x 180 = 900; free time gives 3 x 60 + 4 x 120 = 660
    draft = Draft([person()])
    draft.volume(3, {"interleave": (60, 1)})
    draft.volume(4, {"interleave": (120, 1)})
    problem = draft.problem()
    assert climbed(problem, steps=1).bound == pytest.approx(660)
    assert 850 <= climbed(problem, steps=200).bound <= 900


def test_cuts_are_waited_for_only_where_weight_is_lent_to_them(monkeypatch: pytest.MonkeyPatch) -> None:
    # a cut of two hours for each two volumes of an hour, all by one person
    draft = Draft([person(half_hours=16)])
    for benefit in (4_000, 1_000):
        cut = draft.cut(120)
        for more in (0, 500):
            draft.volume(benefit + more, {"interleave": (60, 1)}, cuts=(cut,))
    stand = climbed(draft.problem(), steps=150)
    assert all(weight >= 0 for weight in stand.relaxed.lent.values())
    for number, volume in enumerate(draft.volumes):
        assert sum(w for (no, _), w in stand.relaxed.lent.items() if no == number) < volume.benefit_millionths
    # the best: 180 and 240, then 420 and 480 minutes, the weightier of each two first
    assert stand.bound <= 4_500 * 180 + 4_000 * 240 + 1_500 * 420 + 1_000 * 480
    monkeypatch.setattr("pipeline.solve.schedule.ascent.MOST_LENT", 0.0)
    assert climbed(draft.problem(), steps=150).bound < 0.97 * stand.bound


def test_more_steps_give_no_lower_bound_and_the_same_twice() -> None:
    problem = made_campaign(Made(volumes=30, load=1.2))
    few, many, again = (climbed(problem, steps=steps) for steps in (5, 40, 40))
    assert few.bound < many.bound
    assert many.bound == again.bound
    assert many.finishes == again.finishes


def test_going_on_in_short_steps_on_the_finest_grid_raises_the_bound_further() -> None:
    problem = made_campaign(Made(volumes=30, load=1.2))
    stand = climbed(problem, steps=40)
    reached = float(weighted_finish(problem, solve(problem, seed=1)[0]))
    weighed = climbed_bound(problem, stand, reached=reached, effort=EFFORTS["usual"])
    assert weighed < climbed_bound(problem, stand, reached=reached, effort=EFFORTS["thorough"]) <= reached


def test_the_order_of_the_chains_finishes_is_followed() -> None:
    draft = Draft([person()])
    for benefit in (1, 5, 3):
        draft.volume(benefit, {"interleave": (60, 1)})
    problem = draft.problem()
    assert order_by_finish(problem, {0: 900.0, 1: 2000.0, 2: 900.4}) == [2, 0, 1]
    # what has none comes last
    assert order_by_finish(problem, {1: 2000.0}) == [1, 2, 0]


def test_the_raised_bound_is_nearer_than_the_weekly_prices_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = made_campaign(Made(volumes=40, load=1.2))
    raised = solve(problem, seed=1)[1]
    monkeypatch.setattr("pipeline.stages.schedule.climb", lambda *_args, **_more: None)
    plain = solve(problem, seed=1)[1]
    assert plain.bound < raised.bound <= raised.objective <= plain.objective

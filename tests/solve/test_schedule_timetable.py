"""The timetable: by hand, by rules that always hold, and against the best timetable another solver finds."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.schedule.capacity import TimePrices
from pipeline.solve.schedule.check import broken_rules
from pipeline.solve.schedule.dispatch import Style
from pipeline.solve.schedule.orders import order_by_density, order_by_shelf
from pipeline.solve.schedule.problem import Problem, finish_clock, is_dated, pay_over_budget, weighted_finish
from pipeline.solve.schedule.timetable import (
    Found,
    best_of,
    best_timetable,
    make_timetable,
)
from pipeline.stages.schedule import planned_minutes, solve
from pipeline.units import HALF_HOUR_MINUTES
from tests.solve.schedule_builders import NINE, Draft, drawn_campaign, person, placed, small_draft
from tests.solve.schedule_optimum import best_by_another_solver

DAY = 24 * 60


def test_five_tasks_and_two_people_by_hand() -> None:
    # At nine the technician cuts (30); the volunteer fetches (10) just before that is done; only the technician may
    # interleave (30-130) and check (130-150); then both could return the volume and the less skilled one does, 150-160.
    problem = small_draft().problem()
    solution, outcome = solve(problem, seed=1)
    assert solution == placed((1, 0, 30), (0, 20, 30), (1, 30, 130), (1, 130, 150), (0, 150, 160))
    assert outcome.objective == pytest.approx(160 / 60)
    # nobody could be sooner: 30 + 100 + 20 + 10 minutes follow each other
    assert outcome.bound == pytest.approx(160 / 60)
    assert outcome.status == "optimal"


def test_the_greater_benefit_per_minute_goes_first() -> None:
    # 3 for 60 minutes before 4 for 120: 60 x 3 + 180 x 4 = 900 against 120 x 4 + 180 x 3 = 1020
    draft = Draft([person()])
    draft.volume(4, {"interleave": (120, 1)})
    draft.volume(3, {"interleave": (60, 1)})
    problem = draft.problem()
    solution, _ = solve(problem, seed=1)
    assert solution == placed((0, 60, 180), (0, 0, 60))
    assert weighted_finish(problem, solution) == 900


def test_what_anyone_can_do_is_left_to_the_volunteer() -> None:
    # the technician alone may check, so the volunteer interleaves
    draft = Draft([person("T", grade=1), person("V", grade=0)])
    draft.volume(1_000_000, {"interleave": (60, 0)})
    solution, _ = solve(draft.problem(), seed=1)
    assert solution == placed((1, 0, 60))


@pytest.mark.parametrize(("volunteer_days", "returned"), [(5, (1, 60, 70)), (0, (0, 60, 70))])
def test_nothing_is_left_to_someone_who_never_comes(
    volunteer_days: int, returned: tuple[int, int, int]
) -> None:
    # the technician's time is dear enough to leave the return to a volunteer who is there, not to wait for days
    draft = Draft([person("T"), person("V", grade=0, days=volunteer_days)])
    for benefit in (1_000, 100):
        draft.volume(benefit, {"interleave": (60, 1), "return": (10, 0)})
    problem = draft.problem()
    prices = TimePrices(np.array([0]), np.array([[0.0], [60_000.0]]))
    solution = make_timetable(problem, order_by_density(problem), Style(thrift=1.0, prices=prices))
    first_return = solution.placements[1]
    assert first_return == placed(returned).placements[0]


def test_a_volume_without_benefit_is_fitted_in_last() -> None:
    draft = Draft([person()])
    draft.volume(0, {"fetch": (10, 0), "enclose": (10, 0), "return": (10, 0)})
    draft.volume(1_000, {"interleave": (60, 1)})
    solution, _ = solve(draft.problem(), seed=1)
    assert solution == placed((0, 60, 70), (0, 70, 80), (0, 80, 90), (0, 0, 60))


def test_what_does_not_fit_makes_room_for_what_does() -> None:
    # one day of 180 minutes: 170 is worth most but 100 and 80 together do not fit with it; by density 100 comes first
    draft = Draft([person(days=1)], days=1)
    draft.volume(1_700, {"interleave": (170, 1)})
    draft.volume(1_500, {"interleave": (100, 1)})
    draft.volume(700, {"interleave": (80, 1)})
    problem = draft.problem()
    solution, _ = solve(problem, seed=1)
    assert [is_dated(solution, volume) for volume in problem.volumes] == [False, True, True]


def test_cutting_for_volumes_without_a_date_has_none_either() -> None:
    draft = Draft([person(days=1)], days=1)
    cut = draft.cut(30)
    draft.volume(1_000, {"interleave": (170, 1)}, cuts=(cut,))
    assert solve(draft.problem(), seed=1)[0] == placed(None, None)


def test_cutting_no_volume_waits_for_is_done_all_the_same() -> None:
    draft = Draft([person()])
    draft.cut(30)
    assert solve(draft.problem(), seed=1)[0] == placed((0, 0, 30))


def test_idle_hours_before_the_paper_comes_are_used_to_fetch_and_clear() -> None:
    draft = Draft([person()])
    cut = draft.cut(30, first_day_no=1)
    draft.volume(1_000, {"fetch": (10, 0), "remove": (20, 1), "interleave": (60, 1)}, cuts=(cut,))
    assert solve(draft.problem(), seed=1)[0] == placed(
        (0, DAY, DAY + 30), (0, 150, 160), (0, 160, 180), (0, DAY + 30, DAY + 90)
    )


def test_a_cut_is_not_left_over_night_while_another_could_do_it() -> None:
    # V works two days apart: started in the last half-hour of the first, V's cut would keep T from the guillotine
    draft = Draft([replace(person("V"), days=((0, 2), (2, 2))), replace(person("T"), days=((1, 4),))])
    first, second = draft.cut(40), draft.cut(40)
    draft.volume(2_000_000, {"interleave": (20, 1)}, cuts=(first,))
    draft.volume(1_000_000, {"interleave": (20, 1)}, cuts=(second,))
    solution, _ = solve(draft.problem(), seed=1)
    days = [
        place and (place.start_clock // DAY, place.finish_clock // DAY) for place in solution.placements[:2]
    ]
    assert days == [(0, 0), (1, 1)]


def test_a_cut_longer_than_any_day_runs_on() -> None:
    draft = Draft([person(half_hours=2)])
    cut = draft.cut(90)
    draft.volume(1_000_000, {"interleave": (20, 1)}, cuts=(cut,))
    assert solve(draft.problem(), seed=1)[0] == placed((0, 0, DAY + 30), (0, DAY + 30, DAY + 50))


def test_a_bound_without_chains_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "lots alone" not in solve(small_draft().problem(), seed=1)[1].method
    monkeypatch.setattr("pipeline.solve.schedule.chains.MOST_PLACES", 0)
    assert "lots alone" in solve(small_draft().problem(), seed=1)[1].method


def test_no_more_volumes_wait_in_the_lab_than_there_is_room_for() -> None:
    draft = Draft([person()], room=1)
    cut = draft.cut(30, first_day_no=1)
    for _ in range(3):
        draft.volume(1_000, {"fetch": (10, 0), "interleave": (30, 1)}, cuts=(cut,))
    solution, _ = solve(draft.problem(), seed=1)
    fetched = [solution.placements[no] for no in (1, 3, 5)]
    assert sum(place is not None and place.start_clock < DAY for place in fetched) == 1
    assert all(place is not None for place in fetched)


def test_shelf_order_keeps_neighbours_together_within_the_week() -> None:
    # ten volumes in two weeks, worth more the further down the shelf they stand
    draft = Draft([person(days=14)], days=14)
    for number in range(20):
        draft.volume(1_000_000 + number, {"interleave": (120, 1)})
    problem = draft.problem()
    solution, _ = solve(problem, seed=1, is_by_shelf=True)
    assert broken_rules(problem, solution) == []
    order = sorted(range(20), key=lambda no: finish_clock(problem, solution, problem.volumes[no]))
    first_week = [no for no in order if finish_clock(problem, solution, problem.volumes[no]) < 7 * DAY]
    assert first_week == sorted(first_week)
    assert order == order_by_shelf(problem, solution)
    # without the option the last on the shelf comes first
    plain, _ = solve(problem, seed=1)
    assert finish_clock(problem, plain, problem.volumes[19]) == NINE + 120


@pytest.mark.parametrize(
    "problem",
    [
        Draft([]).problem(),
        Draft([person()], days=5).problem(),
        replace(small_draft().problem(), people=()),
        replace(small_draft().problem(), people=(person(grade=0),)),
        replace(small_draft().problem(), people=(person(days=0),)),
    ],
    ids=["nobody and nothing", "nothing", "nobody", "nobody able", "nobody there"],
)
def test_cases_without_a_timetable(problem: Problem) -> None:
    solution, outcome = solve(problem, seed=1)
    assert all(place is None for place in solution.placements)
    assert outcome.bound == outcome.objective
    assert outcome.status == "optimal"


def test_no_order_is_no_timetable() -> None:
    with pytest.raises(ValueError, match="no order"):
        best_timetable(small_draft().problem(), [])


def budgeted(hundredths: int | None) -> tuple[Problem, Found, Found]:
    """Two volumes of one hour; both by the technician at 10.00 an hour, or one of them later by the volunteer."""
    draft = Draft([replace(person("T", grade=1), hourly_hundredths=1_000), person("V", grade=0)])
    for _ in range(2):
        draft.volume(1_000_000, {"interleave": (60, 0)})
    problem = replace(draft.problem(), staff_budget_hundredths=hundredths)
    dear = Found([0, 1], Style(thrift=1.0), placed((0, 0, 60), (0, 60, 120)))
    return problem, dear, replace(dear, solution=placed((0, 0, 60), (1, 120, 180)))


@pytest.mark.parametrize(
    ("hundredths", "over", "is_dear"),
    [(None, 0, True), (2_000, 0, True), (1_999, 60, False), (1_000, 60_000, False)],
)
def test_a_later_timetable_is_taken_when_the_earlier_breaks_the_staff_budget(
    hundredths: int | None, over: int, is_dear: bool
) -> None:
    problem, dear, cheap = budgeted(hundredths)
    assert pay_over_budget(problem, dear.solution) == over
    assert best_of(problem, [cheap, dear]) is (dear if is_dear else cheap)


def test_no_benefit_is_left_undated_for_the_budget() -> None:
    problem, dear, _ = budgeted(1_000)
    assert best_of(problem, [replace(dear, solution=placed((0, 0, 60), None)), dear]) is dear


@given(seed=st.integers(0, 10_000), volumes=st.integers(1, 25), thrift=st.sampled_from((0.0, 0.1, 0.6, 1.0)))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_every_timetable_keeps_the_rules(seed: int, volumes: int, thrift: float) -> None:
    problem = drawn_campaign(seed, volumes=volumes)
    solution = make_timetable(problem, order_by_density(problem), Style(thrift=thrift))
    assert broken_rules(problem, solution) == []


@given(seed=st.integers(0, 10_000), volumes=st.integers(1, 15))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_a_solved_campaign_keeps_rules_hours_and_bound(seed: int, volumes: int) -> None:
    problem = drawn_campaign(seed, volumes=volumes)
    solution, outcome = solve(problem, seed=1)
    assert broken_rules(problem, solution) == []
    assert outcome.bound <= outcome.objective
    planned = planned_minutes(problem, solution)
    dated = [
        task for task, place in zip(problem.tasks, solution.placements, strict=True) if place is not None
    ]
    assert sum(planned.values()) == sum(task.minutes for task in dated)
    for (person_no, day_no), minutes in planned.items():
        assert minutes <= dict(problem.people[person_no].days)[day_no] * HALF_HOUR_MINUTES


def test_more_effort_is_never_worse_in_a_small_campaign_and_unknown_effort_is_refused() -> None:
    problem = drawn_campaign(7, volumes=12)
    quick, usual, thorough = (
        solve(problem, seed=1, effort=effort)[1].objective for effort in ("quick", "usual", "thorough")
    )
    assert thorough <= usual <= quick
    with pytest.raises(KeyError):
        solve(problem, seed=1, effort="endless")


def test_a_finer_grid_of_the_chains_gives_no_lower_bound_than_a_coarse_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = drawn_campaign(11, volumes=8)
    fine = solve(problem, seed=1)[1].bound
    monkeypatch.setattr("pipeline.solve.schedule.chains.GRIDS_MINUTES", (30,))
    coarse = solve(problem, seed=1)[1].bound
    assert coarse <= fine


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(8))
def test_against_the_best_timetable_of_a_tiny_campaign(seed: int) -> None:
    """The other solver's answer keeps our rules, is never below our bound, and ours is not far above it."""
    problem = drawn_campaign(seed, volumes=4, days=4, longest=6)
    best = best_by_another_solver(problem)
    assert broken_rules(problem, best) == []
    optimum = weighted_finish(problem, best)
    solution, outcome = solve(problem, seed=1)
    reached = weighted_finish(problem, solution)
    assert optimum <= reached <= 1.08 * optimum
    assert outcome.bound * 60 * max(1, problem.total_benefit) <= optimum * (1 + 1e-9)

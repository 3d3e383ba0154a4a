"""More and less of hours and money: every point is the best choice within its limits, and more never brings less."""

from dataclasses import replace

import pytest

from pipeline.solve.choose.check import exceeded, needs, picked
from pipeline.solve.choose.corrections import Tightening
from pipeline.solve.choose.frontier import (
    BOTH,
    GIVEN_PCT,
    HOURS,
    MONEY,
    VARIED,
    Point,
    Spent,
    find_points,
    pcts,
    spent_by,
)
from pipeline.solve.choose.problem import Case, Limits, Problem, Rehousing, Solution
from pipeline.solve.choose.rehousing import fund
from pipeline.solve.choose.setting import Setting, within
from pipeline.solve.choose.solver import solve
from tests.solve.choose_builders import best_by_hand, option, random_problem, volume

SHARES = pcts(step=25, more=10)
NOTHING_SPENT = Spent(minutes=0, supplies_hundredths=0, staff_hundredths=0)


def setting_of(problem: Problem, *rehousings: Rehousing) -> Setting:
    """A setting in which no round took anything away; enclosures come first."""
    case = Case(
        problem=problem,
        full_options=tuple(row.options for row in problem.volumes),
        late_options=frozenset(),
        rehousings=rehousings,
        all_ids=tuple(row.volume_id for row in problem.volumes),
    )
    funding = fund((), supplies=None, staff=None, shelves=problem.shelves)
    setting = Setting(case, Tightening(), problem.limits.minutes, funding, problem, True)
    return within(setting, problem.limits)


def points(setting: Setting, spent: Spent = NOTHING_SPENT) -> dict[tuple[str, int | None], Point]:
    minutes = {one.volume_id: 15 for one in setting.case.rehousings}
    found = find_points(setting, minutes, spent, shares=SHARES, seed=1)
    return {(point.varied, point.pct): point for point in found}


def test_shares_step_up_to_the_grant_a_little_beyond_and_to_everything() -> None:
    assert pcts(step=25, more=10) == (25, 50, 75, 110, 125, 150, None)
    assert pcts(step=50, more=50) == (50, 150, 200, None)


def test_two_volumes_by_hand() -> None:
    # each takes 60 minutes and 10.00 for labour; there are 60 minutes and 10.00: one of the two
    rows = (
        volume("A", option(1, 3, minutes=(60, 0, 0), staff_hundredths=1000)),
        volume("B", option(1, 2, minutes=(60, 0, 0), staff_hundredths=1000)),
    )
    found = points(setting_of(Problem(rows, Limits((60, 60, 60), None, 1000))))
    benefits = {key: point.result.objective // 1_000_000 for key, point in found.items()}
    assert {benefits[varied, 75] for varied in VARIED} == {0}
    # one limit alone does not help where the other binds too; both together do
    assert (benefits[HOURS, None], benefits[MONEY, None]) == (3, 3)
    assert (benefits[BOTH, 150], benefits[BOTH, None]) == (3, 5)
    assert found[BOTH, None].spent == Spent(minutes=120, supplies_hundredths=0, staff_hundredths=2000)
    assert (found[BOTH, None].volumes, found[BOTH, None].sheets) == (2, 2)


@pytest.mark.parametrize("seed", range(6))
def test_each_point_is_the_best_there_is_and_more_never_brings_less(seed: int) -> None:
    problem = random_problem(seed, volumes=5, options=3, shelves=seed % 3)
    setting = setting_of(problem)
    found = points(setting)
    for point in found.values():
        tried = within(setting, point.limits).problem
        assert not exceeded(tried, needs(tried, picked(tried, point.result.solution)))
        assert point.result.objective == best_by_hand(tried) <= point.result.bound
    for varied in VARIED:
        benefits = [found[varied, pct].result.objective for pct in SHARES]
        assert benefits == sorted(benefits)


@pytest.mark.parametrize("seed", range(2))
def test_a_larger_choice_is_as_good_as_one_made_from_scratch(seed: int) -> None:
    problem = random_problem(seed, volumes=20, options=4, shelves=1)
    setting = setting_of(problem)
    for point in points(setting).values():
        scratch = solve(within(setting, point.limits).problem, seed=1)
        assert point.result.bound >= scratch.objective
        assert point.result.objective >= scratch.objective * (1 - 1e-3)


def test_up_to_the_grant_no_volume_gets_more_than_the_rounds_left_it() -> None:
    row = volume("A", option(1, 1, minutes=(10, 0, 0)), option(2, 3, minutes=(20, 0, 0)))
    left = replace(row, options=row.options[:2])
    setting = setting_of(Problem((left,), Limits((100, 100, 100))))
    case = replace(setting.case, full_options=(row.options,))
    found = points(replace(setting, case=case))
    assert [found[HOURS, pct].sheets for pct in SHARES] == [1, 1, 1, 2, 2, 2, 2]


def test_beyond_the_grant_an_asked_volume_that_found_no_date_does_not_push_out_what_brings_more() -> None:
    # there is time for one; A was asked for and left out for want of a date, so the plan is B with its benefit of 5
    asked = volume("A", option(1, 1, minutes=(60, 0, 0)))
    rows = (asked, volume("B", option(1, 5, minutes=(60, 0, 0))))
    setting = setting_of(Problem(rows, Limits((60, 60, 60), None, 1000)))
    left = Problem(
        (replace(asked, options=asked.options[:1], is_asked=True), rows[1]), setting.problem.limits
    )
    case = replace(setting.case, problem=left)
    found = points(within(replace(setting, case=case), left.limits))
    for pct in (110, 125, None):
        assert found[MONEY, pct].result.objective == 5_000_000 <= found[MONEY, pct].result.bound


def test_without_a_budget_less_money_is_less_than_the_plan_spends() -> None:
    rows = (volume("A", option(1, 3, staff_hundredths=600)), volume("B", option(1, 2, staff_hundredths=400)))
    setting = setting_of(Problem(rows, Limits((100, 100, 100))))
    plan = Solution((1, 1))
    spent = spent_by(setting, plan, {})
    assert spent.staff_hundredths == 1000
    found = points(setting, spent)
    assert [found[MONEY, pct].result.objective // 1_000_000 for pct in SHARES] == [0, 2, 3, 5, 5, 5, 5]
    assert all(found[MONEY, pct].limits.staff_hundredths is None for pct in SHARES[3:])
    assert found[HOURS, 25].limits.staff_hundredths is None


def test_enclosures_that_come_first_are_paid_from_the_changed_budget() -> None:
    box = Rehousing("X", 3, price_hundredths=500, staff_hundredths=100, shelf=None)
    rows = (volume("A", option(1, 1, supplies_hundredths=500)),)
    found = points(setting_of(Problem(rows, Limits((100, 100, 100), 800, 200)), box))
    # 6.00 pay the enclosure alone, 8.80 too, 10.00 both
    assert found[MONEY, 75].spent == Spent(minutes=15, supplies_hundredths=500, staff_hundredths=100)
    assert [found[MONEY, pct].sheets for pct in SHARES] == [0, 0, 0, 0, 1, 1, 1]
    assert found[MONEY, 125].spent.supplies_hundredths == 1000
    # 2.00 do not pay it and it is not worked on
    assert found[MONEY, 25].spent == NOTHING_SPENT


def test_no_volumes() -> None:
    found = points(setting_of(Problem((), Limits((0, 0, 0)))))
    assert {point.result.objective for point in found.values()} == {0}
    assert GIVEN_PCT not in SHARES

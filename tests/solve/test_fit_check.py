"""The checker meets broken answers."""

from dataclasses import replace

import numpy as np
import pytest

from pipeline.solve.fit.check import broken_rules
from pipeline.solve.fit.model import solve
from pipeline.solve.fit.problem import Mark, Problem, Solution
from tests.solve.fit_builders import NO, Group, Paper, Volume, problem

GROUPS = [
    Group([1, 2], [5, 8, 3]),
    Group([3], [4, NO, 1]),
    Group([4], [9, 9, 9], mark=Mark.NEVER),
    Group([5], [6, 7, 9], only=0),
    Group([6], [1, 1, NO], mark=Mark.MUST),
]


def asked() -> Problem:
    return problem([Paper(50), Paper(70), Paper(20)], [Volume(320, GROUPS)], floor=2)


def with_sheets(sheets: list[list[int]], **more: object) -> Solution:
    """A solution of those sheets, its sums told rightly."""
    one = asked()
    table = np.array(sheets, dtype=np.int64)
    benefit = np.array([(table * np.maximum(one.benefit_ticks, 0)).sum()])
    short = np.where(one.mark == Mark.MUST, one.group_count - table.sum(axis=1), 0)
    right = Solution(
        sheets=table, benefit_ticks=benefit, bound_ticks=benefit, must_short=short, method=np.array([2])
    )
    return replace(right, **more)


GOOD = [[0, 2, 0], [1, 0, 0], [0, 0, 0], [1, 0, 0], [1, 0, 0]]


def test_a_good_answer_breaks_nothing() -> None:
    assert broken_rules(asked(), with_sheets(GOOD)) == []
    assert broken_rules(asked(), solve(asked())) == []


@pytest.mark.parametrize(
    ("group", "sheets", "rule"),
    [
        (0, [0, -1, 0], "a negative number of sheets in group 0"),
        (0, [1, 2, 0], "more sheets than openings in group 0"),
        (1, [0, 1, 0], "a paper that is not permitted in group 1"),
        (1, [0, 0, 1], "a sheet below the benefit floor in group 1"),
        (2, [1, 0, 0], "sheets against the word `never` in group 2"),
        (3, [0, 1, 0], "another paper than the one asked for in group 3"),
        (0, [1, 1, 0], None),
        (0, [1, 0, 1], "more papers than the limit in volume 0"),
    ],
)
def test_each_broken_rule_is_named(group: int, sheets: list[int], rule: str | None) -> None:
    changed = [sheets if number == group else row for number, row in enumerate(GOOD)]
    changed = (
        changed
        if rule != "more papers than the limit in volume 0"
        else [sheets, [0] * 3, [0] * 3, [0] * 3, [0, 1, 0]]
    )
    found = broken_rules(asked(), with_sheets(changed))
    assert found == [] if rule is None else rule in found


def test_too_much_thickness_is_named() -> None:
    tight = replace(asked(), headroom_um=np.array([289]))
    assert broken_rules(tight, with_sheets(GOOD)) == ["more thickness than headroom in volume 0"]
    assert broken_rules(replace(tight, headroom_um=np.array([290])), with_sheets(GOOD)) == []


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"benefit_ticks": np.array([26])}, "a wrong benefit in volume 0"),
        ({"bound_ticks": np.array([26])}, "a bound below the benefit in volume 0"),
        ({"must_short": np.array([0, 0, 0, 0, 1])}, "a wrong count of missing sheets in group 4"),
    ],
)
def test_wrong_sums_are_named(change: dict[str, object], rule: str) -> None:
    assert rule in broken_rules(asked(), with_sheets(GOOD, **change))

"""Greedy and the hull bound stand on either side of the best answer."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.fit.baseline import greedy_papers, hull_bound, hull_steps
from pipeline.solve.fit.model import solve
from tests.solve.fit_builders import NO, Group, Paper, Volume, problem


def test_steps_of_the_hull_by_hand() -> None:
    steps = hull_steps(np.array([[40, 60, 61], [10, NO, 90]]), np.array([10, 20, 30]))
    # first opening: 4 a um, then 2, then 0.1; the thick sheet of the second brings 3 a um at once
    assert steps.opening.tolist() == [0, 1, 0, 0]
    assert steps.paper.tolist() == [0, 2, 1, 2]
    assert steps.worth.tolist() == [40, 90, 20, 1]
    assert steps.thickness_um.tolist() == [10, 30, 10, 10]


def test_bound_takes_the_last_step_in_part() -> None:
    steps = hull_steps(np.array([[40, 60, 61], [10, NO, 90]]), np.array([10, 20, 30]))
    bounds = hull_bound(steps, np.array([0, 5, 10, 25, 40, 1000]))
    assert np.allclose(bounds, [0, 20, 40, 85, 130, 151])


def test_greedy_keeps_to_the_limit_of_papers() -> None:
    steps = hull_steps(np.array([[40, 60, 61], [10, NO, 90]]), np.array([10, 20, 30]))
    assert greedy_papers(steps, 60, 3) == {0: 2, 1: 2}
    assert greedy_papers(steps, 60, 2) == {0: 0, 1: 2}
    assert greedy_papers(steps, 9, 3) == {}


def test_nothing_to_choose_has_no_steps() -> None:
    steps = hull_steps(np.full((2, 1), NO), np.array([10]))
    assert len(steps.opening) == 0
    assert hull_bound(steps, np.array([100])).tolist() == [0.0]


@settings(max_examples=40, derandomize=True, deadline=None)
@given(
    st.lists(st.lists(st.integers(1, 1000), min_size=3, max_size=3), min_size=1, max_size=12),
    st.lists(st.integers(20, 160), min_size=3, max_size=3),
    st.integers(0, 900),
)
def test_greedy_at_most_best_at_most_bound(
    worths: list[list[int]], thickness: list[int], headroom_um: int
) -> None:
    papers = [Paper(um) for um in thickness]
    volume = Volume(headroom_um, [Group([no], worth) for no, worth in enumerate(worths)])
    best = int(solve(problem(papers, [volume])).benefit_ticks[0])
    steps = hull_steps(np.array(worths), np.array(thickness))
    greedy = greedy_papers(steps, headroom_um, 2)
    assert sum(worths[opening][paper] for opening, paper in greedy.items()) <= best
    assert best <= hull_bound(steps, np.array([headroom_um]))[0]

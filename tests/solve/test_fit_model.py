"""The greatest benefit of each volume: against every answer of small cases, and by hand."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.fit.check import broken_rules
from pipeline.solve.fit.model import solve
from pipeline.solve.fit.problem import ANY_PAPER, Mark, Method
from tests.solve.fit_builders import (
    NO,
    Group,
    Paper,
    Volume,
    all_best_by_trying,
    best_by_trying,
    choice_of,
    problem,
)

_MOST_OPENINGS = 5


@st.composite
def papers_and_volumes(draw: st.DrawFn) -> tuple[list[Paper], list[Volume]]:
    """Up to three papers and three volumes of up to five openings; few different figures, so that ties are common."""
    paper = st.builds(
        Paper, um=st.sampled_from([50, 52, 93, 100, 147]), buffered=st.booleans(), price=st.integers(1, 2)
    )
    papers = draw(st.lists(paper, min_size=1, max_size=3))
    benefit = st.lists(st.integers(-1, 5), min_size=len(papers), max_size=len(papers))
    volumes = []
    for _ in range(draw(st.integers(0, 3))):
        openings = draw(st.permutations(range(_MOST_OPENINGS)))
        groups = []
        while openings and draw(st.booleans()):
            size = draw(st.integers(1, len(openings)))
            groups.append(
                Group(
                    openings[:size],
                    draw(benefit),
                    mark=draw(st.sampled_from([Mark.FREE, Mark.FREE, Mark.FREE, Mark.MUST, Mark.NEVER])),
                    only=draw(st.sampled_from([ANY_PAPER] * 3 + list(range(len(papers))))),
                )
            )
            openings = openings[size:]
        volumes.append(Volume(draw(st.integers(0, 500)), groups))
    return papers, volumes


@settings(max_examples=150, derandomize=True, deadline=None)
@given(papers_and_volumes(), st.integers(0, 3), st.integers(0, 3))
def test_equals_the_best_of_all_answers(
    case: tuple[list[Paper], list[Volume]], floor: int, max_papers: int
) -> None:
    papers, volumes = case
    asked = problem(papers, volumes, floor=floor, max_papers=max_papers)
    solution = solve(asked)
    assert broken_rules(asked, solution) == []
    for volume, choice in zip(volumes, choice_of(asked, volumes, solution), strict=True):
        expected = best_by_trying(papers, volume, floor=floor, max_papers=max_papers)
        assert choice.key == expected.key
        lowest = all_best_by_trying(papers, volume, floor=floor, max_papers=max_papers)
        assert choice.protected == lowest[choice.counts]

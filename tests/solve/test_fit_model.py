"""The greatest benefit of each volume: against every answer of small cases, and by hand."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.errors import ContractError
from pipeline.solve.fit.check import broken_rules
from pipeline.solve.fit.model import Beyond, solve
from pipeline.solve.fit.problem import ANY_PAPER, NOT_PERMITTED, Mark, Method
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
    """Up to three papers and three volumes of up to five openings; few different figures, so that ties are
    common.
    """
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


@settings(max_examples=150, derandomize=True, deadline=None)
@given(papers_and_volumes(), st.integers(0, 3), st.integers(1, 3))
def test_what_beats_an_answer_without_the_last_paper_is_found_with_it_alone(
    case: tuple[list[Paper], list[Volume]], floor: int, max_papers: int
) -> None:
    asked = problem(*case, floor=floor, max_papers=max_papers)
    last = len(asked.papers) - 1
    barred = asked.benefit_ticks.copy()
    barred[:, last] = NOT_PERMITTED
    before = solve(replace(asked, benefit_ticks=barred))
    best = solve(asked)
    found = solve(asked, Beyond(before.sheets[:, :last], first_paper=last))
    gained = best.benefit_ticks > before.benefit_ticks
    assert (found.benefit_ticks[gained] == best.benefit_ticks[gained]).all()
    assert (found.benefit_ticks[~gained] <= before.benefit_ticks[~gained]).all()
    is_gained = gained[asked.group_volume]
    assert (found.sheets[is_gained] == best.sheets[is_gained]).all()


def sheets_of(papers: list[Paper], volume: Volume, *, max_papers: int = 2) -> list[list[int]]:
    """Sheets by group and paper in the best answer of one volume."""
    asked = problem(papers, [volume], max_papers=max_papers)
    solution = solve(asked)
    assert broken_rules(asked, solution) == []
    return solution.sheets.tolist()


def test_no_volumes_and_no_papers() -> None:
    assert solve(problem([Paper(50)], [])).sheets.shape == (0, 1)
    assert solve(problem([], [Volume(100, [Group([1], [])])])).benefit_ticks.tolist() == [0]
    assert solve(problem([Paper(50)], [Volume(100)])).method.tolist() == [Method.NOTHING]


def test_one_sheet_fits_to_the_micrometre() -> None:
    assert sheets_of([Paper(52)], Volume(52, [Group([1, 2], [7])])) == [[1]]
    assert sheets_of([Paper(52)], Volume(51, [Group([1, 2], [7])])) == [[0]]


def test_greatest_first_is_not_enough_with_two_papers() -> None:
    # by benefit a um the thick sheet of opening 1 comes first and leaves 47 um; two thin ones bring more
    papers = [Paper(52), Paper(93)]
    volume = Volume(140, [Group([1], [NO, 100]), Group([2], [50, NO]), Group([3], [51, NO])])
    assert sheets_of(papers, volume) == [[0, 0], [1, 0], [1, 0]]


def test_equal_benefit_takes_fewer_papers_before_buffered_ones() -> None:
    papers = [Paper(50, buffered=False), Paper(50, buffered=True)]
    volume = Volume(100, [Group([1], [5, NO]), Group([2], [5, 5])])
    assert sheets_of(papers, volume) == [[1, 0], [1, 0]]


def test_equal_benefit_and_papers_takes_buffered_before_thin() -> None:
    papers = [Paper(40, buffered=False), Paper(60, buffered=True)]
    assert sheets_of(papers, Volume(60, [Group([1], [5, 5])])) == [[0, 1]]
    assert sheets_of(papers, Volume(59, [Group([1], [5, 5])])) == [[1, 0]]


def test_equal_benefit_and_buffering_takes_thin_before_cheap() -> None:
    papers = [Paper(60, price=1), Paper(50, price=9)]
    assert sheets_of(papers, Volume(100, [Group([1], [5, 5])])) == [[0, 1]]


def test_all_equal_but_cost_takes_the_cheaper() -> None:
    papers = [Paper(50, price=3), Paper(50, price=2)]
    assert sheets_of(papers, Volume(100, [Group([1], [5, 5])])) == [[0, 1]]


def test_openings_alike_take_the_lower_numbers_across_groups() -> None:
    volume = Volume(150, [Group([1, 6, 7], [5]), Group([2, 3, 9], [5])])
    assert sheets_of([Paper(50)], volume) == [[1], [2]]


def test_lower_openings_also_where_the_papers_differ() -> None:
    # openings 1 and 2 bring as much with the first paper; only 2 could take the other, which does not fit
    papers = [Paper(50), Paper(90)]
    volume = Volume(50, [Group([2], [5, 8]), Group([1], [5, NO])])
    assert sheets_of(papers, volume) == [[0, 0], [1, 0]]


def test_must_comes_before_any_benefit_and_may_stay_below_the_floor() -> None:
    papers = [Paper(50)]
    volume = Volume(100, [Group([1, 2], [900]), Group([3], [0], mark=Mark.MUST)])
    assert sheets_of(papers, volume) == [[1], [1]]


def test_must_that_does_not_fit_is_told_by_group() -> None:
    volume = Volume(
        120, [Group([1, 2], [3], mark=Mark.MUST), Group([3], [2], mark=Mark.MUST), Group([4], [9])]
    )
    asked = problem([Paper(50)], [volume])
    solution = solve(asked)
    assert broken_rules(asked, solution) == []
    assert solution.must_short.tolist() == [0, 1, 0]


def test_must_without_a_permitted_paper_is_told() -> None:
    solution = solve(problem([Paper(50)], [Volume(500, [Group([1, 2], [NO], mark=Mark.MUST)])]))
    assert solution.must_short.tolist() == [2]


def test_never_and_only_bind() -> None:
    papers = [Paper(50), Paper(60)]
    groups = [Group([1], [9, 9], mark=Mark.NEVER), Group([2], [9, 4], only=1), Group([3], [1, 2])]
    assert sheets_of(papers, Volume(500, groups)) == [[0, 0], [0, 1], [0, 1]]


def test_a_third_paper_is_taken_where_the_limit_allows() -> None:
    papers = [Paper(50), Paper(60), Paper(70)]
    volume = Volume(180, [Group([1], [9, NO, NO]), Group([2], [NO, 8, NO]), Group([3], [NO, NO, 7])])
    assert sheets_of(papers, volume) == [[1, 0, 0], [0, 1, 0], [0, 0, 0]]
    assert sheets_of(papers, volume, max_papers=3) == [[1, 0, 0], [0, 1, 0], [0, 0, 1]]
    assert sheets_of(papers, volume, max_papers=1) == [[1, 0, 0], [0, 0, 0], [0, 0, 0]]
    assert sheets_of(papers, volume, max_papers=0) == [[0, 0, 0], [0, 0, 0], [0, 0, 0]]


def test_benefits_too_great_for_whole_numbers_are_refused() -> None:
    volume = Volume(10**6, [Group(range(1000), [1 << 52])])
    with pytest.raises(ContractError, match="too great"):
        solve(problem([Paper(50)], [volume]))


def test_the_order_of_volumes_changes_nothing() -> None:
    papers = [Paper(52), Paper(93), Paper(147, buffered=False)]
    volumes = [
        Volume(97 * number, [Group([no], [(7 * no + number) % 13, (5 * no) % 11, 9]) for no in range(number)])
        for number in range(12)
    ]
    forward = choice_of(problem(papers, volumes), volumes, solve(problem(papers, volumes)))
    volumes.reverse()
    assert forward[::-1] == choice_of(problem(papers, volumes), volumes, solve(problem(papers, volumes)))


def test_equal_benefit_of_two_papers_takes_one_more_sheet_only_where_that_is_buffered() -> None:
    # either opening 1 takes the thick paper, or it takes the thin one and leaves the thick one to opening 2
    groups = [Group([1], [3, 5]), Group([2], [NO, 2]), Group([3], [4, NO])]
    volume = Volume(200, groups)
    assert sheets_of([Paper(50, buffered=False), Paper(100)], volume) == [[0, 1], [0, 0], [1, 0]]
    assert sheets_of([Paper(50, buffered=True), Paper(100)], volume) == [[1, 0], [0, 1], [1, 0]]


def test_lowest_openings_among_all_ways_to_lay_the_same_papers() -> None:
    # one thin and one thick sheet bring 8 in openings 3 and 1, 3 and 2, or 1 and 2
    groups = [Group([3], [1, 5]), Group([1], [3, 5]), Group([2], [3, 2])]
    assert sheets_of([Paper(50), Paper(100)], Volume(150, groups)) == [[0, 0], [0, 1], [1, 0]]


def test_answers_alike_but_in_cost_take_the_cheaper() -> None:
    papers = [Paper(50, price=3), Paper(50, price=2)]
    volume = Volume(50, [Group([1], [5, NO]), Group([2], [NO, 5])])
    assert sheets_of(papers, volume) == [[0, 0], [0, 1]]

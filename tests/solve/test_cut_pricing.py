"""Exact pricing against every pattern of tiny problems: any number of sizes, few sizes, turned pieces, rolls."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.cut import limited
from pipeline.solve.cut.check import broken_rules
from pipeline.solve.cut.complete import full_patterns
from pipeline.solve.cut.limited import FewSizes, Groups
from pipeline.solve.cut.pricing import Knapsacks, Pricer
from pipeline.solve.cut.problem import Panel, Problem, Run, pattern_cost, piece_counts
from tests.solve.cut_cases import all_patterns, problem, roll, sheet

SIDES = st.tuples(st.integers(14, 28), st.integers(14, 28), st.just(1))
SIZES = st.lists(SIDES, min_size=1, max_size=3)
PRICES = st.lists(st.integers(0, 50), min_size=4, max_size=4)
ACROSS, ALONG = roll(36, 44, trims=3, cost=2)


def dearest(wanted: Problem, prices: list[int]) -> Fraction:
    """Greatest worth per cost over every pattern."""
    return max(
        (
            Fraction(
                sum(p * c for p, c in zip(prices, piece_counts(wanted, pattern), strict=False)),
                pattern_cost(wanted, pattern),
            )
            for pattern in all_patterns(wanted)
        ),
        default=Fraction(0),
    )


def best_of(pricer: Pricer, prices: list[int], sizes: int) -> Fraction:
    offers = pricer.best(np.array(prices[:sizes], dtype=np.int64))
    return Fraction(offers[0].value, offers[0].cost) if offers else Fraction(0)


@pytest.mark.parametrize("panel", [sheet(40, 41, cost=3), ACROSS, ALONG], ids=["sheet", "across", "along"])
@given(sizes=SIZES, prices=PRICES, may_turn=st.booleans())
@settings(max_examples=25, deadline=None, derandomize=True)
def test_any_number_of_sizes(
    panel: Panel, sizes: list[tuple[int, int, int]], prices: list[int], may_turn: bool
) -> None:
    wanted = problem(sizes, panel, may_turn=may_turn)
    assert best_of(Knapsacks(wanted, 0), prices, len(sizes)) == dearest(wanted, prices)


@pytest.mark.parametrize("panel", [sheet(40, 41, cost=3), ACROSS], ids=["sheet", "across"])
@given(sizes=SIZES, prices=PRICES, may_turn=st.booleans(), max_sizes=st.integers(1, 3))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_few_sizes_on_a_parent(
    panel: Panel, sizes: list[tuple[int, int, int]], prices: list[int], may_turn: bool, max_sizes: int
) -> None:
    wanted = problem(sizes, panel, may_turn=may_turn, max_sizes=max_sizes)
    assert best_of(Groups(wanted, 0, max_sizes), prices, len(sizes)) == dearest(wanted, prices)


MANY = st.lists(SIDES, min_size=5, max_size=6, unique=True)
PRICE_ROUNDS = st.lists(st.lists(st.integers(0, 50), min_size=6, max_size=6), min_size=2, max_size=4)


@pytest.mark.parametrize("panel", [sheet(60, 90, cost=3), ACROSS], ids=["sheet", "across"])
@given(sizes=MANY, rounds=PRICE_ROUNDS, enough=st.sampled_from((5, 20, 40)), may_turn=st.booleans())
@settings(max_examples=25, deadline=None, derandomize=True)
def test_groups_looked_at_first_give_more_than_enough_or_the_best_is_proven(
    panel: Panel, sizes: list[tuple[int, int, int]], rounds: list[list[int]], enough: int, may_turn: bool
) -> None:
    wanted = problem(sizes, panel, may_turn=may_turn, max_sizes=2)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(limited, "NEAR_GROUPS", 2)
        pricer = Groups(wanted, 0, 2)
        for prices in rounds:
            whole = np.array(prices[: len(sizes)], dtype=np.int64)
            offers = pricer.best(whole, extra=2, enough=enough)
            best = best_of(Groups(wanted, 0, 2), prices, len(sizes))
            found = Fraction(offers[0].value, offers[0].cost) if offers else Fraction(0)
            assert found == best or best > found > enough


@given(sizes=SIZES, prices=PRICES, max_sizes=st.integers(1, 2))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_offers_are_patterns_that_may_be_cut_and_are_worth_what_they_say(
    sizes: list[tuple[int, int, int]], prices: list[int], max_sizes: int
) -> None:
    wanted = problem(sizes, sheet(40, 41), ACROSS, ALONG, max_sizes=max_sizes)
    free = problem([(w, h, 0) for w, h, _ in sizes], *wanted.panels, max_sizes=max_sizes)
    whole = np.array(prices[: len(sizes)], dtype=np.int64)
    pricers: list[Pricer] = [
        Groups(wanted, 0, max_sizes),
        Groups(wanted, 1, max_sizes),
        FewSizes(wanted, 2, max_sizes),
    ]
    for pricer in pricers:
        for pattern, value, cost in pricer.best(whole, extra=5):
            assert broken_rules(free, [Run(pattern, 1)]) == ()
            assert value == sum(int(whole[i]) * count for i, count in enumerate(piece_counts(free, pattern)))
            assert cost == pattern_cost(free, pattern)


@given(sizes=SIZES, may_turn=st.booleans(), max_sizes=st.sampled_from([1, 2, None]))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_full_patterns_serve_as_well_as_any(
    sizes: list[tuple[int, int, int]], may_turn: bool, max_sizes: int | None
) -> None:
    """Every pattern there is has one in the list that gives as much of what is wanted at no higher cost."""
    wanted = problem(
        [(w, h, 3) for w, h, _ in sizes],
        sheet(40, 41, cost=3),
        sheet(30, 50, cost=2, stock_id="T"),
        may_turn=may_turn,
        max_sizes=max_sizes,
    )
    listed = [(pattern_cost(wanted, p), piece_counts(wanted, p)) for p in full_patterns(wanted)]
    for pattern in all_patterns(wanted):
        counts, cost = piece_counts(wanted, pattern), pattern_cost(wanted, pattern)
        assert any(
            other <= cost and all(o >= min(c, 3) for o, c in zip(more, counts, strict=True))
            for other, more in listed
        )


def test_two_sizes_of_one_height_share_a_strip() -> None:
    """Heights 20 and 20, widths 30 and 18 on 48: one strip of both, 48 wide, is best."""
    wanted = problem([(30, 20, 1), (18, 20, 1)], sheet(48, 20))
    for pricer in (Knapsacks(wanted, 0), Groups(wanted, 0, 2)):
        assert pricer.best(np.array([30, 18]))[0].value == 48


def test_no_priced_piece_that_fits_gives_no_offer() -> None:
    wanted = problem([(60, 20, 1), (18, 20, 1)], sheet(48, 20))
    assert Knapsacks(wanted, 0).best(np.array([9, 0])) == []
    assert Groups(wanted, 0, 1).best(np.array([9, 0])) == []


def test_no_more_pieces_in_a_strip_than_are_of_use() -> None:
    wanted = problem([(10, 20, 1), (9, 20, 1)], sheet(48, 20))
    most = np.array([1, 2])
    for pricer in (Knapsacks(wanted, 0), Groups(wanted, 0, 2)):
        assert pricer.best(np.array([10, 9]), most=most)[0].value == 28

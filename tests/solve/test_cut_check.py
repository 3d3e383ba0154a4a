"""The checker meets broken answers: each breaks one rule of a sound plan and is found."""

import pytest

from pipeline.solve.cut.check import broken_rules, cost_of
from pipeline.solve.cut.problem import Cells, Pattern, Run
from tests.solve.cut_cases import problem, roll, sheet

GIVEN = problem([(40, 50, 4), (30, 40, 2), (20, 30, 1)], sheet(100, 100, cost=7), max_sizes=2)
TWO_A_AND_TWO_B = Pattern(0, ((Cells(0, False, 2),), (Cells(1, False, 2),)))
ONE_C = Pattern(0, ((Cells(2, False, 1),),))
SOUND = [Run(TWO_A_AND_TWO_B, 2), Run(ONE_C, 1)]


def test_a_sound_plan_has_nothing_broken_and_its_cost_adds_up() -> None:
    assert broken_rules(GIVEN, SOUND) == ()
    assert cost_of(GIVEN, SOUND) == 21


@pytest.mark.parametrize(
    ("runs", "words"),
    [
        ([Run(TWO_A_AND_TWO_B, 1), Run(ONE_C, 1)], "C0: 2 pieces for a demand of 4"),
        ([Run(TWO_A_AND_TWO_B, 2)], "C2: 0 pieces for a demand of 1"),
        ([*SOUND, Run(ONE_C, 0)], "cut 0 times"),
        ([*SOUND, Run(Pattern(0, ((Cells(0, False, 3),),)), 1)], "a strip takes 120 of 100 ticks"),
        ([*SOUND, Run(Pattern(0, ((Cells(0, False, 1),),) * 3), 1)], "the strips take 150 of 100 ticks"),
        ([*SOUND, Run(Pattern(0, ((Cells(0, True, 1),),)), 1)], "C0 turned against the grain"),
        (
            [*SOUND, Run(Pattern(0, ((Cells(0, False, 1), Cells(1, False, 1), Cells(2, False, 1)),)), 1)],
            "3 sizes on a parent, at most 2",
        ),
        ([*SOUND, Run(Pattern(1, ONE_C.strips), 1)], "no such panel"),
        ([*SOUND, Run(Pattern(0, ((Cells(3, False, 1),),)), 1)], "no such size"),
        ([*SOUND, Run(Pattern(0, ((Cells(2, False, 0),),)), 1)], "a cell without a piece"),
        ([*SOUND, Run(Pattern(0, ()), 1)], "no pieces"),
    ],
)
def test_each_broken_rule_is_found(runs: list[Run], words: str) -> None:
    assert any(words in line for line in broken_rules(GIVEN, runs)), broken_rules(GIVEN, runs)


def test_a_length_off_a_roll_costs_what_it_takes_with_both_trims() -> None:
    """Across: two strips of 50 + 40 and 2 of trims, 92 ticks at 3. Along: the longest strip, 2 x 50, and 2."""
    given = problem([(40, 50, 1), (30, 40, 1)], *roll(100, 200, trims=2, cost=3))
    across = Pattern(0, ((Cells(0, False, 1),), (Cells(1, False, 1),)))
    along = Pattern(1, ((Cells(0, False, 2),), (Cells(1, False, 1),)))
    assert cost_of(given, [Run(across, 1)]) == 92 * 3
    assert cost_of(given, [Run(along, 2)]) == 2 * 102 * 3
    assert broken_rules(given, [Run(across, 1), Run(along, 2)]) == ()

"""The checker of timetables meets right and broken answers; the timetable worked by hand."""

import pytest

from pipeline.solve.schedule.check import broken_rules, mean_finish_minutes
from pipeline.solve.schedule.problem import Placement, Solution, weighted_finish
from tests.solve.schedule_builders import NINE, Draft, person, placed, small_draft

VOLUNTEER, TECHNICIAN = 0, 1
# cut 0-30, fetch 0-10, interleave 30-130, check 130-150, return by the volunteer 150-160
RIGHT = ((1, 0, 30), (0, 0, 10), (1, 30, 130), (1, 130, 150), (0, 150, 160))
DAY = 24 * 60


def broken(*changes: tuple[int, tuple[int, int, int] | None]) -> list[str]:
    spans: list[tuple[int, int, int] | None] = list(RIGHT)
    for task_no, span in changes:
        spans[task_no] = span
    return broken_rules(small_draft().problem(), placed(*spans))


def test_a_right_timetable_breaks_nothing() -> None:
    problem = small_draft().problem()
    assert broken_rules(problem, placed(*RIGHT)) == []
    assert mean_finish_minutes(problem, placed(*RIGHT)) == 160
    assert weighted_finish(problem, placed(*RIGHT)) == 160 * 1_000_000


def test_nothing_dated_breaks_nothing_and_counts_from_the_last_midnight() -> None:
    problem = small_draft().problem()
    nothing = placed(None, None, None, None, None)
    assert broken_rules(problem, nothing) == []
    assert mean_finish_minutes(problem, nothing) == 5 * DAY - NINE


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ((0, (VOLUNTEER, 10, 40)), "cut-0: V lacks the skill"),
        ((1, (VOLUNTEER, -60, -50)), "fetch-0: starts or ends outside V's hours"),
        ((1, (VOLUNTEER, 0, 11)), "fetch-0: 10 minutes do not fit its span"),
        ((4, (VOLUNTEER, 175, 185)), "return-0: starts or ends outside V's hours"),
        ((4, (VOLUNTEER, 140, 150)), "return-0: starts before check-0 is finished"),
        ((2, (TECHNICIAN, 20, 120)), "interleave-0: T is still at cut-0"),
        ((4, None), "V0: 3 of 4 tasks have a date"),
        ((0, None), "interleave-0: waits for cut-0, which has no date"),
    ],
)
def test_each_broken_rule_is_named(change: tuple[int, tuple[int, int, int] | None], words: str) -> None:
    assert words in broken(change)


def test_a_task_may_run_on_over_the_night() -> None:
    # 160 of the technician's 180 minutes are gone: 20 of the check's minutes on Monday would end at 180
    late = (2, (TECHNICIAN, 70, 170)), (3, (TECHNICIAN, 170, DAY + 10)), (4, (VOLUNTEER, DAY + 10, DAY + 20))
    assert broken(*late) == []


def test_two_cuts_at_once_on_one_guillotine() -> None:
    draft = Draft([person("A"), person("B")])
    draft.cut(30)
    draft.cut(30)
    problem = draft.problem()
    assert broken_rules(problem, placed((0, 0, 30), (1, 30, 60))) == []
    assert broken_rules(problem, placed((0, 0, 30), (1, 20, 50))) == [
        "cut-1: the guillotine is still at cut-0"
    ]


def test_the_guillotine_is_taken_over_night() -> None:
    draft = Draft([person("A"), person("B", half_hours=10)])
    draft.cut(200)
    draft.cut(30)
    over_night = placed((0, 0, DAY + 20), (1, 200, 230))
    assert broken_rules(draft.problem(), over_night) == ["cut-1: the guillotine is still at cut-0"]


def test_work_before_its_delivery() -> None:
    draft = Draft([person()])
    draft.cut(30, first_day_no=1)
    assert broken_rules(draft.problem(), placed((0, 0, 30))) == ["cut-0: starts before its delivery"]
    assert broken_rules(draft.problem(), placed((0, DAY, DAY + 30))) == []


def test_a_volume_changes_hands_only_where_skill_asks_for_it() -> None:
    draft = Draft([person("V", grade=0), person("T", grade=1), person("C", grade=2)])
    draft.volume(1, {"interleave": (60, 0), "check": (10, 1)})
    problem = draft.problem()
    assert broken_rules(problem, placed((0, 0, 60), (1, 60, 70))) == []
    assert broken_rules(problem, placed((1, 0, 60), (2, 60, 70))) == ["check-0: handed over without need"]


def test_an_answer_of_another_length_is_refused() -> None:
    assert broken_rules(small_draft().problem(), Solution(placements=())) == ["0 placements for 5 tasks"]


def test_a_task_of_no_minutes_has_a_moment_inside_working_hours() -> None:
    draft = Draft([person()])
    draft.volume(1, {"return": (0, 0)})
    problem = draft.problem()

    def at(clock: int) -> Solution:
        return Solution(placements=(Placement(person_no=0, start_clock=clock, finish_clock=clock),))

    assert broken_rules(problem, at(NINE + 5)) == []
    assert broken_rules(problem, at(NINE - 5)) == ["return-0: starts or ends outside T's hours"]

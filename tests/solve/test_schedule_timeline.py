"""Free time of a person and of the guillotine."""

import pytest

from pipeline.solve.schedule.problem import Person
from pipeline.solve.schedule.timeline import Guillotine, Timeline
from tests.solve.schedule_builders import NINE, person

DAY = 24 * 60


def timeline(least_minutes: int = 1) -> Timeline:
    """Two days of an hour each, the second and the fourth."""
    worker = person(days=0)
    return Timeline(
        type(worker)(staff_id="T", grade=1, days=((1, 2), (3, 2))),
        day_start_minute=NINE,
        least_minutes=least_minutes,
    )


@pytest.mark.parametrize(
    ("clock", "position"),
    [
        (0, 0),
        (DAY + NINE, 0),
        (DAY + NINE + 59, 59),
        (DAY + NINE + 60, 60),
        (2 * DAY, 60),
        (3 * DAY + NINE + 5, 65),
        (9 * DAY, 120),
    ],
)
def test_positions_count_working_minutes(clock: int, position: int) -> None:
    assert timeline().position(clock) == position


def test_a_task_that_ends_with_the_day_ends_there_and_the_next_starts_another_day() -> None:
    assert timeline().span(30, 30) == (DAY + NINE + 30, DAY + NINE + 60)
    assert timeline().span(60, 10) == (3 * DAY + NINE, 3 * DAY + NINE + 10)
    assert timeline().span(30, 40) == (DAY + NINE + 30, 3 * DAY + NINE + 10)


def test_the_earliest_gap_that_is_long_enough_is_found() -> None:
    free = timeline()
    free.take(20, 30)
    assert free.find(0, 20) == 0
    assert free.find(0, 21) == 50
    assert free.find(DAY + NINE + 10, 20) == 50
    assert free.find(0, 71) is None


def test_gaps_too_short_for_any_task_are_forgotten() -> None:
    free = timeline(least_minutes=10)
    free.take(5, 50)
    assert free.find(0, 5) == 55


def test_what_is_given_back_is_joined_again() -> None:
    free = timeline()
    free.take(0, 30)
    free.take(30, 30)
    free.take(60, 60)
    assert free.find(0, 1) is None
    free.give_back(30, 30)
    assert free.find(0, 30) == 30
    free.give_back(60, 60)
    assert free.find(0, 90) == 30
    free.give_back(0, 30)
    assert free.find(0, 120) == 0


def test_nothing_runs_across_a_task_of_no_minutes() -> None:
    free = timeline()
    free.take(50, 0)
    assert free.find(0, 51) == 50
    free.give_back(50, 0)
    assert free.find(0, 51) == 0


def test_the_guillotine_names_the_end_of_what_is_in_the_way() -> None:
    guillotine = whole_days()
    guillotine.take(100, 200)
    guillotine.take(300, 400)
    assert guillotine.free_from(0, 100) is None
    assert guillotine.free_from(200, 300) is None
    assert guillotine.free_from(150, 160) == 200
    assert guillotine.free_from(50, 350) == 400
    guillotine.give_back(300, 400)
    assert guillotine.free_from(200, 350) is None


def whole_days() -> Guillotine:
    """A guillotine that somebody could use all day and night, four days."""
    return Guillotine(
        Person(staff_id="", grade=0, days=tuple((day, 48) for day in range(4))), day_start_minute=0
    )


def test_a_gap_too_small_for_a_cut_is_passed_over() -> None:
    guillotine = whole_days()
    for start, finish in ((100, 200), (230, 300), (380, 400)):
        guillotine.take(start, finish)
    assert guillotine.open_from(0, 100) == 0
    assert guillotine.open_from(20, 90) == 400
    assert guillotine.open_from(150, 30) == 200
    assert guillotine.open_from(150, 31) == 300
    assert guillotine.open_from(320, 60) == 320
    assert guillotine.open_from(0, 4 * DAY) is None
    guillotine.give_back(230, 300)
    assert guillotine.open_from(150, 31) == 200


def test_a_night_is_no_room_for_a_cut() -> None:
    guillotine = Guillotine(Person(staff_id="", grade=0, days=((0, 4), (1, 4))), day_start_minute=NINE)
    guillotine.take(NINE + 30, NINE + 120)
    assert guillotine.open_from(NINE, 31) == NINE + 120
    assert guillotine.open_from(NINE, 121) is None

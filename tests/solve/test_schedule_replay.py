"""The timetable worked off again with other task times: five tasks and two people by hand, and what always holds."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.schedule.chance_words import CAMPAIGN, PERSON, TASK, Subject, Teller, out_of_100
from pipeline.solve.schedule.chances import campaign_chance, person_chances, rate_chances
from pipeline.solve.schedule.problem import Person
from pipeline.solve.schedule.replay import Finishes, Line, replay
from pipeline.solve.schedule.times import Rate, TaskTimes

NINE = 9 * 60
DAY = 24 * 60
# A works 3 hours a day, B 2 hours, each from nine
A = Person(staff_id="A", grade=1, days=tuple((day, 6) for day in range(30)))
B = Person(staff_id="B", grade=0, days=tuple((day, 4) for day in range(30)))
CUT, FETCH, INTERLEAVE, CHECK, RETURN = range(5)
HALF_TO_DOUBLE = Rate(low=0.5, high=2.0)


def line(person_no: int, minutes: int, rate: int, *before: int, **more: int | bool) -> Line:
    return Line(person_no=person_no, minutes=minutes, parts=((rate, 1.0),), before=before, **more)


FIVE = (
    line(0, 60, CUT, is_cut=True),
    line(1, 30, FETCH),
    line(0, 120, INTERLEAVE, 0, 1),
    line(0, 30, CHECK, 2),
    line(1, 30, RETURN, 3),
)


def times(rate: Rate = HALF_TO_DOUBLE, *, tries: int = 200, shared: float = 0.5, seed: int = 1) -> TaskTimes:
    return TaskTimes([rate] * 5, people=2, tries=tries, shared=shared, seed=seed)


def worked(lines: tuple[Line, ...] = FIVE, drawn: TaskTimes | None = None) -> Finishes:
    return replay(lines, (A, B), drawn or times(), day_start_minute=NINE)


def at(day: int, hour: int, minute: int = 0) -> int:
    return day * DAY + hour * 60 + minute


def test_likely_times_give_the_timetable_worked_by_hand() -> None:
    # Monday A cuts 9-10 and interleaves until 12; Tuesday A checks until 9:30, B returns until 10
    assert worked().all_work[0] == at(1, 10)
    assert worked().by_person[:, 0].tolist() == [at(1, 9, 30), at(1, 10)]


def test_everything_low_and_everything_high() -> None:
    # low: cut 9:30, interleaved 10:30, checked 10:45, returned 11:00, the end of B's Monday
    # high: cut 11:00, interleaved Tuesday 12:00, checked Wednesday 10:00, returned 11:00
    assert worked().all_work[[1, 2]].tolist() == [at(0, 11), at(2, 11)]


def test_one_rate_or_one_person_alone() -> None:
    drawn = times()
    found = worked(drawn=drawn)
    # interleaving doubled: Tuesday 11:00, checked 11:30, B is gone by then and returns it Wednesday 9:30
    assert found.all_work[drawn.rate_cases(INTERLEAVE)[1]] == at(2, 9, 30)
    # halved: interleaved Monday 11:00, checked 11:30: B returns it Tuesday 9:30
    assert found.all_work[drawn.rate_cases(INTERLEAVE)[0]] == at(1, 9, 30)
    # B at half the pace: fetched by 10 all the same, returned Tuesday 9:30 to 10:30
    assert found.all_work[drawn.person_cases(1)[1]] == at(1, 10, 30)


def test_a_delivery_holds_a_task() -> None:
    held = (line(0, 60, CUT, is_cut=True, first_day_no=2), *FIVE[1:])
    assert worked(held).all_work[0] == at(3, 10)


def test_one_guillotine_is_shared() -> None:
    cuts = (line(0, 60, CUT, is_cut=True), line(1, 60, CUT, is_cut=True))
    assert worked(cuts).by_person[:, 0].tolist() == [at(0, 10), at(0, 11)]


def test_who_waits_does_what_fits_into_the_wait() -> None:
    # B waits for A's 60 minutes, and meanwhile does the 45 that come later in the list, not the 90
    lines = (line(0, 60, 0), line(1, 15, 1, 0), line(1, 45, 2), line(1, 90, 3))
    assert worked(lines).by_person[1, 0] == at(1, 9, 45)
    waiting = (line(0, 60, 0), line(1, 15, 1, 0), line(1, 90, 3))
    assert worked(waiting).by_person[1, 0] == at(1, 9, 45)


def test_work_beyond_the_days_looked_at_has_no_end() -> None:
    found = worked((line(1, 30 * 120 + 1, 0),))
    assert math.isinf(found.all_work[0])
    chance = campaign_chance(found, times(), last_day_no=29)
    assert (chance.planned_day_no, chance.high_day_no, chance.moved_days) == (None, None, None)


def test_nothing_to_do() -> None:
    assert np.isneginf(worked(()).all_work).all()


def test_the_triangle_keeps_its_corners_and_its_share_below_the_likely() -> None:
    rate = Rate(low=0.5, high=2.0)
    assert (rate.share(0.0), rate.share(1.0)) == (0.5, 2.0)
    assert rate.share(1 / 3) == pytest.approx(1.0)  # a third of the triangle lies below its peak
    assert Rate(low=1.0, high=1.0).share(0.3) == 1.0


def test_drawn_minutes_follow_the_triangle() -> None:
    # mean of a triangle: (0.7 + 1 + 1.3) / 3, standard deviation 0.3 / sqrt 6
    drawn = times(Rate(low=0.7, high=1.3), tries=20_000, shared=0.0)
    minutes = drawn.minutes(1000, ((0, 1.0),), 0)[drawn.first_try :]
    assert minutes.mean() == pytest.approx(1000, rel=0.01)
    assert minutes.std() == pytest.approx(300 / math.sqrt(6), rel=0.03)
    assert minutes.min() >= 700
    assert minutes.max() <= 1300


def test_shared_luck_does_not_even_out() -> None:
    """A hundred tasks of one rate: with luck of their own their sum is ten times surer than one of them."""
    spreads = []
    for shared in (0.0, 1.0):
        drawn = times(Rate(low=0.7, high=1.3), tries=2_000, shared=shared)
        total = sum(drawn.minutes(10, ((0, 1.0),), 0)[drawn.first_try :] for _ in range(100))
        spreads.append(float(np.std(total)))
    assert spreads[1] == pytest.approx(10 * spreads[0], rel=0.1)


def test_the_same_seed_gives_the_same_tries_and_another_gives_others() -> None:
    one, again, other = (worked(drawn=times(seed=seed)).all_work for seed in (1, 1, 2))
    assert (one == again).all()
    assert (one != other).any()


def test_certain_times_give_one_date_with_certainty() -> None:
    drawn = times(Rate(low=1.0, high=1.0))
    chance = campaign_chance(worked(drawn=drawn), drawn, last_day_no=1)
    assert (chance.in_time_pct, chance.even_day_no, chance.nine_day_no, chance.moved_days) == (100.0, 1, 1, 0)
    assert campaign_chance(worked(drawn=drawn), drawn, last_day_no=0).in_time_pct == 0.0


def test_chances_of_rates_and_people() -> None:
    drawn = times()
    found = worked(drawn=drawn)
    rates = rate_chances(found, drawn, rates=5, last_day_no=4)
    assert [chance.moved_days for chance in rates] == [0, 0, 1, 0, 0]
    a, b = person_chances(found, drawn, [4, 4])
    assert (a.last_pct, b.last_pct) == (0.0, 100.0)
    assert a.even_day_no is not None
    assert b.even_day_no is not None
    assert a.even_day_no <= b.even_day_no


@settings(max_examples=30, deadline=None, derandomize=True)
@given(st.lists(st.tuples(st.integers(0, 1), st.integers(0, 90)), min_size=1, max_size=12), st.integers(0, 5))
def test_slower_is_never_sooner_and_all_tries_lie_between(tasks: list[tuple[int, int]], seed: int) -> None:
    """With every task in a row, longer tasks end later; tries lie between everything low and everything high."""
    lines = tuple(
        line(person, minutes, 0, *([number - 1] if number else []))
        for number, (person, minutes) in enumerate(tasks)
    )
    drawn = times(tries=20, seed=seed)
    ends = worked(lines, drawn).all_work
    assert ends[1] <= ends[0] <= ends[2]
    assert (ends[drawn.first_try :] >= ends[1]).all()
    assert (ends[drawn.first_try :] <= ends[2]).all()


def test_words_have_chances_and_dates() -> None:
    from datetime import date

    drawn = times()
    chance = campaign_chance(worked(drawn=drawn), drawn, last_day_no=4)
    teller = Teller(date(2027, 1, 4), drawn.tries)
    last = date(2027, 1, 8)
    whole = Subject(chance_of=CAMPAIGN, name=None, minutes=270, last_day=last, chance=chance)
    assert teller.words(whole) == (
        "100 chances in 100 that all dated work is done by 2027-01-08, the last day. It is done by 2027-01-05 with "
        "an even chance, and by 2027-01-06 with 9 chances in 10; with the planned minutes throughout, on 2027-01-05."
    )
    rate = Subject(chance_of=TASK, name="check", minutes=30, last_day=last, chance=chance)
    assert teller.words(rate).startswith(
        "Checking the fore edge: at its low minutes throughout, all work ends"
    )
    person = Subject(chance_of=PERSON, name="A", minutes=30, last_day=last, chance=chance)
    assert "100 chances in 100 to be through with it by 2027-01-08" in teller.words(person)
    assert teller.row(rate, 2)["decides_no"] == 2


@pytest.mark.parametrize(
    ("pct", "words"),
    [
        (0.0, "0 chances in 100"),
        (0.2, "Less than 1 chance in 100"),
        (1.0, "1 chance in 100"),
        (51.0, "51 chances in 100"),
        (99.8, "Over 99 chances in 100"),
        (100.0, "100 chances in 100"),
    ],
)
def test_chances_out_of_100(pct: float, words: str) -> None:
    assert out_of_100(pct) == words

"""How sure the dates are: the finished timetable worked off again and again with other task times.

A step of stage 11 publish, run once, on the plan as it stands. Work that runs over the end goes on in each person's
usual week, public holidays and known absences left out; what a person leaves undone on their own last day goes on
as if somebody took it over at the same hours.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from math import inf

import polars as pl

from pipeline.calendar import campaign_dates, find_closures, staff_days
from pipeline.contracts import TABLES
from pipeline.contracts.fields import RATE_TASKS, SKILLS, TASK_KINDS
from pipeline.frames import Frames, figures
from pipeline.settings import Settings
from pipeline.solve.schedule.chance_words import CAMPAIGN, PERSON, TASK, Subject, Teller
from pipeline.solve.schedule.chances import Chance, campaign_chance, person_chances, rate_chances
from pipeline.solve.schedule.problem import CUT, Person
from pipeline.solve.schedule.replay import Line, replay
from pipeline.solve.schedule.times import Rate, TaskTimes
from pipeline.units import MINUTES_PER_HOUR

CHANCES_READS = (
    "work.tasks",
    "work.task_order",
    "work.task_releases",
    "work.task_rates",
    "work.assignments",
    "clean.staff",
    "clean.absences",
    "clean.campaign",
    "clean.rates",
    "policy.figures",
)


def find_chances(frames: Frames, settings: Settings) -> Frames:
    """work.finish_chances: the chance to finish by the end date, the dates met, the rates and people that decide.

    Reads CHANCES_READS. Every figure is of the plan's own assignments and order; nothing is planned anew.
    """
    start, end = campaign_dates(frames)
    policy = figures(frames)
    people = _people(frames, settings, start)
    lines = _lines(frames, [person.staff_id for person in people], start)
    if not lines:
        return {"work.finish_chances": TABLES["work.finish_chances"].empty()}
    times = TaskTimes(
        _rates(frames),
        people=len(people),
        tries=int(policy["dates.tries_count"]),
        shared=policy["dates.shared_luck_frac"],
        seed=settings.seed,
    )
    opens = int(policy["schedule.day_start_hour"]) * MINUTES_PER_HOUR
    finishes = replay(lines, people, times, day_start_minute=opens)
    last_day_no = (end - start).days
    whole = Subject(
        chance_of=CAMPAIGN,
        name=None,
        minutes=sum(line.minutes for line in lines),
        last_day=end,
        chance=campaign_chance(finishes, times, last_day_no=last_day_no),
    )
    rates = rate_chances(finishes, times, rates=len(RATE_TASKS), last_day_no=last_day_no)
    last_days = _last_days(frames, end)
    persons = person_chances(finishes, times, [(day - start).days for day in last_days])
    teller = Teller(start, times.tries)
    rows = [
        teller.row(whole, None),
        *_ranked_rows(teller, _task_subjects(lines, rates, end)),
        *_ranked_rows(teller, _person_subjects(lines, people, persons, last_days)),
    ]
    return {"work.finish_chances": TABLES["work.finish_chances"].frame(rows)}


def _people(frames: Frames, settings: Settings, start: date) -> list[Person]:
    """Everyone with the days they would work, from the campaign's first until no more are looked at."""
    until = campaign_dates(frames)[1] + timedelta(days=int(figures(frames)["dates.followed_days"]))
    longer = frames | {
        "clean.campaign": frames["clean.campaign"].with_columns(end_date=pl.lit(until)),
        "clean.staff": frames["clean.staff"].with_columns(until=pl.lit(None, dtype=pl.Date)),
    }
    longer |= find_closures(longer, settings)
    days: dict[str, list[tuple[int, int]]] = {}
    for day in staff_days(longer):
        days.setdefault(day.staff_id, []).append(((day.day - start).days, day.half_hours))
    staff = frames["clean.staff"].sort("staff_id").select("staff_id", "skill")
    return [
        Person(staff_id=staff_id, grade=SKILLS.index(skill), days=tuple(days.get(staff_id, ())))
        for staff_id, skill in staff.iter_rows()
    ]


def _last_days(frames: Frames, end: date) -> list[date]:
    """Each person's last day in the campaign, by staff_id."""
    return [min(end, until or end) for until in frames["clean.staff"].sort("staff_id")["until"]]


def _rates(frames: Frames) -> list[Rate]:
    """Low and high as shares of the likely minutes, in the order of the rates; a rate of no minutes has no spread."""
    known = {row["task"]: row for row in frames["clean.rates"].iter_rows(named=True)}
    found = []
    for task in RATE_TASKS:
        row = known.get(task)
        likely = row["minutes"] if row else 0
        if row is None or likely == 0:
            found.append(Rate(low=1.0, high=1.0))
        else:
            found.append(Rate(low=row["minutes_low"] / likely, high=row["minutes_high"] / likely))
    return found


def _lines(frames: Frames, staff_ids: Sequence[str], start: date) -> list[Line]:
    """The dated tasks in the order of their start; among equals what is waited for comes first."""
    dated = (
        frames["work.tasks"]
        .join(frames["work.assignments"].filter(pl.col("start_at").is_not_null()), on="task_id")
        .with_columns(
            step=pl.col("kind").replace_strict(
                list(TASK_KINDS), list(range(len(TASK_KINDS))), return_dtype=pl.Int64
            )
        )
        .sort("start_at", "finish_at", "step", "task_id")
    )
    numbers = {task_id: number for number, task_id in enumerate(dated["task_id"])}
    people = {staff_id: number for number, staff_id in enumerate(staff_ids)}
    before = _before(frames, numbers)
    releases = dict(frames["work.task_releases"].select("task_id", "day").iter_rows())
    parts = _parts(frames)
    return [
        Line(
            person_no=people[row["staff_id"]],
            minutes=row["task_minutes"],
            parts=parts.get(row["task_id"], ()),
            before=before.get(number, ()),
            first_day_no=max(0, (releases.get(row["task_id"], start) - start).days),
            is_cut=row["kind"] == CUT,
        )
        for number, row in enumerate(dated.iter_rows(named=True))
    ]


def _before(frames: Frames, numbers: dict[str, int]) -> dict[int, tuple[int, ...]]:
    found: dict[int, list[int]] = {}
    for first, then in frames["work.task_order"].select("before_task_id", "after_task_id").iter_rows():
        if first in numbers and then in numbers:
            found.setdefault(numbers[then], []).append(numbers[first])
    return {number: tuple(sorted(waits)) for number, waits in found.items()}


def _parts(frames: Frames) -> dict[str, tuple[tuple[int, float], ...]]:
    """By task its rates and the share of its minutes each makes."""
    minutes: dict[str, list[tuple[int, float]]] = {}
    rows = frames["work.task_rates"].sort("task_id", "task").select("task_id", "task", "minutes")
    for task_id, task, likely in rows.iter_rows():
        if likely > 0:
            minutes.setdefault(task_id, []).append((RATE_TASKS.index(task), likely))
    return {
        task_id: tuple((rate_no, likely / sum(each for _, each in parts)) for rate_no, likely in parts)
        for task_id, parts in minutes.items()
    }


def _task_subjects(lines: Sequence[Line], chances: Sequence[Chance], end: date) -> list[Subject]:
    """Each rate with its minutes in the dated work."""
    minutes = [0.0] * len(RATE_TASKS)
    for line in lines:
        for rate_no, part in line.parts:
            minutes[rate_no] += line.minutes * part
    return [
        Subject(chance_of=TASK, name=task, minutes=worked, last_day=end, chance=chance)
        for task, worked, chance in zip(RATE_TASKS, minutes, chances, strict=True)
    ]


def _person_subjects(
    lines: Sequence[Line], people: Sequence[Person], chances: Sequence[Chance], last_days: Sequence[date]
) -> list[Subject]:
    """Each person with the minutes of their dated work."""
    minutes = [0] * len(people)
    for line in lines:
        minutes[line.person_no] += line.minutes
    return [
        Subject(chance_of=PERSON, name=person.staff_id, minutes=worked, last_day=last_day, chance=chance)
        for person, worked, last_day, chance in zip(people, minutes, last_days, chances, strict=True)
    ]


def _ranked_rows(teller: Teller, subjects: Sequence[Subject]) -> list[dict[str, object]]:
    """Rows of those with work, the one that moves the end of all work most first; among equals the one with more."""

    def rank(subject: Subject) -> tuple[float, float, str]:
        moved = subject.chance.moved_days
        return -inf if moved is None else -moved, -subject.minutes, subject.name or ""

    ranked = sorted((subject for subject in subjects if subject.minutes > 0), key=rank)
    return [teller.row(subject, place) for place, subject in enumerate(ranked, start=1)]

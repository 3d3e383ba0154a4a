"""Stage 10 schedule: who does which task when, inside the dates; greatest benefit per hour early."""

import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, time, timedelta
from time import perf_counter

import polars as pl

from pipeline.calendar import StaffDay, campaign_dates, monday, staff_days
from pipeline.contracts import TABLES
from pipeline.contracts.fields import SKILLS, TASK_KINDS
from pipeline.frames import Frames, figures
from pipeline.settings import Settings
from pipeline.solve.outcome import Outcome, outcome_rows
from pipeline.solve.schedule.ascent import Stand
from pipeline.solve.schedule.baseline import critical_path_bound, hours_over_capacity_bound
from pipeline.solve.schedule.bound import climb, climbed_bound, has_chains, proven_bound
from pipeline.solve.schedule.capacity import Capacity, capacity_of
from pipeline.solve.schedule.guillotine import Queued, queue_cuts
from pipeline.solve.schedule.linger import fetched_late
from pipeline.solve.schedule.lots import Relaxed, relax
from pipeline.solve.schedule.model import WeeklyAnswer, solve_weekly
from pipeline.solve.schedule.orders import order_by_shelf
from pipeline.solve.schedule.outlook import Outlook
from pipeline.solve.schedule.prices import time_prices
from pipeline.solve.schedule.problem import (
    Person,
    Problem,
    Solution,
    Task,
    Volume,
    minutes_by_day,
    weighted_finish,
)
from pipeline.solve.schedule.search import DRAFT, EFFORTS, Effort, best_by_week, best_reordered
from pipeline.solve.schedule.timetable import (
    also_tried,
    best_of,
    best_timetable,
    climbed_tries,
    queued_tries,
    tried_timetables,
)
from pipeline.units import (
    DAYS_PER_WEEK,
    HALF_HOUR_MINUTES,
    MINUTES_PER_HOUR,
    hours,
    hundredths_down,
    hundredths_up,
    millionths,
)

METHOD = "list scheduling, mean hours to the finish; bound from the weekly relaxation's prices"
METHOD_OF_QUEUE = (
    "list scheduling, mean hours to the finish; bound from the guillotine's hours, which all wait for"
)
NO_CHAINS = "too many tasks to weigh each volume's chain: bound from lots alone"

SCHEDULE_READS = (
    "work.tasks",
    "work.task_order",
    "work.task_releases",
    "work.volume_plans",
    "clean.staff",
    "clean.absences",
    "clean.closures",
    "clean.campaign",
    "clean.volumes",
    "policy.figures",
)
"""Tables that schedule_tasks reads."""


def schedule_tasks(frames: Frames, settings: Settings) -> Frames:
    """Days people work, one assignment per task, hours per person and week, and how good the timetable is.

    Reads work.tasks, work.task_order, work.task_releases, work.volume_plans, clean.staff, clean.absences,
    clean.closures, clean.campaign, clean.volumes, policy.figures. What cannot be dated inside the campaign
    stays blank; a volume is dated whole or not at all. Source: trade model, section 8.
    """
    days = staff_days(frames)
    problem = build_problem(frames, days)
    is_by_shelf = figures(frames)["schedule.is_shelf_order_kept"] > 0
    seed, outcomes = settings.seed, list[Outcome]()
    if settings.is_draft:
        solution = find_timetable(problem, seed=seed, is_by_shelf=is_by_shelf, effort=DRAFT).solution
    else:
        solution, proof = solve(problem, seed=seed, is_by_shelf=is_by_shelf, effort=settings.effort)
        outcomes.append(proof)
    start, _ = campaign_dates(frames)
    return {
        "work.staff_days": TABLES["work.staff_days"].frame([asdict(day) for day in days]),
        "work.assignments": _assignments(problem, solution, start),
        "work.staff_weeks": _staff_weeks(frames, days, planned_minutes(problem, solution)),
        "log.solve": outcome_rows(outcomes),
    }


@dataclass(frozen=True, kw_only=True)
class Timetable:
    """A timetable, and the relaxations it was found by; `stand` where the bound was raised step by step."""

    solution: Solution
    relaxed: Relaxed
    capacity: Capacity
    weekly: WeeklyAnswer
    stand: Stand | None
    queued: Queued
    seed: int
    started: float


def solve(
    problem: Problem, *, seed: int, is_by_shelf: bool = False, effort: str = "usual"
) -> tuple[Solution, Outcome]:
    """The best timetable found and its distance to the bound, in benefit-weighted mean hours to the finish."""
    found = find_timetable(problem, seed=seed, is_by_shelf=is_by_shelf, effort=EFFORTS[effort])
    return found.solution, proven(problem, found, EFFORTS[effort])


def find_timetable(problem: Problem, *, seed: int, is_by_shelf: bool, effort: Effort) -> Timetable:
    """The best timetable found. A heuristic.

    A volume's finish is its return to the shelf: all of its work counts, and nothing is gained by leaving finished
    volumes lying. One without a date counts from the campaign's last midnight.
    """
    started = perf_counter()
    relaxed, capacity = relax(problem), capacity_of(problem)
    weekly = solve_weekly(problem, relaxed, capacity, seed=seed)
    prices = time_prices(problem, capacity, weekly.prices)
    queued = queue_cuts(problem, relaxed.clocks)
    most, first = effort.tries(problem), queued_tries(problem, queued)
    tried = tried_timetables(problem, weekly.moments, prices, first=first, most=most)
    reached = weighted_finish(problem, tried[0].solution)
    stand = climb(problem, relaxed, prices, reached=reached, effort=effort)
    outlook = None if stand is None else Outlook(problem, stand)
    if outlook is not None:
        tried = also_tried(problem, tried, climbed_tries(outlook, prices)[:most])
    if is_by_shelf:
        order = order_by_shelf(problem, best_of(problem, tried).solution)
        found = best_timetable(problem, [order], prices)
    else:
        found = best_reordered(problem, tried, most=effort.reordered)
        if outlook is not None:
            tries = effort.tries_a_week(problem)
            found = best_by_week(tried[0], found, outlook, seed=seed, tries=tries)
    return Timetable(
        solution=fetched_late(problem, found.solution),
        relaxed=relaxed,
        capacity=capacity,
        weekly=weekly,
        stand=stand,
        queued=queued,
        seed=seed,
        started=started,
    )


def proven(problem: Problem, found: Timetable, effort: Effort) -> Outcome:
    """How far a timetable is from the proven bound, in benefit-weighted mean hours to the finish."""
    reached, benefit = weighted_finish(problem, found.solution), max(1, problem.total_benefit)
    by_hours = max(
        proven_bound(problem, found.relaxed, found.capacity, found.weekly.prices),
        climbed_bound(problem, found.stand, reached=reached, effort=effort) if found.stand else 0.0,
        critical_path_bound(problem, found.relaxed.clocks),
        hours_over_capacity_bound(problem),
    )
    bound = max(by_hours, found.queued.bound)
    method = METHOD if has_chains(problem) else f"{METHOD}; {NO_CHAINS}"
    return Outcome(
        stage="schedule",
        part="timetable",
        method=METHOD_OF_QUEUE if found.queued.bound > by_hours else method,
        status="optimal" if reached <= bound else "feasible",
        objective=hours(reached / benefit),
        bound=hours(min(bound, reached) / benefit),
        seconds=perf_counter() - found.started,
        seed=found.seed,
        limit_hit=found.weekly.limit_hit,
    )


def build_problem(frames: Frames, days: Sequence[StaffDay]) -> Problem:
    """The timetable's Problem, people, tasks and volumes by id. Reads the tables of `schedule_tasks`."""
    start, end = campaign_dates(frames)
    budget = frames["clean.campaign"]["staff_budget"][0]
    return Problem(
        people=_people(frames, days, start),
        tasks=_tasks(frames, start),
        volumes=_volumes(frames),
        days=(end - start).days + 1,
        day_start_minute=int(figures(frames)["schedule.day_start_hour"]) * MINUTES_PER_HOUR,
        room=int(figures(frames)["schedule.most_waiting_count"]),
        start_weekday=start.weekday(),
        staff_budget_hundredths=None if budget is None else hundredths_down(budget),
    )


def _people(frames: Frames, days: Sequence[StaffDay], start: date) -> tuple[Person, ...]:
    worked: dict[str, list[tuple[int, int]]] = {}
    for day in days:
        worked.setdefault(day.staff_id, []).append(((day.day - start).days, day.half_hours))
    staff = frames["clean.staff"].sort("staff_id").select("staff_id", "skill", "hourly_rate")
    return tuple(
        Person(
            staff_id=staff_id,
            grade=SKILLS.index(skill),
            days=tuple(worked.get(staff_id, ())),
            hourly_hundredths=hundredths_up(hourly_rate or 0.0),
        )
        for staff_id, skill, hourly_rate in staff.iter_rows()
    )


def _tasks(frames: Frames, start: date) -> tuple[Task, ...]:
    rows = frames["work.tasks"].sort("task_id").select("task_id", "kind", "task_minutes", "skill")
    numbers = {task_id: number for number, task_id in enumerate(rows["task_id"])}
    before: dict[str, list[int]] = {}
    for first, then in frames["work.task_order"].select("before_task_id", "after_task_id").iter_rows():
        before.setdefault(then, []).append(numbers[first])
    releases = dict(frames["work.task_releases"].select("task_id", "day").iter_rows())
    return tuple(
        Task(
            task_id=task_id,
            kind=kind,
            minutes=minutes,
            grade=SKILLS.index(skill),
            first_day_no=max(0, (releases.get(task_id, start) - start).days),
            before=tuple(sorted(before.get(task_id, ()))),
        )
        for task_id, kind, minutes, skill in rows.iter_rows()
    )


def _volumes(frames: Frames) -> tuple[Volume, ...]:
    rows = frames["work.tasks"].sort("task_id").select("volume_id", "kind")
    chains: dict[str, list[tuple[int, int]]] = {}
    for number, (volume_id, kind) in enumerate(rows.iter_rows()):
        if volume_id is not None:
            chains.setdefault(volume_id, []).append((TASK_KINDS.index(kind), number))
    benefits = dict(frames["work.volume_plans"].select("volume_id", "benefit_planned").iter_rows())
    places = _shelf_places(frames)
    return tuple(
        Volume(
            volume_id=volume_id,
            benefit_millionths=millionths(benefits[volume_id]) if _has_sheets(chain) else 0,
            task_nos=tuple(number for _, number in sorted(chain)),
            shelf_place=places[volume_id],
        )
        for volume_id, chain in sorted(chains.items())
    )


def _has_sheets(chain: Sequence[tuple[int, int]]) -> bool:
    return any(TASK_KINDS[step] == "interleave" for step, _ in chain)


def _shelf_places(frames: Frames) -> dict[str, int]:
    """Place of each volume on the shelves: by location, then shelf order, numbers in it by value, then id."""
    rows = frames["clean.volumes"].select("volume_id", "location", "shelf_order").rows()
    rows.sort(key=lambda row: (_by_value(row[1] or ""), _by_value(row[2] or ""), row[0]))
    return {volume_id: place for place, (volume_id, _, _) in enumerate(rows)}


def _by_value(text: str) -> list[tuple[int, str]]:
    """Sort key in which `9` comes before `10`."""
    return [(int(part), "") if part.isdigit() else (0, part) for part in re.findall(r"[0-9]+|[^0-9]+", text)]


def planned_minutes(problem: Problem, solution: Solution) -> dict[tuple[int, int], int]:
    """Minutes planned by person number and day number."""
    minutes: dict[tuple[int, int], int] = {}
    for placement in solution.placements:
        if placement is None:
            continue
        for day_no, worked in minutes_by_day(problem, placement):
            key = placement.person_no, day_no
            minutes[key] = minutes.get(key, 0) + worked
    return minutes


def _assignments(problem: Problem, solution: Solution, start: date) -> pl.DataFrame:
    midnight = datetime.combine(start, time())
    rows: list[dict[str, object]] = []
    for task, placement in zip(problem.tasks, solution.placements, strict=True):
        row: dict[str, object] = {"task_id": task.task_id}
        if placement is not None:
            row["staff_id"] = problem.people[placement.person_no].staff_id
            row["start_at"] = midnight + timedelta(minutes=placement.start_clock)
            row["finish_at"] = midnight + timedelta(minutes=placement.finish_clock)
        rows.append(row)
    return TABLES["work.assignments"].frame(rows)


def _staff_weeks(
    frames: Frames, days: Sequence[StaffDay], planned: dict[tuple[int, int], int]
) -> pl.DataFrame:
    """Every person in every week of the campaign: hours available and planned."""
    start, end = campaign_dates(frames)
    staff_ids = frames["clean.staff"].sort("staff_id")["staff_id"].to_list()
    weeks = [
        monday(start) + timedelta(days=step)
        for step in range(0, (end - monday(start)).days + 1, DAYS_PER_WEEK)
    ]
    available: dict[tuple[str, date], int] = {}
    for day in days:
        key = day.staff_id, monday(day.day)
        available[key] = available.get(key, 0) + day.half_hours * HALF_HOUR_MINUTES
    worked: dict[tuple[str, date], int] = {}
    for (person_no, day_no), minutes in planned.items():
        key = staff_ids[person_no], monday(start + timedelta(days=day_no))
        worked[key] = worked.get(key, 0) + minutes
    rows = [
        {
            "staff_id": staff_id,
            "week_start": week,
            "hours_available": hours(available.get((staff_id, week), 0)),
            "hours_planned": hours(worked.get((staff_id, week), 0)),
        }
        for staff_id in staff_ids
        for week in weeks
    ]
    return TABLES["work.staff_weeks"].frame(rows)

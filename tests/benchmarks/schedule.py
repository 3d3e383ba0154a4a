"""Made campaigns for the timetable, and a table of how far from its proven bound it comes.

Run as `python -m tests.benchmarks.schedule [--effort quick|usual|thorough] [--no-volunteers] [VOLUMES ...]`.
"""

import argparse
import random
from dataclasses import dataclass, replace
from importlib.metadata import version
from time import process_time

from pipeline.settings import EFFORTS
from pipeline.solve.schedule.check import broken_rules
from pipeline.solve.schedule.problem import (
    Person,
    Problem,
    Solution,
    Task,
    Volume,
    is_dated,
    minutes_by_day,
    weighted_finish,
)
from pipeline.solve.schedule.timetable import best_timetable
from pipeline.stages.schedule import solve
from pipeline.units import DAYS_PER_WEEK, HALF_HOUR_MINUTES, MINUTES_PER_HOUR

WORK_OVER_CAPACITY = {"slack": 0.7, "just enough": 0.97, "20 % too much": 1.2}
GRADES = {100: (1, 2), 400: (0, 1, 1, 1, 2), 1600: (0, 0, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2)}
"""Grades of a made campaign's part-time people, by the number of volumes it is made for."""
DAYS_A_WEEK = (3, 4, 2)
HALF_HOURS_A_DAY = 10


@dataclass(frozen=True, kw_only=True)
class Made:
    """What a made campaign is asked for: volumes, how full, seed."""

    volumes: int
    load: float
    seed: int = 1


def made_campaign(made: Made) -> Problem:
    """A campaign whose people have the hours that give the asked load, about ten volumes to a pattern."""
    rng = random.Random(made.seed)
    patterns = max(2, made.volumes // 10)
    tasks = [_cut(number, rng) for number in range(patterns)]
    volumes = []
    for number in range(made.volumes):
        chain = _chain(number, patterns, rng)
        first = len(tasks)
        before: tuple[int, ...] = ()
        for step, task in enumerate(chain):
            cuts = task.before if task.kind == "interleave" else ()
            tasks.append(replace(task, before=(*cuts, *before)))
            before = (first + step,)
        volumes.append(
            Volume(
                volume_id=f"v{number:05d}",
                benefit_millionths=rng.randint(200_000, 8_000_000),
                task_nos=tuple(range(first, len(tasks))),
                shelf_place=number,
            )
        )
    work = sum(task.minutes for task in tasks)
    people, days = _people(made.volumes, work / made.load)
    return Problem(
        people=people,
        tasks=tuple(tasks),
        volumes=tuple(volumes),
        days=days,
        day_start_minute=9 * 60,
        room=made.volumes,
    )


def _cut(number: int, rng: random.Random) -> Task:
    return Task(
        task_id=f"cut-{number:04d}",
        kind="cut",
        minutes=12 + 6 * rng.randint(1, 4),
        grade=1,
        first_day_no=rng.choice((0, 0, 7, 7, 10)),
    )


def _chain(number: int, patterns: int, rng: random.Random) -> list[Task]:
    """Tasks of one volume; interleave waits for one or two patterns."""
    grade = rng.choice((0, 1, 1, 1, 1, 2))
    cuts = tuple(sorted(rng.sample(range(patterns), min(patterns, rng.choice((1, 1, 1, 2))))))

    def task(kind: str, minutes: int, least: int, **more: object) -> Task:
        made = Task(task_id=f"{kind}-{number:05d}", kind=kind, minutes=minutes, grade=least)
        return replace(made, **more)  # type: ignore[arg-type]

    chain = [task("fetch", 5, 0)]
    if rng.random() < 0.25:
        chain.append(task("remove", rng.randint(5, 40), max(1, grade)))
    chain.append(task("interleave", 12 + rng.randint(20, 480), grade, before=cuts))
    chain.append(task("check", 6, max(1, grade)))
    if rng.random() < 0.6:
        is_made_to_measure = rng.random() < 0.3
        day = 14 if is_made_to_measure else rng.choice((0, 7))
        chain.append(
            task("enclose", 20 if is_made_to_measure else 6, int(is_made_to_measure), first_day_no=day)
        )
    chain.append(task("return", 5, 0))
    return chain


def _people(volumes: int, minutes: float) -> tuple[tuple[Person, ...], int]:
    """People of the size's grades, and the days after which they have worked so many minutes."""
    grades = next((made for size, made in GRADES.items() if size >= volumes), GRADES[1600])
    worked: list[list[tuple[int, int]]] = [[] for _ in grades]
    day_no, left = 0, minutes
    while left > 0:
        for place, days in enumerate(worked):
            if day_no % DAYS_PER_WEEK < DAYS_A_WEEK[place % len(DAYS_A_WEEK)]:
                days.append((day_no, HALF_HOURS_A_DAY))
                left -= HALF_HOURS_A_DAY * HALF_HOUR_MINUTES
        day_no += 1
    people = [
        Person(staff_id=f"p{place}", grade=grade, days=tuple(days))
        for place, (grade, days) in enumerate(zip(grades, worked, strict=True))
    ]
    return tuple(people), day_no


def without_volunteers(problem: Problem) -> Problem:
    """The same campaign with technicians in place of volunteers."""
    return replace(
        problem, people=tuple(replace(person, grade=max(1, person.grade)) for person in problem.people)
    )


def row(volumes: int, name: str, effort: str, *, has_volunteers: bool = True) -> str:
    """One line of the table: how the timetable, and two simpler orders, stand to the proven bound."""
    problem = made_campaign(Made(volumes=volumes, load=WORK_OVER_CAPACITY[name]))
    problem = problem if has_volunteers else without_volunteers(problem)
    started = process_time()
    solution, outcome = solve(problem, seed=1, effort=effort)
    seconds = process_time() - started
    broken = broken_rules(problem, solution)
    if broken:
        raise AssertionError(broken[0])
    unit = MINUTES_PER_HOUR * problem.total_benefit
    others = [
        weighted_finish(problem, best_timetable(problem, [order]).solution) / unit
        for order in (list(range(volumes)), earliest_delivery(problem))
    ]
    gaps = [100 * (reached / outcome.bound - 1) for reached in (outcome.objective, *others)]
    dated = sum(is_dated(solution, volume) for volume in problem.volumes)
    return (
        f"| {volumes} | {name} | {problem.days / DAYS_PER_WEEK:.1f} | {dated} | {outcome.objective:.1f} | "
        f"{outcome.bound:.1f} | {gaps[0]:.2f} % | {gaps[1]:.1f} % | {gaps[2]:.1f} % | {cut_days(problem, solution)} | "
        f"{seconds:.1f} | {outcome.limit_hit} |"
    )


def cut_days(problem: Problem, solution: Solution) -> int:
    """Days on which anything is cut."""
    days: set[int] = set()
    for task, placement in zip(problem.tasks, solution.placements, strict=True):
        if task.kind == "cut" and placement is not None:
            days.update(day_no for day_no, _ in minutes_by_day(problem, placement))
    return len(days)


def earliest_delivery(problem: Problem) -> list[int]:
    """Volume numbers by the day the last of their paper comes, as they stand in the list else."""
    return sorted(
        range(len(problem.volumes)),
        key=lambda no: (
            max((problem.tasks[cut].first_day_no for cut in problem.volume_cuts[no]), default=0),
            no,
        ),
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(
        description="How far made campaigns' timetables are from their proven bound."
    )
    parser.add_argument("volumes", nargs="*", type=int, default=[100, 400, 1600])
    parser.add_argument("--effort", choices=EFFORTS, default="usual")
    parser.add_argument("--no-volunteers", action="store_true", help="technicians in their place")
    asked = parser.parse_args()
    print(
        f"Effort {asked.effort}; highspy {version('highspy')}, numpy {version('numpy')}. Benefit-weighted mean hours "
        "to finish, undated volumes counted from the last midnight; shares above the proven bound; seconds of one core"
    )
    print(
        "\n| volumes | work | weeks | dated | mean hours | bound | gap | first come | by delivery | cut days | "
        "seconds | limit |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for volumes in asked.volumes:
        for name in WORK_OVER_CAPACITY:
            print(row(volumes, name, asked.effort, has_volunteers=not asked.no_volunteers), flush=True)


if __name__ == "__main__":
    main()

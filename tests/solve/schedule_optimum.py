"""The best timetable of a tiny campaign by another solver, written from the rules and not from our scheduler.

All minutes of the campaign are tens, so some best timetable starts every task on the grid of ten minutes.
"""

from dataclasses import dataclass, field
from itertools import pairwise

from ortools.sat.python import cp_model

from pipeline.solve.schedule.problem import CUT, SEGMENT_KINDS, Person, Placement, Problem, Solution
from pipeline.units import HALF_HOUR_MINUTES, MINUTES_PER_DAY

GRID_MINUTES = 10
Literal = cp_model.IntVar


@dataclass
class _Choices:
    """For each task the literals of its starts: (person, working minute, start clock, finish clock)."""

    literals: dict[tuple[int, int], Literal] = field(default_factory=dict)
    spans: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict)


def best_by_another_solver(problem: Problem, *, seconds: float = 120.0) -> Solution:
    """A timetable with the least weighted finish. Raises AssertionError when it is not proven best in time."""
    model = cp_model.CpModel()
    choices = [_choices(model, problem, task_no) for task_no in range(len(problem.tasks))]
    starts, finishes, dated = _times(model, problem, choices)
    _keep_people_apart(model, problem, choices)
    _keep_guillotine_apart(model, problem, choices)
    for task_no, task in enumerate(problem.tasks):
        for before in task.before:
            model.add_implication(dated[task_no], dated[before])
            model.add(finishes[before] <= starts[task_no]).only_enforce_if(dated[task_no])
    for volume in problem.volumes:
        for task_no in volume.task_nos:
            model.add(dated[task_no] == dated[volume.task_nos[0]])
        _keep_hands(model, problem, choices, [no for no in volume.task_nos if _is_segment(problem, no)])
    model.minimize(sum(v.benefit_millionths * finishes[v.task_nos[-1]] for v in problem.volumes))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    assert solver.solve(model) == cp_model.OPTIMAL
    return Solution(placements=tuple(_read(solver, task_choices) for task_choices in choices))


def _is_segment(problem: Problem, task_no: int) -> bool:
    return problem.tasks[task_no].kind in SEGMENT_KINDS


def _clocks(problem: Problem, person: Person) -> list[int]:
    """Clock at which each of a person's working minutes starts."""
    return [
        day_no * MINUTES_PER_DAY + problem.day_start_minute + minute
        for day_no, half_hours in person.days
        for minute in range(half_hours * HALF_HOUR_MINUTES)
    ]


def _choices(model: cp_model.CpModel, problem: Problem, task_no: int) -> _Choices:
    task, choices = problem.tasks[task_no], _Choices()
    for person_no, person in enumerate(problem.people):
        clocks = _clocks(problem, person)
        for first in range(0, len(clocks), GRID_MINUTES):
            last = first + task.minutes - 1
            if person.grade < task.grade or last >= len(clocks):
                continue
            if clocks[first] < task.first_day_no * MINUTES_PER_DAY:
                continue
            key = person_no, first
            choices.literals[key] = model.new_bool_var(f"{task_no} {key}")
            choices.spans[key] = clocks[first], clocks[last] + 1 if task.minutes else clocks[first]
    model.add_at_most_one(choices.literals.values())
    return choices


def _times(
    model: cp_model.CpModel, problem: Problem, choices: list[_Choices]
) -> tuple[list[Literal], list[Literal], list[Literal]]:
    """Start, finish (the last midnight when undated) and whether dated, by task."""
    starts, finishes, dated = [], [], []
    for task_no, task_choices in enumerate(choices):
        start = model.new_int_var(0, problem.end_clock, f"start {task_no}")
        finish = model.new_int_var(0, problem.end_clock, f"finish {task_no}")
        is_dated = model.new_bool_var(f"dated {task_no}")
        model.add(sum(task_choices.literals.values()) == is_dated)
        model.add(finish == problem.end_clock).only_enforce_if(~is_dated)
        for key, literal in task_choices.literals.items():
            model.add(start == task_choices.spans[key][0]).only_enforce_if(literal)
            model.add(finish == task_choices.spans[key][1]).only_enforce_if(literal)
        starts.append(start)
        finishes.append(finish)
        dated.append(is_dated)
    return starts, finishes, dated


def _keep_people_apart(model: cp_model.CpModel, problem: Problem, choices: list[_Choices]) -> None:
    for person_no in range(len(problem.people)):
        intervals = [
            model.new_optional_fixed_size_interval_var(first, problem.tasks[task_no].minutes, literal, "")
            for task_no, task_choices in enumerate(choices)
            for (who, first), literal in task_choices.literals.items()
            if who == person_no
        ]
        model.add_no_overlap(intervals)


def _keep_guillotine_apart(model: cp_model.CpModel, problem: Problem, choices: list[_Choices]) -> None:
    intervals = [
        model.new_optional_fixed_size_interval_var(start, finish - start, task_choices.literals[key], "")
        for task_no, task_choices in enumerate(choices)
        if problem.tasks[task_no].kind == CUT
        for key, (start, finish) in task_choices.spans.items()
    ]
    model.add_no_overlap(intervals)


def _keep_hands(
    model: cp_model.CpModel, problem: Problem, choices: list[_Choices], segment: list[int]
) -> None:
    """Whoever did one task does the next, if able."""
    for first, second in pairwise(segment):
        for person_no, person in enumerate(problem.people):
            if person.grade < problem.tasks[second].grade:
                continue
            one = [lit for (who, _), lit in choices[first].literals.items() if who == person_no]
            other = [lit for (who, _), lit in choices[second].literals.items() if who == person_no]
            model.add(sum(one) <= sum(other))


def _read(solver: cp_model.CpSolver, choices: _Choices) -> Placement | None:
    for (person_no, first), literal in choices.literals.items():
        if solver.value(literal):
            start, finish = choices.spans[person_no, first]
            return Placement(person_no=person_no, start_clock=start, finish_clock=finish)
    return None

"""Small campaigns for the timetable: by hand, and drawn by a seed on a grid of ten minutes."""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from pipeline.solve.schedule.problem import Person, Placement, Problem, Solution, Task, Volume

NINE = 9 * 60
CHAIN = ("fetch", "remove", "interleave", "check", "enclose", "return")


def person(staff_id: str = "T", *, grade: int = 1, days: int = 5, half_hours: int = 6) -> Person:
    """A technician of three hours a day from the first day on."""
    return Person(staff_id=staff_id, grade=grade, days=tuple((day, half_hours) for day in range(days)))


@dataclass
class Draft:
    """A problem in the making: tasks and volumes are numbered as they are added."""

    people: Sequence[Person]
    days: int = 5
    room: int = 60
    tasks: list[Task] = field(default_factory=list)
    volumes: list[Volume] = field(default_factory=list)

    def cut(self, minutes: int, *, first_day_no: int = 0, before: tuple[int, ...] = ()) -> int:
        """Add a cut for a technician; gives its number."""
        number = len(self.tasks)
        self.tasks.append(
            Task(
                task_id=f"cut-{number}",
                kind="cut",
                minutes=minutes,
                grade=1,
                first_day_no=first_day_no,
                before=before,
            )
        )
        return number

    def volume(
        self,
        benefit: int,
        steps: dict[str, tuple[int, int]],
        *,
        cuts: tuple[int, ...] = (),
        box_day_no: int = 0,
    ) -> int:
        """Add a volume with its tasks as kind: (minutes, grade); gives its number."""
        first = len(self.tasks)
        for kind in (kind for kind in CHAIN if kind in steps):
            number = len(self.tasks)
            minutes, grade = steps[kind]
            before = (number - 1,) if number > first else ()
            self.tasks.append(
                Task(
                    task_id=f"{kind}-{len(self.volumes)}",
                    kind=kind,
                    minutes=minutes,
                    grade=grade,
                    first_day_no=box_day_no if kind == "enclose" else 0,
                    before=(*cuts, *before) if kind == "interleave" else before,
                )
            )
        self.volumes.append(
            Volume(
                volume_id=f"V{len(self.volumes)}",
                benefit_millionths=benefit,
                task_nos=tuple(range(first, len(self.tasks))),
                shelf_place=len(self.volumes),
            )
        )
        return len(self.volumes) - 1

    def problem(self) -> Problem:
        """The problem as drafted."""
        return Problem(
            people=tuple(self.people),
            tasks=tuple(self.tasks),
            volumes=tuple(self.volumes),
            days=self.days,
            day_start_minute=NINE,
            room=self.room,
        )


def small_draft() -> Draft:
    """A volunteer and a technician, one cut and one volume: five tasks."""
    draft = Draft([person("V", grade=0), person("T", grade=1)])
    cut = draft.cut(30)
    steps = {"fetch": (10, 0), "interleave": (100, 1), "check": (20, 1), "return": (10, 0)}
    draft.volume(1_000_000, steps, cuts=(cut,))
    return draft


def placed(*spans: tuple[int, int, int] | None) -> Solution:
    """A solution from (person, start, finish) by task, clocks in minutes since the first day's nine o'clock."""
    return Solution(
        placements=tuple(
            None
            if span is None
            else Placement(person_no=span[0], start_clock=NINE + span[1], finish_clock=NINE + span[2])
            for span in spans
        )
    )


def drawn_campaign(seed: int, *, volumes: int, days: int = 5, longest: int = 12) -> Problem:
    """A campaign drawn by its seed; all minutes are tens. Some people are away, some deliveries come too late."""
    rng = random.Random(seed)
    people = []
    for number in range(rng.randint(1, 3)):
        half_hours = rng.choice((2, 4, 6))
        worked = tuple((day, half_hours) for day in range(days) if rng.random() < 0.8)
        grade = rng.choice((0, 1, 1, 2))
        people.append(replace(person(f"P{number}", grade=grade), days=worked))
    draft = Draft(people, days=days, room=rng.choice((0, 1, 60)))
    cuts: list[int] = []
    for _ in range(rng.randint(1, max(1, volumes // 2))):
        before = (rng.choice(cuts),) if cuts and rng.random() < 0.2 else ()
        day = rng.choice((0, 0, 1, 2, days))
        cuts.append(draft.cut(10 * rng.randint(1, 4), first_day_no=day, before=before))
    for _ in range(volumes):
        _draw_volume(draft, rng, cuts, longest)
    return draft.problem()


def _draw_volume(draft: Draft, rng: random.Random, cuts: list[int], longest: int) -> None:
    grade = rng.choice((0, 1, 1, 2))
    steps = {"fetch": (10, 0), "return": (rng.choice((0, 10)), 0)}
    if rng.random() < 0.5:
        steps["enclose"] = (rng.choice((10, 20)), rng.choice((0, 1)))
    has_sheets = rng.random() < 0.85
    if has_sheets:
        steps["interleave"] = (10 * rng.randint(1, longest), grade)
        steps["check"] = (10, max(1, grade))
        if rng.random() < 0.4:
            steps["remove"] = (10 * rng.randint(1, 4), max(1, grade))
    waits = tuple(sorted(rng.sample(cuts, min(len(cuts), rng.choice((1, 1, 2)))))) if has_sheets else ()
    benefit = rng.randint(1, 50) * 100_000 if has_sheets else 0
    draft.volume(benefit, steps, cuts=waits, box_day_no=rng.choice((0, 0, 2)))

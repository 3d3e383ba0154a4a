"""Arguments and options of the command that stand in several calls or need reading, each defined once."""

import math
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from pipeline.settings import EFFORTS, MorePerson, WhatIf
from pipeline.words import SKILLS


def read_budget(text: str) -> float:
    """A budget as typed; `none` is no limit."""
    if text.strip().lower() == "none":
        return math.inf
    return _number(text, "an amount of money, or none for no limit")


def read_person(text: str) -> MorePerson:
    """SKILL, SKILL:HOURS or SKILL:HOURS:PAY."""
    skill, *figures = [part.strip() for part in text.split(":")]
    if skill not in SKILLS or len(figures) > 2:
        raise typer.BadParameter(
            f"{text!r}: write {', '.join(SKILLS)}, with :HOURS or :HOURS:PAY if you like"
        )
    hours, pay = [*(_number(part, "hours a week and pay an hour") for part in figures), None, None][:2]
    return MorePerson(skill=skill, hours_per_week=hours, hourly_rate=pay)


def read_effort(text: str) -> str:
    """One of the efforts, as typed."""
    if text not in EFFORTS:
        raise typer.BadParameter(f"{text!r}: write {', '.join(EFFORTS)}")
    return text


def _number(text: str, what: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not 0 <= number < math.inf:
        raise typer.BadParameter(f"{text!r} is not {what}")
    return number


InventoryArgument = Annotated[
    Path,
    typer.Argument(
        metavar="INVENTORY", help="An .xlsx workbook, or a folder of .csv files named as the sheets."
    ),
]
MarkedOption = Annotated[
    Path | None,
    typer.Option(
        "--marked",
        metavar="FILE.xlsx",
        help="Also write a copy of the inventory with each faulty cell marked and a sheet of findings with links.",
    ),
]
JsonLinesOption = Annotated[
    str,
    typer.Option(
        "--jsonl", metavar="FILE", help="Also write the findings as JSON Lines; - for standard output."
    ),
]
PlanArgument = Annotated[Path, typer.Argument(metavar="DIR", help="The folder of a plan.")]
PolicyOption = Annotated[
    Path | None,
    typer.Option("--policy", metavar="FILE.toml", help="The lab's own figures, laid over the shipped ones."),
]
ColumnsOption = Annotated[
    Path | None,
    typer.Option(
        "--columns",
        metavar="FILE.toml",
        help="How this inventory's own sheets, headings, units and words are read; guardleaf match proposes one.",
    ),
]
AsOfOption = Annotated[
    datetime | None,
    typer.Option(
        "--as-of", formats=["%Y-%m-%d"], metavar="DATE", help="Day the plan is made for; today if left out."
    ),
]

EffortOption = Annotated[
    str,
    typer.Option(
        "--effort",
        parser=read_effort,
        metavar="quick|usual|thorough",
        help="How hard to search: quick searches less and leaves out what only compares, for a first look in seconds; "
        "thorough looks some ten times longer for a cheaper cutting and an earlier timetable. Counts end every search: "
        "each gives the same plan every time.",
    ),
]

EndDateOption = Annotated[
    datetime | None,
    typer.Option(
        "--end-date", formats=["%Y-%m-%d"], metavar="DATE", help="What if the campaign ended that day?"
    ),
]
SuppliesOption = Annotated[
    float | None,
    typer.Option(
        "--supplies-budget",
        parser=read_budget,
        metavar="AMOUNT",
        help="What if there were so much for paper and enclosures? none: no limit.",
    ),
]
StaffBudgetOption = Annotated[
    float | None,
    typer.Option(
        "--staff-budget",
        parser=read_budget,
        metavar="AMOUNT",
        help="What if there were so much for work? none: no limit.",
    ),
]
OneMoreOption = Annotated[
    list[MorePerson] | None,
    typer.Option(
        "--one-more",
        parser=read_person,
        metavar="SKILL[:HOURS[:PAY]]",
        help="What if there were one more volunteer, technician or conservator? Hours a week and pay an hour as "
        "the first of that skill has. May be given again.",
    ),
]
ClearanceOption = Annotated[
    float | None,
    typer.Option(
        "--greatest-clearance",
        metavar="MM",
        help="What if a leaf might be so much smaller than its page? Fewer cut sizes, less paper.",
    ),
]


def what_if_of(
    end_date: datetime | None,
    supplies_budget: float | None,
    staff_budget: float | None,
    one_more: list[MorePerson] | None,
    greatest_clearance: float | None,
) -> WhatIf:
    """The options as typed, as one record."""
    return WhatIf(
        end_date=end_date.date() if end_date else None,
        supplies_budget=supplies_budget,
        staff_budget=staff_budget,
        more_people=tuple(one_more or ()),
        greatest_clearance_mm=greatest_clearance,
    )

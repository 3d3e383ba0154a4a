"""What there is to choose from: the case, what is there of hours and money, and the enclosures that come first."""

from dataclasses import dataclass, replace

from pipeline import units
from pipeline.calendar import staff_days
from pipeline.contracts.fields import SKILLS
from pipeline.frames import Frames, figures
from pipeline.solve.choose.check import needs, picked
from pipeline.solve.choose.corrections import Tightening, read_tightening
from pipeline.solve.choose.problem import Case, Limits, Minutes, Problem, Solution, less_reserved, read_case
from pipeline.solve.choose.rehousing import Funding, fund


@dataclass(frozen=True)
class Setting:
    """The case, and the problem of the sheets once enclosures that come first have taken theirs."""

    case: Case
    tightening: Tightening
    available: Minutes
    reserved: Funding
    problem: Problem
    is_enclosure_first: bool


def read_setting(frames: Frames) -> Setting:
    """The setting of the next choice, from the tables of 06 choose and the corrections of earlier rounds."""
    tightening = read_tightening(frames["work.corrections"])
    available = available_minutes(frames)
    case = read_case(frames, tightening, available)
    is_first = bool(figures(frames)["choose.is_enclosure_before_paper"])
    reserved, problem = _reserve(case, is_enclosure_first=is_first)
    return Setting(case, tightening, available, reserved, problem, is_first)


def within(setting: Setting, limits: Limits) -> Setting:
    """The same setting, were the campaign's limits others."""
    case = replace(setting.case, problem=replace(setting.case.problem, limits=limits))
    reserved, problem = _reserve(case, is_enclosure_first=setting.is_enclosure_first)
    return replace(setting, case=case, reserved=reserved, problem=problem)


def _reserve(case: Case, *, is_enclosure_first: bool) -> tuple[Funding, Problem]:
    """Enclosures that come first, and the problem with what they leave."""
    supplies = case.problem.limits.supplies_hundredths
    first = case.rehousings if is_enclosure_first else ()
    reserved = fund(first, supplies=supplies, staff=None, shelves=case.problem.shelves)
    return reserved, less_reserved(case.problem, reserved.supplies_hundredths, reserved.shelves)


def available_minutes(frames: Frames) -> Minutes:
    """Minutes inside the campaign of people with at least each skill: volunteer, technician, conservator."""
    staff = frames["clean.staff"].select("staff_id", "skill").iter_rows()
    ranks = {staff_id: SKILLS.index(skill) for staff_id, skill in staff}
    minutes = [0, 0, 0]
    for day in staff_days(frames):
        for rank in range(ranks[day.staff_id] + 1):
            minutes[rank] += day.half_hours * units.HALF_HOUR_MINUTES
    return minutes[0], minutes[1], minutes[2]


def fund_enclosures(setting: Setting, solution: Solution) -> Funding:
    """Enclosures of volumes without sheets that both budgets pay, with what the sheets leave of them."""
    problem, rehousings = setting.problem, setting.case.rehousings
    used = needs(problem, picked(problem, solution))
    staff_left = _left(problem.limits.staff_hundredths, used.staff_hundredths)
    if setting.is_enclosure_first:
        reserved = setting.reserved
        paid = [one for one in rehousings if one.volume_id in reserved.volume_ids]
        funding = fund(paid, supplies=None, staff=staff_left, shelves=setting.case.problem.shelves)
        return replace(funding, unpaid=reserved.unpaid | funding.unpaid)
    shelves = tuple(
        replace(shelf, worth=shelf.left(use))
        for shelf, use in zip(problem.shelves, used.shelf_uses, strict=True)
    )
    money_left = _left(problem.limits.supplies_hundredths, used.supplies_hundredths)
    return fund(rehousings, supplies=money_left, staff=staff_left, shelves=shelves)


def _left(limit: int | None, used: int) -> int | None:
    return None if limit is None else limit - used

"""Findings about people that need the campaign's calendar: days too long, people who never work."""

from pipeline.calendar import campaign_dates, parse_days, staff_days
from pipeline.frames import Frames
from pipeline.inventory.quantities import Problem
from pipeline.inventory.rows import Figures, Row, SheetRows
from pipeline.inventory.rows_people import day_too_long


def check_default_days(staff: SheetRows, working_days: str, figures: Figures) -> None:
    """Report hours past midnight of people whose days are empty: they work the campaign's."""
    for row in staff.rows:
        hours = row.number("hours_per_week")
        if hours is None or row.text("days") is not None or "days" in row.faulty:
            continue
        problem = day_too_long(hours, working_days, figures)
        if problem is not None:
            staff.report(row, "hours_per_week", problem)


def check_at_work(staff: SheetRows, frames: Frames) -> None:
    """Report people without a single working hour between the campaign's dates.

    Reads clean.staff, clean.absences, clean.closures, clean.campaign, policy.figures. Who works outside the dates only
    is reported elsewhere.
    """
    start, end = campaign_dates(frames)
    at_work = {day.staff_id for day in staff_days(frames)}
    for row in staff.clean():
        first, last = row.day("from"), row.day("until")
        is_outside = (first is not None and first > end) or (last is not None and last < start)
        if row.text("staff_id") not in at_work and not is_outside:
            staff.report(row, "staff_id", _never_at_work(row))


def _never_at_work(row: Row) -> Problem:
    name = row.text("staff_id")
    if not row.number("hours_per_week") or not parse_days(row.text("days") or "Mon"):
        return Problem("never_at_work", f"{name} has no working hours", "check hours_per_week", "warning")
    return Problem(
        "never_at_work",
        f"{name} has no working day in the campaign: absent, or the lab closed, on all of them",
        "check the absences, the days and the campaign's dates; nothing is planned for this person",
        "warning",
    )

"""The Staff, Absences and Rates sheets."""

from collections.abc import Iterator

import polars as pl

from pipeline.calendar import parse_days
from pipeline.contracts import TABLES
from pipeline.contracts.inventory_columns import ABSENCES, RATES, STAFF
from pipeline.errors import Finding
from pipeline.frames import Frames
from pipeline.inventory.parse import Words
from pipeline.inventory.quantities import Problem
from pipeline.inventory.raw import RawSheet
from pipeline.inventory.rows import Figures, Row, SheetRows, read_rows
from pipeline.inventory.rows_volumes import first_of_each
from pipeline.units import HOURS_PER_DAY


def read_staff(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of Staff, with findings of single rows."""
    found = read_rows(STAFF, raw, words, figures)
    for row in found.rows:
        _check_period(found, row)
        for name, problem in _hours_problems(row, figures):
            found.report(row, name, problem)
    return found


def read_absences(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of Absences, with findings of single rows."""
    found = read_rows(ABSENCES, raw, words, figures)
    for row in found.rows:
        _check_period(found, row)
    return found


def read_rates(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of Rates, low and high minutes filled in by the policy's spread, with findings of single
    rows.
    """
    found = read_rows(RATES, raw, words, figures)
    for row in found.rows:
        _fill_spread(row, figures)
        low, minutes, high = (row.number(name) for name in ("minutes_low", "minutes", "minutes_high"))
        if low is not None and minutes is not None and high is not None and not low <= minutes <= high:
            message = f"minutes {minutes:g} do not lie between minutes_low {low:g} and minutes_high {high:g}"
            found.report(row, "minutes", Problem("rate_order", message, "mend the three figures"))
    return found


def people_frames(staff: SheetRows, absences: SheetRows, working_days: str) -> Frames:
    """clean.staff and clean.absences of the rows without a fault."""
    people = first_of_each(staff.clean(), STAFF.key)
    return {
        "clean.staff": TABLES["clean.staff"].frame(
            [{"row_no": row.row_no, **row.values, "days": row.text("days") or working_days} for row in people]
        ),
        "clean.absences": TABLES["clean.absences"].frame(
            [{"row_no": row.row_no, **row.values} for row in absences.clean()]
        ),
    }


def rate_frames(found: SheetRows, of_policy: pl.DataFrame) -> Frames:
    """clean.rates: the sheet's rates, the policy's for tasks it does not name."""
    own = {row.text("task"): row for row in first_of_each(found.clean(), RATES.key)}
    rows = []
    for rate in of_policy.iter_rows(named=True):
        row = own.get(rate["task"])
        given = {name: value for name, value in row.values.items() if value is not None} if row else {}
        rows.append(rate | given)
    return {"clean.rates": TABLES["clean.rates"].frame(rows)}


def rate_notes(found: SheetRows, of_policy: pl.DataFrame) -> Iterator[Finding]:
    """A note naming the tasks whose rates come from the policy."""
    own = {row.text("task") for row in found.rows}
    missing = [task for task in of_policy["task"].to_list() if task not in own]
    if missing:
        yield Finding(
            code="rates_of_policy",
            level="note",
            sheet=found.raw.name,
            message=f"minutes from the policy are used for {', '.join(missing)}",
            action="add rows to Rates where the lab knows better",
        )


def _check_period(found: SheetRows, row: Row) -> None:
    first, last = row.day("from"), row.day("until")
    if first is not None and last is not None and last < first:
        message = f"until {last} lies before from {first}"
        found.report(row, "until", Problem("end_before_start", message, "swap or mend the dates"))


def _hours_problems(row: Row, figures: Figures) -> Iterator[tuple[str, Problem]]:
    hours, days = row.number("hours_per_week"), row.text("days")
    problem = None if hours is None or days is None else day_too_long(hours, days, figures)
    if problem is not None:
        yield "hours_per_week", problem


def day_too_long(hours: float, days: str, figures: Figures) -> Problem | None:
    """What is wrong with weekly hours that, spread over these days, would run past midnight; None if nothing."""
    each = hours / max(1, len(parse_days(days)))
    most = HOURS_PER_DAY - figures["schedule.day_start_hour"]
    if each <= most:
        return None
    message = f"hours_per_week {hours:g} on {days} make {each:.3g} hours a day, more than the {most:g} until midnight"
    return Problem("day_too_long", message, "check hours and days")


def _fill_spread(row: Row, figures: Figures) -> None:
    minutes = row.number("minutes")
    if minutes is None:
        return
    for name, key in (("minutes_low", "rate_spread.low_frac"), ("minutes_high", "rate_spread.high_frac")):
        if row.values.get(name) is None and name not in row.faulty:
            row.values[name] = minutes * figures[key]

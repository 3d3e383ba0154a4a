"""Entries of a returned sheet as people type them: `done`, `3h30`, `12,5`, a date, a name."""

import re
from datetime import date
from fractions import Fraction

from pipeline.inventory.columns import nearest, plain
from pipeline.inventory.parse import CellText, tidy
from pipeline.inventory.quantities import Problem, read_number
from pipeline.units import DAYS_PER_WEEK, MINUTES_PER_DAY, MINUTES_PER_HOUR

PROGRESS_WORDS = {
    "done": (
        "done",
        "yes",
        "y",
        "x",
        "ok",
        "finished",
        "complete",
        "completed",
        "all",
        "true",
        "1",
        "✓",
        "✔",
    ),
    "part": (
        "part",
        "partdone",
        "partlydone",
        "partly",
        "half",
        "halfdone",
        "started",
        "begun",
        "inprogress",
    ),
    "not_done": ("notdone", "no", "n", "not", "open", "notstarted", "false", "0"),
}
STEP_WORDS = {
    True: (*PROGRESS_WORDS["done"], "boxed", "on", "out", "removed", "cleared"),
    False: (*PROGRESS_WORDS["not_done"], "notyet", "none", ""),
}
"""Whether a step is done: yes, or no; a dash comes out as nothing at all and is no."""
MOST_TASK_MINUTES = DAYS_PER_WEEK * MINUTES_PER_DAY
_CLOCK = re.compile(r"(?P<hours>\d{1,3}):(?P<minutes>[0-5]\d)(?::(?P<seconds>[0-5]\d))?")
_HOURS = re.compile(
    r"(?P<hours>\d+(?:[.,]\d+)?)\s*(?:h|hr|hrs|hour|hours|std)\.?\s*"
    r"(?:(?P<minutes>\d{1,2})\s*(?:m|min|mins|minutes)?\.?)?",
    re.IGNORECASE,
)
_MINUTES = re.compile(r"(?P<minutes>\d+(?:[.,]\d+)?)\s*(?:m|min|mins|minute|minutes|')\.?", re.IGNORECASE)
_DOTTED_DATE = re.compile(r"(?P<day>\d{1,2})\.\s?(?P<month>\d{1,2})\.\s?(?P<year>\d{4})")
_ISO_DATE = re.compile(r"(\d{4}-\d{2}-\d{2})(?:[T ].*)?")


def read_progress(cell: CellText) -> str | Problem:
    """`done`, `part` or `not_done`."""
    typed = plain(cell[1]).strip("!?")
    for progress, words in PROGRESS_WORDS.items():
        if typed in words:
            return progress
    message = f'"{tidy(cell[1])}" is not clear'
    return Problem("progress_unclear", message, "write done, part or not done")


def read_is_done(cell: CellText) -> bool | Problem:
    """Whether a step of a part-done volume is done: `yes`, `x`, `no`, `-`."""
    typed = plain(cell[1]).strip("!?–—")
    for is_done, words in STEP_WORDS.items():
        if typed in words:
            return is_done
    return Problem("yes_no_unclear", f'"{tidy(cell[1])}" is not clear', "write yes or no, or leave it blank")


def read_minutes(cell: CellText) -> float | Problem:
    """Minutes of `45`, `12,5`, `3h30`, `1.5 h`, `3:30` or `90 min`."""
    text = tidy(cell[1])
    if cell[0] == "number":
        return _bounded(Fraction(text), text)
    if match := _CLOCK.fullmatch(text):
        whole = int(match["hours"]) * MINUTES_PER_HOUR + int(match["minutes"])
        return _bounded(whole + Fraction(int(match["seconds"] or 0), MINUTES_PER_HOUR), text)
    if match := _HOURS.fullmatch(text):
        return _bounded(_decimal(match["hours"]) * MINUTES_PER_HOUR + int(match["minutes"] or 0), text)
    if match := _MINUTES.fullmatch(text):
        return _bounded(_decimal(match["minutes"]), text)
    number = read_number("minutes", text, has_comma=True) if cell[0] == "text" else None
    if isinstance(number, Fraction):
        return _bounded(number, text)
    return Problem("minutes_unclear", f'"{text}" is no time', "write minutes such as 45, or 3h30")


def _decimal(text: str) -> Fraction:
    return Fraction(text.replace(",", "."))


def _bounded(minutes: Fraction, text: str) -> float | Problem:
    if 0 <= minutes <= MOST_TASK_MINUTES:
        return float(minutes)
    message = f"{text} minutes for one task cannot be"
    return Problem("minutes_out_of_range", message, "write the minutes of this task alone")


def read_count(cell: CellText) -> int | Problem:
    """A whole number of sheets: `20`, `20 sheets`, `20.0`."""
    text = re.sub(r"\s*(sheets?|leaves|leaf|pcs?)\.?$", "", tidy(cell[1]), flags=re.IGNORECASE)
    number = read_number("sheets", text, has_comma=True) if cell[0] in ("text", "number") else None
    if isinstance(number, Fraction) and number.denominator == 1 and number >= 0:
        return int(number)
    return Problem(
        "not_whole", f'"{tidy(cell[1])}" is no number of sheets', "write a whole number such as 20"
    )


def read_day(cell: CellText) -> date | Problem:
    """A day: a date cell, `2027-03-04` or `4.3.2027`."""
    text = tidy(cell[1])
    iso = _ISO_DATE.fullmatch(text)
    dotted = _DOTTED_DATE.fullmatch(text)
    try:
        if iso and cell[0] in ("text", "date"):
            return date.fromisoformat(iso[1])
        if dotted:
            return date(int(dotted["year"]), int(dotted["month"]), int(dotted["day"]))
    except ValueError:
        pass  # a day that is not in the calendar: the problem below says so
    action = "write the day as year-month-day, such as 2027-03-01"
    return Problem("not_a_date", f'"{text}" is no date', action)


def read_known(cell: CellText, known: list[str], what: str) -> str | Problem:
    """One of the known identifiers, case, blanks and marks aside."""
    by_plain = {plain(name): name for name in known}
    typed = plain(cell[1])
    if typed in by_plain:
        return by_plain[typed]
    near = nearest(cell[1], known)
    action = f"did you mean {near}?" if near else f"write it as the work orders do ({what})"
    return Problem(f"unknown_{what}", f'"{tidy(cell[1])}" is no {what} of this plan', action)

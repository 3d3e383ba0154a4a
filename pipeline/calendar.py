"""Staff calendars in half-hours a day, and the days the whole lab is closed."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import holidays
import polars as pl

from pipeline.contracts import TABLES
from pipeline.frames import Frames, figures
from pipeline.settings import Settings
from pipeline.units import DAYS_PER_WEEK, HALF_HOURS_PER_HOUR, HOURS_PER_DAY, half_hours_down

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
REPORT_LANGUAGE = "en_US"
"""Language holiday names are asked in; where a country's are not translated they stand in its own."""


@dataclass(frozen=True, kw_only=True)
class StaffDay:
    """Half-hours one person works on one day, from the start of the working day without a break."""

    staff_id: str
    day: date
    half_hours: int


def parse_days(text: str) -> tuple[int, ...]:
    """Weekday numbers (Monday 0), sorted, of a list such as `Mon-Thu` or `Mon, Wed; Fri`.

    A range may run over the weekend (`Sat-Mon`). Raises ValueError on a word that is no weekday.
    """
    days: set[int] = set()
    for part in text.replace(";", ",").split(","):
        first, _, last = (end.strip() for end in part.partition("-"))
        if not first:
            continue
        start, end = _weekday(first), _weekday(last or first)
        days.update((start + step) % DAYS_PER_WEEK for step in range((end - start) % DAYS_PER_WEEK + 1))
    return tuple(sorted(days))


def _weekday(word: str) -> int:
    names = [name.casefold() for name in WEEKDAYS]
    short = word.casefold()[:3]
    if short not in names:
        raise ValueError(f"{word} is no weekday")
    return names.index(short)


def share_week(hours_per_week: float, weekdays: tuple[int, ...], *, day_start_hour: int) -> dict[int, int]:
    """Half-hours on each of a person's weekdays: the week spread evenly, its sum kept by largest remainder.

    All remainders are equal, so the earlier days of the week get the odd half-hours. A day ends by midnight.
    """
    if not weekdays:
        return {}
    most = (HOURS_PER_DAY - day_start_hour) * HALF_HOURS_PER_HOUR
    each, odd = divmod(half_hours_down(hours_per_week), len(weekdays))
    return {day: min(most, each + (place < odd)) for place, day in enumerate(weekdays)}


def staff_days(frames: Frames) -> list[StaffDay]:
    """Days each person works inside the campaign, by person and day; days without hours are left out.

    Reads clean.staff, clean.absences, clean.closures, clean.campaign, policy.figures. A day absent or closed
    loses its hours; the other days of its week keep theirs. Source: trade model, section 8.
    """
    start, end = campaign_dates(frames)
    day_start_hour = int(figures(frames)["schedule.day_start_hour"])
    closed = set(frames["clean.closures"]["day"].to_list())
    absent = _absent_days(frames["clean.absences"], start, end)
    days: list[StaffDay] = []
    for row in frames["clean.staff"].sort("staff_id").iter_rows(named=True):
        week = share_week(row["hours_per_week"], parse_days(row["days"]), day_start_hour=day_start_hour)
        first = max(start, row["from"] or start)
        last = min(end, row["until"] or end)
        away = closed | absent.get(row["staff_id"], set())
        days += [
            StaffDay(staff_id=row["staff_id"], day=day, half_hours=week[day.weekday()])
            for day in _days(first, last)
            if week.get(day.weekday(), 0) > 0 and day not in away
        ]
    return days


def campaign_dates(frames: Frames) -> tuple[date, date]:
    """First and last day of the campaign, both worked."""
    row = frames["clean.campaign"].row(0, named=True)
    return row["start_date"], row["end_date"]


def monday(day: date) -> date:
    """Monday of the week a day lies in."""
    return day - timedelta(days=day.weekday())


def public_holidays(country: str, start: date, end: date) -> dict[date, str]:
    """Name of each public holiday from `start` to `end` of an ISO 3166 code, such as `GB` or `GB-SCT`.

    Raises NotImplementedError when the country or its subdivision is not known.
    """
    if start > end:
        return {}
    code, _, subdivision = country.strip().upper().partition("-")
    years = range(start.year, end.year + 1)
    known = holidays.country_holidays(code, subdiv=subdivision or None, years=years)
    language = REPORT_LANGUAGE if REPORT_LANGUAGE in known.supported_languages else known.default_language
    named = holidays.country_holidays(code, subdiv=subdivision or None, years=years, language=language)
    return {day: name for day, name in sorted(named.items()) if start <= day <= end}


def find_closures(frames: Frames, settings: Settings) -> Frames:
    """Days inside the campaign on which the whole lab is closed, with the reason: clean.closures.

    Reads clean.absences (rows without a person) and clean.campaign (public holidays of its country).
    Raises NotImplementedError on an unknown country, which stage 02 finds before.
    """
    start, end = campaign_dates(frames)
    country = frames["clean.campaign"].row(0, named=True)["country"]
    reasons: dict[date, list[str]] = {}
    for row in (
        frames["clean.absences"]
        .filter(pl.col("staff_id").is_null())
        .sort("from", "until", "reason")
        .iter_rows(named=True)
    ):
        for day in _days(max(start, row["from"]), min(end, row["until"])):
            reasons.setdefault(day, []).append(row["reason"] or "lab closed")
    for day, name in (public_holidays(country, start, end) if country else {}).items():
        reasons.setdefault(day, []).append(name)
    rows = [{"day": day, "reason": "; ".join(dict.fromkeys(words))} for day, words in sorted(reasons.items())]
    return {"clean.closures": TABLES["clean.closures"].frame(rows)}


def _absent_days(absences: pl.DataFrame, start: date, end: date) -> dict[str, set[date]]:
    days: dict[str, set[date]] = {}
    for row in absences.filter(pl.col("staff_id").is_not_null()).iter_rows(named=True):
        days.setdefault(row["staff_id"], set()).update(_days(max(start, row["from"]), min(end, row["until"])))
    return days


def _days(first: date, last: date) -> Iterator[date]:
    for step in range((last - first).days + 1):
        yield first + timedelta(days=step)

"""Rows of the plan worked by hand that follow from the others: budget classes, days worked, finish chances."""

from datetime import date, datetime, time, timedelta
from typing import Any

from pipeline.contracts.words import COST_CLASSES

Row = dict[str, Any]


def cost_class_rows(
    personnel: float, supplies: float, *, other: float = 0.0, indirect: float = 0.0
) -> list[Row]:
    """A budget by grant classes that adds up."""
    direct = personnel + supplies + other
    costs = {
        "personnel": personnel,
        "supplies": supplies,
        "other": other,
        "total_direct": direct,
        "indirect": indirect,
        "total": direct + indirect,
    }
    return [
        {
            "class_no": number,
            "cost_class": name,
            "cost": costs.get(name, 0.0),
            "includes": "as worked by hand",
        }
        for number, name in enumerate(COST_CLASSES, start=1)
    ]


def staff_day_row(staff_id: str, day: date, hours: float, *, opens: int = 9) -> Row:
    """A day worked from nine on."""
    start = datetime.combine(day, time(opens))
    return {"staff_id": staff_id, "day": day, "start_at": start, "finish_at": start + timedelta(hours=hours)}


def chance_row(chance_of: str, subject: str | None, words: str, day: date, **more: Any) -> Row:
    """A row of finish_chances whose dates are all one day."""
    dates = ("planned_date", "even_chance_date", "nine_in_ten_date", "low_date", "high_date")
    return {
        "chance_of": chance_of,
        "subject": subject,
        "tries_count": 1000,
        "hours": 1.0,
        "in_time_pct": 87.0,
        **dict.fromkeys(dates, day),
        "moved_days": 0,
        "words": words,
        **more,
    }

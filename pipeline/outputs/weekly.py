"""Sheets that say who does what when: this week, one sheet per week, and hours against capacity."""

from collections.abc import Sequence
from datetime import date

from pipeline.outputs.plan import Plan, Row
from pipeline.outputs.sheet import Book, Sheet
from pipeline.outputs.styles import BODY_ID, BODY_WRAP, CLOCK, DATE, DECIMAL_1, DECIMAL_2, INTEGER, TICK
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.wording import KIND_WORDS

BOX = "☐"
COLUMNS = (
    Column(heading="Who", key="staff_id", style=BODY_ID),
    Column(heading="Day", key="start_at", style=DATE, value=lambda row: row["start_at"].date()),
    Column(heading="From", key="from", style=CLOCK, value=lambda row: row["start_at"].time()),
    Column(heading="To", key="to", style=CLOCK, value=lambda row: row["finish_at"].time()),
    Column(heading="Work", key="kind", value=lambda row: KIND_WORDS[row["kind"]]),
    Column(
        heading="Volume or pattern",
        key="volume_id",
        style=BODY_ID,
        value=lambda r: r["volume_id"] or r["pattern_id"],
    ),
    Column(heading="Title", key="title", style=BODY_WRAP, most_width=34),
    Column(heading="Location", key="location", style=BODY_WRAP, most_width=24),
    Column(heading="Sheets", key="sheets", style=INTEGER),
    Column(heading="Hours", key="hours", style=DECIMAL_2),
    Column(heading="Task", key="task_id", style=BODY_ID),
    Column(heading="Done", key="done", style=TICK, value=lambda _: BOX),
)
HOURS_COLUMNS = (
    Column(heading="Week from", key="week_start", style=DATE),
    Column(heading="Who", key="staff_id", style=BODY_ID),
    Column(heading="Hours available", key="hours_available", style=DECIMAL_1),
    Column(heading="Hours planned", key="hours_planned", style=DECIMAL_1),
    Column(heading="Hours free", key="hours_free", style=DECIMAL_1),
)


def write_weeks(book: Book, plan: Plan) -> list[tuple[str, str]]:
    """Write `This week` and one sheet per week. Returns their names and purposes for the front sheet."""
    tasks = plan.query("weekly_tasks")
    weeks = sorted({row["week_start"] for row in tasks})
    found = plan.query("this_week")
    this = found[0]["week_start"] if found else None
    sheets = [_write_week(book, "This week", [row for row in tasks if row["week_start"] == this], this)]
    for week in weeks:
        rows = [row for row in tasks if row["week_start"] == week]
        sheets.append(_write_week(book, f"Week {week.isoformat()}", rows, week))
    return sheets


def _write_week(book: Book, name: str, rows: Sequence[Row], week: date | None) -> tuple[str, str]:
    sheet = book.sheet(name, landscape=True)
    write_table(sheet, COLUMNS, rows)
    sheet.finish()
    volumes = len({row["volume_id"] for row in rows if row["volume_id"]})
    words = "the first week of work that lies ahead, " if name == "This week" and week else ""
    when = f"from Monday {week.isoformat()}" if week else "no dated work ahead"
    return sheet.name, f"{words}{when}: {len(rows)} tasks, {volumes} volumes"


def write_hours(book: Book, plan: Plan) -> tuple[str, str]:
    """Write hours planned of hours available, per week and person."""
    sheet: Sheet = book.sheet("Hours by week")
    write_table(sheet, HOURS_COLUMNS, plan.query("weekly_hours"))
    sheet.finish()
    return sheet.name, "for the project manager: hours planned of the hours each person has"

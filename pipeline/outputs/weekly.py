"""Sheets that say who does what when: this week, one sheet per week, and hours against capacity."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import polars as pl

from pipeline.outputs.plan import Plan, Row
from pipeline.outputs.sheet import Book, Place, Sheet
from pipeline.outputs.styles import (
    BODY_ID,
    BODY_WRAP,
    CLOCK,
    DATE,
    DECIMAL_1,
    DECIMAL_2,
    INTEGER,
    TICK,
)
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


@dataclass(frozen=True)
class Week:
    """A sheet for one week's tasks, still empty."""

    sheet: Sheet
    rows: pl.DataFrame
    week: date | None
    is_next: bool


@dataclass(frozen=True)
class Places:
    """Where the bench sheet of each volume and the ticket of each pattern stand."""

    volumes: Mapping[str, Place]
    patterns: Mapping[str, Place]

    def of(self, row: Row) -> Place | None:
        """Where the form of a task's volume or pattern stands, if it has one."""
        return (
            self.volumes.get(row["volume_id"]) if row["volume_id"] else self.patterns.get(row["pattern_id"])
        )


def linked(columns: Sequence[Column], places: Places) -> list[Column]:
    """The same columns; that of volume or pattern leads to its form."""
    return [replace(column, link=places.of) if column.key == "volume_id" else column for column in columns]


def open_weeks(book: Book, plan: Plan) -> list[Week]:
    """Open `This week` and one sheet per week; filled once tickets and bench sheets have their places."""
    tasks = plan.frame("weekly_tasks")
    weeks = {key[0]: rows for key, rows in tasks.partition_by("week_start", as_dict=True).items()}
    found = plan.query("this_week")
    this = found[0]["week_start"] if found else None
    opened = [
        Week(book.sheet("This week", landscape=True), weeks.get(this, tasks.clear()), this, is_next=True)
    ]
    for week in sorted(weeks):
        sheet = book.sheet(f"Week {week.isoformat()}", landscape=True)
        opened.append(Week(sheet, weeks[week], week, is_next=False))
    return opened


def fill_week(opened: Week, places: Places) -> tuple[str, str]:
    """Write one week's tasks, with links to tickets and bench sheets. Returns name and purpose."""
    sheet, rows = opened.sheet, opened.rows.to_dicts()
    write_table(sheet, linked(COLUMNS, places), rows)
    sheet.finish()
    if opened.week is None:
        return sheet.name, "no dated work lies ahead"
    volumes = len({row["volume_id"] for row in rows if row["volume_id"]})
    words = "the first week of work that lies ahead, " if opened.is_next else ""
    return sheet.name, f"{words}from Monday {opened.week.isoformat()}: {len(rows)} tasks, {volumes} volumes"


def write_hours(book: Book, plan: Plan) -> tuple[str, str]:
    """Write hours planned of hours available, per week and person."""
    sheet: Sheet = book.sheet("Hours by week")
    write_table(sheet, HOURS_COLUMNS, plan.query("weekly_hours"))
    sheet.finish()
    return sheet.name, "for the project manager: hours planned of the hours each person has"

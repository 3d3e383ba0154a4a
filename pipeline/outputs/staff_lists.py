"""Each person's own list: a sheet per person, week by week, a page for each week where the format has room."""

from dataclasses import dataclass
from itertools import pairwise

import polars as pl

from pipeline.outputs.plan import Plan, Row
from pipeline.outputs.sheet import MOST_PAGE_BREAKS, Book, Sheet
from pipeline.outputs.styles import (
    BODY_ID,
    BODY_WRAP,
    CLOCK,
    DATE,
    DECIMAL_2,
    INTEGER,
    TICK,
)
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.weekly import BOX, Places, linked
from pipeline.outputs.wording import KIND_WORDS


def _work_words(row: Row) -> str:
    """What is done; a task that runs on over days says so on each."""
    words = KIND_WORDS[row["kind"]]
    if row["is_going_on"]:
        words += ", continued"
    return f"{words}, goes on" if row["goes_on"] else words


COLUMNS = (
    Column(heading="Week from", key="week_start", style=DATE),
    Column(heading="Day", key="day", style=DATE),
    Column(heading="From", key="from", style=CLOCK, value=lambda row: row["start_at"].time()),
    Column(heading="To", key="to", style=CLOCK, value=lambda row: row["finish_at"].time()),
    Column(heading="Work", key="kind", value=_work_words),
    Column(
        heading="Volume or pattern",
        key="volume_id",
        style=BODY_ID,
        value=lambda row: row["volume_id"] or row["pattern_id"],
    ),
    Column(heading="Title", key="title", style=BODY_WRAP, most_width=34),
    Column(heading="Location", key="location", style=BODY_WRAP, most_width=24),
    Column(heading="Sheets", key="sheets", style=INTEGER),
    Column(heading="Hours that day", key="hours", style=DECIMAL_2),
    Column(heading="Task", key="task_id", style=BODY_ID),
    Column(heading="Done", key="done", style=TICK, value=lambda _: BOX),
)


@dataclass(frozen=True)
class PersonList:
    """A person's sheet, still empty, and its rows."""

    sheet: Sheet
    staff_id: str
    rows: pl.DataFrame


def open_staff_lists(book: Book, plan: Plan) -> list[PersonList]:
    """Open a sheet for each person with dated work; filled once tickets and bench sheets have their places."""
    work = plan.frame("staff_day_tasks").partition_by("staff_id", as_dict=True)
    people = {str(key[0]): rows for key, rows in work.items()}
    return [
        PersonList(book.sheet(f"List {staff_id}", landscape=True), staff_id, people[staff_id])
        for staff_id in sorted(people)
    ]


def fill_staff_list(opened: PersonList, places: Places) -> tuple[str, str]:
    """Write one person's work with links to tickets and bench sheets. Returns name and purpose."""
    sheet, rows = opened.sheet, opened.rows.to_dicts()
    write_table(sheet, linked(COLUMNS, places), rows)
    week_rows = [
        number
        for number, (before, row) in enumerate(pairwise(rows), start=2)
        if row["week_start"] != before["week_start"]
    ]
    for number in week_rows if len(week_rows) < MOST_PAGE_BREAKS else ():
        sheet.new_page(number)
    sheet.finish()
    return sheet.name, f"the work of {opened.staff_id}, day by day, each week on a page of its own"

"""How sure the dates are: a sheet for the lab with rates and people; for the funder a sheet and a passage without."""

from collections.abc import Sequence

from pipeline.outputs.docx_parts import Report
from pipeline.outputs.sheet import Book
from pipeline.outputs.styles import BODY, BODY_WRAP, DATE, DECIMAL_1, INTEGER
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.text import clean_text
from pipeline.published_plan import Plan, Row

ABOUT = {"campaign": "all dated work", "collection": "collection", "task": "task", "person": "person"}
HOW = (
    "The plan was worked off {tries:,} times with other task times between each rate's low and high minutes: everyone "
    "does their own tasks in the planned order, nobody takes over another's. A lab that plans anew when things slip "
    "does better. Low and high minutes are the lab's or learned from its returns, or judgement where there are none."
)
COLUMNS = (
    Column(heading="About", key="chance_of", value=lambda row: ABOUT[row["chance_of"]]),
    Column(heading="Place: 1 decides most", key="decides_no", style=INTEGER),
    Column(heading="Which", key="subject", style=BODY, value=lambda row: row["subject"] or "everything"),
    Column(heading="In words", key="words", style=BODY_WRAP, most_width=60),
    Column(heading="Hours", key="hours", style=DECIMAL_1),
    Column(heading="In time (chances in 100)", key="in_time_pct", style=DECIMAL_1),
    Column(heading="At planned minutes", key="planned_date", style=DATE),
    Column(heading="With an even chance by", key="even_chance_date", style=DATE),
    Column(heading="With 9 chances in 10 by", key="nine_in_ten_date", style=DATE),
    Column(heading="Work ends at low minutes", key="low_date", style=DATE),
    Column(heading="Work ends at high minutes", key="high_date", style=DATE),
    Column(heading="Days between", key="moved_days", style=INTEGER),
)


def write_chances(book: Book, plan: Plan) -> tuple[str, str]:
    """Write the lab's sheet, people and all. Returns name and purpose."""
    return _write(book, plan.query("finish_lines"), "by collection, and what decides them: tasks and people")


def write_chances_for_funder(book: Book, plan: Plan) -> tuple[str, str]:
    """Write the funder's sheet: no person in it. Returns name and purpose."""
    return _write(book, plan.query("finish_lines_for_funder"), "by collection, and which tasks decide them")


def _write(book: Book, rows: Sequence[Row], what: str) -> tuple[str, str]:
    sheet = book.sheet("How sure the dates are", landscape=True)
    write_table(sheet, COLUMNS, rows)
    sheet.finish()
    return sheet.name, f"chance to finish in time, dates met with an even chance and 9 in 10, {what}"


def chance_sentence(rows: Sequence[Row]) -> str:
    """What the first row says of all dated work; nothing where nothing is dated."""
    return rows[0]["words"] if rows else ""


def tell_chances(report: Report, plan: Plan) -> None:
    """The funder's passage: chances of all work in words, the tasks that move its end most. No person in it."""
    rows = plan.query("finish_lines_for_funder")
    if rows:
        report.heading("How sure the dates are", 2)
        tell_rows(report, rows)


def tell_rows(report: Report, rows: Sequence[Row]) -> None:
    """The same from rows of finish_lines_for_funder, of which there is one at least, without a heading."""
    report.text(chance_sentence(rows))
    report.text(HOW.format(tries=rows[0]["tries_count"]))
    report.table(
        "Chance by collection",
        ["Collection", "Chances in 100", "With an even chance by", "With 9 chances in 10 by"],
        [_collection_cells(row) for row in rows if row["chance_of"] == "collection"],
    )
    tasks = [row for row in rows if row["chance_of"] == "task"]
    report.table(
        "Tasks that decide when the work ends, the strongest first",
        ["Task", "Hours", "What it does to the end of all work"],
        [
            [row["subject"].replace("_", " "), f"{row['hours']:,.1f}", clean_text(row["words"])]
            for row in tasks
        ],
    )


def _collection_cells(row: Row) -> list[str]:
    dates = (row["even_chance_date"], row["nine_in_ten_date"])
    told = [str(day) if day else "later than any day looked at" for day in dates]
    return [clean_text(row["subject"]), f"{row['in_time_pct']:.0f}", *told]

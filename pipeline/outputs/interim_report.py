"""interim_report.xlsx and .docx: for the funder, while the work goes on. No person, no pay, no place of a volume."""

from collections.abc import Sequence
from pathlib import Path

from pipeline.ledger.interim import Interim
from pipeline.outputs.docx_parts import Report
from pipeline.outputs.finish import COLUMNS as CHANCE_COLUMNS
from pipeline.outputs.finish import chance_sentence, tell_rows
from pipeline.outputs.front import Front, write_front
from pipeline.outputs.sheet import Book, Value
from pipeline.outputs.styles import BODY, BODY_WRAP, DATE, DECIMAL_1, INTEGER
from pipeline.outputs.table import Column, write_table
from pipeline.published_plan import Row

TITLE = "Interim report"
PURPOSE = (
    "What was planned, what is done and what is left on the day. Planned is what the first plan said; done is "
    "what came back from the bench; left is what the plan of that day still holds. It names no person, no rate of "
    "pay and no place of a volume."
)
HOW_TO = (
    "Collections and Months set what is done against what the first plan held.",
    "Weeks to come and Paper to come say what is left, week by week.",
    "Forecast says how the day of finishing moved from plan to plan; How sure the dates are says which chance it has "
    "and what decides it; Learned what the returns taught.",
)
PLANNED_AND_DONE = (
    Column(heading="Volumes planned", key="volumes_planned", style=INTEGER, most_width=12),
    Column(heading="Volumes done", key="volumes_done", style=INTEGER, most_width=12),
    Column(heading="Sheets planned", key="sheets_planned", style=INTEGER, most_width=12),
    Column(heading="Sheets laid in", key="sheets_done", style=INTEGER, most_width=12),
    Column(heading="Hours planned", key="hours_planned", style=DECIMAL_1, most_width=12),
    Column(heading="Hours worked", key="hours_done", style=DECIMAL_1, most_width=12),
)


def _whose(row: Row) -> str:
    """Whose figure a learned one is: of all volumes, or of those left to a skill, by the size of their pages."""
    return f"{row['skill']}, {row['volume_class']}" if row["skill"] else "all"


CHANCES_TITLE = "How sure the dates are"
COLLECTION = Column(heading="Collection", key="collection", style=BODY_WRAP, most_width=34)
SHEETS: tuple[tuple[str, str, str, tuple[Column, ...]], ...] = (
    (
        "Collections",
        "collections",
        "planned and done by collection, all of them last",
        (COLLECTION, *PLANNED_AND_DONE),
    ),
    (
        "Months",
        "months",
        "planned and done by month and collection",
        (Column(heading="Month", key="month"), COLLECTION, *PLANNED_AND_DONE),
    ),
    (
        "Weeks to come",
        "weeks",
        "hours, sheets and volumes planned for each week from the day on, and what is left before it",
        (
            Column(heading="Week of", key="week_start", style=DATE),
            Column(heading="Hours", key="hours", style=DECIMAL_1),
            Column(heading="Sheets to lay in", key="sheets", style=INTEGER),
            Column(heading="Volumes to return", key="volumes", style=INTEGER),
            Column(heading="Hours left before it", key="hours_left", style=DECIMAL_1),
            Column(heading="Sheets left before it", key="sheets_left", style=INTEGER),
        ),
    ),
    (
        "Paper to come",
        "papers",
        "parent sheets still to be cut, by week and paper",
        (
            Column(heading="Week of", key="week_start", style=DATE),
            Column(heading="Paper", key="paper_id", style=BODY),
            Column(heading="Stock", key="stock_id", style=BODY),
            Column(heading="Parent sheets", key="sheets", style=INTEGER),
        ),
    ),
    (
        "Forecast",
        "forecasts",
        "what each plan said of the day of finishing",
        (
            Column(heading="Plan", key="revision"),
            Column(heading="Made for", key="as_of", style=DATE),
            Column(heading="Hours left then", key="hours", style=DECIMAL_1),
            Column(heading="Sheets left then", key="sheets", style=INTEGER),
            Column(heading="Forecast finish", key="finish_date", style=DATE),
            Column(heading="Campaign ends", key="end_date", style=DATE),
        ),
    ),
    (
        CHANCES_TITLE,
        "chances",
        "chance to finish in time as the current plan's day saw it, dates met with an even chance and 9 in 10, and "
        "which tasks decide them",
        CHANCE_COLUMNS,
    ),
    (
        "Learned",
        "learned",
        "rates, thickness of papers and share of spares as the returns tell them, each with its interval",
        (
            Column(heading="What", key="subject"),
            Column(heading="Which", key="subject_id", style=BODY_WRAP),
            Column(heading="Volumes", key="volume_class", style=BODY_WRAP, value=_whose),
            Column(heading="Unit", key="unit"),
            Column(heading="Before", key="starting_value", style=DECIMAL_1),
            Column(heading="Learned", key="learned_value", style=DECIMAL_1),
            Column(heading="From", key="low_value", style=DECIMAL_1),
            Column(heading="To", key="high_value", style=DECIMAL_1),
            Column(heading="Returned tasks", key="tasks_count", style=INTEGER),
        ),
    ),
)


def write_interim_report(path: Path, interim: Interim) -> None:
    """Write the workbook. Raises OutputError or FileProblemError."""
    with Book(path, interim.facts, TITLE) as book:
        first = book.sheet("Start here")
        sheets = []
        for name, part, purpose, columns in SHEETS:
            sheet = book.sheet(name, landscape=True)
            write_table(sheet, columns, getattr(interim, part))
            sheet.finish()
            sheets.append((name, purpose))
        front = Front(TITLE, " ".join((*summary(interim), PURPOSE)), facts(interim), HOW_TO, (), sheets)
        write_front(first, front, interim.facts, cleaned=book.cleaned)


def write_interim_document(path: Path, interim: Interim) -> None:
    """Write the same as a text. Raises FileProblemError."""
    name = interim.facts.campaign_name
    report = Report(interim.facts, f"{TITLE}: {name}" if name else TITLE)
    report.text(f"As of {interim.facts.as_of.isoformat()}, by plan {interim.facts.revision}.")
    report.contents()
    report.heading("Summary")
    for sentence in summary(interim):
        report.text(sentence)
    for title, part, purpose, columns in SHEETS:
        report.heading(title)
        rows: list[Row] = getattr(interim, part)
        if rows and part == "chances":
            tell_rows(report, rows)
        elif rows:
            cells = [[_text(column, row) for column in columns] for row in rows]
            report.table(purpose[0].upper() + purpose[1:], [column.heading for column in columns], cells)
        else:
            report.text("Nothing to show on this day.")
    report.heading("How to read this")
    report.text(PURPOSE)
    report.save(path)


def summary(interim: Interim) -> Sequence[str]:
    """Where the campaign stands, in a few sentences."""
    whole, forecast = interim.whole, interim.forecast
    finish = forecast["finish_date"]
    left = interim.weeks[0] if interim.weeks else {"hours_left": 0.0, "sheets_left": 0}
    return (
        f"On {interim.facts.as_of.isoformat()} {whole['volumes_done']:,.0f} of {whole['volumes_planned']:,.0f} planned "
        f"volumes are done, with {whole['sheets_done']:,.0f} of {whole['sheets_planned']:,.0f} sheets laid in and "
        f"{whole['hours_done']:,.1f} of {whole['hours_planned']:,.1f} planned hours worked.",
        f"{left['hours_left']:,.1f} hours and {left['sheets_left']:,} sheets are left from that day on.",
        f"The work is forecast to be finished on {finish.isoformat()}; the campaign ends on "
        f"{forecast['end_date'].isoformat()}."
        if finish
        else "No work is left to be dated.",
        *((chance_sentence(interim.chances),) if interim.chances else ()),
    )


def facts(interim: Interim) -> list[tuple[str, Value]]:
    """Planned and done of the whole campaign, as pairs."""
    return [(column.heading, _text(column, interim.whole)) for column in PLANNED_AND_DONE]


def _text(column: Column, row: Row) -> str:
    value = column.of(row)
    if value is None:
        return ""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value:,.1f}" if column.style == DECIMAL_1 else f"{value:,.0f}"
    return str(value)

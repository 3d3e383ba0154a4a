"""funder_report.xlsx: totals by collection and for all, method in plain words, sources."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pipeline.outputs.budget import write_budget
from pipeline.outputs.charts import hours_picture, losses_picture, states_picture
from pipeline.outputs.finish import write_chances_for_funder
from pipeline.outputs.form import PAGE_POINTS, Cell, Form
from pipeline.outputs.front import Front, write_front
from pipeline.outputs.frontier import write_frontier
from pipeline.outputs.funder_facts import (
    METHOD,
    PROTECTION,
    SOURCES,
    STATES,
    TITLE,
    Figure,
    Story,
    effort_figures,
    month_name,
    summary,
)
from pipeline.outputs.pictures import POINTS_PER_INCH, png_inches
from pipeline.outputs.sheet import Book, Value
from pipeline.outputs.styles import BODY, BODY_WRAP, BOLD, DECIMAL_1, INTEGER, SUBTITLE, WRAP
from pipeline.outputs.survey import write_survey
from pipeline.outputs.table import Column, write_table
from pipeline.published_plan import Plan, Row

PURPOSE = (
    "What the campaign protects, what it takes, and how both were worked out. It names no person, no "
    "rate of pay and no "
    "place of a volume. The same report as a text is funder_report.docx."
)
HEADING_POINTS = 40.0
HOW_TO = (
    "Protection, Effort, States and Months hold the figures; Pictures shows them; copy from there.",
    "Method says in plain words how they were worked out and what is judgement; Judgement lists every "
    "such figure.",
    "Sources says for each figure its sheet here, its table in plan.duckdb and the query that makes it.",
)


FIGURE_SHEETS = {
    "Protection": "openings at risk and protected, page losses avoided",
    "Effort": "paper, enclosures, hours, money and shelf length",
    "States": "volumes by what the plan says of them",
}


@dataclass(frozen=True)
class Picture:
    """A picture of the report: what it shows, its PNG and the same in words."""

    title: str
    png: bytes
    alt: str
    height_inches: float


def funder_pictures(story: Story) -> tuple[Picture, ...]:
    """The pictures of the report, none where there is nothing to show."""
    if not story.collections:
        return ()
    possible, planned = PROTECTION[4], PROTECTION[5]
    states = states_picture(story.collections)
    losses = losses_picture(story.collections, possible, planned)
    hours = hours_picture(story.months)
    return (
        Picture(
            "Volumes by state and collection",
            states,
            _words(story.collections, STATES),
            png_inches(states)[1],
        ),
        Picture(
            "Page losses avoided, by collection",
            losses,
            _words(story.collections, (possible, planned)),
            png_inches(losses)[1],
        ),
        Picture("Hours of work by month", hours, _month_words(story.months), png_inches(hours)[1]),
    )


def _words(rows: Sequence[Row], figures: Sequence[Figure]) -> str:
    """A picture's figures in words."""
    parts = (
        f"{row['collection']}: " + ", ".join(f"{f.heading} {f.text(row)}" for f in figures if row[f.key])
        for row in rows
    )
    return "Bars. " + "; ".join(parts)


def _month_words(months: Sequence[Row]) -> str:
    return "Bars. Hours: " + ", ".join(f"{month_name(row)} {row['hours']:,.0f}" for row in months)


def write_funder_report(path: Path, plan: Plan, story: Story, pictures: Sequence[Picture]) -> None:
    """Write the workbook. Raises OutputError or FileProblemError."""
    with Book(path, plan.facts, TITLE) as book:
        first = book.sheet("Start here")
        sheets = [
            _write_figures(book, "Protection", PROTECTION, story.rows),
            _write_figures(book, "Effort", effort_figures(plan.facts.currency), story.rows),
            write_budget(book, plan),
            write_chances_for_funder(book, plan),
            write_frontier(book, plan),
            _write_figures(book, "States", STATES, story.rows),
            *write_survey(book, plan),
            _write_months(book, story),
            _write_pictures(book, pictures),
            _write_method(book),
            _write_judgement(book, story),
            _write_sources(book),
        ]
        front = Front(
            TITLE, " ".join(summary(plan, story)) + " " + PURPOSE, _facts(story, plan), HOW_TO, (), sheets
        )
        write_front(first, front, plan.facts, cleaned=book.cleaned)


def _facts(story: Story, plan: Plan) -> list[tuple[str, Value]]:
    figures = (*PROTECTION, *effort_figures(plan.facts.currency))
    return [(figure.heading, figure.text(story.whole)) for figure in figures if figure.key in story.whole]


def _write_figures(book: Book, name: str, figures: Sequence[Figure], rows: Sequence[Row]) -> tuple[str, str]:
    columns = (
        Column(heading="Collection", key="collection", style=BODY_WRAP, most_width=30),
        *(Column(heading=f.heading, key=f.key, style=f.style, most_width=14) for f in figures),
    )
    sheet = book.sheet(name, landscape=True)
    write_table(sheet, columns, rows if len(rows) > 1 else [])
    sheet.finish()
    return sheet.name, f"{FIGURE_SHEETS[name]}, by collection, the whole campaign last"


def _write_months(book: Book, story: Story) -> tuple[str, str]:
    columns = (
        Column(heading="Month", key="month_start", value=month_name),
        Column(heading="Hours of work", key="hours", style=DECIMAL_1),
        Column(heading="Volumes worked on", key="volumes", style=INTEGER),
    )
    sheet = book.sheet("Months")
    write_table(sheet, columns, story.months)
    sheet.finish()
    return sheet.name, "hours of work by month"


def _write_pictures(book: Book, pictures: Sequence[Picture]) -> tuple[str, str]:
    sheet = book.sheet("Pictures")
    form = Form(sheet, (30.0, 30.0, 30.0))
    form.line("Pictures", SUBTITLE.but(size=16))
    for picture in pictures:
        height = picture.height_inches * POINTS_PER_INCH + HEADING_POINTS
        if form.points + height > PAGE_POINTS[book.facts.page_size]:
            form.new_page()
        form.heading(picture.title)
        form.picture(picture.png, picture.alt, picture.height_inches)
    if not pictures:
        form.line("Nothing to show in this plan.")
    sheet.print_area(form.row, form.last_column)
    sheet.repeat_rows(0, 0)
    sheet.finish()
    return (
        sheet.name,
        "states, losses avoided and hours as pictures; their figures stand in the sheets before",
    )


def _write_method(book: Book) -> tuple[str, str]:
    sheet = book.sheet("Method")
    form = Form(sheet, (22.0, 68.0))
    form.line("Method", SUBTITLE.but(size=16))
    for heading, text, judgement in METHOD:
        form.cells([Cell(0, 0, heading, BOLD.but(wrap=True)), Cell(1, 1, text, WRAP)])
        if judgement:
            form.cells(
                [
                    Cell(0, 0, "what is judgement", BODY_WRAP.but(italic=True)),
                    Cell(1, 1, judgement, BODY_WRAP.but(italic=True)),
                ]
            )
        form.gap()
    sheet.print_area(form.row, 1)
    sheet.repeat_rows(0, 0)
    sheet.finish()
    return sheet.name, "how the figures were worked out, in plain words, and what in it is judgement"


def _write_judgement(book: Book, story: Story) -> tuple[str, str]:
    columns = (
        Column(heading="Figure", key="key", style=BODY),
        Column(heading="Value", key="shown", style=BODY),
        Column(heading="Unit", key="unit", style=BODY_WRAP, most_width=24),
        Column(heading="Judgement?", key="is_judgement"),
        Column(heading="Where it comes from", key="basis", style=BODY_WRAP, most_width=44),
    )
    sheet = book.sheet("Judgement", landscape=True)
    write_table(sheet, columns, story.policy)
    sheet.finish()
    count = sum(row["is_judgement"] for row in story.policy)
    return sheet.name, f"every policy figure of the plan; {count} of {len(story.policy)} are judgement"


def _write_sources(book: Book) -> tuple[str, str]:
    names = ("figure", "sheet", "tables", "query")
    rows = [dict(zip(names, source, strict=True)) for source in SOURCES]
    columns = (
        Column(heading="Figure", key="figure", style=BODY_WRAP),
        Column(heading="Sheet here", key="sheet"),
        Column(heading="Tables in plan.duckdb", key="tables", style=BODY_WRAP),
        Column(heading="Query", key="query", style=BODY_WRAP),
    )
    sheet = book.sheet("Sources", landscape=True)
    write_table(sheet, columns, rows)
    sheet.finish()
    return sheet.name, "where each figure stands in the plan's store, and the query that makes it"

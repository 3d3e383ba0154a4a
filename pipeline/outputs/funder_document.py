"""funder_report.docx: the report to the funder as an editable text."""

from collections.abc import Sequence
from pathlib import Path

from pipeline.outputs.budget import tell_budget
from pipeline.outputs.docx_parts import MARGIN_INCHES, Report
from pipeline.outputs.finish import tell_chances
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
from pipeline.outputs.funder_report import Picture
from pipeline.outputs.plan import Plan
from pipeline.outputs.sheet import PAPER_INCHES
from pipeline.outputs.wording import DEFER, STATE_WORDS

MAIN_JUDGEMENTS = ("risk.", "hazard.", "fit.", "significance.", "binding.")
"""Policy sections listed in the text; the workbook's sheet Judgement lists all."""


def write_funder_document(path: Path, plan: Plan, story: Story, pictures: Sequence[Picture]) -> None:
    """Write the document. Raises FileProblemError."""
    report = Report(plan.facts, f"{TITLE}: {plan.facts.campaign_name}" if plan.facts.campaign_name else TITLE)
    report.text(
        f"Plan {plan.facts.revision}, made for {plan.facts.as_of.isoformat()}. All figures are planned "
        "figures."
    )
    report.contents()
    width = PAPER_INCHES[plan.facts.page_size][0] - 2 * MARGIN_INCHES
    shown = {picture.title: picture for picture in pictures}
    _summary(report, plan, story)
    _volumes(report, story)
    _pictures(report, list(shown.values())[:1], width)
    _protection(report, story)
    _pictures(report, list(shown.values())[1:2], width)
    _effort(report, plan, story)
    _pictures(report, list(shown.values())[2:], width)
    tell_budget(report, plan)
    tell_chances(report, plan)
    _method(report, story)
    _cautions(report)
    _sources(report, plan)
    report.save(path)


def _pictures(report: Report, pictures: Sequence[Picture], width: float) -> None:
    for picture in pictures:
        report.picture(picture.title, picture.png, picture.alt, width)


def _summary(report: Report, plan: Plan, story: Story) -> None:
    report.heading("Summary")
    for sentence in summary(plan, story):
        report.text(sentence)


def _table(report: Report, caption: str, figures: Sequence[Figure], story: Story) -> None:
    if not story.collections:
        report.text("The plan holds no volumes.")
        return
    rows = [[row["collection"], *(figure.text(row) for figure in figures)] for row in story.rows]
    report.table(caption, ["Collection", *(figure.heading for figure in figures)], rows)


def _volumes(report: Report, story: Story) -> None:
    report.heading("What becomes of the volumes")
    report.text("Each volume ends in one state, with a reason that stands in the plan.")
    report.bullets(list(STATE_WORDS.values()))
    _table(report, "Volumes by state and collection", STATES, story)


def _protection(report: Report, story: Story) -> None:
    report.heading("What is protected")
    report.text(
        "Page losses avoided are expectations over the horizon, weighted by the significance of the "
        "volume: they compare "
        "what could be done with what is planned, and rest on judgement that is listed below."
    )
    _table(report, "Openings and page losses avoided by collection", PROTECTION, story)


def _effort(report: Report, plan: Plan, story: Story) -> None:
    report.heading("What it takes")
    _table(
        report, "Paper, enclosures, hours and cost by collection", effort_figures(plan.facts.currency), story
    )
    if story.months:
        rows = [[month_name(row), f"{row['hours']:,.1f}", f"{row['volumes']:,}"] for row in story.months]
        report.table("Hours of work by month", ["Month", "Hours", "Volumes worked on"], rows)


def _method(report: Report, story: Story) -> None:
    report.heading("How the figures were worked out")
    for heading, text, judgement in METHOD:
        report.heading(heading, 2)
        report.text(text)
        if judgement:
            report.text(f"What is judgement: {judgement}", italic=True)
    report.heading("Judgement figures", 2)
    judged = [row for row in story.policy if row["is_judgement"]]
    report.text(
        f"{len(judged)} of the plan's {len(story.policy)} policy figures are judgement; the lab can "
        "change each in its policy "
        "file. Those that move the results most follow; sheet Judgement of funder_report.xlsx lists all."
    )
    main = [row for row in judged if row["key"].startswith(MAIN_JUDGEMENTS)]
    rows = [[row["key"], row["shown"], row["unit"], row["basis"]] for row in main]
    report.table("Main figures that are judgement", ["Figure", "Value", "Unit", "Where it comes from"], rows)


def _cautions(report: Report) -> None:
    report.heading("Limits and cautions")
    report.bullets(
        [
            "A total is an expectation. It does not say which page would be lost.",
            "Volumes with active mould, cellulose nitrate or suspected arsenic or mercury are on hold "
            "until a person clears them.",
            "Sheets protect facing pages; they cure neither acid paper nor adhesive, and they do not "
            "replace treatment.",
            f"Work with guillotines, treated specimens and heavy volumes is for trained people. {DEFER}",
        ]
    )


def _sources(report: Report, plan: Plan) -> None:
    report.heading("Where each figure comes from")
    facts = plan.facts
    report.text(
        f"All figures were read from the plan's store, plan.duckdb (program guardleaf {facts.version}, "
        "inventory "
        f"{facts.inventory_sha256[:12]}, policy {facts.policy_sha256[:12]}). The same figures stand in "
        "funder_report.xlsx."
    )
    rows = [list(source) for source in SOURCES]
    report.table("Sources", ["Figure", "Sheet of funder_report.xlsx", "Tables in plan.duckdb", "Query"], rows)

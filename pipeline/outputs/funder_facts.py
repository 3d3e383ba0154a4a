"""What the funder report says, in workbook and document: figures, method, sources.

Nothing in it names a person, a rate of pay or a place.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.outputs.saving import saving_sentence
from pipeline.outputs.styles import DECIMAL_1, DECIMAL_2, INTEGER, Style
from pipeline.outputs.survey import survey_sentences
from pipeline.outputs.wording import STATE_NAMES, STATE_WORDS
from pipeline.published_plan import Plan, Row

ALL = "All collections"
TITLE = "Report to the funder"


@dataclass(frozen=True)
class Figure:
    """One figure of collection_totals.sql: its column, its heading, its look."""

    key: str
    heading: str
    style: Style = INTEGER

    def text(self, row: Row) -> str:
        """The figure as the document shows it; a dash where there is none."""
        value = row[self.key]
        decimals = len(self.style.number.partition(".")[2])
        return "–" if value is None else f"{value:,.{decimals}f}"


PROTECTION = (
    Figure("volumes", "Volumes"),
    Figure("openings_at_risk", "Openings at risk"),
    Figure("openings_protected", "Openings protected"),
    Figure("sheets", "Sheets"),
    Figure("benefit_possible", "Page losses that could be avoided", DECIMAL_2),
    Figure("benefit_planned", "Page losses avoided", DECIMAL_2),
    Figure("avoided_pct", "Avoided of what could be (%)", DECIMAL_1),
)
STATES = tuple(Figure(f"volumes_{state}", STATE_NAMES[state]) for state in STATE_WORDS)


def effort_figures(currency: str) -> tuple[Figure, ...]:
    """Figures of paper, boxes, hours and money."""
    return (
        Figure("paper_area_m2", "Paper (m2)", DECIMAL_1),
        Figure("paper_cost", f"Paper ({currency})", DECIMAL_2),
        Figure("enclosures", "New enclosures"),
        Figure("enclosure_cost", f"Enclosures ({currency})", DECIMAL_2),
        Figure("labour_hours", "Hours of work", DECIMAL_1),
        Figure("labour_cost", f"Labour ({currency})", DECIMAL_2),
        Figure("total_cost", f"Total cost ({currency})", DECIMAL_2),
        Figure("shelf_mm_added", "Shelf length added (mm)"),
    )


@dataclass(frozen=True)
class Story:
    """The figures of the report."""

    collections: list[Row]
    whole: Row
    months: list[Row]
    policy: list[Row]
    finish: str

    @property
    def rows(self) -> list[Row]:
        """Collections and, last, the whole campaign."""
        return [*self.collections, self.whole]


def gather_story(plan: Plan) -> Story:
    """The figures of the report from published tables alone."""
    rows = [row | {"collection": row["collection"] or ALL} for row in plan.query("collection_totals")]
    blank = {key: None for key in rows[0]} if rows else {}
    whole = next((row for row in rows if row["collection"] == ALL), blank | {"collection": ALL})
    totals = plan.totals()
    return Story(
        collections=[row for row in rows if row["collection"] != ALL],
        whole=whole,
        months=plan.query("hours_by_month"),
        policy=plan.query("judgements"),
        finish=totals["finish_date"]["text"] or "" if "finish_date" in totals else "",
    )


def month_name(row: Row) -> str:
    """`2027-03`, or that the work has no date."""
    return "not dated" if row["month_start"] is None else row["month_start"].strftime("%Y-%m")


def summary(plan: Plan, story: Story) -> Sequence[str]:
    """The report in a few sentences, figures from the whole campaign's row."""
    facts, whole = plan.facts, story.whole
    show = {
        figure.key: figure.text(whole)
        for figure in (*PROTECTION, *STATES, *effort_figures(facts.currency))
        if figure.key in whole
    }
    if not story.collections:
        return ("The plan holds no volumes.",)
    saving = saving_sentence(plan)
    finish = f" The work ends on {story.finish}." if story.finish else ""
    return (
        f"The campaign surveys {show['volumes']} volumes in {len(story.collections)} collections. "
        f"{show['openings_at_risk']} openings hold something that harms the page it faces; "
        f"{show['openings_protected']} of them get a protective sheet.",
        *survey_sentences(plan),
        f"Over {facts.horizon_years} years this is expected to avoid the loss of "
        f"{show['benefit_planned']} pages, "
        f"weighted by significance, of the {show['benefit_possible']} that sheets could avoid "
        f"if every binding had room and every volume could be treated.",
        f"It takes {show['labour_hours']} hours of work, {show['paper_area_m2']} m2 of paper and "
        f"{show['enclosures']} new "
        f"enclosures, {show['total_cost']} {facts.currency} in all, between "
        f"{facts.start_date.isoformat()} and "
        f"{facts.end_date.isoformat()}.{finish}",
        *([saving] if saving else []),
    )


METHOD = (
    (
        "What is counted",
        "An opening is the two pages that face each other. It counts as at risk when one of its pages "
        "carries something that "
        "stains, rubs, offsets or sticks to the other. A sheet laid in shields both pages.",
        "The survey's findings are observation; how severe each is, is the surveyor's judgement.",
    ),
    (
        "Page losses avoided",
        "Each hazard has a rate at which the facing page is expected to be lost, raised or lowered by "
        "severity, by what is on "
        "the page and by how often the volume is handled. The rate gives the expected loss over the "
        "campaign's horizon, once "
        "without and once with the sheet. The difference, weighted by the volume's significance, is the "
        "page losses avoided.",
        "All of these rates, weights and efficacies are working values of the lab: judgement, listed in "
        "full.",
    ),
    (
        "Which paper",
        "A paper may lie in an opening when it suits all content there: permanent, photo-safe for "
        "photographs, unbuffered for "
        "dyes, wool, silk and leather, with a release surface where adhesive is tacky, and stiff enough "
        "for the page.",
        "The suitability rules are common practice with published standards; the limit of stiffness is "
        "judgement.",
    ),
    (
        "How much a binding takes",
        "Sheets make the fore edge thicker than the spine. The plan keeps the angle between the covers "
        "and the growth of the "
        "text block within limits for each binding and condition of the joints, and lays in the sheets "
        "of greatest benefit first.",
        "The limits are judgement.",
    ),
    (
        "Paper, hours and money",
        "Leaves of nearly one size share a cut size; leaves are laid out on stock sheets so that the "
        "least paper is bought; tasks "
        "are dated by skill and working hours. Costs are packs bought at their price, new enclosures, "
        "and hours at the lab's cost.",
        "Minutes for each task are the lab's rates, or judgement where it has none yet.",
    ),
    (
        "How sure this is",
        "The figures are expectations for planning and comparison, not a promise for a single page. "
        "Where a step was solved by "
        "search, the plan keeps the proven bound and the gap to it.",
        "",
    ),
)
"""Heading, what is done, and what in it is judgement."""

SOURCES = (
    (
        "Volumes by state",
        "States",
        "published.volumes, published.campaign_totals",
        "sql/outputs/collection_totals.sql",
    ),
    (
        "Openings at risk and protected",
        "Protection",
        "published.campaign_totals",
        "sql/outputs/collection_totals.sql",
    ),
    (
        "Page losses avoided",
        "Protection",
        "published.interleaves, published.campaign_totals",
        "sql/outputs/collection_totals.sql",
    ),
    (
        "Sheets, paper, enclosures",
        "Effort",
        "published.cut_sizes, published.material_totals, published.enclosures",
        "sql/outputs/collection_totals.sql",
    ),
    (
        "Hours and cost",
        "Effort",
        "published.tasks, published.campaign_totals",
        "sql/outputs/collection_totals.sql",
    ),
    ("Saving against the usual way", "Start here", "published.cutting_ways", "sql/outputs/cutting_ways.sql"),
    ("Hours by month", "Months", "published.tasks", "sql/outputs/hours_by_month.sql"),
    (
        "Cost by class of a grant's budget",
        "Budget",
        "published.cost_classes",
        "sql/11_publish/cost_classes.sql",
    ),
    (
        "How sure the dates are",
        "How sure the dates are",
        "published.finish_chances",
        "sql/outputs/finish_lines_for_funder.sql",
    ),
    ("Judgement figures", "Judgement", "published.policy", "sql/outputs/judgements.sql"),
)
"""Figure, sheet of funder_report.xlsx, tables in plan.duckdb, query."""

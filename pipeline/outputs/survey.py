"""A sampled survey in the funder report: what the whole collection would need, estimated from n of N volumes."""

from pipeline.outputs.sheet import Book
from pipeline.outputs.styles import BODY_WRAP, DECIMAL_1, INTEGER
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.wording import STATE_NAMES
from pipeline.published_plan import Plan, Row

SHEET = "Whole collection"
COLUMNS = (
    Column(heading="Stratum", key="stratum", style=BODY_WRAP, most_width=30),
    Column(heading="What", key="what", style=BODY_WRAP, most_width=40),
    Column(heading="Unit", key="unit"),
    Column(heading="Volumes surveyed", key="volumes_surveyed", style=INTEGER),
    Column(heading="Volumes in all", key="volumes_in_all", style=INTEGER),
    Column(heading="Estimate", key="value", style=DECIMAL_1),
    Column(heading="Interval from", key="value_low", style=DECIMAL_1),
    Column(heading="Interval to", key="value_high", style=DECIMAL_1),
    Column(heading="Volumes to survey for the wanted precision", key="volumes_to_survey", style=INTEGER),
)


def survey_sentences(plan: Plan) -> list[str]:
    """One sentence that says so where a sample was surveyed; none where every volume was."""
    rows = {row["measure"]: row for row in plan.table("survey_estimates") if row["stratum"] is None}
    told = [
        row for name in ("sheets", "hours", "cost") if (row := rows.get(name)) and row["value"] is not None
    ]
    if not told:
        return []
    first = told[0]
    return [
        f"These volumes are a sample. Estimated from {first['volumes_surveyed']:,} of {first['volumes_in_all']:,} "
        f"volumes, the whole collection would need {', '.join(_amount(row) for row in told)}"
        f"{_interval_words(plan, told)}."
    ]


def write_survey(book: Book, plan: Plan) -> list[tuple[str, str]]:
    """The sheet with every estimate, the whole collection first; none where every volume was surveyed."""
    rows = [_shown(row) for row in plan.table("survey_estimates")]
    if not rows:
        return []
    rows.sort(key=lambda row: bool(row["stratum"]))
    sheet = book.sheet(SHEET, landscape=True)
    write_table(sheet, COLUMNS, [row | {"stratum": row["stratum"] or "all"} for row in rows])
    sheet.finish()
    return [(sheet.name, "what the whole collection would need, estimated from the volumes surveyed")]


def _shown(row: Row) -> Row:
    measure = str(row["measure"])
    state = measure.removeprefix("volumes_")
    return row | {"what": STATE_NAMES.get(state, f"{measure} needed, whatever the budget")}


def _amount(row: Row) -> str:
    spread = "" if row["value_low"] is None else f" ({row['value_low']:,.0f} to {row['value_high']:,.0f})"
    unit = "in all" if row["measure"] == "cost" and not row["unit"] else row["unit"]
    return f"{row['value']:,.0f} {unit}{spread}"


def _interval_words(plan: Plan, told: list[Row]) -> str:
    if any(row["value_low"] is None for row in told):
        return "; no interval can be told where one volume of a stratum was surveyed"
    pct = next(row["value"] for row in plan.table("policy") if row["key"] == "survey.interval_pct")
    return f" ({float(pct):g} % intervals, stratified estimate, Cochran 1977)"

"""The frontier as one of the funder report's pictures."""

from pipeline.outputs.frontier import TITLE, frontier_png, frontier_rows, frontier_words
from pipeline.outputs.funder_report import Picture
from pipeline.outputs.pictures import png_inches
from pipeline.outputs.plan import Plan


def frontier_pictures(plan: Plan) -> tuple[Picture, ...]:
    """The picture of the frontier, none where there is nothing to show."""
    rows, currency = frontier_rows(plan), plan.facts.currency
    if not rows:
        return ()
    png = frontier_png(rows, currency)
    return (Picture(TITLE, png, frontier_words(rows, currency), png_inches(png)[1]),)

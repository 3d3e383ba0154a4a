"""What a later revision changed against the one before, as a sheet of the work orders."""

from pipeline.outputs.plan import Plan
from pipeline.outputs.sheet import Book
from pipeline.outputs.styles import BODY, BODY_ID, BODY_WRAP
from pipeline.outputs.table import Column, write_table

COLUMNS = (
    Column(heading="About", key="subject", style=BODY),
    Column(heading="Which", key="subject_id", style=BODY_ID),
    Column(heading="What", key="what", style=BODY_WRAP, most_width=26),
    Column(heading="Before", key="before", style=BODY_WRAP, most_width=28),
    Column(heading="Now", key="after", style=BODY_WRAP, most_width=28),
    Column(heading="Why", key="why", style=BODY_WRAP, most_width=46),
)


def write_changes(book: Book, plan: Plan) -> list[tuple[str, str]]:
    """Write the sheet where there is something to tell; a first plan has none."""
    rows = plan.table("changes")
    if not rows:
        return []
    sheet = book.sheet("Changes", landscape=True)
    write_table(sheet, COLUMNS, rows)
    sheet.finish()
    return [(sheet.name, f"{len(rows)} changes against the plan before, each with its reason")]

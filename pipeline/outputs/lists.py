"""Plain lists in the work orders: boxes, and volumes that get no sheets."""

from pipeline.outputs.lengths import Lengths
from pipeline.outputs.sheet import Book
from pipeline.outputs.styles import (
    BODY_ID,
    BODY_WRAP,
    DATE,
    DECIMAL_1,
    INTEGER,
    TICK,
)
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.weekly import BOX
from pipeline.outputs.wording import CAUTIONS, DEFER, STATE_NAMES
from pipeline.published_plan import Plan, Row

MADE_TO_MEASURE = "made to measure"


def write_boxes(book: Book, plan: Plan) -> tuple[str, str]:
    """Write the box list: which new enclosure each volume gets, inside measures, how it stands."""
    lengths = Lengths(plan.facts.length_unit)
    columns = (
        Column(heading="Volume", key="volume_id", style=BODY_ID),
        Column(heading="Title", key="title", style=BODY_WRAP, most_width=32),
        Column(heading="Location", key="location", style=BODY_WRAP, most_width=22),
        Column(
            heading="Enclosure",
            key="enclosure_id",
            style=BODY_ID,
            value=lambda r: r["enclosure_id"] or MADE_TO_MEASURE,
        ),
        *inside_columns(lengths),
        Column(heading="Stands", key="shelved"),
        Column(heading="Day", key="day", style=DATE),
        Column(heading="Done", key="done", style=TICK, value=lambda _: BOX),
    )
    sheet = book.sheet("Box list", landscape=True)
    rows = plan.query("box_list")
    write_table(sheet, columns, rows)
    sheet.finish()
    return sheet.name, f"{len(rows)} new enclosures, with inside measures and how the volume is shelved"


def length_column(lengths: Lengths, heading: str, key: str, *, number: str = "") -> Column:
    """A column of lengths in the lab's unit, told behind the heading; `number`: their format, if not the usual."""
    return Column(
        heading=f"{heading} ({lengths.unit})",
        key=key,
        style=DECIMAL_1.but(number=number or lengths.number_format),
        value=lambda row: lengths.value(row[key]),
    )


def inside_columns(lengths: Lengths) -> list[Column]:
    """Inside measures of an enclosure."""
    sides = ("width", "height", "depth")
    return [length_column(lengths, f"Inside {side}", f"inner_{side}_mm") for side in sides]


def write_not_planned(book: Book, plan: Plan) -> tuple[str, str]:
    """Write the volumes that get no sheets, with the reason and, where it is on hold, the caution."""
    columns = (
        Column(heading="State", key="state", value=lambda row: STATE_NAMES[row["state"]]),
        Column(heading="Volume", key="volume_id", style=BODY_ID),
        Column(heading="Title", key="title", style=BODY_WRAP, most_width=26),
        Column(heading="Location", key="location", style=BODY_WRAP, most_width=18),
        Column(heading="Reason and caution", key="reason", style=BODY_WRAP, value=_reason, most_width=66),
        Column(heading="Openings at risk", key="hazard_openings", style=INTEGER),
        Column(heading="New enclosure", key="has_new_enclosure"),
    )
    sheet = book.sheet("Not planned", landscape=True)
    rows = plan.query("not_planned")
    write_table(sheet, columns, rows)
    sheet.finish()
    return sheet.name, f"{len(rows)} volumes that get no sheets, each with its reason"


def _reason(row: Row) -> str:
    """Why the volume gets no sheets and, where it is on hold, the caution below."""
    reason = str(row["reason"])
    if not row["hold"]:
        return reason
    return f"{reason}\n{CAUTIONS.get('hold_' + row['hold'], CAUTIONS['hold_other'])} {DEFER}"

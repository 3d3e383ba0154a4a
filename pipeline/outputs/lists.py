"""Plain lists in the work orders: boxes, and volumes that get no sheets."""

from collections.abc import Callable

from pipeline.outputs.lengths import Lengths
from pipeline.outputs.plan import Plan, Row
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

MADE_TO_MEASURE = "made to measure"


def write_boxes(book: Book, plan: Plan) -> tuple[str, str]:
    """Write the box list: which new enclosure each volume gets, inside measures, how it stands."""
    lengths = Lengths(plan.facts.length_unit)
    measure = DECIMAL_1.but(number=lengths.number_format)
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
        *(
            Column(
                heading=f"Inside {word} ({lengths.unit})",
                key=key,
                style=measure,
                value=length_of(lengths, key),
            )
            for word, key in (
                ("width", "inner_width_mm"),
                ("height", "inner_height_mm"),
                ("depth", "inner_depth_mm"),
            )
        ),
        Column(heading="Stands", key="shelved"),
        Column(heading="Day", key="day", style=DATE),
        Column(heading="Done", key="done", style=TICK, value=lambda _: BOX),
    )
    sheet = book.sheet("Box list", landscape=True)
    rows = plan.query("box_list")
    write_table(sheet, columns, rows)
    sheet.finish()
    return sheet.name, f"{len(rows)} new enclosures, with inside measures and how the volume is shelved"


def length_of(lengths: Lengths, key: str) -> Callable[[Row], float | None]:
    """The getter of a length column, in the lab's unit."""
    return lambda row: lengths.value(row[key])


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

"""Plain lists in the work orders: boxes, volumes that get no sheets, and the sheet that comes back."""

from collections.abc import Callable

from pipeline.outputs.lengths import Lengths
from pipeline.outputs.plan import Plan, Row
from pipeline.outputs.sheet import Book, Sheet
from pipeline.outputs.styles import (
    BODY,
    BODY_ID,
    BODY_WRAP,
    DATE,
    DECIMAL_1,
    ENTRY,
    ENTRY_WRAP,
    HEADING,
    INTEGER,
    TICK,
)
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.weekly import BOX
from pipeline.outputs.wording import CAUTIONS, DEFER, KIND_WORDS, STATE_NAMES

MADE_TO_MEASURE = "made to measure"

LISTS = "Lists"
DONE_WORDS = ["done", "part", "not done"]


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


def write_returns(book: Book, plan: Plan) -> list[tuple[str, str]]:
    """Write the sheet that is filled in and sent back: typed cells, drop-downs, one row per task."""
    rows = plan.query("return_lines")
    staff = [row["staff_id"] for row in plan.table("staff")]
    sheet = book.sheet("Returns", landscape=True)
    lists = _write_lists(book, staff)
    columns = _return_columns(Lengths(plan.facts.length_unit))
    after = write_table(sheet, columns, rows)
    if rows:
        _guard_cells(sheet, plan, columns, (1, after - 1), lists)
    sheet.finish()
    return [
        (sheet.name, "fill in the dotted cells and send the workbook back: one row per task"),
        (LISTS, "words that the drop-downs of Returns offer"),
    ]


def _write_lists(book: Book, staff: list[str]) -> str:
    """Staff ids for a drop-down, in a range, for a list in the cell may not be long. Returns the range."""
    sheet = book.sheet(LISTS)
    sheet.put(0, 0, "Staff ids (for the drop-down in Returns)", HEADING)
    sheet.widths({0: 28})
    sheet.height(0, 30)
    for number, staff_id in enumerate(staff, start=1):
        sheet.put(number, 0, staff_id, BODY_ID)
    sheet.repeat_rows(0, 0)
    sheet.print_area(len(staff), 0)
    sheet.freeze(1)
    sheet.finish()
    return f"={LISTS}!$A$2:$A${max(2, len(staff) + 1)}"


def _return_columns(lengths: Lengths) -> tuple[Column, ...]:
    thickness = lengths.thickness_format
    return (
        Column(heading="Plan", key="revision", style=BODY_ID),
        Column(heading="Task", key="task_id", style=BODY_ID),
        Column(heading="Work", key="kind", value=lambda row: KIND_WORDS[row["kind"]], style=BODY),
        Column(
            heading="Volume or pattern",
            key="volume_id",
            style=BODY_ID,
            value=lambda r: r["volume_id"] or r["pattern_id"],
        ),
        Column(heading="Planned day", key="planned_day", style=DATE),
        Column(heading="Sheets planned", key="sheets", style=INTEGER),
        Column(
            heading=f"Fore edge planned ({lengths.unit})",
            key="fore_edge_after_mm",
            style=DECIMAL_1.but(number=thickness),
            value=lambda row: lengths.value(row["fore_edge_after_mm"]),
        ),
        Column(heading="Done?", key="done", style=ENTRY, value=lambda _: None),
        Column(
            heading="Date done", key="date_done", style=ENTRY.but(number="yyyy-mm-dd"), value=lambda _: None
        ),
        Column(heading="Who did it", key="who", style=ENTRY.but(number="@"), value=lambda _: None),
        Column(heading="Minutes taken", key="minutes", style=ENTRY.but(number="0"), value=lambda _: None),
        Column(
            heading="Sheets used",
            key="used",
            style=ENTRY.but(number="0"),
            value=lambda _: None,
            only_if=lambda row: row["sheets"] is not None,
        ),
        Column(
            heading=f"Fore edge measured ({lengths.unit})",
            key="measured",
            style=ENTRY.but(number=thickness),
            value=lambda _: None,
            only_if=lambda row: row["kind"] == "check",
        ),
        Column(heading="Note", key="note", style=ENTRY_WRAP, value=lambda _: None),
    )


def _guard_cells(
    sheet: Sheet, plan: Plan, columns: tuple[Column, ...], rows: tuple[int, int], staff_range: str
) -> None:
    """Drop-downs and type checks on the cells to fill in."""
    place = {column.key: number for number, column in enumerate(columns)}
    first, last = rows

    def cells(key: str) -> tuple[int, int, int, int]:
        return first, place[key], last, place[key]

    sheet.choices(cells("done"), DONE_WORDS)
    sheet.choices(cells("who"), staff_range)
    sheet.dates_only(cells("date_done"), plan.facts.start_date)
    sheet.numbers_only(cells("minutes"), whole=False, least=0, hint="Minutes as a number, such as 45.")
    sheet.numbers_only(cells("used"), whole=True, least=0, hint="Sheets as a whole number.")
    unit = plan.facts.length_unit
    sheet.numbers_only(cells("measured"), whole=False, least=0, hint=f"The measured fore edge in {unit}.")

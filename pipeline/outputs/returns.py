"""The sheets that are filled in and sent back: `Returns`, a row per volume, and `Cutting returns`, a row per pattern.

Their headings are read back by the ledger (pipeline/policy/columns.toml). A row is known by plan and volume, or by
plan and pattern; spare rows below take a second day at the same work.
"""

from collections.abc import Callable, Collection, Sequence

from pipeline.outputs.lengths import Lengths
from pipeline.outputs.lists import length_column
from pipeline.outputs.sheet import Book, Sheet
from pipeline.outputs.styles import (
    BODY,
    BODY_ID,
    DATE,
    ENTRY,
    ENTRY_WRAP,
    HEADING,
    INTEGER,
    Style,
)
from pipeline.outputs.table import LEAST_WIDTH, Column, write_table
from pipeline.outputs.wording import plural
from pipeline.published_plan import Plan, Row, rows_by

LISTS = "Lists"
STATUS_WORDS = ["done", "part done", "not done"]
YES_NO = ["yes", "no"]
STEPS_ASKED = (("Old leaves out", "cleared", "has_old_leaves"), ("Boxed", "boxed", "has_box"))
"""Steps that a part-done row tells of, in the volumes that have them: heading, field, where it is asked."""
SPARE_ROWS = 40
ENTRY_DATE = ENTRY.but(number="yyyy-mm-dd")
ENTRY_COUNT = ENTRY.but(number="0")
ENTRY_ID = ENTRY.but(number="@")
KEYS = ("revision", "volume_id", "pattern_id")


def write_returns(book: Book, plan: Plan, volume_ids: Collection[str]) -> tuple[str, str]:
    """Write `Returns`: a row for each of these volumes."""
    rows = plan.query_of("return_lines", volume_ids)
    papers = rows_by(plan.query_of("return_papers", volume_ids), "volume_id")
    rows = [row | _by_number(papers.get(row["volume_id"], [])) for row in rows]
    most = max((len(papers.get(row["volume_id"], [])) for row in rows), default=1)
    sheet = book.sheet("Returns", landscape=True)
    _write_entries(sheet, plan, _volume_columns(Lengths(plan.facts.length_unit), max(most, 1), rows), rows)
    return (
        sheet.name,
        f"fill in the dotted cells and send this workbook back; what is part done also says whether old leaves are "
        f"out and the box is on: {plural(len(rows), 'volume')}",
    )


def write_cutting_returns(book: Book, plan: Plan) -> tuple[str, str]:
    """Write `Cutting returns`: a row for each pattern."""
    rows = plan.query("cutting_return_lines")
    sheet = book.sheet("Cutting returns", landscape=True)
    _write_entries(sheet, plan, _pattern_columns(), rows)
    return sheet.name, f"the same for the guillotine: {plural(len(rows), 'pattern')}"


def _by_number(papers: Sequence[Row]) -> Row:
    found: Row = {}
    for row in papers:
        found |= {f"paper_{row['paper_no']}": row["paper_id"], f"planned_{row['paper_no']}": row["sheets"]}
    return found


def _write_entries(sheet: Sheet, plan: Plan, columns: Sequence[Column], rows: Sequence[Row]) -> None:
    """The table, its spare rows, and what each cell takes. A plan of nothing has neither."""
    write_table(sheet, columns, rows)
    if rows:
        first_spare, last = len(rows) + 1, len(rows) + SPARE_ROWS
        for number in range(first_spare, last + 1):
            _spare_row(sheet, number, columns)
        _guard_cells(sheet, plan, columns, last)
        sheet.print_area(last, len(columns) - 1)
    sheet.finish()


def _spare_row(sheet: Sheet, number: int, columns: Sequence[Column]) -> None:
    """A blank row: cells of people and those that name the work are open, the plan's figures are not."""
    for place, column in enumerate(columns):
        names_work = column.key in KEYS or column.key.startswith("paper_")
        is_open = names_work or column.style.entry
        sheet.put(number, place, None, column.style.but(entry=True) if is_open else BODY)


def _volume_columns(lengths: Lengths, papers: int, rows: Sequence[Row]) -> tuple[Column, ...]:
    unit, thickness = lengths.unit, lengths.thickness_format
    return (
        Column(heading="Plan", key="revision", style=BODY_ID),
        Column(heading="Volume", key="volume_id", style=BODY_ID),
        Column(heading="Work", key="work", style=BODY),
        Column(heading="Planned day", key="planned_day", style=DATE),
        *(column for number in range(1, papers + 1) for column in _paper_columns(number)),
        *(
            length_column(lengths, f"Fore edge {word}", key, number=thickness)
            for word, key in (("planned", "fore_edge_after_mm"), ("limit", "fore_edge_limit_mm"))
        ),
        _entry("Status", "progress", ENTRY, width=11.0),
        _entry("Date", "done_on", ENTRY_DATE, width=12.0),
        _entry("Initials", "staff_id", ENTRY_ID, width=10.0),
        _entry("Minutes laying in", "minutes", ENTRY_COUNT),
        _entry("Minutes other steps", "other_minutes", ENTRY_COUNT),
        _entry("Spoiled", "spoiled", ENTRY_COUNT),
        _entry(f"Fore edge after ({unit})", "measured", ENTRY.but(number=thickness)),
        *(
            _entry(heading, key, ENTRY, only_if=_where(asked))
            for heading, key, asked in STEPS_ASKED
            if any(row[asked] for row in rows)
        ),
        _entry("Note", "note", ENTRY_WRAP, width=24.0),
    )


def _where(asked: str) -> Callable[[Row], bool]:
    return lambda row: bool(row[asked])


def _paper_columns(number: int) -> tuple[Column, Column, Column]:
    """Paper, sheets planned and sheets that lie in the volume, of the number-th paper of a volume."""

    def has_paper(row: Row) -> bool:
        return f"paper_{number}" in row

    paper, planned = f"paper_{number}", f"planned_{number}"
    return (
        Column(heading=f"Paper {number}", key=paper, style=BODY_ID, only_if=has_paper),
        Column(heading=f"Planned {number}", key=planned, style=INTEGER, only_if=has_paper),
        _entry(f"Used {number}", f"used_{number}", ENTRY_COUNT, only_if=has_paper),
    )


def _pattern_columns() -> tuple[Column, ...]:
    return (
        Column(heading="Plan", key="revision", style=BODY_ID),
        Column(heading="Pattern", key="pattern_id", style=BODY_ID),
        Column(heading="Stock", key="stock_id", style=BODY_ID),
        Column(heading="Parents planned", key="sheets", style=INTEGER),
        _entry("Status", "progress", ENTRY, width=11.0),
        _entry("Date", "done_on", ENTRY_DATE, width=12.0),
        _entry("Initials", "staff_id", ENTRY_ID, width=10.0),
        _entry("Parents cut", "cut", ENTRY_COUNT),
        _entry("Parents spoiled", "spoiled", ENTRY_COUNT),
        _entry("Minutes", "minutes", ENTRY_COUNT),
        _entry("Note", "note", ENTRY_WRAP, width=24.0),
    )


def _entry(
    heading: str,
    key: str,
    style: Style,
    *,
    width: float = LEAST_WIDTH,
    only_if: Callable[[Row], bool] | None = None,
) -> Column:
    """A column that people fill in."""
    return Column(
        heading=heading, key=key, style=style, value=lambda _: None, least_width=width, only_if=only_if
    )


def _guard_cells(sheet: Sheet, plan: Plan, columns: Sequence[Column], last: int) -> None:
    """Drop-downs and type checks on the cells to fill in, spare rows included."""
    hints = {
        "minutes": ("Minutes as a number, such as 45.", False),
        "other_minutes": ("Minutes as a number, such as 45.", False),
        "measured": (f"The fore edge as measured, in {plan.facts.length_unit}.", False),
        "spoiled": ("Sheets as a whole number.", True),
        "cut": ("Parent sheets as a whole number.", True),
    }
    for place, column in enumerate(columns):
        cells = (1, place, last, place)
        if column.key == "progress":
            sheet.choices(cells, STATUS_WORDS)
        elif column.key in [key for _, key, _ in STEPS_ASKED]:
            sheet.choices(cells, YES_NO, hint="For part done only: is this step done? Blank says nothing.")
        elif column.key == "staff_id":
            sheet.choices(cells, _staff_range(plan), is_strict=False)
        elif column.key == "done_on":
            sheet.dates_only(cells, plan.facts.start_date)
        elif column.key.startswith("used_"):
            sheet.numbers_only(cells, whole=True, least=0, hint="Sheets that lie in it now, a whole number.")
        elif column.key in hints:
            hint, is_whole = hints[column.key]
            sheet.numbers_only(cells, whole=is_whole, least=0, hint=hint)


def _staff_range(plan: Plan) -> str:
    """Where the staff ids stand: in a range, for a list in the cell may not be long."""
    return f"={LISTS}!$A$2:$A${max(2, len(plan.table('staff')) + 1)}"


def write_lists(book: Book, plan: Plan) -> tuple[str, str]:
    """Write the staff ids that the drop-downs offer."""
    staff = [row["staff_id"] for row in plan.table("staff")]
    sheet = book.sheet(LISTS)
    sheet.widths({0: 28})
    sheet.put(0, 0, "Staff ids (for the drop-downs of the sheets that come back)", HEADING)
    sheet.height(0, 30)
    for number, staff_id in enumerate(staff, start=1):
        sheet.put(number, 0, staff_id, BODY_ID)
    sheet.repeat_rows(0, 0)
    sheet.print_area(len(staff), 0)
    sheet.freeze(1)
    sheet.finish()
    return sheet.name, "words that the drop-downs of the returns offer"

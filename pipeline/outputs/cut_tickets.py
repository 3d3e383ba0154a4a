"""Cut tickets: one printed page per pattern, with everything the guillotine operator needs."""

from collections.abc import Mapping
from datetime import date, datetime
from textwrap import fill

from pipeline.outputs.form import Form
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.plan import Plan, Row, rows_by
from pipeline.outputs.sheet import Book, Sheet, Written
from pipeline.outputs.styles import BODY_ID, BODY_LINK, BODY_WRAP, DATE, DECIMAL_1, INTEGER
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.ticket_page import Pictured, ticket_widths, write_ticket
from pipeline.outputs.wording import plural

MOST_VOLUMES_LISTED, LETTERS_A_LINE = 120, 66


def write_tickets(book: Book, plan: Plan, pictured: Mapping[str, Pictured]) -> Written:
    """Write cut list, tickets and cut sizes."""
    tickets = plan.query("cut_tickets")
    index = book.sheet("Cut list", landscape=True)
    sheet = book.sheet("Cut tickets", landscape=True)
    sizes = rows_by(plan.query("ticket_sizes"), "pattern_id")
    form = Form(sheet, ticket_widths(plan.facts.length_unit))
    places: dict[str, tuple[str, str]] = {}
    for ticket in tickets:
        form.new_page()
        places[ticket["pattern_id"]] = (sheet.name, f"A{form.row + 1}")
        write_ticket(
            form,
            pictured[ticket["pattern_id"]],
            sizes[ticket["pattern_id"]],
            lengths=Lengths(plan.facts.length_unit),
            page_size=plan.facts.page_size,
        )
    if not tickets:
        form.line("Nothing is cut in this plan.")
    sheet.print_area(max(form.row - 1, 0), form.last_column)
    sheet.finish()
    _write_index(plan, tickets, places, index)
    sheets = [
        (
            index.name,
            f"{plural(len(tickets), 'pattern')} in the order they are cut, with links to the tickets",
        ),
        (sheet.name, "one printed page per pattern: what to take, gauge settings, pieces, off-cuts"),
        _write_visits(book, plan),
        _write_sizes(book, plan),
    ]
    return Written(sheets, places)


def _write_index(plan: Plan, tickets: list[Row], places: Mapping[str, tuple[str, str]], index: Sheet) -> None:
    lengths = Lengths(plan.facts.length_unit)
    measure = DECIMAL_1.but(number=lengths.number_format)
    columns = (
        Column(heading="Pattern", key="pattern_id", style=BODY_ID),
        Column(heading="Visit", key="visit_no", style=INTEGER),
        Column(heading="Cut from", key="first", style=DATE, value=lambda r: _day(r["first_start_at"])),
        Column(heading="Cut until", key="last", style=DATE, value=lambda r: _day(r["last_finish_at"])),
        Column(heading="Who", key="staff_ids", style=BODY_ID),
        Column(heading="Paper", key="paper_id", style=BODY_ID),
        Column(heading="Description", key="description", style=BODY_WRAP, most_width=30),
        Column(heading="Stock", key="stock_id", style=BODY_ID),
        Column(
            heading=f"Width ({lengths.unit})",
            key="w",
            style=measure,
            value=lambda r: lengths.value(r["sheet_width_mm"]),
        ),
        Column(
            heading=f"Length ({lengths.unit})",
            key="l",
            style=measure,
            value=lambda r: lengths.value(r["sheet_length_mm"]),
        ),
        Column(heading="Parent sheets", key="sheets", style=INTEGER),
        Column(heading="Lifts", key="lifts", style=INTEGER),
        Column(heading="Used (%)", key="used_pct", style=DECIMAL_1),
    )
    write_table(index, columns, tickets)
    for number, ticket in enumerate(tickets, start=1):
        name = ticket["pattern_id"]
        index.link(number, 0, name, places[name], BODY_LINK)
    index.finish()


def _day(moment: datetime | None) -> date | None:
    return None if moment is None else moment.date()


def _write_visits(book: Book, plan: Plan) -> tuple[str, str]:
    """One row per visit to the guillotine: its tickets, and the volumes whose leaves are all cut then."""
    columns = (
        Column(heading="Visit", key="visit_no", style=INTEGER),
        Column(heading="Day", key="day", style=DATE, value=lambda r: _day(r["first_start_at"])),
        Column(heading="Who", key="staff_id", style=BODY_ID),
        Column(heading="Tickets", key="tickets", style=INTEGER),
        Column(heading="Hours", key="hours", style=DECIMAL_1),
        Column(heading="Volumes ready", key="volumes", style=INTEGER),
        Column(
            heading="Whose leaves are all cut then", key="list", style=BODY_WRAP, value=_ready, most_width=70
        ),
    )
    rows = plan.query("cut_visits")
    sheet = book.sheet("Guillotine visits", landscape=True)
    write_table(sheet, columns, rows)
    sheet.finish()
    return (
        sheet.name,
        f"{plural(len(rows), 'visit')} to the guillotine, and the volumes that can be laid in after each",
    )


def _ready(visit: Row) -> str:
    names = str(visit["volume_list"]).split(", ")
    more = f" and {len(names) - MOST_VOLUMES_LISTED} more" if len(names) > MOST_VOLUMES_LISTED else ""
    text = ", ".join(names[:MOST_VOLUMES_LISTED]) + more
    return fill(text, LETTERS_A_LINE, break_on_hyphens=False, break_long_words=False)


def _write_sizes(book: Book, plan: Plan) -> tuple[str, str]:
    """One row per cut size and volume: how the cut piles are dealt out."""
    lengths = Lengths(plan.facts.length_unit)
    measure = DECIMAL_1.but(number=lengths.number_format)
    columns = (
        Column(heading="Cut size", key="cut_size_id", style=BODY_ID),
        Column(heading="Paper", key="paper_id", style=BODY_ID),
        Column(
            heading=f"Width ({lengths.unit})",
            key="w",
            style=measure,
            value=lambda r: lengths.value(r["width_mm"]),
        ),
        Column(
            heading=f"Height ({lengths.unit})",
            key="h",
            style=measure,
            value=lambda r: lengths.value(r["height_mm"]),
        ),
        Column(heading="Volume", key="volume_id", style=BODY_ID),
        Column(heading="Sheets", key="sheets", style=INTEGER),
    )
    rows = sorted(plan.query("bench_papers"), key=lambda row: (row["cut_size_id"], row["volume_id"]))
    sheet = book.sheet("Cut sizes")
    write_table(sheet, columns, rows)
    sheet.finish()
    return sheet.name, "how the cut piles are dealt out: sheets of each cut size for each volume"

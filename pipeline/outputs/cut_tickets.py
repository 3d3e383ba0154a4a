"""Cut tickets: one printed page per pattern, with everything the guillotine operator needs."""

from collections.abc import Mapping
from datetime import date, datetime
from textwrap import fill

from pipeline.outputs.form import Form
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.sheet import Book, Place, Sheet, Written
from pipeline.outputs.styles import BODY_ID, BODY_WRAP, DATE, DECIMAL_1, INTEGER
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.ticket_page import Pictured, ticket_widths, write_ticket
from pipeline.outputs.wording import plural
from pipeline.published_plan import Plan, Row, rows_by

MOST_VOLUMES_LISTED, LETTERS_A_LINE = 120, 66
TICKETS_A_SHEET = 300
"""A ticket may go on over some pages; a sheet holds about a thousand page breaks."""


def write_tickets(book: Book, plan: Plan, pictured: Mapping[str, Pictured]) -> Written:
    """Write cut list, tickets, guillotine visits and cut sizes."""
    tickets = plan.query("cut_tickets")
    index = book.sheet("Cut list", landscape=True)
    pages = write_ticket_pages(book, plan, tickets, pictured=pictured)
    lists = [write_cut_list(index, plan, tickets, pages.places), *pages.sheets, *write_cut_sums(book, plan)]
    return Written(lists, pages.places)


def write_ticket_pages(
    book: Book, plan: Plan, tickets: list[Row], *, pictured: Mapping[str, Pictured]
) -> Written:
    """Write these tickets, a page each, some hundred on a sheet."""
    sizes = rows_by(plan.query("ticket_sizes"), "pattern_id")
    places: dict[str, Place] = {}
    found = []
    for number, start in enumerate(range(0, max(len(tickets), 1), TICKETS_A_SHEET), start=1):
        part = tickets[start : start + TICKETS_A_SHEET]
        name = "Cut tickets" if len(tickets) <= TICKETS_A_SHEET else f"Cut tickets {number}"
        sheet = book.sheet(name, landscape=True)
        form = Form(sheet, ticket_widths(plan.facts.length_unit))
        for ticket in part:
            form.new_page()
            places[ticket["pattern_id"]] = Place(sheet.name, f"A{form.row + 1}")
            write_ticket(
                form,
                pictured[ticket["pattern_id"]],
                sizes[ticket["pattern_id"]],
                lengths=Lengths(plan.facts.length_unit),
                page_size=plan.facts.page_size,
            )
        if not part:
            form.line("Nothing is cut in this plan.")
        sheet.print_area(max(form.row - 1, 0), form.last_column)
        sheet.finish()
        words = "one printed page per pattern: what to take, gauge settings, pieces, off-cuts"
        found.append((sheet.name, words))
    return Written(found, places)


def write_cut_sums(book: Book, plan: Plan) -> list[tuple[str, str]]:
    """Write what lies across tickets: guillotine visits, and how the piles are dealt out."""
    return [_write_visits(book, plan), _write_sizes(book, plan)]


def write_cut_list(
    index: Sheet, plan: Plan, tickets: list[Row], places: Mapping[str, Place]
) -> tuple[str, str]:
    """Write the list of patterns with links to their tickets. Returns name and purpose."""
    write_table(index, _list_columns(Lengths(plan.facts.length_unit), places), tickets)
    index.finish()
    words = f"{plural(len(tickets), 'pattern')} in the order they are cut, with links to the tickets"
    return index.name, words


def _list_columns(lengths: Lengths, places: Mapping[str, Place]) -> tuple[Column, ...]:
    measure = DECIMAL_1.but(number=lengths.number_format)
    return (
        Column(
            heading="Pattern",
            key="pattern_id",
            style=BODY_ID,
            link=lambda row: places.get(row["pattern_id"]),
        ),
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
        Column(heading="Off-cuts of ticket", key="from_offcut_of", style=BODY_ID),
        Column(heading="Lifts", key="lifts", style=INTEGER),
        Column(heading="Used (%)", key="used_pct", style=DECIMAL_1),
    )


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

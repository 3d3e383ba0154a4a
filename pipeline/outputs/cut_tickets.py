"""Cut tickets: one printed page per pattern, with everything the guillotine operator needs."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from pipeline import units
from pipeline.outputs.cut_diagrams import OFFCUT_POINTS, SIZE_POINTS, Drawing, diagram_text, picture_inches
from pipeline.outputs.cut_sequence import STRIP, Cut, strip_words
from pipeline.outputs.form import PAGE_POINTS, Cell, Form
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.plan import Plan, Row, rows_by
from pipeline.outputs.sheet import Book, Sheet, Written
from pipeline.outputs.styles import (
    BODY,
    BODY_ID,
    BODY_LINK,
    BODY_WRAP,
    DATE,
    DECIMAL_1,
    ENTRY,
    INTEGER,
    TITLE,
)
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.wording import DEFER, GRAIN_WORDS, GUILLOTINE, plural

WIDTHS = (6.0, 18.0, 17.0, 12.0, 11.0, 25.0)
MOST_VOLUMES_SHOWN = 14
SINGLE = tuple((number, number) for number in range(len(WIDTHS)))
AFTER_POINTS = 85.0
CENTER = BODY.but(align="center")
HOW = (
    "Each lift in this order. Gauge figure: distance from gauge to blade; what lies in front of the "
    "blade falls. "
    "Where it says so turn the pile half round, its fresh edge to the gauge."
)


@dataclass(frozen=True)
class Pictured:
    """A pattern with its drawing and the picture of it."""

    drawing: Drawing
    png: bytes


def write_tickets(book: Book, plan: Plan, pictured: Mapping[str, Pictured]) -> Written:
    """Write cut list, tickets and cut sizes."""
    tickets = plan.query("cut_tickets")
    index = book.sheet("Cut list", landscape=True)
    sheet = book.sheet("Cut tickets")
    sizes = rows_by(plan.query("ticket_sizes"), "pattern_id")
    form = Form(sheet, WIDTHS)
    places: dict[str, tuple[str, str]] = {}
    for ticket in tickets:
        form.new_page()
        places[ticket["pattern_id"]] = (sheet.name, f"A{form.row + 1}")
        _ticket(
            form, Lengths(plan.facts.length_unit), pictured[ticket["pattern_id"]], sizes[ticket["pattern_id"]]
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
        _write_sizes(book, plan),
    ]
    return Written(sheets, places)


def _ticket(form: Form, lengths: Lengths, pictured: Pictured, sizes: list[Row]) -> None:
    ticket = pictured.drawing.pattern
    form.cells(
        [Cell(0, 3, f"Cut ticket {ticket['pattern_id']}", TITLE), Cell(4, 5, _when(ticket), BODY_WRAP)], 24.0
    )
    form.caution(f"{GUILLOTINE} {DEFER}")
    form.gap()
    for label, text in _facts(ticket, lengths):
        form.pair(label, text, 1)
    form.gap()
    form.picture(pictured.png, diagram_text(pictured.drawing, lengths), picture_inches(pictured.drawing)[1])
    form.line(
        "Letters are cut sizes, circled numbers are cuts, slanted hatching is trim and waste, dots are "
        "off-cuts to keep."
    )
    _cuts(form, pictured.drawing, lengths)
    if form.points + _rest_points(pictured.drawing) > PAGE_POINTS[form.sheet.book.facts.page_size]:
        form.new_page()
        form.cells([Cell(0, 5, f"Cut ticket {ticket['pattern_id']}, continued", TITLE)], 24.0)
    _sizes(form, pictured.drawing, lengths, sizes)
    _offcuts(form, pictured.drawing, lengths)
    _after(form)


def _rest_points(drawing: Drawing) -> float:
    """Room that a ticket takes after its cuts."""
    return AFTER_POINTS + SIZE_POINTS * len(drawing.letters) + OFFCUT_POINTS * len(drawing.offcuts)


def _when(ticket: Row) -> str:
    if ticket["first_start_at"] is None:
        return "no date yet"
    first, last = ticket["first_start_at"].date(), ticket["last_finish_at"].date()
    days = first.isoformat() if first == last else f"{first.isoformat()} to {last.isoformat()}"
    return f"{days}, by {ticket['staff_ids'] or 'nobody yet'}"


def _facts(ticket: Row, lengths: Lengths) -> list[tuple[str, str]]:
    description = f", {ticket['description']}" if ticket["description"] else ""
    size = lengths.pair(ticket["sheet_width_mm"], ticket["sheet_length_mm"])
    if ticket["from_offcut_of"]:
        take = f"{plural(ticket['sheets'], 'off-cut')} of pattern {ticket['from_offcut_of']}, each {size}"
    elif ticket["form"] == "roll":
        length = lengths.text(ticket["sheet_length_mm"])
        take = f"{plural(ticket['sheets'], 'length')} of {length} off roll {ticket['stock_id']}, each {size}"
    else:
        take = f"{plural(ticket['sheets'], 'sheet')} of stock {ticket['stock_id']}, each {size}"
    return [
        ("Paper", f"{ticket['paper_id']}{description}"),
        ("Take", take),
        ("Lifts", _lifts(ticket)),
        (
            "Grain",
            f"{GRAIN_WORDS[ticket['grain']]} of the parent; trim {lengths.text(ticket['trim_mm'])} a side",
        ),
    ]


def _lifts(ticket: Row) -> str:
    each, more, lifts = ticket["sheets_in_a_lift"], ticket["lifts_with_one_more"], ticket["lifts"]
    if lifts <= 1:
        return f"1 lift of {plural(ticket['sheets'], 'sheet')}"
    words = f"{lifts - more} of {plural(each, 'sheet')}"
    if more:
        words = f"{more} of {plural(each + 1, 'sheet')}, {words}"
    runs = f", in {ticket['runs']} runs" if ticket["runs"] > 1 else ""
    return f"{lifts} lifts: {words}{runs}"


def _cuts(form: Form, drawing: Drawing, lengths: Lengths) -> None:
    form.heading("Cuts")
    form.line(HOW)
    words = ("Cut", "Pile", "Knife runs", f"Back gauge ({lengths.unit})", "Falls", "Stays at the gauge")
    form.heads(SINGLE, words)
    for cut in drawing.plan.cuts:
        gauge = lengths.bare(units.um_to_mm(cut.gauge_um))
        values = (cut.number, _piles(cut), cut.knife, gauge, cut.falls, _stays(cut))
        bold = CENTER.but(bold=True, size=11)
        form.body(SINGLE, values, (bold, BODY_WRAP, BODY_WRAP, bold, BODY_WRAP, BODY_WRAP))
    if not drawing.plan.has_whole_offcuts:
        form.line(
            "Some off-cut lies across strips: the cuts above go through it, so keep its parts where they "
            "are of use."
        )


def _piles(cut: Cut) -> str:
    if len(cut.piles) == 1:
        return cut.piles[0]
    ends = [pile.partition(",")[2].strip() for pile in cut.piles]
    if len(set(ends)) == 1:
        numbers = [int(pile.partition(",")[0].removeprefix(STRIP)) for pile in cut.piles]
        return f"{ends[0]} of {strip_words(numbers)}" if ends[0] else f"{strip_words(numbers)} each"
    return "each of " + "; ".join(cut.piles)


def _stays(cut: Cut) -> str:
    return f"{cut.stays}; turn half round" if cut.turn_after else cut.stays


def _sizes(form: Form, drawing: Drawing, lengths: Lengths, sizes: list[Row]) -> None:
    form.heading("Pieces: one pile for each letter")
    spans = ((0, 0), (1, 1), (2, 2), (3, 3), (4, 4), (5, 5))
    unit = lengths.unit
    form.heads(
        spans,
        (
            "Letter",
            "Cut size",
            f"Width × height ({unit})",
            "Each sheet",
            "All sheets",
            "Wanted in all",
        ),
    )
    for size in sizes:
        mark = drawing.letters[size["cut_size_id"]]
        shown = f"{lengths.bare(size['width_mm'])} × {lengths.bare(size['height_mm'])}"
        need = f"{size['sheets']:,} + {plural(size['spares'], 'spare')}"
        values = (mark, size["cut_size_id"], shown, size["per_sheet"], size["pieces"], need)
        bold = CENTER.but(bold=True, size=11)
        form.body(spans, values, (bold, BODY_ID, BODY_WRAP, INTEGER, INTEGER, BODY_WRAP))
        form.cells([Cell(0, 0, "for", CENTER), Cell(1, form.last_column, _volumes(size), BODY_WRAP)])


def _volumes(size: Row) -> str:
    """The volumes a size serves, each with its sheets; a number where they are many."""
    if not size["volumes"]:
        return "spares only"
    if size["volumes"] > MOST_VOLUMES_SHOWN:
        return f"{size['volumes']} volumes, listed in sheet Cut sizes"
    return str(size["volume_list"])


def _offcuts(form: Form, drawing: Drawing, lengths: Lengths) -> None:
    if not drawing.offcuts:
        return
    form.heading("Off-cuts to keep, from each parent")
    for box in drawing.offcuts:
        width, length = units.um_to_mm(box.right_um - box.x_um), units.um_to_mm(box.top_um - box.y_um)
        form.pair(
            "off-cut", f"{lengths.pair(width, length)} (stock's width × length); mark the grain on it", 1
        )


def _after(form: Form) -> None:
    form.gap()
    label = BODY_WRAP.but(bold=True)
    form.cells(
        [
            Cell(0, 1, "Date and initials", label),
            Cell(2, 2, "", ENTRY),
            Cell(3, 3, "Minutes", label),
            Cell(4, 4, "", ENTRY),
            Cell(5, 5, "Spoiled sheets:", ENTRY),
        ],
        24.0,
    )


def _write_index(plan: Plan, tickets: list[Row], places: Mapping[str, tuple[str, str]], index: Sheet) -> None:
    lengths = Lengths(plan.facts.length_unit)
    measure = DECIMAL_1.but(number=lengths.number_format)
    columns = (
        Column(heading="Pattern", key="pattern_id", style=BODY_ID),
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

"""One cut ticket on one landscape page: at the left what to take, the picture and the pieces; at the right the cuts."""

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline import units
from pipeline.outputs.cut_diagrams import Drawing, diagram_text, picture_inches
from pipeline.outputs.cut_sequence import STRIP, Cut, strip_words
from pipeline.outputs.form import Cell, Form, Line
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.pictures import POINTS_PER_INCH
from pipeline.outputs.plan import Row
from pipeline.outputs.sheet import Value
from pipeline.outputs.styles import (
    BODY,
    BODY_ID,
    BODY_WRAP,
    BOLD,
    ENTRY,
    HEADING,
    INTEGER,
    NOTE,
    SUBTITLE,
    TITLE,
    Style,
)
from pipeline.outputs.wording import DEFER, GRAIN_WORDS, GUILLOTINE, plural

LEFT_WIDTHS = (8.0, 14.0, 14.0, 8.0, 8.0, 13.0)
GAP_WIDTH = 2.0
RIGHT_WIDTHS = (5.0, 18.0, 16.0, 8.0, 9.0, 23.0)
RIGHT_WIDTHS_INCHES = (5.0, 15.0, 16.0, 16.0, 9.0, 18.0)
"""Where the lab works in inches a gauge stands in mm too: some back gauges know nothing else."""
LEFT_LAST, RIGHT_FIRST, RIGHT_LAST = 5, 7, 12
ROW_POINTS = 16.0
PICTURE_EDGE_POINTS = 4.0
"""The picture is laid a little below the top of its first row."""
PAGE_POINTS = {"A4": 540.0, "letter": 595.0}
"""Room for rows on a landscape page, at the scale at which the columns fit it."""
AFTER_POINTS = 26.0
PICTURE_SLACK_POINTS, LEAST_PICTURE_POINTS = 45.0, 130.0
"""Room for the picture's key and last row, and for rows as high as the other side's; what is still legible."""
MOST_VOLUMES_SHOWN = 12
CENTER = BODY.but(align="center")
BOLD_CENTER = CENTER.but(bold=True, size=11)
BOLD_WRAP = BODY_WRAP.but(bold=True)
HOW = (
    "Cuts: each lift in this order. Gauge: distance from gauge to blade; what lies before the blade falls. "
    "Turn half round: fresh edge to the gauge."
)
KEY = "Letters: cut sizes; circles: cuts; slanted: trim, waste; dotted: off-cuts."


@dataclass(frozen=True)
class Pictured:
    """A pattern with its drawing and the picture of it."""

    drawing: Drawing
    png: bytes


def ticket_widths(length_unit: str) -> tuple[float, ...]:
    """Widths of a ticket's columns."""
    right = RIGHT_WIDTHS_INCHES if length_unit == "in" else RIGHT_WIDTHS
    return (*LEFT_WIDTHS, GAP_WIDTH, *right)


def write_ticket(
    form: Form, pictured: Pictured, sizes: list[Row], *, lengths: Lengths, page_size: str
) -> None:
    """Write the ticket of one pattern. `sizes`: its rows of ticket_sizes.sql.

    It takes one page; where the cuts or sizes are too many, the next page carries the ticket's name.
    """
    ticket = pictured.drawing.pattern
    title = f"Cut ticket {ticket['pattern_id']}"
    form.cells([Cell(0, LEFT_LAST, title, TITLE), Cell(RIGHT_FIRST, RIGHT_LAST, _when(ticket), BOLD)], 24.0)
    form.caution(f"{GUILLOTINE} {DEFER}")
    form.line(HOW)
    form.gap(4.0)
    room = PAGE_POINTS[page_size] - AFTER_POINTS
    facts, drawing = _facts(ticket, lengths), pictured.drawing
    below = [*_sizes(drawing, lengths, sizes), *_offcuts(drawing, lengths)]
    left_over = room - form.points - form.points_of([*facts, *below]) - PICTURE_SLACK_POINTS
    left = [*facts, *_picture(pictured, lengths, left_over), *below]
    form.side_by_side(left, _cuts(pictured.drawing, lengths), room=room, heading=f"{title}, continued")
    _after(form)


def _when(ticket: Row) -> str:
    if ticket["first_start_at"] is None:
        return "no date yet"
    first, last = ticket["first_start_at"].date(), ticket["last_finish_at"].date()
    days = first.isoformat() if first == last else f"{first.isoformat()} to {last.isoformat()}"
    visit = f"visit {ticket['visit_no']}, ticket {ticket['ticket_no']} of {ticket['tickets']}"
    return f"{days}, by {ticket['staff_ids'] or 'nobody yet'}: {visit}"


def _facts(ticket: Row, lengths: Lengths) -> list[Line]:
    description = f", {ticket['description']}" if ticket["description"] else ""
    grain = f"{GRAIN_WORDS[ticket['grain']]} of the parent; trim {lengths.text(ticket['trim_mm'])} a side"
    pairs = (
        ("Paper", f"{ticket['paper_id']}{description}"),
        ("Take", _take(ticket, lengths)),
        ("Lifts", _lifts(ticket)),
        ("Grain", grain),
    )
    return [
        Line((Cell(0, 0, label, BOLD_WRAP), Cell(1, LEFT_LAST, text, BODY_WRAP)), ROW_POINTS)
        for label, text in pairs
    ]


def _take(ticket: Row, lengths: Lengths) -> str:
    size = lengths.pair(ticket["sheet_width_mm"], ticket["sheet_length_mm"])
    if ticket["from_offcut_of"]:
        return f"{plural(ticket['sheets'], 'off-cut')} of pattern {ticket['from_offcut_of']}, each {size}"
    if ticket["form"] == "roll":
        length = lengths.text(ticket["sheet_length_mm"])
        return f"{plural(ticket['sheets'], 'length')} of {length} off roll {ticket['stock_id']}, each {size}"
    return f"{plural(ticket['sheets'], 'sheet')} of stock {ticket['stock_id']}, each {size}"


def _lifts(ticket: Row) -> str:
    each, more, lifts = ticket["sheets_in_a_lift"], ticket["lifts_with_one_more"], ticket["lifts"]
    if lifts <= 1:
        return f"1 lift of {plural(ticket['sheets'], 'sheet')}"
    words = f"{lifts - more} of {plural(each, 'sheet')}"
    if more:
        words = f"{more} of {plural(each + 1, 'sheet')}, {words}"
    runs = f", in {ticket['runs']} runs" if ticket["runs"] > 1 else ""
    return f"{lifts} lifts: {words}{runs}"


def _picture(pictured: Pictured, lengths: Lengths, room_points: float) -> list[Line]:
    """The rows that the picture covers, the first of them with the picture, and its key.

    The picture shrinks to the room, down to what is still legible.
    """
    high = picture_inches(pictured.drawing)[1] * POINTS_PER_INCH
    scale = min(1.0, max(LEAST_PICTURE_POINTS, room_points) / high)
    rows = int((scale * high + PICTURE_EDGE_POINTS) / ROW_POINTS) + 1
    words = diagram_text(pictured.drawing, lengths)
    first = Line(points=ROW_POINTS, picture=(pictured.png, words), scale=scale)
    key = Line((Cell(0, LEFT_LAST, KEY, NOTE),), ROW_POINTS)
    return [first, *(Line(points=ROW_POINTS) for _ in range(rows - 1)), key]


def _cuts(drawing: Drawing, lengths: Lengths) -> list[Line]:
    units_ = "in; mm" if lengths.unit == "in" else lengths.unit
    words = ("Cut", "Pile", "Knife runs", f"Gauge ({units_})", "Falls", "Stays at the gauge")
    lines = [
        _cells(RIGHT_FIRST, [(word, HEADING) for word in words]),
    ]
    for cut in drawing.plan.cuts:
        texts = ((_piles(cut), BODY_WRAP), (cut.knife, BODY_WRAP), (gauge_text(cut, lengths), BOLD_CENTER))
        ends = ((cut.falls, BODY_WRAP), (_stays(cut), BODY_WRAP))
        lines.append(_cells(RIGHT_FIRST, [(cut.number, BOLD_CENTER), *texts, *ends]))
    if not drawing.plan.has_whole_offcuts:
        words_ = (
            "Some off-cut lies across strips: the cuts go through it; keep its parts where they are of use."
        )
        lines.append(Line((Cell(RIGHT_FIRST, RIGHT_LAST, words_, NOTE),)))
    return lines


def gauge_text(cut: Cut, lengths: Lengths) -> str:
    """The setting of the back gauge: `287.5`; where the lab works in inches, in 1/32 and in mm: `11 5/16; 287.3`."""
    gauge_mm = units.um_to_mm(cut.gauge_um)
    shown = lengths.bare(gauge_mm)
    return f"{shown}; {Lengths('mm').bare(gauge_mm)}" if lengths.unit == "in" else shown


def _cells(first: int, values: Sequence[tuple[Value, Style]]) -> Line:
    """A row of single cells from a column on."""
    cells = tuple(Cell(first + place, first + place, *value) for place, value in enumerate(values))
    return Line(cells, ROW_POINTS)


def _piles(cut: Cut) -> str:
    if len(cut.piles) == 1:
        return cut.piles[0]
    ends = [pile.partition(",")[2].strip() for pile in cut.piles]
    if len(set(ends)) == 1:
        numbers = [int(pile.partition(",")[0].removeprefix(STRIP)) for pile in cut.piles]
        strips = strip_words(sorted(set(numbers)))
        more = f"{len(numbers)} × " if len(set(numbers)) < len(numbers) else ""
        return f"{more}{ends[0]} of {strips}" if ends[0] else f"{strips} each"
    return "each of " + "; ".join(cut.piles)


def _stays(cut: Cut) -> str:
    return f"{cut.stays}; turn half round" if cut.turn_after else cut.stays


def _sizes(drawing: Drawing, lengths: Lengths, sizes: list[Row]) -> list[Line]:
    heads = ("Pile", "Cut size", f"W × H ({lengths.unit})", "Each sheet", "All sheets", "Wanted + spares")
    lines = [
        Line((Cell(0, LEFT_LAST, "Pieces: one pile for each letter, width × height of the leaf", SUBTITLE),)),
        _cells(0, [(head, HEADING) for head in heads]),
    ]
    for size in sizes:
        mark = drawing.letters[size["cut_size_id"]]
        shown = f"{lengths.bare(size['width_mm'])} × {lengths.bare(size['height_mm'])}"
        need = f"{size['sheets']:,} + {size['spares']:,}"
        figures = ((size["per_sheet"], INTEGER), (size["pieces"], INTEGER), (need, BODY_WRAP))
        lines.append(
            _cells(0, [(mark, BOLD_CENTER), (size["cut_size_id"], BODY_ID), (shown, BODY_WRAP), *figures])
        )
        lines.append(
            Line((Cell(0, 0, "for", CENTER), Cell(1, LEFT_LAST, _volumes(size), BODY_WRAP)), ROW_POINTS)
        )
    return lines


def _volumes(size: Row) -> str:
    """The volumes a size serves, each with its sheets; a number where they are many."""
    if not size["volumes"]:
        return "spares only"
    if size["volumes"] > MOST_VOLUMES_SHOWN:
        return f"{size['volumes']} volumes, listed in sheet Cut sizes"
    return str(size["volume_list"])


def _offcuts(drawing: Drawing, lengths: Lengths) -> list[Line]:
    """Off-cuts to keep, from each parent, as width × length on the stock."""
    lines = []
    for box in drawing.offcuts:
        width, length = units.um_to_mm(box.right_um - box.x_um), units.um_to_mm(box.top_um - box.y_um)
        text = f"keep {lengths.pair(width, length)} (stock's width × length), mark the grain on it"
        lines.append(Line((Cell(0, 0, "off", CENTER), Cell(1, LEFT_LAST, text, BODY_WRAP)), ROW_POINTS))
    return lines


def _after(form: Form) -> None:
    form.gap(4.0)
    form.cells(
        [
            Cell(0, 1, "Date and initials", BOLD_WRAP),
            Cell(2, 3, "", ENTRY),
            Cell(4, 5, "Minutes taken", BOLD_WRAP),
            Cell(7, 8, "", ENTRY),
            Cell(9, 9, "Sheets spoiled", BOLD_WRAP),
            Cell(10, 10, "", ENTRY),
            Cell(11, 12, "Note:", ENTRY),
        ],
        22.0,
    )

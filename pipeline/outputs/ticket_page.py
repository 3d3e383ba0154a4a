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
WIDTHS = (*LEFT_WIDTHS, GAP_WIDTH, *RIGHT_WIDTHS)
LEFT_LAST, RIGHT_FIRST, RIGHT_LAST = 5, 7, 12
ROW_POINTS = 16.0
MOST_VOLUMES_SHOWN = 12
CENTER = BODY.but(align="center")
BOLD_CENTER = CENTER.but(bold=True, size=11)
BOLD_WRAP = BODY_WRAP.but(bold=True)
HOW = (
    "Each lift in this order. Gauge figure: distance from gauge to blade; what lies in front of the blade falls. "
    "Where it says so turn the pile half round, its fresh edge to the gauge."
)
KEY = "Letters: cut sizes; circles: cuts; slanted: trim, waste; dotted: off-cuts."


@dataclass(frozen=True)
class Pictured:
    """A pattern with its drawing and the picture of it."""

    drawing: Drawing
    png: bytes


def write_ticket(form: Form, lengths: Lengths, pictured: Pictured, sizes: list[Row]) -> None:
    """Write the ticket of one pattern. `sizes`: its rows of ticket_sizes.sql."""
    ticket = pictured.drawing.pattern
    title = f"Cut ticket {ticket['pattern_id']}"
    form.cells([Cell(0, LEFT_LAST, title, TITLE), Cell(RIGHT_FIRST, RIGHT_LAST, _when(ticket), BOLD)], 24.0)
    form.caution(f"{GUILLOTINE} {DEFER}")
    form.gap(4.0)
    left = [*_facts(ticket, lengths), *_picture(pictured, lengths), *_sizes(pictured.drawing, lengths, sizes)]
    left += _offcuts(pictured.drawing, lengths)
    form.side_by_side(left, _cuts(pictured.drawing, lengths))
    _after(form)


def _when(ticket: Row) -> str:
    if ticket["first_start_at"] is None:
        return "no date yet"
    first, last = ticket["first_start_at"].date(), ticket["last_finish_at"].date()
    days = first.isoformat() if first == last else f"{first.isoformat()} to {last.isoformat()}"
    return f"{days}, by {ticket['staff_ids'] or 'nobody yet'}"


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


def _picture(pictured: Pictured, lengths: Lengths) -> list[Line]:
    """The rows that the picture covers, the first of them with the picture, and its key."""
    rows = int(picture_inches(pictured.drawing)[1] * POINTS_PER_INCH / ROW_POINTS) + 1
    first = Line(points=ROW_POINTS, picture=(pictured.png, diagram_text(pictured.drawing, lengths)))
    key = Line((Cell(0, LEFT_LAST, KEY, NOTE),), ROW_POINTS)
    return [first, *(Line(points=ROW_POINTS) for _ in range(rows - 1)), key]


def _cuts(drawing: Drawing, lengths: Lengths) -> list[Line]:
    words = ("Cut", "Pile", "Knife runs", f"Gauge ({lengths.unit})", "Falls", "Stays at the gauge")
    lines = [
        Line((Cell(RIGHT_FIRST, RIGHT_LAST, "Cuts", SUBTITLE),), ROW_POINTS),
        Line((Cell(RIGHT_FIRST, RIGHT_LAST, HOW, NOTE),)),
        _cells(RIGHT_FIRST, [(word, HEADING) for word in words]),
    ]
    for cut in drawing.plan.cuts:
        gauge = lengths.bare(units.um_to_mm(cut.gauge_um))
        texts = ((_piles(cut), BODY_WRAP), (cut.knife, BODY_WRAP), (gauge, BOLD_CENTER))
        ends = ((cut.falls, BODY_WRAP), (_stays(cut), BODY_WRAP))
        lines.append(_cells(RIGHT_FIRST, [(cut.number, BOLD_CENTER), *texts, *ends]))
    if not drawing.plan.has_whole_offcuts:
        words_ = (
            "Some off-cut lies across strips: the cuts go through it; keep its parts where they are of use."
        )
        lines.append(Line((Cell(RIGHT_FIRST, RIGHT_LAST, words_, NOTE),)))
    return lines


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
        return f"{ends[0]} of {strip_words(numbers)}" if ends[0] else f"{strip_words(numbers)} each"
    return "each of " + "; ".join(cut.piles)


def _stays(cut: Cut) -> str:
    return f"{cut.stays}; turn half round" if cut.turn_after else cut.stays


def _sizes(drawing: Drawing, lengths: Lengths, sizes: list[Row]) -> list[Line]:
    heads = ("Pile", "Cut size", f"W × H ({lengths.unit})", "Each sheet", "All sheets", "Wanted in all")
    lines = [
        Line((Cell(0, LEFT_LAST, "Pieces: one pile for each letter, width × height of the leaf", SUBTITLE),)),
        _cells(0, [(head, HEADING) for head in heads]),
    ]
    for size in sizes:
        mark = drawing.letters[size["cut_size_id"]]
        shown = f"{lengths.bare(size['width_mm'])} × {lengths.bare(size['height_mm'])}"
        need = f"{size['sheets']:,} + {plural(size['spares'], 'spare')}"
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

"""work_orders.xlsx: what the people at the bench work from, and send back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from pipeline.outputs.bench_sheets import write_bench_sheets, write_index
from pipeline.outputs.changes import write_changes
from pipeline.outputs.cut_tickets import write_cut_list, write_cut_sums, write_tickets
from pipeline.outputs.finish import write_chances
from pipeline.outputs.front import Front, write_front
from pipeline.outputs.frontier import write_frontier
from pipeline.outputs.lists import write_boxes, write_not_planned
from pipeline.outputs.load_picture import write_load
from pipeline.outputs.parts import Part
from pipeline.outputs.returns import write_cutting_returns, write_lists, write_returns
from pipeline.outputs.sheet import Book, Place, Value, Written
from pipeline.outputs.staff_lists import fill_staff_list, open_staff_lists
from pipeline.outputs.ticket_page import Pictured
from pipeline.outputs.weekly import Places, fill_week, open_weeks, write_hours
from pipeline.outputs.wording import GENERAL_CAUTIONS
from pipeline.published_plan import Plan

TITLE = "Work orders"
PURPOSE = (
    "What to cut, which leaf goes where, who does what on which day. Each sheet prints one page wide; "
    "cut tickets and bench sheets print one page for each pattern and volume."
)
HOW_TO = (
    "Print This week, its cut tickets (links in Cut list) and its bench sheets (links in Bench list).",
    "Cut first: each ticket gives the gauge settings in order. Put the leaves on one pile for each letter.",
    "Deal the piles out by sheet Cut sizes and lay each volume's leaves beside it with its bench sheet.",
    "Lay the sheets in, in page order, tick each opening, close the volume and measure its fore edge.",
    "If the fore edge is over its limit, stop: take out the last sheets laid in and tell the lab lead.",
    "Type days, minutes, sheets and fore edges into Returns (guillotine: Cutting returns); send the workbook back.",
)


@dataclass(frozen=True)
class Elsewhere:
    """Forms of a large plan that stand in workbooks of their own: the files, places of volumes and of patterns."""

    files: Sequence[Part] = ()
    volumes: dict[str, Place] = field(default_factory=dict)
    patterns: dict[str, Place] = field(default_factory=dict)


def write_work_orders(path: Path, plan: Plan, pictured: Mapping[str, Pictured], elsewhere: Elsewhere) -> None:
    """Write the workbook with the forms that do not stand elsewhere. Raises OutputError or FileProblemError."""
    volumes = elsewhere.volumes
    with Book(path, plan.facts, TITLE, is_long=bool(elsewhere.files)) as book:
        first = book.sheet("Start here")
        weeks = open_weeks(book, plan)
        people = open_staff_lists(book, plan)
        tickets = _tickets(book, plan, pictured, elsewhere.patterns)
        bench = _bench(book, plan, volumes)
        places = Places(bench.places, tickets.places)
        sheets = [
            *(fill_week(week, places) for week in weeks),
            *(fill_staff_list(person, places) for person in people),
            *tickets.sheets,
            *bench.sheets,
            write_boxes(book, plan),
            write_not_planned(book, plan),
            write_hours(book, plan),
            write_load(book, plan),
            write_chances(book, plan),
            *write_changes(book, plan),
            write_frontier(book, plan),
            write_returns(book, plan, _returned_here(plan, volumes)),
            write_cutting_returns(book, plan),
            write_lists(book, plan),
        ]
        workbooks = [(part.file_name, part.words) for part in elsewhere.files]
        front = Front(TITLE, PURPOSE, _facts(plan), HOW_TO, GENERAL_CAUTIONS, sheets, workbooks)
        write_front(first, front, plan.facts, cleaned=book.cleaned)


def _tickets(
    book: Book, plan: Plan, pictured: Mapping[str, Pictured], elsewhere: dict[str, Place]
) -> Written:
    """Cut list and tickets; of tickets that stand in other workbooks the list alone."""
    if not elsewhere:
        return write_tickets(book, plan, pictured)
    index = book.sheet("Cut list", landscape=True)
    lists = [write_cut_list(index, plan, plan.query("cut_tickets"), elsewhere), *write_cut_sums(book, plan)]
    return Written(lists, elsewhere)


def _bench(book: Book, plan: Plan, elsewhere: dict[str, Place]) -> Written:
    """Bench list and bench sheets; of bench sheets that stand in other workbooks the list alone."""
    if not elsewhere:
        return write_bench_sheets(book, plan)
    index = book.sheet("Bench list", landscape=True)
    return Written([write_index(index, plan, plan.query("bench_volumes"), elsewhere)], elsewhere)


def _returned_here(plan: Plan, elsewhere: dict[str, Place]) -> list[str]:
    """Volumes with work whose returns stand in no other workbook."""
    return [name for name in plan.frame("return_lines")["volume_id"] if name not in elsewhere]


def _facts(plan: Plan) -> list[tuple[str, Value]]:
    totals = plan.totals()
    words = (
        ("volumes", "Volumes in the inventory"),
        ("sheets", "Sheets to lay in"),
        ("spares", "Spare sheets cut beyond those"),
        ("patterns", "Cutting patterns"),
        ("enclosures", "New enclosures"),
        ("labour_hours", "Hours of work"),
    )
    facts: list[tuple[str, Value]] = [
        (label, f"{totals[measure]['value']:,.0f}") for measure, label in words if measure in totals
    ]
    facts.append(("Campaign", f"{plan.facts.start_date.isoformat()} to {plan.facts.end_date.isoformat()}"))
    if "finish_date" in totals:
        facts.append(("Work ends", totals["finish_date"]["text"] or "not all of it has a date"))
    return facts

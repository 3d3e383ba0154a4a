"""Work orders of a large plan: forms in workbooks of their own beside work_orders.xlsx, which leads to them.

A workbook of bench sheets holds the volumes of a fortnight, their forms and their `Returns`; a workbook of cut tickets
holds a share of the patterns. Each is written to disk row by row and let go: memory does not grow with the plan.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path

from pipeline.outputs.bench_sheets import write_index, write_pages
from pipeline.outputs.cut_tickets import write_cut_list, write_ticket_pages
from pipeline.outputs.front import FIRST_SHEET, Front, write_front
from pipeline.outputs.plan import Plan, Row
from pipeline.outputs.returns import write_lists, write_returns
from pipeline.outputs.sheet import Book, Place, Sheet, Written
from pipeline.outputs.ticket_page import Pictured
from pipeline.outputs.wording import GENERAL_CAUTIONS, plural
from pipeline.units import DAYS_PER_WEEK

MAIN_FILE = "work_orders.xlsx"
BENCH_HOW = (
    "Print the bench sheets of the day (links in Bench list) and work through them in page order.",
    "Type days, minutes, sheets and fore edges into Returns and send this workbook back.",
)
CUT_HOW = ("Print the tickets of the day (links in Cut list); each gives the gauge settings in order.",)


@dataclass(frozen=True)
class Part:
    """A share of the forms: the file they go to, what it holds in words, their rows."""

    file_name: str
    words: str
    rows: Sequence[Row]


def bench_parts(plan: Plan) -> list[Part]:
    """Volumes by the fortnight they are begun in, no more to a workbook than the policy says; none for a small plan."""
    volumes = plan.query("bench_volumes")
    if len(volumes) <= plan.facts.most_volumes:
        return []
    first = _monday(plan.facts.start_date)
    return [
        part
        for start, rows in groupby(volumes, lambda row: _fortnight(row["first_day"], first))
        for part in _shares(start, list(rows), plan.facts.most_volumes)
    ]


def ticket_parts(plan: Plan) -> list[Part]:
    """Patterns in the order they are cut, no more to a workbook than the policy says; none for a small plan."""
    tickets, most = plan.query("cut_tickets"), plan.facts.most_volumes
    if len(tickets) <= most:
        return []
    return [
        Part(f"work_orders_cutting_{number}.xlsx", f"cut tickets of {plural(len(rows), 'pattern')}", rows)
        for number, rows in enumerate(_chunks(tickets, most), start=1)
    ]


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _fortnight(day: date | None, first: date) -> date | None:
    """The Monday on which a day's fortnight begins, counted from the campaign's first week."""
    length = 2 * DAYS_PER_WEEK
    return None if day is None else first + timedelta(days=(day - first).days // length * length)


def _shares(start: date | None, rows: list[Row], most: int) -> Iterator[Part]:
    when = "no_date" if start is None else start.isoformat()
    words = "without a date yet" if start is None else f"begun in the fortnight from {when}"
    chunks = list(_chunks(rows, most))
    for number, chunk in enumerate(chunks, start=1):
        ending = f"_{number}" if len(chunks) > 1 else ""
        count = plural(len(chunk), "volume")
        yield Part(f"work_orders_{when}{ending}.xlsx", f"bench sheets and returns of {count} {words}", chunk)


def _chunks(rows: Sequence[Row], most: int) -> Iterator[Sequence[Row]]:
    for start in range(0, len(rows), most):
        yield rows[start : start + most]


def write_bench_parts(folder: Path, plan: Plan, parts: Sequence[Part]) -> dict[str, Place]:
    """Write each part's workbook. Returns the place of each volume's bench sheet, its workbook included."""
    places: dict[str, Place] = {}
    for part in parts:
        rows = list(part.rows)
        with Book(folder / part.file_name, plan.facts, "Work orders", is_long=True) as book:
            first = book.sheet(FIRST_SHEET)
            index = book.sheet("Bench list", landscape=True)
            pages = write_pages(book, plan, rows)
            sheets = [write_index(index, plan, rows, pages.places), *pages.sheets]
            sheets += [write_returns(book, plan, [row["volume_id"] for row in rows]), write_lists(book, plan)]
            _front(book, first, part, how=BENCH_HOW, sheets=sheets)
        places |= _elsewhere(pages, part)
    return places


def write_ticket_parts(
    folder: Path, plan: Plan, parts: Sequence[Part], *, pictured: Mapping[str, Pictured]
) -> dict[str, Place]:
    """Write each part's workbook of cut tickets. Returns the place of each pattern's ticket."""
    places: dict[str, Place] = {}
    for part in parts:
        rows = list(part.rows)
        with Book(folder / part.file_name, plan.facts, "Work orders", is_long=True) as book:
            first = book.sheet(FIRST_SHEET)
            index = book.sheet("Cut list", landscape=True)
            pages = write_ticket_pages(book, plan, rows, pictured=pictured)
            sheets = [write_cut_list(index, plan, rows, pages.places), *pages.sheets]
            _front(book, first, part, how=CUT_HOW, sheets=sheets)
        places |= _elsewhere(pages, part)
    return places


def _front(
    book: Book, first: Sheet, part: Part, *, how: Sequence[str], sheets: list[tuple[str, str]]
) -> None:
    purpose = f"A part of the work orders: {part.words}. Weeks, people and lists stand in {MAIN_FILE}."
    workbooks = [(MAIN_FILE, "the front of all work orders")]
    front = Front("Work orders", purpose, [], how, GENERAL_CAUTIONS, sheets, workbooks)
    write_front(first, front, book.facts, cleaned=book.cleaned)


def _elsewhere(pages: Written, part: Part) -> dict[str, Place]:
    return {name: place._replace(workbook=part.file_name) for name, place in pages.places.items()}

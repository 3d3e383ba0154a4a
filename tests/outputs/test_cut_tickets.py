"""Cut tickets: one page each or a named next page, gauges in the lab's unit, batched by visit to the guillotine."""

from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from pipeline.outputs.cut_diagrams import cut_diagram, make_drawing
from pipeline.outputs.form import Form
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.plan import Plan
from pipeline.outputs.sheet import Book
from pipeline.outputs.ticket_page import Pictured, gauge_text, ticket_widths, write_ticket
from pipeline.store import Store
from tests.outputs.fake_plan import fake_frames
from tests.sql import small_plan


@pytest.fixture
def plan() -> Plan:
    store = Store(None)
    for name, frame in fake_frames().items():
        store.write(name, frame)
    return Plan(store)


def strips_of(count: int) -> list[dict[str, Any]]:
    """Pieces one beside the other, each in a strip of its own that is a little lower than the one before."""
    pieces, y_mm = [], 0.0
    for number in range(count):
        high = 40.0 - number / 2
        pieces.append(
            {
                "cut_size_id": f"S{number:02d}",
                "x_mm": 0.0,
                "y_mm": y_mm,
                "along_width_mm": 300.0,
                "along_length_mm": high,
            }
        )
        y_mm += high
    return pieces


def sizes_of(pieces: list[dict[str, Any]], volumes: str) -> list[dict[str, Any]]:
    return [
        {
            "cut_size_id": piece["cut_size_id"],
            "width_mm": piece["along_width_mm"],
            "height_mm": piece["along_length_mm"],
            "per_sheet": 1,
            "pieces": 4,
            "sheets": 3,
            "spares": 1,
            "volumes": 2,
            "volume_list": volumes,
        }
        for piece in pieces
    ]


def written(plan: Plan, path: Path, *, strips: int) -> openpyxl.worksheet.worksheet.Worksheet:
    """A ticket of so many strips, written and read again."""
    ticket = plan.query("cut_tickets")[0] | {
        "sheet_width_mm": 640.0,
        "sheet_length_mm": 900.0,
        "first_cut": "across_width",
    }
    pieces = strips_of(strips)
    drawing, lengths = make_drawing(ticket, pieces, []), Lengths("mm")
    with Book(path, plan.facts, "Tickets") as book:
        sheet = book.sheet("Tickets", landscape=True)
        form = Form(sheet, ticket_widths("mm"))
        sizes = sizes_of(pieces, "CC-001 (2), CC-002 (1)")
        pictured = Pictured(drawing, cut_diagram(drawing, lengths))
        write_ticket(form, pictured, sizes, lengths=lengths, page_size="A4")
        sheet.finish()
    return openpyxl.load_workbook(path)["Tickets"]


def test_a_usual_ticket_takes_one_page(plan: Plan, tmp_path: Path) -> None:
    assert len(written(plan, tmp_path / "few.xlsx", strips=3).row_breaks.brk) == 0


def test_a_ticket_that_does_not_fit_goes_on_under_its_name(plan: Plan, tmp_path: Path) -> None:
    sheet = written(plan, tmp_path / "many.xlsx", strips=20)
    breaks = [one.id for one in sheet.row_breaks.brk]
    assert breaks
    for row in breaks:
        assert str(sheet.cell(row + 1, 1).value).endswith(", continued")
    ends = [0, *breaks, sheet.max_row]
    for first, last in pairwise(ends):
        assert sum(sheet.row_dimensions[row].height or 15.0 for row in range(first + 1, last + 1)) <= 545.5


def test_gauges_in_inches_stand_in_mm_too(plan: Plan) -> None:
    """11 5/16 in is 287.3375 mm."""
    drawing = make_drawing(
        plan.query("cut_tickets")[0]
        | {
            "sheet_width_mm": 293.3375,
            "sheet_length_mm": 300.0,
            "first_cut": "across_length",
            "trim_mm": 0.0,
        },
        [
            {
                "cut_size_id": "A",
                "x_mm": 0.0,
                "y_mm": 0.0,
                "along_width_mm": 287.3375,
                "along_length_mm": 300.0,
            }
        ],
        [],
    )
    cut = drawing.plan.cuts[0]
    assert gauge_text(cut, Lengths("in")) == "11 5/16; 287.3"
    assert gauge_text(cut, Lengths("mm")) == "287.3"


def test_a_visit_is_a_persons_cuts_of_a_day_and_tells_who_is_ready() -> None:
    """R1 is cut on Monday; with a second pattern of the same size on Tuesday volume A is ready only then."""
    rows = small_plan.plan()
    cut = next(task for task in rows["tasks"] if task["kind"] == "cut")
    with Store(None) as store:
        small_plan.write_plan(store, rows)
        first = Plan(store).query("cut_visits")
        assert [(row["visit_no"], row["tickets"], row["volume_list"]) for row in first] == [(1, 1, "A")]
        later: datetime = cut["start_at"] + timedelta(days=1)
        rows["tasks"].append(
            cut
            | {
                "task_id": "cut-2",
                "pattern_id": "R2",
                "start_at": later,
                "finish_at": later + timedelta(minutes=18),
            }
        )
        rows["patterns"].append(rows["patterns"][0] | {"pattern_id": "R2"})
        rows["pattern_pieces"].append(rows["pattern_pieces"][0] | {"pattern_id": "R2"})
        for table in ("tasks", "patterns", "pattern_pieces"):
            small_plan.write_table(store, table, rows[table])
        visits = Plan(store).query("cut_visits")
        assert [(row["tickets"], row["volume_list"]) for row in visits] == [(1, ""), (1, "A")]
        tickets = Plan(store).query("cut_tickets")
        assert [(row["pattern_id"], row["visit_no"], row["ticket_no"]) for row in tickets] == [
            ("R1", 1, 1),
            ("R2", 2, 1),
        ]

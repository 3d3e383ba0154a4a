"""All files of a plan that people read: workbooks to work from, reports, a picture for each pattern."""

from pathlib import Path

from pipeline.outputs.calendars import write_calendars
from pipeline.outputs.cut_diagrams import cut_diagram, make_drawing
from pipeline.outputs.frontier_picture import frontier_pictures
from pipeline.outputs.funder_document import write_funder_document
from pipeline.outputs.funder_facts import gather_story
from pipeline.outputs.funder_report import funder_pictures, write_funder_report
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.material_totals import write_material_totals
from pipeline.outputs.plan import Plan, rows_by
from pipeline.outputs.text import file_stem
from pipeline.outputs.ticket_page import Pictured
from pipeline.outputs.work_orders import write_work_orders
from pipeline.store import Store


def write_outputs(store: Store, folder: Path) -> None:
    """Write every output of the plan in `store` into `folder`. Reads published tables, does no sums.

    Raises FileProblemError when a file cannot be written, OutputError when a workbook cannot hold its text.
    """
    plan = Plan(store)
    pictured = _pictures(plan)
    _write_pictures(folder / "cut_diagrams", pictured)
    write_work_orders(folder / "work_orders.xlsx", plan, pictured)
    write_calendars(folder / "calendars", plan)
    write_material_totals(folder / "material_totals.xlsx", plan)
    story = gather_story(plan)
    pictures = (*funder_pictures(story), *frontier_pictures(plan))
    write_funder_report(folder / "funder_report.xlsx", plan, story, pictures)
    write_funder_document(folder / "funder_report.docx", plan, story, pictures)


def _pictures(plan: Plan) -> dict[str, Pictured]:
    lengths = Lengths(plan.facts.length_unit)
    pieces = rows_by(plan.table("pattern_pieces"), "pattern_id")
    offcuts = rows_by(plan.table("offcuts"), "pattern_id")
    found = {}
    for ticket in plan.query("cut_tickets"):
        name = ticket["pattern_id"]
        drawing = make_drawing(ticket, pieces[name], offcuts.get(name, []))
        found[name] = Pictured(drawing, cut_diagram(drawing, lengths))
    return found


def _write_pictures(folder: Path, pictured: dict[str, Pictured]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    used: set[str] = set()
    for name in sorted(pictured):
        (folder / f"{file_stem(name, used)}.png").write_bytes(pictured[name].png)

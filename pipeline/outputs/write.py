"""All files of a plan that people read: workbooks to work from, reports, a picture for each pattern.

They are written in shares. A large plan's shares are written side by side by two processes, each with the store
open for reading; the files are the same.
"""

import gc
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from pipeline.outputs.calendars import write_calendars
from pipeline.outputs.cut_diagrams import cut_diagram, make_drawing
from pipeline.outputs.frontier_picture import frontier_pictures
from pipeline.outputs.funder_document import write_funder_document
from pipeline.outputs.funder_facts import gather_story
from pipeline.outputs.funder_report import funder_pictures, write_funder_report
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.material_totals import write_material_totals
from pipeline.outputs.parts import Part, bench_parts, ticket_parts, write_bench_parts, write_ticket_parts
from pipeline.outputs.sheet import Place
from pipeline.outputs.text import file_stem
from pipeline.outputs.ticket_page import Pictured, kept_offcuts
from pipeline.outputs.work_orders import Elsewhere, write_work_orders
from pipeline.published_plan import Plan, rows_by
from pipeline.solve.workers import PROCESSES, solve_all
from pipeline.store import Store

Written = dict[str, Place]
Drawn = dict[str, Pictured]
Answer = TypeVar("Answer", Drawn, Written)


@dataclass(frozen=True, kw_only=True)
class _Share:
    """What one call writes: pictures of patterns (id to file name), forms, the front and its lists, the reports."""

    folder: Path
    picture_files: Mapping[str, str] = field(default_factory=dict)
    bench: Sequence[Part] = ()
    tickets: Sequence[Part] = ()
    pictured: Mapping[str, Pictured] = field(default_factory=dict)
    front: Elsewhere | None = None
    has_reports: bool = False
    weight: int = 0


def write_outputs(store: Store, folder: Path) -> None:
    """Write every output of the plan in `store` into `folder`. Reads published tables, does no sums.

    Raises FileProblemError when a file cannot be written, OutputError when a workbook cannot hold its text.
    """
    plan = Plan(store)
    pictured = _draw_all(plan, folder)
    bench, tickets = bench_parts(plan), ticket_parts(plan)
    volumes = len(plan.query("bench_volumes"))
    reports = _Share(folder=folder, has_reports=True, weight=volumes)
    if not bench and not tickets:
        front = _Share(folder=folder, pictured=pictured, front=Elsewhere(), weight=volumes)
        _each(plan, _write, [front, reports])
        return
    shares = [
        _Share(folder=folder, bench=bench[start::PROCESSES], weight=volumes) for start in range(PROCESSES)
    ]
    shares.append(_Share(folder=folder, tickets=tickets, pictured=pictured, weight=len(pictured)))
    places = [*_each(plan, _write, [*shares, reports])]
    elsewhere = Elsewhere(
        files=(*tickets, *bench), volumes=_joined(places[:PROCESSES]), patterns=places[PROCESSES]
    )
    _write(plan, _Share(folder=folder, pictured=pictured, front=elsewhere))


def _joined(places: Sequence[Written]) -> Written:
    return {name: place for some in places for name, place in some.items()}


def _each(plan: Plan, write: Callable[[Plan, _Share], Answer], shares: Sequence[_Share]) -> Sequence[Answer]:
    """What each share gives: side by side where the store is a file that others may read meanwhile."""
    if plan.shared_path is None:
        return [write(plan, share) for share in shares]
    jobs = [(plan.shared_path, write, share) for share in shares]
    return solve_all(_elsewhere, jobs, weigh=lambda job: job[2].weight)


def _elsewhere(job: tuple[Path, Callable[[Plan, _Share], Answer], _Share]) -> Answer:
    path, write, share = job
    with Store(path, read_only=True) as store:
        return write(Plan(store), share)


def _write(plan: Plan, share: _Share) -> Written:
    """Write a share's workbooks; the places of forms in workbooks of their own."""
    if share.has_reports:
        _write_reports(plan, share.folder)
    if share.front is not None:
        with nullcontext() if share.front.files else _cycles_left_alone():
            write_work_orders(share.folder / "work_orders.xlsx", plan, share.pictured, share.front)
        write_calendars(share.folder / "calendars", plan)
    volumes = write_bench_parts(share.folder, plan, share.bench)
    return volumes | write_ticket_parts(share.folder, plan, share.tickets, pictured=share.pictured)


@contextmanager
def _cycles_left_alone() -> Iterator[None]:
    """No search for garbage meanwhile: all cells of a workbook are needed to its end, and each search looks at them."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _write_reports(plan: Plan, folder: Path) -> None:
    write_material_totals(folder / "material_totals.xlsx", plan)
    story = gather_story(plan)
    pictures = (*funder_pictures(story), *frontier_pictures(plan))
    write_funder_report(folder / "funder_report.xlsx", plan, story, pictures)
    write_funder_document(folder / "funder_report.docx", plan, story, pictures)


def _draw_all(plan: Plan, folder: Path) -> Drawn:
    """Every pattern drawn, its picture written to a file too."""
    used: set[str] = set()
    names = sorted(row["pattern_id"] for row in plan.query("cut_tickets"))
    files = {name: f"{file_stem(name, used)}.png" for name in names}
    pictures = folder / "cut_diagrams"
    pictures.mkdir(parents=True, exist_ok=True)
    shares = [
        _Share(
            folder=pictures,
            picture_files={name: files[name] for name in names[start::PROCESSES]},
            weight=len(names),
        )
        for start in range(PROCESSES)
    ]
    drawn = _each(plan, _draw, shares)
    return {name: some[name] for name in names for some in drawn if name in some}


def _draw(plan: Plan, share: _Share) -> Drawn:
    lengths = Lengths(plan.facts.length_unit)
    pieces = rows_by(plan.table("pattern_pieces"), "pattern_id")
    offcuts = rows_by(plan.query("ticket_offcuts"), "pattern_id")
    found = {}
    for ticket in plan.query("cut_tickets"):
        name = ticket["pattern_id"]
        if name in share.picture_files:
            drawing = make_drawing(ticket, pieces[name], offcuts.get(name, []))
            found[name] = Pictured(
                drawing, cut_diagram(drawing, lengths), kept_offcuts(offcuts.get(name, []))
            )
            (share.folder / share.picture_files[name]).write_bytes(found[name].png)
    return found

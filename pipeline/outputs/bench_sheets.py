"""Bench sheets: one printed page per volume that gets sheets, in the order of the work."""

from collections.abc import Mapping
from dataclasses import dataclass

from pipeline.openings import expand_openings
from pipeline.outputs.form import PAGE_POINTS, Cell, Form
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.lists import MADE_TO_MEASURE, length_column
from pipeline.outputs.sheet import Book, Place, Sheet, Written
from pipeline.outputs.styles import (
    BODY,
    BODY_ID,
    BODY_WRAP,
    BOLD,
    DATE,
    ENTRY,
    INTEGER,
    TICK,
    TITLE,
)
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.wedge import CAPTION, wedge_picture, wedge_text
from pipeline.outputs.weekly import BOX
from pipeline.outputs.wording import CAUTIONS, DEFER, KIND_WORDS, hazard_words, plural
from pipeline.published_plan import Plan, Row, rows_by

WIDTHS = (5.0, 16.0, 8.0, 17.0, 15.0, 14.0, 14.0)
VOLUMES_A_SHEET = 400
STEP_POINTS, PAPER_POINTS, AFTER_POINTS = 15.0, 18.0, 74.0
"""Room that a step, a paper's line of sheets used, and the headings and notes after the openings take."""

OPENING_SPANS = ((0, 0), (1, 1), (2, 2), (3, 3), (4, 4), (5, 6))
OPENING_HEADS = ("Done", "Opening", "Sheets", "Paper", "Cut size", "Why")
STEP_SPANS = ((0, 1), (2, 2), (3, 3), (4, 4), (5, 5), (6, 6))
STEP_HEADS = ("Step", "Who", "Day and time", "Minutes planned", "Minutes taken", "Initials")


@dataclass(frozen=True)
class Bench:
    """All that bench sheets show, by volume."""

    lengths: Lengths
    openings: dict[str, list[Row]]
    papers: dict[str, list[Row]]
    steps: dict[str, list[Row]]
    cautions: dict[str, list[Row]]
    handling_note: str
    page_size: str


@dataclass(frozen=True)
class Run:
    """Neighbouring openings that get the same paper for the same reason; no opening: places not noted."""

    first: int | None
    last: int | None
    sheets: int
    row: Row

    @property
    def words(self) -> str:
        """`12`, `12 to 15`, or that the place has to be found."""
        if self.first is None:
            return "find the place"
        return str(self.first) if self.first == self.last else f"{self.first} to {self.last}"


def write_bench_sheets(book: Book, plan: Plan) -> Written:
    """Write the list of all volumes and their bench sheets."""
    volumes = plan.query("bench_volumes")
    index = book.sheet("Bench list", landscape=True)
    pages = write_pages(book, plan, volumes)
    return Written([write_index(index, plan, volumes, pages.places), *pages.sheets], pages.places)


def write_pages(book: Book, plan: Plan, volumes: list[Row]) -> Written:
    """Write the bench sheets of these volumes, some hundred on a sheet."""
    bench = _gather(plan, volumes)
    places: dict[str, Place] = {}
    found = []
    for number, start in enumerate(range(0, max(len(volumes), 1), VOLUMES_A_SHEET), start=1):
        part = volumes[start : start + VOLUMES_A_SHEET]
        is_only = len(volumes) <= VOLUMES_A_SHEET
        sheet = book.sheet("Bench sheets" if is_only else f"Bench sheets {number}")
        form = Form(sheet, WIDTHS)
        for volume in part:
            form.new_page()
            places[volume["volume_id"]] = Place(sheet.name, f"A{form.row + 1}")
            _bench_sheet(form, bench, volume)
        if not part:
            form.line("No volume gets sheets in this plan.")
        sheet.print_area(max(form.row - 1, 0), form.last_column)
        sheet.finish()
        words = f"one printed page for each of {plural(len(part), 'volume')}, in the order of the work"
        found.append((sheet.name, words))
    return Written(found, places)


def _gather(plan: Plan, volumes: list[Row]) -> Bench:
    names = [volume["volume_id"] for volume in volumes]
    return Bench(
        lengths=Lengths(plan.facts.length_unit),
        openings=rows_by(plan.query_of("bench_openings", names), "volume_id"),
        papers=rows_by(plan.query_of("bench_papers", names), "volume_id"),
        steps=rows_by(plan.query_of("bench_steps", names), "volume_id"),
        cautions=rows_by(plan.query_of("volume_cautions", names), "volume_id"),
        handling_note=plan.facts.handling_note,
        page_size=plan.facts.page_size,
    )


def opening_runs(rows: list[Row]) -> list[Run]:
    """Rows of bench_openings.sql of one volume as runs of openings in page order; unplaced ones last."""
    placed = sorted(
        ((opening, row) for row in rows if row["openings"] for opening in expand_openings(row["openings"])),
        key=lambda pair: pair[0],
    )
    runs: list[Run] = []
    for opening, row in placed:
        last = runs[-1] if runs else None
        if last and last.row is row and last.last == opening - 1:
            runs[-1] = Run(last.first, opening, last.sheets + 1, row)
        else:
            runs.append(Run(opening, opening, 1, row))
    return runs + [Run(None, None, row["sheets"], row) for row in rows if not row["openings"]]


def _bench_sheet(form: Form, bench: Bench, volume: Row) -> None:
    _head(form, bench, volume)
    _cautions(form, bench, volume)
    _wedge(form, bench, volume)
    _openings(form, bench, volume)
    _steps(form, bench, volume)
    _after(form, bench, volume)


def _head(form: Form, bench: Bench, volume: Row) -> None:
    day = f"from {volume['first_day'].isoformat()}" if volume["first_day"] else "no date yet"
    form.cells([Cell(0, 4, f"Bench sheet {volume['volume_id']}", TITLE), Cell(5, 6, day, BOLD)], 24.0)
    form.line(f"{volume['title'] or 'no title'} ({volume['collection']})", BODY_WRAP.but(bold=True, line=""))
    form.pair("Location", volume["location"] or "not noted", 1)
    lengths = bench.lengths
    measures = (
        f"page {lengths.pair(volume['page_width_mm'], volume['page_height_mm'])} (width × height), "
        f"spine {lengths.thickness(volume['spine_thickness_mm'])}, {plural(volume['leaves'], 'leaf')}"
    )
    form.pair("Measures", measures.replace("leafs", "leaves"), 1)
    form.pair(
        "Binding", f"{volume['binding']}, joints {volume['joints']}, leaves {volume['leaf_condition']}", 1
    )
    if volume["existing_leaves"]:
        form.pair("Take out first", f"{plural(volume['existing_leaves'], 'old interleaving sheet')}", 1)
    if volume["has_new_enclosure"]:
        box = volume["enclosure_id"] or MADE_TO_MEASURE
        form.pair("New enclosure", f"{box}, shelved {volume['shelved']}", 1)
    if bench.handling_note:
        form.pair("Handling", bench.handling_note, 1)


def _cautions(form: Form, bench: Bench, volume: Row) -> None:
    words = [CAUTIONS[row["caution"]] for row in bench.cautions.get(volume["volume_id"], [])]
    if words:
        form.gap(4.0)
        form.caution(" ".join([*words, DEFER]))


def _wedge(form: Form, bench: Bench, volume: Row) -> None:
    """The drawing at the left, its figures at the right, and the cell for the measured fore edge."""
    form.heading("Bulk")
    form.sheet.picture(form.row, 0, wedge_picture(volume), wedge_text(volume))
    thickness = bench.lengths.thickness
    limit = volume["wedge_limit_deg"]
    lines = (
        ("Before", thickness(volume["fore_edge_before_mm"]), f"{volume['wedge_before_deg']:.1f}°"),
        ("Planned", thickness(volume["fore_edge_after_mm"]), f"{volume['wedge_after_deg']:.1f}°"),
        (
            "Not more than",
            thickness(volume["fore_edge_limit_mm"]),
            f"{limit:.1f}°" if limit is not None else "",
        ),
    )
    form.cells([Cell(4, 4, "", BODY), Cell(5, 5, "fore edge", BODY), Cell(6, 6, "wedge", BODY)])
    for label, figure, angle in lines:
        form.cells([Cell(4, 4, label, BODY), Cell(5, 5, figure, BODY), Cell(6, 6, angle, BODY)])
    form.cells(
        [
            Cell(4, 4, "Measured after", BODY.but(bold=True)),
            Cell(5, 5, "", ENTRY),
            Cell(6, 6, bench.lengths.unit, BODY),
        ],
        22.0,
    )
    form.cells([Cell(4, 6, "Over the limit: stop, tell the lab lead.", BOLD)])
    form.line(CAPTION)


def _openings(form: Form, bench: Bench, volume: Row) -> None:
    form.heading(f"{plural(volume['sheets'], 'sheet')} to lay in, in page order")
    piles = "; ".join(_pile(row, bench.lengths) for row in bench.papers.get(volume["volume_id"], []))
    form.pair("Piles to fetch", piles, 1)
    form.line(
        "Opening 0 is inside the front board, opening 1 lies behind the first leaf, and so on; tick each "
        "when done."
    )
    form.heads(OPENING_SPANS, OPENING_HEADS)
    for run in opening_runs(bench.openings.get(volume["volume_id"], [])):
        if form.points + STEP_POINTS > PAGE_POINTS[bench.page_size]:
            _continue(form, volume)
            form.heads(OPENING_SPANS, OPENING_HEADS)
        size = (
            ""
            if run.row["width_mm"] is None
            else bench.lengths.pair(run.row["width_mm"], run.row["height_mm"])
        )
        why = hazard_words(run.row["hazards"])
        values = (BOX, run.words, run.sheets, run.row["paper_id"], size, why)
        bold = BODY_WRAP.but(bold=True)
        form.body(OPENING_SPANS, values, (TICK, bold, INTEGER, BODY_WRAP, BODY_WRAP, BODY_WRAP))


def _continue(form: Form, volume: Row) -> None:
    """Go on with the form on another page."""
    form.new_page()
    form.cells([Cell(0, 6, f"Bench sheet {volume['volume_id']}, continued", TITLE)], 24.0)


def _pile(row: Row, lengths: Lengths) -> str:
    size = lengths.pair(row["width_mm"], row["height_mm"])
    description = f" {row['description']}" if row["description"] else ""
    return (
        f"{plural(row['sheets'], 'sheet')} of {row['paper_id']}{description}, cut size "
        f"{row['cut_size_id']} ({size})"
    )


def _steps(form: Form, bench: Bench, volume: Row) -> None:
    steps = bench.steps.get(volume["volume_id"], [])
    papers = bench.papers.get(volume["volume_id"], [])
    room = STEP_POINTS * len(steps) + PAPER_POINTS * len(papers) + AFTER_POINTS
    if form.points + room > PAGE_POINTS[bench.page_size]:
        _continue(form, volume)
    form.heading("Steps")
    form.heads(STEP_SPANS, STEP_HEADS)
    for step in steps:
        when = step["start_at"].strftime("%Y-%m-%d %H:%M") if step["start_at"] else "no date yet"
        values = (f"{BOX} {KIND_WORDS[step['kind']]}", step["staff_id"] or "", when, step["minutes"], "", "")
        form.body(STEP_SPANS, values, (BODY_WRAP, BODY_WRAP, BODY_WRAP, INTEGER, ENTRY, ENTRY))


def _after(form: Form, bench: Bench, volume: Row) -> None:
    form.gap()
    label = BODY_WRAP.but(bold=True)
    for row in bench.papers.get(volume["volume_id"], []):
        words = f"Sheets of {row['paper_id']} used (planned {row['sheets']:,})"
        spoiled = Cell(5, 5, "and spoiled", label), Cell(6, 6, "", ENTRY)
        form.cells([Cell(0, 3, words, label), Cell(4, 4, "", ENTRY), *spoiled], PAPER_POINTS)
    form.cells([Cell(0, 1, "Notes", label), Cell(2, 6, "", ENTRY)], 30.0)


def write_index(index: Sheet, plan: Plan, volumes: list[Row], places: Mapping[str, Place]) -> tuple[str, str]:
    """Write the list of volumes with links to their bench sheets. Returns name and purpose."""
    lengths = Lengths(plan.facts.length_unit)
    columns = (
        Column(
            heading="Volume",
            key="volume_id",
            style=BODY_ID,
            link=lambda row: places.get(row["volume_id"]),
        ),
        Column(heading="Title", key="title", style=BODY_WRAP, most_width=32),
        Column(heading="Collection", key="collection", style=BODY_WRAP, most_width=22),
        Column(heading="Location", key="location", style=BODY_WRAP, most_width=22),
        Column(heading="From", key="first_day", style=DATE),
        Column(heading="Sheets", key="sheets", style=INTEGER),
        *(
            length_column(lengths, f"Fore edge {word}", key, number=lengths.thickness_format)
            for word, key in (
                ("before", "fore_edge_before_mm"),
                ("planned", "fore_edge_after_mm"),
                ("limit", "fore_edge_limit_mm"),
            )
        ),
        Column(heading="Why so", key="reason", style=BODY_WRAP, most_width=60),
    )
    write_table(index, columns, volumes)
    index.finish()
    return index.name, "volumes that get sheets, with links to their bench sheets"

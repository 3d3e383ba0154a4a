"""The workbooks: they open, print, agree with the published tables, and take hostile text."""

from pathlib import Path

import openpyxl
import polars as pl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from pipeline.outputs import bench_sheets
from pipeline.outputs.plan import Plan
from pipeline.outputs.sheet import PAPER_INCHES, Book
from pipeline.outputs.write import write_outputs
from tests.outputs.fake_data import STAFF, VOLUMES
from tests.outputs.fake_plan import empty_frames, fake_frames, fake_store

WORKBOOKS = ("work_orders.xlsx", "material_totals.xlsx", "funder_report.xlsx")
DATA_SHEETS = (
    "This week",
    "Cut list",
    "Cut sizes",
    "Bench list",
    "Box list",
    "Not planned",
    "Returns",
    "Cutting returns",
    "Order",
    "Papers",
)


def _sheets(folder: Path) -> list[tuple[str, Worksheet]]:
    return [(name, sheet) for name in WORKBOOKS for sheet in openpyxl.load_workbook(folder / name)]


def _texts(sheet: Worksheet) -> list[str]:
    return [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value is not None]


def _column(sheet: Worksheet, heading: str) -> list[object]:
    place = next(cell.column for cell in sheet[1] if str(cell.value).startswith(heading))
    return [sheet.cell(row, place).value for row in range(2, sheet.max_row + 1)]


def test_all_files_are_there(folder: Path) -> None:
    found = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    pictures = {f"cut_diagrams/P{number}.png" for number in range(1, 6)}
    calendars = {f"calendars/{who}.ics" for who, *_ in STAFF}
    assert found == {*WORKBOOKS, "funder_report.docx", *pictures, *calendars}


def test_every_sheet_is_set_up_for_printing(folder: Path) -> None:
    for name, sheet in _sheets(folder):
        place = f"{name} {sheet.title}"
        assert sheet.page_setup.paperSize == 9, place
        assert "policy b2b2b2b2b2b2" in sheet.oddFooter.left.text, place
        assert "page &P of &N" in sheet.oddFooter.right.text, place
        assert sheet.print_area, place
        assert sheet.protection.sheet, place
        assert not sheet.protection.password, place
        if sheet.row_breaks.brk:
            assert not sheet.sheet_properties.pageSetUpPr.fitToPage, f"{place}: fitting overrides breaks"
            paper = PAPER_INCHES["A4"][sheet.page_setup.orientation == "landscape"]
            assert _width_inches(sheet) * (sheet.page_setup.scale or 100) / 100 <= paper - 1.0, place
        else:
            assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0) or (
                sheet.sheet_properties.pageSetUpPr.fitToPage and sheet.page_setup.fitToHeight == 0
            ), place


def _width_inches(sheet: Worksheet) -> float:
    return sum(dimension.width * 7 + 5 for dimension in sheet.column_dimensions.values()) / 96


def test_lists_keep_their_headings_in_view_and_on_each_page(folder: Path) -> None:
    for name, sheet in _sheets(folder):
        if sheet.title in DATA_SHEETS or sheet.title.startswith("Week "):
            assert sheet.freeze_panes == "B2", f"{name} {sheet.title}"
            assert sheet.print_title_rows == "$1:$1", f"{name} {sheet.title}"
            assert sheet.auto_filter.ref, f"{name} {sheet.title}"
            assert not sheet.merged_cells.ranges, f"{name} {sheet.title}"


def test_every_formula_carries_its_value_and_no_cell_is_an_error(folder: Path) -> None:
    seen = 0
    for name in WORKBOOKS:
        formulas, values = (openpyxl.load_workbook(folder / name, data_only=flag) for flag in (False, True))
        for sheet in formulas:
            for row in sheet.iter_rows():
                for cell in row:
                    assert cell.data_type != "e"
                    if cell.data_type == "f":
                        seen += 1
                        assert len(cell.value) <= 100
                        assert values[sheet.title][cell.coordinate].value is not None
    assert seen > 10


def test_pictures_have_words_for_people_who_cannot_see_them(folder: Path) -> None:
    import re
    import zipfile

    for name, least in (("work_orders.xlsx", 12), ("funder_report.xlsx", 3)):
        with zipfile.ZipFile(folder / name) as package:
            drawings = [
                package.read(n).decode() for n in package.namelist() if n.startswith("xl/drawings/drawing")
            ]
        described = re.findall(r'<xdr:cNvPr [^>]*descr="([^"]+)"', "".join(drawings))
        assert len(described) >= least
        assert len(described) == "".join(drawings).count("<xdr:pic>")
        assert all(len(words) > 20 for words in described)


def test_front_sheets_say_which_plan_and_lead_to_each_sheet(folder: Path) -> None:
    for name in WORKBOOKS:
        book = openpyxl.load_workbook(folder / name)
        first = book.worksheets[0]
        texts = _texts(first)
        assert first.title == "Start here"
        for words in ("r1", "2027-03-01", "a1" * 32, "b2" * 32, "millimetres", "EUR", "guardleaf 0.1.0"):
            assert words in texts, f"{name}: {words}"
        links = {cell.value for row in first.iter_rows() for cell in row if cell.hyperlink}
        assert links == set(book.sheetnames) - {"Start here"}


def test_bench_sheets_hold_what_the_bench_needs(folder: Path) -> None:
    book = openpyxl.load_workbook(folder / "work_orders.xlsx")
    sheet = book["Bench sheets"]
    planned = [volume for volume in VOLUMES if volume[5]]
    titles = [text for text in _texts(sheet) if text.startswith("Bench sheet ")]
    assert len(titles) == len(planned)
    assert len(sheet.row_breaks.brk) == len(planned) - 1
    texts = _texts(sheet)
    for words in (
        "10 to 20",
        "find the place",
        "207 × 294 mm",
        "Measured after",
        "Initials",
        "fastener (left)",
    ):
        assert any(words in text for text in texts), words
    assert any("Brittle leaves" in text for text in texts)
    assert any("8 old interleaving sheets" in text for text in texts)


def test_sheets_in_every_list_add_up_to_the_plans(folder: Path) -> None:
    book = openpyxl.load_workbook(folder / "work_orders.xlsx")
    planned = sum(fake_frames()["published.interleaves"]["sheets"])
    assert sum(_column(book["Bench list"], "Sheets")) == planned
    assert sum(_column(book["Cut sizes"], "Sheets")) == planned
    returned = [*_column(book["Returns"], "Planned 1"), *_column(book["Returns"], "Planned 2")]
    assert sum(sheets or 0 for sheets in returned) == planned
    parents = sum(sheets or 0 for sheets in _column(book["Cutting returns"], "Parents planned"))
    assert parents == sum(fake_frames()["published.patterns"]["sheets"])


def test_held_volumes_are_listed_with_their_caution(folder: Path) -> None:
    sheet = openpyxl.load_workbook(folder / "work_orders.xlsx")["Not planned"]
    rows = {row[1].value: [str(cell.value) for cell in row] for row in sheet.iter_rows(min_row=2)}
    assert set(rows) == {volume[0] for volume in VOLUMES if not volume[5]}
    assert any("respiratory protection" in text for text in rows["CC-004"])
    assert any("split joint" in text for text in rows["CC-005"])


def test_material_totals_agree_with_the_published_ones(folder: Path) -> None:
    values = openpyxl.load_workbook(folder / "material_totals.xlsx", data_only=True)
    order = values["Order"]
    published = fake_frames()["published.material_totals"].filter(pl.col("needed") > 0)
    assert _column(order, "Cost")[:-1] == pytest.approx(
        published.sort("order_by", "stock_id", nulls_last=True)["cost"].to_list()
    )
    assert _column(order, "Cost")[-1] == pytest.approx(sum(published["cost"]))
    assert sum(_column(order, "Packs")[:-1]) == sum(published["packs"])
    boxes = values["Enclosures"]
    assert _column(boxes, "Cost")[-1] == pytest.approx(
        sum(fake_frames()["published.enclosure_totals"]["cost"])
    )
    papers = values["Papers"]
    assert sum(_column(papers, "Sheets")) == sum(fake_frames()["published.cut_sizes"]["sheets"])
    assert sum(_column(papers, "Spares")) == sum(fake_frames()["published.cut_sizes"]["spares"])


def test_the_funder_workbook_agrees_with_the_campaign_totals(folder: Path) -> None:
    book = openpyxl.load_workbook(folder / "funder_report.xlsx")
    with fake_store() as store:
        totals = Plan(store).totals()
    protection, effort, states = book["Protection"], book["Effort"], book["States"]
    for sheet, heading, measure in (
        (protection, "Openings protected", "openings_protected"),
        (protection, "Page losses avoided", "benefit_planned"),
        (effort, "Paper (EUR)", "paper_cost"),
        (effort, "Hours of work", "labour_hours"),
        (effort, "Shelf length", "shelf_mm_added"),
        (states, "covered", "volumes_covered"),
    ):
        column = _column(sheet, heading)
        assert column[-1] == pytest.approx(totals[measure]["value"]), heading
        assert sum(column[:-1]) == pytest.approx(column[-1]), heading
    hours = sum(_column(book["Months"], "Hours of work"))
    assert hours == pytest.approx(totals["labour_hours"]["value"])


def test_every_judgement_is_labelled(folder: Path) -> None:
    sheet = openpyxl.load_workbook(folder / "funder_report.xlsx")["Judgement"]
    policy = fake_frames()["published.policy"]
    judged = policy.filter(pl.col("basis").str.to_lowercase().str.starts_with("judgement"))["key"].to_list()
    marked = {row[0].value for row in sheet.iter_rows(min_row=2) if row[3].value == "yes"}
    assert marked == set(judged)


def test_the_funder_workbook_names_no_person_no_pay_and_no_place(folder: Path) -> None:
    book = openpyxl.load_workbook(folder / "funder_report.xlsx")
    words = [text for sheet in book for text in _texts(sheet)]
    for secret in ("t1", "v1", "k1", "31.5", "45.0", "Store 2", "bay"):
        assert not any(secret == text or f" {secret}" in text for text in words), secret


@pytest.mark.slow
def test_the_same_plan_gives_the_same_bytes(folder: Path, tmp_path: Path) -> None:
    with fake_store() as store:
        write_outputs(store, tmp_path)
    for path in folder.rglob("*.*"):
        assert path.read_bytes() == (tmp_path / path.relative_to(folder)).read_bytes(), path.name


@pytest.mark.slow
def test_bench_sheets_are_split_over_several_sheets(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bench_sheets, "VOLUMES_A_SHEET", 3)
    with fake_store() as store:
        write_outputs(store, tmp_path)
    book = openpyxl.load_workbook(tmp_path / "work_orders.xlsx")
    parts = [name for name in book.sheetnames if name.startswith("Bench sheets")]
    assert parts == ["Bench sheets 1", "Bench sheets 2", "Bench sheets 3"]
    link = book["Bench list"]["A8"].hyperlink.location
    assert link == "'Bench sheets 3'!A1"


def test_a_plan_of_nothing_still_gives_every_file(tmp_path: Path) -> None:
    with fake_store(empty_frames()) as store:
        write_outputs(store, tmp_path)
    texts = [text for _, sheet in _sheets(tmp_path) for text in _texts(sheet)]
    assert "none in this plan" in texts
    assert "No volume gets sheets in this plan." in texts


@pytest.mark.slow
def test_inches_and_letter_paper(tmp_path: Path) -> None:
    frames = fake_frames()
    run = frames["published.run"].with_columns(pl.lit("in").alias("length_unit"))
    page = (
        pl.when(pl.col("setting") == "page_size")
        .then(pl.lit("letter"))
        .otherwise(pl.col("value"))
        .alias("value")
    )
    changes = {"published.run": run, "published.campaign": frames["published.campaign"].with_columns(page)}
    with fake_store(changes) as store:
        write_outputs(store, tmp_path)
    sheets = _sheets(tmp_path)
    assert all(sheet.page_setup.paperSize == 1 for _, sheet in sheets)
    tickets = next(sheet for _, sheet in sheets if sheet.title == "Cut tickets")
    assert any(text.startswith("35 5/16") for text in _texts(tickets))
    index = next(sheet for _, sheet in sheets if sheet.title == "Cut list")
    assert index["I2"].number_format == "# ??/32"
    assert index["I1"].value == "Width (in)"


@pytest.mark.slow
def test_hostile_text_is_safe_everywhere(tmp_path: Path) -> None:
    frames = fake_frames()
    nasty = pl.col("volume_id").replace({"CC-001": "=1+1", "CC-003": "@a/b:c*?[x]", "CC-007": "-2\x0b+3"})
    changes = {
        name: frame.with_columns(nasty.alias("volume_id"))
        for name, frame in frames.items()
        if "volume_id" in frame.columns and name.startswith("published.")
    }
    title = (
        pl.when(pl.col("sheets") > 20)
        .then(pl.lit("=cmd()" + "x" * 40_000))
        .otherwise(pl.lit("+1\r\n=2"))
        .alias("title")
    )
    changes["published.volumes"] = changes["published.volumes"].with_columns(title)
    with fake_store(changes) as store:
        write_outputs(store, tmp_path)
    allowed = {"=MAX(", "=ROUN", "=SUM("}
    for name, sheet in _sheets(tmp_path):
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f" and name != "material_totals.xlsx":
                    pytest.fail(f"{name} {sheet.title}!{cell.coordinate} became a formula")
                assert cell.data_type != "f" or cell.value[:5] in allowed or cell.value[1] in "LIG"
                assert not isinstance(cell.value, str) or len(cell.value) <= 32_767
    front = openpyxl.load_workbook(tmp_path / "work_orders.xlsx")["Start here"]
    assert any("cannot hold" in text for text in _texts(front))


def test_a_volume_with_many_places_goes_on_on_another_page(tmp_path: Path) -> None:
    frames = fake_frames()
    places = ", ".join(str(2 * number) for number in range(60))
    changes = {
        name: frames[name].with_columns(
            pl.when(pl.col("volume_id") == "CC-001")
            .then(pl.lit(places))
            .otherwise(pl.col("openings"))
            .alias("openings")
        )
        for name in ("published.interleaves", "published.opening_groups")
    }
    with fake_store(changes) as store:
        plan = Plan(store)
        with Book(tmp_path / "x.xlsx", plan.facts, "x") as book:
            bench_sheets.write_bench_sheets(book, plan)
    sheet = openpyxl.load_workbook(tmp_path / "x.xlsx")["Bench sheets"]
    continued = [cell.row for cell in sheet["A"] if str(cell.value).endswith("CC-001, continued")]
    assert len(continued) == 2
    assert {row - 1 for row in continued} <= {page.id for page in sheet.row_breaks.brk}


def test_the_weeks_lead_to_tickets_and_bench_sheets(folder: Path) -> None:
    sheet = openpyxl.load_workbook(folder / "work_orders.xlsx")["This week"]
    links = {cell.value: cell.hyperlink.location for cell in sheet["F"][1:] if cell.hyperlink}
    assert links["P1"] == "'Cut tickets'!A1"
    assert links["CC-001"] == "'Bench sheets'!A1"
    assert len(links) == 7

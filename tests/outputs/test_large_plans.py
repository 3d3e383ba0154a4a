"""A plan with more forms than a workbook holds: bench sheets by fortnight, tickets by share, links from the front."""

import shutil
from pathlib import Path

import openpyxl
import polars as pl
import pytest

from pipeline.outputs.plan import Plan
from pipeline.outputs.sheet import MOST_LINKS, Book, Place
from pipeline.outputs.styles import BODY_LINK
from pipeline.outputs.write import write_outputs
from tests.outputs.fake_data import PATTERNS, VOLUMES
from tests.outputs.fake_plan import fake_frames, fake_store

PLANNED = {volume[0] for volume in VOLUMES if volume[5]}
MOST = 3


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Outputs of the made-up plan where a workbook holds three forms."""
    out = tmp_path_factory.mktemp("large")
    limit = pl.col("key") == "bench.forms_in_a_workbook_count"
    policy = fake_frames()["published.policy"].with_columns(
        pl.when(limit).then(pl.lit(float(MOST))).otherwise(pl.col("value")).alias("value")
    )
    with fake_store({"published.policy": policy}) as store:
        write_outputs(store, out)
    return out


def _parts(folder: Path) -> list[Path]:
    return sorted(folder.glob("work_orders_*.xlsx"))


def test_forms_lie_in_workbooks_by_fortnight_and_share(large: Path) -> None:
    names = [path.name for path in _parts(large)]
    assert names == [
        "work_orders_2027-03-01_1.xlsx",
        "work_orders_2027-03-01_2.xlsx",
        "work_orders_2027-03-15.xlsx",
        "work_orders_cutting_1.xlsx",
        "work_orders_cutting_2.xlsx",
    ]
    front = openpyxl.load_workbook(large / "work_orders.xlsx")
    assert not any(name.startswith(("Bench sheets", "Cut tickets")) for name in front.sheetnames)


def test_every_form_stands_once_and_no_workbook_holds_too_many(large: Path) -> None:
    found: list[str] = []
    for path in _parts(large):
        book = openpyxl.load_workbook(path)
        pages = [sheet for sheet in book if sheet.title.startswith(("Bench sheets", "Cut tickets"))]
        titles = [
            str(cell.value).removeprefix("Bench sheet ").removeprefix("Cut ticket ")
            for sheet in pages
            for cell in sheet["A"]
            if str(cell.value).startswith(("Bench sheet ", "Cut ticket "))
        ]
        assert 0 < len(titles) <= MOST, path.name
        found += titles
    assert sorted(found) == sorted(PLANNED | set(PATTERNS))


def test_links_of_the_front_lead_to_forms_that_are_there(large: Path) -> None:
    front = openpyxl.load_workbook(large / "work_orders.xlsx")
    books = {path.name: openpyxl.load_workbook(path) for path in _parts(large)}
    for name, count in (("Bench list", len(PLANNED)), ("Cut list", len(PATTERNS)), ("This week", 1)):
        links = [cell for row in front[name].iter_rows() for cell in row if cell.hyperlink]
        assert len(links) >= count
        for cell in links:
            sheet, _, place = cell.hyperlink.location.rpartition("!")
            title = books[cell.hyperlink.target][sheet.strip("'")][place].value
            assert title in (f"Bench sheet {cell.value}", f"Cut ticket {cell.value}")


def test_each_volume_comes_back_in_one_workbook_only(large: Path) -> None:
    back: list[str] = []
    for path in (large / "work_orders.xlsx", *_parts(large)):
        book = openpyxl.load_workbook(path)
        if "Returns" in book.sheetnames:
            back += [str(cell.value) for cell in book["Returns"]["B"][1:] if cell.value]
    assert sorted(back) == sorted(PLANNED)


def test_a_long_workbook_holds_what_a_short_one_holds(large: Path, folder: Path) -> None:
    """Rows that go straight to the disk lose neither cells nor heights."""
    long, short = (openpyxl.load_workbook(path / "work_orders.xlsx") for path in (large, folder))
    for name in ("This week", "List t1", "Box list", "Not planned", "Hours by week", "Cutting returns"):
        assert [[c.value for c in row] for row in long[name]] == [
            [c.value for c in row] for row in short[name]
        ]
    part = openpyxl.load_workbook(_parts(large)[0])["Bench sheets"]
    whole = short["Bench sheets"]
    end = next(cell.row for cell in part["A"] if str(cell.value).startswith("Bench sheet ") and cell.row > 1)
    for row in range(1, end):
        assert [c.value for c in part[row]] == [c.value for c in whole[row]]
        assert part.row_dimensions[row].height == whole.row_dimensions[row].height, row


def test_more_links_than_the_format_takes_become_text(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert MOST_LINKS == 65_530
    monkeypatch.setattr("pipeline.outputs.sheet.MOST_LINKS", 2)
    with fake_store() as store:
        facts = Plan(store).facts
    with Book(tmp_path / "x.xlsx", facts, "x") as book:
        sheet = book.sheet("one")
        for row in range(3):
            sheet.link(row, 0, f"V{row}", Place("one"), BODY_LINK)
    page = openpyxl.load_workbook(tmp_path / "x.xlsx")["one"]
    assert [bool(cell.hyperlink) for cell in page["A"]] == [True, True, False]
    assert page["A3"].value == "V2"


def test_the_same_large_plan_gives_the_same_bytes(large: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(large, copy)
    limit = pl.col("key") == "bench.forms_in_a_workbook_count"
    policy = fake_frames()["published.policy"].with_columns(
        pl.when(limit).then(pl.lit(float(MOST))).otherwise(pl.col("value")).alias("value")
    )
    with fake_store({"published.policy": policy}) as store:
        write_outputs(store, copy)
    for path in large.glob("work_orders*.xlsx"):
        assert path.read_bytes() == (copy / path.name).read_bytes(), path.name

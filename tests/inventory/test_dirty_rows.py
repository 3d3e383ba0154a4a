"""Lengths in another unit, rows of totals and identifiers that look alike: told, with the likely fix."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from pipeline.contracts.inventory_columns import VOLUMES
from pipeline.errors import Finding
from pipeline.frames import figures
from pipeline.inventory.parse import CellText, Words
from pipeline.inventory.raw import RawColumn, RawSheet
from pipeline.inventory.read import read_inventory
from pipeline.inventory.rows_volumes import read_volumes
from pipeline.inventory.totals import without_totals
from tests import builders
from tests.checking import find, find_in_cells

SIX = [builders.volume(f"V-{number}") for number in range(1, 7)]


def told(findings: list[Finding], code: str) -> list[tuple[str, str, str]]:
    return [(f.level, f.cell, f.action) for f in findings if f.code == code]


def in_sixth(path: Path, unit: str = "mm", **values: Any) -> list[Finding]:
    """Findings of six volumes alike, typed in mm or cm, of which the sixth has other values."""
    divisor = 10 if unit == "cm" else 1
    campaign = builders.campaign(length_unit=unit, guillotine_max_cut_mm=115, guillotine_max_lift_mm=6)
    volumes = [
        {key: value / divisor if key.endswith("_mm") and value else value for key, value in volume.items()}
        for volume in SIX
    ]
    volumes[5] |= values
    return find_in_cells(builders.inventory(path, campaign=campaign, volumes=volumes))


@pytest.mark.parametrize(
    ("unit", "values", "cell", "action"),
    [
        ("mm", {"page_height_mm": 11.75}, "F7", "check the unit; 11.75 in, which is 298.4 mm?"),
        ("mm", {"page_height_mm": 30.5}, "F7", "check the unit; 30.5 cm, which is 305 mm?"),
        ("mm", {"page_height_mm": 7620}, "", ""),
        ("cm", {"page_width_mm": 240}, "E7", "check the unit; 240 mm, which is 240 mm?"),
        ("cm", {"page_width_mm": 9.5}, "", ""),
        ("mm", {"spine_thickness_mm": 0.8, "fore_edge_thickness_mm": 21}, "K7",
         "check the unit; 0.8 in, which is 20.32 mm?"),
        ("mm", {"spine_thickness_mm": 2, "fore_edge_thickness_mm": 2.1, "leaves": 6}, "", ""),
        ("mm", {"page_height_mm": "11 3/4 in"}, "", ""),
        ("mm", {"page_height_mm": 1200}, "", ""),
    ],
)  # fmt: skip
def test_a_length_in_another_unit(
    tmp_path: Path, unit: str, values: dict[str, Any], cell: str, action: str
) -> None:
    findings = in_sixth(tmp_path / "inventory.xlsx", unit, **values)
    found = told(findings, "unit_suspected")
    if action:
        assert found == [("warning", cell, action)]
        assert {f.code for f in findings if f.sheet == "Volumes"} == {"unit_suspected"}
    else:
        assert found == []


def test_a_length_out_of_range_names_the_likely_unit(tmp_path: Path) -> None:
    """240 and 300, typed in mm, are 6096 and 7620 mm in an inventory in inches."""
    inches = [volume | {name: 10.0 for name in ("page_width_mm", "page_height_mm")} for volume in SIX]
    thick = {"spine_thickness_mm": 0.8, "fore_edge_thickness_mm": 0.8}
    inches = [volume | thick for volume in inches]
    inches[5] |= {"page_height_mm": 300}
    campaign = builders.campaign(length_unit="in", guillotine_max_cut_mm=45, guillotine_max_lift_mm=2)
    findings = find_in_cells(builders.inventory(tmp_path / "a.xlsx", campaign=campaign, volumes=inches))
    assert told(findings, "unit_suspected") == [("error", "F7", "check the unit; 300 mm, which is 300 mm?")]
    assert "number_out_of_range" not in {f.code for f in findings if f.sheet == "Volumes"}


def test_four_lengths_say_nothing_of_what_is_usual(tmp_path: Path) -> None:
    volumes = [*SIX[:3], SIX[3] | {"page_height_mm": 11.75}]
    findings = find_in_cells(builders.inventory(tmp_path / "inventory.xlsx", volumes=volumes))
    assert told(findings, "unit_suspected") == []
    assert [f.cell for f in findings if f.code == "page_implausible"] == ["F5"]


def test_a_mix_of_two_units_is_told_for_the_fewer(tmp_path: Path) -> None:
    inches = {"page_width_mm": 9.5, "page_height_mm": 11.75}
    volumes = [volume | (inches if number % 3 == 0 else {}) for number, volume in enumerate(SIX)]
    findings = find_in_cells(builders.inventory(tmp_path / "inventory.xlsx", volumes=volumes))
    assert [cell for _, cell, _ in told(findings, "unit_suspected")] == ["E2", "F2", "E5", "F5"]


def volumes_sheet(*lines: dict[str, CellText]) -> RawSheet:
    names = ("volume_id", "collection", "title", "leaves", "page_width", "page_height", "binding")
    columns = {
        name: RawColumn(chr(ord("A") + number), f"{chr(ord('A') + number)}1", "", {
            row_no: line[name] for row_no, line in enumerate(lines, start=2) if name in line
        })
        for number, name in enumerate(names)
    }  # fmt: skip
    return RawSheet("Volumes", is_read=True, columns=columns)


def book(volume_id: str, leaves: str = "40") -> dict[str, CellText]:
    return {
        "volume_id": ("text", volume_id), "collection": ("text", "C"), "leaves": ("number", leaves),
        "page_width": ("number", "240"), "page_height": ("number", "300"), "binding": ("text", "sewn"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("line", "cell"),
    [
        ({"volume_id": ("text", "Total"), "leaves": ("number", "90")}, "A4"),
        ({"volume_id": ("text", "TOTALS:")}, "A4"),
        ({"title": ("text", "Grand total"), "leaves": ("number", "90")}, "C4"),
        ({"leaves": ("number", "90")}, "D4"),
        ({"leaves": ("text", "90")}, "D4"),
        ({"leaves": ("formula", "=SUM(D2:D3)")}, "D4"),
        ({"leaves": ("formula", "=D2+1")}, ""),
        ({"leaves": ("number", "91")}, ""),
        ({"volume_id": ("text", "Totally rebound")}, ""),
        (book("Total"), ""),
        ({"title": ("text", "loose"), "leaves": ("number", "90")}, ""),
    ],
)
def test_a_row_of_totals(line: dict[str, CellText], cell: str) -> None:
    raw = volumes_sheet(book("A"), book("B", "50"), line)
    kept, findings = without_totals(VOLUMES, raw)
    assert [(f.code, f.level, f.cell) for f in findings] == (
        [("totals_row", "warning", cell)] if cell else []
    )
    assert kept.row_nos() == ([2, 3] if cell else [2, 3, 4])


def test_the_rows_above_totals_are_read_as_ever(tmp_path: Path) -> None:
    tables = builders.inventory_tables()
    tables["Volumes"].append(["Total"] + [None] * 5 + [40])
    findings = find(builders.write_tables(tmp_path / "inventory.xlsx", tables))
    assert [(f.code, f.cell) for f in findings if f.level != "note"] == [("totals_row", "A3")]


@pytest.mark.parametrize(
    ("first", "second", "is_alike"),
    [
        ("CC-1", "cc-1", True),
        ("CC-1", "CC-001", True),
        ("CC-1", "CC 1", True),
        ("CC-1", "CC1", True),
        ("CC-1", "CC\u20131", True),
        ("CC 1", "CC  1", None),
        ("7", "007", True),
        ("CC-1", "CC-10", False),
        ("CC-1", "CC-1a", False),
        ("1-1", "11", False),
        ("1.01", "1.1", False),
        ("10", "100", False),
    ],
)
def test_identifiers_that_look_alike(tmp_path: Path, first: str, second: str, is_alike: bool | None) -> None:
    volumes = [builders.volume(first), builders.volume(second)]
    path = builders.inventory(tmp_path / "inventory.xlsx", volumes=volumes, openings=None)
    found = [(f.code, f.cell) for f in find(path) if f.level != "note"]
    expected = {True: [("id_look_alike", "A3")], False: [], None: [("duplicate_id", "A3")]}
    assert found == expected[is_alike]


def test_identifiers_keep_their_noughts(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx", volumes=[builders.volume("00123")])
    assert ("text", "00123") in read_inventory(path).sheets[1].cells.select("cell_kind", "text").rows()


def test_dates_of_a_1904_workbook_are_the_days_they_show(tmp_path: Path) -> None:
    workbook = Workbook()
    workbook.epoch = CALENDAR_MAC_1904
    workbook.worksheets[0].append([date(2027, 3, 1)])
    workbook.save(tmp_path / "inventory.xlsx")
    assert read_inventory(tmp_path / "inventory.xlsx").sheets[0].cells["text"].to_list() == ["2027-03-01"]


LENGTHS = st.lists(st.floats(60, 400), min_size=6, max_size=12)


@hypothesis_settings(max_examples=25, deadline=None, derandomize=True)
@given(LENGTHS)
def test_pages_within_a_factor_of_their_middle_are_never_suspected(lengths: list[float]) -> None:
    cells: dict[int, CellText] = {
        row_no: ("number", repr(value)) for row_no, value in enumerate(lengths, start=2)
    }
    raw = RawSheet("Volumes", is_read=True, columns={"page_width": RawColumn("A", "A1", "", cells)})
    found = read_volumes(raw, Words(), figures(builders.policy_frames()))
    assert "unit_suspected" not in {finding.code for finding in found.findings}

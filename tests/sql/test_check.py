"""The SELECTs of sql/02_check: findings that no single cell shows, at the cells a person looks at."""

from datetime import date
from pathlib import Path

import pytest

from tests import builders
from tests.checking import find, places


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return tmp_path / "inventory.xlsx"


def test_the_line_of_a_page_taller_than_any_stock(book: Path) -> None:
    volumes = [builders.volume(f"V-{number}") for number in range(3)]
    volumes.append(builders.volume("tall", page_height_mm=2150.0))
    finding = next(
        f for f in find(builders.inventory(book, volumes=volumes, openings=None)) if f.level == "error"
    )
    assert finding.line() == (
        "Volumes!F5  error  page_height 2150 mm is taller than any stock  check the unit; 215.0 mm?"
    )
    assert finding.volume_id == "tall"


def test_a_large_page_that_needs_no_leaf_is_a_warning(book: Path) -> None:
    volumes = [builders.volume(), builders.volume("poster", page_width_mm=900.0, page_height_mm=1300.0)]
    findings = find(builders.inventory(book, volumes=volumes))
    assert ("page_larger_than_stock", "Volumes", "F3") in places(findings, "warning")
    openings = [builders.opening("poster")]
    findings = find(builders.inventory(book, volumes=volumes, openings=openings))
    assert places(findings) == [("page_larger_than_stock", "Volumes", "F3")]


def test_rolls_reach_as_far_as_the_bench_handles(book: Path) -> None:
    # 1206 x 700: the least leaf is 1200 x 694; a roll gives 1200 less 3 mm at both ends
    volume = builders.volume(page_width_mm=700.0, page_height_mm=1206.0)
    roll = builders.stock(form="roll", width_mm=1400.0, length_mm=50_000.0, trim_mm=3.0)
    sheet = builders.stock(form="sheet", width_mm=710.0, length_mm=1206.0, trim_mm=3.0)
    for stock, codes in (
        (roll, set()),
        (sheet, set()),
        (sheet | {"length_mm": 1205.0}, {"page_larger_than_stock"}),
    ):
        found = find(builders.inventory(book, volumes=[volume], stock=[stock]))
        assert {finding.code for finding in found if finding.level == "error"} == codes


def test_duplicate_ids_name_both_places(book: Path) -> None:
    frames = {
        "volumes": [builders.volume("A"), builders.volume("B"), builders.volume("A")],
        "papers": [builders.paper(), builders.paper()],
        "stock": [builders.stock(), builders.stock()],
        "staff": [builders.person(), builders.person()],
        "rates": [builders.rate(), builders.rate()],
        "openings": [builders.opening("A")],
    }
    findings = [f for f in find(builders.inventory(book, **frames)) if f.level == "error"]
    assert {f.code for f in findings} == {"duplicate_id"}
    assert [f"{f.sheet}!{f.cell} {f.message}" for f in findings] == [
        "Volumes!A4 volume_id A is there twice, also at Volumes!A2",
        "Papers!A3 paper_id P-1 is there twice, also at Papers!A2",
        "Stock!A3 stock_id S-1 is there twice, also at Stock!A2",
        "Staff!A3 staff_id T-1 is there twice, also at Staff!A2",
        "Rates!A3 task remove is there twice, also at Rates!A2",
    ]


def test_unknown_ids_get_the_nearest_known_one(book: Path) -> None:
    openings = [builders.opening("V-O01"), builders.opening("Z"), builders.opening("V-001")]
    findings = [f for f in find(builders.inventory(book, openings=openings)) if f.level == "error"]
    assert [(f.code, f.cell, f.volume_id, f.action) for f in findings] == [
        ("unknown_volume", "A2", "V-O01", "did you mean V-001?"),
        ("unknown_volume", "A3", "Z", "add it there or mend it here"),
    ]


def test_openings_run_from_0_to_the_number_of_leaves(book: Path) -> None:
    rows = [
        builders.opening(openings="0, 40"),
        builders.opening(openings="38-41"),
        builders.opening(openings=None, count=42, left=None),
    ]
    findings = find(builders.inventory(book, openings=rows))
    assert places(findings) == [
        ("too_many_openings", "Volumes", "G2"),
        ("opening_out_of_range", "Openings", "B3"),
        ("too_many_openings", "Openings", "C4"),
    ]


def test_repeated_rows_and_contradicting_content_are_warnings(book: Path) -> None:
    rows = [
        builders.opening(openings="3-5", left="print", right=None),
        builders.opening(openings="3-5", left="print", right=None),
        builders.opening(openings="5", left="silk", right="print", hazards="fastener"),
        builders.opening(openings="9", left="silk"),
        builders.opening(openings=None, count=2),
        builders.opening(openings=None, count=2),
    ]
    findings = find(builders.inventory(book, openings=rows))
    assert places(findings) == []
    assert places(findings, "warning") == [
        ("doubled_row", "Openings", "A3"),
        ("content_differs", "Openings", "D4"),
        ("doubled_row", "Openings", "A7"),
    ]
    assert "its 2 openings count again" in next(f.message for f in findings if f.cell == "A7")


def test_decisions_that_contradict_each_other(book: Path) -> None:
    rows = [
        builders.decision(openings="3-5", decision="must"),
        builders.decision(openings="9", decision="never"),
        builders.decision(openings="5", decision="never"),
        builders.decision(openings=None, decision="paper", paper_id="P-1"),
        builders.decision(openings="41", decision="must"),
    ]
    found = places(find(builders.inventory(book, decisions=rows)))
    assert found == [
        ("decisions_clash", "Decisions", "C4"),
        ("decisions_clash", "Decisions", "C5"),
        ("decisions_clash", "Decisions", "C5"),
        ("opening_out_of_range", "Decisions", "B6"),
    ]


def test_what_nobody_can_do_and_what_cannot_be_cut(book: Path) -> None:
    findings = find(
        builders.inventory(
            book,
            volumes=[builders.volume(skill="conservator"), builders.volume("B", skill="conservator")],
            papers=[builders.paper(), builders.paper("P-2")],
            staff=[builders.person(skill="volunteer")],
        )
    )
    assert places(findings, "warning") == [
        ("paper_without_stock", "Papers", "A3"),
        ("nobody_has_skill", "Staff", ""),
        ("nobody_has_skill", "Staff", ""),
    ]
    messages = [f.message for f in findings if f.code == "nobody_has_skill"]
    assert messages[0].endswith("needed for 2 volumes, the first V-001")
    assert "cut_lift" in messages[1]


def test_people_and_absences_outside_the_campaign(book: Path) -> None:
    findings = find(
        builders.inventory(
            book,
            staff=[builders.person(), builders.person("late", **{"from": date(2028, 1, 1)})],
            absences=[builders.absence(**{"from": date(2026, 1, 1), "until": date(2026, 1, 9)})],
        )
    )
    assert places(findings, "warning") == [("person_outside_campaign", "Staff", "E3")]
    assert ("absence_outside_campaign", "Absences", "C2") in places(findings, "note")


def test_two_rows_without_openings_are_told_at_their_cells_alone(book: Path) -> None:
    openings = [builders.opening(openings=None), builders.opening(openings=None)]
    found = find(builders.inventory(book, openings=openings))
    assert places(found) == [("required_missing", "Openings", "B2"), ("required_missing", "Openings", "B3")]
    assert "doubled_row" not in {finding.code for finding in found}

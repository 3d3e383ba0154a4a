"""Stage 02: every finding at once, each with its code, sheet and cell; clean tables of what could be read."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pipeline.contracts import TABLES
from pipeline.stages.check import CHECK_WRITES, check_inventory
from pipeline.stages.ingest import ingest_inventory
from tests import builders
from tests.checking import check_cells, check_file, find, find_in_cells, places

Tables = dict[str, list[list[Any]]]
NOTES = {"sheet_absent", "rates_of_policy"}


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return tmp_path / "inventory.xlsx"


def full_tables() -> Tables:
    """Every sheet with one row."""
    return builders.inventory_tables(
        volumes=[builders.volume(openings_fastener=None, cover_width_mm=244.0)],
        absences=[builders.absence()],
        rates=[builders.rate()],
        enclosures=[builders.enclosure()],
        decisions=[builders.decision()],
    )


def put(tables: Tables, sheet: str, heading: str, value: object) -> str:
    """Put a value into the first row of a column (or a campaign setting) and give its address."""
    lines = tables[sheet]
    if sheet == "Campaign":
        row = next((line for line in lines if line[0] == heading), None)
        if row is None:
            lines.append([heading, value])
        else:
            row[1] = value
        return f"B{next(number for number, line in enumerate(lines, start=1) if line[0] == heading)}"
    column = lines[0].index(heading)
    lines[1][column] = value
    letters = chr(ord("A") + column) if column < 26 else f"A{chr(ord('A') + column - 26)}"
    return f"{letters}2"


Fault = tuple[str, str, object, str, str]
CELL_FAULTS: list[Fault] = [
    ("Campaign", "name", None, "required_missing", "error"),
    ("Campaign", "end_date", "31.12.2027", "not_a_date", "error"),
    ("Campaign", "end_date", date(2026, 1, 1), "end_before_start", "error"),
    ("Campaign", "end_date", date(2127, 1, 1), "campaign_too_long", "error"),
    ("Campaign", "start_date", date(1604, 1, 1), "number_out_of_range", "error"),
    ("Campaign", "supplies_budget", -1, "number_out_of_range", "error"),
    ("Campaign", "supplies_budget", "plenty", "not_a_number", "error"),
    ("Campaign", "spares_pct", 101, "number_out_of_range", "error"),
    ("Campaign", "working_days", "weekdays", "days_unclear", "error"),
    ("Campaign", "max_sizes_per_sheet", 0, "number_out_of_range", "error"),
    ("Campaign", "max_sizes_per_sheet", 1e20, "number_out_of_range", "error"),
    ("Campaign", "guillotine_max_cut", 0, "number_out_of_range", "error"),
    ("Campaign", "country", "XX", "unknown_country", "error"),
    ("Campaign", "page_size", "A3", "unknown_word", "error"),
    ("Volumes", "collection", None, "required_missing", "error"),
    ("Volumes", "page_width", "wide", "not_a_number", "error"),
    ("Volumes", "page_width", -240, "number_out_of_range", "error"),
    ("Volumes", "page_width", 0, "number_out_of_range", "error"),
    ("Volumes", "page_width", "3/8", "unit_missing", "error"),
    ("Volumes", "page_width", "1,234", "number_ambiguous", "error"),
    ("Volumes", "page_width", "#N/A", "error_cell", "error"),
    ("Volumes", "page_width", "=A1*2", "formula_without_value", "error"),
    ("Volumes", "page_width", 1e306, "error_cell", "error"),
    ("Volumes", "page_height", 99_999, "number_out_of_range", "error"),
    ("Volumes", "page_height", 21.5, "page_implausible", "warning"),
    ("Volumes", "leaves", 0, "number_out_of_range", "error"),
    ("Volumes", "leaves", 40.5, "not_whole", "error"),
    ("Volumes", "leaves", True, "not_a_number", "error"),
    ("Volumes", "binding", "laces", "unknown_word", "error"),
    ("Volumes", "joints", None, "required_missing", "error"),
    ("Volumes", "significance", 6, "number_out_of_range", "error"),
    ("Volumes", "odour", "strong", "unknown_word", "error"),
    ("Volumes", "hold", "mold", "unknown_word", "error"),
    ("Volumes", "contents", "print, vellum", "unknown_word", "error"),
    ("Volumes", "existing_leaves", 12, "leaf_thickness_missing", "warning"),
    ("Volumes", "fore_edge_thickness", 210, "wedge_implausible", "warning"),
    ("Volumes", "spine_thickness", 0.5, "thickness_implausible", "warning"),
    ("Volumes", "cover_width", 230, "cover_smaller_than_page", "warning"),
    ("Volumes", "openings_fastener", -1, "number_out_of_range", "error"),
    ("Volumes", "openings_fastener", 42, "too_many_openings", "error"),
    ("Volumes", "openings_fastener", 41, "too_many_openings", "error"),
    ("Openings", "openings", None, "required_missing", "error"),
    ("Openings", "openings", 3.7, "openings_unclear", "error"),
    ("Openings", "openings", date(2027, 7, 3), "became_date", "error"),
    ("Openings", "count", 5, "count_differs", "warning"),
    ("Openings", "left", "vellum", "unknown_word", "error"),
    ("Openings", "hazards", "fasteners", "unknown_word", "error"),
    ("Openings", "hazards", None, "required_missing", "error"),
    ("Openings", "hazards", "left:facing_photographs", "side_ignored", "warning"),
    ("Openings", "severity", 4, "number_out_of_range", "error"),
    ("Papers", "buffer", "alkaline", "unknown_word", "error"),
    ("Papers", "ph", 15, "number_out_of_range", "error"),
    ("Papers", "ph", 5.5, "ph_implausible", "warning"),
    ("Papers", "thickness_um", 0.08, "number_out_of_range", "error"),
    ("Papers", "grammage_gsm", 600, "density_implausible", "warning"),
    ("Stock", "width", 0, "number_out_of_range", "error"),
    ("Stock", "pack_quantity", 0, "number_out_of_range", "error"),
    ("Stock", "pack_price", 0, "price_is_zero", "warning"),
    ("Stock", "grain", "across", "unknown_word", "error"),
    ("Stock", "trim", 350, "trim_too_large", "error"),
    ("Stock", "trim", -1, "number_out_of_range", "error"),
    ("Staff", "skill", "boss", "unknown_word", "error"),
    ("Staff", "hours_per_week", 0, "number_out_of_range", "error"),
    ("Staff", "hours_per_week", 169, "number_out_of_range", "error"),
    ("Staff", "hours_per_week", 100, "day_too_long", "error"),
    ("Absences", "until", date(2027, 7, 1), "end_before_start", "error"),
    ("Rates", "task", "binding", "unknown_word", "error"),
    ("Rates", "minutes", None, "required_missing", "error"),
    ("Rates", "minutes_high", 0.1, "rate_order", "error"),
    ("Enclosures", "inner_depth", None, "required_missing", "error"),
    ("Decisions", "decision", "maybe", "unknown_word", "error"),
    ("Decisions", "decision", "paper", "required_missing", "error"),
]
PLACED_ELSEWHERE: dict[object, str] = {
    "rate_order": "B2",
    "leaf_thickness_missing": "U2",
    "density_implausible": "L2",
    ("required_missing", "paper"): "D2",
}
"""Faults that are told at the cell to mend, not at the one that was changed."""


def fault_books() -> list[list[Fault]]:
    """Every fault once, spread over books with at most one fault on a sheet, so that each is told alone."""
    books: list[list[Fault]] = []
    for fault in CELL_FAULTS:
        free = next((book for book in books if fault[0] not in {other[0] for other in book}), None)
        if free is None:
            books.append([fault])
        else:
            free.append(fault)
    return books


@pytest.mark.parametrize("faults", fault_books(), ids=lambda faults: f"{len(faults)}_faults")
def test_each_fault_is_one_finding_at_its_cell(book: Path, faults: list[Fault]) -> None:
    tables = full_tables()
    expected = []
    for sheet, heading, value, code, level in faults:
        cell = put(tables, sheet, heading, value)
        told_at = PLACED_ELSEWHERE.get(code) or PLACED_ELSEWHERE.get((code, str(value))) or cell
        expected.append((code, level, sheet, told_at))
    findings = [f for f in find_in_cells(builders.write_tables(book, tables)) if f.code not in NOTES]
    assert sorted((f.code, f.level, f.sheet, f.cell) for f in findings) == sorted(expected)
    for finding in findings:
        assert finding.action
        assert finding.volume_id == ("V-001" if finding.sheet in ("Volumes", "Openings", "Decisions") else "")


def test_the_full_inventory_is_faultless_and_keeps_every_contract(book: Path) -> None:
    frames = check_file(builders.write_tables(book, full_tables()))
    assert frames["clean.findings"]["code"].to_list() == ["rates_of_policy"]


def test_all_findings_of_all_sheets_come_in_one_run(book: Path) -> None:
    tables = builders.inventory_tables(
        campaign=builders.campaign(end_date="soon"),
        volumes=[
            builders.volume("A", page_height_mm=2150.0, binding="laces"),
            builders.volume("B", spine_thickness_mm=-4.0),
            builders.volume("C", leaves=None),
            builders.volume("A"),
        ],
        openings=[
            builders.opening("A", openings="41"),
            builders.opening("D"),
            builders.opening("C", hazards="rust"),
        ],
        stock=[builders.stock(), builders.stock("S-2", paper_id="P-9")],
        absences=[builders.absence("T-9")],
    )
    for lines in (tables["Staff"],):
        for line in lines:
            del line[1]
    found = places(find(builders.write_tables(book, tables)))
    assert found == [
        ("not_a_date", "Campaign", "B4"),
        ("page_larger_than_stock", "Volumes", "F2"),
        ("unknown_word", "Volumes", "H2"),
        ("number_out_of_range", "Volumes", "K3"),
        ("required_missing", "Volumes", "G4"),
        ("duplicate_id", "Volumes", "A5"),
        ("opening_out_of_range", "Openings", "B2"),
        ("unknown_volume", "Openings", "A3"),
        ("unknown_word", "Openings", "F4"),
        ("unknown_paper", "Stock", "B3"),
        ("column_missing", "Staff", "A1"),
        ("unknown_staff", "Absences", "A2"),
    ]


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


def test_faulty_rows_cause_no_further_findings(book: Path) -> None:
    """What refers to a faulty row is not unknown; sizes are not judged against stock that cannot be read."""
    tables = builders.inventory_tables(
        volumes=[builders.volume("A", binding="laces"), builders.volume("B", page_height_mm=1200.0)],
        openings=[builders.opening("A"), builders.opening("B")],
        papers=[builders.paper(ph=99.0)],
        stock=[builders.stock(width_mm="broad")],
        staff=[builders.person(skill="boss")],
        absences=[builders.absence()],
        decisions=[builders.decision("A", decision="paper", paper_id="P-1")],
    )
    assert places(find(builders.write_tables(book, tables))) == [
        ("unknown_word", "Volumes", "H2"),
        ("number_out_of_range", "Papers", "H2"),
        ("not_a_number", "Stock", "D2"),
        ("unknown_word", "Staff", "B2"),
    ]


def test_rows_with_errors_are_left_out_of_the_clean_tables(book: Path) -> None:
    frames = check_cells(
        builders.inventory(
            book,
            volumes=[
                builders.volume("A"),
                builders.volume("B", binding="laces"),
                builders.volume("A", leaves=9),
            ],
            openings=[builders.opening("A"), builders.opening("B"), builders.opening("A", severity=9)],
        )
    )
    assert frames["clean.volumes"].select("volume_id", "leaves").rows() == [("A", 40)]
    assert frames["clean.opening_rows"]["row_no"].to_list() == [2]


def test_missing_supplies_and_people_are_errors_for_now_and_the_rest_notes(book: Path) -> None:
    findings = find(builders.inventory(book, papers=None, stock=None, staff=None, openings=None))
    assert places(findings) == [("sheet_missing", sheet, "") for sheet in ("Papers", "Stock", "Staff")]
    assert [f.sheet for f in findings if f.code == "sheet_absent"] == [
        "Openings",
        "Absences",
        "Rates",
        "Enclosures",
        "Decisions",
    ]


def test_a_sheet_of_headings_alone_is_an_error_where_rows_are_needed(book: Path) -> None:
    tables = full_tables()
    for sheet in ("Volumes", "Openings", "Decisions", "Absences"):
        del tables[sheet][1:]
    found = places(find(builders.write_tables(book, tables)))
    assert found == [("sheet_empty", "Volumes", "")]


def test_an_unreadable_length_unit_is_one_finding(book: Path) -> None:
    findings = find_in_cells(builders.inventory(book, campaign=builders.campaign(length_unit="furlong")))
    assert places(findings) == [("unknown_word", "Campaign", "B5")]
    assert findings[0].action == "use one of: mm, cm, in"


def test_a_setting_that_is_missing_doubled_or_unknown(book: Path) -> None:
    tables = builders.inventory_tables()
    tables["Campaign"] = [line for line in tables["Campaign"] if line[0] != "end_date"]
    tables["Campaign"] += [["currency", "GBP"], ["suplies_budget", 5]]
    findings = find_in_cells(builders.write_tables(book, tables))
    assert places(findings) == [
        ("required_missing", "Campaign", ""),
        ("duplicate_setting", "Campaign", "A17"),
    ]
    assert [(f.code, f.cell, f.action) for f in findings if f.level == "warning"] == [
        ("unknown_setting", "A18", "did you mean supplies_budget?")
    ]


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
    assert findings[-1].sheet == "Decisions"
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


def test_counts_are_what_lies_beyond_the_rows(book: Path) -> None:
    frames = check_cells(
        builders.inventory(
            book,
            volumes=[builders.volume(openings_fastener=10, openings_acidic_insert=4)],
            openings=[
                builders.opening(openings="3-5", hazards="acidic_insert, fastener"),
                builders.opening(openings="5-6", hazards="left:fastener"),
                builders.opening(openings=None, count=2, hazards="fastener"),
            ],
        )
    )
    # fasteners: 3-6 listed and 2 without places, so 4 of 10 are left; inserts: 3 of 4 listed
    assert frames["clean.count_groups"].rows() == [
        ("V-001", 1, "acidic_insert", 1, False),
        ("V-001", 2, "fastener", 4, False),
    ]
    assert frames["clean.volume_counts"]["count"].to_list() == [4, 10]
    assert frames["clean.opening_rows"]["count"].to_list() == [3, 2, 2]


def test_counts_laid_onto_each_other_are_noted(book: Path) -> None:
    volumes = [builders.volume(openings_fastener=30, openings_acidic_insert=20)]
    path = builders.inventory(book, volumes=volumes, openings=None)
    frames = check_cells(path)
    assert frames["clean.count_groups"].select("hazard", "count", "has_counts_overlaid").rows() == [
        ("acidic_insert", 20, True),
        ("fastener", 20, True),
        ("fastener", 10, False),
    ]
    assert ("counts_overlaid", "Volumes", "A2") in places(find_in_cells(path), "note")


def test_counts_below_the_rows_and_counts_that_do_not_fit_beside_them(book: Path) -> None:
    openings = [builders.opening(openings="0-30", hazards="fastener")]
    low = builders.inventory(book, volumes=[builders.volume(openings_fastener=5)], openings=openings)
    assert places(find_in_cells(low), "warning") == [("count_below_rows", "Volumes", "AB2")]
    high = builders.inventory(book, volumes=[builders.volume(openings_acidic_insert=11)], openings=openings)
    assert places(find_in_cells(high)) == [("too_many_openings", "Volumes", "AB2")]


def test_defaults_come_from_the_policy(book: Path) -> None:
    tables = builders.inventory_tables(
        campaign={"name": "Bare", "start_date": date(2027, 1, 4), "end_date": date(2027, 3, 1)},
        rates=[{"task": "check", "minutes": 10.0}],
    )
    for sheet, heading in (("Stock", "trim"), ("Staff", "days")):
        put(tables, sheet, heading, None)
    frames = check_cells(builders.write_tables(book, tables))
    campaign = frames["clean.campaign"].row(0, named=True)
    expected = {
        "length_unit": "mm",
        "currency": "",
        "supplies_budget": None,
        "spares_pct": 3.0,
        "horizon_years": 50.0,
        "working_days": "Mon, Tue, Wed, Thu, Fri",
        "max_sizes_per_sheet": 3,
        "guillotine_max_cut_mm": 1150.0,
        "guillotine_max_lift_mm": 60.0,
        "page_size": "A4",
    }
    assert {name: campaign[name] for name in expected} == expected
    assert frames["clean.stock"]["trim_mm"].to_list() == [3.0]
    assert frames["clean.staff"]["days"].to_list() == ["Mon, Tue, Wed, Thu, Fri"]
    rate = frames["clean.rates"].filter(task="check").row(0, named=True)
    assert rate == {
        "task": "check",
        "minutes": 10.0,
        "minutes_low": 7.0,
        "minutes_high": 13.0,
        "skill": "technician",
    }
    assert frames["clean.rates"].height == 10
    assert frames["clean.enclosure_stock"].height == builders.policy_frames()["policy.enclosures"].height


def test_the_same_collection_in_mm_cm_inches_and_csv_is_the_same(tmp_path: Path) -> None:
    mm = [builders.volume(page_width_mm=241.3, page_height_mm=288.925)]
    written = {
        "mm": (241.3, 288.925),
        "cm": (24.13, 28.8925),
        "in": (9.5, "11 3/8"),
    }
    expected = check_cells(builders.inventory(tmp_path / "mm.xlsx", volumes=mm))["clean.volumes"]
    for unit, (width, height) in written.items():
        for path in (tmp_path / f"{unit}_2.xlsx", tmp_path / f"{unit}_folder"):
            tables = builders.inventory_tables(campaign=builders.campaign(length_unit=unit))
            for sheet, lines in tables.items():
                for column, heading in enumerate(lines[0]):
                    if heading in ("width", "length", "trim", "spine_thickness", "fore_edge_thickness"):
                        lines[1][column] = (
                            f"{lines[1][column]} mm" if sheet in ("Stock", "Volumes") else lines[1][column]
                        )
            put(tables, "Campaign", "guillotine_max_cut", "1150 mm")
            put(tables, "Campaign", "guillotine_max_lift", "60 mm")
            put(tables, "Volumes", "page_width", width)
            put(tables, "Volumes", "page_height", height)
            assert check_cells(builders.write_tables(path, tables))["clean.volumes"].equals(expected)


def test_decimal_commas_and_semicolons(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory", volumes=[builders.volume(page_width_mm="241,30")])
    for file in path.iterdir():
        lines = [line.replace(",", ";") for line in file.read_text(encoding="utf-8").splitlines()]
        text = "\n".join(lines).replace('"241;30"', "241,30")
        file.write_text(
            text.replace('"Mon; Tue; Wed; Thu; Fri"', "Mon, Tue, Wed, Thu, Fri"), encoding="utf-8-sig"
        )
    frames = check_cells(path)
    assert places(find_in_cells(path)) == []
    assert frames["clean.volumes"]["page_width_mm"].to_list() == [241.3]


def test_hazards_and_contents_of_the_labs_policy_are_known(tmp_path: Path) -> None:
    policy = tmp_path / "policy.toml"
    policy.write_text(
        "[hazard.red_rot]\nstaining_rate_per_century = 0.2\n[content.vellum]\nvulnerability_frac = 0.5\n"
    )
    volume = builders.volume(contents="vellum")
    volume["openings_Red rot"] = 4
    path = builders.inventory(
        tmp_path / "inventory.xlsx", volumes=[volume], openings=[builders.opening(hazards="right:red rot")]
    )
    frames = check_cells(path, policy)
    assert places(find_in_cells(path, policy)) == []
    assert frames["clean.row_hazards"].select("hazard", "side").rows() == [("red_rot", "right")]
    assert frames["clean.count_groups"].select("hazard", "count").rows() == [("red_rot", 3)]
    assert places(find_in_cells(path))[:2] == [
        ("unknown_word", "Volumes", "S2"),
        ("unknown_word", "Openings", "F2"),
    ]


def test_a_count_column_of_an_unknown_hazard(book: Path) -> None:
    volume = builders.volume(openings_fasteners=3, openings_dust=2)
    findings = find_in_cells(builders.inventory(book, volumes=[volume]))
    assert [(f.code, f.level, f.cell, f.action) for f in findings if f.code not in NOTES] == [
        ("unknown_hazard_column", "error", "AB1", "did you mean openings_fastener?"),
        ("unknown_hazard_column", "warning", "AC1", "define it in the policy file"),
    ]


def test_public_holidays_and_absences_of_the_whole_lab_close_it(book: Path) -> None:
    frames = check_cells(
        builders.inventory(
            book,
            campaign=builders.campaign(country="GB-SCT"),
            absences=[builders.absence(None, reason="stocktaking")],
        )
    )
    days = dict(frames["clean.closures"].select("day", "reason").rows())
    assert days[date(2027, 7, 5)] == "stocktaking"
    assert date(2027, 11, 30) in days


def test_row_order_changes_nothing_but_row_numbers(tmp_path: Path) -> None:
    volumes = [builders.volume(f"V-{number}", openings_fastener=number, leaves=40) for number in range(1, 8)]
    openings = [builders.opening(f"V-{number}", openings=f"{number}-9") for number in range(1, 8)]
    forward = check_cells(builders.inventory(tmp_path / "a.xlsx", volumes=volumes, openings=openings))
    backward = check_cells(
        builders.inventory(tmp_path / "b.xlsx", volumes=volumes[::-1], openings=openings[::-1])
    )
    for table in ("clean.volumes", "clean.count_groups", "clean.volume_counts"):
        columns = [name for name in TABLES[table].column_names if name != "row_no"]
        key = TABLES[table].key
        assert forward[table].select(columns).sort(key).equals(backward[table].select(columns).sort(key))


def test_nothing_at_all_is_still_findings(book: Path) -> None:
    frames = ingest_inventory({}, builders.settings(builders.write_tables(book, {"Sheet1": [[]]})))
    checked = check_inventory({**builders.policy_frames(), **frames}, builders.settings(book))
    assert set(checked) == set(CHECK_WRITES)
    assert checked["clean.volumes"].is_empty()
    assert {sheet for _, sheet, _ in places(find(book))} == {
        "Campaign",
        "Volumes",
        "Papers",
        "Stock",
        "Staff",
    }

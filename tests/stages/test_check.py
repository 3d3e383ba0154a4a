"""Stage 02: every finding at once, each with its code, sheet and cell; clean tables of what could be read."""

from datetime import date
from pathlib import Path

import pytest

from pipeline.contracts import TABLES
from pipeline.stages.check import CHECK_WRITES, check_inventory
from pipeline.stages.ingest import ingest_inventory
from tests import builders
from tests.checking import NOTES, check_cells, check_file, find, find_in_cells, full_tables, places, put


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return tmp_path / "inventory.xlsx"


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


def test_missing_supplies_and_people_are_warnings_and_the_rest_notes(book: Path) -> None:
    findings = find(builders.inventory(book, papers=None, stock=None, staff=None, openings=None))
    assert places(findings) == []
    warned = [("starter_set", sheet, "") for sheet in ("Papers", "Stock", "Staff")]
    assert places(findings, "warning") == warned
    assert [f.sheet for f in findings if f.code == "sheet_absent"] == ["Rates", "Enclosures"]


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
    }

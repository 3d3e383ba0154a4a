"""Stage 02, cell by cell: each fault is one finding with its code, level, sheet and cell."""

from datetime import date
from pathlib import Path

import pytest

from tests import builders
from tests.checking import NOTES, find_in_cells, full_tables, put

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
def test_each_fault_is_one_finding_at_its_cell(tmp_path: Path, faults: list[Fault]) -> None:
    tables = full_tables()
    expected = []
    for sheet, heading, value, code, level in faults:
        cell = put(tables, sheet, heading, value)
        told_at = PLACED_ELSEWHERE.get(code) or PLACED_ELSEWHERE.get((code, str(value))) or cell
        expected.append((code, level, sheet, told_at))
    findings = [
        f
        for f in find_in_cells(builders.write_tables(tmp_path / "inventory.xlsx", tables))
        if f.code not in NOTES
    ]
    assert sorted((f.code, f.level, f.sheet, f.cell) for f in findings) == sorted(expected)
    for finding in findings:
        assert finding.action
        assert finding.volume_id == ("V-001" if finding.sheet in ("Volumes", "Openings", "Decisions") else "")

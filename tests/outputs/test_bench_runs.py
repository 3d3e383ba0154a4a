"""Openings of a bench sheet as runs in page order."""

from pipeline.outputs.bench_sheets import opening_runs
from pipeline.outputs.wording import hazard_words, plural


def _words(rows: list[dict[str, object]]) -> list[tuple[str, int]]:
    return [(run.words, run.sheets) for run in opening_runs(rows)]


def test_groups_are_laid_out_in_page_order() -> None:
    rows = [{"openings": "7-9, 1, 12", "sheets": 5}, {"openings": "2-3, 10", "sheets": 3}]
    assert _words(rows) == [("1", 1), ("2 to 3", 2), ("7 to 9", 3), ("10", 1), ("12", 1)]


def test_openings_without_a_place_come_last() -> None:
    rows = [{"openings": None, "sheets": 4}, {"openings": "0", "sheets": 1}]
    assert _words(rows) == [("0", 1), ("find the place", 4)]


def test_no_rows_no_runs() -> None:
    assert opening_runs([]) == []


def test_hazards_keep_their_side() -> None:
    assert hazard_words("acidic_insert, left:fastener") == "acidic insert, fastener (left)"
    assert hazard_words("right:lab_own_hazard") == "lab own hazard (right)"


def test_plural() -> None:
    assert plural(1, "sheet") == "1 sheet"
    assert plural(1200, "sheet") == "1,200 sheets"

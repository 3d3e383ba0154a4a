"""Odd cells of every kind in every place: only findings come of it, and every table keeps its contract."""

import tempfile
from datetime import date, datetime, time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from tests import builders
from tests.checking import Tables, check_file, full_tables

ODD_TEXTS = (
    "", " ", "0", "-1", "1,234", "3-7", "40", "0-40", "=1+1", "#N/A", "nan", "yes", "no", "left:fastener", "sewn",
    "V-001", "V-002", "P-1", "T-1", "mm", "cm", "in", "furlong", "11 3/8 in", '11"', "2027-01-04", "9999-12-31",
    "Mon-Fri", "\u200b", "\ufeff", "[red]", "x" * 300, "1e400", "99999999999999999999", "print; silk", "GB", "XX",
    "paper", "never", "roll", "50", "2150", "0,5", "100 %", "must",
)  # fmt: skip
ODD_VALUES = st.one_of(
    st.sampled_from(ODD_TEXTS),
    st.sampled_from(
        [None, True, False, 0, -1, 1, 3.7, 1e18, 1e300, -1e300, date(1900, 1, 1), date(9999, 12, 31)]
    ),
    st.sampled_from([datetime(2027, 7, 3, 12, 30), time(12, 30)]),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=8),
)
CHANGES = st.lists(
    st.tuples(st.integers(0, 9), st.integers(0, 3), st.integers(0, 40), ODD_VALUES), max_size=12
)


def changed(changes: list[tuple[int, int, int, object]]) -> Tables:
    """The full inventory with a second row on every sheet and some cells, headings too, replaced."""
    tables = full_tables()
    for lines in tables.values():
        lines.append(list(lines[-1]))
    for sheet, row, column, value in changes:
        lines = list(tables.values())[sheet]
        line = lines[row % len(lines)]
        line[column % len(line)] = value
    return tables


@pytest.mark.slow
@hypothesis_settings(max_examples=15, deadline=None, derandomize=True)
@given(CHANGES)
def test_odd_cells_give_findings_and_never_an_exception(changes: list[tuple[int, int, int, object]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        frames = check_file(builders.write_tables(Path(folder) / "inventory.xlsx", changed(changes)))
    assert frames["clean.findings"].select("message").to_series().str.len_chars().min() != 0

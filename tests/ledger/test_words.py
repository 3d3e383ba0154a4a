"""Entries as people type them."""

from datetime import date

import pytest

from pipeline.inventory.quantities import Problem
from pipeline.ledger.words import read_count, read_day, read_known, read_minutes, read_progress


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("45", 45.0), ("12,5", 12.5), ("12.5", 12.5), ("3h30", 210.0), ("3 h 30 min", 210.0), ("1,5 h", 90.0),
        ("3:30", 210.0), ("03:30:00", 210.0), ("90 min", 90.0), ("2h", 120.0), ("0", 0.0),
    ],
)  # fmt: skip
def test_minutes(text: str, minutes: float) -> None:
    assert read_minutes(("text", text)) == minutes


@pytest.mark.parametrize("text", ["an hour", "-5", "1.234.5", "99999", "3h75x"])
def test_minutes_that_are_not_clear(text: str) -> None:
    assert isinstance(read_minutes(("text", text)), Problem)


@pytest.mark.parametrize(
    ("text", "progress"),
    [
        ("Done", "done"), (" done! ", "done"), ("x", "done"), ("✓", "done"), ("yes", "done"), ("part", "part"),
        ("Part done", "part"), ("half", "part"), ("not done", "not_done"), ("no", "not_done"),
    ],
)  # fmt: skip
def test_how_far(text: str, progress: str) -> None:
    assert read_progress(("text", text)) == progress


def test_how_far_that_is_not_clear() -> None:
    assert isinstance(read_progress(("text", "nearly")), Problem)


def test_days() -> None:
    assert read_day(("date", "2027-03-04")) == date(2027, 3, 4)
    assert read_day(("text", "2027-03-04")) == date(2027, 3, 4)
    assert read_day(("text", "4.3.2027")) == date(2027, 3, 4)
    assert isinstance(read_day(("text", "3/4/2027")), Problem)
    assert isinstance(read_day(("text", "31.2.2027")), Problem)
    assert isinstance(read_day(("number", "46000")), Problem)


def test_counts() -> None:
    assert read_count(("text", "20 sheets")) == 20
    assert read_count(("number", "20")) == 20
    assert isinstance(read_count(("text", "2,5")), Problem)
    assert isinstance(read_count(("number", "-1")), Problem)


def test_names_near_a_known_one() -> None:
    assert read_known(("text", "v_001 "), ["V-001", "V-002"], "volume") == "V-001"
    found = read_known(("text", "V-0001"), ["V-001", "B-17"], "volume")
    assert isinstance(found, Problem)
    assert found.action == "did you mean V-001?"

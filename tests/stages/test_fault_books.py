"""Workbooks with one fault each: every one gives its finding, at its place, and nothing else; none is passed over."""

from pathlib import Path

import pytest

from tests.checking import NOTES, find, find_in_cells
from tests.fault_books import FAULT_BOOKS, LEAST_BOOKS, FaultBook


def test_there_are_enough_of_them_and_each_once() -> None:
    assert len({book.name for book in FAULT_BOOKS}) == len(FAULT_BOOKS) >= LEAST_BOOKS
    assert len({book.finding[0] for book in FAULT_BOOKS}) >= 55


@pytest.mark.slow
@pytest.mark.parametrize("book", FAULT_BOOKS, ids=lambda book: book.name)
def test_a_fault_is_one_finding(tmp_path: Path, book: FaultBook) -> None:
    findings = (find_in_cells if book.is_cell else find)(book.write(tmp_path))
    found = [f for f in findings if f.code not in NOTES]
    assert [(f.code, f.sheet, f.cell) for f in found] == [book.finding]
    assert found[0].message

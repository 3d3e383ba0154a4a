"""What a store gives back: tables kept at hand are those in the file."""

from pathlib import Path

import pytest
from polars.testing import assert_frame_equal

from pipeline.contracts import TABLES
from pipeline.errors import ContractError
from pipeline.store import Store

NAME = "work.cut_size_bounds"
ROWS = [{"paper_id": paper, "cut_sizes": 3, "lower_bound": 2} for paper in ("b", "B", "a")]


def test_a_table_reads_the_same_from_the_file_as_just_written(tmp_path: Path) -> None:
    path = tmp_path / "plan.duckdb"
    with Store(path) as store:
        store.write(NAME, TABLES[NAME].frame(ROWS))
        written = store.read(NAME)
    with Store(path, read_only=True) as store:
        assert_frame_equal(store.read(NAME), written)
    assert written["paper_id"].to_list() == ["B", "a", "b"]


def test_what_is_written_or_added_last_is_read() -> None:
    with Store(None) as store:
        for count in (3, 2):
            store.write(NAME, TABLES[NAME].frame(ROWS[:count]))
            assert store.read(NAME).height == count
        store.append(NAME, TABLES[NAME].frame(ROWS[2:]))
        assert store.read(NAME).height == 3


def test_a_select_replaces_what_was_kept() -> None:
    with Store(None) as store:
        store.write(NAME, TABLES[NAME].frame(ROWS))
        store.run_sql(NAME, "select 'c' as paper_id, 1::bigint as cut_sizes, 1::bigint as lower_bound")
        assert store.read(NAME)["paper_id"].to_list() == ["c"]
        with pytest.raises(ContractError):
            store.run_sql(NAME, "select 'd' as paper_id, 0::bigint as cut_sizes, -1::bigint as lower_bound")

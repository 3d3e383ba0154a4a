"""The plan's own work orders, filled in and sent back: each volume and pattern is a line of the ledger."""

from datetime import datetime
from pathlib import Path

import pytest

from pipeline.ledger.book import read_ledger
from pipeline.ledger.record import record_returns
from pipeline.ledger.returned import RETURNS
from tests.ledger.campaign import fill_in, small_plan

pytestmark = pytest.mark.slow
DAY = datetime(2027, 1, 6)


def test_work_orders_as_written_come_back_line_by_line(tmp_path: Path) -> None:
    plan = small_plan(tmp_path)

    def entries(kind: str, row: dict[str, object]) -> dict[str, object]:
        typed: dict[str, object] = {
            "progress": "done",
            "done_on": DAY,
            "staff_id": "V-1",
            "minutes_taken": 20,
        }
        if kind == RETURNS and row["planned 1"]:
            typed |= {
                name.replace("planned", "used"): row[name] for name in row if name.startswith("planned ")
            }
            typed["fore_edge_measured_mm"] = row["fore_edge_planned"]
        return typed if kind == RETURNS else typed | {"used_sheets_count": row["sheets_planned"]}

    filled = fill_in(plan / "work_orders.xlsx", tmp_path / "filled.xlsx", entries)
    result = record_returns(plan, [filled], accept_good_rows=False, recorded_at=datetime(2027, 1, 7))
    assert [finding.message for finding in result.findings] == []
    ledger = read_ledger(plan)
    volumes = ledger["volume_id"].drop_nulls().to_list()
    assert len(volumes) == len(set(volumes)) > 2
    assert ledger["pattern_id"].drop_nulls().len() > 0
    assert set(ledger["progress"]) == {"done"}
    again = record_returns(plan, [filled], accept_good_rows=False, recorded_at=datetime(2027, 1, 8))
    assert "already" in again.summary[0]

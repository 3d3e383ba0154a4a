"""The made inventories of the benchmark are inventories: they pass the check."""

from datetime import date, datetime
from pathlib import Path

import pytest

from pipeline.plan import check_only
from pipeline.settings import Settings
from tests.benchmarks.inventories import write_inventory


@pytest.mark.parametrize("volumes", [30, 900])
def test_made_inventories_pass_the_check(volumes: int, tmp_path: Path) -> None:
    inventory = write_inventory(tmp_path / "inventory", volumes)
    findings = check_only(
        Settings(
            inventory=inventory, out=tmp_path, as_of=date(2027, 1, 4), planned_at=datetime(2027, 1, 4, 9)
        )
    )
    assert [finding.line() for finding in findings if finding.level == "error"] == []

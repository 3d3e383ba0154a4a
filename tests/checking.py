"""Stages 01 and 02 run on a file, as the command runs them."""

from collections.abc import Iterable
from pathlib import Path

from pipeline.contracts.inventory import CROSS_CHECKS
from pipeline.errors import Finding
from pipeline.inventory.findings import findings_of, in_order
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables
from pipeline.resources import sql_text
from pipeline.stages.check import CHECK_READS, CHECK_WRITES, GATHER_READS, check_inventory, gather_findings
from pipeline.stages.frames import Frames
from pipeline.stages.ingest import ingest_inventory
from pipeline.store import Store
from tests import builders

RAW_TABLES = ("raw.sheets", "raw.headers", "raw.cells", "raw.findings")
CROSS_TABLES = tuple(f"work.{name}" for name in CROSS_CHECKS)
WRITTEN = (*RAW_TABLES, *CHECK_WRITES, *CROSS_TABLES, "clean.findings")


def check_file(inventory: Path, policy: Path | None = None) -> Frames:
    """Every policy, raw and clean table of an inventory.

    Raises FileProblemError; errors in cells are findings.
    """
    settings = builders.settings(inventory)
    tables = builders.policy_frames() if policy is None else policy_tables(load_policy(policy))
    with Store(None) as store:
        _write(store, tables)
        _write(store, ingest_inventory({}, settings))
        _write(store, check_inventory(_read(store, CHECK_READS), settings))
        for name in CROSS_CHECKS:
            store.run_sql(f"work.{name}", sql_text("02_check", name))
        _write(store, gather_findings(_read(store, GATHER_READS), settings))
        return _read(store, (*tables, *WRITTEN))


def _read(store: Store, names: Iterable[str]) -> Frames:
    return {name: store.read(name) for name in names}


def _write(store: Store, frames: Frames) -> None:
    for name, frame in frames.items():
        store.write(name, frame)


def find(inventory: Path, policy: Path | None = None) -> list[Finding]:
    """Every finding of an inventory, in order."""
    return findings_of(check_file(inventory, policy)["clean.findings"])


def places(findings: list[Finding], level: str = "error") -> list[tuple[str, str, str]]:
    """Code, sheet and cell of the findings of a level: what tests assert on."""
    return [(finding.code, finding.sheet, finding.cell) for finding in findings if finding.level == level]


def find_in_cells(inventory: Path) -> list[Finding]:
    """Findings of the file, its cells, rows and counts: all but those across rows and sheets. Much faster."""
    frames = ingest_inventory({}, builders.settings(inventory))
    checked = check_inventory({**builders.policy_frames(), **frames}, builders.settings(inventory))
    return in_order([*findings_of(frames["raw.findings"]), *findings_of(checked["work.cell_findings"])])

"""Stages 01 and 02 run on a file, as the command runs them."""

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.contracts import TABLES
from pipeline.contracts.inventory import CROSS_CHECKS
from pipeline.errors import Finding
from pipeline.frames import Frames
from pipeline.inventory.findings import findings_of, in_order
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables
from pipeline.resources import sql_text
from pipeline.stages.check import CHECK_READS, GATHER_READS, check_inventory, gather_findings
from pipeline.stages.ingest import ingest_inventory
from pipeline.store import Store
from tests import builders

Tables = dict[str, list[list[Any]]]
"""Lines of each sheet, the heading row first."""
RAW_TABLES = ("raw.sheets", "raw.headers", "raw.cells", "raw.findings")


class TrustingStore(Store):
    """A store that takes frames without their contracts' check of values, for speed: `check_file` checks
    them.
    """

    def write(self, name: str, frame: pl.DataFrame) -> None:
        """Replace a table by a frame whose columns and types are the table's."""
        self._create(TABLES[name])
        self._insert(TABLES[name], frame)


def check_file(inventory: Path, policy: Path | None = None, columns: Path | None = None) -> Frames:
    """Every policy, raw and clean table of an inventory, each held against its contract.

    Raises FileProblemError; errors in cells are findings.
    """
    frames = check_fast(inventory, policy, columns)
    for name, frame in frames.items():
        TABLES[name].check(frame)
    return frames


def check_fast(inventory: Path, policy: Path | None = None, columns: Path | None = None) -> Frames:
    """The same without holding values against the contracts; names and types of columns are still
    compared.
    """
    settings = builders.settings(inventory, columns=columns)
    store = _store_with_policy(policy)
    raw = ingest_inventory({}, settings)
    _write(store, raw)
    clean = check_inventory(_read(store, CHECK_READS), settings)
    _write(store, clean)
    for name in CROSS_CHECKS:
        store.run_sql(f"work.{name}", sql_text("02_check", name))
    crossed = _read(store, [f"work.{name}" for name in CROSS_CHECKS])
    gathered = gather_findings(_read(store, GATHER_READS), settings)
    _write(store, gathered)
    return {**_policy_tables(policy), **raw, **clean, **crossed, **gathered}


def check_cells(inventory: Path, policy: Path | None = None) -> Frames:
    """The same without the findings across rows and sheets, and without a store: much faster."""
    raw = ingest_inventory({}, builders.settings(inventory))
    tables = _policy_tables(policy)
    return {**tables, **raw, **check_inventory({**tables, **raw}, builders.settings(inventory))}


@cache
def _store_with_policy(policy: Path | None) -> Store:
    """A store in memory that holds the policy; other tables are written anew by each check."""
    store = TrustingStore(None)
    _write(store, _policy_tables(policy))
    return store


@cache
def _policy_tables(policy: Path | None) -> Frames:
    return builders.policy_frames() if policy is None else policy_tables(load_policy(policy))


def _read(store: Store, names: Iterable[str]) -> Frames:
    return {name: store.read(name) for name in names}


def _write(store: Store, frames: Frames) -> None:
    for name, frame in frames.items():
        store.write(name, frame)


def find(inventory: Path, policy: Path | None = None) -> list[Finding]:
    """Every finding of an inventory, in order."""
    return findings_of(check_fast(inventory, policy)["clean.findings"])


def places(findings: list[Finding], level: str = "error") -> list[tuple[str, str, str]]:
    """Code, sheet and cell of the findings of a level: what tests assert on."""
    return [(finding.code, finding.sheet, finding.cell) for finding in findings if finding.level == level]


def find_in_cells(inventory: Path, policy: Path | None = None) -> list[Finding]:
    """Findings of the file, its cells, rows and counts: all but those across rows and sheets."""
    frames = check_cells(inventory, policy)
    return in_order([*findings_of(frames["raw.findings"]), *findings_of(frames["work.cell_findings"])])


NOTES = {"sheet_absent", "rates_of_policy"}
"""Codes of notes that say what the policy stands in for."""


def full_tables() -> Tables:
    """Every sheet with one row."""
    return builders.inventory_tables(
        volumes=[builders.volume(openings_fastener=None, cover_width_mm=244.0)],
        absences=[builders.absence()],
        rates=[builders.rate()],
        enclosures=[builders.enclosure()],
        decisions=[builders.decision()],
    )


def put(tables: Tables, sheet: str, heading: str, value: object) -> str:
    """Put a value into the first row of a column (or a campaign setting) and give its address."""
    lines = tables[sheet]
    if sheet == "Campaign":
        row = next((line for line in lines if line[0] == heading), None)
        if row is None:
            lines.append([heading, value])
        else:
            row[1] = value
        return f"B{next(number for number, line in enumerate(lines, start=1) if line[0] == heading)}"
    column = lines[0].index(heading)
    lines[1][column] = value
    letters = chr(ord("A") + column) if column < 26 else f"A{chr(ord('A') + column - 26)}"
    return f"{letters}2"

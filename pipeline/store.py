"""The plan's store: one DuckDB file with schemas raw, policy, clean, work, published and log.

The only file that imports duckdb. Every table is made from its contract; a frame or a SELECT is checked
against that contract before it is written.
"""

import re
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import duckdb
import polars as pl

from pipeline.contracts import TABLES
from pipeline.contracts.table import DUCKDB_TYPES, Table
from pipeline.errors import ContractError, FileProblemError

SCHEMAS = ("raw", "policy", "clean", "work", "published", "log")
_STREAM = "incoming_frame"
_MOST_KEPT_BYTES = 2_000_000
"""Written tables up to this size stay at hand, as they are read again and again while rounds repeat."""


class _ArrowStream:
    """Shows DuckDB nothing of a frame but its Arrow stream, so that pyarrow is not needed."""

    def __init__(self, frame: pl.DataFrame) -> None:
        self._frame = frame

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return self._frame.__arrow_c_stream__(requested_schema)


class Store:
    """An open plan.duckdb. Use as a context manager; it is closed on leaving."""

    def __init__(self, path: Path | None, *, read_only: bool = False) -> None:
        """Open `path`, or a store in memory when it is None. Raises FileProblemError when it cannot be opened."""
        config: dict[str, str | bool | int | float | list[str]] = {
            "autoinstall_known_extensions": "false",
            "autoload_known_extensions": "false",
            "python_enable_replacements": "false",
            "threads": "2",
        }
        self._kept: dict[str, pl.DataFrame] = {}
        self.shared_path = path if read_only else None
        """The file, when other processes may read it meanwhile."""
        target = ":memory:" if path is None else str(path)
        try:
            self._con = duckdb.connect(target, read_only=read_only, config=config)
        except duckdb.IOException as error:
            raise FileProblemError(_why_not_opened(target, str(error))) from error
        if not read_only:
            for schema in SCHEMAS:
                self._con.execute(f"create schema if not exists {schema}")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._con.close()

    def begin(self) -> None:
        """Start a transaction: what follows is kept by `commit`, or by nothing."""
        self._con.execute("begin transaction")

    def commit(self) -> None:
        """Keep what was written since `begin`."""
        self._con.execute("commit")

    def read(self, name: str, *, volume_id: str | None = None) -> pl.DataFrame:
        """A table as an eager frame, columns and types as its contract says, rows in key order.

        With a volume_id only its rows, where the table has that column.
        """
        if volume_id is None and name in self._kept:
            return self._kept[name]
        table = TABLES[name]
        columns = ", ".join(f'"{column}"' for column in table.column_names)
        order = ", ".join(f'"{column}"' for column in table.key) or "all"
        is_filtered = volume_id is not None and "volume_id" in table.column_names
        where = "where volume_id = $1" if is_filtered else ""
        select = f"select {columns} from {name} {where} order by {order}"
        frame = pl.DataFrame(self._con.sql(select, params=[volume_id] if is_filtered else None))
        return frame.cast(pl.Schema(table.polars_schema), strict=True)

    def query(self, select: str) -> pl.DataFrame:
        """The answer of a SELECT as an eager frame."""
        return pl.DataFrame(self._con.sql(select))

    def has(self, name: str) -> bool:
        """Whether the table has been written."""
        schema, stem = name.split(".")
        found = self.rows(
            "select 1 from information_schema.tables where table_schema = ? and table_name = ?",
            [schema, stem],
        )
        return bool(found)

    def write(self, name: str, frame: pl.DataFrame) -> None:
        """Replace a table by a frame that keeps its contract. Rows are stored in key order.

        Raises ContractError when the frame does not keep it.
        """
        table = TABLES[name]
        checked = table.check(frame)
        if table.key:
            checked = checked.sort(table.key, nulls_last=True)
        self._create(table)
        self._insert(table, checked)
        if table.key and checked.estimated_size() <= _MOST_KEPT_BYTES:
            self._kept[name] = checked

    def append(self, name: str, frame: pl.DataFrame) -> None:
        """Add rows to a table (logs and ledgers). Raises ContractError as `write` does."""
        table = TABLES[name]
        checked = table.check(frame)
        if not self.has(name):
            self._create(table)
        self._insert(table, checked)

    def run_sql(self, name: str, select: str) -> None:
        """Fill a table from a bare SELECT, by column name, once names and types fit the contract.

        Raises ContractError when columns are missing, too many or of another type than promised.
        """
        table = TABLES[name]
        try:
            relation = self._con.sql(select)
        except duckdb.Error as error:
            raise ContractError(f"{name}: {error}") from error
        if set(relation.columns) != set(table.column_names) or len(relation.columns) != len(
            table.column_names
        ):
            raise ContractError(f"{name}: columns {relation.columns} instead of {list(table.column_names)}")
        promised = {field.name: DUCKDB_TYPES[field.kind] for field, _ in table.fields}
        found = {column: str(kind) for column, kind in zip(relation.columns, relation.types, strict=True)}
        wrong = {c: (found[c], promised[c]) for c in promised if found[c] != promised[c]}
        if wrong:
            raise ContractError(f"{name}: types (found, promised) {wrong}")
        self.write(name, pl.DataFrame(relation).select(table.column_names))

    def rows(self, select: str, values: Iterable[Any] = ()) -> list[tuple[Any, ...]]:
        """The answer of a SELECT with bound values, as tuples."""
        return self._con.execute(select, list(values)).fetchall()

    def _create(self, table: Table) -> None:
        self._kept.pop(table.name, None)
        columns = ", ".join(
            f'"{field.name}" {DUCKDB_TYPES[field.kind]}{"" if nullable else " not null"}'
            for field, nullable in table.fields
        )
        self._con.execute(f"create or replace table {table.name} ({columns})")

    def _insert(self, table: Table, frame: pl.DataFrame) -> None:
        self._kept.pop(table.name, None)
        if frame.is_empty():
            return
        columns = ", ".join(f'"{column}"' for column in table.column_names)
        self._con.register(_STREAM, _ArrowStream(frame))
        try:
            self._con.execute(f"insert into {table.name} ({columns}) select {columns} from {_STREAM}")
        finally:
            self._con.unregister(_STREAM)


def _why_not_opened(target: str, error: str) -> str:
    owner = re.search(r"PID (\d+)", error)
    if "lock" in error.lower():
        who = f"process {owner[1]}" if owner else "another program"
        return f"{target} is in use by {who}; wait until it is done and run again"
    return f"{target} is damaged or no plan: {error.strip().splitlines()[0]}"

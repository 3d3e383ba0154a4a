"""What a table is: its name, what one row means, its key and its columns, checked by a strict pandera schema.

Columns come from the register in `fields.py`; a trailing `?` marks a column that may be empty. The campaign's
settings are the one place where `value` is text (`value:text`), since the sheet's column holds names and dates too.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import polars as pl

from pipeline.contracts.fields import FIELDS, Field
from pipeline.errors import ContractError

if TYPE_CHECKING:
    import pandera.polars as pa

POLARS_TYPES: dict[str, pl.DataType] = {
    "text": pl.String(),
    "int": pl.Int64(),
    "float": pl.Float64(),
    "bool": pl.Boolean(),
    "date": pl.Date(),
    "timestamp": pl.Datetime("us"),
}
DUCKDB_TYPES = {
    "text": "VARCHAR",
    "int": "BIGINT",
    "float": "DOUBLE",
    "bool": "BOOLEAN",
    "date": "DATE",
    "timestamp": "TIMESTAMP",
}


def _field(column: str) -> tuple[Field, bool]:
    name, _, kind = column.rstrip("?").partition(":")
    field = FIELDS[name]
    if kind == "text":
        field = replace(field, kind="text", at_least=None, at_most=None)
    return field, column.endswith("?")


def _rules(field: Field, *, nullable: bool) -> Iterator[pl.Expr]:
    """What holds of a whole column of this entry, each rule one truth value."""
    column = pl.col(field.name)
    if not nullable:
        yield column.null_count() == 0
    if field.kind == "float":
        yield ~column.is_nan().any()
    if field.at_least is not None:
        yield (column >= field.at_least).all()
    if field.at_most is not None:
        yield (column <= field.at_most).all()
    if field.one_of:
        yield column.is_in(list(field.one_of)).all()


@dataclass(frozen=True)
class Table:
    """Contract of one table: strict columns in order, types, bounds and key."""

    name: str
    doc: str
    key: tuple[str, ...]
    columns: tuple[str, ...]

    @property
    def stem(self) -> str:
        """Table name without its schema; also the stem of the .sql file that makes it."""
        return self.name.split(".")[1]

    @cached_property
    def fields(self) -> tuple[tuple[Field, bool], ...]:
        """Each column's register entry and whether it may be empty."""
        return tuple(_field(column) for column in self.columns)

    @cached_property
    def column_names(self) -> tuple[str, ...]:
        """Column names in order."""
        return tuple(field.name for field, _ in self.fields)

    @cached_property
    def polars_schema(self) -> dict[str, pl.DataType]:
        """Polars type of each column, in order."""
        return {field.name: POLARS_TYPES[field.kind] for field, _ in self.fields}

    def empty(self) -> pl.DataFrame:
        """The table with no rows."""
        return pl.DataFrame(schema=self.polars_schema)

    def frame(self, rows: list[dict[str, Any]]) -> pl.DataFrame:
        """Rows as a frame with this table's columns and types; a missing entry is empty."""
        names = self.column_names
        data = {name: [row.get(name) for row in rows] for name in names}
        return pl.DataFrame(data, schema=self.polars_schema, strict=True)

    @cached_property
    def pandera_schema(self) -> "pa.DataFrameSchema":
        """The strict pandera schema that `check` uses."""
        import pandera.polars as pa  # slow to import: only when a frame is checked

        columns: dict[str, pa.Column] = {}
        for field, nullable in self.fields:
            checks = []
            if field.at_least is not None:
                checks.append(pa.Check.ge(field.at_least))
            if field.at_most is not None:
                checks.append(pa.Check.le(field.at_most))
            if field.one_of:
                checks.append(pa.Check.isin(list(field.one_of)))
            columns[field.name] = pa.Column(POLARS_TYPES[field.kind], checks, nullable=nullable)
        unique = list(self.key) or None
        return pa.DataFrameSchema(columns, strict=True, ordered=True, unique=unique, name=self.name)

    def keeps(self, frame: pl.DataFrame) -> bool:
        """Whether a quick look finds nothing that could break the contract: all rules in one pass.

        Never true of a frame that breaks it; false where in doubt (a number that is no number), for `check` to settle.
        """
        if list(frame.schema.items()) != list(self.polars_schema.items()):
            return False
        rules = [rule for field, nullable in self.fields for rule in _rules(field, nullable=nullable)]
        if self.key:
            rules.append(pl.struct(self.key).n_unique() == pl.len())
        return not rules or all(frame.select(rule.alias(str(no)) for no, rule in enumerate(rules)).row(0))

    def check(self, frame: pl.DataFrame) -> pl.DataFrame:
        """The frame itself when it keeps the contract. Raises ContractError with every failure."""
        if self.keeps(frame):
            return frame
        import pandera.errors

        try:
            self.pandera_schema.validate(frame, lazy=True)
        except pandera.errors.SchemaErrors as error:
            cases = error.failure_cases.select("column", "check", "failure_case").head(20)
            lines = "; ".join(" / ".join(str(cell) for cell in row) for row in cases.iter_rows())
            raise ContractError(f"{self.name}: {lines}") from error
        return frame

"""The quick look at a table never lets pass what the full check of its contract refuses."""

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

import pandera.errors
import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.contracts.field import Field
from pipeline.contracts.table import Table
from pipeline.errors import ContractError

PLAIN: dict[str, Any] = {
    "text": "a",
    "int": 1,
    "float": 1.0,
    "bool": True,
    "date": date(2027, 1, 4),
    "timestamp": datetime(2027, 1, 4, 9),
}
SPOILT = ("work.cut_sizes", "work.choices", "work.corrections", "published.volumes", "clean.papers")


def plain_value(field: Field) -> Any:
    if field.one_of:
        return field.one_of[0]
    if field.at_least is not None:
        return type(PLAIN[field.kind])(field.at_least)
    return PLAIN[field.kind]


def one_row(table: Table) -> dict[str, Any]:
    return {field.name: plain_value(field) for field, _ in table.fields}


def is_refused(table: Table, frame: pl.DataFrame) -> bool:
    """What pandera alone says."""
    try:
        table.pandera_schema.validate(frame, lazy=True)
    except pandera.errors.SchemaErrors:
        return True
    return False


def spoilt_rows(table: Table) -> Iterator[tuple[str, dict[str, Any]]]:
    """One row after the other with one value that its contract forbids."""
    for field, nullable in table.fields:
        if not nullable:
            yield f"{field.name} empty", {field.name: None}
        if field.at_least is not None:
            yield f"{field.name} too small", {field.name: type(PLAIN[field.kind])(field.at_least - 1)}
        if field.at_most is not None:
            yield f"{field.name} too great", {field.name: type(PLAIN[field.kind])(field.at_most + 1)}
        if field.one_of:
            yield f"{field.name} another word", {field.name: "no such word"}
        if field.kind == "float" and not nullable:
            yield f"{field.name} no number", {field.name: float("nan")}


@pytest.mark.parametrize("name", SPOILT)
def test_each_broken_rule_is_seen_by_the_quick_look_as_by_the_full_check(name: str) -> None:
    table = TABLES[name]
    good = table.frame([one_row(table)])
    assert table.keeps(good)
    assert not is_refused(table, good)
    for what, change in spoilt_rows(table):
        bad = table.frame([one_row(table) | change])
        assert is_refused(table, bad), what
        assert not table.keeps(bad), what
        with pytest.raises(ContractError, match=name):
            table.check(bad)


@pytest.mark.parametrize("name", SPOILT)
def test_a_doubled_key_or_other_columns_are_seen(name: str) -> None:
    table = TABLES[name]
    good = table.frame([one_row(table)])
    first = table.column_names[0]
    for bad in (
        pl.concat([good, good]),
        good.drop(first),
        good.with_columns(pl.lit(1).alias("one_more")),
        good.select(*reversed(table.column_names)),
        good.with_columns(pl.lit(b"x").alias(first)),
    ):
        assert is_refused(table, bad)
        assert not table.keeps(bad)


def test_tables_without_rows_are_kept_by_every_contract() -> None:
    for table in TABLES.values():
        assert table.keeps(table.empty()), table.name

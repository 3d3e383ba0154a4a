"""Contracts of every table, by name."""

from pipeline.contracts import advice, dates, inventory, ledger, making, planning, policy, published
from pipeline.contracts.table import Table

TABLES: dict[str, Table] = {
    table.name: table
    for group in (
        inventory.TABLES,
        policy.TABLES,
        planning.TABLES,
        making.TABLES,
        advice.TABLES,
        dates.TABLES,
        ledger.TABLES,
        published.TABLES,
    )
    for table in group
}

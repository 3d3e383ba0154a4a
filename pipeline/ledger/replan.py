"""What is left, planned anew: a new revision beside the old ones, from the ledger and the inventory as it is now.

The inventory is in the plan itself (schema raw holds its cells as typed), so that the file is not needed; a revised
inventory may be given. The revision before is moved whole to `revisions/` and never altered.
"""

import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import polars as pl

from pipeline.contracts import TABLES
from pipeline.contracts.ledger import TABLES as LEDGER_TABLES
from pipeline.errors import FileProblemError
from pipeline.folder import LEDGER_NAME, store_path
from pipeline.frames import Frames
from pipeline.ledger.book import read_ledger
from pipeline.ledger.tasks import remembered
from pipeline.settings import Settings
from pipeline.store import Store

RAW_TABLES = ("raw.sheets", "raw.headers", "raw.cells", "raw.findings")
REMEMBERED = (
    "past_revisions",
    "past_tasks",
    "past_sheets",
    "past_sizes",
    "past_patterns",
    "past_orders",
    "past_enclosures",
    "past_volumes",
    "past_staff",
)
"""Tables to which each revision adds its own part: sql/12_ledger/past."""
Progress = Callable[[str], None]


def read_past(folder: Path, settings: Settings) -> Frames:
    """What a new revision starts from: the inventory as typed, earlier revisions, the ledger; by table name."""
    with Store(store_path(folder), read_only=True) as store:
        past = {name: store.read(name) for name in RAW_TABLES}
        for stem in REMEMBERED:
            table = TABLES[f"work.{stem}"]
            mine = table.check(
                remembered(store, stem).select(table.column_names).cast(pl.Schema(table.polars_schema))
            )
            past[table.name] = pl.concat([store.read(table.name), mine])
        past["work.past_facts"] = store.read("work.facts")
        past["work.past_stock"] = _counted(store)
        past["raw.run"] = store.read("raw.run")
    past["work.past_lines"] = read_ledger(folder)
    orders = past["work.past_orders"]
    past["work.past_orders"] = orders.filter(pl.col("ordered_on") < settings.as_of).unique(
        TABLES["work.past_orders"].key, keep="first", maintain_order=True
    )
    return past


def _counted(store: Store) -> pl.DataFrame:
    """What was counted of each supply, and when; the first plan's inventory is the first count."""
    counted = store.read("work.past_stock")
    return _on_hand(store) if counted.is_empty() else counted


def _on_hand(store: Store) -> pl.DataFrame:
    """Supplies on hand by the clean tables of a store, counted for its revision."""
    run = store.read("raw.run").row(0, named=True)
    rows = [
        {
            "revision": run["revision"],
            "as_of": run["as_of"],
            "supply": supply,
            "supply_id": row[key],
            "on_hand": row["on_hand"],
        }
        for supply, table, key in (
            ("paper", "clean.stock", "stock_id"),
            ("enclosure", "clean.enclosure_stock", "enclosure_id"),
        )
        for row in store.read(table).iter_rows(named=True)
    ]
    return TABLES["work.past_stock"].frame(rows)


def count_again(store: Store) -> None:
    """Take supplies that a revised inventory counts differently as counted on the day of this revision.

    What it repeats from the inventory before is no new count: there the ledger says what is left.
    """
    table = TABLES["work.past_stock"]
    counted = store.read(table.name)
    known = {
        (row["supply"], row["supply_id"]): row["on_hand"]
        for row in counted.sort("as_of", "revision").iter_rows(named=True)
    }
    new = [
        row
        for row in _on_hand(store).iter_rows(named=True)
        if known.get((row["supply"], row["supply_id"])) != row["on_hand"]
    ]
    store.write(table.name, pl.concat([counted, table.frame(new)]))


def write_past(store: Store, past: Frames, *, has_new_inventory: bool) -> None:
    """Write what a new revision starts from into its store."""
    for table in LEDGER_TABLES:
        if table.name in past:
            store.write(table.name, past[table.name])
    if not has_new_inventory:
        for name in RAW_TABLES:
            store.write(name, past[name])


def next_settings(folder: Path, settings: Settings) -> Settings:
    """Settings of the revision after the one in the folder.

    Raises FileProblemError when the day lies before that revision's or after the campaign.
    """
    with Store(store_path(folder), read_only=True) as store:
        run = store.read("published.run").row(0, named=True)
    match = re.fullmatch(r"r(\d+)", run["revision"])
    if match is None:
        raise FileProblemError(
            f"{folder}: its revision {run['revision']} is none that can be followed by another"
        )
    if settings.as_of < run["as_of"]:
        raise FileProblemError(
            f"{folder} is planned as of {run['as_of']}; a later revision cannot be made as of {settings.as_of}. "
            "Name the day with --as-of"
        )
    if settings.as_of > run["end_date"] and settings.inventory == folder:
        raise FileProblemError(
            f"the campaign ended on {run['end_date']}, before {settings.as_of}; give a revised inventory with a later "
            "end, or name the day with --as-of"
        )
    return replace(settings, out=folder, revision=f"r{int(match[1]) + 1}", replans=folder)


def carry_over(folder: Path, building: Path) -> None:
    """Copy the ledger into the new plan; the old one keeps its own."""
    shutil.copytree(
        folder / LEDGER_NAME,
        building / LEDGER_NAME,
        ignore=shutil.ignore_patterns("*.unfinished"),
        dirs_exist_ok=True,
    )

"""What every output needs to know of the plan, and its rows; read from schema published alone."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any

import polars as pl

from pipeline.resources import sql_text
from pipeline.store import Store

Row = dict[str, Any]
"""A row by column name; the contract of its table says the types."""

QUERIES = (
    "bench_openings",
    "bench_papers",
    "bench_steps",
    "bench_volumes",
    "box_list",
    "collection_totals",
    "cut_tickets",
    "cut_visits",
    "cutting_return_lines",
    "cutting_ways",
    "enclosure_lines",
    "finish_lines",
    "finish_lines_for_funder",
    "hours_by_month",
    "judgements",
    "load_weeks",
    "not_planned",
    "offcut_lines",
    "offcut_totals",
    "order_lines",
    "paper_lines",
    "return_lines",
    "return_papers",
    "staff_day_tasks",
    "this_week",
    "ticket_offcuts",
    "ticket_sizes",
    "volume_cautions",
    "volume_outcomes",
    "weekly_hours",
    "weekly_tasks",
)
"""Every SELECT under sql/outputs: joins and sums of published tables, one for each list shown."""


@dataclass(frozen=True)
class PlanFacts:
    """Which plan this is and how it is printed."""

    revision: str
    as_of: date
    version: str
    inventory_sha256: str
    policy_sha256: str
    length_unit: str
    currency: str
    start_date: date
    end_date: date
    campaign_name: str
    page_size: str
    handling_note: str
    horizon_years: str
    most_volumes: int
    """Forms that one workbook holds; a plan with more has its work orders in several."""

    @property
    def footer(self) -> str:
        """Plan and policy on one short line."""
        return f"plan {self.revision} of {self.as_of.isoformat()}, policy {self.policy_sha256[:12]}"


class Plan:
    """The plan as the outputs read it: its facts, published tables and the queries of sql/outputs."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._frames: dict[str, pl.DataFrame] = {}
        self.facts = _facts(store)
        self.shared_path = store.shared_path

    def table(self, stem: str) -> list[Row]:
        """Rows of a published table in key order."""
        return self._store.read(f"published.{stem}").to_dicts()

    def query(self, stem: str) -> list[Row]:
        """Rows of sql/outputs/<stem>.sql."""
        return self._store.query(sql_text("outputs", stem)).to_dicts()

    def frame(self, stem: str) -> pl.DataFrame:
        """Rows of sql/outputs/<stem>.sql as a frame, kept: a few bytes a row where dictionaries take many."""
        if stem not in self._frames:
            self._frames[stem] = self._store.query(sql_text("outputs", stem))
        return self._frames[stem]

    def query_of(self, stem: str, volume_ids: Collection[str]) -> list[Row]:
        """Rows of sql/outputs/<stem>.sql of these volumes, in its order."""
        return self.frame(stem).filter(pl.col("volume_id").is_in(list(volume_ids))).to_dicts()

    def totals(self, basis: str = "planned") -> dict[str, Row]:
        """Rows of campaign_totals for the whole campaign by measure."""
        rows = self.table("campaign_totals")
        return {row["measure"]: row for row in rows if not row["collection"] and row["basis"] == basis}


def _facts(store: Store) -> PlanFacts:
    run = store.read("published.run").row(0, named=True)
    settings = dict(store.read("published.campaign").iter_rows())
    policy = dict(store.read("published.policy").select("key", "value").iter_rows())
    return PlanFacts(
        revision=run["revision"],
        as_of=run["as_of"],
        version=run["guardleaf_version"],
        inventory_sha256=run["inventory_sha256"],
        policy_sha256=run["policy_sha256"],
        length_unit=run["length_unit"],
        currency=run["currency"],
        start_date=run["start_date"],
        end_date=run["end_date"],
        campaign_name=settings.get("name") or settings.get("campaign_name") or "",
        page_size=settings.get("page_size") or "A4",
        handling_note=settings.get("handling_note") or "",
        horizon_years=settings.get("horizon_years") or f"{policy['risk.horizon_years']:g}",
        most_volumes=int(policy["bench.forms_in_a_workbook_count"]),
    )


def rows_by(rows: list[Row], key: str) -> dict[Any, list[Row]]:
    """Rows gathered by the value of one column, order kept."""
    gathered: dict[Any, list[Row]] = {}
    for row in rows:
        gathered.setdefault(row[key], []).append(row)
    return gathered

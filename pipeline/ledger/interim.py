"""What an interim report says, for any day: planned against done, what is left by week, when it will be finished.

Done is what the ledger says today of work until that day; planned is what the first revision planned; left is what
the revision of that day plans from then on.
"""

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.contracts import TABLES
from pipeline.errors import FileProblemError
from pipeline.folder import REVISIONS_NAME, store_path
from pipeline.ledger.replan import read_past
from pipeline.published_plan import Plan, PlanFacts
from pipeline.resources import sql_text
from pipeline.settings import Settings
from pipeline.store import Store

Row = dict[str, Any]
REPORT_FOLDER = "12_ledger/report"


@dataclass(frozen=True)
class Interim:
    """The report's rows, and the facts of the plan that was current on the day."""

    facts: PlanFacts
    collections: list[Row]
    months: list[Row]
    weeks: list[Row]
    papers: list[Row]
    forecasts: list[Row]
    learned: list[Row]
    chances: list[Row]
    """How sure the dates were on the day of the plan, of all dated work and by task; none where nothing was dated."""

    @property
    def whole(self) -> Row:
        """Planned and done of all collections."""
        return self.collections[-1]

    @property
    def forecast(self) -> Row:
        """The last revision until the day."""
        return self.forecasts[-1]


def gather_interim(folder: Path, settings: Settings) -> Interim:
    """What the report of a plan says for `settings.as_of`. Raises FileProblemError before the first revision."""
    past = read_past(folder, settings)
    revision = _revision_of(past["work.past_revisions"], settings.as_of)
    with Store(_store_of(folder, revision), read_only=True) as current:
        facts = replace(Plan(current).facts, as_of=settings.as_of)
        factors = current.read("policy.unit_factors")
        learned = current.read("published.learned_rates").filter("is_used")
        learned = learned.sort("subject", "subject_id", "skill", "volume_class", nulls_last=False)
        chances = current.query(sql_text("outputs", "finish_lines_for_funder"))
    with Store(None) as store:
        store.write("policy.unit_factors", factors)
        for name, frame in past.items():
            if name.startswith("work.past_"):
                store.write(name, frame)
        run = past["raw.run"].with_columns(
            revision=pl.lit(revision), as_of=pl.lit(settings.as_of, dtype=pl.Date)
        )
        store.write("raw.run", run)
        for name in ("published.tasks", "published.volumes"):
            store.write(name, TABLES[name].empty())
        store.run_sql("work.labour_done", sql_text("12_ledger", "labour_done"))
        store.run_sql("published.planned_months", sql_text("11_publish", "planned_months"))
        parts = {
            stem: store.query(sql_text(REPORT_FOLDER, stem)).to_dicts()
            for stem in ("collections", "months", "weeks", "papers", "forecasts")
        }
    return Interim(facts=facts, learned=learned.to_dicts(), chances=chances.to_dicts(), **parts)


def _revision_of(revisions: pl.DataFrame, as_of: date) -> str:
    made = revisions.filter(pl.col("as_of") <= as_of).sort("planned_at", "as_of")
    if made.is_empty():
        first = min(revisions["as_of"].to_list())
        raise FileProblemError(f"there was no plan yet on {as_of}; the first is of {first}")
    return str(made["revision"][-1])


def _store_of(folder: Path, revision: str) -> Path:
    earlier = folder / REVISIONS_NAME / revision
    return store_path(earlier if earlier.is_dir() else folder)

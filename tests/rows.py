"""One valid row of each clean table, with overrides, and a store filled from such rows."""

from datetime import date
from typing import Any

from pipeline.contracts import TABLES
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables
from pipeline.resources import sql_text
from pipeline.store import Store

DEFAULTS: dict[str, dict[str, Any]] = {
    "clean.campaign": {
        "campaign_name": "Trial",
        "start_date": date(2027, 1, 4),
        "end_date": date(2027, 6, 30),
        "length_unit": "mm",
        "currency": "EUR",
        "spares_pct": 3.0,
        "horizon_years": 50.0,
        "working_days": "Mon, Tue, Wed, Thu, Fri",
        "max_sizes_per_sheet": 3,
        "guillotine_max_cut_mm": 1150.0,
        "guillotine_max_lift_mm": 60.0,
        "page_size": "A4",
        "contingency_pct": 0.0,
        "indirect_pct": 0.0,
    },
    "clean.volumes": {
        "row_no": 2,
        "volume_id": "A",
        "collection": "Trial",
        "page_width_mm": 250.0,
        "page_height_mm": 300.0,
        "leaves": 40,
        "binding": "sewn",
        "joints": "sound",
        "leaf_condition": "sound",
        "spine_thickness_mm": 20.0,
        "fore_edge_thickness_mm": 20.0,
        "extension_mm": 0.0,
        "use": "occasional",
        "significance": 3,
        "odour": False,
        "existing_leaves": 0,
        "existing_leaf_thickness_um": 0.0,
        "skill": "technician",
        "enclosure": "new",
    },
    "clean.opening_rows": {"row_no": 2, "volume_id": "A", "openings": "1", "count": 1},
    "clean.opening_ranges": {"row_no": 2, "volume_id": "A", "first_opening_no": 1, "last_opening_no": 1},
    "clean.row_hazards": {
        "row_no": 2,
        "volume_id": "A",
        "hazard": "acidic_insert",
        "side": "",
        "severity_grade": 2,
    },
    "clean.row_contents": {"row_no": 2, "volume_id": "A", "side": "left", "content_word": "print"},
    "clean.volume_contents": {"volume_id": "A", "content_word": "print"},
    "clean.volume_counts": {"volume_id": "A", "hazard": "fastener", "count": 1},
    "clean.count_groups": {
        "volume_id": "A",
        "count_group_no": 1,
        "hazard": "fastener",
        "count": 1,
        "has_counts_overlaid": False,
    },
    "clean.decisions": {
        "row_no": 2,
        "volume_id": "A",
        "openings": None,
        "decision": "must",
        "reason": "on display next year",
    },
    "clean.papers": {
        "row_no": 2,
        "paper_id": "BUF",
        "buffer": "buffered",
        "adsorbent": False,
        "pat": "pass",
        "sulphur_free": "yes",
        "lignin_free": True,
        "ph": 8.5,
        "surface": "plain",
        "glassine": False,
        "grammage_gsm": 90.0,
        "thickness_um": 120.0,
        "bending_stiffness_mnm": 0.6,
        "grain_rule": "require",
    },
    "clean.stock": {
        "row_no": 2,
        "stock_id": "S1",
        "paper_id": "BUF",
        "form": "sheet",
        "width_mm": 610.0,
        "length_mm": 914.0,
        "grain": "long",
        "pack_quantity": 100,
        "pack_price": 60.0,
        "lead_days": 0,
        "on_hand": 0.0,
        "trim_mm": 3.0,
    },
}


OF_THE_LEDGER = (
    "work.laid_bulk",
    "work.steps_done",
    "work.ready_leaves",
    "work.pinned_sizes",
    "work.deliveries",
)
"""What the ledger tells later stages; empty for a first plan."""


def row(table: str, **overrides: Any) -> dict[str, Any]:
    """One valid row of a clean table, with overrides."""
    return DEFAULTS[table] | overrides


def filled_store(tables: dict[str, list[dict[str, Any]]]) -> Store:
    """A store in memory with the shipped policy, one campaign, and the given rows; other clean tables are empty."""
    store = Store(None)
    for name, frame in policy_tables(load_policy()).items():
        store.write(name, frame)
    given = {"clean.campaign": [row("clean.campaign")]} | tables
    for name, table in TABLES.items():
        if name.startswith("clean."):
            store.write(name, table.frame(given.get(name, [])))
    for name in OF_THE_LEDGER:
        store.write(name, TABLES[name].frame(given.get(name, [])))
    return store


def opening_row(
    row_no: int,
    *,
    openings: tuple[tuple[int, int], ...] = (),
    count: int = 0,
    left: str = "print",
    right: str = "print",
    hazards: tuple[tuple[str, str, int], ...] = (("acidic_insert", "", 2),),
    volume_id: str = "A",
) -> dict[str, list[dict[str, Any]]]:
    """One row of Openings as rows of the clean tables. `openings` are ranges; none means places not noted."""
    text = ", ".join(f"{first}-{last}" if last > first else str(first) for first, last in openings)
    size = sum(last - first + 1 for first, last in openings) or count
    ids = {"row_no": row_no, "volume_id": volume_id}
    return {
        "clean.opening_rows": [ids | {"openings": text or None, "count": size}],
        "clean.opening_ranges": [
            ids | {"first_opening_no": first, "last_opening_no": last} for first, last in openings
        ],
        "clean.row_hazards": [
            ids | {"hazard": hazard, "side": side, "severity_grade": grade} for hazard, side, grade in hazards
        ],
        "clean.row_contents": [
            ids | {"side": side, "content_word": word}
            for side, words in (("left", left), ("right", right))
            for word in words.split(", ")
        ],
    }


def merged(*parts: dict[str, list[dict[str, Any]]]) -> dict[str, list[dict[str, Any]]]:
    """Tables of several parts, rows put together."""
    tables: dict[str, list[dict[str, Any]]] = {}
    for part in parts:
        for name, rows in part.items():
            tables.setdefault(name, []).extend(rows)
    return tables


def run(store: Store, *steps: str) -> None:
    """Run SELECTs by `folder/table`, such as `03_risk/losses`, into the work schema."""
    for step in steps:
        folder, stem = step.split("/")
        store.run_sql(f"work.{stem}", sql_text(folder, stem))

"""Stage 12: the ledger read back in. What was done, what is left of paper and time, and what was learned.

Runs right after stage 02, so that all later stages plan what is left; for a first plan all of its tables are empty.
"""

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.ledger.changes import change_rows
from pipeline.ledger.done import (
    delivery_rows,
    finished_rows,
    laid_rows,
    pinned_rows,
    ready_leaves,
    step_rows,
    supply_rows,
)
from pipeline.ledger.left import laid_um_rows
from pipeline.ledger.rates import learned_rows
from pipeline.ledger.returned_findings import return_findings
from pipeline.settings import Settings

COUNT_READS = (
    "raw.run",
    "clean.stock",
    "work.task_actuals",
    "work.past_revisions",
    "work.past_tasks",
    "work.past_sheets",
    "work.past_sizes",
    "work.past_patterns",
    "work.past_orders",
    "work.past_enclosures",
    "work.past_stock",
)
COUNT_WRITES = (
    "work.laid_sheets",
    "work.finished_volumes",
    "work.steps_done",
    "work.ready_leaves",
    "work.pinned_sizes",
    "work.supplies_left",
    "work.deliveries",
)
LEARN_READS = (
    "work.task_actuals",
    "work.laid_sheets",
    "work.past_revisions",
    "work.past_volumes",
    "work.past_enclosures",
    "clean.rates",
    "clean.papers",
    "clean.campaign",
    "policy.figures",
)
BULK_READS = ("work.laid_sheets", "work.learned_rates")
FINDINGS_READS = (
    "work.past_lines",
    "work.task_actuals",
    "work.past_revisions",
    "work.past_volumes",
    "work.laid_sheets",
    "work.learned_rates",
    "policy.figures",
)
COMPARE_READS = (
    "raw.run",
    "work.facts",
    "work.past_facts",
    "work.past_stock",
    "work.learned_rates",
    "work.finished_volumes",
    "work.laid_bulk",
    "work.volume_plans",
)


def count_done(frames: Frames, _settings: Settings) -> Frames:
    """What the returned work comes to: leaves, steps, finished volumes, and what is left of cut leaves and supplies."""
    laid = laid_rows(frames)
    ready = ready_leaves(frames, laid)
    rows = {
        "work.laid_sheets": laid,
        "work.finished_volumes": finished_rows(frames),
        "work.steps_done": step_rows(frames),
        "work.ready_leaves": [
            {"paper_id": paper_id, "width_mm": width, "height_mm": height, "ready_leaves_count": count}
            for (paper_id, width, height), count in ready.items()
        ],
        "work.pinned_sizes": pinned_rows(frames, laid, ready),
        "work.supplies_left": supply_rows(frames),
        "work.deliveries": delivery_rows(frames),
    }
    return {name: TABLES[name].frame(found) for name, found in rows.items()}


def learn_rates(frames: Frames, _settings: Settings) -> Frames:
    """Minutes, thickness and share of spares as the returns tell them, each with its interval."""
    return {"work.learned_rates": TABLES["work.learned_rates"].frame(learned_rows(frames))}


def bulk_of_laid(frames: Frames, _settings: Settings) -> Frames:
    """Leaves that lie in each volume already and the room they take, um."""
    return {"work.laid_bulk": TABLES["work.laid_bulk"].frame(laid_um_rows(frames))}


def find_in_returns(frames: Frames, _settings: Settings) -> Frames:
    """Findings that the returned work gives rise to."""
    return {"work.return_findings": TABLES["work.return_findings"].frame(return_findings(frames))}


def compare_revisions(frames: Frames, _settings: Settings) -> Frames:
    """What this revision changed against the one before, and why."""
    return {"work.changes": TABLES["work.changes"].frame(change_rows(frames))}

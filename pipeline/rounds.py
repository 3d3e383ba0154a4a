"""The rounds of a plan: 06 choose to 10 schedule again and again until budgets and dates hold on what they come to."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from pipeline.settings import DRAFT_ROUNDS, Settings
from pipeline.stage import Stage, run_stage
from pipeline.stages.choose import RECONCILE_READS, reconcile
from pipeline.store import Store

Progress = Callable[[str], None]
MOST_ROUNDS = 12
"""Emergency end of the rounds; the choice itself gives way long before."""


def run_rounds(store: Store, stages: Sequence[Stage], settings: Settings, progress: Progress) -> None:
    """Run the stages until every limit holds.

    The first rounds are drafts, made with the quick effort to see what the choice comes to; the last never is one.
    """
    drafts, draft = DRAFT_ROUNDS[settings.effort], replace(settings, effort="quick", is_draft=True)
    for round_no in range(MOST_ROUNDS):
        is_draft = round_no < drafts
        for stage in stages:
            progress(f"{stage.name}, round {round_no + 1}")
            run_stage(store, stage, draft if is_draft else settings)
        is_settled = not _tighten(store, settings)
        if is_settled and not is_draft:
            return
        drafts = 0 if is_settled else drafts


def _tighten(store: Store, settings: Settings) -> bool:
    """Add what the finished round found to the corrections; False when every limit holds."""
    before = store.read("work.corrections")
    frames = {table: store.read(table) for table in RECONCILE_READS}
    after = reconcile(frames, settings)["work.corrections"]
    store.write("work.corrections", after)
    return after.height > before.height

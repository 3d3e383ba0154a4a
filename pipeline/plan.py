"""The pipeline: STAGES is the one ordered list of what happens; make_plan runs it and puts the plan in its place.

The range 06 choose to 10 schedule is run again, with the choice tightened, until budgets and dates hold on the
figures of the finished plan; audit, outputs and the move into place come last.
"""

from dataclasses import dataclass
from pathlib import Path

import polars as pl

from pipeline import __version__
from pipeline.audit import audit_store, broken_lines
from pipeline.contracts import TABLES
from pipeline.contracts.inventory import CROSS_CHECK_TABLES
from pipeline.contracts.ledger import TABLES as LEDGER_TABLES
from pipeline.contracts.published import TABLES as PUBLISHED_TABLES
from pipeline.errors import AuditFailedError, Finding, InventoryRefusedError
from pipeline.folder import (
    LEDGER_NAME,
    STORE_NAME,
    build_beside,
    plan_in_use,
    refuse_unsafe_target,
    store_path,
)
from pipeline.frames import Frames
from pipeline.inventory.digest import inventory_sha256
from pipeline.inventory.findings import findings_of, in_order
from pipeline.inventory.what_if import policy_for
from pipeline.ledger.left import LEFT_READS, what_is_left
from pipeline.ledger.replan import carry_over, count_again, next_settings, read_past, write_past
from pipeline.outputs.write import write_outputs
from pipeline.policy.load import Policy, load_policy
from pipeline.policy.tables import policy_tables
from pipeline.rounds import Progress, run_rounds
from pipeline.settings import Settings
from pipeline.solve.workers import get_ready
from pipeline.stage import Python, Sql, Stage, run_stage
from pipeline.stages.check import CHECK_READS, CHECK_WRITES, GATHER_READS, check_inventory, gather_findings
from pipeline.stages.choose import (
    CHOOSE_READS,
    PLACE_READS,
    choose_options,
    place_sheets,
)
from pipeline.stages.cut import CUT_READS, cut_sheets
from pipeline.stages.cutting_choices import CHOICE_READS, TABLE_NAMES, compare_cutting
from pipeline.stages.dates import CHANCES_READS, find_chances
from pipeline.stages.fit import FIT_READS, NEEDS_READS, find_needs, fit_volumes, try_judgements
from pipeline.stages.frontier import FRONTIER_READS, find_frontier
from pipeline.stages.ingest import ingest_inventory
from pipeline.stages.ledger import (
    BULK_READS,
    COMPARE_READS,
    COUNT_READS,
    COUNT_WRITES,
    FINDINGS_READS,
    LEARN_READS,
    bulk_of_laid,
    compare_revisions,
    count_done,
    find_in_returns,
    learn_rates,
)
from pipeline.stages.publish import FOLLOW_READS, follow_decisions
from pipeline.stages.schedule import SCHEDULE_READS, schedule_tasks
from pipeline.stages.size import COVER_READS, COVER_WRITES, WINDOW_READS, cover_sizes, find_windows
from pipeline.stages.survey import SURVEY_READS, estimate_survey
from pipeline.store import Store
from pipeline.summary import summary_lines

STAGES: tuple[Stage, ...] = (
    Stage(
        1,
        "ingest",
        (
            Python(
                ingest_inventory, reads=(), writes=("raw.sheets", "raw.headers", "raw.cells", "raw.findings")
            ),
        ),
    ),
    Stage(
        2,
        "check",
        (
            Python(check_inventory, reads=CHECK_READS, writes=CHECK_WRITES),
            *(Sql(table.name) for table in CROSS_CHECK_TABLES),
            Python(gather_findings, reads=GATHER_READS, writes=("clean.findings",)),
        ),
    ),
    Stage(
        3,
        "risk",
        (
            Sql("work.listed_openings"),
            Sql("work.opening_groups"),
            Sql("work.hazard_rates"),
            Sql("work.losses"),
        ),
    ),
    Stage(
        4,
        "paper",
        (
            Sql("work.paper_properties"),
            Sql("work.group_needs"),
            Sql("work.stock_parents"),
            Sql("work.stock_reach"),
            Sql("work.permitted"),
            Sql("work.impossible_leaves"),
            Sql("work.benefits"),
        ),
    ),
    Stage(
        5,
        "fit",
        (
            Sql("work.headroom"),
            Python(
                fit_volumes,
                reads=FIT_READS,
                writes=("work.options", "work.option_sheets", "work.fit_states", "work.fit_groups"),
            ),
            Python(find_needs, reads=NEEDS_READS, writes=("work.paper_needs",)),
            Python(try_judgements, reads=NEEDS_READS, writes=("work.sensitivity",)),
        ),
    ),
    Stage(
        6,
        "choose",
        (
            Sql("work.option_bulk"),
            Sql("work.option_enclosures"),
            Sql("work.option_supplies"),
            Sql("work.supply_packs"),
            Sql("work.volume_rates"),
            Sql("work.option_hours"),
            Sql("work.option_costs"),
            Python(choose_options, reads=CHOOSE_READS, writes=("work.choices",)),
            Python(place_sheets, reads=PLACE_READS, writes=("work.interleaves",)),
            Sql("work.volume_plans"),
            Sql("work.closed_volumes"),
            Sql("work.enclosure_fits"),
        ),
    ),
    Stage(
        7,
        "size",
        (
            Python(
                find_windows,
                reads=WINDOW_READS,
                writes=("work.size_windows",),
            ),
            Python(
                cover_sizes,
                reads=COVER_READS,
                writes=COVER_WRITES,
            ),
        ),
    ),
    Stage(
        8,
        "cut",
        (
            Sql("work.demands"),
            Python(
                cut_sheets,
                reads=CUT_READS,
                writes=(
                    "work.patterns",
                    "work.pattern_pieces",
                    "work.offcuts",
                    "work.offcut_savings",
                    "work.cut_bounds",
                ),
            ),
            Sql("work.material_needs"),
        ),
    ),
    Stage(
        9,
        "hours",
        (Sql("work.cut_runs"), Sql("work.tasks"), Sql("work.task_releases"), Sql("work.task_order")),
    ),
    Stage(
        10,
        "schedule",
        (
            Python(
                schedule_tasks,
                reads=SCHEDULE_READS,
                writes=("work.staff_days", "work.assignments", "work.staff_weeks"),
            ),
        ),
    ),
    Stage(
        11,
        "publish",
        (
            Python(follow_decisions, reads=FOLLOW_READS, writes=("work.decision_outcomes",)),
            Python(estimate_survey, reads=SURVEY_READS, writes=("work.survey_estimates",)),
            Python(compare_cutting, reads=CHOICE_READS, writes=TABLE_NAMES),
            Sql("work.task_rates"),
            Python(find_chances, reads=CHANCES_READS, writes=("work.finish_chances",)),
            Sql("work.facts"),
            Python(compare_revisions, reads=COMPARE_READS, writes=("work.changes",)),
            Python(find_frontier, reads=FRONTIER_READS, writes=("work.frontier",)),
            *(Sql(table.name) for table in PUBLISHED_TABLES),
        ),
    ),
    Stage(
        12,
        "ledger",
        (
            Sql("work.task_actuals"),
            Sql("work.labour_done"),
            Python(count_done, reads=COUNT_READS, writes=COUNT_WRITES),
            Python(learn_rates, reads=LEARN_READS, writes=("work.learned_rates",)),
            Python(bulk_of_laid, reads=BULK_READS, writes=("work.laid_bulk",)),
            Python(find_in_returns, reads=FINDINGS_READS, writes=("work.return_findings",)),
        ),
    ),
)
"""Every stage by number. Stage 12 ledger closes the circle: it runs right after 02, so that what is left is planned."""

PUBLISH, LEDGER = STAGES[10], STAGES[11]

REPEATED = STAGES[5:10]
"""06 choose to 10 schedule: run again until every limit holds."""

DONE_SIDE_BY_SIDE = (find_needs, cover_sizes, cut_sheets, write_outputs)
"""What a second process helps with in a large plan."""


@dataclass(frozen=True)
class PlanResult:
    """What a run says at its end."""

    findings: tuple[Finding, ...]
    summary: tuple[str, ...]


def make_plan(settings: Settings, progress: Progress) -> PlanResult:
    """Plan an inventory and put the plan in its place, whole or not at all.

    Raises InventoryRefusedError, FileProblemError, or AuditFailedError when a hard rule does not hold.
    """
    refuse_unsafe_target(settings.out, settings.inventory)
    policy = policy_for(settings)
    with plan_in_use(settings.out), build_beside(settings.out) as building:
        refuse_unsafe_target(settings.out, settings.inventory)
        with Store(building / STORE_NAME) as store:
            findings = _fill(store, settings, policy, progress)
            _audit(store, progress)
        summary = _write(settings, progress, building)
        (building / LEDGER_NAME).mkdir()
        (building / "policy.toml").write_text(policy.text(), encoding="utf-8")
    return PlanResult(findings, summary)


def replan(settings: Settings, progress: Progress) -> PlanResult:
    """Plan what is left of the plan in `settings.out`, as a new revision in its place; the old one is kept.

    `settings.inventory` is a revised inventory, or that folder itself for the inventory as it was. Raises
    InventoryRefusedError, FileProblemError, or AuditFailedError when a hard rule does not hold.
    """
    folder = settings.out
    store_path(folder)
    with plan_in_use(folder):
        settings = next_settings(folder, settings)
        policy = load_policy(settings.policy or folder / "policy.toml")
        past = read_past(folder, settings)
        old_revision = str(past["raw.run"]["revision"][0])
        with build_beside(folder, revision_aside=old_revision) as building:
            with Store(building / STORE_NAME) as store:
                findings = _fill(store, settings, policy, progress, past)
                _audit(store, progress)
            summary = _write(settings, progress, building)
            carry_over(folder, building)
            (building / "policy.toml").write_text(policy.text(), encoding="utf-8")
    return PlanResult(findings, summary)


def check_only(settings: Settings) -> tuple[Finding, ...]:
    """Every finding of an inventory, without planning anything. Raises FileProblemError."""
    with Store(None) as store:
        _start(store, settings, policy_for(settings))
        for stage in STAGES[:2]:
            run_stage(store, stage, settings)
        return read_findings(store)


def read_findings(store: Store) -> tuple[Finding, ...]:
    """The findings of stage 02, sorted by sheet and row."""
    return tuple(findings_of(store.read("clean.findings")))


def _fill(
    store: Store, settings: Settings, policy: Policy, progress: Progress, past: Frames | None = None
) -> tuple[Finding, ...]:
    """Every stage. `past` is what a later revision starts from; without it the plan is a first one."""
    has_new_inventory = settings.inventory != settings.replans
    _start(store, settings, policy)
    if past:
        write_past(store, past, has_new_inventory=has_new_inventory)
    for stage in STAGES[0 if has_new_inventory else 1 : 2]:
        progress(stage.name)
        run_stage(store, stage, settings)
    findings = read_findings(store)
    if any(finding.level == "error" for finding in findings):
        raise InventoryRefusedError(findings)
    get_ready(DONE_SIDE_BY_SIDE, weight=store.read("clean.volumes").height)
    if past and has_new_inventory:
        count_again(store)
    progress(LEDGER.name)
    run_stage(store, LEDGER, settings)
    if past:
        for name, frame in what_is_left({table: store.read(table) for table in LEFT_READS}).items():
            store.write(name, frame)
    store.write("work.corrections", TABLES["work.corrections"].empty())
    for stage in STAGES[2:5]:
        progress(stage.name)
        run_stage(store, stage, settings)
    run_rounds(store, REPEATED, settings, progress)
    progress("publish")
    run_stage(store, PUBLISH, settings)
    return tuple(in_order([*findings, *_not_followed(store)]))


def _audit(store: Store, progress: Progress) -> None:
    progress("audit")
    broken = broken_lines(audit_store(store))
    if broken:
        raise AuditFailedError(broken)


def _write(settings: Settings, progress: Progress, building: Path) -> tuple[str, ...]:
    """Write what people read, and say what the plan comes to."""
    progress("outputs")
    with Store(building / STORE_NAME, read_only=True) as store:
        write_outputs(store, building)
        return summary_lines(store, settings.out)


def _not_followed(store: Store) -> list[Finding]:
    """Findings that only the finished plan can have: decisions it could not follow, leaves no stock gives,
    stock without a price that runs short.
    """
    codes = ["decision_not_followed", "leaf_fits_no_stock", "free_stock_short"]
    frame = store.read("published.findings").filter(pl.col("code").is_in(codes))
    return findings_of(frame)


def _start(store: Store, settings: Settings, policy: Policy) -> None:
    for name, frame in policy_tables(policy).items():
        store.write(name, frame)
    row = {
        "revision": settings.revision,
        "as_of": settings.as_of,
        "guardleaf_version": __version__,
        "inventory_sha256": inventory_sha256(settings.inventory, settings.columns),
        "policy_sha256": policy.sha256(),
        "planned_at": settings.planned_at,
    }
    store.write("raw.run", TABLES["raw.run"].frame([row]))
    for table in LEDGER_TABLES:
        if table.stem.startswith("past_"):
            store.write(table.name, table.empty())

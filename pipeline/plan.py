"""The pipeline: STAGES is the one ordered list of what happens; make_plan runs it and puts the plan in its place.

The range 06 choose to 10 schedule is run again, with the choice tightened, until budgets and dates hold on the
figures of the finished plan; audit, outputs and the move into place come last.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import polars as pl

from pipeline import __version__
from pipeline.audit import audit_store, broken_lines
from pipeline.contracts import TABLES
from pipeline.contracts.fields import STATES
from pipeline.contracts.inventory import CROSS_CHECK_TABLES
from pipeline.contracts.published import TABLES as PUBLISHED_TABLES
from pipeline.errors import AuditFailedError, FileProblemError, Finding, InventoryRefusedError
from pipeline.folder import LEDGER_NAME, STORE_NAME, build_beside, refuse_unsafe_target
from pipeline.inventory.findings import findings_of, in_order
from pipeline.outputs.write import write_outputs
from pipeline.policy.load import Policy, load_policy
from pipeline.policy.tables import policy_tables
from pipeline.settings import Settings
from pipeline.stage import Python, Sql, Stage, run_stage
from pipeline.stages.check import CHECK_READS, CHECK_WRITES, GATHER_READS, check_inventory, gather_findings
from pipeline.stages.choose import (
    CHOOSE_READS,
    PLACE_READS,
    RECONCILE_READS,
    choose_options,
    place_sheets,
    reconcile,
)
from pipeline.stages.cut import cut_sheets
from pipeline.stages.fit import FIT_READS, NEEDS_READS, find_needs, fit_volumes, try_judgements
from pipeline.stages.ingest import ingest_inventory
from pipeline.stages.publish import FOLLOW_READS, follow_decisions
from pipeline.stages.schedule import schedule_tasks
from pipeline.stages.size import cover_sizes, find_windows
from pipeline.stages.survey import SURVEY_READS, estimate_survey
from pipeline.store import Store

Progress = Callable[[str], None]

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
            Sql("work.stock_reach"),
            Sql("work.permitted"),
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
                reads=("work.interleaves", "clean.volumes", "clean.campaign", "policy.figures"),
                writes=("work.size_windows",),
            ),
            Python(
                cover_sizes,
                reads=(
                    "work.size_windows",
                    "clean.campaign",
                    "clean.papers",
                    "clean.stock",
                    "policy.figures",
                ),
                writes=("work.cut_sizes", "work.cut_size_volumes", "work.cut_size_bounds"),
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
                reads=(
                    "work.demands",
                    "clean.papers",
                    "clean.stock",
                    "clean.campaign",
                    "work.paper_properties",
                    "policy.figures",
                ),
                writes=("work.patterns", "work.pattern_pieces", "work.offcuts", "work.cut_bounds"),
            ),
            Sql("work.material_needs"),
        ),
    ),
    Stage(
        9,
        "hours",
        (Sql("work.cut_runs"), Sql("work.tasks"), Sql("work.task_order"), Sql("work.task_releases")),
    ),
    Stage(
        10,
        "schedule",
        (
            Python(
                schedule_tasks,
                reads=(
                    "work.tasks",
                    "work.task_order",
                    "work.task_releases",
                    "work.volume_plans",
                    "clean.staff",
                    "clean.absences",
                    "clean.closures",
                    "clean.campaign",
                    "clean.volumes",
                    "policy.figures",
                ),
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
            *(Sql(table.name) for table in PUBLISHED_TABLES),
        ),
    ),
)
"""Every stage in order. Stage 12 ledger reads returns back in and comes with them."""

FIRST_REPEATED, LAST_REPEATED = 6, 10
MOST_ROUNDS = 12
"""Emergency end of the rounds; the choice itself gives way long before."""


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
    policy = load_policy(settings.policy)
    with build_beside(settings.out) as building:
        with Store(building / STORE_NAME) as store:
            findings = _fill(store, settings, policy, progress)
            progress("audit")
            broken = broken_lines(audit_store(store))
            if broken:
                raise AuditFailedError(broken)
            summary = summary_lines(store, settings.out)
            progress("outputs")
            write_outputs(store, building)
        (building / LEDGER_NAME).mkdir()
        (building / "policy.toml").write_text(policy.text(), encoding="utf-8")
    return PlanResult(findings, summary)


def check_only(settings: Settings) -> tuple[Finding, ...]:
    """Every finding of an inventory, without planning anything. Raises FileProblemError."""
    with Store(None) as store:
        _start(store, settings, load_policy(settings.policy))
        for stage in STAGES[:2]:
            run_stage(store, stage, settings)
        return read_findings(store)


def read_findings(store: Store) -> tuple[Finding, ...]:
    """The findings of stage 02, sorted by sheet and row."""
    return tuple(findings_of(store.read("clean.findings")))


def _fill(store: Store, settings: Settings, policy: Policy, progress: Progress) -> tuple[Finding, ...]:
    _start(store, settings, policy)
    for stage in STAGES[:2]:
        progress(stage.name)
        run_stage(store, stage, settings)
    findings = read_findings(store)
    if any(finding.level == "error" for finding in findings):
        raise InventoryRefusedError(findings)
    store.write("work.corrections", TABLES["work.corrections"].empty())
    for stage in STAGES[2 : FIRST_REPEATED - 1]:
        progress(stage.name)
        run_stage(store, stage, settings)
    _run_rounds(store, settings, progress)
    progress("publish")
    run_stage(store, STAGES[-1], settings)
    return tuple(in_order([*findings, *_not_followed(store)]))


def _run_rounds(store: Store, settings: Settings, progress: Progress) -> None:
    """Rounds of 06 choose to 10 schedule until every limit holds."""
    for round_no in range(MOST_ROUNDS):
        for stage in STAGES[FIRST_REPEATED - 1 : LAST_REPEATED]:
            progress(f"{stage.name}, round {round_no + 1}")
            run_stage(store, stage, settings)
        if not _tighten(store, settings):
            return


def _not_followed(store: Store) -> list[Finding]:
    """Findings that only the finished plan can have: decisions it could not follow."""
    frame = store.read("published.findings").filter(pl.col("code") == "decision_not_followed")
    return findings_of(frame)


def _start(store: Store, settings: Settings, policy: Policy) -> None:
    for name, frame in policy_tables(policy).items():
        store.write(name, frame)
    row = {
        "revision": settings.revision,
        "as_of": settings.as_of,
        "guardleaf_version": __version__,
        "inventory_sha256": inventory_sha256(settings.inventory),
        "policy_sha256": policy.sha256(),
        "planned_at": settings.planned_at,
    }
    store.write("raw.run", TABLES["raw.run"].frame([row]))


def _tighten(store: Store, settings: Settings) -> bool:
    """Add what the finished round found to the corrections; False when every limit holds."""
    before = store.read("work.corrections")
    frames = {table: store.read(table) for table in RECONCILE_READS}
    after = reconcile(frames, settings)["work.corrections"]
    store.write("work.corrections", after)
    return after.height > before.height


def inventory_sha256(inventory: Path) -> str:
    """Hash of a workbook, or of a folder's CSV files by name. Raises FileProblemError when it is not there."""
    if not inventory.exists():
        raise FileProblemError(f"{inventory} is not there")
    files = sorted(inventory.glob("*.csv")) if inventory.is_dir() else [inventory]
    digest = hashlib.sha256()
    for file in files:
        digest.update(file.name.encode() if inventory.is_dir() else b"")
        digest.update(file.read_bytes())
    return digest.hexdigest()


def summary_lines(store: Store, out: Path) -> tuple[str, ...]:
    """What the plan comes to, in a few lines."""
    totals = {
        measure: value
        for measure, value in store.rows(
            "select measure, value from published.campaign_totals where collection is null and basis = 'planned'"
        )
    }
    states = [
        f"{int(totals[f'volumes_{state}'])} {state}" for state in STATES if totals.get(f"volumes_{state}")
    ]
    finish = store.rows(
        "select text from published.campaign_totals where collection is null and measure = 'finish_date'"
    )[0][0]
    currency = store.rows("select currency from published.run")[0][0]
    return (
        f"{int(totals['volumes'])} volumes: {', '.join(states)}",
        f"{int(totals['sheets'])} sheets protect {int(totals['openings_protected'])} of "
        f"{int(totals['openings_at_risk'])} openings at risk; "
        f"{totals['benefit_planned']:.1f} of {totals['benefit_possible']:.1f} possible page losses avoided",
        f"{int(totals['cut_sizes'])} cut sizes from {int(totals['parents'])} parent sheets; "
        f"paper {totals['paper_cost']:.2f} {currency}, enclosures {totals['enclosure_cost']:.2f} {currency}",
        f"{totals['labour_hours']:.1f} hours of work, finished {finish or 'not dated'}",
        *advice_lines(store),
        f"plan written to {out}",
    )


def advice_lines(store: Store) -> tuple[str, ...]:
    """What would help most, and how sure the plan is where that was asked for; none where nothing is short."""
    needs = store.rows(
        "select description, added_benefit from published.paper_needs where need_kind = 'paper' order by need_no"
    )
    sure = store.rows(
        "select draws_count, kept_pct, moved_ranks_count from published.sensitivity "
        "where judgement = 'all' and volume_id is null"
    )
    return (
        *(f"most missed: {words} (+{benefit:.1f} page losses avoided)" for words, benefit in needs[:1]),
        *(
            f"with judgement figures drawn {draws} times {kept:.0f} % of the states stay; volumes move "
            f"{moved:.0f} places in the ranking on average"
            for draws, kept, moved in sure
        ),
    )

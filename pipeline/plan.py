"""The pipeline: STAGES is the one ordered list of what happens; make_plan runs it and puts the plan in its place.

The range 06 choose to 10 schedule is run again, with the choice tightened, until budgets and dates hold on the
figures of the finished plan; audit, outputs and the move into place come last.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from pipeline import __version__
from pipeline.audit import audit_store, broken_lines
from pipeline.calendar import find_closures
from pipeline.contracts import TABLES
from pipeline.contracts.published import TABLES as PUBLISHED_TABLES
from pipeline.errors import AuditFailedError, FileProblemError, Finding, InventoryRefusedError
from pipeline.folder import LEDGER_NAME, STORE_NAME, build_beside, refuse_unsafe_target
from pipeline.policy.load import Policy, load_policy
from pipeline.policy.tables import policy_tables
from pipeline.settings import Settings
from pipeline.stage import Python, Sql, Stage, run_stage
from pipeline.stages.check import check_inventory, gather_findings
from pipeline.stages.choose import choose_options, place_sheets, reconcile
from pipeline.stages.cut import cut_sheets
from pipeline.stages.fit import fit_volumes
from pipeline.stages.ingest import ingest_inventory
from pipeline.stages.schedule import schedule_tasks
from pipeline.stages.size import cover_sizes, find_windows
from pipeline.store import Store

Progress = Callable[[str], None]

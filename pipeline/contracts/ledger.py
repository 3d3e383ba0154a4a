"""Tables of stage 12: the ledger as read, what earlier revisions planned, and what follows for the work that is left.

Tables `work.past_...` are written at the start of a run: empty for a first plan, else the ledger and the plans that
its lines answer. The others follow from them and from the clean tables.
"""

from pipeline.contracts.table import Table

LINE_COLUMNS = (
    "line_id",
    "return_no",
    "return_sha256",
    "file_name",
    "recorded_at",
    "supersedes",
    "sheet",
    "row_no",
    "revision",
    "volume_id?",
    "pattern_id?",
    "progress",
    "done_on?",
    "staff_id?",
    "minutes_taken?",
    "other_minutes?",
    "used_by_paper",
    "used_sheets_count?",
    "spoiled_sheets_count?",
    "fore_edge_measured_mm?",
    "note?",
    "is_cleared?",
    "is_boxed?",
)
LATER_LINE_COLUMNS = ("is_cleared", "is_boxed")
"""Columns that ledger files of earlier versions lack: nothing was said there."""
PAST_LINES = Table(
    "work.past_lines",
    "One row per line of the ledger, about a volume or a pattern, as taken in; superseded lines stay.",
    ("line_id",),
    LINE_COLUMNS,
)
PAST_REVISIONS = Table(
    "work.past_revisions",
    "One row per earlier revision: the day it was made for, what was left and when it was to be finished.",
    ("revision",),
    ("revision", "as_of", "start_date", "end_date", "planned_at", "finish_date?", "hours", "sheets"),
)
PAST_TASKS = Table(
    "work.past_tasks",
    "One row per task of an earlier revision.",
    ("revision", "task_id"),
    (
        "revision",
        "task_id",
        "kind",
        "volume_id?",
        "pattern_id?",
        "sheets_planned?",
        "lifts?",
        "minutes_planned",
        "skill",
        "start_at?",
        "finish_at?",
    ),
)
PAST_SHEETS = Table(
    "work.past_sheets",
    "One row per volume, group and paper that an earlier revision gave sheets.",
    ("revision", "volume_id", "group_no", "paper_id"),
    (
        "revision",
        "volume_id",
        "group_no",
        "paper_id",
        "openings?",
        "sheets",
        "benefit",
        "thickness_um",
        "hazards",
        "left_content",
        "right_content",
        "origin",
    ),
)
PAST_SIZES = Table(
    "work.past_sizes",
    "One row per volume and paper that an earlier revision gave sheets: the size its leaves were cut to.",
    ("revision", "volume_id", "paper_id"),
    ("revision", "volume_id", "paper_id", "width_mm", "height_mm", "sheets"),
)
PAST_PATTERNS = Table(
    "work.past_patterns",
    "One row per pattern of an earlier revision and size on it: pieces of it on one parent sheet.",
    ("revision", "pattern_id", "width_mm", "height_mm"),
    (
        "revision",
        "pattern_id",
        "stock_id",
        "paper_id",
        "sheets",
        "sheet_length_mm",
        "from_offcut_of?",
        "width_mm",
        "height_mm",
        "count",
    ),
)
PAST_ORDERS = Table(
    "work.past_orders",
    "One row per supply an earlier revision had to buy by a day: stock line, stock enclosure, or one made to measure.",
    ("revision", "supply", "supply_id", "volume_id"),
    (
        "revision",
        "supply",
        "supply_id",
        "volume_id",
        "ordered_count",
        "cost",
        "ordered_on",
        "arrives_on",
        "inner_width_mm?",
        "inner_height_mm?",
        "inner_depth_mm?",
        "price?",
    ),
)
PAST_ENCLOSURES = Table(
    "work.past_enclosures",
    "One row per volume that an earlier revision gave a new enclosure.",
    ("revision", "volume_id"),
    ("revision", "volume_id", "enclosure_id?", "price"),
)
PAST_VOLUMES = Table(
    "work.past_volumes",
    "One row per volume of an earlier revision: fore edge before and as planned after, and the most its wedge allows.",
    ("revision", "volume_id"),
    (
        "revision",
        "volume_id",
        "collection",
        "sheets",
        "skill",
        "page_height_mm",
        "existing_leaves",
        "removed_um",
        "fore_edge_before_mm",
        "fore_edge_after_mm",
        "fore_edge_limit_mm?",
        "enclosure",
    ),
)
PAST_STAFF = Table(
    "work.past_staff",
    "One row per person of an earlier revision.",
    ("revision", "staff_id"),
    ("revision", "staff_id", "skill", "hourly_rate?"),
)
PAST_STOCK = Table(
    "work.past_stock",
    "One row per stock line or enclosure and revision in which it was counted: the first, and each revised inventory.",
    ("revision", "supply", "supply_id"),
    ("revision", "as_of", "supply", "supply_id", "on_hand"),
)

TASK_ACTUALS = Table(
    "work.task_actuals",
    "One row per task done or part done by the standing lines; a pattern has one, `count` is its runs.",
    ("revision", "task_id"),
    (
        "revision",
        "task_id",
        "kind",
        "volume_id?",
        "pattern_id?",
        "skill",
        "sheets_planned?",
        "lifts?",
        "minutes_planned",
        "is_whole",
        "count",
        "minutes_taken?",
        "other_minutes?",
        "used_by_paper",
        "used_sheets_count?",
        "spoiled_sheets_count?",
        "fore_edge_measured_mm?",
        "done_on",
    ),
)
LABOUR_DONE = Table(
    "work.labour_done",
    "One row per returned line that stands and collection it worked for; cutting is shared by sheets.",
    ("line_id", "collection"),
    (
        "line_id",
        "collection",
        "kind",
        "volume_id?",
        "progress",
        "done_on",
        "hours_taken",
        "cost",
        "laid_sheets_count",
    ),
)
LAID_SHEETS = Table(
    "work.laid_sheets",
    "One row per volume, group of the revision it was planned in, and paper of which leaves lie in the volume.",
    ("volume_id", "revision", "group_no", "paper_id"),
    (
        "volume_id",
        "revision",
        "group_no",
        "paper_id",
        "openings?",
        "laid_sheets_count",
        "thickness_um",
        "benefit",
        "hazards",
        "left_content",
        "right_content",
        "origin",
    ),
)
LAID_BULK = Table(
    "work.laid_bulk",
    "One row per volume in which leaves lie already: how many, and the room they take.",
    ("volume_id",),
    ("volume_id", "laid_sheets_count", "laid_um"),
)
STEPS_DONE = Table(
    "work.steps_done",
    "One row per volume in the lab and step done to it since it was fetched (interleave: begun).",
    ("volume_id", "kind"),
    ("volume_id", "kind", "done_on"),
)
FINISHED_VOLUMES = Table(
    "work.finished_volumes",
    "One row per volume whose interleaving was returned as done: what is bare in it stays bare.",
    ("volume_id",),
    ("volume_id", "done_on"),
)
READY_LEAVES = Table(
    "work.ready_leaves",
    "One row per paper and size of which leaves were cut and neither laid in nor spoiled.",
    ("paper_id", "width_mm", "height_mm"),
    ("paper_id", "width_mm", "height_mm", "ready_leaves_count"),
)
PINNED_SIZES = Table(
    "work.pinned_sizes",
    "One row per volume and paper for which leaves lie ready, or in which some lie: the size they have.",
    ("volume_id", "paper_id"),
    ("volume_id", "paper_id", "width_mm", "height_mm"),
)
SUPPLIES_LEFT = Table(
    "work.supplies_left",
    "One row per stock line and enclosure: what is left of what was counted and ordered since.",
    ("supply", "supply_id"),
    ("supply", "supply_id", "on_hand"),
)
DELIVERIES = Table(
    "work.deliveries",
    "One row per supply ordered by an earlier revision that has not arrived on the day of this one.",
    ("supply", "supply_id"),
    ("supply", "supply_id", "arrives_on"),
)
LEARNED_COLUMNS = (
    "subject",
    "subject_id",
    "skill?",
    "volume_class",
    "unit",
    "tasks_count",
    "starting_value",
    "learned_value",
    "low_value",
    "high_value",
    "is_used",
    "method",
)
LEARNED_RATES = Table(
    "work.learned_rates",
    "One row per rate (of all, and by least skill and class of volumes), paper's thickness and share of spares.",
    ("subject", "subject_id", "skill", "volume_class"),
    LEARNED_COLUMNS,
)
CHANGE_COLUMNS = ("change_no", "revision", "subject", "subject_id", "what", "before", "after", "why")
FACTS_COLUMNS = ("subject", "subject_id", "what", "after")
FACTS = Table(
    "work.facts",
    "One row per thing that a later revision may change, and how it is.",
    ("subject", "subject_id", "what"),
    FACTS_COLUMNS,
)
PAST_FACTS = Table(
    "work.past_facts",
    "One row per such thing, and how it was in the revision before.",
    ("subject", "subject_id", "what"),
    FACTS_COLUMNS,
)
CHANGES = Table(
    "work.changes",
    "One row per change against the revision before, and why.",
    ("change_no",),
    CHANGE_COLUMNS,
)
RETURN_FINDINGS = Table(
    "work.return_findings",
    "One row per finding that returned work gives rise to.",
    (),
    ("code", "level", "sheet", "cell", "volume_id", "message", "action"),
)

TABLES = (
    PAST_LINES,
    PAST_REVISIONS,
    PAST_TASKS,
    PAST_SHEETS,
    PAST_SIZES,
    PAST_PATTERNS,
    PAST_ORDERS,
    PAST_ENCLOSURES,
    PAST_VOLUMES,
    PAST_STAFF,
    PAST_STOCK,
    TASK_ACTUALS,
    LABOUR_DONE,
    LAID_SHEETS,
    LAID_BULK,
    STEPS_DONE,
    FINISHED_VOLUMES,
    READY_LEAVES,
    PINNED_SIZES,
    SUPPLIES_LEFT,
    DELIVERIES,
    LEARNED_RATES,
    FACTS,
    PAST_FACTS,
    CHANGES,
    RETURN_FINDINGS,
)

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
    "task_id",
    "kind",
    "volume_id?",
    "pattern_id?",
    "sheets_planned?",
    "minutes_planned",
    "progress",
    "done_on?",
    "staff_id?",
    "minutes_taken?",
    "used_sheets_count?",
    "spoiled_sheets_count?",
    "fore_edge_measured_mm?",
    "note?",
)
PAST_LINES = Table(
    "work.past_lines",
    "One row per line of the ledger, in the order in which they were taken in; superseded lines stay.",
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
        "quantity",
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
)

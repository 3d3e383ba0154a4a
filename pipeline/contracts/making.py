"""Tables of schema work in which sheets are sized and cut and people do the work (stages 07 to 10)."""

from pipeline.contracts.table import Table

SIZE_WINDOWS = Table(
    "work.size_windows",
    "One row per volume and paper with sheets: the cut sizes the volume accepts, in ticks.",
    ("volume_id", "paper_id"),
    (
        "volume_id",
        "paper_id",
        "sheets",
        "page_width_mm",
        "page_height_mm",
        "ideal_width_mm",
        "ideal_height_mm",
        "least_width_ticks",
        "most_width_ticks",
        "least_height_ticks",
        "most_height_ticks",
    ),
)
CUT_SIZES = Table(
    "work.cut_sizes",
    "One row per cut size: one rectangle of one paper, shared by volumes.",
    ("cut_size_id",),
    ("cut_size_id", "paper_id", "width_mm", "height_mm", "sheets"),
)
CUT_SIZES_APART = Table(
    "work.cut_sizes_apart",
    "One row per cut size as it would be without the sheet in view: nearest the ideal clearance.",
    ("cut_size_id",),
    ("cut_size_id", "paper_id", "width_mm", "height_mm", "sheets"),
)
CUT_SIZE_VOLUMES = Table(
    "work.cut_size_volumes",
    "One row per cut size and volume it serves.",
    ("cut_size_id", "volume_id"),
    ("cut_size_id", "volume_id", "sheets", "clearance_width_mm", "clearance_height_mm"),
)
CUT_SIZE_BOUNDS = Table(
    "work.cut_size_bounds",
    "One row per paper: number of cut sizes and the proven least number.",
    ("paper_id",),
    ("paper_id", "cut_sizes", "lower_bound"),
)
DEMANDS = Table(
    "work.demands",
    "One row per cut size: planned sheets and spares, and leaves of the size that lie ready.",
    ("cut_size_id",),
    ("cut_size_id", "paper_id", "width_mm", "height_mm", "sheets", "spares", "ready_leaves_count?"),
)
PATTERNS = Table(
    "work.patterns",
    "One row per cutting pattern; `sheets` parent sheets are cut this way.",
    ("pattern_id",),
    (
        "pattern_id",
        "stock_id",
        "sheets",
        "sheet_width_mm",
        "sheet_length_mm",
        "first_cut",
        "lifts",
        "used_pct",
        "from_offcut_of?",
    ),
)
PATTERN_PIECES = Table(
    "work.pattern_pieces",
    "One row per piece of a pattern, from the trimmed corner.",
    ("pattern_id", "piece_no"),
    ("pattern_id", "piece_no", "cut_size_id", "x_mm", "y_mm", "along_width_mm", "along_length_mm"),
)
OFFCUTS = Table(
    "work.offcuts",
    "One row per useful off-cut of a pattern, per parent sheet.",
    ("pattern_id", "x_mm", "y_mm"),
    ("pattern_id", "x_mm", "y_mm", "along_width_mm", "along_length_mm"),
)
CUT_BOUNDS = Table(
    "work.cut_bounds",
    "One row per paper with sheets: proven least cost of its demand over its stocks.",
    ("paper_id",),
    ("paper_id", "cost_lower_bound"),
)
CLEARANCE_CHOICE_COLUMNS = (
    "most_clearance_mm",
    "is_planned",
    "cut_sizes",
    "lower_bound",
    "parents_count?",
    "patterns_count?",
    "cost_needed?",
    "cost_lower_bound?",
    "reason",
)
CLEARANCE_CHOICES = Table(
    "work.clearance_choices",
    "One row per greatest clearance tried: sizes, parents and cost of the same sheets, cut with the quick effort.",
    ("most_clearance_mm",),
    CLEARANCE_CHOICE_COLUMNS,
)
SIZES_PER_SHEET_CHOICE_COLUMNS = (
    "choice_no",
    "max_sizes_per_sheet?",
    "is_planned",
    "parents_count",
    "patterns_count",
    "cost_needed",
    "cost_lower_bound",
)
SIZES_PER_SHEET_CHOICES = Table(
    "work.sizes_per_sheet_choices",
    "One row per number of sizes allowed on a parent (blank: any): parents, patterns, cost, with the quick effort.",
    ("choice_no",),
    SIZES_PER_SHEET_CHOICE_COLUMNS,
)
CUTTING_WAY_COLUMNS = (
    "way",
    "paper_id",
    "cut_sizes",
    "parents_count",
    "patterns_count",
    "cost_needed",
    "cost_lower_bound?",
)
CUTTING_WAYS = Table(
    "work.cutting_ways",
    "One row per way of sizing and cutting and paper: the usual way, sizes chosen apart, sizes with the sheet in view.",
    ("way", "paper_id"),
    CUTTING_WAY_COLUMNS,
)
MATERIAL_NEEDS = Table(
    "work.material_needs",
    "One row per stock line: parent sheets or rolls needed, bought and paid (order dates come with the schedule).",
    ("stock_id",),
    ("stock_id", "paper_id", "unit", "needed", "on_hand", "to_buy", "packs", "cost"),
)
CUT_RUNS = Table(
    "work.cut_runs",
    "One row per run of a pattern at the guillotine: set-up and its share of the pattern's lifts.",
    ("pattern_id", "run_no"),
    ("pattern_id", "run_no", "lifts", "task_minutes"),
)
TASKS = Table(
    "work.tasks",
    "One row per task, times in whole minutes.",
    ("task_id",),
    ("task_id", "kind", "volume_id?", "pattern_id?", "task_minutes", "skill"),
)
TASK_ORDER = Table(
    "work.task_order",
    "One row per pair of tasks of which one must be finished before the other starts.",
    ("before_task_id", "after_task_id"),
    ("before_task_id", "after_task_id"),
)
TASK_RELEASES = Table(
    "work.task_releases",
    "One row per task that may not start before a day (paper or enclosure to arrive).",
    ("task_id",),
    ("task_id", "day"),
)
STAFF_DAYS = Table(
    "work.staff_days",
    "One row per person and day worked: half-hours from 09:00.",
    ("staff_id", "day"),
    ("staff_id", "day", "half_hours"),
)
ASSIGNMENTS = Table(
    "work.assignments",
    "One row per task: who and when; all three blank when it found no place.",
    ("task_id",),
    ("task_id", "staff_id?", "start_at?", "finish_at?"),
)
STAFF_WEEKS = Table(
    "work.staff_weeks",
    "One row per person and week: hours available and planned.",
    ("staff_id", "week_start"),
    ("staff_id", "week_start", "hours_available", "hours_planned"),
)

TABLES = (
    SIZE_WINDOWS,
    CUT_SIZES,
    CUT_SIZES_APART,
    CUT_SIZE_VOLUMES,
    CUT_SIZE_BOUNDS,
    DEMANDS,
    PATTERNS,
    PATTERN_PIECES,
    OFFCUTS,
    CUT_BOUNDS,
    CLEARANCE_CHOICES,
    SIZES_PER_SHEET_CHOICES,
    CUTTING_WAYS,
    MATERIAL_NEEDS,
    CUT_RUNS,
    TASKS,
    TASK_ORDER,
    TASK_RELEASES,
    STAFF_DAYS,
    ASSIGNMENTS,
    STAFF_WEEKS,
)

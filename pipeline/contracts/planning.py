"""Tables of schema work (stages 03 to 10) and of schema log."""

from pipeline.contracts.table import Table

LISTED_OPENINGS = Table(
    "work.listed_openings",
    "One row per listed opening: the rows that name it merged.",
    ("volume_id", "opening_no"),
    ("volume_id", "opening_no", "left_content", "right_content", "hazards", "severity"),
)
OPENING_GROUPS = Table(
    "work.opening_groups",
    "One row per volume and group of openings alike in content and hazards; `count` openings each.",
    ("volume_id", "group_no"),
    (
        "volume_id",
        "group_no",
        "openings?",
        "first_opening_no?",
        "count",
        "left_content",
        "right_content",
        "hazards",
        "severity",
        "origin",
        "has_counts_overlaid",
        "decision_rows?",
    ),
)
HAZARD_RATES = Table(
    "work.hazard_rates",
    "One row per group, hazard, side and mechanism; odour has a row of its own.",
    ("volume_id", "group_no", "hazard", "side", "mechanism"),
    ("volume_id", "group_no", "hazard", "side", "mechanism", "severity_grade?", "loss_rate_per_century"),
)
LOSSES = Table(
    "work.losses",
    "One row per group: expected loss of one opening over the horizon without an interleaf.",
    ("volume_id", "group_no"),
    ("volume_id", "group_no", "loss_before"),
)
PAPER_PROPERTIES = Table(
    "work.paper_properties",
    "One row per paper: figures that follow from its measurements and stocks.",
    ("paper_id",),
    ("paper_id", "effective_thickness_um", "bending_length_mm", "price_per_m2?"),
)
GROUP_NEEDS = Table(
    "work.group_needs",
    "One row per group: what its openings ask of a paper.",
    ("volume_id", "group_no"),
    (
        "volume_id",
        "group_no",
        "needs_pat",
        "needs_sulphur_free",
        "needs_unbuffered",
        "needs_release",
        "allows_adsorbent",
        "has_staining",
        "needs_care",
        "is_content_guessed",
    ),
)
STOCK_REACH = Table(
    "work.stock_reach",
    "One row per volume and paper: whether a stock of the paper gives a leaf of the volume's least cut size.",
    ("volume_id", "paper_id"),
    ("volume_id", "paper_id", "is_reached"),
)
PERMITTED = Table(
    "work.permitted",
    "One row per group and paper: may the paper lie there, and if not which properties are missing.",
    ("volume_id", "group_no", "paper_id"),
    ("volume_id", "group_no", "paper_id", "is_permitted", "missing"),
)
BENEFITS = Table(
    "work.benefits",
    "One row per group and permitted paper: page losses avoided by one sheet (below the floor too).",
    ("volume_id", "group_no", "paper_id"),
    ("volume_id", "group_no", "paper_id", "benefit_per_sheet"),
)
HEADROOM = Table(
    "work.headroom",
    "One row per volume: headroom both ways and the lesser, um, rounded down; a split joint has none.",
    ("volume_id",),
    (
        "volume_id",
        "by_angle_um?",
        "by_growth_um?",
        "removed_um",
        "headroom_um",
        "wedge_limit_deg?",
    ),
)
OPTIONS = Table(
    "work.options",
    "One row per volume that may be planned and nested option: 0 none, then growing parts, then all.",
    ("volume_id", "option_no"),
    ("volume_id", "option_no", "option_kind", "sheets", "benefit", "added_um"),
)
OPTION_SHEETS = Table(
    "work.option_sheets",
    "One row per option, group and paper that gets sheets; the lowest opening numbers of the group first.",
    ("volume_id", "option_no", "group_no", "paper_id"),
    ("volume_id", "option_no", "group_no", "paper_id", "sheets", "benefit", "thickness_um", "reason"),
)
FIT_STATES = Table(
    "work.fit_states",
    "One row per volume: its state and reason as far as content, paper and bulk decide, before any budget.",
    ("volume_id",),
    (
        "volume_id",
        "state",
        "reason",
        "hazard_openings",
        "no_paper_openings",
        "wanted_openings",
        "benefit_possible",
    ),
)
OPTION_BULK = Table(
    "work.option_bulk",
    "One row per volume and option (option 0 for every volume): the volume after the work of that option.",
    ("volume_id", "option_no"),
    (
        "volume_id",
        "option_no",
        "sheets",
        "added_um",
        "fore_edge_after_mm",
        "spine_after_mm",
        "wedge_after_deg",
        "closed_width_mm",
        "closed_height_mm",
        "closed_thickness_mm",
        "shelved",
    ),
)
OPTION_ENCLOSURES = Table(
    "work.option_enclosures",
    "One row per option that brings a new enclosure: the stock one that fits, or made to measure (no id).",
    ("volume_id", "option_no"),
    (
        "volume_id",
        "option_no",
        "enclosure_id?",
        "inner_width_mm",
        "inner_height_mm",
        "inner_depth_mm",
        "price",
        "shelved",
    ),
)
OPTION_SUPPLIES = Table(
    "work.option_supplies",
    "One row per option and supply it uses (a paper, an enclosure; blank id: made to measure): estimated cost.",
    ("volume_id", "option_no", "supply", "supply_id"),
    ("volume_id", "option_no", "supply", "supply_id", "cost"),
)
SUPPLY_PACKS = Table(
    "work.supply_packs",
    "One row per paper with stock and stock enclosure: worth of what stands in the lab, price of a pack to buy.",
    ("supply", "supply_id"),
    ("supply", "supply_id", "cost", "pack_price"),
)
OPTION_HOURS = Table(
    "work.option_hours",
    "One row per option and least skill: estimated minutes of work, cutting shared by sheets.",
    ("volume_id", "option_no", "skill"),
    ("volume_id", "option_no", "skill", "minutes"),
)
OPTION_COSTS = Table(
    "work.option_costs",
    "One row per option: estimated cost of paper and enclosure, and of labour.",
    ("volume_id", "option_no"),
    ("volume_id", "option_no", "hours", "supplies_cost", "staff_cost"),
)
CORRECTIONS = Table(
    "work.corrections",
    "One row per finished round, limit and volume or paper it is about (or blank): estimate against plan.",
    ("round_no", "limit", "volume_id", "paper_id"),
    ("round_no", "limit", "volume_id", "paper_id", "estimated", "found"),
)
CHOICES = Table(
    "work.choices",
    "One row per volume that may be planned: the option taken, whether its enclosure is paid, why not more (or blank).",
    ("volume_id",),
    ("volume_id", "option_no", "is_funded", "reason"),
)
INTERLEAVES = Table(
    "work.interleaves",
    "One row per group and paper of the chosen options.",
    ("volume_id", "group_no", "paper_id"),
    (
        "volume_id",
        "group_no",
        "paper_id",
        "openings?",
        "sheets",
        "benefit",
        "thickness_um",
        "reason",
    ),
)
VOLUME_PLANS = Table(
    "work.volume_plans",
    "One row per volume: final state and reason, bulk before and after.",
    ("volume_id",),
    (
        "volume_id",
        "state",
        "reason",
        "sheets",
        "benefit_planned",
        "added_um",
        "wedge_before_deg",
        "wedge_after_deg",
        "fore_edge_before_mm",
        "fore_edge_after_mm",
        "spine_after_mm",
    ),
)
CLOSED_VOLUMES = Table(
    "work.closed_volumes",
    "One row per volume: size when closed, after the work, boards and squares included.",
    ("volume_id",),
    ("volume_id", "closed_width_mm", "closed_height_mm", "closed_thickness_mm", "shelved"),
)
ENCLOSURE_FITS = Table(
    "work.enclosure_fits",
    "One row per volume that gets a new enclosure: the stock one that fits, or made to measure (no id).",
    ("volume_id",),
    (
        "volume_id",
        "enclosure_id?",
        "inner_width_mm",
        "inner_height_mm",
        "inner_depth_mm",
        "price",
        "shelved",
        "is_funded",
    ),
)
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
    "One row per cut size: planned sheets and spares.",
    ("cut_size_id",),
    ("cut_size_id", "paper_id", "width_mm", "height_mm", "sheets", "spares"),
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
SOLVES = Table(
    "log.solve",
    "One row per solve.",
    (),
    (
        "stage",
        "part",
        "method",
        "status",
        "objective",
        "bound",
        "gap_frac",
        "seconds",
        "seed",
        "limit_hit",
    ),
)
STEPS = Table("log.steps", "One row per step run.", ("step_no",), ("step_no", "stage", "part", "seconds"))

TABLES = (
    LISTED_OPENINGS,
    OPENING_GROUPS,
    HAZARD_RATES,
    LOSSES,
    PAPER_PROPERTIES,
    GROUP_NEEDS,
    STOCK_REACH,
    PERMITTED,
    BENEFITS,
    HEADROOM,
    OPTIONS,
    OPTION_SHEETS,
    FIT_STATES,
    OPTION_BULK,
    OPTION_ENCLOSURES,
    OPTION_SUPPLIES,
    SUPPLY_PACKS,
    OPTION_HOURS,
    OPTION_COSTS,
    CORRECTIONS,
    CHOICES,
    INTERLEAVES,
    VOLUME_PLANS,
    CLOSED_VOLUMES,
    ENCLOSURE_FITS,
    SIZE_WINDOWS,
    CUT_SIZES,
    CUT_SIZE_VOLUMES,
    CUT_SIZE_BOUNDS,
    DEMANDS,
    PATTERNS,
    PATTERN_PIECES,
    OFFCUTS,
    CUT_BOUNDS,
    MATERIAL_NEEDS,
    CUT_RUNS,
    TASKS,
    TASK_ORDER,
    TASK_RELEASES,
    STAFF_DAYS,
    ASSIGNMENTS,
    STAFF_WEEKS,
    SOLVES,
    STEPS,
)

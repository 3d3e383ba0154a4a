"""Tables of schema work (stages 03 to 06) and of schema log."""

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
STOCK_PARENTS = Table(
    "work.stock_parents",
    "One row per stock line: the sides of a parent after its trim, and the length the guillotine can cut of it.",
    ("stock_id",),
    (
        "stock_id",
        "paper_id",
        "grain_rule",
        "grain",
        "usable_width_mm",
        "usable_length_mm",
        "cuttable_length_mm",
    ),
)
IMPOSSIBLE_LEAVES = Table(
    "work.impossible_leaves",
    "One row per paper and cause for which volumes get no sheet, since none of its stocks gives their leaf.",
    (),
    ("code", "level", "sheet", "volume_id", "message", "action"),
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
    "One row per paper and enclosure (blank: made to measure): worth in the lab, pack to buy (empty: too late).",
    ("supply", "supply_id"),
    ("supply", "supply_id", "cost", "pack_price?"),
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
    STOCK_PARENTS,
    STOCK_REACH,
    IMPOSSIBLE_LEAVES,
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
    SOLVES,
    STEPS,
)

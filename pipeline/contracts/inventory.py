"""Tables of stages 01 ingest and 02 check: the inventory as typed (raw) and as cleaned (clean)."""

from pipeline.contracts.fields import HAZARDS
from pipeline.contracts.table import Table

RUN = Table(
    "raw.run",
    "One row: which run this is.",
    ("revision",),
    ("revision", "as_of", "guardleaf_version", "inventory_sha256", "policy_sha256", "planned_at"),
)
RAW_SHEETS = Table(
    "raw.sheets",
    "One row per sheet (or CSV file) that was read.",
    ("sheet",),
    ("sheet", "sheet_state", "known_as?", "header_row_no?", "row_count"),
)
RAW_HEADERS = Table(
    "raw.headers",
    "One row per heading. `field` is our name of the column, blank when it is not known; `unit` that of its lengths.",
    ("sheet", "column_no"),
    ("sheet", "column_no", "cell", "header", "field", "unit?"),
)
RAW_CELLS = Table(
    "raw.cells",
    "One row per filled cell below a known heading: text as typed (or as the column file reads it), with its address.",
    ("sheet", "row_no", "field"),
    ("sheet", "row_no", "column_no", "cell", "field", "cell_kind", "text"),
)

FINDING_COLUMNS = ("code", "level", "sheet", "cell", "volume_id", "message", "action")
RAW_FINDINGS = Table(
    "raw.findings",
    "One row per finding about the file, its sheets and headings, in reading order.",
    (),
    FINDING_COLUMNS,
)

CAMPAIGN = Table(
    "clean.campaign",
    "One row: the campaign's settings, defaults filled in, lengths in mm.",
    ("campaign_name",),
    (
        "campaign_name",
        "start_date",
        "end_date",
        "length_unit",
        "currency",
        "supplies_budget?",
        "staff_budget?",
        "spares_pct",
        "horizon_years",
        "working_days",
        "max_sizes_per_sheet",
        "guillotine_max_cut_mm",
        "guillotine_max_lift_mm",
        "handling_note?",
        "country?",
        "page_size",
        "contingency_pct",
        "indirect_pct",
    ),
)
CAMPAIGN_SETTINGS = Table(
    "clean.campaign_settings",
    "One row per campaign setting, value as text (the published form of clean.campaign).",
    ("setting",),
    ("setting", "value:text?"),
)
VOLUME_COLUMNS = (
    "volume_id",
    "collection",
    "title?",
    "location?",
    "page_width_mm",
    "page_height_mm",
    "leaves",
    "binding",
    "joints",
    "leaf_condition",
    "spine_thickness_mm",
    "fore_edge_thickness_mm",
    "extension_mm",
    "use",
    "significance",
    "odour",
    "hold?",
    "buffer_rule?",
    "contents?",
    "existing_leaves",
    "existing_leaf_thickness_um",
    "skill",
    "enclosure",
    "cover_width_mm?",
    "cover_height_mm?",
    "boards_thickness_mm?",
    "shelf_order?",
    "stratum?",
)
VOLUMES = Table(
    "clean.volumes",
    "One row per volume of the inventory, defaults filled in.",
    ("volume_id",),
    ("row_no", *VOLUME_COLUMNS),
)
VOLUME_CONTENTS = Table(
    "clean.volume_contents",
    "One row per volume and content word of its `contents` cell.",
    ("volume_id", "content_word"),
    ("volume_id", "content_word"),
)
VOLUME_COUNTS = Table(
    "clean.volume_counts",
    "One row per volume and hazard of its quick-survey counts (as typed, before rows are taken off).",
    ("volume_id", "hazard"),
    ("volume_id", "hazard", "count"),
)
COUNT_GROUPS = Table(
    "clean.count_groups",
    "One row per volume, group laid out from what the counts hold beyond the rows, and hazard of that group.",
    ("volume_id", "count_group_no", "hazard"),
    ("volume_id", "count_group_no", "hazard", "count", "has_counts_overlaid"),
)
OPENING_ROWS = Table(
    "clean.opening_rows",
    "One row per row of Openings. `count` is the number of openings the row stands for.",
    ("row_no",),
    ("row_no", "volume_id", "openings?", "count", "note?"),
)
OPENING_RANGES = Table(
    "clean.opening_ranges",
    "One row per range of opening numbers in a row of Openings.",
    ("row_no", "first_opening_no"),
    ("row_no", "volume_id", "first_opening_no", "last_opening_no"),
)
ROW_HAZARDS = Table(
    "clean.row_hazards",
    "One row per row of Openings, hazard and side (blank side: not said which page carries it).",
    ("row_no", "hazard", "side"),
    ("row_no", "volume_id", "hazard", "side", "severity_grade"),
)
ROW_CONTENTS = Table(
    "clean.row_contents",
    "One row per row of Openings, side and content word; an empty cell has the word unknown.",
    ("row_no", "side", "content_word"),
    ("row_no", "volume_id", "side", "content_word"),
)
PAPER_COLUMNS = (
    "paper_id",
    "description?",
    "buffer",
    "adsorbent",
    "pat",
    "sulphur_free",
    "lignin_free",
    "ph",
    "surface",
    "glassine",
    "grammage_gsm",
    "thickness_um",
    "bulking_thickness_um?",
    "bending_stiffness_mnm?",
    "grain_rule",
)
PAPERS = Table("clean.papers", "One row per paper.", ("paper_id",), ("row_no", *PAPER_COLUMNS))
STOCK_COLUMNS = (
    "stock_id",
    "paper_id",
    "form",
    "width_mm",
    "length_mm",
    "grain",
    "pack_quantity",
    "pack_price",
    "lead_days",
    "on_hand",
    "trim_mm",
)
STOCK = Table("clean.stock", "One row per stock line of a paper.", ("stock_id",), ("row_no", *STOCK_COLUMNS))
STAFF_COLUMNS = ("staff_id", "skill", "hours_per_week", "days", "from?", "until?", "hourly_rate?")
STAFF = Table(
    "clean.staff",
    "One row per person. `days` is a list of weekday names, the campaign's where the cell is empty.",
    ("staff_id",),
    ("row_no", *STAFF_COLUMNS),
)
ABSENCE_COLUMNS = ("staff_id?", "from", "until", "reason?")
ABSENCES = Table(
    "clean.absences",
    "One row per absence, both dates inclusive; no staff_id means the whole lab.",
    ("row_no",),
    ("row_no", *ABSENCE_COLUMNS),
)
CLOSURES = Table(
    "clean.closures",
    "One row per day the whole lab is closed: absences of the whole lab and public holidays.",
    ("day",),
    ("day", "reason"),
)
RATE_COLUMNS = ("task", "minutes", "minutes_low", "minutes_high", "skill")
RATES = Table(
    "clean.rates",
    "One row per task of the trade; policy figures where the sheet has none.",
    ("task",),
    RATE_COLUMNS,
)
ENCLOSURE_COLUMNS = (
    "enclosure_id",
    "inner_width_mm",
    "inner_height_mm",
    "inner_depth_mm",
    "price",
    "on_hand",
    "lead_days",
    "max_slack_mm",
    "max_depth_slack_mm",
)
ENCLOSURE_STOCK = Table(
    "clean.enclosure_stock", "One row per stock enclosure.", ("enclosure_id",), ENCLOSURE_COLUMNS
)
DECISIONS = Table(
    "clean.decisions",
    "One row per decision of a person that binds the plan.",
    ("row_no",),
    ("row_no", "volume_id", "openings?", "decision", "paper_id?", "by?", "reason"),
)
STRATUM_COLUMNS = ("stratum", "volumes_in_all")
STRATA = Table(
    "clean.strata",
    "One row per stratum of a sampled survey; none where every volume was surveyed.",
    ("stratum",),
    ("row_no", *STRATUM_COLUMNS),
)
NAMED_IDS = Table(
    "work.named_ids",
    "One row per identifier cell, of faulty rows too: where each is defined and where it is referred to.",
    ("sheet", "row_no", "field"),
    ("sheet", "row_no", "field", "cell", "named_id", "is_own"),
)
SEEN_VOLUMES = Table(
    "work.seen_volumes",
    "One row per volume named in Volumes, faulty rows too; what cannot be read is empty.",
    ("volume_id",),
    ("sheet", "row_no", "volume_id", "page_width_mm?", "page_height_mm?", "leaves?", "hold?"),
)
SEEN_OPENINGS = Table(
    "work.seen_openings",
    "One row per range of openings (or count without places) in Openings and Decisions, faulty rows too.",
    (),
    (
        "sheet",
        "row_no",
        "volume_id?",
        "first_opening_no?",
        "last_opening_no?",
        "count?",
        "hazards",
        "left_content",
        "right_content",
        "decision?",
        "paper_id?",
    ),
)
SEEN_STOCK = Table(
    "work.seen_stock",
    "One row per row of Stock, faulty rows too; what cannot be read is empty.",
    ("row_no",),
    ("sheet", "row_no", "paper_id?", "form?", "width_mm?", "length_mm?", "trim_mm?"),
)
CELL_FINDINGS = Table(
    "work.cell_findings",
    "One row per finding of a cell, a row or a volume's counts.",
    (),
    FINDING_COLUMNS,
)
CROSS_CHECKS = (
    "duplicate_ids",
    "look_alike_ids",
    "unknown_ids",
    "openings_out_of_range",
    "overlapping_openings",
    "clashing_decisions",
    "pages_larger_than_stock",
    "papers_without_stock",
    "tasks_without_staff",
    "people_outside_campaign",
    "sampled_strata",
    "deliveries_after_end",
)
"""Findings across rows and sheets: one SELECT in sql/02_check and one table each."""
CROSS_CHECK_TABLES = tuple(
    Table(
        f"work.{name}",
        "One row per finding. The cell is the field's in that row; a whole sheet where there is no row.",
        (),
        ("code", "level", "sheet", "row_no?", "field?", "volume_id", "message", "action"),
    )
    for name in CROSS_CHECKS
)
FINDINGS = Table(
    "clean.findings",
    "One row per finding, sorted by sheet and row.",
    (),
    FINDING_COLUMNS,
)

SURVEY_COUNT_COLUMNS = tuple(f"openings_{hazard}" for hazard in HAZARDS)

TABLES = (
    RUN,
    RAW_SHEETS,
    RAW_HEADERS,
    RAW_CELLS,
    RAW_FINDINGS,
    CAMPAIGN,
    CAMPAIGN_SETTINGS,
    VOLUMES,
    VOLUME_CONTENTS,
    VOLUME_COUNTS,
    COUNT_GROUPS,
    OPENING_ROWS,
    OPENING_RANGES,
    ROW_HAZARDS,
    ROW_CONTENTS,
    PAPERS,
    STOCK,
    STAFF,
    ABSENCES,
    CLOSURES,
    RATES,
    ENCLOSURE_STOCK,
    DECISIONS,
    STRATA,
    NAMED_IDS,
    SEEN_VOLUMES,
    SEEN_OPENINGS,
    SEEN_STOCK,
    CELL_FINDINGS,
    *CROSS_CHECK_TABLES,
    FINDINGS,
)

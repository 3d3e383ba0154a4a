"""Tables of schema policy: every disputable figure as a row, and the same figures in the shape SQL joins to."""

from pipeline.contracts.table import Table

ENTRIES = Table(
    "policy.entries",
    "One row per policy key: number in `value` or word in `text`, unit, basis.",
    ("key",),
    ("key", "value?", "text?", "unit", "basis"),
)
FIGURES = Table(
    "policy.figures",
    "One row per policy key that holds a number.",
    ("key",),
    ("key", "value", "unit", "basis"),
)
UNIT_FACTORS = Table(
    "policy.unit_factors",
    "One row per unit factor of pipeline/units.py, for SQL.",
    ("unit_factor",),
    ("unit_factor", "factor"),
)
HAZARDS = Table(
    "policy.hazards",
    "One row per hazard and mechanism.",
    ("hazard", "mechanism"),
    ("hazard", "hazard_order", "mechanism", "loss_rate_per_century"),
)
SEVERITIES = Table(
    "policy.severities",
    "One row per severity grade.",
    ("severity_grade",),
    ("severity_grade", "severity_factor"),
)
USE_FACTORS = Table(
    "policy.use_factors",
    "One row per kind of use and mechanism; 1 where handling does not matter.",
    ("use", "mechanism"),
    ("use", "mechanism", "use_factor"),
)
SIGNIFICANCES = Table(
    "policy.significances",
    "One row per significance grade.",
    ("significance",),
    ("significance", "significance_weight"),
)
CONTENTS = Table(
    "policy.contents",
    "One row per content word: how vulnerable, and what it asks of the paper.",
    ("content_word",),
    (
        "content_word",
        "vulnerability_frac",
        "is_photograph",
        "is_silver",
        "is_ph_sensitive",
        "is_known_content",
    ),
)
EFFICACIES = Table(
    "policy.efficacies",
    "One row per mechanism and paper property; a paper has the greatest efficacy of its properties.",
    ("mechanism", "paper_property"),
    ("mechanism", "paper_property", "efficacy_frac"),
)
BINDINGS = Table(
    "policy.bindings",
    "One row per binding and condition of joints that may take bulk (a split joint takes none).",
    ("binding", "joints"),
    ("binding", "joints", "wedge_limit_deg", "growth_frac"),
)
RATES = Table(
    "policy.rates",
    "One row per task: minutes where the inventory has no rate.",
    ("task",),
    ("task", "minutes", "minutes_low", "minutes_high", "skill"),
)
ENCLOSURES = Table(
    "policy.enclosures",
    "One row per stock enclosure offered where the inventory has no Enclosures sheet.",
    ("enclosure_id",),
    (
        "enclosure_id",
        "inner_width_mm",
        "inner_height_mm",
        "inner_depth_mm",
        "price",
        "on_hand",
        "lead_days",
        "max_slack_mm",
        "max_depth_slack_mm",
    ),
)

TABLES = (
    ENTRIES,
    FIGURES,
    UNIT_FACTORS,
    HAZARDS,
    SEVERITIES,
    USE_FACTORS,
    SIGNIFICANCES,
    CONTENTS,
    EFFICACIES,
    BINDINGS,
    RATES,
    ENCLOSURES,
)

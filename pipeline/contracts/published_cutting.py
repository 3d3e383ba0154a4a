"""Tables of schema published that say how paper is cut, and what other cutting would take."""

from pipeline.contracts.making import (
    CLEARANCE_CHOICE_COLUMNS,
    CUTTING_WAY_COLUMNS,
    OFFCUTS,
    PATTERN_PIECES,
    PATTERNS,
    SIZES_PER_SHEET_CHOICE_COLUMNS,
)
from pipeline.contracts.table import Table

CUTTING_TABLES = (
    Table(
        "published.patterns",
        "One row per cutting pattern.",
        ("pattern_id",),
        PATTERNS.columns,
    ),
    Table(
        "published.pattern_pieces",
        "One row per piece of a pattern.",
        ("pattern_id", "piece_no"),
        PATTERN_PIECES.columns,
    ),
    Table(
        "published.offcuts",
        "One row per useful off-cut of a pattern, per parent sheet.",
        ("pattern_id", "x_mm", "y_mm"),
        OFFCUTS.columns,
    ),
    Table(
        "published.offcut_uses",
        "One row per pattern cut from off-cuts and cut size on it: what comes from where.",
        ("pattern_id", "cut_size_id"),
        (
            "pattern_id",
            "cut_size_id",
            "from_offcut_of",
            "paper_id",
            "stock_id",
            "offcuts_count",
            "along_width_mm",
            "along_length_mm",
            "pieces_count",
        ),
    ),
    Table(
        "published.offcut_savings",
        "One row per stock line of which off-cuts spare fresh parents; the saving stands apart from the gap.",
        ("stock_id",),
        ("stock_id", "paper_id", "spared_quantity", "spared_cost"),
    ),
)
CHOICE_TABLES = (
    Table(
        "published.clearance_choices",
        "One row per greatest clearance tried: sizes, parents and cost of the same sheets, cut with the quick effort. "
        "A quick plan has none.",
        ("most_clearance_mm",),
        CLEARANCE_CHOICE_COLUMNS,
    ),
    Table(
        "published.sizes_per_sheet_choices",
        "One row per number of sizes allowed on a parent (blank: any): parents, patterns, cost, with the quick effort. "
        "A quick plan has none.",
        ("choice_no",),
        SIZES_PER_SHEET_CHOICE_COLUMNS,
    ),
    Table(
        "published.cutting_ways",
        "One row per way and paper: the usual way, sizes chosen apart and in view (quick effort), and the plan itself. "
        "A quick plan is set beside the usual way alone.",
        ("way", "paper_id"),
        CUTTING_WAY_COLUMNS,
    ),
)

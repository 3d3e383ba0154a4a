"""The data of the made-up plan: volumes, cut sizes, patterns, people."""

from datetime import date
from typing import Any

Rows = list[dict[str, Any]]

AS_OF = date(2027, 3, 1)
FAIR, SEED = "Carnival committee", "Seed merchant"
# volume, collection, state, page width, page height, sheets by (paper, cut size)
VOLUMES = (
    ("CC-001", FAIR, "covered", 210, 297, {"B40": ("C1", 14)}),
    ("CC-002", FAIR, "covered", 210, 297, {"B40": ("C1", 22), "R50": ("C4", 3)}),
    ("CC-003", FAIR, "prioritised", 243, 313, {"B40": ("C2", 18)}),
    ("CC-004", FAIR, "on_hold", 300, 400, {}),
    ("CC-005", FAIR, "treat_first", 300, 400, {}),
    ("CC-006", FAIR, "no_headroom", 250, 330, {}),
    ("CC-007", FAIR, "covered", 203, 283, {"B40": ("C3", 9)}),
    ("SM/01", SEED, "covered", 293, 403, {"N60": ("C5", 30)}),
    ("SM/02", SEED, "prioritised", 293, 403, {"N60": ("C5", 41)}),
    ("SM/03", SEED, "nothing_needed", 220, 300, {}),
    ("SM/04", SEED, "no_paper", 220, 300, {}),
    ("SM/05", SEED, "deferred", 220, 300, {}),
    ("SM/06", SEED, "covered", 520, 610, {"N60": ("C6", 6)}),
)
REASONS = {
    "covered": "every opening that needs a sheet gets one",
    "prioritised": "headroom for part of the openings only; the greatest benefit first",
    "on_hold": "active mould: on hold until a person clears it",
    "treat_first": "split joint: no added bulk, treat first",
    "no_headroom": "the binding takes no more bulk by wedge angle",
    "nothing_needed": "no opening has a hazard",
    "no_paper": "no paper in the list has a release surface and passed the photographic activity test",
    "deferred": "left out: the campaign's hours do not reach",
}
SIZES = {
    "C1": ("B40", 207.0, 294.0),
    "C2": ("B40", 240.0, 310.0),
    "C3": ("B40", 200.0, 280.0),
    "C4": ("R50", 207.0, 294.0),
    "C5": ("N60", 290.0, 400.0),
    "C6": ("N60", 517.0, 607.0),
}
PATTERNS = {
    "P1": (
        "B40-S",
        640.0,
        900.0,
        5,
        1,
        [("C1", 207.0 * i, 294.0 * j, 207.0, 294.0) for j in range(3) for i in range(3)],
    ),
    "P2": (
        "B40-L",
        700.0,
        1000.0,
        10,
        3,
        [
            piece
            for j in range(2)
            for piece in (
                ("C2", 0.0, 310.0 * j, 240.0, 310.0),
                ("C2", 240.0, 310.0 * j, 240.0, 310.0),
                ("C3", 480.0, 310.0 * j, 200.0, 280.0),
            )
        ],
    ),
    "P3": (
        "N60-R",
        914.0,
        830.0,
        13,
        1,
        [("C5", 290.0 * i, 400.0 * j, 290.0, 400.0) for j in range(2) for i in range(3)],
    ),
    "P4": ("N60-R", 914.0, 620.0, 7, 1, [("C6", 0.0, 0.0, 517.0, 607.0)]),
    "P5": (
        "R50-S",
        500.0,
        700.0,
        1,
        1,
        [("C4", 207.0 * i, 294.0 * j, 207.0, 294.0) for j in range(2) for i in range(2)],
    ),
}
OFFCUTS = (("P2", 0.0, 620.0, 694.0, 374.0), ("P4", 517.0, 0.0, 391.0, 607.0))
STAFF = (
    ("t1", "technician", 30.0, 31.5),
    ("v1", "volunteer", 12.0, None),
    ("k1", "conservator", 10.0, 45.0),
)


def rows_of(names: str, *lines: tuple[Any, ...]) -> Rows:
    """Rows with these columns."""
    return [dict(zip(names.split(), line, strict=True)) for line in lines]

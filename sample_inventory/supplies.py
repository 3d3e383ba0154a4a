"""The invented record office of Marrowby: campaign, papers, stock, people, rates, odd volumes.

Rows stand as a person would type them. Figures and prices are plausible for their kind; none is a quotation.
"""

from datetime import date

CAMPAIGN = {
    "name": "Marrowby scrapbooks, first campaign",
    "start_date": date(2027, 1, 11),
    "end_date": date(2027, 7, 9),
    "length_unit": "mm",
    "currency": "EUR",
    "supplies_budget": 6500,
    "staff_budget": 8000,
    "spares_pct": 3,
    "horizon_years": 50,
    "working_days": "Mon-Fri",
    "max_sizes_per_sheet": 3,
    "guillotine_max_cut": 1100,
    "guillotine_max_lift": 60,
    "handling_note": "Wash and dry hands; pins and staples stay in place unless the sheet says otherwise.",
    "page_size": "A4",
    "contingency_pct": 5,
    "indirect_pct": 15,
}
TIGHT_CAMPAIGN = {"name": "Marrowby scrapbooks, tight campaign", "end_date": date(2027, 4, 16)}
TIGHT_STAFF = ("T1",)

PAPER_HEADERS = (
    "paper_id", "description", "buffer", "adsorbent", "pat", "sulphur_free", "lignin_free", "ph", "surface",
    "glassine", "grammage_gsm", "thickness_um", "bulking_thickness_um", "bending_stiffness_mnm", "grain_rule",
)  # fmt: skip
PAPERS = (
    ("TU18", "Unbuffered tissue", "unbuffered", "no", "pass", "yes", "yes", 7.1, "plain", "no",
     18, 46, None, None, "ignore"),
    ("TB30", "Buffered tissue", "buffered", "no", "pass", "yes", "yes", 8.4, "plain", "no",
     30, 61, 57, None, "require"),
    ("XU80", "Unbuffered text, photo grade", "unbuffered", "no", "pass", "yes", "yes", 7.2, "smooth", "no",
     80, 109, None, 0.31, "require"),
    ("XB80", "Buffered text", "buffered", "no", "unknown", "unknown", "yes", 8.6, "plain", "no",
     80, 113, 107, None, "require"),
    ("XU120", "Unbuffered heavy text, photo grade", "unbuffered", "no", "pass", "yes", "yes", 7.3, "plain",
     "no", 120, 158, None, 0.94, "require"),
    ("XB170", "Buffered heavy text", "buffered", "no", "fail", "no", "yes", 8.8, "plain", "no",
     170, 223, 214, 3.3, "prefer"),
    ("AZ100", "Zeolite-loaded adsorbent", "buffered", "yes", "pass", "yes", "yes", 8.2, "plain", "no",
     100, 137, 131, None, "require"),
    ("RS60", "Silicone release, both sides", "unbuffered", "no", "pass", "yes", "yes", 7.0, "release", "no",
     60, 69, None, None, "prefer"),
    ("GL40", "Glazed transparent, old stock", "unbuffered", "no", "fail", "no", "yes", 6.4, "smooth", "yes",
     40, 34, None, None, "ignore"),
    ("NW55", "Printers' remnants, wood pulp", "unbuffered", "no", "unknown", "unknown", "no", 5.9, "plain",
     "no", 55, 83, None, None, "ignore"),
)  # fmt: skip

STOCK_HEADERS = (
    "stock_id", "paper_id", "form", "width", "length", "grain", "pack_quantity", "pack_price", "lead_days",
    "on_hand", "trim",
)  # fmt: skip
STOCK = (
    ("TU18-R", "TU18", "roll", 1000, 50000, "long", 1, 84, 14, 0, None),
    ("TB30-S", "TB30", "sheet", 610, 914, "long", 100, 96, 14, 60, 3),
    ("TB30-R", "TB30", "roll", 1000, 50000, "long", 1, 118, 14, 0.4, 3),
    ("XU80-A", "XU80", "sheet", 640, 900, "long", 250, 290, 21, 0, 3),
    ("XU80-B", "XU80", "sheet", 450, 640, "short", 250, 152, 21, 120, 3),
    ("XB80-A", "XB80", "sheet", 640, 900, "long", 250, 185, 10, 0, 3),
    ("XB80-C", "XB80", "sheet", "30 in", "40 in", "long", 125, 132, 10, 35, "1/8 in"),
    ("XU120-C", "XU120", "sheet", "76.2 cm", "101.6 cm", "long", 100, 212, 21, 0, 3),
    ("XB170-C", "XB170", "sheet", 762, 1016, "short", 50, 118, 14, 0, 4),
    ("XB170-R", "XB170", "roll", 1000, 30000, "long", 1, 164, 28, 0, 4),
    ("AZ100-S", "AZ100", "sheet", 610, 914, "long", 50, 165, 28, 0, 3),
    ("RS60-S", "RS60", "sheet", 610, 914, "long", 50, 82, 14, 10, 3),
    ("GL40-S", "GL40", "sheet", 500, 750, "long", 100, 21, 7, 200, 3),
    ("NW55-A", "NW55", "sheet", 640, 900, "long", 500, 24, 3, 400, 3),
)

STAFF_HEADERS = ("staff_id", "skill", "hours_per_week", "days", "from", "until", "hourly_rate")
STAFF = (
    ("C1", "conservator", 3, "Mon", None, None, 38),
    ("T1", "technician", 7, "Mon-Tue", None, None, 24),
    ("T2", "technician", 5, "Thu", None, date(2027, 6, 25), 24),
    ("V1", "volunteer", 4, "Wed", None, None, 0),
    ("V2", "volunteer", 4, "Fri", date(2027, 2, 1), None, 0),
)
ABSENCE_HEADERS = ("staff_id", "from", "until", "reason")
ABSENCES = (
    (None, date(2027, 3, 29), date(2027, 4, 2), "closure week"),
    (None, date(2027, 5, 3), date(2027, 5, 3), "carnival day"),
    ("T1", date(2027, 2, 15), date(2027, 2, 19), "course"),
    ("T2", date(2027, 5, 17), date(2027, 5, 28), "leave"),
    ("C1", date(2027, 6, 14), date(2027, 6, 18), "leave"),
    ("V1", date(2027, 4, 5), date(2027, 4, 9), None),
)
RATE_HEADERS = ("task", "minutes", "minutes_low", "minutes_high", "skill")
RATES = (
    ("remove", 0.5, 0.3, 0.9, "technician"),
    ("cut_setup", 12, 8, 18, "technician"),
    ("cut_lift", 6, 4, 9, "technician"),
    ("interleave_volume", 15, 10, 22, "volunteer"),
    ("interleave_sheet", 1.3, 0.9, 1.9, "volunteer"),
    ("check", 8, 5, 12, "technician"),
    ("enclose", 6, 4, 9, "volunteer"),
    ("enclose_made_to_measure", 18, 12, 27, "technician"),
    ("fetch", 6, 4, 9, "volunteer"),
    ("return", 6, 4, 9, "volunteer"),
)
ENCLOSURE_HEADERS = (
    "enclosure_id", "inner_width", "inner_height", "inner_depth", "price", "on_hand", "lead_days",
    "max_slack", "max_depth_slack",
)  # fmt: skip
ENCLOSURES = (
    ("BX-01", 214, 267, 40, 6.4, 6, 14, None, None),
    ("BX-02", 221, 283, 50, 6.9, 12, 14, None, None),
    ("BX-03", 236, 303, 45, 7.6, 0, 14, None, None),
    ("BX-04", 265, 318, 45, 8.2, 0, 14, None, None),
    ("BX-05", 291, 369, 48, 10.1, 4, 14, None, None),
    ("BX-06", 316, 393, 45, 11.8, 0, 14, None, None),
    ("BX-07", 341, 263, 55, 10.4, 0, 21, 12, None),
    ("BX-08", "11 1/2 in", "9 in", "2 1/4 in", 8.8, 0, 21, None, None),
    ("BX-09", 281, 443, 60, 14.5, 0, 21, 10, 30),
    ("BX-10", 266, 193, 55, 7.2, 3, 14, None, None),
)

# Volumes a surveyor remembers: fields that differ from the rest of their collection.
ODD_VOLUMES: dict[str, dict[str, object]] = {
    "CC-007": {"hold": "mould", "odour": "yes"},
    "CC-031": {"hold": "other", "location": "on loan to the town hall"},
    "CC-044": {"buffer_rule": "buffered_only", "contents": "print, manuscript"},
    "CC-052": {"page_height": "11 3/8 in", "page_width": "9 1/2 in"},
    "CC-060": {"page_height": "28.9 cm", "page_width": "22.4 cm"},
    "SM-011": {"hold": "arsenic"},
    "SM-012": {"hold": "treated_specimen"},
    "SM-033": {"buffer_rule": "unbuffered_only"},
    "SM-040": {"page_height": "10 5/8 in", "spine_thickness": "7/8 in"},
    "EX-005": {"hold": "nitrate"},
    "EX-006": {"hold": "nitrate"},
    "EX-021": {"buffer_rule": "buffered_only", "contents": "colour_print"},
    "EX-048": {"page_width": "13 in", "page_height": "9 13/16 in"},
    "EX-070": {"page_width": "25.6 cm"},
    "SC-020": {"buffer_rule": "buffered_only"},
    "SC-066": {"page_width": "8 in", "page_height": "10 in"},
    "00309": {"hold": "treated_specimen"},
    "00330": {"page_height": "43.2 cm"},
    "PG-002": {"page_width": 640, "page_height": 905},
    "PG-019": {"page_width": 552, "page_height": 811},
}
# Their rows in Openings instead of what chance writes: openings, count, left, right, hazards, severity, note.
ODD_OPENINGS: dict[str, tuple[tuple[object, ...], ...]] = {
    "CC-015": (),
    "CC-018": (
        ("3, 7-12", None, "print", "print", "acidic_insert", 3, "newsprint"),
        ("10-14", None, "print", "print", "left:staining_adhesive", 2, "the same leaves again"),
        ("20-22", None, "manuscript", "print", "left:fastener, right:fastener", 2, "pinned on both sides"),
    ),
    "CC-044": (("2-18", None, "print", "silk", "raised_attachment", 3, "sashes"),),
    "EX-021": (("1-16", None, "colour_print", "colour_print", "facing_photographs", 3, None),),
    "EX-030": (("2-14", None, "print", "print", "tacky_adhesive", 3, "self-adhesive leaves"),),
    "EX-031": (("1-20", None, "silver_print", "print", "tacky_adhesive", 2, None),),
    "SC-041": (("5-9", None, "blank", "blank", "fastener", 1, "small brass pins"),),
    "SC-042": (("2-6", None, "blank", "blank", "fastener", 1, None),),
    "00312": (
        (None, 14, "specimen", "manuscript; blank", "left:raised_attachment", 2, "places not noted"),
        ("1-5", None, "specimen", "leather", "raised_attachment", 2, None),
    ),
    "PG-019": (("2-20", None, "print", "print", "acidic_insert", 3, None),),
    "PG-002": (("1-15", None, "print", "print", "acidic_insert", 2, "folds out"),),
}
# Quick-survey counts of volumes whose hazards must share openings, since the volume has fewer.
ODD_COUNTS: dict[str, dict[str, int]] = {
    "SC-050": {"openings_acidic_insert": 30, "openings_staining_adhesive": 22, "openings_fastener": 9},
    "CC-080": {"openings_acidic_insert": 40, "openings_unstable_media": 25, "openings_raised_attachment": 12},
}

DECISION_HEADERS = ("volume_id", "openings", "decision", "paper_id", "by", "reason")
# What the conservator of Marrowby said after leafing through; CC-044 asks for a paper that the silk forbids.
DECISIONS = (
    ("SC-041", "5-9", "must", None, "conservator", "the pins leave a mark on the title leaf already"),
    (
        "CC-010",
        "20-23",
        "never",
        None,
        "conservator",
        "the pastels stick to any sheet; they get folders of their own",
    ),
    ("CC-018", "20-22", "paper", "XU120", "conservator", "a firmer sheet for the pinned programmes"),
    ("00312", None, "paper", "XU120", "conservator", "specimens press through the thin sheet"),
    ("CC-044", "2-5", "paper", "XB170", "conservator", "firm paper under the rosettes"),
)

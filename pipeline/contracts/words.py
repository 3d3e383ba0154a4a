"""The words a column may hold, in the order that lists and reports show them."""

STATES = (
    "on_hold",
    "nothing_needed",
    "treat_first",
    "no_paper",
    "no_headroom",
    "prioritised",
    "covered",
    "deferred",
)
BINDINGS = ("sewn", "adhesive", "guarded", "post", "laced", "ring", "spiral")
JOINTS = ("sound", "weak", "split")
LEAF_CONDITIONS = ("sound", "fragile", "brittle")
USES = ("rare", "occasional", "frequent")
HOLDS = ("mould", "nitrate", "arsenic", "treated_specimen", "other")
BUFFER_RULES = ("buffered_only", "unbuffered_only")
SKILLS = ("volunteer", "technician", "conservator")
ENCLOSURE_WISHES = ("keep", "new", "none")
HAZARDS = (
    "acidic_insert",
    "unstable_media",
    "friable_media",
    "fastener",
    "raised_attachment",
    "facing_photographs",
    "staining_adhesive",
    "tacky_adhesive",
)
CONTENT_WORDS = (
    "blank",
    "print",
    "manuscript",
    "silver_print",
    "colour_print",
    "dye_print",
    "albumen_print",
    "photograph",
    "cyanotype",
    "diazotype",
    "artwork",
    "silk",
    "wool",
    "textile",
    "leather",
    "specimen",
    "unknown",
)
MECHANISMS = ("staining", "offset", "abrasion", "ghosting", "adhesion", "odour")
RATE_TASKS = (
    "remove",
    "cut_setup",
    "cut_lift",
    "interleave_volume",
    "interleave_sheet",
    "check",
    "enclose",
    "enclose_made_to_measure",
    "fetch",
    "return",
)
TASK_KINDS = ("cut", "fetch", "remove", "interleave", "check", "enclose", "return")
COST_CLASSES = (
    "personnel",
    "fringe",
    "travel",
    "equipment",
    "supplies",
    "contractual",
    "construction",
    "other",
    "total_direct",
    "indirect",
    "total",
)
LEVELS = ("error", "warning", "note")
PROGRESS = ("done", "part", "not_done")
"""How far a returned task is."""

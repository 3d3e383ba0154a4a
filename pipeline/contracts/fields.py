"""The register of columns: one name, one quantity, one unit, in every table.

A column's unit is the end of its name (`_mm`, `_um`, `_deg`, `_frac` ...) or the name itself
(`hours`, `minutes`, `sheets`, `packs`, `count`; `cost` and `price` are campaign currency; `benefit` is
expected page losses avoided, in page-equivalents).
"""

from dataclasses import dataclass
from typing import Literal

Kind = Literal["text", "int", "float", "bool", "date", "timestamp"]


@dataclass(frozen=True)
class Field:
    """Meaning, type and bounds of one column, wherever it stands."""

    name: str
    kind: Kind
    meaning: str
    at_least: float | None = None
    at_most: float | None = None
    one_of: tuple[str, ...] = ()


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
LEVELS = ("error", "warning", "note")


def _text(name: str, meaning: str, *one_of: str) -> Field:
    return Field(name, "text", meaning, one_of=one_of)


def _int(name: str, meaning: str, at_least: float | None = 0, at_most: float | None = None) -> Field:
    return Field(name, "int", meaning, at_least, at_most)


def _float(name: str, meaning: str, at_least: float | None = 0, at_most: float | None = None) -> Field:
    return Field(name, "float", meaning, at_least, at_most)


def _bool(name: str, meaning: str) -> Field:
    return Field(name, "bool", meaning)


def _date(name: str, meaning: str) -> Field:
    return Field(name, "date", meaning)


def _time(name: str, meaning: str) -> Field:
    return Field(name, "timestamp", meaning)


_ALL = (
    # places in a workbook
    _text("sheet", "sheet of the inventory"),
    _text("sheet_state", "visible, hidden or veryHidden"),
    _int("header_row_no", "spreadsheet row of the headings", 1),
    _int("row_no", "spreadsheet row, counted from 1", 1),
    _int("column_no", "spreadsheet column, counted from 1", 1),
    _text("cell", "cell address such as F17; blank when a whole sheet is meant"),
    _text("header", "heading as typed"),
    _text("field", "our name of the column; blank when the heading is not known"),
    _text("cell_kind", "what the cell holds", "text", "number", "date", "bool", "error", "formula"),
    _text("named_id", "identifier as a cell names it"),
    _bool("is_own", "the row is the one the identifier stands for, not a reference to it"),
    # run
    _text("revision", "revision of the plan: r1, r2 ..."),
    _date("as_of", "day the plan is made for"),
    _text("guardleaf_version", "version of the program"),
    _text("inventory_sha256", "hash of the inventory"),
    _text("policy_sha256", "hash of the effective policy"),
    _time("planned_at", "when the plan was made"),
    # campaign
    _text("campaign_name", "name of the campaign"),
    _text("setting", "campaign setting"),
    _date("start_date", "first day of the campaign"),
    _date("end_date", "last day of the campaign"),
    _text("length_unit", "unit of lengths in the workbook and on work orders", "mm", "cm", "in"),
    _text("currency", "currency of all prices"),
    _float("supplies_budget", "money for paper and enclosures"),
    _float("staff_budget", "money for labour"),
    _float("spares_pct", "spare sheets cut beyond the plan", 0, 100),
    _float("horizon_years", "years over which losses are counted", 0),
    _text("working_days", "working days as a list of weekday names"),
    _int("max_sizes_per_sheet", "most different sizes cut from one parent sheet", 1),
    _float("guillotine_max_cut_mm", "longest cut of the guillotine"),
    _float("guillotine_max_lift_mm", "height of pile the clamp takes"),
    _text("handling_note", "handling note shown on the work orders"),
    _text("country", "ISO 3166 code whose public holidays close the lab"),
    _text("page_size", "paper size of the printed work orders", "A4", "letter"),
    _float("contingency_pct", "contingency on direct cost", 0, 100),
    _float("indirect_pct", "indirect cost rate", 0, 100),
    # volumes
    _text("volume_id", "the lab's identifier of the volume, kept as typed"),
    _text("collection", "collection the volume belongs to"),
    _text("title", "title of the volume"),
    _text("location", "where the volume stands"),
    _float("page_width_mm", "page width, spine to fore edge"),
    _float("page_height_mm", "page height, head to tail"),
    _int("leaves", "leaves in the volume", 1),
    _text("binding", "kind of binding", *BINDINGS),
    _text("joints", "condition of the joints", *JOINTS),
    _text("leaf_condition", "condition of the leaves", *LEAF_CONDITIONS),
    _float("spine_thickness_mm", "thickness of the text block at the spine"),
    _float("fore_edge_thickness_mm", "thickness of the text block at the fore edge"),
    _float("extension_mm", "spare extension of posts or laces"),
    _text("use", "how often the volume is handled", *USES),
    _int("significance", "significance, 1 (least) to 5", 1, 5),
    _bool("odour", "the volume smells of acid or must"),
    _text("hold", "why the volume is on hold", *HOLDS),
    _text("buffer_rule", "the surveyor's word on buffering", *BUFFER_RULES),
    _text("contents", "content words present anywhere in the volume"),
    _int("existing_leaves", "old interleaving leaves in the volume"),
    _float("existing_leaf_thickness_um", "thickness of one old interleaving leaf"),
    _text("skill", "least skill needed", *SKILLS),
    _text("enclosure", "what is to happen about the enclosure", *ENCLOSURE_WISHES),
    _float("cover_width_mm", "width of the closed volume over its covers"),
    _float("cover_height_mm", "height of the closed volume over its covers"),
    _float("boards_thickness_mm", "thickness of both boards together"),
    _text("shelf_order", "order on the shelf"),
    *(_int(f"openings_{hazard}", f"openings with {hazard}, places not noted") for hazard in HAZARDS),
    # openings, hazards, content
    _text("openings", "opening numbers as a list such as 3, 7-12; blank when places are not noted"),
    _int("count", "number of openings"),
    _int("opening_no", "opening number: 0 is front board and first recto"),
    _int("first_opening_no", "first opening of the group or range"),
    _int("last_opening_no", "last opening of the range"),
    _text("left_content", "content words of the left page"),
    _text("right_content", "content words of the right page"),
    _text("content_word", "one content word"),
    _text(
        "side",
        "page that carries the hazard or content: left, right, or blank for not said",
        "left",
        "right",
        "",
    ),
    _text("hazards", "hazards of the opening, a list; left: or right: says which page carries one"),
    _text("hazard", "one hazard"),
    _int("severity_grade", "severity of one hazard, 1 to 3", 1, 3),
    _text("severity", "severity of each hazard, a list in the order of hazards"),
    _text("note", "the surveyor's note"),
    _int("group_no", "number of the group of like openings in the volume", 1),
    _int("count_group_no", "number of the group laid out from the volume's counts", 1),
    _text("origin", "where the group comes from", "listed", "row_count", "survey_count"),
    _bool("has_counts_overlaid", "different hazards were laid into the same openings so that the counts fit"),
    # risk
    _text("mechanism", "how the facing page is harmed", *MECHANISMS),
    _float("loss_rate_per_century", "rate of loss of the facing page, per century"),
    _float(
        "loss_before", "expected loss per opening over the horizon without an interleaf, page-equivalents"
    ),
    # policy
    _text("key", "policy key"),
    _float("value", "value of a figure or measure", None),
    _text("unit", "unit of the value"),
    _text(
        "basis",
        "of a policy figure: source, common practice or judgement; of a total: planned, actual or bound",
    ),
    _text("unit_factor", "name of a unit factor: one unit per another"),
    _float("factor", "value of a unit factor"),
    _int("hazard_order", "place of the hazard in the policy's table", 1),
    _float("severity_factor", "factor of a severity grade"),
    _float("use_factor", "factor of a kind of use"),
    _float("significance_weight", "page-equivalents per page of a significance grade"),
    _float("vulnerability_frac", "vulnerability of a page's content", 0, 1),
    _bool("is_photograph", "content that asks for a passed photographic activity test"),
    _bool("is_silver", "content that asks for paper free of reducible sulphur"),
    _bool("is_ph_sensitive", "content that asks for unbuffered paper"),
    _bool("is_known_content", "a word that names content (not unknown, not blank)"),
    _text("paper_property", "paper property an efficacy depends on"),
    _float("efficacy_frac", "share of the rate that a sheet takes away", 0, 1),
    _float("wedge_limit_deg", "greatest wedge angle of the closed volume"),
    _float("growth_frac", "greatest growth as a share of the spine thickness"),
    # papers
    _text("paper_id", "the lab's identifier of the paper"),
    _text("description", "description"),
    _text("buffer", "alkaline reserve", "buffered", "unbuffered"),
    _bool("adsorbent", "traps acidic gases and odours"),
    _text("pat", "photographic activity test (ISO 18916)", "pass", "fail", "unknown"),
    _text("sulphur_free", "free of reducible sulphur", "yes", "no", "unknown"),
    _bool("lignin_free", "lignin-free"),
    _float("ph", "pH of the paper", 0, 14),
    _text("surface", "surface", "plain", "smooth", "release"),
    _bool("glassine", "glassine"),
    _float("grammage_gsm", "grammage (ISO 536)"),
    _float("thickness_um", "single-sheet thickness (ISO 534); in interleaves: effective thickness per sheet"),
    _float("bulking_thickness_um", "thickness per sheet in a pile (ISO 534)"),
    _float("bending_stiffness_mnm", "bending stiffness per width, cross direction"),
    _text("grain_rule", "whether grain must run parallel to the spine", "require", "prefer", "ignore"),
    _float("effective_thickness_um", "bulking thickness where known, else single-sheet thickness"),
    _float("bending_length_mm", "bending length (Peirce)"),
    _float("price_per_m2", "least price of a square metre over the paper's stocks"),
    _bool("needs_pat", "asks for a passed photographic activity test"),
    _bool("needs_sulphur_free", "asks for paper free of reducible sulphur"),
    _bool("needs_unbuffered", "asks for unbuffered paper"),
    _bool("needs_release", "asks for a release surface"),
    _bool("allows_adsorbent", "odour or severe staining: adsorbent paper may be used"),
    _bool("has_staining", "a hazard stains the facing page: acidic matter, bleeding media, staining adhesive"),
    _bool("needs_care", "fasteners, raised attachments or brittle leaves: a stiffer sheet is asked for"),
    _bool(
        "is_content_guessed",
        "unknown page in a volume without content words: photographs are assumed possible",
    ),
    _bool("is_reached", "a stock of the paper gives a leaf of the volume's least cut size"),
    _bool("is_permitted", "the paper may lie in the group's openings"),
    _text("missing", "which properties the paper lacks; blank when permitted"),
    # fit
    _int("by_angle_um", "headroom by wedge angle, before it is cut off at 0", None),
    _int("by_growth_um", "headroom by growth, before it is cut off at 0", None),
    _int("headroom_um", "thickness the binding can still take"),
    _int("removed_um", "thickness of old interleaving that comes out"),
    _int("added_um", "thickness added by the planned sheets"),
    _int("sheets", "number of sheets"),
    _float("benefit", "expected page losses avoided over the horizon, page-equivalents"),
    _float("benefit_per_sheet", "expected page losses avoided by one sheet"),
    _float("benefit_possible", "benefit of the best permitted sheets, whatever headroom and state"),
    _float("benefit_planned", "benefit of the planned sheets"),
    _int("option_no", "number of the option; 0 is no sheets", 0),
    _text("option_kind", "what the option is: none, part, all, cheaper", "none", "part", "all", "cheaper"),
    _bool("chosen", "the option the plan follows"),
    _text("state", "what the plan says of the volume", *STATES),
    _text("reason", "why, in words"),
    _int("hazard_openings", "openings with a hazard"),
    _int("no_paper_openings", "openings with a hazard and no permitted paper"),
    _int("wanted_openings", "openings whose best permitted sheet reaches the benefit floor"),
    _int("protected_openings", "openings that get a sheet"),
    _int("bare_openings", "openings of the group that get no sheet"),
    _text(
        "cause",
        "why openings stay bare: the volume's hold or joint, a decision, no paper, the floor, papers or room; or blank",
        "hold",
        "decision",
        "paper",
        "floor",
        "joint",
        "papers",
        "room",
        "",
    ),
    _bool("is_wanted", "a sheet is wanted: some permitted one reaches the floor, or a person asks for it"),
    _float("wedge_before_deg", "wedge angle before", None),
    _float("wedge_after_deg", "wedge angle after", None),
    _float("fore_edge_before_mm", "fore-edge thickness before"),
    _float("fore_edge_after_mm", "fore-edge thickness after"),
    _float("spine_after_mm", "spine thickness after"),
    # what would help most
    _int("need_no", "place of the need: 1 brings the most benefit", 1),
    _text("need_kind", "a paper that is missing, or a limit", "paper", "limit"),
    _float("added_benefit", "benefit it would add over the campaign, before any budget"),
    _int("helped_volumes_count", "volumes that would gain"),
    _int("added_sheets_count", "sheets more than now, over the campaign", None),
    # how sure
    _text("judgement", "group of judgement figures that is changed; all for every one of them"),
    _text("direction", "figures low, high, or each drawn at random", "low", "high", "drawn"),
    _int("draws_count", "sets of figures tried", 1),
    _float("kept_pct", "share of the draws (over all volumes: and of the volumes) that keep the state", 0, 100),
    _int("rank_no", "place by benefit as planned: 1 has the greatest", 1),
    _int("low_rank_no", "least place in the middle range of the draws", 1),
    _int("high_rank_no", "greatest place in the middle range of the draws", 1),
    _float("moved_ranks_count", "places moved in the ranking by benefit, up or down, on average"),
    _float("low_benefit", "least benefit in the middle range of the draws"),
    _float("high_benefit", "greatest benefit in the middle range of the draws"),
    # choose
    _float("minutes", "minutes of work"),
    _float("minutes_low", "minutes when it goes well"),
    _float("minutes_high", "minutes when it goes badly"),
    _float("hours", "person-hours"),
    _float("cost", "cost in campaign currency"),
    _float("supplies_cost", "cost of paper and enclosure"),
    _text("supply", "kind of supply", "paper", "enclosure"),
    _text("supply_id", "paper_id or enclosure_id; blank for made to measure"),
    _bool("is_funded", "sheets and new enclosure are paid by the campaign's budgets"),
    _float("staff_cost", "cost of labour"),
    _int("round_no", "round of choosing, cutting and scheduling", 0),
    _text(
        "limit",
        "what a correction is about: a budget, hours, a paper's use, shelf or packs, a volume's dates or most option",
        *("supplies", "staff", "hours", "paper", "shelf", "packs", "dates", "volume"),
    ),
    _float("estimated", "figure the choice was made on; of a volume: the option chosen", None),
    _float(
        "found", "figure on the finished plan; of a volume: the most it may get from now on, an option", None
    ),
    # size and cut
    _int("least_width_ticks", "least cut width the volume accepts"),
    _int("most_width_ticks", "greatest cut width the volume accepts"),
    _int("least_height_ticks", "least cut height the volume accepts"),
    _int("most_height_ticks", "greatest cut height the volume accepts"),
    _float("ideal_width_mm", "cut width at the ideal clearance"),
    _float("ideal_height_mm", "cut height at the ideal clearance"),
    _text("cut_size_id", "identifier of the cut size"),
    _float("width_mm", "width of the cut leaf, or of the stock"),
    _float("height_mm", "height of the cut leaf"),
    _int("spares", "spare sheets cut beyond the plan"),
    _float("clearance_width_mm", "page width less cut width"),
    _float("clearance_height_mm", "page height less cut height"),
    _int("cut_sizes", "number of cut sizes"),
    _int("lower_bound", "proven least number"),
    _text("stock_id", "the lab's identifier of the stock"),
    _text("form", "sheets or rolls", "sheet", "roll"),
    _float("length_mm", "length of the stock"),
    _text("grain", "grain parallel to the length (long) or the width (short)", "long", "short"),
    _int("pack_quantity", "sheets or rolls a pack", 1),
    _float("pack_price", "price of a pack"),
    _int("lead_days", "days from order to delivery"),
    _float("on_hand", "sheets or rolls (or enclosures) in the lab"),
    _float("trim_mm", "squaring trim a side"),
    _text("pattern_id", "identifier of the cutting pattern"),
    _float("sheet_width_mm", "untrimmed width of the parent sheet"),
    _float("sheet_length_mm", "untrimmed length of the parent sheet; for a roll the length cut off"),
    _text("first_cut", "direction of the first-stage cuts", "across_width", "across_length"),
    _int("lifts", "piles cut in one clamp each"),
    _float("used_pct", "pieces' area of the untrimmed parent's area", 0, 100),
    _text("from_offcut_of", "pattern whose off-cut is the parent; blank for fresh stock"),
    _int("run_no", "number of the run of a pattern at the guillotine", 1),
    _int("piece_no", "number of the piece in the pattern", 1),
    _float("x_mm", "position along the stock's width, from the trimmed corner"),
    _float("y_mm", "position along the stock's length, from the trimmed corner"),
    _float("along_width_mm", "side along the stock's width"),
    _float("along_length_mm", "side along the stock's length"),
    _float("needed", "parent sheets, rolls (a decimal) or enclosures needed"),
    _float("to_buy", "needed less on hand, not below 0"),
    _int("packs", "whole packs to buy"),
    _date("order_by", "last day to order; blank when nothing is bought or the cut has no date"),
    _float("cost_needed", "parent sheets needed at their price, stock on hand valued alike"),
    _float("cost_lower_bound", "proven least cost of the paper's whole demand over all its stocks"),
    _float("area_needed_m2", "area of all pieces, spares included"),
    _float("area_of_parents_m2", "area of all parent sheets"),
    # re-housing
    _text("enclosure_id", "the lab's identifier of the enclosure; blank for made to measure"),
    _float("inner_width_mm", "inside width of the enclosure"),
    _float("inner_height_mm", "inside height of the enclosure"),
    _float("inner_depth_mm", "inside depth of the enclosure"),
    _float("closed_width_mm", "width of the closed volume"),
    _float("closed_height_mm", "height of the closed volume"),
    _float("closed_thickness_mm", "thickness of the closed volume, boards included"),
    _float("shelf_mm_added", "shelf length the enclosure or the added bulk takes", None),
    _float("price", "price"),
    _float("max_slack_mm", "most the enclosure may be too wide or too high"),
    _float("max_depth_slack_mm", "most the enclosure may be too deep"),
    _text("shelved", "how the volume is shelved", "upright", "flat"),
    # people and time
    _text("staff_id", "the lab's identifier of the person; blank for the whole lab"),
    _float("hours_per_week", "hours a week", 0, 168),
    _text("days", "working days as a list of weekday names"),
    _date("from", "first day"),
    _date("until", "last day"),
    _float("hourly_rate", "cost of an hour"),
    _date("day", "calendar day"),
    _int("half_hours", "half-hours the person works that day", 0, 48),
    _text("task", "task of the rates sheet", *RATE_TASKS),
    _text("task_id", "identifier of the task"),
    _text("kind", "kind of task", *TASK_KINDS),
    _int("task_minutes", "minutes of the task, whole"),
    _time("start_at", "start"),
    _time("finish_at", "finish"),
    _text("before_task_id", "task that comes first"),
    _text("after_task_id", "task that waits"),
    _date("week_start", "Monday of the week"),
    _float("hours_available", "hours the person can work that week"),
    _float("hours_planned", "hours planned that week"),
    # decisions
    _text("decision", "the person's word", "must", "never", "paper"),
    _text("decision_rows", "rows of Decisions that bind the group, a list; blank when none does"),
    _bool("is_followed", "the plan does what the decision asks"),
    _text("by", "who decided"),
    _text("outcome", "what the plan made of it"),
    # totals, findings, log
    _text("measure", "what is counted"),
    _text("text", "value of a measure that is no number"),
    _text("code", "stable code of the finding"),
    _text("level", "error, warning or note", *LEVELS),
    _text("message", "what is wrong"),
    _text("action", "what to do"),
    _text("stage", "stage of the pipeline"),
    _text("part", "part of the stage"),
    _text("method", "method used"),
    _text("status", "how the solve ended", "optimal", "feasible", "infeasible"),
    _float("objective", "value reached", None),
    _float("bound", "proven bound", None),
    _float("gap_frac", "distance from the bound as a share of it"),
    _float("seconds", "seconds taken"),
    _int("seed", "seed"),
    _text("limit_hit", "limit that stopped the search"),
    _int("step_no", "order of the step", 1),
    _int("row_count", "rows", 0),
)

FIELDS: dict[str, Field] = {field.name: field for field in _ALL}
if len(FIELDS) != len(_ALL):
    raise ValueError("a column is registered twice")

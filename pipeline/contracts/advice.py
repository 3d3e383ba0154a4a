"""Tables of schema work that say more than the plan: why openings stay bare, what came of people's decisions."""

from pipeline.contracts.table import Table

FIT_GROUPS = Table(
    "work.fit_groups",
    "One row per group: is a sheet wanted there, how many openings stay bare in the best answer, and why.",
    ("volume_id", "group_no"),
    ("volume_id", "group_no", "is_wanted", "bare_openings", "cause", "reason"),
)
DECISION_OUTCOMES = Table(
    "work.decision_outcomes",
    "One row per decision: its cell, what the plan made of it, what to do where it was not followed.",
    ("row_no",),
    ("row_no", "volume_id", "sheet", "cell", "is_followed", "outcome", "action"),
)
PAPER_NEED_COLUMNS = (
    "need_no",
    "need_kind",
    "description",
    "added_benefit",
    "helped_volumes_count",
    "added_sheets_count",
    "thickness_um?",
    "bending_length_mm?",
    "basis",
)
PAPER_NEEDS = Table(
    "work.paper_needs",
    "One row per paper to add or limit to change that would bring benefit, the greatest first; before any budget.",
    ("need_no",),
    PAPER_NEED_COLUMNS,
)
SURVEY_COLUMNS = (
    "stratum?",
    "measure",
    "unit",
    "volumes_surveyed",
    "volumes_in_all",
    "value?",
    "value_standard_error?",
    "value_low?",
    "value_high?",
    "volumes_to_survey?",
)
SURVEY_ESTIMATES = Table(
    "work.survey_estimates",
    "One row per measure of a sampled survey and stratum (blank: the whole collection).",
    ("stratum", "measure"),
    SURVEY_COLUMNS,
)
SENSITIVITY_COLUMNS = (
    "judgement",
    "direction",
    "volume_id?",
    "draws_count",
    "state?",
    "kept_pct",
    "rank_no?",
    "low_rank_no?",
    "high_rank_no?",
    "moved_ranks_count",
    "benefit",
    "low_benefit",
    "high_benefit",
)
SENSITIVITY = Table(
    "work.sensitivity",
    "One row per judgement group low and high, one for all drawn, and one per volume for all drawn; before budgets.",
    ("judgement", "direction", "volume_id"),
    SENSITIVITY_COLUMNS,
)

FRONTIER_COLUMNS = (
    "point_no",
    "varied",
    "label",
    "grant_pct?",
    "hours_there?",
    "supplies_budget?",
    "staff_budget?",
    "hours",
    "supplies_cost",
    "staff_cost",
    "cost",
    "sheets",
    "planned_volumes_count",
    "benefit",
    "bound_benefit",
    "is_estimate",
)
FRONTIER = Table(
    "work.frontier",
    "One row per share of the grant: the best choice were hours, money or both so much; an estimate but for the plan.",
    ("point_no",),
    FRONTIER_COLUMNS,
)

TABLES = (FIT_GROUPS, DECISION_OUTCOMES, PAPER_NEEDS, SENSITIVITY, FRONTIER, SURVEY_ESTIMATES)

-- One row per greatest clearance tried. Reads work.clearance_choices.
select
    most_clearance_mm, is_planned, cut_sizes, lower_bound, parents_count, patterns_count, cost_needed,
    cost_lower_bound, reason
from work.clearance_choices

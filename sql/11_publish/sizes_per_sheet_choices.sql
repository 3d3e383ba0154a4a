-- One row per number of sizes allowed on a parent; blank: any number. Reads work.sizes_per_sheet_choices.
select choice_no, max_sizes_per_sheet, is_planned, parents_count, patterns_count, cost_needed, cost_lower_bound
from work.sizes_per_sheet_choices

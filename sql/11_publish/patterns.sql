-- One row per cutting pattern.
select
    pattern_id, stock_id, sheets, sheet_width_mm, sheet_length_mm, first_cut, lifts, used_pct, from_offcut_of
from work.patterns

-- One row per useful off-cut of a pattern, per parent sheet.
select
    pattern_id, x_mm, y_mm, along_width_mm, along_length_mm
from work.offcuts

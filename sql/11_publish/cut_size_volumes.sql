-- One row per cut size and volume it serves.
select
    cut_size_id, volume_id, sheets, clearance_width_mm, clearance_height_mm
from work.cut_size_volumes

-- One row per cut size: planned sheets and spares. Reads work.demands.
select cut_size_id, paper_id, width_mm, height_mm, sheets, spares, ready_leaves_count
from work.demands

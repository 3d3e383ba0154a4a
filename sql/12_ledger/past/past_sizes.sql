-- One row per volume and paper that this plan gives sheets: their size. Reads published.cut_sizes, cut_size_volumes.
select
    run.revision,
    cut_size_volumes.volume_id,
    cut_sizes.paper_id,
    cut_sizes.width_mm,
    cut_sizes.height_mm,
    cut_size_volumes.sheets
from published.cut_size_volumes
join published.cut_sizes using (cut_size_id)
cross join published.run

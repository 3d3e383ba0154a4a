-- One row per volume and paper: the pile of cut leaves to fetch before starting the volume.
-- Reads published.cut_size_volumes, cut_sizes, papers.
select
    served.volume_id,
    cut_sizes.paper_id,
    papers.description,
    cut_sizes.cut_size_id,
    cut_sizes.width_mm,
    cut_sizes.height_mm,
    served.sheets
from published.cut_size_volumes as served
join published.cut_sizes as cut_sizes using (cut_size_id)
join published.papers as papers using (paper_id)
order by served.volume_id, cut_sizes.paper_id, cut_sizes.cut_size_id

-- One row per volume, group of openings and paper laid there: what goes where, and at which cut size.
-- Reads published.interleaves, opening_groups, cut_size_volumes, cut_sizes. One cut size per volume and paper.
with sizes as (
    select served.volume_id, cut_sizes.paper_id, cut_sizes.cut_size_id, cut_sizes.width_mm, cut_sizes.height_mm
    from published.cut_size_volumes as served
    join published.cut_sizes as cut_sizes using (cut_size_id)
)
select
    interleaves.volume_id,
    interleaves.group_no,
    interleaves.openings,
    interleaves.sheets,
    interleaves.paper_id,
    sizes.cut_size_id,
    sizes.width_mm,
    sizes.height_mm,
    groups.hazards
from published.interleaves as interleaves
join published.opening_groups as groups using (volume_id, group_no)
left join sizes using (volume_id, paper_id)
order by interleaves.volume_id, interleaves.group_no, interleaves.paper_id

-- One row per volume, group and paper that this plan gives sheets. Reads published.interleaves, work.opening_groups.
select
    run.revision,
    interleaves.volume_id,
    interleaves.group_no,
    interleaves.paper_id,
    interleaves.openings,
    interleaves.sheets,
    interleaves.benefit,
    interleaves.thickness_um,
    opening_groups.hazards,
    opening_groups.left_content,
    opening_groups.right_content,
    opening_groups.origin
from published.interleaves
join work.opening_groups using (volume_id, group_no)
cross join published.run

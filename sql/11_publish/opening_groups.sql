-- One row per volume and group of openings alike in content and hazards. Reads work.opening_groups, work.losses.
select
    opening_groups.volume_id,
    opening_groups.group_no,
    opening_groups.openings,
    opening_groups.count,
    opening_groups.left_content,
    opening_groups.right_content,
    opening_groups.hazards,
    opening_groups.severity,
    losses.loss_before
from work.opening_groups
join work.losses using (volume_id, group_no)

-- rule: No group gets more sheets, over all its papers, than it has openings; no sheets lie outside a group.
with planned as (
    select volume_id, group_no, sum(sheets) as sheets
    from published.interleaves
    group by volume_id, group_no
)
select
    planned.volume_id,
    planned.group_no,
    printf(
        '%s group %d gets %d sheets for %d openings',
        planned.volume_id, planned.group_no, planned.sheets, coalesce(opening_groups.count, 0)
    ) as what
from planned
left join published.opening_groups using (volume_id, group_no)
where planned.sheets > coalesce(opening_groups.count, 0)

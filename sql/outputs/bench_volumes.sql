-- One row per volume that gets sheets, in the order of the work: what its bench sheet says of it.
-- Reads published.volumes, published.tasks, published.enclosures. Lengths mm, angles degrees.
-- fore_edge_limit_mm: planned fore edge plus the headroom the plan leaves (trade model, section 5).
with factors as (
    select factor as um_per_mm from policy.unit_factors where unit_factor = 'um_per_mm'
),
days as (
    select volume_id, min(start_at) as first_start_at
    from published.tasks
    where volume_id is not null
    group by volume_id
)
select
    volumes.volume_id,
    volumes.collection,
    volumes.title,
    volumes.location,
    volumes.page_width_mm,
    volumes.page_height_mm,
    volumes.leaves,
    volumes.binding,
    volumes.joints,
    volumes.leaf_condition,
    volumes.existing_leaves,
    volumes.sheets,
    volumes.spine_thickness_mm,
    volumes.fore_edge_before_mm,
    volumes.fore_edge_after_mm,
    cast(volumes.fore_edge_after_mm + (volumes.headroom_um - volumes.added_um) / factors.um_per_mm as double)
        as fore_edge_limit_mm,
    volumes.wedge_before_deg,
    volumes.wedge_after_deg,
    volumes.wedge_limit_deg,
    volumes.reason,
    enclosures.volume_id is not null as has_new_enclosure,
    enclosures.enclosure_id,
    enclosures.shelved,
    cast(days.first_start_at as date) as first_day
from published.volumes as volumes
cross join factors
left join days using (volume_id)
left join published.enclosures as enclosures using (volume_id)
where volumes.sheets > 0
order by days.first_start_at nulls last, volumes.volume_id

-- rule: A volume is shelved upright only up to the policy's height and thickness, flat only beyond them.
-- Source: trade model, section 9 (NARA volume shelving guidelines), by the closed volume.
with figures as (
    select
        max(value) filter (key = 'rehousing.cover_height_excess_mm') as cover_height_excess_mm,
        max(value) filter (key = 'rehousing.boards_thickness_mm') as boards_thickness_mm,
        max(value) filter (key = 'rehousing.upright_max_height_mm') as max_height_mm,
        max(value) filter (key = 'rehousing.upright_max_thickness_mm') as max_thickness_mm
    from published.policy
),
closed as (
    select
        enclosures.volume_id,
        enclosures.shelved,
        coalesce(volumes.cover_height_mm, volumes.page_height_mm + cover_height_excess_mm) as height_mm,
        greatest(
            case when sheets = 0 then spine_thickness_mm
                else least(spine_thickness_mm + extension_mm, greatest(spine_thickness_mm, fore_edge_after_mm)) end,
            fore_edge_after_mm
        ) + coalesce(volumes.boards_thickness_mm, figures.boards_thickness_mm) as thickness_mm,
        max_height_mm,
        max_thickness_mm
    from published.enclosures
    join published.volumes using (volume_id)
    cross join figures
)
select
    volume_id,
    printf(
        '%s, %.1f mm high and %.1f mm thick when closed, is shelved %s; upright goes to %.1f and %.1f mm',
        volume_id, height_mm, thickness_mm, shelved, max_height_mm, max_thickness_mm
    ) as what
from closed
where case shelved
    when 'upright' then height_mm > max_height_mm + 1e-4 or thickness_mm > max_thickness_mm + 1e-4
    else height_mm <= max_height_mm - 1e-4 and thickness_mm <= max_thickness_mm - 1e-4
end

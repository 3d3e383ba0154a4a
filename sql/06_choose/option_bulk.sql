-- One row per volume and option (option 0 for every volume): the volume after the work of that option.
--   fore edge after = F - removed + added        spine after = min(S + x, max(S, fore edge after))
--   wedge = 2 atan((fore edge - spine) / (2 w))  closed = page + squares, thicker edge + boards
-- A volume without planned sheets keeps its old interleaving and is unchanged (trade model, sections 5 and 9).
-- Upright only up to the policy's height and thickness of the closed volume, else flat. Lengths mm, bulk um.
-- Reads work.options, work.headroom, clean.volumes, policy.figures, policy.unit_factors.
with factors as (
    select
        max(factor) filter (unit_factor = 'um_per_mm') as um_per_mm,
        max(factor) filter (unit_factor = 'floor_guard') as floor_guard
    from policy.unit_factors
),
figures as (
    select
        max(value) filter (key = 'rehousing.cover_width_excess_mm') as cover_width_excess_mm,
        max(value) filter (key = 'rehousing.cover_height_excess_mm') as cover_height_excess_mm,
        max(value) filter (key = 'rehousing.boards_thickness_mm') as boards_thickness_mm,
        max(value) filter (key = 'rehousing.upright_max_height_mm') as upright_max_height_mm,
        max(value) filter (key = 'rehousing.upright_max_thickness_mm') as upright_max_thickness_mm
    from policy.figures
),
all_options as (
    select volume_id, option_no, sheets, added_um
    from work.options
    union all
    select volumes.volume_id, 0 as option_no, 0 as sheets, 0 as added_um
    from clean.volumes
    anti join work.options on options.volume_id = volumes.volume_id and options.option_no = 0
),
fore_edges as (
    select
        all_options.volume_id,
        all_options.option_no,
        all_options.sheets,
        all_options.added_um,
        volumes.page_width_mm,
        volumes.spine_thickness_mm,
        volumes.extension_mm,
        case when all_options.sheets = 0 then volumes.fore_edge_thickness_mm
            else volumes.fore_edge_thickness_mm + (all_options.added_um - headroom.removed_um) / um_per_mm
        end as fore_edge_after_mm,
        coalesce(volumes.cover_width_mm, volumes.page_width_mm + cover_width_excess_mm) as closed_width_mm,
        coalesce(volumes.cover_height_mm, volumes.page_height_mm + cover_height_excess_mm) as closed_height_mm,
        coalesce(volumes.boards_thickness_mm, figures.boards_thickness_mm) as boards_thickness_mm
    from all_options
    join clean.volumes using (volume_id)
    join work.headroom using (volume_id)
    cross join factors
    cross join figures
),
edges as (
    select
        *,
        case when sheets = 0 then spine_thickness_mm
            else least(spine_thickness_mm + extension_mm, greatest(spine_thickness_mm, fore_edge_after_mm))
        end as spine_after_mm
    from fore_edges
),
closed as (
    select *, greatest(spine_after_mm, fore_edge_after_mm) + boards_thickness_mm as closed_thickness_mm
    from edges
)
select
    volume_id,
    cast(option_no as bigint) as option_no,
    cast(sheets as bigint) as sheets,
    cast(added_um as bigint) as added_um,
    fore_edge_after_mm,
    spine_after_mm,
    degrees(2 * atan((fore_edge_after_mm - spine_after_mm) / (2 * page_width_mm))) as wedge_after_deg,
    closed_width_mm,
    closed_height_mm,
    closed_thickness_mm,
    case
        when closed_height_mm <= upright_max_height_mm + floor_guard
            and closed_thickness_mm <= upright_max_thickness_mm + floor_guard then 'upright'
        else 'flat'
    end as shelved
from closed
cross join figures
cross join factors

-- rule: No stock enclosure of less inner volume would fit; made to measure only where no stock enclosure fits.
-- Source: trade model, section 9.
with figures as (
    select
        max(value) filter (key = 'rehousing.cover_width_excess_mm') as cover_width_excess_mm,
        max(value) filter (key = 'rehousing.cover_height_excess_mm') as cover_height_excess_mm,
        max(value) filter (key = 'rehousing.boards_thickness_mm') as boards_thickness_mm,
        max(value) filter (key = 'rehousing.enclosure_clearance_mm') as clearance_mm
    from published.policy
),
edges as (
    select
        *,
        case when sheets = 0 then spine_thickness_mm
            else least(spine_thickness_mm + extension_mm, greatest(spine_thickness_mm, fore_edge_after_mm))
        end as spine_after_mm
    from published.volumes
),
needed as (
    select
        edges.volume_id,
        coalesce(cover_width_mm, page_width_mm + cover_width_excess_mm) + clearance_mm as width_mm,
        coalesce(cover_height_mm, page_height_mm + cover_height_excess_mm) + clearance_mm as height_mm,
        greatest(spine_after_mm, fore_edge_after_mm)
            + coalesce(edges.boards_thickness_mm, figures.boards_thickness_mm) + clearance_mm as depth_mm
    from edges
    cross join figures
),
chosen as (
    select
        *,
        case when enclosure_id is not null then inner_width_mm * inner_height_mm * inner_depth_mm end as chosen_mm3
    from published.enclosures
)
select
    chosen.volume_id,
    chosen.enclosure_id,
    printf(
        '%s gets %s, where %s would do', chosen.volume_id, coalesce(chosen.enclosure_id, 'made to measure'),
        better.enclosure_id
    ) as what
from chosen
join needed using (volume_id)
join published.enclosure_stock as better
    on better.inner_width_mm between width_mm + 1e-6 and width_mm + better.max_slack_mm - 1e-6
    and better.inner_height_mm between height_mm + 1e-6 and height_mm + better.max_slack_mm - 1e-6
    and better.inner_depth_mm between depth_mm + 1e-6 and depth_mm + better.max_depth_slack_mm - 1e-6
    and (
        chosen.chosen_mm3 is null
        or better.inner_width_mm * better.inner_height_mm * better.inner_depth_mm < chosen.chosen_mm3 - 1
    )

-- rule: Every enclosure is larger than its closed volume by the clearance, and a stock one by no more than its slack.
-- Closed volume: page + squares, thicker edge after the work + boards, measured where the inventory has the figures.
-- Source: trade model, section 9.
with figures as (
    select
        max(value) filter (key = 'rehousing.cover_width_excess_mm') as cover_width_excess_mm,
        max(value) filter (key = 'rehousing.cover_height_excess_mm') as cover_height_excess_mm,
        max(value) filter (key = 'rehousing.boards_thickness_mm') as boards_thickness_mm,
        max(value) filter (key = 'rehousing.enclosure_clearance_mm') as clearance_mm,
        max(value) filter (key = 'rehousing.made_to_measure_price') as made_to_measure_price
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
            + coalesce(edges.boards_thickness_mm, figures.boards_thickness_mm) + clearance_mm as depth_mm,
        made_to_measure_price
    from edges
    cross join figures
),
judged as (
    select
        enclosures.*,
        needed.width_mm,
        needed.height_mm,
        needed.depth_mm,
        concat_ws(
            '; ',
            case when enclosures.inner_width_mm < needed.width_mm - 1e-6
                or enclosures.inner_height_mm < needed.height_mm - 1e-6
                or enclosures.inner_depth_mm < needed.depth_mm - 1e-6 then 'too small' end,
            case when enclosures.inner_width_mm > needed.width_mm + coalesce(max_slack_mm, 0) + 1e-6
                or enclosures.inner_height_mm > needed.height_mm + coalesce(max_slack_mm, 0) + 1e-6
                or enclosures.inner_depth_mm > needed.depth_mm + coalesce(max_depth_slack_mm, 0) + 1e-6
                then 'too large' end,
            case when enclosures.enclosure_id is not null and enclosure_stock.enclosure_id is null
                then 'not in stock' end,
            case when abs(enclosures.inner_width_mm - enclosure_stock.inner_width_mm) > 1e-6
                or abs(enclosures.inner_height_mm - enclosure_stock.inner_height_mm) > 1e-6
                or abs(enclosures.inner_depth_mm - enclosure_stock.inner_depth_mm) > 1e-6
                then 'not the size it has in stock' end,
            case when abs(enclosures.price - coalesce(enclosure_stock.price, made_to_measure_price)) > 1e-6
                then 'not its price' end
        ) as faults
    from published.enclosures
    join needed using (volume_id)
    left join published.enclosure_stock using (enclosure_id)
)
select
    volume_id,
    printf(
        '%s gets %s of %.2f x %.2f x %.2f mm for %.2f x %.2f x %.2f mm: %s',
        volume_id, coalesce(enclosure_id, 'made to measure'), inner_width_mm, inner_height_mm, inner_depth_mm,
        width_mm, height_mm, depth_mm, faults
    ) as what
from judged
where faults <> ''

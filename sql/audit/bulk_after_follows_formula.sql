-- rule: Fore edge and wedge before and after follow from the measurements, the old leaves removed and the bulk added.
--   fore edge after = F - removed + added; spine after = min(S + x, max(S, fore edge after)); nothing is removed
--   where no sheets are planned. wedge = 2 atan((fore edge - spine) / (2 w)). Source: trade model, section 5.
with units (um_per_mm) as (
    values (1000.0::double)
),
edges as (
    select
        volumes.*,
        fore_edge_thickness_mm + case when sheets = 0 then 0
            else (added_um - existing_leaves * existing_leaf_thickness_um) / um_per_mm end as expected_fore_edge_mm
    from published.volumes
    cross join units
),
spines as (
    select
        *,
        case when sheets = 0 then spine_thickness_mm
            else least(
                spine_thickness_mm + extension_mm, greatest(spine_thickness_mm, expected_fore_edge_mm)
            ) end as spine_after_mm
    from edges
),
computed as (
    select
        *,
        degrees(2 * atan((fore_edge_thickness_mm - spine_thickness_mm) / (2 * page_width_mm))) as expected_before_deg,
        degrees(2 * atan((expected_fore_edge_mm - spine_after_mm) / (2 * page_width_mm))) as expected_after_deg
    from spines
)
select
    volume_id,
    printf(
        '%s: fore edge %.3f, then %.3f mm, wedge %.4f, then %.4f deg are stated; %.3f, %.3f mm, %.4f, %.4f deg follow',
        volume_id, fore_edge_before_mm, fore_edge_after_mm, wedge_before_deg, wedge_after_deg,
        fore_edge_thickness_mm, expected_fore_edge_mm, expected_before_deg, expected_after_deg
    ) as what
from computed
where abs(fore_edge_before_mm - fore_edge_thickness_mm) > 1e-6
    -- removed leaves are counted in whole um
    or abs(fore_edge_after_mm - expected_fore_edge_mm) > 1.1e-3
    or abs(wedge_before_deg - expected_before_deg) > 1e-6
    or abs(wedge_after_deg - expected_after_deg) > 1e-3

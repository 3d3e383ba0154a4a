-- rule: Each volume's headroom follows from its measurements: the lesser of the angle's and the growth's, 0 if split.
--   by angle:  S + x + 2 w tan(theta / 2) - F + removed        by growth:  g S + x - laid
-- Rounded down to um after adding 1e-6. Source: trade model, section 5.
with units (um_per_mm) as (
    values (1000.0::double)
),
limits as (
    select
        volumes.*,
        angles.value as limit_deg,
        growths.value as growth_frac
    from published.volumes
    left join published.policy as angles
        on angles.key = 'binding.' || volumes.binding || '.' || volumes.joints || '_wedge_limit_deg'
    left join published.policy as growths on growths.key = 'binding.' || volumes.binding || '.growth_frac'
),
computed as (
    select
        volume_id,
        headroom_um,
        wedge_limit_deg,
        limit_deg,
        case when joints = 'split' or limit_deg is null or growth_frac is null then 0 else greatest(0, floor(least(
            (spine_thickness_mm + extension_mm + 2 * page_width_mm * tan(radians(limit_deg) / 2)
                - fore_edge_thickness_mm) * um_per_mm + existing_leaves * existing_leaf_thickness_um,
            (growth_frac * spine_thickness_mm + extension_mm) * um_per_mm - coalesce(laid_um, 0)
        ) + 1e-6)) end as expected_um
    from limits
    cross join units
)
select
    volume_id,
    printf(
        '%s: headroom %d um is stated, %.0f um follows; wedge limit %.2f deg is stated, the policy says %.2f deg',
        volume_id, headroom_um, expected_um, coalesce(wedge_limit_deg, 0), coalesce(limit_deg, 0)
    ) as what
from computed
where abs(headroom_um - expected_um) > 1e-3
    or wedge_limit_deg is distinct from limit_deg

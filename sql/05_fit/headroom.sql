-- One row per volume: headroom by wedge angle, by growth, and the lesser, um, rounded down (trade model, section 5).
--   by angle:  S + x + 2 w tan(theta / 2) - F + removed        by growth:  g S + x - laid
-- Negative room becomes 0; a split joint takes no bulk. Leaves laid in before (none in a first plan) stand in F and
-- take of the growth. Reads clean.volumes, work.laid_bulk, policy.bindings, policy.unit_factors.
with factors as (
    select
        max(factor) filter (unit_factor = 'um_per_mm') as um_per_mm,
        max(factor) filter (unit_factor = 'floor_guard') as floor_guard
    from policy.unit_factors
),
measured as (
    select
        volumes.volume_id,
        volumes.joints,
        bindings.wedge_limit_deg,
        volumes.existing_leaves * volumes.existing_leaf_thickness_um as removed_um,
        (volumes.spine_thickness_mm + volumes.extension_mm
            + 2 * volumes.page_width_mm * tan(radians(bindings.wedge_limit_deg) / 2)
            - volumes.fore_edge_thickness_mm) * um_per_mm as angle_room_um,
        (bindings.growth_frac * volumes.spine_thickness_mm + volumes.extension_mm) * um_per_mm
            - coalesce(laid_bulk.laid_um, 0) as growth_room_um,
        floor_guard
    from clean.volumes
    left join policy.bindings
        on bindings.binding = volumes.binding and bindings.joints = volumes.joints
    left join work.laid_bulk using (volume_id)
    cross join factors
),
rounded as (
    select
        volume_id,
        wedge_limit_deg,
        cast(floor(removed_um + floor_guard) as bigint) as removed_um,
        cast(floor(angle_room_um + removed_um + floor_guard) as bigint) as by_angle_um,
        cast(floor(growth_room_um + floor_guard) as bigint) as by_growth_um
    from measured
)
select
    volume_id,
    by_angle_um,
    by_growth_um,
    removed_um,
    greatest(0, coalesce(least(by_angle_um, by_growth_um), 0)) as headroom_um,
    wedge_limit_deg
from rounded

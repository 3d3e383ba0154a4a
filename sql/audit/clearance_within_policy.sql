-- rule: Every leaf is smaller than its page by no less and no more than the policy's clearance, both ways.
-- Source: trade model, section 6.
with figures as (
    select
        max(value) filter (key = 'size.least_clearance_mm') as least_mm,
        max(value) filter (key = 'size.most_clearance_mm') as most_mm
    from published.policy
),
measured as (
    select
        cut_size_volumes.*,
        volumes.page_width_mm - cut_sizes.width_mm as found_width_mm,
        volumes.page_height_mm - cut_sizes.height_mm as found_height_mm
    from published.cut_size_volumes
    join published.volumes using (volume_id)
    join published.cut_sizes using (cut_size_id)
)
select
    cut_size_id,
    volume_id,
    printf(
        '%s, size %s: clearance %.4f x %.4f mm is stated, page less leaf is %.4f x %.4f mm, %.2f to %.2f mm is allowed',
        volume_id, cut_size_id, clearance_width_mm, clearance_height_mm, found_width_mm, found_height_mm,
        least_mm, most_mm
    ) as what
from measured
cross join figures
where abs(clearance_width_mm - found_width_mm) > 1e-6
    or abs(clearance_height_mm - found_height_mm) > 1e-6
    or least(found_width_mm, found_height_mm) < least_mm - 1e-6
    or greatest(found_width_mm, found_height_mm) > most_mm + 1e-6

-- One row per cut size: planned sheets, and spares cut beyond them (trade model, section 7).
-- Leaves of the size that were cut before and not used need not be cut again.
-- Spares are a share of the planned sheets, rounded up, and at least the policy's number per cut size.
-- Reads work.cut_sizes, work.ready_leaves, clean.campaign, policy.figures, policy.unit_factors.
with figures as (
    select value as least_spares_sheets
    from policy.figures
    where key = 'cut.least_spares_per_size_sheets'
),
factors as (
    select factor as floor_guard from policy.unit_factors where unit_factor = 'floor_guard'
),
shared as (
    select
        cut_sizes.*,
        ceil(cut_sizes.sheets * campaign.spares_pct / 100 - floor_guard) as share_sheets,
        ceil(least_spares_sheets - floor_guard) as least_sheets
    from work.cut_sizes
    cross join clean.campaign
    cross join figures
    cross join factors
)
select
    cut_size_id,
    paper_id,
    width_mm,
    height_mm,
    sheets,
    cast(greatest(share_sheets, least_sheets) as bigint) as spares,
    coalesce(ready_leaves.ready_leaves_count, 0) as ready_leaves_count
from shared
left join work.ready_leaves using (paper_id, width_mm, height_mm)

-- rule: Every cut size has the campaign's share of spare sheets, and the policy's least number.
with figures as (
    select
        (select try_cast(value as double) from published.campaign where setting = 'spares_pct') as spares_pct,
        (select value from published.policy where key = 'cut.least_spares_per_size_sheets') as least_spares
)
select
    cut_sizes.cut_size_id,
    printf(
        'size %s: %d spares for %d sheets; %.1f per cent and at least %.0f are asked for',
        cut_sizes.cut_size_id, cut_sizes.spares, cut_sizes.sheets, spares_pct, least_spares
    ) as what
from published.cut_sizes
cross join figures
where cut_sizes.spares < least_spares
    or cut_sizes.spares < cut_sizes.sheets * spares_pct / 100 - 1e-6

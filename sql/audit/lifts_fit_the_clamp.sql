-- rule: Each pattern's lifts are as many as its parent sheets need under the clamp, by effective thickness.
with units (um_per_mm) as (
    values (1000.0::double)
),
figures as (
    select try_cast(value as double) * um_per_mm as clamp_um
    from published.campaign
    cross join units
    where setting = 'guillotine_max_lift_mm'
),
needed as (
    select
        patterns.pattern_id,
        patterns.sheets,
        patterns.lifts,
        floor(clamp_um / papers.effective_thickness_um + 1e-6) as sheets_a_lift
    from published.patterns
    join published.stock using (stock_id)
    join published.papers using (paper_id)
    cross join figures
)
select
    pattern_id,
    printf(
        'pattern %s: %d lifts for %d parent sheets, %.0f sheets a lift', pattern_id, lifts, sheets, sheets_a_lift
    ) as what
from needed
where lifts * sheets_a_lift < sheets or (lifts - 1) * sheets_a_lift >= sheets

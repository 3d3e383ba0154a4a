-- One row per enclosure that is needed; no id: made to measure. Only volumes whose enclosing has a date count: what does
-- not fit hours or money is not bought. Ordered so that it arrives before the first
-- enclosing that may need a bought one, not before the campaign starts.
-- Reads work.enclosure_fits, clean.enclosure_stock, work.tasks, work.assignments, clean.campaign, policy.figures.
with made_to_measure as (
    select cast(value as integer) as lead_days
    from policy.figures
    where key = 'rehousing.made_to_measure_lead_days'
),
enclosing as (
    select tasks.volume_id, assignments.start_at
    from work.tasks
    join work.assignments using (task_id)
    where tasks.kind = 'enclose' and assignments.start_at is not null
),
needed as (
    select
        enclosure_fits.enclosure_id,
        cast(count(*) as double) as needed,
        coalesce(any_value(enclosure_stock.on_hand), 0) as on_hand,
        any_value(enclosure_fits.price) as price,
        min(enclosing.start_at) as start_at,
        coalesce(any_value(enclosure_stock.lead_days), any_value(made_to_measure.lead_days)) as lead_days
    from work.enclosure_fits
    left join clean.enclosure_stock using (enclosure_id)
    join enclosing using (volume_id)
    cross join made_to_measure
    group by enclosure_fits.enclosure_id
)
select
    needed.enclosure_id,
    needed.needed,
    needed.on_hand,
    greatest(0, needed.needed - needed.on_hand) as to_buy,
    greatest(0, needed.needed - needed.on_hand) * needed.price as cost,
    case when needed.needed > needed.on_hand and needed.start_at is not null then greatest(
        campaign.start_date,
        cast(needed.start_at as date) - cast(needed.lead_days as integer)
    ) end as order_by
from needed
cross join clean.campaign

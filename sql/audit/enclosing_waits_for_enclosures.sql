-- rule: No volume is enclosed before its enclosure can have arrived, and enclosures are ordered in time.
-- What is on hand goes to the volumes enclosed first. Source: trade model, sections 8 and 9.
with leads as (
    select enclosure_id, on_hand, lead_days
    from published.enclosure_stock
    union all
    select null as enclosure_id, 0 as on_hand, ceil(value) as lead_days
    from published.policy
    where key = 'rehousing.made_to_measure_lead_days'
),
enclosing as (
    select
        enclosures.enclosure_id,
        tasks.start_at,
        row_number() over (partition by enclosures.enclosure_id order by tasks.start_at, tasks.task_id) as taken
    from published.tasks
    join published.enclosures using (volume_id)
    where tasks.kind = 'enclose' and tasks.start_at is not null
),
buying as (
    select
        leads.enclosure_id,
        any_value(leads.lead_days) as lead_days,
        cast(min(enclosing.start_at) as date) as first_day
    from enclosing
    join leads on leads.enclosure_id is not distinct from enclosing.enclosure_id
    where enclosing.taken > leads.on_hand
    group by leads.enclosure_id
)
select
    buying.enclosure_id,
    printf(
        'enclosure %s: first needed on %s, ordered by %s with %.0f days to deliver, campaign from %s',
        coalesce(buying.enclosure_id, 'made to measure'), cast(buying.first_day as varchar),
        coalesce(cast(enclosure_totals.order_by as varchar), 'no day'), buying.lead_days,
        cast(run.start_date as varchar)
    ) as what
from buying
left join published.enclosure_totals on enclosure_totals.enclosure_id is not distinct from buying.enclosure_id
cross join published.run
where enclosure_totals.order_by is null
    or enclosure_totals.order_by < run.start_date
    or buying.first_day < run.start_date + cast(buying.lead_days as integer)
    or buying.first_day < enclosure_totals.order_by + cast(buying.lead_days as integer)

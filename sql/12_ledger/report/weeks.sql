-- One row per week from the day on: hours and leaves that the revision of that day still plans, and what is left after.
-- Reads work.past_tasks, raw.run, policy.unit_factors.
with left_over as (
    select
        cast(date_trunc('week', past_tasks.start_at) as date) as week_start,
        past_tasks.kind,
        past_tasks.minutes_planned / factors.factor as hours,
        case when past_tasks.kind = 'interleave' then past_tasks.sheets_planned else 0 end as sheets,
        case when past_tasks.kind = 'return' then 1 else 0 end as volumes
    from work.past_tasks
    join raw.run using (revision)
    cross join policy.unit_factors as factors
    where factors.unit_factor = 'minutes_per_hour' and past_tasks.start_at >= run.as_of
),
weeks as (
    select week_start, sum(hours order by hours) as hours, sum(sheets) as sheets, sum(volumes) as volumes
    from left_over
    group by week_start
)
select
    week_start,
    hours,
    cast(sheets as bigint) as sheets,
    cast(volumes as bigint) as volumes,
    sum(hours) over from_here as hours_left,
    cast(sum(sheets) over from_here as bigint) as sheets_left
from weeks
window from_here as (order by week_start rows between current row and unbounded following)
order by week_start

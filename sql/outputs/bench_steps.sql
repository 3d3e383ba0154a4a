-- One row per task of a volume, in the order of the work, with its planned minutes.
-- Reads published.tasks.
with factors as (
    select factor as minutes_per_hour from policy.unit_factors where unit_factor = 'minutes_per_hour'
),
steps as (
    select
        tasks.*,
        case kind
            when 'fetch' then 1 when 'remove' then 2 when 'interleave' then 3
            when 'check' then 4 when 'enclose' then 5 else 6
        end as step_order
    from published.tasks as tasks
    where volume_id is not null
)
select
    steps.volume_id,
    steps.task_id,
    steps.kind,
    steps.skill,
    steps.staff_id,
    steps.start_at,
    cast(steps.hours * factors.minutes_per_hour as double) as minutes
from steps
cross join factors
order by steps.volume_id, steps.step_order, steps.start_at, steps.task_id

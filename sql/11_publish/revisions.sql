-- One row per revision, this one last: the day it was made for, what was left then, when it was to be finished.
-- Reads work.past_revisions, raw.run, clean.campaign, work.tasks, work.assignments, work.volume_plans.
with factors as (
    select factor as minutes_per_hour from policy.unit_factors where unit_factor = 'minutes_per_hour'
),
dated as (
    select
        cast(max(assignments.finish_at) as date) as finish_date,
        coalesce(sum(tasks.task_minutes), 0) / any_value(minutes_per_hour) as hours
    from factors
    left join work.tasks on true
    left join work.assignments on assignments.task_id = tasks.task_id
    where tasks.task_id is null or assignments.start_at is not null
)
select revision, as_of, start_date, end_date, planned_at, finish_date, hours, sheets
from work.past_revisions
union all
select
    run.revision,
    run.as_of,
    campaign.start_date,
    campaign.end_date,
    run.planned_at,
    dated.finish_date,
    cast(coalesce(dated.hours, 0) as double) as hours,
    cast((select coalesce(sum(sheets), 0) from work.volume_plans) as bigint) as sheets
from raw.run
cross join clean.campaign
left join dated on true

-- One row per person, day and task worked on that day: its part of the day; a task that runs on over days has several.
-- Reads published.tasks, staff_days, volumes, patterns. `sheets`: leaves to lay in or take out, parent sheets to cut.
with parts as (
    select
        staff_days.staff_id,
        staff_days.day,
        greatest(tasks.start_at, staff_days.start_at) as start_at,
        least(tasks.finish_at, staff_days.finish_at) as finish_at,
        tasks.start_at < staff_days.start_at as is_going_on,
        tasks.finish_at > staff_days.finish_at as goes_on,
        tasks.task_id,
        tasks.kind,
        tasks.volume_id,
        tasks.pattern_id
    from published.tasks as tasks
    join published.staff_days as staff_days using (staff_id)
    where (tasks.start_at < staff_days.finish_at and tasks.finish_at > staff_days.start_at)
        or (tasks.start_at = tasks.finish_at and tasks.start_at >= staff_days.start_at
            and tasks.start_at < staff_days.finish_at)
)
select
    parts.staff_id,
    cast(date_trunc('week', parts.day) as date) as week_start,
    parts.day,
    parts.start_at,
    parts.finish_at,
    cast(epoch(parts.finish_at - parts.start_at) / epoch(interval '1 hour') as double) as hours,
    parts.is_going_on,
    parts.goes_on,
    parts.task_id,
    parts.kind,
    parts.volume_id,
    parts.pattern_id,
    volumes.title,
    volumes.location,
    case
        when parts.kind = 'interleave' then volumes.sheets
        when parts.kind = 'remove' then volumes.existing_leaves
        when parts.kind = 'cut' then patterns.sheets
    end as sheets
from parts
left join published.volumes as volumes using (volume_id)
left join published.patterns as patterns using (pattern_id)
order by parts.staff_id, parts.start_at, parts.finish_at, parts.task_id

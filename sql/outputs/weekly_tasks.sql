-- One row per dated task: week (its Monday), who, when, what, where.
-- Reads published.tasks, volumes, patterns. `sheets`: leaves to lay in, or parent sheets to cut in the whole pattern.
select
    cast(date_trunc('week', tasks.start_at) as date) as week_start,
    tasks.start_at,
    tasks.finish_at,
    tasks.staff_id,
    tasks.kind,
    tasks.task_id,
    tasks.volume_id,
    tasks.pattern_id,
    volumes.title,
    volumes.location,
    case
        when tasks.kind = 'interleave' then volumes.sheets
        when tasks.kind = 'remove' then volumes.existing_leaves
        when tasks.kind = 'cut' then patterns.sheets
    end as sheets,
    tasks.hours
from published.tasks as tasks
left join published.volumes as volumes using (volume_id)
left join published.patterns as patterns using (pattern_id)
where tasks.start_at is not null
order by week_start, tasks.staff_id, tasks.start_at, tasks.task_id

-- One row per task in the order of the work: what comes back from the bench.
-- Reads published.tasks, volumes, patterns, run.
select
    run.revision,
    tasks.task_id,
    tasks.kind,
    tasks.volume_id,
    tasks.pattern_id,
    tasks.staff_id,
    cast(tasks.start_at as date) as planned_day,
    case
        when tasks.kind = 'interleave' then volumes.sheets
        when tasks.kind = 'cut' then patterns.sheets
    end as sheets,
    case when tasks.kind = 'check' then volumes.fore_edge_after_mm end as fore_edge_after_mm
from published.tasks as tasks
cross join published.run as run
left join published.volumes as volumes using (volume_id)
left join published.patterns as patterns using (pattern_id)
order by tasks.start_at nulls last, tasks.staff_id, tasks.task_id

-- One row per task, hours of one person. Reads work.tasks, work.assignments, policy.unit_factors.
select
    tasks.task_id,
    tasks.kind,
    tasks.volume_id,
    tasks.pattern_id,
    tasks.task_minutes / factors.factor as hours,
    tasks.skill,
    assignments.staff_id,
    assignments.start_at,
    assignments.finish_at
from work.tasks
join work.assignments using (task_id)
cross join policy.unit_factors as factors
where factors.unit_factor = 'minutes_per_hour'

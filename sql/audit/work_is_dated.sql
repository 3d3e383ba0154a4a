-- rule: Every cut and every task of a volume with sheets has its person, start and finish; none has only some.
select
    tasks.task_id,
    tasks.volume_id,
    printf(
        'task %s of %s: person %s, start %s, finish %s',
        tasks.task_id, coalesce(tasks.volume_id, tasks.pattern_id, 'nothing'), coalesce(tasks.staff_id, 'none'),
        coalesce(cast(tasks.start_at as varchar), 'none'), coalesce(cast(tasks.finish_at as varchar), 'none')
    ) as what
from published.tasks
left join published.volumes using (volume_id)
where (tasks.staff_id is null) <> (tasks.start_at is null)
    or (tasks.staff_id is null) <> (tasks.finish_at is null)
    or tasks.finish_at < tasks.start_at
    or (tasks.staff_id is null and (tasks.kind = 'cut' or volumes.sheets > 0))

-- rule: A volume is fetched, cleared, interleaved, checked, enclosed and returned in that order, its sheets cut before.
-- An off-cut is cut after the pattern that leaves it; every pair in the published order is kept too.
-- Source: trade model, section 8.
with steps (kind, step_no) as (
    values ('fetch', 1), ('remove', 2), ('interleave', 3), ('check', 4), ('enclose', 5), ('return', 6)
),
volume_tasks as (
    select tasks.task_id, tasks.volume_id, steps.step_no
    from published.tasks
    join steps using (kind)
),
pairs as (
    select before_task_id, after_task_id
    from published.task_order
    union
    select earlier.task_id as before_task_id, later.task_id as after_task_id
    from volume_tasks as earlier
    join volume_tasks as later on later.volume_id = earlier.volume_id and later.step_no > earlier.step_no
    union
    select cuts.task_id as before_task_id, interleaving.task_id as after_task_id
    from published.tasks as interleaving
    join published.cut_size_volumes using (volume_id)
    join published.pattern_pieces using (cut_size_id)
    join published.tasks as cuts on cuts.pattern_id = pattern_pieces.pattern_id
    where interleaving.kind = 'interleave'
    union
    select leaving.task_id as before_task_id, using_it.task_id as after_task_id
    from published.patterns
    join published.tasks as using_it using (pattern_id)
    join published.tasks as leaving on leaving.pattern_id = patterns.from_offcut_of
)
select
    pairs.before_task_id,
    pairs.after_task_id,
    printf(
        'task %s starts %s, task %s before it finishes %s',
        pairs.after_task_id, cast(later.start_at as varchar), pairs.before_task_id,
        coalesce(cast(earlier.finish_at as varchar), 'at no date')
    ) as what
from pairs
join published.tasks as earlier on earlier.task_id = pairs.before_task_id
join published.tasks as later on later.task_id = pairs.after_task_id
where later.start_at is not null
    and (earlier.finish_at is null or earlier.finish_at > later.start_at)

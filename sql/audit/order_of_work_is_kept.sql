-- rule: A volume is fetched, cleared, interleaved, checked, enclosed and returned in that order, its sheets cut before.
-- Leaves are counted: when a volume's interleaving starts, as many of its sizes are cut as it and all begun before it
-- take; a pattern's leaves count once all its runs are finished, leaves cut before (ready_leaves_count) from the start.
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
    select leaving.task_id as before_task_id, using_it.task_id as after_task_id
    from published.patterns
    join published.tasks as using_it using (pattern_id)
    join published.tasks as leaving on leaving.pattern_id = patterns.from_offcut_of
),
broken_pairs as (
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
),
taken as (
    -- leaves of a size taken by a volume and by all whose interleaving starts no later
    select
        served.cut_size_id,
        tasks.task_id,
        tasks.start_at,
        sum(served.sheets) over (
            partition by served.cut_size_id order by tasks.start_at range unbounded preceding
        ) as taken_count
    from published.cut_size_volumes as served
    join published.tasks using (volume_id)
    where tasks.kind = 'interleave' and tasks.start_at is not null
),
cutting as (
    select pattern_id, max(finish_at) filter (finish_at is not null) as finish_at, count(*) - count(finish_at) as undated
    from published.tasks
    where kind = 'cut'
    group by pattern_id
),
leaves as (
    select
        pattern_pieces.cut_size_id,
        pattern_pieces.pattern_id,
        count(*) * any_value(patterns.sheets) as leaves_count
    from published.pattern_pieces
    join published.patterns using (pattern_id)
    group by pattern_pieces.cut_size_id, pattern_pieces.pattern_id
),
counted as (
    select
        taken.cut_size_id,
        taken.task_id,
        taken.start_at,
        taken.taken_count,
        coalesce(any_value(cut_sizes.ready_leaves_count), 0) + coalesce(
            sum(leaves.leaves_count) filter (cutting.undated = 0 and cutting.finish_at <= taken.start_at), 0
        ) as cut_count
    from taken
    left join published.cut_sizes using (cut_size_id)
    left join leaves using (cut_size_id)
    left join cutting using (pattern_id)
    group by taken.cut_size_id, taken.task_id, taken.start_at, taken.taken_count
)
select before_task_id, after_task_id, what from broken_pairs
union all
select
    null,
    task_id,
    printf(
        'task %s starts %s, %d leaves of size %s are cut by then and %d are taken',
        task_id, cast(start_at as varchar), cast(cut_count as bigint), cut_size_id, cast(taken_count as bigint)
    )
from counted
where cut_count < taken_count

-- rule: A volume is fetched, cleared, interleaved, checked, enclosed and returned in that order, its sheets cut before.
-- Leaves are counted: of each size a volume uses, all that the patterns yield are cut when its interleaving starts.
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
),
yields as (
    -- leaves of a size from a pattern, and when its last run is finished; no date where a run has none, or there is none
    select
        pattern_pieces.cut_size_id,
        pattern_pieces.pattern_id,
        count(distinct pattern_pieces.piece_no) * any_value(patterns.sheets) as leaves,
        case when bool_and(tasks.finish_at is not null) then max(tasks.finish_at) end as cut_at
    from published.pattern_pieces
    join published.patterns using (pattern_id)
    left join published.tasks on tasks.pattern_id = pattern_pieces.pattern_id and tasks.kind = 'cut'
    group by pattern_pieces.cut_size_id, pattern_pieces.pattern_id
),
leaves_at_hand as (
    select
        interleaving.task_id,
        cut_size_volumes.cut_size_id,
        any_value(interleaving.start_at) as start_at,
        sum(yields.leaves) as leaves,
        coalesce(sum(yields.leaves) filter (yields.cut_at <= interleaving.start_at), 0) as cut_leaves
    from published.tasks as interleaving
    join published.cut_size_volumes using (volume_id)
    join yields using (cut_size_id)
    where interleaving.kind = 'interleave' and interleaving.start_at is not null
    group by interleaving.task_id, cut_size_volumes.cut_size_id
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
union all
select
    cut_size_id as before_task_id,
    task_id as after_task_id,
    printf(
        'task %s starts %s, with %d of the %d leaves of size %s cut',
        task_id, cast(start_at as varchar), cut_leaves, leaves, cut_size_id
    ) as what
from leaves_at_hand
where cut_leaves < leaves

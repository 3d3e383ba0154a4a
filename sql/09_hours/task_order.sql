-- One row per pair of tasks of which one must be finished before the other starts.
-- Within a volume: fetch, remove, interleave, check, enclose, return. Between: interleave waits for every run of every
-- pattern that yields a piece of a size the volume uses; a run on an off-cut waits for the runs that leave it.
-- Reads work.tasks, work.patterns, work.pattern_pieces, work.cut_size_volumes. Source: trade model, section 8.
with steps (kind, step_no) as (
    values ('fetch', 1), ('remove', 2), ('interleave', 3), ('check', 4), ('enclose', 5), ('return', 6)
),
within_volume as (
    select
        tasks.task_id as before_task_id,
        lead(tasks.task_id) over (partition by tasks.volume_id order by steps.step_no) as after_task_id
    from work.tasks
    join steps using (kind)
),
yields as (
    select distinct pattern_id, cut_size_id
    from work.pattern_pieces
),
waits_for_sizes as (
    select distinct
        cuts.task_id as before_task_id,
        interleaves.task_id as after_task_id
    from work.tasks as interleaves
    join work.cut_size_volumes using (volume_id)
    join yields using (cut_size_id)
    join work.tasks as cuts on cuts.pattern_id = yields.pattern_id
    where interleaves.kind = 'interleave'
),
waits_for_offcut as (
    select
        leaving.task_id as before_task_id,
        using_it.task_id as after_task_id
    from work.patterns
    join work.tasks as using_it using (pattern_id)
    join work.tasks as leaving on leaving.pattern_id = patterns.from_offcut_of
)
select before_task_id, after_task_id from within_volume where after_task_id is not null
union all
select before_task_id, after_task_id from waits_for_sizes
union all
select before_task_id, after_task_id from waits_for_offcut

-- One row per pair of tasks of which one must be finished before the other starts.
-- Within a volume: fetch, remove, interleave, check, enclose, return. Between: interleave waits for every run of the
-- patterns its leaves are allotted from; a run on an off-cut waits for the runs that leave it.
-- Leaves are allotted size by size: volumes in the order of benefit per minute of their own tasks, patterns as their
-- paper comes, then those that leave most of the size, so that a volume waits for few. Leaves cut before go to the
-- first volumes, spares are the last leaves of a size: a run of nothing but spares comes before the last volume of its
-- sizes. At the bench any leaf of the size is as good as another.
-- Reads work.tasks, work.task_releases, work.volume_plans, work.patterns, work.pattern_pieces, work.demands,
-- work.cut_size_volumes. Source: trade model, section 8.
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
volume_ranks as (
    select
        volume_id,
        row_number() over (
            order by any_value(volume_plans.benefit_planned) / greatest(1, sum(tasks.task_minutes)) desc, volume_id
        ) as volume_rank
    from work.tasks
    join work.volume_plans using (volume_id)
    group by volume_id
),
needs as (
    -- a volume's leaves as a run of numbers among all its size needs
    select
        served.cut_size_id,
        served.volume_id,
        sum(served.sheets) over by_rank - served.sheets as first_leaf,
        sum(served.sheets) over by_rank as last_leaf
    from work.cut_size_volumes as served
    join volume_ranks using (volume_id)
    window by_rank as (partition by served.cut_size_id order by volume_ranks.volume_rank)
),
pattern_days as (
    select tasks.pattern_id, max(task_releases.day) as day
    from work.tasks
    left join work.task_releases using (task_id)
    where tasks.kind = 'cut'
    group by tasks.pattern_id
),
leaves as (
    select pattern_pieces.cut_size_id, pattern_pieces.pattern_id, count(*) * any_value(patterns.sheets) as leaves_count
    from work.pattern_pieces
    join work.patterns using (pattern_id)
    group by pattern_pieces.cut_size_id, pattern_pieces.pattern_id
),
made as (
    -- a pattern's leaves as a run of numbers among all there are of the size, those cut before first
    select
        leaves.cut_size_id,
        leaves.pattern_id,
        coalesce(demands.ready_leaves_count, 0) + sum(leaves.leaves_count) over by_day - leaves.leaves_count as first_leaf,
        coalesce(demands.ready_leaves_count, 0) + sum(leaves.leaves_count) over by_day as last_leaf
    from leaves
    left join work.demands using (cut_size_id)
    join work.patterns using (pattern_id)
    join pattern_days using (pattern_id)
    window by_day as (
        partition by leaves.cut_size_id
        order by
            pattern_days.day nulls first,
            patterns.from_offcut_of is not null,
            leaves.leaves_count desc,
            leaves.pattern_id
    )
),
waits_for_leaves as (
    select distinct
        cuts.task_id as before_task_id,
        interleaves.task_id as after_task_id
    from needs
    join made
        on made.cut_size_id = needs.cut_size_id
        and made.first_leaf < needs.last_leaf
        and made.last_leaf > needs.first_leaf
    join work.tasks as interleaves on interleaves.volume_id = needs.volume_id and interleaves.kind = 'interleave'
    join work.tasks as cuts on cuts.pattern_id = made.pattern_id
),
waits_for_spares as (
    select
        cuts.task_id as before_task_id,
        arg_max(interleaves.task_id, volume_ranks.volume_rank) as after_task_id
    from work.tasks as cuts
    join leaves using (pattern_id)
    join work.cut_size_volumes as served using (cut_size_id)
    join volume_ranks on volume_ranks.volume_id = served.volume_id
    join work.tasks as interleaves on interleaves.volume_id = served.volume_id and interleaves.kind = 'interleave'
    where cuts.task_id not in (select before_task_id from waits_for_leaves)
    group by cuts.task_id
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
select before_task_id, after_task_id from waits_for_leaves
union all
select before_task_id, after_task_id from waits_for_spares
union all
select before_task_id, after_task_id from waits_for_offcut

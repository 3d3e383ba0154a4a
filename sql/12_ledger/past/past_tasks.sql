-- One row per task of this plan, to be remembered by the next revision.
-- The parent sheets of a pattern cut in several runs are shared by their lifts. Reads published, work.cut_runs.
with runs as (
    -- runs and cut tasks are numbered in the same order
    select
        pattern_id,
        row_number() over (partition by pattern_id order by task_id) as run_no,
        task_id
    from published.tasks
    where kind = 'cut'
),
shares as (
    select
        runs.task_id,
        cut_runs.lifts,
        cast(
            round(patterns.sheets * sum(cut_runs.lifts) over so_far / patterns.lifts)
            - round(patterns.sheets * (sum(cut_runs.lifts) over so_far - cut_runs.lifts) / patterns.lifts)
            as bigint
        ) as sheets
    from runs
    join work.cut_runs using (pattern_id, run_no)
    join published.patterns using (pattern_id)
    window so_far as (partition by runs.pattern_id order by runs.run_no)
)
select
    run.revision,
    tasks.task_id,
    tasks.kind,
    tasks.volume_id,
    tasks.pattern_id,
    case
        when tasks.kind = 'cut' then shares.sheets
        when tasks.kind = 'interleave' then volumes.sheets
        when tasks.kind = 'remove' then volumes.existing_leaves
    end as sheets_planned,
    shares.lifts,
    tasks.hours * factors.factor as minutes_planned,
    tasks.skill,
    tasks.start_at,
    tasks.finish_at
from published.tasks
cross join published.run
cross join policy.unit_factors as factors
left join published.volumes using (volume_id)
left join shares using (task_id)
where factors.unit_factor = 'minutes_per_hour'

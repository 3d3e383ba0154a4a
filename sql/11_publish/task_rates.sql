-- One row per task and rate it takes its minutes from: likely minutes, before the task is rounded up to whole ones.
-- Reads work.tasks, work.cut_runs, work.interleaves, work.enclosure_fits, clean.volumes, clean.rates.
-- Source: trade model, section 8.
with planned_sheets as (
    select volume_id, sum(sheets) as sheets
    from work.interleaves
    group by volume_id
),
cut_tasks as (
    -- the runs of a pattern in the order their tasks are numbered in
    select task_id, pattern_id, row_number() over (partition by pattern_id order by task_id) as run_no
    from work.tasks
    where kind = 'cut'
),
parts as (
    select task_id, 'cut_setup' as task, 1 as quantity
    from cut_tasks
    union all
    select cut_tasks.task_id, 'cut_lift', cut_runs.lifts
    from cut_tasks
    join work.cut_runs using (pattern_id, run_no)
    union all
    select task_id, kind, 1
    from work.tasks
    where kind in ('fetch', 'check', 'return')
    union all
    select tasks.task_id, 'remove', volumes.existing_leaves
    from work.tasks
    join clean.volumes using (volume_id)
    where tasks.kind = 'remove'
    union all
    select task_id, 'interleave_volume', 1
    from work.tasks
    where kind = 'interleave'
    union all
    select tasks.task_id, 'interleave_sheet', planned_sheets.sheets
    from work.tasks
    join planned_sheets using (volume_id)
    where tasks.kind = 'interleave'
    union all
    select tasks.task_id, if(enclosure_fits.enclosure_id is null, 'enclose_made_to_measure', 'enclose'), 1
    from work.tasks
    join work.enclosure_fits using (volume_id)
    where tasks.kind = 'enclose'
)
select
    parts.task_id,
    rates.task,
    cast(parts.quantity * rates.minutes as double) as minutes
from parts
join clean.rates using (task)

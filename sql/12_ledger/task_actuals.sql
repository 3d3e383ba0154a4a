-- One row per task that returned lines say is done or part done; all runs of a pattern are one row.
-- Lines about one volume or pattern: minutes add up, sheets are as the last of them says (they say how many lie in it
-- by then), as is what they say of old leaves and box. A volume that is done has had all of its steps; one that is begun
-- was fetched, cleared of old leaves where its lines say so or leaves lie in it (unless they say no: then that step is
-- part done), checked where its fore edge was measured, and boxed where they say so. With the box on and all planned
-- leaves in it, it was checked too and its interleaving is done: only its way back is left. Minutes of the other steps
-- stand on the row of the last step.
-- A line that a later one names in `supersedes` no longer stands. Reads work.past_lines, work.past_tasks.
with gone as (
    select distinct trim(unnest(string_split(supersedes, ','))) as line_id
    from work.past_lines
),
standing as (
    select *
    from work.past_lines
    anti join gone using (line_id)
    where progress <> 'not_done'
),
returned as (
    select
        revision,
        volume_id,
        pattern_id,
        bool_or(progress = 'done') as is_whole,
        cast(sum(minutes_taken order by line_id) as double) as minutes_taken,
        cast(sum(other_minutes order by line_id) as double) as other_minutes,
        arg_max(used_by_paper, (done_on, line_id)) as used_by_paper,
        arg_max(used_sheets_count, (done_on, line_id)) as used_sheets_count,
        max(spoiled_sheets_count) as spoiled_sheets_count,
        arg_max(fore_edge_measured_mm, (done_on, line_id)) as fore_edge_measured_mm,
        arg_max(is_cleared, (done_on, line_id)) as is_cleared,
        arg_max(is_boxed, (done_on, line_id)) as is_boxed,
        max(done_on) as done_on
    from standing
    group by revision, volume_id, pattern_id
),
planned_volumes as (
    select
        revision,
        volume_id,
        coalesce(sum(sheets_planned) filter (where kind = 'interleave'), 0) as sheets,
        bool_or(kind = 'enclose') as has_box
    from work.past_tasks
    where volume_id is not null
    group by revision, volume_id
),
states as (
    select
        returned.* exclude (pattern_id, is_cleared),
        coalesce(returned.is_cleared, returned.used_sheets_count > 0) as is_cleared,
        planned_volumes.has_box and coalesce(returned.is_boxed, false) as has_box_on,
        has_box_on and coalesce(returned.used_sheets_count, 0) >= planned_volumes.sheets as is_through
    from returned
    join planned_volumes using (revision, volume_id)
),
step_order as (
    select ['fetch', 'remove', 'interleave', 'check', 'enclose', 'return'] as kinds
),
volume_tasks as (
    select
        past_tasks.*,
        case past_tasks.kind
            when 'remove' then states.is_whole or states.is_through or states.is_cleared
            when 'interleave' then states.is_whole or states.is_through
            when 'return' then states.is_whole
            else true
        end as is_whole,
        1 as count,
        case when past_tasks.kind = 'interleave' then states.minutes_taken end as minutes_taken,
        case
            when past_tasks.kind = arg_max(past_tasks.kind, list_position(step_order.kinds, past_tasks.kind))
                over (partition by past_tasks.revision, past_tasks.volume_id)
                then states.other_minutes
        end as other_minutes,
        case when past_tasks.kind = 'interleave' then states.used_by_paper else '' end as used_by_paper,
        case when past_tasks.kind = 'interleave' then states.used_sheets_count end as used_sheets_count,
        case when past_tasks.kind = 'interleave' then states.spoiled_sheets_count end as spoiled_sheets_count,
        case when past_tasks.kind = 'check' then states.fore_edge_measured_mm end as fore_edge_measured_mm,
        states.done_on
    from states
    join work.past_tasks using (revision, volume_id)
    cross join step_order
    where states.is_whole
        or past_tasks.kind in ('fetch', 'interleave')
        or (past_tasks.kind = 'remove' and (states.is_through or states.is_cleared is not null))
        or (past_tasks.kind = 'check' and (states.is_through or states.fore_edge_measured_mm is not null))
        or (past_tasks.kind = 'enclose' and states.has_box_on)
),
runs as (
    select
        revision,
        min(task_id) as task_id,
        'cut' as kind,
        pattern_id,
        any_value(skill) as skill,
        sum(sheets_planned) as sheets_planned,
        sum(lifts) as lifts,
        sum(minutes_planned order by task_id) as minutes_planned,
        count(*) as count
    from work.past_tasks
    where kind = 'cut'
    group by revision, pattern_id
),
pattern_tasks as (
    select runs.*, returned.* exclude (revision, pattern_id, volume_id)
    from returned
    join runs using (revision, pattern_id)
),
all_tasks as (
    select * exclude (start_at, finish_at) from volume_tasks
    union all by name
    select * from pattern_tasks
)
select
    revision,
    task_id,
    kind,
    cast(volume_id as varchar) as volume_id,
    cast(pattern_id as varchar) as pattern_id,
    skill,
    cast(sheets_planned as bigint) as sheets_planned,
    cast(lifts as bigint) as lifts,
    cast(minutes_planned as double) as minutes_planned,
    is_whole,
    cast(count as bigint) as count,
    minutes_taken,
    other_minutes,
    used_by_paper,
    used_sheets_count,
    spoiled_sheets_count,
    fore_edge_measured_mm,
    done_on
from all_tasks

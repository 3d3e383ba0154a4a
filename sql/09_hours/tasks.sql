-- One row per task: kind, volume or pattern, whole minutes (rounded up once per task), least skill.
-- A volume with sheets has fetch, remove (only where old leaves come out), interleave, check, enclose (only with a
-- new enclosure), return; one without sheets that gets an enclosure has fetch, enclose, return; others have none.
-- What an earlier revision did to a volume that lies in the lab is not done again; begun work is checked, and what was
-- fetched goes back.
-- Ids: the kind and a running number, the same for all tasks of a volume.
-- Reads work.cut_runs, work.interleaves, work.volume_plans, work.enclosure_fits, clean.volumes, clean.rates,
-- policy.unit_factors. Source: trade model, section 8.
with skills (skill, grade) as (
    values ('volunteer', 1), ('technician', 2), ('conservator', 3)
),
rates as (
    select rates.task, rates.minutes, skills.grade
    from clean.rates
    join skills using (skill)
),
planned_sheets as (
    select volume_id, sum(sheets) as sheets
    from work.interleaves
    group by volume_id
),
steps as (
    select
        volume_id,
        bool_or(kind = 'interleave') and not bool_or(kind = 'check') as needs_check
    from work.steps_done
    group by volume_id
),
worked as (
    select
        volumes.volume_id,
        coalesce(planned_sheets.sheets, 0) as sheets,
        volumes.existing_leaves,
        enclosure_fits.volume_id is not null as gets_enclosure,
        -- one that an earlier revision ordered to measure has an id of its own
        coalesce(starts_with(enclosure_fits.enclosure_id, 'made for '), true) as is_made_to_measure,
        skills.grade,
        steps.volume_id is not null as is_fetched,
        coalesce(steps.needs_check, false) as needs_check
    from clean.volumes
    join work.volume_plans using (volume_id)
    join skills using (skill)
    left join planned_sheets using (volume_id)
    left join work.enclosure_fits using (volume_id)
    left join steps using (volume_id)
    where steps.volume_id is not null
        or (
            volume_plans.state not in ('on_hold', 'treat_first', 'deferred')
            and (coalesce(planned_sheets.sheets, 0) > 0 or enclosure_fits.volume_id is not null)
        )
),
parts as (
    -- a task's minutes are quantity x rate, summed over its rates; asked_grade is the volume's own least skill
    select volume_id, 'fetch' as kind, 'fetch' as task, 1 as quantity, 1 as asked_grade
    from worked where not is_fetched
    union all
    select volume_id, 'remove', 'remove', existing_leaves, grade
    from worked where sheets > 0 and existing_leaves > 0
    union all
    select volume_id, 'interleave', 'interleave_volume', 1, grade
    from worked where sheets > 0
    union all
    select volume_id, 'interleave', 'interleave_sheet', sheets, grade
    from worked where sheets > 0
    union all
    select volume_id, 'check', 'check', 1, grade
    from worked where sheets > 0 or needs_check
    union all
    select volume_id, 'enclose', if(is_made_to_measure, 'enclose_made_to_measure', 'enclose'), 1, 1
    from worked where gets_enclosure
    union all
    select volume_id, 'return', 'return', 1, 1
    from worked
),
volume_numbers as (
    select
        volume_id,
        lpad(
            cast(row_number() over (order by volume_id) as varchar),
            cast(greatest(4, length(cast(count(*) over () as varchar))) as integer),
            '0'
        ) as number
    from worked
),
volume_tasks as (
    select
        parts.kind || '-' || any_value(volume_numbers.number) as task_id,
        parts.kind,
        parts.volume_id,
        sum(parts.quantity * rates.minutes) as minutes,
        max(greatest(rates.grade, parts.asked_grade)) as grade
    from parts
    join rates using (task)
    join volume_numbers using (volume_id)
    group by parts.volume_id, parts.kind
),
cut_skill as (
    select max(grade) as grade
    from rates
    where task in ('cut_setup', 'cut_lift')
),
cut_tasks as (
    select
        'cut-' || lpad(
            cast(row_number() over (order by pattern_id, run_no) as varchar),
            cast(greatest(4, length(cast(count(*) over () as varchar))) as integer),
            '0'
        ) as task_id,
        pattern_id,
        task_minutes,
        cut_skill.grade
    from work.cut_runs
    cross join cut_skill
),
guard as (
    select factor as floor_guard
    from policy.unit_factors
    where unit_factor = 'floor_guard'
),
all_tasks as (
    select task_id, 'cut' as kind, null as volume_id, pattern_id, task_minutes, grade
    from cut_tasks
    union all
    select task_id, kind, volume_id, null, cast(greatest(0, ceil(minutes - floor_guard)) as bigint), grade
    from volume_tasks
    cross join guard
)
select
    all_tasks.task_id,
    all_tasks.kind,
    cast(all_tasks.volume_id as varchar) as volume_id,
    cast(all_tasks.pattern_id as varchar) as pattern_id,
    cast(all_tasks.task_minutes as bigint) as task_minutes,
    skills.skill
from all_tasks
join skills using (grade)

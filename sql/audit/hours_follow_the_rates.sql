-- rule: Every task's hours follow from the rates, within a minute; a pattern's runs share its lifts.
-- Source: trade model, section 8.
with units (minutes_per_hour) as (
    values (60.0::double)
),
minutes as (
    select
        max(rates.minutes) filter (task = 'fetch') as fetch_minutes,
        max(rates.minutes) filter (task = 'remove') as remove_minutes,
        max(rates.minutes) filter (task = 'interleave_volume') as interleave_volume_minutes,
        max(rates.minutes) filter (task = 'interleave_sheet') as interleave_sheet_minutes,
        max(rates.minutes) filter (task = 'check') as check_minutes,
        max(rates.minutes) filter (task = 'enclose') as enclose_minutes,
        max(rates.minutes) filter (task = 'enclose_made_to_measure') as enclose_made_to_measure_minutes,
        max(rates.minutes) filter (task = 'return') as return_minutes,
        max(rates.minutes) filter (task = 'cut_setup') as cut_setup_minutes,
        max(rates.minutes) filter (task = 'cut_lift') as cut_lift_minutes
    from published.rates
),
volume_tasks as (
    select
        tasks.task_id,
        tasks.hours * minutes_per_hour as stated_minutes,
        case tasks.kind
            when 'fetch' then fetch_minutes
            when 'remove' then volumes.existing_leaves * remove_minutes
            when 'interleave' then interleave_volume_minutes + volumes.sheets * interleave_sheet_minutes
            when 'check' then check_minutes
            when 'enclose' then case when coalesce(starts_with(enclosures.enclosure_id, 'made for '), true)
                then enclose_made_to_measure_minutes else enclose_minutes end
            when 'return' then return_minutes
        end as expected_minutes,
        1 as runs
    from published.tasks
    join published.volumes using (volume_id)
    left join published.enclosures using (volume_id)
    cross join minutes
    cross join units
),
cut_tasks as (
    select
        'runs of pattern ' || patterns.pattern_id as task_id,
        sum(tasks.hours) * any_value(minutes_per_hour) as stated_minutes,
        count(*) * any_value(cut_setup_minutes) + any_value(patterns.lifts) * any_value(cut_lift_minutes)
            as expected_minutes,
        count(*) as runs
    from published.tasks
    join published.patterns using (pattern_id)
    cross join minutes
    cross join units
    where tasks.kind = 'cut'
    group by patterns.pattern_id
),
all_tasks as (
    select task_id, stated_minutes, expected_minutes, runs from volume_tasks
    union all
    select task_id, stated_minutes, expected_minutes, runs from cut_tasks
)
select
    task_id,
    printf('%s: %.2f minutes are planned, the rates give %.2f', task_id, stated_minutes, expected_minutes) as what
from all_tasks
where abs(stated_minutes - expected_minutes) > runs + 1e-6

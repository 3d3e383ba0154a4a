-- One row per thing that a later revision may change: what it is about, which one, what of it, how it is.
-- Reads work.volume_plans, work.tasks, work.assignments, clean.staff, absences, rates, papers, stock, campaign.
with starts as (
    select tasks.volume_id, min(assignments.start_at) as start_at
    from work.tasks
    join work.assignments using (task_id)
    where tasks.kind = 'interleave'
    group by tasks.volume_id
),
ends as (
    select max(finish_at) as finish_at from work.assignments
),
rows as (
    select 'volume' as subject, volume_id as subject_id, 'state' as what, state as after
    from work.volume_plans
    union all
    select 'volume', volume_id, 'sheets to lay in', cast(sheets as varchar) from work.volume_plans where sheets > 0
    union all
    select 'volume', volume_id, 'interleaved in the week of', strftime(date_trunc('week', start_at), '%Y-%m-%d')
    from starts
    where start_at is not null
    union all
    select 'person', staff_id, 'skill and hours a week', printf('%s, %.4g h on %s', skill, hours_per_week, days)
    from clean.staff
    union all
    select
        'absence', coalesce(staff_id, 'the whole lab'), 'away',
        string_agg(strftime("from", '%Y-%m-%d') || ' to ' || strftime("until", '%Y-%m-%d'), ', ' order by "from", "until")
    from clean.absences
    group by staff_id
    union all
    select 'rate', task, 'minutes', printf('%.2f (%.2f to %.2f)', minutes, minutes_low, minutes_high) from clean.rates
    union all
    select 'paper', paper_id, 'thickness of a leaf, um', printf('%.1f', coalesce(bulking_thickness_um, thickness_um))
    from clean.papers
    union all
    select 'stock', stock_id, 'on hand', printf('%.4g', on_hand) from clean.stock
    union all
    select 'campaign', '', 'spares, per cent', printf('%.2f', spares_pct) from clean.campaign
    union all
    select 'campaign', '', 'last day', strftime(end_date, '%Y-%m-%d') from clean.campaign
    union all
    select 'campaign', '', 'supplies budget left', printf('%.2f', supplies_budget) from clean.campaign
    where supplies_budget is not null
    union all
    select 'campaign', '', 'staff budget left', printf('%.2f', staff_budget) from clean.campaign
    where staff_budget is not null
    union all
    select 'campaign', '', 'finished', strftime(finish_at, '%Y-%m-%d') from ends where finish_at is not null
)
select
    cast(subject as varchar) as subject,
    cast(subject_id as varchar) as subject_id,
    cast(what as varchar) as what,
    cast(after as varchar) as after
from rows

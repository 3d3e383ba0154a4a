-- rule: Each person's days add up to the hours they have in each week, and every dated task lies in its person's days.
with days as (
    select
        staff_id,
        cast(date_trunc('week', day) as date) as week_start,
        sum(epoch(finish_at - start_at)) / epoch(interval '1 hour') as hours
    from published.staff_days
    group by staff_id, cast(date_trunc('week', day) as date)
),
weeks as (
    select
        staff_id,
        week_start,
        coalesce(staff_weeks.hours_available, 0) as stated,
        coalesce(days.hours, 0) as found
    from published.staff_weeks
    full join days using (staff_id, week_start)
),
worked as (
    select
        tasks.task_id,
        tasks.staff_id,
        tasks.hours,
        coalesce(sum(
            epoch(least(tasks.finish_at, staff_days.finish_at)) - epoch(greatest(tasks.start_at, staff_days.start_at))
        ) filter (staff_days.day is not null), 0) / epoch(interval '1 hour') as found
    from published.tasks
    left join published.staff_days
        on staff_days.staff_id = tasks.staff_id
        and tasks.start_at < staff_days.finish_at
        and tasks.finish_at > staff_days.start_at
    where tasks.start_at is not null and tasks.hours > 0
    group by tasks.task_id, tasks.staff_id, tasks.hours
),
tolerance as (
    select epoch(interval '1 minute') / epoch(interval '1 hour') + 1e-6 as hours
)
select
    staff_id,
    printf('%s, week of %s: %.3f hours are stated, the days make %.3f', staff_id, cast(week_start as varchar), stated, found)
        as what
from weeks
cross join tolerance
where abs(stated - found) > tolerance.hours
union all
select
    staff_id,
    printf('task %s of %s: %.3f of its %.3f hours lie in the days', task_id, coalesce(staff_id, 'nobody'), found, worked.hours)
        as what
from worked
cross join tolerance
where abs(worked.hours - found) > tolerance.hours

-- rule: Every task lies inside the campaign and its person's working days and hours, and takes the hours it states.
-- Weekly hours spread evenly over the person's days in half-hours, from the policy's hour on; a day absent or closed is
-- lost. Source: trade model, section 8.
with weekdays (name, day_no) as (
    values ('mon', 1), ('tue', 2), ('wed', 3), ('thu', 4), ('fri', 5), ('sat', 6), ('sun', 7)
),
day_parts as (
    select staff_id, trim(unnest(string_split(replace(days, ';', ','), ','))) as part
    from published.staff
),
day_ranges as (
    select day_parts.staff_id, firsts.day_no as first_no, lasts.day_no as last_no
    from day_parts
    join weekdays as firsts on firsts.name = lower(left(part, 3))
    join weekdays as lasts
        on lasts.name = lower(left(trim(split_part(part, '-', -1)), 3))
),
worked_weekdays as (
    -- a range may run over the weekend, such as Sat-Mon
    select distinct day_ranges.staff_id, weekdays.day_no
    from day_ranges
    join weekdays on case when first_no <= last_no
        then day_no between first_no and last_no
        else day_no >= first_no or day_no <= last_no
    end
),
weeks as (
    select
        worked_weekdays.staff_id,
        worked_weekdays.day_no,
        cast(floor(2 * staff.hours_per_week + 1e-6) as bigint) as half_hours,
        count(*) over (partition by worked_weekdays.staff_id) as days,
        row_number() over (partition by worked_weekdays.staff_id order by worked_weekdays.day_no) as place,
        staff."from" as first_day,
        staff."until" as last_day
    from worked_weekdays
    join published.staff using (staff_id)
),
figures as (
    select value as day_start_hour
    from published.policy
    where key = 'schedule.day_start_hour'
),
staff_days as (
    -- the week is spread evenly in half-hours, the odd ones on its earlier days; a day absent or closed is lost
    select
        weeks.staff_id,
        days.day,
        days.day + to_hours(cast(day_start_hour as bigint)) as opens_at,
        days.day + to_hours(cast(day_start_hour as bigint)) + interval '30 minutes' * cast(least(
            2 * (24 - day_start_hour),
            half_hours // weeks.days + case when place <= half_hours % weeks.days then 1 else 0 end
        ) as bigint) as closes_at
    from (
        select cast(unnest(generate_series(start_date, end_date, interval '1 day')) as date) as day
        from published.run
    ) as days
    join weeks
        on weeks.day_no = isodow(days.day)
        and days.day between coalesce(weeks.first_day, days.day) and coalesce(weeks.last_day, days.day)
    cross join figures
    anti join published.closures on closures.day = days.day
    anti join published.absences
        on coalesce(absences.staff_id, weeks.staff_id) = weeks.staff_id
        and days.day between absences."from" and absences."until"
),
placed as (
    select
        tasks.task_id,
        tasks.staff_id,
        tasks.hours,
        tasks.start_at,
        tasks.finish_at,
        coalesce(sum(
            epoch(least(tasks.finish_at, staff_days.closes_at)) - epoch(greatest(tasks.start_at, staff_days.opens_at))
        ), 0) / epoch(interval '1 hour') as worked_hours,
        coalesce(bool_or(tasks.start_at >= staff_days.opens_at and tasks.start_at < staff_days.closes_at), false)
            as starts_at_work,
        coalesce(bool_or(tasks.finish_at > staff_days.opens_at and tasks.finish_at <= staff_days.closes_at), false)
            as ends_at_work
    from published.tasks
    left join staff_days
        on staff_days.staff_id = tasks.staff_id
        and tasks.start_at < staff_days.closes_at
        and tasks.finish_at > staff_days.opens_at
    where tasks.start_at is not null and tasks.hours > 0
    group by all
)
select
    task_id,
    staff_id,
    printf(
        'task %s, %s from %s to %s: %.3f working hours for %.3f hours',
        task_id, coalesce(staff_id, 'nobody'), cast(start_at as varchar), cast(finish_at as varchar),
        worked_hours, hours
    ) as what
from placed
where not starts_at_work
    or not ends_at_work
    or abs(worked_hours - hours) > epoch(interval '1 minute') / epoch(interval '1 hour') + 1e-6

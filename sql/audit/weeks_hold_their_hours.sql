-- rule: Each person's weekly hours follow from the calendar and the tasks, and no week is planned beyond its hours.
-- Source: trade model, section 8: weeks start on Monday.
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
available as (
    select
        staff_id,
        cast(date_trunc('week', day) as date) as week_start,
        sum(epoch(closes_at - opens_at)) / epoch(interval '1 hour') as hours
    from staff_days
    group by staff_id, cast(date_trunc('week', day) as date)
),
planned as (
    select
        staff_days.staff_id,
        cast(date_trunc('week', staff_days.day) as date) as week_start,
        sum(epoch(least(tasks.finish_at, staff_days.closes_at)) - epoch(greatest(tasks.start_at, staff_days.opens_at)))
            / epoch(interval '1 hour') as hours
    from published.tasks
    join staff_days
        on staff_days.staff_id = tasks.staff_id
        and tasks.start_at < staff_days.closes_at
        and tasks.finish_at > staff_days.opens_at
    group by staff_days.staff_id, cast(date_trunc('week', staff_days.day) as date)
),
compared as (
    select
        staff_id,
        week_start,
        coalesce(staff_weeks.hours_available, 0) as stated_available,
        coalesce(staff_weeks.hours_planned, 0) as stated_planned,
        coalesce(available.hours, 0) as available_hours,
        coalesce(planned.hours, 0) as planned_hours,
        epoch(interval '1 minute') / epoch(interval '1 hour') as tolerance
    from published.staff_weeks
    full join available using (staff_id, week_start)
    left join planned using (staff_id, week_start)
)
select
    staff_id,
    week_start,
    printf(
        '%s, week of %s: %.3f of %.3f hours are stated as planned; %.3f of %.3f hours follow',
        staff_id, cast(week_start as varchar), stated_planned, stated_available, planned_hours, available_hours
    ) as what
from compared
where abs(stated_available - available_hours) > tolerance
    or abs(stated_planned - planned_hours) > tolerance
    or stated_planned > stated_available + tolerance

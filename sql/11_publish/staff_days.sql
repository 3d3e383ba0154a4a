-- One row per person and day worked: from when to when, without a break. Reads work.staff_days, policy.figures.
select
    staff_days.staff_id,
    staff_days.day,
    cast(staff_days.day + to_hours(cast(figures.value as bigint)) as timestamp) as start_at,
    cast(
        staff_days.day + to_hours(cast(figures.value as bigint)) + staff_days.half_hours * interval '30 minutes'
        as timestamp
    ) as finish_at
from work.staff_days
cross join policy.figures
where figures.key = 'schedule.day_start_hour'

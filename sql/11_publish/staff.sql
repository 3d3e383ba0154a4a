-- One row per person.
select
    staff_id, skill, hours_per_week, days, "from", "until", hourly_rate
from clean.staff

-- One row per person and week.
select
    staff_id, week_start, hours_available, hours_planned
from work.staff_weeks

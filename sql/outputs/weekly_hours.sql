-- One row per week and person: hours planned of the hours there are.
-- Reads published.staff_weeks.
select
    week_start,
    staff_id,
    hours_available,
    hours_planned,
    cast(hours_available - hours_planned as double) as hours_free
from published.staff_weeks
order by week_start, staff_id

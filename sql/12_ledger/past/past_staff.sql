-- One row per person of this plan. Reads published.staff.
select run.revision, staff.staff_id, staff.skill, staff.hourly_rate
from published.staff
cross join published.run

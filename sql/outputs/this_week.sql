-- One row: Monday of the first week with work that is not over on the day the plan is made for; none: no row.
-- Reads published.run, published.tasks.
select cast(date_trunc('week', min(tasks.start_at)) as date) as week_start
from published.tasks as tasks
cross join published.run as run
where tasks.finish_at >= run.as_of
having min(tasks.start_at) is not null

-- One row: this plan, to be remembered by the next revision. Reads published.run, published.tasks, published.volumes.
select
    run.revision,
    run.as_of,
    run.start_date,
    run.end_date,
    run.planned_at,
    cast((select max(finish_at) from published.tasks) as date) as finish_date,
    cast((select coalesce(sum(hours order by task_id), 0) from published.tasks where start_at is not null) as double)
        as hours,
    cast((select coalesce(sum(sheets), 0) from published.volumes) as bigint) as sheets
from published.run

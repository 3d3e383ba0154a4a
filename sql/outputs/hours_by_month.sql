-- One row per month in which work starts: hours of all tasks, with no word of who does them; last: work without a date.
-- Reads published.tasks.
select
    cast(date_trunc('month', start_at) as date) as month_start,
    cast(sum(hours) as double) as hours,
    cast(count(distinct volume_id) as bigint) as volumes
from published.tasks
group by month_start
order by month_start nulls last

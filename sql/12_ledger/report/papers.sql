-- One row per week from the day on and paper: parent sheets that the revision of that day still cuts.
-- Reads work.past_tasks, work.past_patterns, raw.run.
with patterns as (
    select distinct revision, pattern_id, paper_id, stock_id
    from work.past_patterns
)
select
    cast(date_trunc('week', past_tasks.start_at) as date) as week_start,
    patterns.paper_id,
    patterns.stock_id,
    cast(sum(past_tasks.sheets_planned) as bigint) as sheets
from work.past_tasks
join raw.run using (revision)
join patterns using (revision, pattern_id)
where past_tasks.kind = 'cut' and past_tasks.start_at >= run.as_of
group by all
order by week_start, paper_id, stock_id

-- One row per cutting pattern, in the order of the cutting: what comes back from the guillotine.
-- Reads published.patterns, tasks, run. `sheets`: parent sheets, or lengths off a roll.
with days as (
    select pattern_id, min(start_at) as first_start_at
    from published.tasks
    where pattern_id is not null
    group by pattern_id
)
select run.revision, patterns.pattern_id, patterns.stock_id, patterns.sheets
from published.patterns as patterns
cross join published.run as run
left join days using (pattern_id)
order by days.first_start_at nulls last, patterns.pattern_id

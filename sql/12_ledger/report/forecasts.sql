-- One row per revision made until the day: what was left then, and when it was to be finished.
-- Reads work.past_revisions, raw.run.
select past_revisions.revision, past_revisions.as_of, past_revisions.hours, past_revisions.sheets,
    past_revisions.finish_date, past_revisions.end_date
from work.past_revisions
cross join raw.run
where past_revisions.as_of <= run.as_of
order by past_revisions.planned_at, past_revisions.as_of

-- One row per returned line that stands and collection it worked for; no names.
select line_id, collection, kind, volume_id, progress, done_on, hours_taken, cost, laid_sheets_count
from work.labour_done

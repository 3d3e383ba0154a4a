-- One row per volume that gets a new enclosure, with the day it is put in.
-- Reads published.enclosures, volumes, tasks. Inside measures in mm.
with days as (
    select volume_id, min(start_at) as start_at from published.tasks where kind = 'enclose' group by volume_id
)
select
    enclosures.volume_id,
    volumes.title,
    volumes.collection,
    volumes.location,
    enclosures.enclosure_id,
    enclosures.inner_width_mm,
    enclosures.inner_height_mm,
    enclosures.inner_depth_mm,
    enclosures.shelved,
    cast(days.start_at as date) as day
from published.enclosures as enclosures
join published.volumes as volumes using (volume_id)
left join days using (volume_id)
order by days.start_at nulls last, enclosures.volume_id

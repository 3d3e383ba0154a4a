-- One row per range of openings, or count, beyond what the volume has: leaves L make openings 0 to L.
-- Reads work.seen_openings, work.seen_volumes.
with held as (
    select
        seen_openings.*,
        seen_volumes.leaves
    from work.seen_openings
    join work.seen_volumes using (volume_id)
    where seen_volumes.leaves is not null
)
select
    'opening_out_of_range' as code,
    'error' as level,
    sheet,
    row_no,
    'openings' as field,
    volume_id,
    'opening ' || last_opening_no || ' is beyond the volume''s openings 0 to ' || leaves as message,
    'check the opening number, and leaves in Volumes' as action
from held
where last_opening_no > leaves
union all by name
select
    'too_many_openings' as code,
    'error' as level,
    sheet,
    row_no,
    'count' as field,
    volume_id,
    'count ' || count || ' is more than the ' || (leaves + 1) || ' openings of a volume of ' || leaves || ' leaves'
        as message,
    'check the count, and leaves in Volumes' as action
from held
where last_opening_no is null and count > leaves + 1

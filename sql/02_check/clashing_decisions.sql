-- One row per decision that contradicts an earlier one about the same openings of the same volume.
-- A decision without openings is about all of them. Reads work.seen_openings.
with decisions as (
    select * from work.seen_openings where decision is not null and volume_id is not null
)
select distinct
    'decisions_clash' as code,
    'error' as level,
    later.sheet,
    later.row_no,
    'decision' as field,
    later.volume_id,
    'decision ' || later.decision || ' contradicts ' || earlier.decision || ' in row ' || earlier.row_no as message,
    'leave one of them' as action
from decisions as later
join decisions as earlier on earlier.volume_id = later.volume_id and earlier.row_no < later.row_no
where (
        later.first_opening_no is null
        or earlier.first_opening_no is null
        or (
            earlier.first_opening_no <= later.last_opening_no
            and earlier.last_opening_no >= later.first_opening_no
        )
    )
    and (
        (later.decision = 'never') <> (earlier.decision = 'never')
        or (later.decision = 'paper' and earlier.decision = 'paper' and later.paper_id <> earlier.paper_id)
    )

-- One row per identifier that an earlier row of its sheet has already: volumes, papers, stock, staff, enclosures, tasks.
-- Reads work.named_ids.
with own as (
    select
        *,
        row_number() over (partition by sheet, named_id order by row_no) as place,
        first_value(cell) over (partition by sheet, named_id order by row_no) as first_cell
    from work.named_ids
    where is_own
)
select
    'duplicate_id' as code,
    'error' as level,
    sheet,
    row_no,
    field,
    case when field = 'volume_id' then named_id else '' end as volume_id,
    field || ' ' || named_id || ' is there twice, also at ' || sheet || '!' || first_cell as message,
    'delete one row or change its ' || field as action
from own
where place > 1

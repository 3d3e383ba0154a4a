-- One row per identifier that differs from an earlier one of its sheet only in case, blanks, hyphens or zero padding.
-- Reads work.named_ids.
with own as (
    select min(row_no) as row_no, sheet, field, named_id, arg_min(cell, row_no) as cell
    from work.named_ids
    where is_own
    group by sheet, field, named_id
),
folded as (
    -- blanks, underscores and dashes of every kind are one hyphen, and none between a letter and a digit
    select
        *,
        regexp_replace(
            regexp_replace(lower(nfc_normalize(named_id)), '[\s_\x{2010}-\x{2015}\x{2212}-]+', '-', 'g'),
            '([a-z])-([0-9])',
            '\1\2',
            'g'
        ) as joined
    from own
),
bare as (
    select *, regexp_replace(joined, '(^|[^0-9.])0+([0-9])', '\1\2', 'g') as plain_id from folded
),
placed as (
    select
        *,
        row_number() over same as place,
        first_value(named_id) over same as first_id,
        first_value(cell) over same as first_cell
    from bare
    window same as (partition by sheet, field, plain_id order by row_no)
)
select
    'id_look_alike' as code,
    'warning' as level,
    sheet,
    row_no,
    field,
    case when field = 'volume_id' then named_id else '' end as volume_id,
    field || ' ' || named_id || ' looks like ' || first_id || ' at ' || sheet || '!' || first_cell
        || '; they are read as two' as message,
    'delete one row if both mean the same, or give one a name that no one confuses' as action
from placed
where place > 1

-- One row per row of Openings that repeats an earlier one, or that says something else of a page an earlier one names.
-- The rows are merged all the same (trade model, section 3). Reads work.seen_openings.
with ranges as (
    select * from work.seen_openings where decision is null and volume_id is not null
),
whole_rows as (
    select
        sheet, row_no, volume_id, hazards, left_content, right_content,
        string_agg(first_opening_no || '-' || last_opening_no, ',' order by first_opening_no) as places,
        sum(count) as openings_count
    from ranges
    group by all
),
repeated as (
    select
        *,
        min(row_no) over (
            partition by volume_id, hazards, left_content, right_content, places, openings_count
        ) as first_row_no
    from whole_rows
),
met as (
    select
        later.sheet,
        later.row_no,
        later.volume_id,
        earlier.row_no as earlier_row_no,
        greatest(later.first_opening_no, earlier.first_opening_no) as opening_no,
        case
            when later.left_content <> '' and earlier.left_content <> '' and later.left_content <> earlier.left_content
                then 'left'
            when later.right_content <> '' and earlier.right_content <> ''
                and later.right_content <> earlier.right_content
                then 'right'
        end as field
    from ranges as later
    join ranges as earlier
        on earlier.volume_id = later.volume_id
        and earlier.row_no < later.row_no
        and earlier.first_opening_no <= later.last_opening_no
        and earlier.last_opening_no >= later.first_opening_no
)
select
    'doubled_row' as code,
    'warning' as level,
    sheet,
    row_no,
    'volume_id' as field,
    volume_id,
    'this row says the same as row ' || first_row_no
        || case when places is null then '; its ' || openings_count || ' openings count again' else '' end as message,
    'delete one of them, unless both are meant' as action
from repeated
where row_no > first_row_no and (places is not null or openings_count is not null) -- else its own cells say what is wrong
union all by name
select
    'content_differs' as code,
    'warning' as level,
    sheet,
    row_no,
    field,
    volume_id,
    'the ' || field || ' page of opening ' || min(opening_no) || ' has other content in row ' || min(earlier_row_no)
        || '; both count' as message,
    'mend one of them, unless the page holds both' as action
from met
where field is not null
group by sheet, row_no, field, volume_id

-- One row per listed opening: all rows that name it merged (trade model, section 3).
-- Reads clean.opening_ranges, clean.row_hazards, clean.row_contents, policy.hazards.
-- A hazard keeps its greater severity; one given with and without a side counts with its side.
-- `unknown` drops out where another word stands on the same page.
-- Openings named by the same rows are alike, so the merging is done once per set of rows.
with places as (
    select distinct row_no, volume_id, unnest(generate_series(first_opening_no, last_opening_no)) as opening_no
    from clean.opening_ranges
),
named_by as (
    select volume_id, opening_no, list(row_no order by row_no) as row_nos
    from places
    group by volume_id, opening_no
),
members as (
    select row_nos, unnest(row_nos) as row_no
    from (select distinct row_nos from named_by)
),
words as (
    select distinct members.row_nos, row_contents.side, row_contents.content_word
    from members
    join clean.row_contents using (row_no)
),
contents as (
    select
        row_nos,
        coalesce(
            string_agg(content_word, ', ' order by content_word)
                filter (side = 'left' and content_word <> 'unknown'),
            'unknown'
        ) as left_content,
        coalesce(
            string_agg(content_word, ', ' order by content_word)
                filter (side = 'right' and content_word <> 'unknown'),
            'unknown'
        ) as right_content
    from words
    group by row_nos
),
named as (
    select members.row_nos, row_hazards.hazard, row_hazards.side, max(row_hazards.severity_grade) as side_grade
    from members
    join clean.row_hazards using (row_no)
    group by all
),
graded as (
    select
        *,
        max(side_grade) over of_hazard as worst_grade,
        bool_or(side <> '') over of_hazard as has_side,
        bool_or(side = '') over of_hazard as has_no_side
    from named
    window of_hazard as (partition by row_nos, hazard)
),
kept as (
    select
        graded.row_nos,
        case when side = '' then hazard else side || ':' || hazard end as word,
        cast(case when has_side and has_no_side then worst_grade else side_grade end as varchar) as grade,
        ranks.hazard_order,
        graded.side
    from graded
    join (select distinct hazard, hazard_order from policy.hazards) as ranks using (hazard)
    where graded.side <> '' or not graded.has_side
),
hazards as (
    select
        row_nos,
        string_agg(word, ', ' order by hazard_order, side) as hazards,
        string_agg(grade, ', ' order by hazard_order, side) as severity
    from kept
    group by row_nos
)
select
    named_by.volume_id,
    named_by.opening_no,
    contents.left_content,
    contents.right_content,
    hazards.hazards,
    hazards.severity
from named_by
join contents using (row_nos)
join hazards using (row_nos)

-- One row per listed opening: all rows that name it merged (trade model, section 3).
-- Reads clean.opening_ranges, clean.row_hazards, clean.row_contents, policy.hazards.
-- A hazard keeps its greater severity; one given with and without a side counts with its side.
-- `unknown` drops out where another word stands on the same page.
with places as (
    select distinct row_no, volume_id, unnest(generate_series(first_opening_no, last_opening_no)) as opening_no
    from clean.opening_ranges
),
words as (
    select distinct places.volume_id, places.opening_no, row_contents.side, row_contents.content_word
    from places
    join clean.row_contents using (row_no)
),
pages as (
    select
        volume_id,
        opening_no,
        side,
        coalesce(
            string_agg(content_word, ', ' order by content_word) filter (content_word <> 'unknown'),
            'unknown'
        ) as content
    from words
    group by all
),
contents as (
    select
        volume_id,
        opening_no,
        coalesce(max(content) filter (side = 'left'), 'unknown') as left_content,
        coalesce(max(content) filter (side = 'right'), 'unknown') as right_content
    from pages
    group by all
),
named as (
    select
        places.volume_id,
        places.opening_no,
        row_hazards.hazard,
        row_hazards.side,
        row_hazards.severity_grade
    from places
    join clean.row_hazards using (row_no)
),
graded as (
    select
        volume_id,
        opening_no,
        hazard,
        side,
        max(max(severity_grade)) over (partition by volume_id, opening_no, hazard) as worst_grade,
        max(severity_grade) as side_grade,
        bool_or(side <> '') over (partition by volume_id, opening_no, hazard) as has_side,
        bool_or(side = '') over (partition by volume_id, opening_no, hazard) as has_no_side
    from named
    group by all
),
kept as (
    select
        volume_id,
        opening_no,
        hazard,
        side,
        case when has_side and has_no_side then worst_grade else side_grade end as severity_grade
    from graded
    where side <> '' or not has_side
),
hazard_lists as (
    select
        kept.volume_id,
        kept.opening_no,
        string_agg(
            case when kept.side = '' then kept.hazard else kept.side || ':' || kept.hazard end,
            ', ' order by ranks.hazard_order, kept.side
        ) as hazards,
        string_agg(kept.severity_grade, ', ' order by ranks.hazard_order, kept.side) as severity
    from kept
    join (select distinct hazard, hazard_order from policy.hazards) as ranks using (hazard)
    group by all
)
select
    hazard_lists.volume_id,
    hazard_lists.opening_no,
    contents.left_content,
    contents.right_content,
    hazard_lists.hazards,
    hazard_lists.severity
from hazard_lists
join contents using (volume_id, opening_no)
